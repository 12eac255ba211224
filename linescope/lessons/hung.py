"""Lessons on a line that hangs: where the slack goes, what uneven spacing does, and the same pen marks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from linescope.contact.stepper import Stepper
from linescope.contact.styles import with_style
from linescope.errors import InputError
from linescope.events.excess import depth_for_loop_length
from linescope.events.pen_marks import CLASSES, pen_marks
from linescope.lessons.shots import PER_LOOP, LessonRow, LessonShot, ranges_of, shot
from linescope.lessons.takes import (
    GROWN,
    STYLES,
    Play,
    Told,
    Tracks,
    Walked,
    evened,
    every_take,
    in_styles,
    needs_bays,
    needs_walker,
    row_of,
    walked,
)
from linescope.rig import MainPlan, Rig, Spacing
from linescope.rig.layout import Layout
from linescope.statics import Plan, Solution, plan
from linescope.statics.minimise import Minimum
from linescope.statics.results import make_solution
from linescope.statics.settle import falling_holds, settling
from linescope.statics.solution import StateName
from linescope.webbing import library

LOWERING = 0.8
"""Hold over the one before, where it is lowered state by state. [-]"""
EASING = 8
"""Holds that a line is eased down to its own through. [-]"""

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


def _settled_shots(planned: Plan) -> tuple[LessonShot, ...]:
    """As taped, shaken, and down to no hold at all; of the way down only what has run farther than by shaking."""
    states = settled_states(planned)
    found = [shot(each, float(np.abs(each.tape_slip).max(initial=0.0))) for each in states]
    stepper = Stepper(planned.rig, planned=planned)
    shaken = shot(stepper.shake(), float(np.abs(stepper.slide - stepper.taped).max(initial=0.0)))
    return (found[0], shaken, *[each for each in found[1:-1] if each.ran > shaken.ran], found[-1])


def where_slack_goes(rig: Rig, told: Told, most: int) -> Play:
    """The three styles settle, for several heights of anchor B."""
    needs_bays(rig)
    own = float(rig.main_a[2] - rig.main_b[2])
    unit = own if abs(own) > 0.02 * rig.span else 0.05 * rig.span
    drops = sorted({0.0, 0.5 * unit, own, 1.5 * unit, 2.0 * unit} | ({unit} if unit != own else set()), key=abs)

    def run(drop: float, whole: bool) -> Tracks:
        tracks = []
        for family, holds in STYLES:
            planned = plan(with_style(dropped(rig, drop), family, holds))
            if whole:
                shots = _settled_shots(planned)
            else:
                last = settled_states(planned, 0.6)[-1]
                shots = (shot(last, float(np.abs(last.tape_slip).max(initial=0.0))),)
            tracks.append(row_of(holds.value, holds, planned, shots))
        return evened(tuple(tracks))

    takes = every_take("where-slack-goes", drops, most, lambda drop: drop == own, told, "settling", run)
    first = next(k for k, take in enumerate(takes) if take.own)
    return Play(
        name="where-slack-goes",
        rig=rig,
        knob="length",
        takes=takes,
        first=first,
        shows=takes[first].tracks[1].shots[-1].depth.max() > GROWN * takes[first].tracks[1].shots[0].depth.max(),
    )


# Uneven spacing

SPREADS = (0.0, 1.0 / 6.0, 1.0 / 3.0, 0.5)
"""Long bays over the mean, less one; short ones as much shorter. [-]"""
UNEVEN = 0.05
"""Bays that differ by less are alike. [-]"""
DEEPER = 1.1
"""So many times as deep, a loop is seen to have taken slack from its neighbours. [-]"""


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


def uneven_spacing(rig: Rig, told: Told, most: int) -> Play:
    """The three styles hung, for bays that differ more and more; and the rig's own bays, where they are others."""
    needs_bays(rig)
    bays = plan(rig).layout.stated_bays[1:-1]
    own = float(np.max(bays) / np.mean(bays) - 1.0) if len(bays) else 0.0
    near = [spread for spread in SPREADS if abs(spread - own) < 0.01]
    if not near and own > UNEVEN:
        near = [own]

    def run(spread: float, whole: bool) -> Tracks:
        return in_styles(rig if spread in near else unevenly(rig, spread), eased)

    stops = sorted({*SPREADS, *near})
    takes = every_take("uneven-spacing", stops, most, lambda spread: spread in near, told, "easing", run)
    wanted = near[0] if near else SPREADS[2]
    first = next(k for k, take in enumerate(takes) if take.whole and take.value == wanted)
    fixed, main = (float(track.shots[-1].depth.max()) for track in takes[first].tracks[:2])
    return Play(
        name="uneven-spacing",
        rig=rig,
        knob="ratio",
        takes=takes,
        first=first,
        window=(0.5 - 0.5 * min(1.0, 8.0 / (len(bays) + 2)), 0.5 + 0.5 * min(1.0, 8.0 / (len(bays) + 2))),
        shows=own > UNEVEN and main > DEEPER * fixed,
    )


