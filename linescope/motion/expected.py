"""What is expected, with its range: the same happening with every input at its low, its middle and its high.

One input at a time, and then all that make it softer together and all that make it harder.  Places are stated in
metres: a figure that has its largest value at an anchor, as forces do, has no largest value along the line.
"""

from __future__ import annotations

import math
import os
import warnings
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from linescope.errors import MotionNotClosed
from linescope.motion.falls import InTime, PartsAt, Progress, leash_fall_in_time, main_gone_in_time
from linescope.motion.ground import Touchable
from linescope.motion.inputs import RANGES, MotionInputs, RunInputs
from linescope.motion.mesh import PER_BAY
from linescope.motion.outcome import Outcome
from linescope.rig import Rig
from linescope.shown import Outlined
from linescope.statics import Plan
from linescope.statics.solution import freeze
from linescope.ties import nearest

Floats = NDArray[np.float64]
Depth = Literal["middle", "ends", "each"]
Breaks = PartsAt | Literal["worst"]
WORST: tuple[PartsAt, ...] = ("anchor A", "anchor B", "beside him, to A", "beside him, to B")
CHAIN = 1.0  # Within it a chain of tapes has run along a line, or has stopped [s].
WEAKEST = 50.0  # Strength of a tape that holds nothing [N].
HALVED = 6  # Times that a strength is narrowed down.

FORCES, LENGTHS, TIMES = (0.03, 40.0), (0.0, 0.03), (0.0, 0.03)
CHANCE: dict[str, tuple[float, float]] = {
    **dict.fromkeys(("leash_force", "main_a", "main_b"), FORCES),
    **dict.fromkeys(("backup_a", "backup_b"), (0.08, 80.0)),  # Of its loops.
    **dict.fromkeys(("raw_leash_force", "tape_force"), (0.3, 50.0)),
    **dict.fromkeys(("ring_lowest", "foot_lowest", "dip"), LENGTHS),
    **dict.fromkeys(("ring_time", "foot_time"), TIMES),
    "rebound": (0.1, 0.0),
}
"""What a figure moves by at most where an input moves by a billionth: a share of the middle, and besides [N, m, s].

Loops that whip make that much of the last digit: twenty runs each at all stated places of Larkspur Ledge and Heron
Gap say so (`tests/motion/chance.py`, tests/EVIDENCE.md), and eight each at five places of Ptarmigan Step.  Within some
metres of an anchor a ring may or may not come to rest at a tape, and tear it: then a billionth decides between two
courses, whose dips are up to `COURSES` apart.  That is no allowance for all places; soft and hard runs mostly take both
courses, but not always.  A range is so much wider than what its few runs give.  Times of peaks, and a free end, are
chance: nothing is said of them.
"""

COURSES = 0.7
"""How far apart depths of the same fall may be near an anchor, by whether the ring comes to rest at a tape.  [m]"""

SOFT: dict[str, Literal["low", "high"]] = {
    "stiffness_factor": "low", "leash_modulus": "low", "body_stiffness": "low", "ring_friction": "low",
    "leaving": "high",
}
"""Ends of the inputs that together make a fall soft and deep; the others together make it hard."""


