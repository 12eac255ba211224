"""Lines made to one plan, each a little otherwise, and read with noise: what is told of them, and what is found.

    python -m tests.events.made_lines          200 lines of Larkspur Ledge, a minute
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from linescope.events.draw_figures import below, excesses, tensions
from linescope.events.fitted import FittedLines, ReadingModel, fit_lines, possible
from linescope.events.moved import moved
from linescope.events.predicted import foreseen
from linescope.events.priors import unknowns_of
from linescope.events.rig_draws import draw_values, frozen
from linescope.rig import Band, Inputs, Reading, Rig
from linescope.statics import Plan, plan

SCENES = Path(__file__).parents[2] / "scenes"
FIGURES = ("tension with the walker", "feet below the chord", "least excess")
GROSS = {"tension": 900.0, "sag": 0.5, "loop": 0.09}
"""How far off a wrong reading is: a meter behind a pulley, a mark half a metre off, a loop of the next bay.  [SI]"""


@dataclass(frozen=True)
class Made:
    """Lines that were made and read: their inputs, their figures, what was read of each."""

    model: ReadingModel
    u: Any
    figures: Any
    read: Any


def readings_of(rig: Rig, loops: int = 6) -> tuple[Reading, ...]:
    """A meter, two sags under eighty kilograms, and loops all along."""
    tension = rig.main_plan.tension
    assert tension is not None
    bays = len(plan(rig).layout.tapes) + 1
    numbers = np.unique(np.linspace(2, bays - 1, loops).astype(int)).tolist()
    half, quarter = 0.5 * rig.span, 0.25 * rig.span
    return (
        Reading(what="tension", value=tension, error=0.05 * tension),
        Reading(what="sag", value=1.0, error=0.03, mass=80.0, at=half),
        Reading(what="sag", value=1.0, error=0.03, mass=80.0, at=quarter),
        *(Reading(what="loop", value=0.4, error=0.015, number=number) for number in numbers),
    )


def figures(model: ReadingModel, u: Any) -> Any:
    """(R, 3) of lines with standardized inputs (R, d): `FIGURES`."""
    drawn, _ = model.drawn(u)
    assert len(drawn.rows) == len(u)
    loaded = drawn.loaded()
    return np.column_stack((
        tensions(loaded.stack, loaded.balanced)[0], below(loaded.stack, loaded.balanced.places[loaded.node]),
        excesses(loaded.stack, loaded.balanced).min(axis=1),
    ))


def made(rig: Rig, inputs: Inputs, count: int, *, seed: int, readings: tuple[Reading, ...] | None = None) -> Made:
    """Lines whose inputs are drawn as they are said to be unknown, read with the errors that readings say."""
    rng = np.random.default_rng(seed)
    unknowns = unknowns_of(rig, inputs)
    model = ReadingModel(plan(rig), unknowns, readings_of(rig) if readings is None else readings)
    u = rng.standard_normal((count, len(unknowns)))
    error = np.hypot([each.error for each in model.readings], model.spread)
    shown = model.shown(u)
    return Made(model, u, figures(model, u), shown + error * rng.standard_normal(shown.shape))


def inside(lines: Made, fitted: FittedLines, draws: int) -> Any:
    """(L, 3) whether each figure of each line lies between 5 and 95 % of what its readings leave possible."""
    every = np.concatenate([possible(u, cover, draws) for u, cover in zip(fitted.u, fitted.cover, strict=True)])
    left = figures(lines.model, every).reshape(len(fitted.u), draws, -1)
    low, high = np.quantile(left, (0.05, 0.95), axis=1, method="hazen")
    return (lines.figures >= low) & (lines.figures <= high)


def truth_of(rig: Rig, planned: Plan, **values: float) -> Rig:
    """A line built otherwise than planned."""
    keyed = {key.replace("__", "."): value for key, value in values.items()}
    bands = {key: Band(low=0.0, value=1.0, high=1e6) for key in keyed}
    return moved(frozen(planned), keyed, bands)


def read_off(built: Rig, readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """What readings show on a line, without noise."""
    planned = plan(built)
    drawn = draw_values(planned, {"survey": np.zeros(1)}, {"survey": Band(low=-1.0, value=0.0, high=1.0)})
    shown = foreseen(drawn, readings)[0].tolist()
    return tuple(replace(each, value=value) for each, value in zip(readings, shown, strict=True))


def with_one_wrong(lines: Made, *, seed: int) -> tuple[Any, Any]:
    """What was read with one reading of each line far off, and which one."""
    rng = np.random.default_rng(seed)
    count = len(lines.read)
    wrong, sign = rng.integers(len(lines.model.readings), size=count), rng.choice([-1.0, 1.0], size=count)
    size = np.array([GROSS[each.what] for each in lines.model.readings])[wrong]
    read, rows = lines.read.copy(), np.arange(count)
    read[rows, wrong] += np.where(read[rows, wrong] > size, sign, 1.0) * size
    return read, wrong


def main() -> None:
    """Print the figures of the full sample."""
    from linescope.scene import load

    scene = load(SCENES / "larkspur_ledge.toml")
    lines = made(scene.rig, scene.inputs, 200, seed=1)
    fitted = fit_lines(lines.model, lines.read)
    shares = inside(lines, fitted, 64).mean(axis=0)
    said = [f"{name}: inside in {share:.1%} of 200 lines" for name, share in zip(FIGURES, shares, strict=True)]
    said.append(f"right readings refused: {np.mean(~fitted.used):.2%}")
    read, wrong = with_one_wrong(lines, seed=2)
    found = ~fit_lines(lines.model, read).used[np.arange(len(wrong)), wrong]
    said.append(f"wrong readings found: {found.mean():.1%}")
    for k, unknown in enumerate(lines.model.unknowns):
        told = 1.0 - fitted.cover[:, k, k].mean()
        true = 1.0 - np.mean((fitted.u[:, k] - lines.u[:, k]) ** 2)
        said.append(f"{unknown.name}: told {told:.2f} by the fit, {true:.2f} in truth")
    sys.stdout.write("\n".join(said) + "\n")


if __name__ == "__main__":
    main()
