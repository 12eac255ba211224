"""What each lesson computes: its rows, the settings of its knob, and the states it passes through.

Every state is solved.  Where the lines come to rest with less and less hold, and where somebody walks, each state is
found from the one before, so that what has slipped stays slipped.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.contact.styles import with_style
from linescope.errors import InputError
from linescope.events.main_gone import main_gone
from linescope.events.pen_marks import CLASSES, pen_marks
from linescope.events.stepper import Stepper
from linescope.lessons.shots import LessonRow, LessonShot, Take, flat, ranges_of, shot
from linescope.rig import Band, Hold, MainPlan, Rig, Spacing
from linescope.statics import Plan, Solution, plan, solve
from linescope.statics.assemble import G
from linescope.statics.minimise import Minimum
from linescope.statics.results import make_solution
from linescope.statics.settle import falling_holds, settling
from linescope.statics.solution import StateName
from linescope.taping import Holds
from linescope.webbing import library

STYLES = (("fixed wrap", Holds.BOTH), ("main-held slider", Holds.MAIN), ("backup-held slider", Holds.BACKUP))
PER_BAY = 9
"""Steps of a walk in each bay; three leave the work of sliders that hold the backup 12 % low. [-]"""
LOWERING = 0.8
"""Hold over the one before, where it is lowered state by state. [-]"""
MOST_SHOTS = 64
"""States shown of a row; a walk has more steps, of which some are left out. [-]"""
EASING = 8
"""Holds that a line is eased down to its own through. [-]"""
FEWEST_BAYS = 4
SEEN = 0.02
"""Less that loops or tapes move is hardly seen. [m]"""

Told = Callable[[float, str], None]
Walked = tuple[tuple[LessonShot, ...], NDArray[np.float64]]
"""States shown, and the least and most depth of each loop (n, 2) [m] over all of them, those left out included."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Play:
    """A lesson as computed on one rig.

    Attributes
    ----------
    name : str
    rig : Rig
        The rig as given.
    knob : str
        Dimension of the knob's value.
    takes : tuple of Take
        In order of the knob.
    first : int
        Which of them is shown first.
    bay : int
        The one bay that is shown, levelled; -1: the whole line.
    window : (float, float)
        What is shown of the line, as shares of the span.  [-]
    shows : bool
        Whether what the lesson is about can be seen on this rig.
    """

    name: str
    rig: Rig
    knob: str
    takes: tuple[Take, ...]
    first: int
    bay: int = -1
    window: tuple[float, float] = (0.0, 1.0)
    shows: bool = True

    @property
    def take(self) -> Take:
        """The one shown first."""
        return self.takes[self.first]

    def track(self, holds: Holds, take: int | None = None) -> LessonRow:
        """The row of a style."""
        tracks = self.takes[self.first if take is None else take].tracks
        return next(track for track in tracks if track.holds is holds)


def _walker(rig: Rig) -> None:
    if rig.walker is None:
        raise InputError("this lesson walks over the line, and nobody is there", key="walker")


def _bays(rig: Rig) -> None:
    bays = len(plan(rig).layout.bays_main)
    if bays < FEWEST_BAYS:
        raise InputError(
            "this lesson needs more tapes", key="taping.zones", found=f"{bays} bays", allowed=f"at least {FEWEST_BAYS}"
        )


def held(rig: Rig, drag: float | None = None, friction: float | None = None) -> Rig:
    """The same rig, all of whose sliders hold alike.

    Parameters
    ----------
    rig : Rig
    drag : float, optional
        [N]
    friction : float, optional
        [-]
    """

    def same(hold: Hold) -> Hold:
        found = hold
        if drag is not None:
            found = replace(found, drag=Band(low=drag, value=drag, high=drag))
        if friction is not None:
            found = replace(found, friction=Band(low=friction, value=friction, high=friction))
        return found

    zones = tuple(zone if zone.hold is None else replace(zone, hold=same(zone.hold)) for zone in rig.taping.zones)
    return replace(rig, hold=same(rig.hold), taping=replace(rig.taping, zones=zones))


