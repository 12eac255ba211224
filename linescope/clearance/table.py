"""Curves of many states put into one table for the distance search, and what came of it, place by place."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.along import Approach, Chords, improved
from linescope.clearance.distance import GroundIndex
from linescope.clearance.vertical import Drop, lowest
from linescope.clearance.why import Why

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

AT_A, AT_B = -1, -2
"""Places within the anchor zones."""
DEPTH = 5e-3
"""How exactly the deepest place below ground is found while it is looked for. [m]"""
EXACTLY = 1e-4
"""And how exactly it is told. [m]"""
BEYOND = 1.0
"""Numbered places are measured up to so much beyond the smallest distance of their family. [m]"""
_ON_BORDER = 1e-9
_STEP, _HALVINGS = 0.05, 8
"""How finely it is looked where a line goes into rock and comes out [m], and how often that is halved."""


@dataclass(frozen=True, kw_only=True)
class CurveGroup:
    """What is measured together.

    Parameters
    ----------
    kind : {'line', 'loop', 'leash', 'body'}
    family : str
        Groups of one kind and family that lie side by side are one place.
    cause : Why
    place : float
        Number of the bay, or place of the walker [m from A].
    zone : int
        0, or `AT_A`, `AT_B` within an anchor zone.
    numbered : bool
        Whether places are running numbers; of these only what matters is measured (see `CurveTable.nearer`).
    """

    kind: str
    family: str
    cause: Why
    place: float
    zone: int = 0
    numbered: bool = False
    _hash: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        # Many thousand look-ups: the parts are put together once.
        own = (self.kind, self.family, self.cause, self.place, self.zone, self.numbered)
        object.__setattr__(self, "_hash", hash(own))

    def __hash__(self) -> int:
        return self._hash


@dataclass(frozen=True, eq=False, kw_only=True)
class Worst:
    """The nearest approach of one group.

    Parameters
    ----------
    group : CurveGroup
    distance : float
        Lower bound of the distance to the ground. [m]
    point, nearest : (3,) float
        On the curve and on the ground. [m]
    walker : float or None
        Where the walker is then. [m]
    face : int
        Triangle of the ground.
    """

    group: CurveGroup
    distance: float
    point: Floats
    nearest: Floats
    walker: float | None
    face: int = 0


@dataclass(eq=False)
class CurveTable:
    """Curves of one round, by group.

    Parameters
    ----------
    start, along : (3,) float
        Anchor A and the unit vector to anchor B. [m, -]
    span, zone : float
        Of the line, and beside each anchor where nothing is compared. [m]
    """

    start: Floats
    along: Floats
    span: float
    zone: float
    _points: list[Floats] = field(default_factory=list)
    _sagitta: list[Floats] = field(default_factory=list)
    _chord: list[Ints] = field(default_factory=list)
    _curve: list[Ints] = field(default_factory=list)
    _group: list[Ints] = field(default_factory=list)
    _walker: list[Floats] = field(default_factory=list)
    _numbers: dict[CurveGroup, int] = field(default_factory=dict)
    _in_zone: dict[tuple[CurveGroup, int], CurveGroup] = field(default_factory=dict)
    _nodes: int = 0
    _curves: int = 0

    def add(
        self,
        points: Floats,
        sagitta: Floats | None,
        groups: list[CurveGroup],
        walker: float | None,
        *,
        by_walker: bool = False,
    ) -> None:
        """Curves of one state.

        Parameters
        ----------
        points : (c, m + 1, 3) float
            Nodes of c curves. [m]
        sagitta : (c, m) float or None
            [m]
        groups : list of c CurveGroup
        walker : float or None
            Where the walker stands; None for what does not depend on him.  [m]
        by_walker : bool
            Whether the walker's place decides about the anchor zone, not that of each piece.
        """
        c, m = len(points), points.shape[1] - 1
        sagitta = np.zeros((c, m)) if sagitta is None else sagitta
        if self.zone > 0.0 and not by_walker:
            cut = self._straddling(points)
            by_size: dict[int, list[tuple[int, Floats, Floats]]] = {}
            for k in np.flatnonzero(cut).tolist():
                longer, bound = self._cut(points[k], sagitta[k])
                by_size.setdefault(len(bound), []).append((k, longer, bound))
            for some in by_size.values():
                numbers, curves, bounds = zip(*some, strict=True)
                self.add(np.stack(curves), np.stack(bounds), [groups[k] for k in numbers], walker)
            if cut.any():
                points, sagitta = points[~cut], sagitta[~cut]
                groups, c = [group for group, out in zip(groups, cut, strict=True) if not out], len(points)
                if c == 0:
                    return
        zone = self._zones(points, walker if by_walker else None)
        fresh = np.ones((c, m), dtype=bool)
        fresh[:, 1:] = zone[:, 1:] != zone[:, :-1]
        curve = np.cumsum(fresh.reshape(-1)) - 1
        owner = np.repeat(np.arange(c), m)[fresh.reshape(-1)]
        group = [
            self._number(groups[k], int(z)) for k, z in zip(owner, zone[fresh], strict=True)
        ]
        first = self._nodes + (np.arange(c)[:, None] * (m + 1) + np.arange(m)).reshape(-1)
        self._points.append(points.reshape(-1, 3))
        self._sagitta.append(sagitta.reshape(-1))
        self._chord.append(first)
        self._curve.append(curve + self._curves)
        self._group.append(np.array(group, dtype=np.int64))
        self._walker.append(np.full(len(group), np.nan if walker is None else walker))
        self._nodes += c * (m + 1)
        self._curves += len(group)

    @property
    def _borders(self) -> tuple[float, float]:
        return self.zone, self.span - self.zone

    def _straddling(self, points: Floats) -> NDArray[np.bool_]:
        """Curves with a chord that passes the border of an anchor zone."""
        station = (points - self.start) @ self.along
        low = np.minimum(station[:, :-1], station[:, 1:])
        high = np.maximum(station[:, :-1], station[:, 1:])
        passed = [(low < border - _ON_BORDER) & (high > border + _ON_BORDER) for border in self._borders]
        return np.asarray(np.any(passed, axis=(0, 2)))

    def _cut(self, points: Floats, sagitta: Floats) -> tuple[Floats, Floats]:
        """One curve with nodes put in on the borders; its chords keep their sagittas, which still bound it."""
        for border in self._borders:
            station = (points - self.start) @ self.along - border
            for k in np.flatnonzero(station[:-1] * station[1:] < 0.0)[::-1]:
                if min(abs(station[k]), abs(station[k + 1])) > _ON_BORDER:
                    share = station[k] / (station[k] - station[k + 1])
                    points = np.insert(points, k + 1, points[k] + share * (points[k + 1] - points[k]), axis=0)
                    sagitta = np.insert(sagitta, k, sagitta[k])
        return points, sagitta

    def _zones(self, points: Floats, walker: float | None) -> Ints:
        station = (points - self.start) @ self.along if walker is None else np.full(points.shape[:2], walker)
        near, far = self._borders
        at_a = np.maximum(station[:, :-1], station[:, 1:]) <= near + _ON_BORDER
        at_b = np.minimum(station[:, :-1], station[:, 1:]) >= far - _ON_BORDER
        return np.where(at_a, AT_A, np.where(at_b, AT_B, 0))

    def _number(self, group: CurveGroup, zone: int) -> int:
        if zone:
            own = group
            known = self._in_zone.get((own, zone))
            group = known or CurveGroup(
                kind=own.kind, family=own.family, cause=own.cause, place=zone, zone=zone, numbered=True
            )
            self._in_zone[own, zone] = group
        return self._numbers.setdefault(group, len(self._numbers))

    def __bool__(self) -> bool:
        return self._curves > 0

    @cached_property
    def _joined(self) -> tuple[Chords, Ints, Floats]:
        """All chords, and the group and the walker's place of every curve; nothing can be added afterwards."""
        curve = np.concatenate(self._curve)
        begins = np.concatenate([[0], np.flatnonzero(np.diff(curve)) + 1])
        number = np.arange(len(curve)) - np.repeat(begins, np.diff(np.append(begins, len(curve))))
        chords = Chords(
            nodes=np.concatenate(self._points), first=np.concatenate(self._chord), curve=curve, segment=number,
            sagitta=np.concatenate(self._sagitta),
        )
        joined = chords, np.concatenate(self._group), np.concatenate(self._walker)
        for parts in (self._points, self._chord, self._curve, self._sagitta, self._group, self._walker):
            parts.clear()
        return joined

    def across(self, step: float) -> tuple[Floats, Floats, NDArray[np.bool_]]:
        """Both ends of every chord that is a body's or passes a plane across the line, and whether it is a body's.

        Parameters
        ----------
        step : float
            From plane to plane. [m]
        """
        chords, group, _ = self._joined
        body = np.array([group.kind == "body" for group in self._numbers])[group][chords.curve]
        at = (chords.nodes - self.start) @ self.along / step
        below, above = np.floor(at + 2.0 * _ON_BORDER), np.ceil(at - 2.0 * _ON_BORDER)
        passing = np.maximum(below[1:], below[:-1]) >= np.minimum(above[1:], above[:-1])
        chosen = body | passing[chords.first]
        first = chords.first[chosen]
        return chords.nodes[first], chords.nodes[first + 1], body[chosen]

    def nearer(
        self, index: GroundIndex, best: Mapping[CurveGroup, Worst], needed: Callable[[str], float]
    ) -> list[Worst]:
        """The nearest approach of every group that comes nearer than what is known of it.

        Parameters
        ----------
        index : GroundIndex
        best : mapping of CurveGroup to Worst
            Known from other tables.
        needed : callable
            Kind to the distance that matters. [m]

        Notes
        -----
        The smallest distance of each kind and family is found first.  Numbered places farther off than that by
        more than `BEYOND`, and not short of what is needed, are left out.
        """
        chords, group, walker = self._joined
        groups = list(self._numbers)
        names = [(one.kind, one.family, one.zone) for one in groups]
        number = {name: k for k, name in enumerate(dict.fromkeys(names))}
        family = np.array([number[name] for name in names])
        known = np.array([best[one].distance if one in best else np.inf for one in groups])
        least = np.full(len(number), np.inf)
        for one, worst in best.items():
            k = number.get((one.kind, one.family, one.zone))
            if k is not None:
                least[k] = min(least[k], worst.distance)
        numbered = np.array([one.numbered for one in groups])
        chosen = numbered[group]
        if chosen.any():
            first = improved(index, *_part(chords, chosen, family[group]), least, DEPTH)
            for k, near in first.items():
                least[k] = near.distance
        beyond = np.array([BEYOND if one.zone == 0 else 0.1 for one in groups])
        most = np.maximum(least[family] + beyond, [needed(one.kind) if one.zone == 0 else -np.inf for one in groups])
        found = improved(index, chords, group, np.where(numbered, np.minimum(known, most), known), DEPTH)
        return [self._worst(near, groups[k], float(walker[near.curve])) for k, near in found.items()]

    def measured(
        self, index: GroundIndex, best: Mapping[CurveGroup, Worst], wanted: Sequence[CurveGroup]
    ) -> list[Worst]:
        """The nearest approach of some groups of this table to another ground, where nearer than what is known.

        Parameters
        ----------
        index : GroundIndex
        best : mapping of CurveGroup to Worst
            Known from other tables.
        wanted : sequence of CurveGroup
            At least one.
        """
        chords, group, walker = self._joined
        numbers = np.full(len(self._numbers), -1)
        numbers[[self._numbers[one] for one in wanted]] = np.arange(len(wanted))
        chosen = numbers[group] >= 0
        curves = np.flatnonzero(chosen)
        part, owner = _part(chords, chosen, numbers[group])
        known = np.array([best[one].distance if one in best else np.inf for one in wanted])
        found = improved(index, part, owner, known, DEPTH)
        return [self._worst(near, wanted[k], float(walker[curves[near.curve]])) for k, near in found.items()]

    @property
    def families(self) -> set[tuple[str, str]]:
        """Kinds and families of the groups."""
        return {(group.kind, group.family) for group in self._numbers}

    @staticmethod
    def _worst(near: Approach, group: CurveGroup, walker: float) -> Worst:
        return Worst(
            group=group, distance=near.distance, point=near.point, nearest=near.nearest,
            walker=None if np.isnan(walker) else walker, face=near.face,
        )

    def straight_down(
        self, index: GroundIndex, wanted: list[CurveGroup]
    ) -> dict[CurveGroup, tuple[Drop, Floats, float]]:
        """Smallest vertical distance of some groups, its place in space and the walker's place then.

        Parameters
        ----------
        index : GroundIndex
        wanted : list of CurveGroup
            Those that are not in this table are left out.
        """
        mine = [group for group in wanted if group in self._numbers]
        if not mine:
            return {}
        chords, group, walker = self._joined
        numbers = np.full(len(self._numbers), -1)
        for k, known in enumerate(mine):
            numbers[self._numbers[known]] = k
        chosen = numbers[group] >= 0
        curves = np.flatnonzero(chosen)
        part, owner = _part(chords, chosen, numbers[group])
        result = {}
        for known, drop in zip(mine, lowest(index, part, owner), strict=True):
            if drop.curve < 0:
                continue
            chord = int(np.flatnonzero((part.curve == drop.curve) & (part.segment == drop.segment))[0])
            a, b = part.nodes[part.first[chord]], part.nodes[part.first[chord] + 1]
            result[known] = drop, a + drop.fraction * (b - a), float(walker[curves[drop.curve]])
        return result

    def _where(self, wanted: NDArray[np.bool_], walker: float | None) -> NDArray[np.bool_]:
        """Curves of some groups, one flag for each group, with the walker at one place."""
        _, number, at = self._joined
        return np.asarray(wanted[number] & (np.isnan(at) if walker is None else at == walker))

    def deepest(self, index: GroundIndex, worst: Worst) -> Worst:
        """An approach in rock, found again as exactly as it is told: its depth is a bound.

        Parameters
        ----------
        index : GroundIndex
        worst : Worst
            Of any table.
        """
        if worst.group not in self._numbers:
            return worst
        wanted = np.zeros(len(self._numbers), dtype=bool)
        wanted[self._numbers[worst.group]] = True
        curves = self._where(wanted, worst.walker)
        if not curves.any():
            return worst
        part, owner = _part(self._joined[0], curves, np.zeros(len(curves), dtype=np.int64))
        near = improved(index, part, owner, np.array([np.inf]), EXACTLY).get(0)
        if near is None or near.distance >= 0.0:
            return worst
        return replace(worst, distance=near.distance - EXACTLY, point=near.point, nearest=near.nearest, face=near.face)

    def inside(self, index: GroundIndex, group: CurveGroup, walker: float | None) -> float:
        """How much of all that lies where a group does, for its cause and with the walker at one place, is in rock.

        Parameters
        ----------
        index : GroundIndex
        group : CurveGroup
            Groups of its kind, family and cause are taken together: all bays of a line.
        walker : float or None
            [m]

        Returns
        -------
        float
            Length of the chords in rock; 0 when there are none in this table. [m]
        """
        chords = self._joined[0]
        whose = (group.kind, group.family, group.cause)
        mine = np.array([(one.kind, one.family, one.cause) == whose for one in self._numbers])
        chosen = np.flatnonzero(self._where(mine, walker)[chords.curve])
        if not len(chosen):
            return 0.0
        start, end = chords.nodes[chords.first[chosen]], chords.nodes[chords.first[chosen] + 1]
        pieces = np.maximum(np.ceil(chords.length[chosen] / _STEP), 1.0).astype(np.int64)
        owner = np.repeat(np.arange(len(chosen)), pieces)
        k = np.arange(len(owner)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
        low, high = k / pieces[owner], (k + 1) / pieces[owner]

        def holds(share: Floats) -> NDArray[np.bool_]:
            return index.inside(start[owner] + share[:, None] * (end - start)[owner])

        first, last = holds(low), holds(high)
        a, b = low, high
        for _ in range(_HALVINGS):  # To where it goes in or comes out.
            middle = 0.5 * (a + b)
            same = holds(middle) == first
            a, b = np.where(same, middle, a), np.where(same, b, middle)
        out = 0.5 * (a + b)
        share = np.where(first & last, high - low, np.where(first, out - low, np.where(last, high - out, 0.0)))
        return float((share * chords.length[chosen][owner]).sum())


def _part(chords: Chords, chosen: NDArray[np.bool_], group: Ints) -> tuple[Chords, Ints]:
    """The chords of some curves, and the groups of those."""
    keep = chosen[chords.curve]
    number = np.cumsum(chosen) - 1
    part = Chords(
        nodes=chords.nodes, first=chords.first[keep], curve=number[chords.curve[keep]], segment=chords.segment[keep],
        sagitta=chords.sagitta[keep],
    )
    return part, group[chosen]
