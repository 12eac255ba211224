"""What the last digit of an input makes of falls and losses of the main at stated places, beside the ranges told.

    python -m tests.motion.chance --write      Larkspur Ledge and Heron Gap, some five minutes

The walker's place or mass is some billionths off, twenty times.  What loops make of that is chance; a range that is
told has to hold it.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from linescope.events.places import stated_places
from linescope.motion import leash_fall_in_time, main_gone_in_time
from linescope.motion.expected import CHANCE, FIGURES, WORST, Expected, expected
from linescope.motion.falls import InTime, PartsAt
from linescope.motion.inputs import MotionInputs, inputs_of_rig
from linescope.scene import load
from linescope.statics import Plan, plan
from tests.evidence_page import write_section

SCENES = Path(__file__).parents[2] / "scenes"
NAMES = ("larkspur_ledge", "heron_gap")
RUNS, BILLIONTH = 20, 1e-9
FALLS, LOSSES = "leash falls", "losses of the main"


def moved(planned: Plan, at: float, number: int) -> tuple[Plan, float]:
    """The plan and a place on it with the mass of the walker, or the place, some billionths off."""
    share = 1.0 + BILLIONTH * (1 + number // 4) * (1 if number % 4 < 2 else -1)
    if number % 2:
        return planned, at * share
    walker = replace(planned.rig.walker, mass=planned.rig.walker.mass * share)
    return replace(planned, rig=replace(planned.rig, walker=walker)), at


def cases(
    planned: Plan, inputs: MotionInputs
) -> Iterator[tuple[str, float, Expected, Callable[[Plan, float], InTime]]]:
    """What happens, where, the ranges told of it, and how to run it."""
    middle = inputs.expected()
    for at in stated_places(planned.rig):
        told = expected(planned, np.array([at]), inputs=inputs)
        yield FALLS, at, told, lambda changed, place: leash_fall_in_time(changed, place, choice=middle)
    at = planned.rig.walker.at
    for parts in WORST:
        told = expected(planned, np.array([at]), what="main gone", parts_at=parts, inputs=inputs)

        def gone(changed: Plan, place: float, parts: PartsAt = parts) -> InTime:
            return main_gone_in_time(changed, place, parts_at=parts, choice=middle)

        yield LOSSES, at, told, gone


def table() -> str:
    """The table of the evidence, and the places at which chance alone is wider than `CHANCE`."""
    rows, apart = [], []
    for name in NAMES:
        scene = load(SCENES / f"{name}.toml")
        planned = plan(scene.rig)
        counts: dict[str, NDArray[np.int64]] = {}
        for what, at, told, happen in cases(planned, inputs_of_rig(planned.rig, scene.inputs)):
            runs = [happen(*moved(planned, at, number)).outcome for number in range(RUNS)]
            for figure, (share, more) in CHANCE.items():
                found, band = np.array([FIGURES[figure](run) for run in runs]), getattr(told, figure)
                low, value, high = band.low[0], band.value[0], band.high[0]
                outside = int(np.sum((found < low) | (found > high)))
                over = float(np.max(np.abs(found - value))) / (share * abs(value) + more)
                counts.setdefault(what, np.zeros(4, dtype=np.int64))
                counts[what] += [1, outside == 0, outside, over <= 1.0]
                if over > 1.0:
                    apart.append((name, what, at, figure, over))
        for what, (n, held, out, own) in counts.items():
            rows.append(f"| {name}: {what} | {n} | {held} | {out} of {n * RUNS} | {own} |")
    places = sorted({(name, what, round(float(at), 1)) for name, what, at, *_ in apart})
    where = "; ".join(f"{name}, {what}, {at:g} m" for name, what, at in places) or "nowhere"
    most: dict[str, float] = {}
    for *_, figure, share in apart:
        most[figure] = max(share, most.get(figure, 0.0))
    listed = ", ".join(f"{figure} {share:.1f}" for figure, share in most.items()) or "nothing"
    head = ("| what | ranges | that hold all runs | runs outside | held by chance alone |", "|---|--:|--:|--:|--:|")
    last = f"Not held by chance alone: {where}. Most there, over the allowance: {listed}."
    return "\n".join([f"{RUNS} runs of each:", "", *head, *rows, "", last])


if __name__ == "__main__":
    text = table()
    sys.stdout.write(f"{text}\n")
    if "--write" in sys.argv:
        write_section("chance in motion", text)