def _kept(count: int, most: int = MOST_SHOTS) -> set[int]:
    return set(np.linspace(0, count - 1, min(most, count)).round().astype(int).tolist())


def _row(name: str, holds: Holds | None, planned: Plan, shots: tuple[LessonShot, ...]) -> LessonRow:
    """A row whose states are all shown."""
    ranges = ranges_of([(each.own, each.depth) for each in shots])
    return LessonRow(name=name, holds=holds, planned=planned, shots=shots, ranges=ranges)


def _walked(stepper: Stepper, places: Sequence[float | None]) -> Walked:
    """The state it is in and those of a walk, some left out; what ran counts all of them."""
    shots, ran, kept = [shot(stepper.state)], np.zeros(len(stepper.taped)), _kept(len(places) + 1)
    before, depths = stepper.slide, [(shots[0].own, shots[0].depth)]
    for count, at in enumerate(places, 1):
        stepper.move(at)
        depths.append((stepper.own_bay, stepper.depths))
        now = stepper.slide
        ran, before = ran + np.abs(now - before), now
        if count in kept:
            shots.append(shot(stepper.state, float(ran.max(initial=0.0))))
    return tuple(shots), ranges_of(depths)


def _styles(rig: Rig, run: Callable[[Stepper], Walked]) -> tuple[LessonRow, ...]:
    found = []
    for family, holds in STYLES:
        stepper = Stepper(with_style(rig, family, holds))
        shots, ranges = run(stepper)
        row = LessonRow(name=holds.value, holds=holds, planned=stepper.planned, shots=shots, ranges=ranges)
        found.append(row)
    return tuple(found)


def _even(tracks: tuple[LessonRow, ...]) -> tuple[LessonRow, ...]:
    """Rows with the same number of shots: what comes to rest sooner stays."""
    most = max(len(track.shots) for track in tracks)
    return tuple(
        replace(track, shots=(*track.shots, *[track.shots[-1]] * (most - len(track.shots)))) for track in tracks
    )


def _there_and_back(stepper: Stepper, per_bay: int) -> list[float]:
    places = stepper.stations(per_bay)
    return [*places.tolist(), *places[::-1].tolist()]


# Where did the slack go


def settled_states(laid: Plan, lowering: float = LOWERING) -> tuple[Solution, ...]:
    """As taped, and every state while the hold of all sliders is lowered to nothing; nobody on the line.

    Parameters
    ----------
    laid : Plan
    lowering : float
        Each hold over the one before.  [-]

    Raises
    ------
    NoEquilibrium
    """
    pair, taped = laid.pair, laid.standing

    def readable(found: Minimum, name: StateName) -> Solution:
        return make_solution(
            rig=laid.rig.without_walker(),
            layout=laid.layout,
            state_name=name,
            minimum=found,
            walker_node=None,
            iterations=found.steps,
            other_equilibria=None,
        )

    states = [readable(taped, "as taped")]
    if pair.free_slides.any():
        states += [readable(each, "settled") for each in settling(pair, taped, falling_holds(pair, taped, lowering))]
    return tuple(states)


def dropped(rig: Rig, drop: float) -> Rig:
    """The same rig with anchor B so far below anchor A.  [m]"""
    down = np.array([0.0, 0.0, rig.main_a[2] - drop - rig.main_b[2]])
    anchors = replace(rig.anchors, main_b=rig.main_b + down, backup_b=rig.backup_b + down)
    return replace(rig, anchors=anchors)