@dataclass(frozen=True, eq=False, kw_only=True)
class RangeAlong:
    """A figure at n places.  Arrays are (n,).

    Attributes
    ----------
    low, value, high : array
        Of all choices, wider by what `CHANCE` does, and of the middle one.  [of the figure]
    """

    low: Floats
    value: Floats
    high: Floats


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Expected(Outlined):
    """Something that happens at n stated places, with its range.

    Attributes
    ----------
    rig : Rig
    at : (n,) array
        Distances from A along the straight line to B.  [m]
    inputs : MotionInputs
    choices : tuple of str
        What each run took: "middle", an input with "low" or "high", "soft", "hard".
    leash_force, main_a, main_b, backup_a, backup_b : RangeAlong
        Largest 10 ms means.  [N]
    raw_leash_force : RangeAlong
        At any step.  [N]
    ring_lowest, foot_lowest : RangeAlong
        Heights.  [m]
    dip, rebound : RangeAlong
        [m]
    ring_time, foot_time : RangeAlong
        [s]
    tapes_gone : RangeAlong
        How many.  [-]
    tape_force : RangeAlong
        [N]
    leash_time, main_time, backup_time : RangeAlong
        When the leash, and either end of the main and of the backup, are pulled hardest.  [s]
    reach : RangeAlong
        Lowest height of a free end, where the main parted; else nan.  [m]
    parts_at : tuple of str or float
        Where the main parts in the runs with the middle of all inputs, one a place; of several the one with the
        lowest feet.  From A along the straight line to B [m].  Empty in falls.
    holds_from : (n,) array
        Strength of tapes from which none goes.  [N]
    stops_from : (n,) array
        Strength from which a chain of tapes that go leaves one at least; nan where a weak tape holds.  [N]
    foot_point : (n, 3) array
        Lowest foot of all choices, as low as the range goes.  [m]
    happened : tuple of InTime
        With the middle of all inputs: one a place.
    failed : int
        Runs whose account of energy did not close; they are in no range.
    """

    rig: Rig
    at: Floats
    inputs: MotionInputs
    choices: tuple[str, ...]
    leash_force: RangeAlong
    raw_leash_force: RangeAlong
    main_a: RangeAlong
    main_b: RangeAlong
    backup_a: RangeAlong
    backup_b: RangeAlong
    ring_lowest: RangeAlong
    foot_lowest: RangeAlong
    dip: RangeAlong
    rebound: RangeAlong
    ring_time: RangeAlong
    foot_time: RangeAlong
    tapes_gone: RangeAlong
    tape_force: RangeAlong
    leash_time: RangeAlong
    main_time: RangeAlong
    backup_time: RangeAlong
    reach: RangeAlong
    parts_at: tuple[str | float, ...]
    holds_from: Floats
    stops_from: Floats
    foot_point: Floats
    happened: tuple[InTime, ...]
    failed: int

    @property
    def foot_depths(self) -> tuple[Floats, Floats]:
        """(n,) least and greatest depth of the lowest foot below the straight line between the anchors.  [m]"""
        deepest = np.asarray(self.rig.below_anchors(self.foot_point), dtype=float)
        return deepest - (self.foot_lowest.high - self.foot_lowest.low), deepest

    def ends_of(self, *names: str) -> tuple[Floats, Floats]:
        """(n,) least and most of a range, or of the greater of several.  [of the figure]

        Parameters
        ----------
        names : str
            Of its fields.
        """
        ranges: list[RangeAlong] = [getattr(self, name) for name in names]
        return np.max([each.low for each in ranges], axis=0), np.max([each.high for each in ranges], axis=0)

    def only(self, at: float) -> Expected:
        """The same at the one place that is nearest.

        Parameters
        ----------
        at : float
            From A along the straight line to B.  [m]
        """
        k = nearest(self.at, at)
        here: dict[str, Any] = {}
        for each in fields(self):
            value = getattr(self, each.name)
            if isinstance(value, RangeAlong):
                value = RangeAlong(low=value.low[k : k + 1], value=value.value[k : k + 1], high=value.high[k : k + 1])
            elif isinstance(value, np.ndarray) or each.name in ("happened", "parts_at"):
                value = value[k : k + 1]
            here[each.name] = value
        return Expected(**here)


HEIGHTS = ("ring_lowest", "foot_lowest", "reach")  # They may be negative.
FIGURES: dict[str, Callable[[Outcome], float]] = {
    "leash_force": lambda o: o.leash_force,
    "raw_leash_force": lambda o: o.leash_raw,
    "main_a": lambda o: float(o.tension[0]),
    "main_b": lambda o: float(o.tension[1]),
    "backup_a": lambda o: float(o.tension[2]),
    "backup_b": lambda o: float(o.tension[3]),
    "ring_lowest": lambda o: float(o.ring_lowest[2]),
    "foot_lowest": lambda o: float(o.foot_lowest[2]),
    "dip": lambda o: o.dip,
    "rebound": lambda o: o.rebound,
    "ring_time": lambda o: o.ring_time,
    "foot_time": lambda o: o.foot_time,
    "tapes_gone": lambda o: float(len(o.gone)),
    "tape_force": lambda o: o.tape_force,
    "leash_time": lambda o: o.leash_time,
    "main_time": lambda o: float(o.tension_time[int(np.argmax(o.tension[:2]))]),
    "backup_time": lambda o: float(o.tension_time[2 + int(np.argmax(o.tension[2:]))]),
    "reach": lambda o: float(o.reach[0, 2]),
}


