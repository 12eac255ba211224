"""Where main and backup touch: intervals on both lines, their gap profile and the force that presses there.

The lines touch where the gap between their centre lines is at most half the sum of their thicknesses plus a stated
tolerance.  The model joins the centre lines at a tape in one point, so contact lengths count from the tape's middle.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.contact.gap import Gap, crossings
from linescope.contact.pressing import How, loops_pull, parallel_pressing, tape_forces
from linescope.contact.slides import betweens
from linescope.errors import InputError
from linescope.events.wind import WindCase
from linescope.notes import Kind, Note, Quantity, Severity, Value
from linescope.shown import Outlined
from linescope.statics import Solution
from linescope.statics.assemble import G
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Cause = Literal["tape", "anchor", "tight bay", "shallow loop", "pressed", "over the main"]

TOLERANCE = 0.001  # Added to half the sum of the thicknesses, for edges and twist: assumed [m].
PROFILE = 33  # Points of a gap profile.


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Touch(Outlined):
    """One stretch along which the lines touch.

    Attributes
    ----------
    cause : str
        "tape": a loop leaves its tape; "anchor": the same at a shared anchor; "tight bay": the backup carries load
        and lies along the main; "shallow loop": slack, but less deep than the reach; "pressed": a tight or shallow
        backup that the main lies on between tapes; "over the main": a loop that can come above the main may lie on
        it anywhere in its bay (a bound).
    tape : int or None
        Number of the tape at which it lies.
    bays : (int, int)
        First and last bay, counted from 1 at anchor A.
    main, backup : (float, float)
        Material coordinates of its ends on each line.  [m]
    points : (2, 3) array
        Its ends on the main, in space.  [m]
    towards_a, towards_b : float
        Unstretched backup in contact on either side of the tape or anchor; 0 for other causes.  [m]
    normal : float
        Force across the main over the whole interval, whoever takes it.  [N]
    normal_towards_a, normal_towards_b : float
        What the loops on either side add to it; 0 for other causes.  [N]
    carried, pressed : float
        The part of it that hangs in the strip (or the anchor), and the part that presses the lines together.  [N]
    bare : float
        Share of the width in which line lies on line there: less than 1 where the tape has strip in between.  [-]
    how : How
        How the force was found.
    profile_backup, profile_gap : (m,) arrays
        Material coordinate on the backup and gap between the centre lines there; 0 where a tight backup would have
        to pass above the main.  [m]
    """

    cause: Cause
    tape: int | None
    bays: tuple[int, int]
    main: tuple[float, float]
    backup: tuple[float, float]
    points: Floats
    towards_a: float
    towards_b: float
    normal: float
    normal_towards_a: float
    normal_towards_b: float
    carried: float
    pressed: float
    bare: float
    how: How
    profile_backup: Floats
    profile_gap: Floats

    @property
    def length(self) -> float:
        """Unstretched backup in contact.  [m]"""
        return self.backup[1] - self.backup[0]


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Touching(Outlined):
    """All stretches along which the lines of one state touch.  n bays, t tapes.

    Attributes
    ----------
    solution : Solution
    turn : (n,) array or None
        Angle by which the loops have swung on from that state about their chords.  [rad]
    tolerance, reach : float
        Stated tolerance, and the largest gap that counts as touching.  [m]
    touches : tuple of Touch
        In order along the backup.
    largest_gap : (n,) array
        Of each bay.  [m]
    assumed : tuple of Note
    """

    solution: Solution
    turn: Floats | None
    tolerance: float
    reach: float
    touches: tuple[Touch, ...]
    largest_gap: Floats
    assumed: tuple[Note, ...]

    def at_tape(self, number: int) -> Touch:
        """The touch at a tape, counted from 1 at anchor A; without length where both its bays touch all along."""
        return next(t for t in self.touches if t.cause == "tape" and t.tape == number)

    def sides(self) -> Floats:
        """(t, 2) contact length towards A and B at every tape, whatever the cause; at most half a loop.  [m]"""
        count = len(self.solution.layout.tapes)
        loops = self.solution.bays.loop_length
        sides = np.zeros((count, 2))
        for touch in self.touches:
            if touch.cause == "tape" and touch.tape is not None:
                sides[touch.tape - 1] += touch.towards_a, touch.towards_b
            elif touch.cause in ("tight bay", "shallow loop", "pressed"):
                bay = touch.bays[0]
                whole = touch.length >= loops[bay - 1] * (1.0 - 1e-9)
                if whole and bay <= count:
                    sides[bay - 1, 0] += loops[bay - 1]
                if whole and bay > 1:
                    sides[bay - 2, 1] += loops[bay - 1]
        half = 0.5 * np.column_stack((loops[:-1], loops[1:]))
        return np.minimum(sides, half)


class TouchNote(Kind):
    """What is said of touch."""

    REACH = "touch-basis-reach"
    MIDDLE = "touch-basis-middle"
    OVER = "touch-basis-over"
    STRIP = "touch-strip-carries"
    LINES = "touch-lines-pressed"
    LIES_OVER = "touch-lies-over"
    THROWN = "touch-thrown"
    REBOUND = "touch-basis-rebound"


class _Finder:
    """One search: the gap function, its intervals in every bay, and the forces."""

    def __init__(self, solution: Solution, reach: float, turn: Floats | None) -> None:
        self.solution, self.reach = solution, reach
        self.gap = Gap(solution, turn)
        self.length = self.gap.length
        self.forces, self.pull = tape_forces(solution), loops_pull(solution)
        self.between = betweens(solution.rig, solution.layout)

    def intervals(self) -> list[list[tuple[float, float]]]:
        """Touching parts of every bay, as unstretched distances from its first end.  [m]"""
        roots = crossings(self.gap.signed, self.length, self.reach)
        result = []
        for bay, found in enumerate(roots):
            edges = np.concatenate(([0.0], found, [self.length[bay]]))
            middle = 0.5 * (edges[:-1] + edges[1:])
            inside = self.gap.signed(np.full(len(middle), bay), middle) <= self.reach
            parts: list[tuple[float, float]] = []
            for k in np.flatnonzero(inside):
                if parts and parts[-1][1] == edges[k]:
                    parts[-1] = (parts[-1][0], float(edges[k + 1]))
                else:
                    parts.append((float(edges[k]), float(edges[k + 1])))
            result.append(parts)
        return result

    def largest(self) -> Floats:
        """(n,) largest gap of each bay.  [m]"""
        n = len(self.length)
        share = np.linspace(0.0, 1.0, 65)
        bays = np.repeat(np.arange(n), len(share))
        found = self.gap.nearest(bays, (self.length[:, None] * share).reshape(-1))
        return np.asarray(found.gap.reshape(n, -1).max(axis=1))

    def touch(
        self, cause: Cause, tape: int | None, parts: list[tuple[int, float, float]], normal: Floats, how: How,
        pull: float | None = None,
    ) -> Touch:
        """Collect the parts (bay, from, to) of one interval; `normal` is total, towards A, towards B, and `pull` what
        is counted towards the main: where it is None, lines press on lines."""
        coordinate = self.solution.backup.coordinate
        bay = np.repeat([part[0] for part in parts], PROFILE)
        s = np.concatenate([np.linspace(start, end, PROFILE) for _, start, end in parts])
        found = self.gap.nearest(bay, s)
        ends = [0, len(s) - 1]
        sides = [0.0, 0.0]
        if cause in ("tape", "anchor"):
            for _, start, end in parts:
                sides[0 if start > 0.0 else 1] += end - start
        profile_backup = coordinate[bay] + s
        result = Touch(
            cause=cause, tape=tape, bays=(int(bay[0]) + 1, int(bay[-1]) + 1),
            main=(float(found.main[0]), float(found.main[-1])),
            backup=(float(profile_backup[0]), float(profile_backup[-1])),
            points=found.main_point[ends], towards_a=sides[0], towards_b=sides[1],
            normal=float(normal[0]), normal_towards_a=float(normal[1]), normal_towards_b=float(normal[2]),
            carried=0.0 if pull is None else max(-pull, 0.0),
            pressed=float(normal[0]) if pull is None else max(pull, 0.0),
            bare=1.0 if tape is None else self.between[tape - 1].main.line_on_line, how=how,
            profile_backup=profile_backup,
            profile_gap=np.maximum(self.gap.signed(bay, s), 0.0),
        )
        freeze(result)
        return result

    def leaves(self, bay: int, part: tuple[float, float]) -> bool:
        """Whether a part begins or ends at a tape and opens from there; one that passes above the main is pressed."""
        if part[0] > 0.0 and part[1] < self.length[bay]:
            return False
        s = np.linspace(*part, PROFILE)
        return bool(np.min(self.gap.signed(np.full(PROFILE, bay), s)) > -self.reach)

    def run(self) -> tuple[Touch, ...]:
        """All touches, in order along the backup."""
        parts = self.intervals()
        touches: list[Touch] = []
        n = len(parts)
        excess = self.solution.bays.excess
        full = [bool(p) and p[0][0] == 0.0 and p[0][1] == self.length[b] for b, p in enumerate(parts)]
        beside = [
            [part for part in found if not full[bay] and self.leaves(bay, part)] for bay, found in enumerate(parts)
        ]
        for node in range(n + 1):
            here: list[tuple[int, float, float]] = []
            if node > 0:
                here += [(node - 1, a, b) for a, b in beside[node - 1] if b == self.length[node - 1]]
            if node < n:
                here += [(node, a, b) for a, b in beside[node] if a == 0.0]
            if not here and 0 < node < n:
                here = [(node - 1, self.length[node - 1], self.length[node - 1]), (node, 0.0, 0.0)]
            if here:
                tape = node if 0 < node < n else None
                forces = self.forces[node]
                touches.append(
                    self.touch("tape" if tape else "anchor", tape, here, forces, How.TAPE, float(self.pull[node]))
                )
            if node == n:
                break
            for start, end in parts[node]:
                if (start, end) in beside[node]:
                    continue
                if not full[node]:
                    cause: Cause = "pressed"
                else:
                    cause = "tight bay" if excess[node] < 0.0 else "shallow loop"
                normal, how = parallel_pressing(self.solution, node, (end - start) / self.length[node])
                touches.append(self.touch(cause, None, [(node, start, end)], np.array([normal, 0.0, 0.0]), how))
        return tuple(touches)


def _basis(kind: TouchNote, **values: Value) -> Note:
    return Note(kind=kind, severity=Severity.BASIS, values=values)


def find_touches(solution: Solution, *, tolerance: float = TOLERANCE, turn: Floats | None = None) -> Touching:
    """Where the lines of one state touch.

    Parameters
    ----------
    solution : Solution
        In still air or in wind.
    tolerance : float
        Added to half the sum of the thicknesses.  [m]
    turn : (n,) array, optional
        Angle by which the loops have swung on about their chords, as `WindCase.sudden_swing` - `gust_swing`.  [rad]

    Raises
    ------
    InputError
        When the tolerance is out of range.

    Notes
    -----
    Ends of intervals are roots of the gap along the exact catenaries, to 1e-9 of the loop or better.

    Examples
    --------
    >>> import linescope
    >>> touching = linescope.find_touches(linescope.solve("scenes/ptarmigan_step.toml"))
    >>> len(touching.touches) > 0
    True
    """
    if not 0.0 <= tolerance <= 0.1:
        raise InputError("no such tolerance of touch", key="tolerance", found=tolerance, allowed="0 to 0.1 m")
    rig = solution.rig
    reach = 0.5 * (rig.main.thickness + rig.backup.thickness) + tolerance
    finder = _Finder(solution, reach, turn)
    result = Touching(
        solution=solution, turn=None if turn is None else np.array(turn), tolerance=tolerance, reach=reach,
        touches=finder.run(), largest_gap=finder.largest(),
        assumed=(
            _basis(TouchNote.REACH, reach=Quantity(reach, "length"), tolerance=Quantity(tolerance, "length")),
            _basis(TouchNote.MIDDLE, width=Quantity(rig.taping.stock.width, "length")),
        ),
    )
    freeze(result)
    return result


@dataclass(frozen=True, eq=False, kw_only=True)
class WindTouching:
    """Touches of one wind case.

    Attributes
    ----------
    case : WindCase
    steady, gust : Touching
        At rest in the steady wind and in the gust.
    sudden : Touching
        At the far end of the swing in a sudden gust (bound); loops that can come above the main are added with
        cause "over the main".
    """

    case: WindCase
    steady: Touching
    gust: Touching
    sudden: Touching


def find_wind_touches(case: WindCase, *, tolerance: float = TOLERANCE) -> WindTouching:
    """Where the lines touch in wind and in the swing of a sudden gust.

    Parameters
    ----------
    case : WindCase
    tolerance : float
        [m]

    Notes
    -----
    A loop that can come above the main may fall back on it anywhere between its tapes.  That is given as one
    interval over the whole bay with the whole weight of the loop as its force: a bound, not a shape.
    """
    gust = find_touches(case.gust, tolerance=tolerance)
    sudden = find_touches(case.gust, tolerance=tolerance, turn=case.sudden_swing - case.gust_swing)
    return WindTouching(
        case=case, steady=find_touches(case.steady, tolerance=tolerance), gust=gust,
        sudden=_with_over(sudden, case.above),
    )


def _with_over(touching: Touching, bays: Iterable[int]) -> Touching:
    over = tuple(_over_the_main(touching, bay) for bay in bays)
    return replace(
        touching, touches=tuple(sorted((*touching.touches, *over), key=lambda touch: touch.backup)),
        assumed=(*touching.assumed, _basis(TouchNote.OVER)),
    )


def _over_the_main(swung: Touching, bay: int) -> Touch:
    solution = swung.solution
    finder = _Finder(solution, swung.reach, swung.turn)
    length = float(finder.length[bay - 1])
    mass = solution.rig.backup.mass + solution.rig.weather.backup_added
    weight = mass * G * length
    return finder.touch("over the main", None, [(bay - 1, 0.0, length)], np.array([weight, 0.0, 0.0]), How.WEIGHT)


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class TouchState(Outlined):
    """Touches of one state that a line comes into.

    Attributes
    ----------
    name : {"taped", "steady", "gust", "sudden", "fall", "thrown"}
        As taped, in the wind, in a gust, at the far end of the swing in a sudden gust, at the bottom of a leash fall,
        and as taped with the loops lying over the main that the line threw up as it sprang back from that fall.
    touching : Touching
    """

    name: Literal["taped", "steady", "gust", "sudden", "fall", "thrown"]
    touching: Touching

    @property
    def over(self) -> tuple[Touch, ...]:
        """What may lie on the main from above."""
        return tuple(touch for touch in self.touching.touches if touch.cause == "over the main")

    @property
    def lying(self) -> tuple[Touch, ...]:
        """Where the lines press on each other away from tapes and anchors, and over the main."""
        return tuple(
            touch for touch in self.touching.touches if touch.cause not in ("tape", "anchor") and touch.pressed > 0.0
        )


def find_touch_states(
    taped: Touching, case: WindCase | None = None, bottom: Solution | None = None, thrown: tuple[int, ...] = ()
) -> tuple[TouchState, ...]:
    """Where the lines touch as taped, in wind, at the bottom of a fall and after it.

    Parameters
    ----------
    taped : Touching
    case : WindCase, optional
    bottom : Solution, optional
        Of a leash fall.
    thrown : tuple of int
        Bays whose loop that fall throws above the main; see `linescope.motion.Outcome`.
    """
    found = [TouchState(name="taped", touching=taped)]
    if case is not None:
        blown = find_wind_touches(case, tolerance=taped.tolerance)
        found += [
            TouchState(name="steady", touching=blown.steady), TouchState(name="gust", touching=blown.gust),
            TouchState(name="sudden", touching=blown.sudden),
        ]
    if bottom is not None:
        fallen = find_touches(bottom, tolerance=taped.tolerance)
        found.append(TouchState(name="fall", touching=replace(
            fallen, assumed=(*fallen.assumed, _basis(TouchNote.REBOUND))
        )))
    if thrown:
        found.append(TouchState(name="thrown", touching=_with_over(taped, thrown)))
    return tuple(found)