def where_slack_goes(rig: Rig, told: Told) -> Play:
    """The three styles settle, for several heights of anchor B."""
    _bays(rig)
    own = float(rig.main_a[2] - rig.main_b[2])
    unit = own if abs(own) > 0.02 * rig.span else 0.05 * rig.span
    drops = sorted({0.0, 0.5 * unit, own, 1.5 * unit, 2.0 * unit} | ({unit} if unit != own else set()), key=abs)
    takes = []
    for count, drop in enumerate(drops):
        moved, tracks = dropped(rig, drop), []
        for family, holds in STYLES:
            planned = plan(with_style(moved, family, holds))
            states = settled_states(planned)
            shots = tuple(shot(each, float(np.abs(each.tape_slip).max(initial=0.0))) for each in states)
            tracks.append(_row(holds.value, holds, planned, shots))
        takes.append(Take(value=drop, own=drop == own, tracks=_even(tuple(tracks))))
        told((count + 1) / len(drops), "settling")
    first = drops.index(own)
    return Play(
        name="where-slack-goes",
        rig=rig,
        knob="length",
        takes=tuple(takes),
        first=first,
        shows=takes[first].tracks[1].shots[-1].ran > SEEN,
    )


# Ten grams

MASSES = (0.0, 0.005, 0.010, 0.020, 0.050, 0.100)
"""Hung on a sample tape, which just carries them. [kg]"""


def walked_once(stepper: Stepper, per_bay: int = PER_BAY) -> Walked:
    """As taped, hung with the hold as it is, one walk there and back, and empty again."""
    return _walked(stepper, [None, *_there_and_back(stepper, per_bay), None])


def ten_grams(rig: Rig, told: Told) -> Play:
    """The three styles hung and walked once, for several weights that a sample tape carries."""
    _walker(rig)
    _bays(rig)
    takes = []
    for count, mass in enumerate(MASSES):
        tracks = _styles(held(rig, drag=mass * G), walked_once)
        takes.append(Take(value=mass, own=False, tracks=tracks))
        told((count + 1) / len(MASSES), "walking")
    shows = any(take.tracks[1].shots[-1].ran > SEEN for take in takes)
    return Play(name="ten-grams", rig=rig, knob="mass", takes=tuple(takes), first=3, shows=shows)


# The slack walks with you

FRICTIONS = (0.05, 0.08, 0.12, 0.25)
"""Of webbing in a slider; the last one is the default, the first a demonstration. [-]"""


def second_walk(stepper: Stepper, per_bay: int = PER_BAY) -> Walked:
    """The second walk there and back, from where the first one left the line."""
    way = _there_and_back(stepper, per_bay)
    for at in (None, *way, way[0]):
        stepper.move(at)
    return _walked(stepper, way[1:])


def slack_walks(rig: Rig, told: Told) -> Play:
    """The three styles in the second walk, for several frictions."""
    _walker(rig)
    _bays(rig)
    own = rig.hold.friction.value
    values = sorted({*FRICTIONS, own})
    takes = []
    for count, friction in enumerate(values):
        tracks = _styles(held(rig, friction=friction), second_walk)
        takes.append(Take(value=friction, own=friction == own, tracks=tracks))
        told((count + 1) / len(values), "walking")
    first = values.index(own)
    fixed, main = (track.widest for track in takes[first].tracks[:2])
    return Play(
        name="slack-walks",
        rig=rig,
        knob="number",
        takes=tuple(takes),
        first=first,
        shows=main[1] - main[0] > 1.25 * (fixed[1] - fixed[0]) + SEEN,
    )


# Uneven spacing

SPREADS = (0.0, 1.0 / 6.0, 1.0 / 3.0, 0.5)
"""Long bays over the mean, less one; short ones as much shorter. [-]"""


def unevenly(rig: Rig, spread: float) -> Rig:
    """The same rig with short and long bays in turn, as many as it has.

    Parameters
    ----------
    rig : Rig
    spread : float
        Long bays over the mean, less one.  [-]
    """
    zones = []
    for zone in rig.taping.zones:
        mean = _mean(zone.spacing)
        zones.append(
            replace(
                zone,
                spacing=Spacing(kind="pattern", values=(mean * (1.0 - spread), mean * (1.0 + spread))),
                number=None,
            )
        )
    return replace(rig, taping=replace(rig.taping, zones=tuple(zones)))


