"""What lies in rock: points against the pieces of a ground, and each piece measured by itself."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.terrain.model import Terrain
from linescope.terrain.overhang import Ceiling
from linescope.terrain.plumb import PlumbIndex, plan_sense
from linescope.terrain.solids import BRIDGED, Side, Solids, WindingNumber, solids_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

HALF = 0.5
"""Winding number from which on a point is in rock. [-]"""
_HANGING = 0.1
"""A sheet stands on the ground when no larger share of its border hangs (assumed). [-]"""


class Rock:
    """The pieces of a ground, asked for what they hold.

    Parameters
    ----------
    plumb : PlumbIndex
        Of the whole ground.
    one_sheet : bool
        Whether it has one height at each plan position.

    Notes
    -----
    A sheet that faces up, other than the largest, whose border hangs more than `BRIDGED` over another piece is a roof.
    """

    def __init__(self, plumb: PlumbIndex, one_sheet: bool) -> None:
        self.plumb, self.terrain = plumb, plumb.terrain
        self.solids: Solids = solids_of(self.terrain, one_sheet=one_sheet)
        self.one_sheet = one_sheet
        sense, _ = plan_sense(self.terrain.vertices[self.terrain.faces])
        self._up: Ints = (sense * self.solids.sense).astype(np.int64)
        self._caps: PlumbIndex | None = None
        if len(self.solids.caps):
            capped = Terrain(vertices=self.solids.vertices, faces=self.solids.caps, source=self.terrain.source)
            self._caps = PlumbIndex(capped)
            self._caps_up: Ints = plan_sense(capped.vertices[capped.faces])[0].astype(np.int64)
        self._ceiling: Ceiling | None = None
        self._low, self._high = self.solids.bounds(self.terrain)
        self._windings: dict[int, WindingNumber] = {}
        self.side: Ints = self.solids.side.copy()
        self.roofs = self._hanging()
        self.side[self.roofs] = Side.NOWHERE

    @property
    def has_inside(self) -> bool:
        """Whether there is any rock to be in."""
        return bool(np.any(self.side != Side.NOWHERE))

    @property
    def is_one(self) -> bool:
        """Whether all of the ground is one piece."""
        return len(self.side) == 1 and bool(np.all(self.solids.piece == 0))

    def _hanging(self) -> Ints:
        """Sheets that hang over another piece."""
        rim = self.solids.rim
        rim = rim[(self.side[rim[:, 0]] == Side.BELOW) & (rim[:, 0] != self.solids.ground)]
        if len(rim) == 0:
            return np.zeros(0, dtype=np.int64)
        corners = self.terrain.vertices[rim[:, 1]]
        position, face, z, _ = self.plumb.over(corners[:, :2])
        other = (self.solids.piece[face] != rim[position, 0]) & (z <= corners[position, 2])
        top = np.full(len(rim), -np.inf)
        np.maximum.at(top, position[other], z[other])
        hangs = np.isfinite(top) & (top < corners[:, 2] - BRIDGED)
        count = len(self.side)
        share = np.bincount(rim[:, 0], weights=hangs, minlength=count) / np.maximum(
            np.bincount(rim[:, 0], minlength=count), 1
        )
        return np.flatnonzero(share > _HANGING)

    def holding(self, points: Floats) -> tuple[Ints, Ints]:
        """Which pieces hold which points.

        Parameters
        ----------
        points : (n, 3) float
            [m]

        Returns
        -------
        position, piece : (m,) int
            Pairs, in order of the position.
        """
        count = len(self.side)
        found = [np.zeros(0, dtype=np.int64)]
        if np.any((self.side == Side.BELOW) | (self.side == Side.WITHIN)):
            found.append(self._by_plumb(points))
        for piece in np.flatnonzero(self.side == Side.AROUND).tolist():
            near = np.flatnonzero(
                (points >= self._low[piece]).all(axis=1) & (points <= self._high[piece]).all(axis=1)
            )
            if len(near):
                inside = near[self._winding(piece).at(points[near]) > HALF]
                found.append(inside * count + piece)
        both = np.unique(np.concatenate(found))
        return both // count, both % count

    def _by_plumb(self, points: Floats) -> Ints:
        """Keys of position and piece for closed pieces and for sheets, by the surfaces that stand over the points."""
        if self._ceiling is None:
            self._ceiling = Ceiling(self.terrain)
        may = np.flatnonzero(self._ceiling.may_cover(points))
        count = len(self.side)
        parts = []
        indices = [(self.plumb, self.solids.piece, self._up)]
        if self._caps is not None:
            indices.append((self._caps, self.solids.cap_piece, self._caps_up))
        for plumb, pieces, up in indices:
            position, face, z, counted = plumb.over(points[may, :2])
            over = counted & (z > points[may[position], 2]) & (pieces[face] >= 0)
            parts.append((may[position[over]] * count + pieces[face[over]], up[face[over]]))
        key, faces_up = (np.concatenate([part[k] for part in parts]) for k in range(2))
        both, which = np.unique(key, return_inverse=True)
        number = np.bincount(which, minlength=len(both))
        net = np.bincount(which, weights=faces_up, minlength=len(both))
        side = self.side[both % count] if len(both) else self.side[:0]
        one_sheet = self.one_sheet & (number % 2 == 1)
        inside = np.where(side == Side.WITHIN, number % 2 == 1, (side == Side.BELOW) & ((net >= 1.0) | one_sheet))
        return np.asarray(both[inside.astype(bool)], dtype=np.int64)

    def _winding(self, piece: int) -> WindingNumber:
        if piece not in self._windings:
            solids, terrain = self.solids, self.terrain
            mine = solids.piece == piece
            faces = np.where((solids.sense[mine] < 0)[:, None], terrain.faces[mine][:, ::-1], terrain.faces[mine])
            faces = np.concatenate([faces, solids.caps[solids.cap_piece == piece]])
            self._windings[piece] = WindingNumber(solids.vertices[faces])
        return self._windings[piece]

    def alone(self, piece: int) -> tuple[Terrain, Ints]:
        """One piece as ground, and its triangles among all."""
        faces = np.flatnonzero(self.solids.piece == piece)
        used, renumbered = np.unique(self.terrain.faces[faces], return_inverse=True)
        ground = Terrain(
            vertices=self.terrain.vertices[used], faces=renumbered.reshape(-1, 3), source=self.terrain.source,
        )
        return ground, faces