# Same pen marks

TENSIONS = (0.75, 1.0, 1.25, 5.0 / 3.0)
"""Times the standing tension. [-]"""


MARKS_STEPS = 25


def marks_walk(stepper: Stepper) -> Walked:
    """As marked on slack lines, hung with nobody on it, and a walker who comes from A to the middle."""
    shares = np.linspace(0.02, 0.5, MARKS_STEPS)
    shots, ranges = walked(stepper, (shares * stepper.layout.main_length).tolist())
    return (marked_shot(stepper.layout), *shots), ranges


def marked_shot(layout: Layout) -> LessonShot:
    """Both lines slack on the ground, loops as deep as they were marked."""
    main_at, backup_at, places, heights = [], [], [], []
    edges = np.concatenate(([0.0], layout.tape_main, [layout.main_length]))
    own = np.concatenate(([0.0], layout.tape_backup, [layout.backup_length]))
    depth = np.asarray(depth_for_loop_length(layout.bays_main, layout.bays_backup), dtype=float)
    share = np.linspace(0.0, 1.0, 2 * PER_LOOP + 1)
    for bay, deep in enumerate(depth):
        inside = share[int(bay > 0) :]
        main_at.append(edges[bay] + inside * (edges[bay + 1] - edges[bay]))
        backup_at.append(own[bay] + inside * (own[bay + 1] - own[bay]))
        places.append(main_at[-1])
        heights.append(-4.0 * deep * inside * (1.0 - inside))
    count = len(layout.tape_main)
    along = np.concatenate(main_at)
    return LessonShot(
        main=np.column_stack((along, np.zeros(len(along)))),
        main_at=along,
        backup=np.column_stack((np.concatenate(places), np.concatenate(heights))),
        backup_at=np.concatenate(backup_at),
        tapes=np.column_stack((layout.tape_main, np.zeros(count))),
        tape_main=layout.tape_main,
        tape_backup=layout.tape_backup,
        feet=None,
        own=-1,
        depth=depth,
        pull=np.zeros(count + 1),
        slid=np.zeros(count),
        ran=0.0,
    )


def same_pen_marks(rig: Rig, told: Told, most: int) -> Play:
    """The same marks on four webbings, for several tensions; one bay of each."""
    needs_walker(rig)
    bay = pen_marks(rig, 0.1, CLASSES[:1])[0].bay - 1  # Refuses what it cannot show.
    tension = rig.main_plan.tension
    if tension is None:
        raise InputError("this lesson needs a standing tension", key="main", found="length", allowed="tension")

    def run(pull: float, whole: bool) -> Tracks:
        tracks = []
        for name in CLASSES:
            webbing = library()[name].webbing
            plan_ = MainPlan(tension=pull, end=rig.main_plan.end)
            stepper = Stepper(replace(rig, main=webbing, backup=webbing, main_plan=plan_))
            shots, ranges = marks_walk(stepper)
            tracks.append(LessonRow(name=webbing.name, holds=None, planned=stepper.planned, shots=shots, ranges=ranges))
        return tuple(tracks)

    pulls = [factor * tension for factor in TENSIONS]
    takes = every_take("pen-marks", pulls, most, lambda pull: pull == tension, told, "walking", run)
    first = next(k for k, take in enumerate(takes) if take.own)
    kept = [track.shots[-1].depth[bay] for track in takes[first].tracks]
    return Play(
        name="pen-marks",
        rig=rig,
        knob="force",
        takes=takes,
        first=first,
        bay=bay,
        shows=min(kept) < 0.8 * max(kept),
    )
