"""Rub of a whole rig: crossings at the low, middle and high hold, gust cycles, and the worst places."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from linescope.contact.places import Place, worst_places
from linescope.contact.rub import HELD_SHARE, Pairs, mean_swing, slide_rub
from linescope.errors import InputError, SolveError
from linescope.events.crossing import Crossing, cross
from linescope.events.friction import HoldLevel
from linescope.events.refined import REFINED
from linescope.events.wind import WindCase, find_wind
from linescope.rig import Rig, RigSource, Wind, checked_rig
from linescope.rig.layout import Layout
from linescope.statics import Plan, plan
from linescope.statics.minimise import Settings
from linescope.taping import Holds
from linescope.units import format_si

Floats = NDArray[np.float64]
Progress = Callable[[float, str], None]
LEVELS: tuple[HoldLevel, ...] = ("low", "value", "high")
ASSUMED_SPEED = 6.0  # Steady wind square to the line where a scene has none [m/s].
STEPS = Settings(tolerance=1e-9, accepted=1e-6)  # Where rounding stops a step, a millinewton is near enough.
FIRST, MOST = 5, 33  # Steps in each bay to begin with, and at the most: 5, 9, 17, 33 lie within one another.


@dataclass(frozen=True, eq=False, kw_only=True)
class Slide:
    """One crossing with its ledgers.

    Attributes
    ----------
    crossing : Crossing
    ledgers : Pairs
    changed : float
        Largest change of total work and of either line's peak when the steps were last halved; inf where they were
        not.  [-]
    """

    crossing: Crossing
    ledgers: Pairs
    changed: float

    @property
    def refined(self) -> bool:
        """Whether halving the steps had stopped mattering (under 2 %)."""
        return self.changed < REFINED


@dataclass(frozen=True, eq=False, kw_only=True)
class Rub:
    """Rub on one rig.

    Attributes
    ----------
    rig : Rig
    layout : Layout
    slides : mapping of {"low", "value", "high"} to Slide
        One crossing, there and back, at each end of the hold.
    swing : Pairs
        One gust cycle: mean of wind from both sides, as taped and settled, nobody on the line.
    wind : Wind
        What blew.
    crossings, gusts : float
        How many of each the list of places counts.  [-]
    places : tuple of Place
        Worst first.
    assumed : tuple of str
    notes : tuple of str
    """

    rig: Rig
    layout: Layout
    slides: Mapping[HoldLevel, Slide]
    swing: Pairs
    wind: Wind
    crossings: float
    gusts: float
    places: tuple[Place, ...]
    assumed: tuple[str, ...]
    notes: tuple[str, ...]

    def slide(self, level: HoldLevel = "value") -> Pairs:
        """Ledgers of one crossing."""
        return self.slides[level].ledgers

    def counted(self, level: HoldLevel = "value") -> Pairs:
        """Ledgers of `crossings` crossings and `gusts` gust cycles together."""
        return self.slide(level).times(self.crossings).plus(self.swing, self.gusts)


def _finer_and_finer(most: int) -> list[int]:
    """Steps in each bay, each time between those before, from `FIRST` to `most`."""
    if most < 1:
        raise InputError("no such number of steps", key="most", found=most, allowed="1 or more")
    steps = [min(FIRST, most)]
    while steps[-1] > 1 and 2 * steps[-1] - 1 <= most:
        steps.append(2 * steps[-1] - 1)
    return steps


def _peaks(pairs: Pairs) -> Floats:
    return np.array([pairs.total, pairs.main.peak, pairs.backup.peak])


def walk_over(
    rig: Rig, level: HoldLevel, *, planned: Plan, most: int = MOST, held_share: float = HELD_SHARE,
    progress: Callable[[float], None] | None = None,
) -> Slide:
    """A crossing there and back whose steps are halved until work and peaks change by under 2 %.

    Parameters
    ----------
    rig : Rig
        With a walker.
    level : {"low", "value", "high"}
    planned : Plan
    most : int
        Steps in each bay at which to stop in any case; `Slide.changed` then tells what halving still did.
    held_share : float
        See `slide_rub`.  [-]
    progress : callable, optional
        Told the share done.

    Raises
    ------
    InputError
        No step at all, or the rig has no walker.
    NoEquilibrium
    """
    def told(start: float, end: float) -> Callable[[float], None] | None:
        return None if progress is None else lambda share: progress(start + share * (end - start))

    nothing_slides = all(tape.holds is Holds.BOTH for tape in planned.layout.tapes)
    steps = _finer_and_finer(most)[: 1 if nothing_slides else None]
    ends = np.cumsum([0, *steps]) / sum(steps)
    changed = 0.0 if nothing_slides else math.inf
    before = np.zeros(3)
    for k, per_bay in enumerate(steps):
        try:
            walked = cross(
                rig, level=level, per_bay=per_bay, planned=planned, settings=STEPS,
                progress=told(float(ends[k]), float(ends[k + 1])),
            )
        except SolveError:
            if not k:
                raise
            break  # The coarser walk stands, with what its own refining changed.
        crossing, ledgers = walked, slide_rub(walked, held_share=held_share)
        now = _peaks(ledgers)
        if k:
            least = 1e-6 * max(float(now[0]), 1e-6)
            changed = float(np.max(np.abs(now - before) / np.maximum(now, least)))
            if changed < REFINED:
                break
        before = now
    if progress is not None:
        progress(1.0)
    return Slide(crossing=crossing, ledgers=ledgers, changed=changed)


def wind_for(rig: Rig, wind: Wind | None) -> tuple[Wind, str]:
    """The wind that swings the loops, and in words where it comes from.

    A given wind, else the scene's, else an assumed one square to the line.
    """
    if wind is not None or rig.wind is not None:
        found = wind or rig.wind
        assert found is not None
        origin = "as given"
    else:
        line = (rig.main_b - rig.main_a)[:2]
        run = math.hypot(*line)
        found = Wind(speed=ASSUMED_SPEED, towards=(float(-line[1] / run), float(line[0] / run)))
        origin = "ASSUMED: the scene has no wind"
    speed = format_si(found.speed, "speed")
    return found, f"wind {speed} with gusts of {found.gust_factor:.2g} times that ({origin})"


def gust_cases(rig: Rig, wind: Wind, planned: Plan) -> tuple[WindCase, ...]:
    """Wind from both sides on the empty rig, as taped and settled."""
    empty = rig.without_walker()
    slides = any(tape.holds is not Holds.BOTH for tape in planned.layout.tapes)
    states = ("as taped", "settled") if slides else ("as taped",)
    return tuple(
        case
        for state in states
        for case in find_wind(empty, wind, state=state, planned=planned).cases  # type: ignore[arg-type]
    )


def find_rub(
    rig: Rig | RigSource,
    *,
    wind: Wind | None = None,
    crossings: float = 1.0,
    gusts: float = 1.0,
    most: int = MOST,
    worst: int = 20,
    held_share: float = HELD_SHARE,
    levels: tuple[HoldLevel, ...] = LEVELS,
    planned: Plan | None = None,
    progress: Progress | None = None,
) -> Rub:
    """Rub on both lines of a rig.

    Parameters
    ----------
    rig : RigSource or Rig
        With a walker.
    wind : Wind, optional
        Default the rig's own, or else an assumed 6 m/s square to the line.
    crossings, gusts : float
        How many crossings (there and back) and gust cycles the list of worst places counts.  [-]
    most : int
        Steps in each bay, at the most.
    worst : int
        Length of that list.
    held_share : float
        Of slide work on the held line.  [-]
    levels : tuple
        Ends of the hold to walk at; "value" always is.
    planned : Plan, optional
    progress : callable, optional
        Told the share done, 0 to 1, and what is being done.

    Raises
    ------
    InputError
        When the rig has no walker, or `most` is no step.
    NoEquilibrium
    """
    rig = checked_rig(rig)
    planned = plan(rig) if planned is None else planned
    layout = planned.layout
    asked = tuple(level for level in LEVELS if level in levels or level == "value")
    slides: dict[HoldLevel, Slide] = {}
    for count, level in enumerate(asked):
        def told(share: float, count: int = count, level: HoldLevel = level) -> None:
            if progress is not None:
                progress(0.9 * (count + share) / len(asked), f"crossing, hold {level}")

        slides[level] = walk_over(
            rig, level, planned=planned, most=most, held_share=held_share, progress=told
        )
    blown, said = wind_for(rig, wind)
    swing = mean_swing(gust_cases(rig, blown, planned), layout)
    if progress is not None:
        progress(1.0, "gusts")

    def counted(level: HoldLevel) -> Pairs:
        found = slides.get(level, slides["value"])
        return found.ledgers.times(crossings).plus(swing, gusts)

    return Rub(
        rig=rig, layout=layout, slides=MappingProxyType(slides), swing=swing, wind=blown, crossings=crossings,
        gusts=gusts,
        places=worst_places(
            layout, counted("value"), counted("low"), counted("high"), swing.times(gusts), worst
        ),
        assumed=(*_assumed(held_share), said),
        notes=_notes(slides),
    )


def _assumed(held_share: float) -> tuple[str, ...]:
    return (
        f"slide work goes {held_share:.0%} to the line the tape holds, the rest to the line that slides",
        "swing: force x angle x half the width of the narrower line, out and back, at friction 1; half on either line",
        "quasi-static steps: bounce of a walker and flutter in wind are not in here",
    )


def _notes(slides: Mapping[HoldLevel, Slide]) -> tuple[str, ...]:
    notes = ["Rub ranks places and styles on this rig; it says nothing about how long webbing lasts."]
    rough = {level: slide.changed for level, slide in slides.items() if not slide.refined}
    if rough:
        worst = max(rough.values())
        said = (
            f"Steps were not fine enough: halving them still changes work or peaks by up to {100.0 * worst:.2g} %"
            if math.isfinite(worst)
            else "Steps were not refined, so it is not known whether they were fine enough"
        )
        notes.insert(0, f"{said} (hold: {', '.join(rough)}).")
    return tuple(notes)
