"""Lessons of a walk: how much a tape must hold, and the slack that walks along."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

import numpy as np

from linescope.contact.parting import find_parting
from linescope.contact.stepper import Stepper
from linescope.contact.styles import with_style
from linescope.lessons.shots import LessonRow, Take
from linescope.lessons.takes import (
    GROWN,
    NOTHING,
    PER_BAY,
    SEEN,
    STYLES,
    Play,
    Told,
    Tracks,
    Walked,
    every_take,
    held,
    in_styles,
    needs_bays,
    needs_walker,
    there_and_back,
    walked,
)
from linescope.rig import Rig
from linescope.statics import plan
from linescope.statics.assemble import G
from linescope.taping import Holds

# Ten grams

MASSES = (0.0, 0.005, 0.010, 0.020, 0.050, 0.100)
"""Hung on a sample tape, which just carries them. [kg]"""
LITTLE_LESS = 0.97
"""Of what holds, and it is seen to run. [-]"""


def walked_once(stepper: Stepper, per_bay: int = PER_BAY) -> Walked:
    """As taped, hung with the hold as it is, one walk there and back, and empty again."""
    return walked(stepper, [None, *there_and_back(stepper, per_bay), None])


def ten_grams(rig: Rig, told: Told, most: int) -> Play:
    """The three styles hung and walked once, for several weights that a sample tape carries."""
    needs_walker(rig)
    needs_bays(rig)
    fixed: list[LessonRow] = []

    def run(mass: float, whole: bool) -> Tracks:
        tracks = in_styles(held(rig, drag=mass * G), walked_once, *fixed)
        fixed[:] = tracks[:1]
        return tracks

    # The knob stops where it is decided as well: at the least hold that keeps all, with the main held a little below.
    enough = enough_held(rig)
    stops = sorted({*MASSES, *enough.values(), two_figures(LITTLE_LESS * enough[Holds.MAIN])})
    takes = every_take("ten-grams", stops, most, lambda mass: False, told, "walking", run)
    taped, deepest = (
        max(float(take.tracks[1].shots[k].depth.max()) for take in takes if take.whole) for k in (0, -1)
    )
    shows = deepest > GROWN * taped
    first = next(k for k, take in enumerate(takes) if take.value == MASSES[3])
    return Play(name="ten-grams", rig=rig, knob="mass", takes=takes, first=first, shows=shows)


def enough_held(rig: Rig, per_bay: int = PER_BAY) -> dict[Holds, float]:
    """Of sliders all alike, friction as it is: the least hold with which nothing runs in a walk, to two figures.

    Returns
    -------
    dict of Holds to float
        Of tapes that hold the main, and of those that hold the backup.  [kg]
    """
    found = {}
    for family, holds in STYLES[1:]:
        parting = find_parting(plan(with_style(rig, family, holds)), holds, per_bay)
        found[holds] = two_figures(parting.drag / G, up=True)
    return found


def two_figures(value: float, *, up: bool = False) -> float:
    """Down, or up, to two figures."""
    if value <= 0.0:
        return 0.0
    ones = Decimal(repr(value))
    return float(ones.quantize(Decimal(1).scaleb(ones.adjusted() - 1), ROUND_CEILING if up else ROUND_FLOOR))


def holding(takes: Sequence[Take], holds: Holds = Holds.MAIN) -> tuple[float | None, float | None]:
    """Of the knob's stops the least with which nothing ran in a walk in one style, and the largest with which something
    did.  [kg]"""
    ran = {
        take.value: track.shots[-1].ran
        for take in takes
        for track in take.tracks
        if take.whole and track.holds is holds
    }
    moved = [value for value, each in ran.items() if each >= NOTHING]
    still = [value for value in ran if value > max(moved, default=-1.0)]
    return min(still, default=None), max(moved, default=None)


# The slack walks with you

FRICTIONS = (0.05, 0.08, 0.12, 0.25)
"""Of webbing in a slider; the last one is the default, the first a demonstration. [-]"""


def second_walk(stepper: Stepper, per_bay: int = PER_BAY) -> Walked:
    """The second walk there and back, from where the first one left the line."""
    way = there_and_back(stepper, per_bay)
    for at in (None, *way, way[0]):
        stepper.move(at)
    return walked(stepper, way[1:])


def slack_walks(rig: Rig, told: Told, most: int) -> Play:
    """The three styles in the second walk, for several frictions."""
    needs_walker(rig)
    needs_bays(rig)
    own = rig.hold.friction.value
    fixed: list[LessonRow] = []

    def run(friction: float, whole: bool) -> Tracks:
        tracks = in_styles(held(rig, friction=friction), second_walk, *fixed)
        fixed[:] = tracks[:1]
        return tracks

    values = sorted({*FRICTIONS, own})
    takes = every_take("slack-walks", values, most, lambda friction: friction == own, told, "walking", run)
    first = next(k for k, take in enumerate(takes) if take.own)
    fixed_, main = takes[first].tracks[:2]
    runs = np.ptp(main.widest) > 1.25 * np.ptp(fixed_.widest) + SEEN
    return Play(
        name="slack-walks",
        rig=rig,
        knob="number",
        takes=takes,
        first=first,
        shows=bool(runs) and follows(main),
        runs=bool(runs),
    )


def follows(row: LessonRow) -> bool:
    """Whether on the middle half of the way there the deepest loop is mostly the walker's own or one beside it."""
    walked_ = [each for each in row.shots if each.feet is not None]
    turned = int(np.argmax([float(each.feet[0]) for each in walked_ if each.feet is not None]))
    there = walked_[: turned + 1][turned // 4 : 3 * turned // 4 + 1]
    return bool(np.mean([abs(int(np.argmax(each.depth)) - each.own) <= 1 for each in there]) > 0.5)
