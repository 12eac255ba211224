"""Lessons of a walk: how much a tape must hold, and the slack that walks along."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from linescope.events.stepper import Stepper
from linescope.lessons.shots import LessonRow, Take
from linescope.lessons.takes import (
    NOTHING,
    PER_BAY,
    SEEN,
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
from linescope.statics.assemble import G
from linescope.taping import Holds

# Ten grams

MASSES = (0.0, 0.005, 0.010, 0.020, 0.050, 0.100)
"""Hung on a sample tape, which just carries them. [kg]"""


def walked_once(stepper: Stepper, per_bay: int = PER_BAY) -> Walked:
    """As taped, hung with the hold as it is, one walk there and back, and empty again."""
    return walked(stepper, [None, *there_and_back(stepper, per_bay), None])


def ten_grams(rig: Rig, told: Told, between: int) -> Play:
    """The three styles hung and walked once, for several weights that a sample tape carries."""
    needs_walker(rig)
    needs_bays(rig)
    fixed: list[LessonRow] = []
    solved: dict[float, Tracks] = {}

    def run(mass: float, whole: bool) -> Tracks:
        solved[mass] = in_styles(held(rig, drag=mass * G), walked_once, *fixed)
        fixed[:] = solved[mass][:1]
        return solved[mass]

    takes = every_take("ten-grams", MASSES, between, lambda mass: False, told, "walking", run)
    # With the main held, the knob stops where it is decided as well: at the least hold that keeps all, and one below.
    decided = holding(takes)
    takes = tuple(
        replace(take, tracks=solved[take.value], whole=True) if take.value in decided else take for take in takes
    )
    shows = any(take.tracks[1].shots[-1].ran > SEEN for take in takes)
    first = next(k for k, take in enumerate(takes) if take.value == MASSES[3])
    return Play(name="ten-grams", rig=rig, knob="mass", takes=takes, first=first, shows=shows)


def holding(takes: Sequence[Take], holds: Holds = Holds.MAIN) -> tuple[float | None, float | None]:
    """The least hold with which nothing ran in a walk in one style, and the largest with which something did.  [kg]"""
    ran = {take.value: track.shots[-1].ran for take in takes for track in take.tracks if track.holds is holds}
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


def slack_walks(rig: Rig, told: Told, between: int) -> Play:
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
    takes = every_take("slack-walks", values, between, lambda friction: friction == own, told, "walking", run)
    first = next(k for k, take in enumerate(takes) if take.own)
    fixed_, main = (track.widest for track in takes[first].tracks[:2])
    return Play(
        name="slack-walks",
        rig=rig,
        knob="number",
        takes=takes,
        first=first,
        shows=main[1] - main[0] > 1.25 * (fixed_[1] - fixed_[0]) + SEEN,
    )
