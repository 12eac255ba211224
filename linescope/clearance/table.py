"""Curves of many states put into one table for the distance search, and what came of it, place by place."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.along import Approach, Chords, improved
from linescope.clearance.distance import GroundIndex
from linescope.clearance.vertical import Drop, lowest
from linescope.clearance.why import Why
from linescope.terrain.plumb import spread
from linescope.terrain.tree import worth

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
    apart : bool
        Whether places stay apart within an anchor zone too: where what is told ends has to be known there as well.
    """

    kind: str
    family: str
    cause: Why
    place: float
    zone: int = 0
    numbered: bool = False
    apart: bool = False
    _hash: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        # Many thousand look-ups: the parts are put together once.
        own = (self.kind, self.family, self.cause, self.place, self.zone, self.numbered, self.apart)
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


@dataclass(frozen=True, eq=False, kw_only=True)
class _Raw:
    """Curves with the same number of nodes, (c, m + 1, 3), as they were added."""

    points: Floats
    sagitta: Floats
    group: Ints
    walker: Floats
    by_walker: NDArray[np.bool_]

    def some(self, chosen: Ints) -> _Raw:
        return _Raw(**{name: getattr(self, name)[chosen] for name in self.__dataclass_fields__})

    @classmethod
    def joined(cls, some: list[_Raw]) -> _Raw:
        return cls(**{name: np.concatenate([getattr(one, name) for one in some]) for name in cls.__dataclass_fields__})


@dataclass(frozen=True, eq=False, kw_only=True)
class _Joined:
    """Chords of many curves, the group and the walker's place of every curve, and the groups by number."""

    chords: Chords
    group: Ints
    walker: Floats
    numbers: dict[CurveGroup, int]


def _within(group: CurveGroup, zone: int) -> CurveGroup:
    """A group, or the one of all that lie in the same zone and need not stay apart."""
    if zone == 0:
        return group
    if group.apart:
        return replace(group, zone=zone)
    return replace(group, place=float(zone), zone=zone, numbered=True)