def _ranging(name: str, low: Floats, value: Floats, high: Floats) -> RangeAlong:
    """The range of a figure from the least and the most of its runs."""
    share, more = CHANCE.get(name, (0.0, 0.0))
    wider = np.where(high == 0.0, 0.0, share * np.abs(value) + more)  # What carries nothing does so by no chance.
    least = low - wider
    return RangeAlong(low=least if name in HEIGHTS else np.maximum(least, 0.0), value=value, high=high + wider)


def choices_of(inputs: MotionInputs, depth: Depth) -> dict[str, RunInputs]:
    """The choices of a range by name.

    Parameters
    ----------
    inputs : MotionInputs
    depth : {"middle", "ends", "each"}
        Only the middle; that and both ends; each input alone as well.
    """
    middle = inputs.expected()
    found = {"middle": middle}
    if depth == "middle":
        return found
    found["soft"] = replace(middle, **{key: getattr(getattr(inputs, key), end) for key, end in SOFT.items()})
    found["hard"] = replace(
        middle, **{key: getattr(getattr(inputs, key), "high" if end == "low" else "low") for key, end in SOFT.items()}
    )
    # Air takes most where the line flies most, and a tape that stays holds the loops up.
    for name, end in (("weak-tapes-thin-air", "low"), ("strong-tapes-thick-air", "high")):
        found[name] = replace(middle, **{key: getattr(getattr(inputs, key), end) for key in ("tape_strength", "air")})
    if depth == "each":
        for key in RANGES:
            band = getattr(inputs, key)
            for end in ("low", "high"):
                value = getattr(band, end)
                if value != band.value:
                    found[f"{key} {end}"] = replace(middle, **{key: value})
    return found