def _mean(spacing: Spacing) -> float:
    if spacing.kind in ("even", "irregular"):
        return spacing.every
    if spacing.kind == "pattern":
        return float(np.mean(spacing.values))
    return float(np.mean(np.diff((0.0, *spacing.values))))


def eased(stepper: Stepper) -> Walked:
    """As taped, and with a hold that comes down to the scene's own; nobody on the line."""
    found, ran, before = [shot(stepper.state)], np.zeros(len(stepper.taped)), stepper.slide
    for times in np.geomspace(12.0, 1.0, EASING):
        stepper.ease(float(times))
        stepper.move(None)
        ran, before = ran + np.abs(stepper.slide - before), stepper.slide
        found.append(shot(stepper.state, float(ran.max(initial=0.0))))
    shots = tuple(found)
    return shots, ranges_of([(each.own, each.depth) for each in shots])


def uneven_spacing(rig: Rig, told: Told) -> Play:
    """The three styles hung, for bays that differ more and more; and the rig's own bays, where they are others."""
    _bays(rig)
    bays = plan(rig).layout.stated_bays[1:-1]
    own = float(np.max(bays) / np.mean(bays) - 1.0) if len(bays) else 0.0
    near = [k for k, spread in enumerate(SPREADS) if abs(spread - own) < 0.01]
    takes = []
    for count, spread in enumerate(SPREADS):
        mine = count in near
        tracks = _styles(rig if mine else unevenly(rig, spread), eased)
        takes.append(Take(value=spread, own=mine, tracks=tracks))
        told((count + 1) / len(SPREADS), "easing")
    first = near[0] if near else 2
    run = takes[first].tracks[1].shots[-1].ran
    return Play(
        name="uneven-spacing",
        rig=rig,
        knob="ratio",
        takes=tuple(takes),
        first=first,
        window=(0.5 - 0.5 * min(1.0, 8.0 / (len(bays) + 2)), 0.5 + 0.5 * min(1.0, 8.0 / (len(bays) + 2))),
        shows=bool(near) and own > 0.05 and run > 0.5 * SEEN,
    )


# Same pen marks

TENSIONS = (0.75, 1.0, 1.25, 5.0 / 3.0)
"""Times the standing tension. [-]"""


MARKS_STEPS = 25


def marks_walk(stepper: Stepper) -> Walked:
    """Nobody on the line, and a walker who comes from A to the middle."""
    shares = np.linspace(0.02, 0.5, MARKS_STEPS)
    return _walked(stepper, (shares * stepper.layout.main_length).tolist())


def same_pen_marks(rig: Rig, told: Told) -> Play:
    """The same marks on four webbings, for several tensions; one bay of each."""
    _walker(rig)
    first = pen_marks(rig, 0.1, CLASSES[:1])[0]  # Refuses what it cannot show.
    tension = rig.main_plan.tension
    if tension is None:
        raise InputError("this lesson needs a standing tension", key="main", found="length", allowed="tension")
    takes = []
    for count, factor in enumerate(TENSIONS):
        tracks = []
        for name in CLASSES:
            webbing = library()[name].webbing
            pulled = replace(
                rig,
                main=webbing,
                backup=webbing,
                main_plan=MainPlan(tension=factor * tension, end=rig.main_plan.end),
            )
            stepper = Stepper(pulled)
            shots, ranges = marks_walk(stepper)
            tracks.append(
                LessonRow(name=webbing.name, holds=None, planned=stepper.planned, shots=shots, ranges=ranges)
            )
        takes.append(Take(value=factor * tension, own=factor == 1.0, tracks=tuple(tracks)))
        told((count + 1) / len(TENSIONS), "walking")
    last = takes[1].tracks
    bay = first.bay - 1
    kept = [track.shots[-1].depth[bay] for track in last]
    return Play(
        name="pen-marks", rig=rig, knob="force", takes=tuple(takes), first=1, bay=bay, shows=min(kept) < 0.8 * max(kept)
    )


