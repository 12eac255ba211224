"""Main, loops and the walker standing and hanging, in every case, as curves for the search."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.sampling import sampled
from linescope.clearance.states import Case, Shape, swung_loops
from linescope.clearance.table import CurveGroup, CurveTable
from linescope.clearance.why import CauseKind, Why
from linescope.events.catch import body_hanging
from linescope.statics import Plan
from linescope.statics.assemble import DOWN

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MAIN_PIECES = 2
LOOP_SAGITTA = 1.5e-3
"""Loops are cut into chords that lie about this close to them; what is left is taken off the distance. [m]"""


MANY = 30
"""From so many walker positions on, every second one does to begin with in all cases but the first."""


class Lines:
    """Main, loops and the standing walker in every case; hanging on the leash in the first, still air as taped.

    Parameters
    ----------
    planned : Plan
    cases : list of Case
    progress : callable, optional
        Told the share of the first positions done, 0 to 1.
    """

    def __init__(
        self, planned: Plan, cases: list[Case], progress: Callable[[float], None] | None = None
    ) -> None:
        self.planned, self.cases, self.progress = planned, cases, progress
        self._left_out: Floats | None = None
        line = planned.rig.main_b - planned.rig.main_a
        self._known: dict[tuple[str, Why], dict[int, CurveGroup]] = {}
        self._numbers: dict[tuple[str, Why, bytes], Ints] = {}
        self.normal = np.array([-line[1], line[0], 0.0]) / np.hypot(line[0], line[1])

    def fill(self, table: CurveTable, places: Floats) -> None:
        """Put the shapes for some walker positions into a table; nan stands for the empty line.

        Of many first positions every second one is left out in all cases but the first, until positions beside it are
        asked for.
        """
        tell = self.progress if self._left_out is None else None
        self._numbers.clear()
        others = self._others(places)
        wanted = np.union1d(places[~np.isnan(places)], others[~np.isnan(others)])
        coordinate = dict(zip(wanted.tolist(), self.planned.walker_coordinates(wanted).tolist(), strict=True))
        for number, case in enumerate(self.cases):
            mine = (places if number == 0 else others).tolist()
            case.prepare({at: coordinate[at] for at in mine if at in coordinate})
            for at in mine:
                shape = case.shape(None) if np.isnan(at) else case.shape(at, coordinate[at])
                self._add(table, case, shape)
                if number == 0:
                    self._hang(table, shape)
            if tell is not None:
                tell((number + 1) / len(self.cases))

    def _others(self, places: Floats) -> Floats:
        """The places for all cases but the first."""
        if self._left_out is None:
            at = places[~np.isnan(places)]
            thin = at[1:-1:2] if len(at) >= MANY else at[:0]
            self._left_out = thin
            self._step = float(np.diff(at).max()) if len(at) > 1 else 0.0
            return places[~np.isin(places, thin)]
        away = np.abs(self._left_out[:, None] - places).min(axis=1, initial=np.inf)
        beside = away <= 1.01 * self._step
        found = np.sort(np.concatenate([places, self._left_out[beside]]))
        self._left_out = self._left_out[~beside]
        return found

    def _hang(self, table: CurveTable, shape: Shape) -> None:
        """The quiet hang on the leash, body and leash."""
        walker = self.planned.rig.walker
        if shape.feet is None or shape.walker is None or walker is None:
            return
        cause = Why(kind=CauseKind.HANGING)
        for kind, points in (
            ("body", body_hanging(walker, shape.feet)),
            ("leash", (shape.feet, body_hanging(walker, shape.feet)[1] - walker.hang * DOWN)),
        ):
            group = CurveGroup(kind=kind, family="hang", cause=cause, place=shape.walker)
            table.add(np.array([points]), None, [group], shape.walker, by_walker=True)

    def _add(self, table: CurveTable, case: Case, shape: Shape) -> None:
        why = replace(case.why, loaded=shape.walker is not None)
        for kind, line, pieces in (("line", shape.main, MAIN_PIECES), ("loop", shape.backup, _pieces(shape))):
            points, sagitta = sampled(line.segments, pieces, line.nodes[:-1])
            self._by_bay(table, case, points, sagitta, kind, why, line.bay, shape.walker)
        if case.sudden:
            why = replace(why, air="sudden")
            for points, sagitta in swung_loops(case, shape):
                self._by_bay(table, case, points, sagitta, "loop", why, shape.backup.bay, shape.walker)
        walker = self.planned.rig.walker
        if shape.feet is not None and shape.walker is not None and walker is not None:
            body = np.array([[shape.feet, shape.feet - walker.height * DOWN]])
            why = replace(case.why, kind=CauseKind.STANDING)
            group = CurveGroup(kind="body", family="standing", cause=why, place=shape.walker)
            table.add(body, None, [group], shape.walker, by_walker=True)
            if case.mirrored:
                other = [replace(group, cause=group.cause.other_side)]
                table.add(self._image(body), None, other, shape.walker, by_walker=True)

    def _by_bay(
        self, table: CurveTable, case: Case, points: Floats, sagitta: Floats, kind: str, cause: Why, bays: Ints,
        walker: float | None,
    ) -> None:
        """Add one curve a bay and, where the other side's wind makes their mirror image, that too."""
        table.add(points, sagitta, self._numbers_of(table, kind, cause, bays), walker)
        if case.mirrored:
            numbers = self._numbers_of(table, kind, cause.other_side, bays)
            table.add(self._image(points), sagitta, numbers, walker)

    def _image(self, points: Floats) -> Floats:
        """In the upright plane of the line."""
        normal = self.normal
        return np.asarray(points - 2.0 * ((points - self.planned.rig.main_a) @ normal)[..., None] * normal)

    def _numbers_of(self, table: CurveTable, kind: str, cause: Why, bays: Ints) -> Ints:
        """Of the groups of bays, looked up once a table."""
        key = (kind, cause, bays.tobytes())
        if key not in self._numbers:
            known = self._known.setdefault((kind, cause), {})
            for bay in set(bays.tolist()) - known.keys():
                known[bay] = CurveGroup(kind=kind, family="rig", cause=cause, place=float(bay), numbered=True)
            self._numbers[key] = table.numbers([known[bay] for bay in bays.tolist()])
        return self._numbers[key]


def _pieces(shape: Shape) -> int:
    depth = float(np.max(shape.backup.segments.depth()[0]))
    return int(np.clip(np.ceil(np.sqrt(2.0 * depth / LOOP_SAGITTA)), 6, 120))