def expected(
    planned: Plan,
    at: Floats,
    *,
    what: Literal["leash fall", "main gone"] = "leash fall",
    inputs: MotionInputs | None = None,
    depth: Depth = "ends",
    parts_at: Breaks = "anchor A",
    seconds: float | None = None,
    per_bay: int = PER_BAY,
    ground: Touchable | None = None,
    chains: bool = True,
    progress: Progress | None = None,
    workers: int | None = None,
) -> Expected:
    """A happening at stated places with its range; runs share the processor's cores.

    Parameters
    ----------
    planned : Plan
        Of a rig with a walker.
    at : (n,) array
        Distances from A along the straight line to B.  [m]
    what : {"leash fall", "main gone"}
    inputs : MotionInputs, optional
    depth : {"middle", "ends", "each"}
        How much of the ranges is run; see `choices_of`.
    parts_at : {"anchor A", "anchor B", "beside him, to A", "beside him, to B", "worst"} or float
        Where the main parts; a number is metres from A along the straight line to B; "worst": at all that have a name,
        and the figures range over them.  [m]
    seconds : float, optional
        [s]
    per_bay : int
        Pieces in a bay of middling length.
    ground : Touchable, optional
    chains : bool
        Whether to seek from which strength of tapes none goes, and a chain of them stops; else these are nan.
    progress : callable, optional
        Told the share done, 0 to 1; may raise to stop.
    workers : int, optional
        Runs at once; default one a core.

    Raises
    ------
    InputError, MotionNotClosed, NoEquilibrium, SegmentNotSolved
        `MotionNotClosed` only when the middle of all inputs fails; others that fail are counted.
    """
    inputs = MotionInputs() if inputs is None else inputs
    places, choices = np.atleast_1d(np.asarray(at, dtype=float)), choices_of(inputs, depth)
    breaks: tuple[PartsAt, ...] = WORST if parts_at == "worst" else (parts_at,)
    if what == "leash fall":
        breaks = breaks[:1]
    hold = replace(choices["middle"], tape_strength=math.inf)

    def happen(place: float, parts: PartsAt, choice: RunInputs, lasting: float | None) -> InTime:
        if what == "leash fall":
            return leash_fall_in_time(planned, place, choice=choice, seconds=lasting, per_bay=per_bay, ground=ground)
        return main_gone_in_time(
            planned, place, parts_at=parts, choice=choice, seconds=lasting, per_bay=per_bay, ground=ground
        )

    def one(job: tuple[float, PartsAt, str]) -> InTime | None:
        place, parts, name = job
        try:
            return happen(place, parts, choices[name], seconds)
        except MotionNotClosed:
            if name == "middle":
                raise
            return None

    def strengths(place: float, parts: PartsAt, first: InTime) -> tuple[float, float]:
        """From which none goes, and from which one stays."""
        if not chains or not len(first.motion.tape_time):
            return math.nan, math.nan
        high = first.outcome.tape_force if not first.outcome.gone else happen(
            place, parts, hold, CHAIN if what == "main gone" else seconds).outcome.tape_force

        def all_go(strength: float) -> bool:
            weak = happen(place, parts, replace(hold, tape_strength=strength), CHAIN).outcome
            return len(weak.gone) == len(first.motion.tape_time)

        if what == "leash fall" or not all_go(WEAKEST):
            return high, math.nan
        low, top = WEAKEST, max(high, 2.0 * WEAKEST)
        for _ in range(HALVED):
            middle = math.sqrt(low * top)
            low, top = (middle, top) if all_go(middle) else (low, middle)
        return high, top

    count = len(breaks) * len(choices)
    values = np.full((len(FIGURES), len(places), count), np.nan)
    feet = np.full((len(places), count, 3), np.nan)
    middles: dict[tuple[int, int], InTime] = {}
    jobs = [(place, parts, name) for place in places for parts in breaks for name in choices]
    failed, done, total = 0, 0, len(jobs) + len(places)
    with ThreadPoolExecutor(max_workers=workers or os.cpu_count() or 1) as pool:

        def tell() -> None:
            if progress is not None:
                try:
                    progress(done / total)
                except BaseException:
                    pool.shutdown(wait=False, cancel_futures=True)
                    raise

        for found in pool.map(one, jobs):
            place, column = divmod(done, count)
            done += 1
            if found is None:
                failed += 1
            else:
                values[:, place, column] = [figure(found.outcome) for figure in FIGURES.values()]
                feet[place, column] = found.outcome.foot_lowest
                if column % len(choices) == 0:
                    middles[place, column] = found
            tell()
        own = [
            min((column for place, column in middles if place == k), key=lambda column: feet[k, column, 2])
            for k in range(len(places))
        ]
        parted = [breaks[column // len(choices)] for column in own]
        happened = [middles[k, column] for k, column in enumerate(own)]
        limits = []
        for pair in pool.map(strengths, places, parted, happened):
            limits.append(pair)
            done += 1
            tell()
    every = np.arange(len(places))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # Figures that no run has, as free ends in a fall.
        ranges = {
            name: _ranging(name, np.nanmin(rows, axis=1), rows[every, own], np.nanmax(rows, axis=1))
            for name, rows in zip(FIGURES, values, strict=True)
        }
    deepest = feet[every, np.nanargmin(feet[:, :, 2], axis=1)]
    deepest[:, 2] -= CHANCE["foot_lowest"][1]
    result = Expected(
        rig=planned.rig, at=places, inputs=inputs, choices=tuple(choices), **ranges,
        parts_at=tuple(parted) if what == "main gone" else (), holds_from=np.array([high for high, _ in limits]),
        stops_from=np.array([top for _, top in limits]), foot_point=deepest, happened=tuple(happened),
        failed=failed,
    )
    freeze(result)
    for part in ranges.values():
        freeze(part)
    return result