# A tape is not a tie

TIES = (1, 3, 7)
"""Evenly along the line. [-]"""


def tied(rig: Rig, count: int) -> Rig:
    """The same rig with so many ties, evenly along the line, and no others."""
    return replace(rig, ties=tuple(float(rig.span * k / (count + 1)) for k in range(1, count + 1)))


def gone_shot(rig: Rig, planned: Plan) -> tuple[LessonShot, LessonShot]:
    """The walker on the line, and as low as energy lets him fall once the main has gone where he stands.

    Both lines of the second one are the backup and what holds together with it; tapes hold nothing there.
    """
    state = solve(rig, planned=planned)
    standing = shot(state)
    lost = main_gone(rig, planned=planned, most=False, run=False).ties_hold
    line = flat(lost.lowest.line[0], rig.main_a, rig.main_b)
    section = lost.section[0]
    ring, foot = (flat(points, rig.main_a, rig.main_b)[0] for points in (lost.lowest.ring, lost.lowest.foot))
    none = np.zeros(0)
    low = LessonShot(
        main=np.empty((0, 2)),
        main_at=section,
        backup=line,
        backup_at=np.linspace(0.0, 1.0, len(line)),
        tapes=np.empty((0, 2)),
        tape_main=none,
        tape_backup=none,
        feet=np.array([ring[0], foot[1]]),
        own=-1,
        depth=lost.lowest.foot_depth[:1],
        pull=lost.lowest.tension[:1],
        slid=none,
        ran=0.0,
    )
    return standing, low


def _gone_row(name: str, holds: Holds | None, rig: Rig, planned: Plan) -> LessonRow:
    shots = gone_shot(rig, planned)
    low = ranges_of([(-1, shots[1].depth)])
    return LessonRow(name=name, holds=holds, planned=planned, shots=shots, ranges=low)


def ties(rig: Rig, told: Told) -> Play:
    """Tape alone in three styles, and the rig's own style with ties."""
    _walker(rig)
    _bays(rig)
    tape = []
    for count, (family, holds) in enumerate(STYLES):
        styled = with_style(tied(rig, 0), family, holds)
        planned = plan(styled)
        tape.append(_gone_row(holds.value, holds, styled, planned))
        told((count + 1) / 6, "falling")
    takes = []
    for count, many in enumerate(TIES):
        held_by = tied(rig, many)
        planned = plan(held_by)
        row = _gone_row("ties", None, held_by, planned)
        takes.append(Take(value=float(many), own=False, tracks=(*tape, row)))
        told((count + 4) / 6, "falling")
    lows = [float(take.tracks[-1].shots[-1].depth[0]) for take in takes]
    deepest = max(float(track.shots[-1].depth[0]) for track in tape)
    return Play(name="ties", rig=rig, knob="count", takes=tuple(takes), first=2, shows=deepest - min(lows) > 1.0)


PLAYS: dict[str, Callable[[Rig, Told], Play]] = {
    "pen-marks": same_pen_marks,
    "where-slack-goes": where_slack_goes,
    "ten-grams": ten_grams,
    "slack-walks": slack_walks,
    "uneven-spacing": uneven_spacing,
    "ties": ties,
}


def play(name: str, rig: Rig, told: Told | None = None) -> Play:
    """A lesson on a rig.

    Parameters
    ----------
    name : str
        One of `PLAYS`.
    rig : Rig
    told : callable, optional
        Told the share done, 0 to 1, and what is being done.

    Raises
    ------
    InputError
        When it cannot be shown on this rig, with what would have to change.
    NoEquilibrium
    """
    if name not in PLAYS:
        raise InputError("there is no such lesson", key="LESSON", found=name, allowed=", ".join(PLAYS))
    return PLAYS[name](rig, told or (lambda share, what: None))