@dataclass(eq=False)
class CurveTable:
    """Curves of one round, by group.

    Parameters
    ----------
    start, along : (3,) float
        Anchor A and the unit vector to anchor B. [m, -]
    span, zone : float
        Of the line, and beside each anchor where nothing is compared. [m]
    added : dict of CurveGroup to int
        Groups in the order in which they were added.
    """

    start: Floats
    along: Floats
    span: float
    zone: float
    _raw: list[_Raw] = field(default_factory=list)
    added: dict[CurveGroup, int] = field(default_factory=dict)

    def add(
        self,
        points: Floats,
        sagitta: Floats | None,
        groups: Sequence[CurveGroup] | Ints,
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
        groups : c CurveGroup, or (c,) int
            Or their `numbers`, where many states have the same ones.
        walker : float or None
            Where the walker stands; None for what does not depend on him.  [m]
        by_walker : bool
            Whether the walker's place decides about the anchor zone, not that of each piece.
        """
        numbers = groups if isinstance(groups, np.ndarray) else self.numbers(groups)
        self._raw.append(_Raw(
            points=points, sagitta=np.zeros((len(points), points.shape[1] - 1)) if sagitta is None else sagitta,
            group=numbers,
            walker=np.full(len(points), np.nan if walker is None else walker),
            by_walker=np.full(len(points), by_walker),
        ))

    def numbers(self, groups: Sequence[CurveGroup]) -> Ints:
        """(c,) numbers of groups in this table."""
        known = self.added
        return np.array([known.setdefault(group, len(known)) for group in groups], dtype=np.int64)

    @property
    def _borders(self) -> tuple[float, float]:
        return self.zone, self.span - self.zone

    def _cut(self, raw: _Raw) -> list[_Raw]:
        """Curves with nodes put in on the borders of the zones; chords keep their sagittas, which still bound them."""
        if self.zone <= 0.0:
            return [raw]
        parts = [raw]
        for border in self._borders:
            parts = [cut for part in parts for cut in self._cut_at(part, border)]
        return parts

    def _cut_at(self, raw: _Raw, border: float) -> list[_Raw]:
        station = (raw.points - self.start) @ self.along - border
        passed = (
            (station[:, :-1] * station[:, 1:] < 0.0)
            & (np.minimum(np.abs(station[:, :-1]), np.abs(station[:, 1:])) > _ON_BORDER)
            & ~raw.by_walker[:, None]
        )
        times = passed.sum(axis=1)
        if not times.any():
            return [raw]
        once = np.flatnonzero(times)
        k = np.argmax(passed[once], axis=1)
        row, m = np.arange(len(once)), raw.sagitta.shape[1]
        share = station[once, k] / (station[once, k] - station[once, k + 1])
        a, b = raw.points[once, k], raw.points[once, k + 1]
        node, chord = np.arange(m + 2), np.arange(m + 1)
        longer = raw.points[once[:, None], np.where(node <= k[:, None], node, node - 1)]
        longer[row, k + 1] = a + share[:, None] * (b - a)
        sagitta = raw.sagitta[once[:, None], np.where(chord <= k[:, None], chord, chord - 1)]
        part = replace(raw.some(once), points=longer, sagitta=sagitta)
        # One that passes the border again is cut again.
        rest = [raw.some(np.flatnonzero(times == 0))] if (times == 0).any() else []
        return [*rest, *self._cut_at(part, border)]

    def _zones(self, raw: _Raw) -> Ints:
        """(c, m) in which zone each chord lies: 0, `AT_A` or `AT_B`."""
        station = (raw.points - self.start) @ self.along
        station = np.where(raw.by_walker[:, None], raw.walker[:, None], station)
        near, far = self._borders
        at_a = np.maximum(station[:, :-1], station[:, 1:]) <= near + _ON_BORDER
        at_b = np.minimum(station[:, :-1], station[:, 1:]) >= far - _ON_BORDER
        return np.where(at_a, AT_A, np.where(at_b, AT_B, 0))

    def __bool__(self) -> bool:
        return len(self.added) > 0

    @cached_property
    def _parts(self) -> list[_Raw]:
        """All curves, those with as many nodes together; nothing can be added afterwards."""
        by_size: dict[int, list[_Raw]] = {}
        for one in self._raw:
            by_size.setdefault(one.sagitta.shape[1], []).append(one)
        self._raw.clear()
        return [_Raw.joined(some) for some in by_size.values()]

    @cached_property
    def _alike(self) -> dict[tuple[str, str, Why], list[int]]:
        """Numbers of the groups of one kind, family and cause."""
        found: dict[tuple[str, str, Why], list[int]] = {}
        for one, k in self.added.items():
            found.setdefault((one.kind, one.family, one.cause), []).append(k)
        return found

    @cached_property
    def _by_group(self) -> list[tuple[Ints, Ints]]:
        """Of every part: its curves in order of their groups, and where those of each group begin."""
        orders = [np.argsort(part.group, kind="stable") for part in self._parts]
        numbers = np.arange(len(self.added) + 1)
        return [
            (order, np.searchsorted(part.group[order], numbers))
            for order, part in zip(orders, self._parts, strict=True)
        ]

    def _of(self, groups: Sequence[CurveGroup], walker: float | None = None, *, any_walker: bool = True) -> list[Ints]:
        """For each part, the indices of curves that may have chords in any of the given groups."""
        wanted: set[int] = set()
        for one in groups:
            if one.zone != 0:
                wanted.update(self._alike.get((one.kind, one.family, one.cause), ()))
            elif one in self.added:
                wanted.add(self.added[one])
        numbers = sorted(wanted)
        found = []
        for part, (order, begins) in zip(self._parts, self._by_group, strict=True):
            mine = np.sort(np.concatenate([order[:0], *(order[begins[k] : begins[k + 1]] for k in numbers)]))
            if not any_walker:
                at = part.walker[mine]
                mine = mine[np.isnan(at) if walker is None else at == walker]
            found.append(mine)
        return found

    def _joined(self, chosen: list[Ints]) -> _Joined | None:
        """The chords of some curves of every part, cut at the borders of the zones; None where there are none."""
        points, sagitta, first, curve, keys, walker = [], [], [], [], [], []
        nodes = curves = 0
        for whole, mine in zip(self._parts, chosen, strict=True):
            for raw in self._cut(whole.some(mine)) if len(mine) else ():
                c, m = raw.sagitta.shape
                zone = self._zones(raw) if self.zone > 0.0 else np.zeros((c, m), dtype=np.int64)
                fresh = np.ones((c, m), dtype=bool)
                fresh[:, 1:] = zone[:, 1:] != zone[:, :-1]
                owner = np.nonzero(fresh)[0]
                points.append(raw.points.reshape(-1, 3))
                sagitta.append(raw.sagitta.reshape(-1))
                first.append(nodes + (np.arange(c)[:, None] * (m + 1) + np.arange(m)).reshape(-1))
                curve.append(curves + np.cumsum(fresh.reshape(-1)) - 1)
                keys.append(3 * raw.group[owner] - zone[fresh])
                walker.append(raw.walker[owner])
                nodes += c * (m + 1)
                curves += len(owner)
        if not curves:
            return None
        key, group = np.unique(np.concatenate(keys), return_inverse=True)
        known = list(self.added)
        numbers: dict[CurveGroup, int] = {}
        # All places within a zone are one, unless they stay apart.
        number = [numbers.setdefault(_within(known[k // 3], -(k % 3)), len(numbers)) for k in key.tolist()]
        owner = np.concatenate(curve)
        begins = np.concatenate([[0], np.flatnonzero(np.diff(owner)) + 1])
        segment = np.arange(len(owner)) - np.repeat(begins, np.diff(np.append(begins, len(owner))))
        chords = Chords(
            nodes=np.concatenate(points), first=np.concatenate(first), curve=owner, segment=segment,
            sagitta=np.concatenate(sagitta),
        )
        return _Joined(
            chords=chords, group=np.array(number)[group], walker=np.concatenate(walker), numbers=numbers
        )

    def curves(self) -> Iterator[tuple[Floats, NDArray[np.bool_]]]:
        """Nodes (c, m + 1, 3) [m] of all curves, those with as many nodes together, and which (c,) are a body's."""
        body = np.array([group.kind == "body" for group in self.added], dtype=bool)
        for part in self._parts:
            yield part.points, body[part.group]

    def _worth(
        self, index: GroundIndex, best: Mapping[CurveGroup, Worst], needed: Callable[[str], float]
    ) -> list[Ints]:
        """Curves of every part that may matter, by how far their middles are and how far they reach from there."""
        known = list(self.added)
        names = [(one.kind, one.family) for one in known]
        number = {name: k for k, name in enumerate(dict.fromkeys(names))}
        least = np.full(len(number), np.inf)
        for one, worst in best.items():
            if one.zone == 0 and (one.kind, one.family) in number:
                k = number[one.kind, one.family]
                least[k] = min(least[k], worst.distance)
        # What has no number is measured in any case.
        family = np.array([number[name] if one.numbered else -1 for name, one in zip(names, known, strict=True)])
        enough = np.array([needed(kind) for kind, _ in number], dtype=np.float64)
        most = np.array([best[one].distance if one in best else np.inf for one in known])
        tree, found = index.tree, []
        for part in self._parts:
            keep, middle = np.ones(len(part.points), dtype=np.bool_), np.empty((len(part.points), 3))
            worth(
                tree.boxes, tree.starts, tree.corners, index.centre, part.points, part.sagitta, family[part.group],
                most[part.group], least, enough, BEYOND, self.start, self.along, *self._borders, keep, middle,
            )
            away = np.flatnonzero(~keep)
            # What is far from any surface may lie deep in rock.
            keep[away[index.inside(middle[away])]] = True
            found.append(np.flatnonzero(keep))
        return found

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
        more than `BEYOND`, and not short of what is needed, are left out: most of them as whole curves.
        """
        joined = self._joined(self._worth(index, best, needed))
        if joined is None:
            return []
        chords, group, walker, groups = joined.chords, joined.group, joined.walker, list(joined.numbers)
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
        joined = self._joined(self._of(wanted))
        assert joined is not None
        chords, group, walker = joined.chords, joined.group, joined.walker
        numbers = np.full(len(joined.numbers), -1)
        numbers[[joined.numbers[one] for one in wanted]] = np.arange(len(wanted))
        chosen = numbers[group] >= 0
        curves = np.flatnonzero(chosen)
        part, owner = _part(chords, chosen, numbers[group])
        known = np.array([best[one].distance if one in best else np.inf for one in wanted])
        found = improved(index, part, owner, known, DEPTH)
        return [self._worst(near, wanted[k], float(walker[curves[near.curve]])) for k, near in found.items()]

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
        joined = self._joined(self._of(wanted))
        mine = [] if joined is None else [group for group in wanted if group in joined.numbers]
        if joined is None or not mine:
            return {}
        chords, group, walker = joined.chords, joined.group, joined.walker
        numbers = np.full(len(joined.numbers), -1)
        for k, known in enumerate(mine):
            numbers[joined.numbers[known]] = k
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

    def deepest(self, index: GroundIndex, worst: Worst) -> Worst:
        """An approach in rock, found again as exactly as it is told: its depth is a bound.

        Parameters
        ----------
        index : GroundIndex
        worst : Worst
            Of any table.
        """
        joined = self._joined(self._of([worst.group], worst.walker, any_walker=False))
        if joined is None or worst.group not in joined.numbers:
            return worst
        curves = joined.group == joined.numbers[worst.group]
        part, owner = _part(joined.chords, curves, np.zeros(len(curves), dtype=np.int64))
        near = improved(index, part, owner, np.array([worst.distance]), EXACTLY).get(0)
        if near is None:
            return replace(worst, distance=worst.distance - EXACTLY)
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
        # Of a zone all places are one: all of its kind, family and cause, and those outside of the zone as well.
        joined = self._joined(self._of([replace(group, zone=AT_A)], walker, any_walker=False))
        if joined is None:
            return 0.0
        chords = joined.chords
        start, end = chords.nodes[chords.first], chords.nodes[chords.first + 1]
        pieces = np.maximum(np.ceil(chords.length / _STEP), 1.0).astype(np.int64)
        owner = np.repeat(np.arange(len(pieces)), pieces)
        k = np.arange(len(owner)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
        low, high = k / pieces[owner], (k + 1) / pieces[owner]

        def holds(chosen: Ints, share: Floats) -> NDArray[np.bool_]:
            mine = owner[chosen]
            return index.inside(start[mine] + share[:, None] * (end - start)[mine])

        every = np.arange(len(owner))
        first, last = holds(every, low), holds(every, high)
        out, passing = 0.5 * (low + high), np.flatnonzero(first != last)
        a, b = low[passing], high[passing]
        for _ in range(_HALVINGS):  # To where it goes in or comes out.
            middle = 0.5 * (a + b)
            same = holds(passing, middle) == first[passing]
            a, b = np.where(same, middle, a), np.where(same, b, middle)
        out[passing] = 0.5 * (a + b)
        share = np.where(first & last, high - low, np.where(first, out - low, np.where(last, high - out, 0.0)))
        return float((share * chords.length[owner]).sum())


def _chords_of(chords: Chords, chosen: NDArray[np.bool_]) -> Ints:
    """The chords of some curves."""
    curves = np.flatnonzero(chosen)
    first = chords.edge[curves]
    owner, number = spread(chords.edge[curves + 1] - first)
    return first[owner] + number


def _part(chords: Chords, chosen: NDArray[np.bool_], group: Ints) -> tuple[Chords, Ints]:
    """The chords of some curves, and the groups of those."""
    keep = _chords_of(chords, chosen)
    number = np.cumsum(chosen) - 1
    part = Chords(
        nodes=chords.nodes, first=chords.first[keep], curve=number[chords.curve[keep]], segment=chords.segment[keep],
        sagitta=chords.sagitta[keep],
    )
    return part, group[chosen]
