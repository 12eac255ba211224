"""What is measured apart: ground by its survey error, vegetation, water; each with what it asks for."""

from __future__ import annotations

import math

from linescope.clearance.distance import GroundIndex
from linescope.clearance.edges import Edges
from linescope.clearance.table import CurveGroup, Worst
from linescope.rig import Rig
from linescope.terrain.model import Terrain, together


class Surrounding:
    """One part of the surroundings, and the nearest approach of every group to it.

    Parameters
    ----------
    rig : Rig
    index : GroundIndex
    role : str
        "ground", which obstacles are too, "vegetation", "water" or "area".
    survey_error : float
        [m]
    zone : float
        Beside each anchor, where nothing is compared. [m]
    """

    def __init__(self, rig: Rig, index: GroundIndex, role: str, survey_error: float, zone: float) -> None:
        self.index, self.role, self.survey_error = index, role, survey_error
        self._asked = index.terrain.all_pieces[0].asked
        self._needs = rig.needs
        self.added = 0.0 if rig.needs is None else survey_error + rig.needs.margin
        self.best: dict[CurveGroup, Worst] = {}
        self.edges = Edges(rig, index, zone, self.added)

    def required(self, kind: str) -> float:
        """Asked for by kind, without additions.  [m]"""
        if self._needs is None:
            return 0.0
        if self.role == "area":
            return self._asked
        own = {"vegetation": self._needs.vegetation, "water": self._needs.water}.get(self.role, math.nan)
        return float(getattr(self._needs, kind)) if math.isnan(own) else own

    def needed(self, kind: str) -> float:
        """With survey error and margin.  [m]"""
        return self.required(kind) + self.added


def layers_of(rig: Rig, index: GroundIndex, zone: float) -> list[Surrounding]:
    """The surroundings in as many parts as ask for different things; the ground first.

    Parameters
    ----------
    rig : Rig
    index : GroundIndex
    zone : float
        [m]
    """
    needs = rig.needs
    usual = 0.0 if needs is None else needs.survey_error

    def error(piece: Terrain) -> float:
        return usual if piece.survey_error is None else piece.survey_error

    whole = index.terrain
    by_error: dict[float, list[Terrain]] = {}
    for piece in whole.all_pieces:
        by_error.setdefault(error(piece), []).append(piece)
    layers = [
        Surrounding(rig, index if len(by_error) == 1 else GroundIndex(together(pieces)), "ground", own, zone)
        for own, pieces in by_error.items()
    ]
    apart: dict[tuple[str, float, float], list[Terrain]] = {}
    for piece in whole.beside:
        asked = piece.asked if piece.role == "area" else math.nan if needs is None else needs.water
        if piece.role not in ("water", "area") or math.isfinite(asked):
            key = (piece.role, error(piece), asked if piece.role == "area" else 0.0)
            apart.setdefault(key, []).append(piece)
    return layers + [
        Surrounding(rig, GroundIndex(together(pieces)), role, own, zone) for (role, own, _), pieces in apart.items()
    ]


def known_below(terrain: Terrain) -> Terrain:
    """What makes ground known: no slab or rope over it does."""
    pieces = [piece for piece in terrain.all_pieces if piece.role == "ground"]
    return together(pieces) if len(pieces) < len(terrain.all_pieces) else terrain
