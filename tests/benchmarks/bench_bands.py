"""Bands: what they cost, and how near their draws come to 20,000 independent ones."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from linescope.events.bands import ENDS, find_bands, moved_by
from linescope.events.draw_figures import below, depths, excesses, leash_falls, main_lost, tensions
from linescope.events.rig_draws import draw
from linescope.scene import load
from linescope.statics import plan
from tests.benchmarks.timing import Row, timed, within

SCENES = Path(__file__).parents[2] / "scenes"
MANY, FALLS = 20_000, 4000


def rows() -> Iterator[Row]:
    """Both for the scenes whose tapes hold."""
    for name, most in (("heron_gap", 2.0), ("larkspur_ledge", 2.0)):
        scene = load(SCENES / f"{name}.toml")
        planned = plan(scene.rig)
        yield within(f"bands of {name}", timed(lambda s=scene, p=planned: find_bands(s, planned=p), repeat=3), most)
        bands, walker = find_bands(scene, planned=planned), scene.rig.walker
        found, _ = moved_by(scene.rig, scene.inputs.bands)
        loaded = draw(planned, found, np.random.default_rng(3).random((MANY, len(found)))).loaded()
        stack, state = loaded.stack, loaded.balanced
        values = {
            "tension_a": tensions(stack, state)[0], "least_excess": excesses(stack, state).min(axis=1),
            "deepest_loop": depths(stack, state).max(axis=1), "walker_drop": below(stack, state.places[loaded.node]),
            **dict(zip(("gone_rest", "gone_floor", "gone_tension"), main_lost(loaded, walker), strict=True)),
            **dict(zip(("fall_foot", "fall_force"), leash_falls(loaded.only(np.arange(FALLS)), walker), strict=True)),
        }
        off = {
            band.outcome.key: float(np.max(np.abs(
                np.quantile(values[band.outcome.key], ENDS) - (band.low, band.middle, band.high)
            ))) / (band.high - band.low)
            for band in bands.results if band.outcome.key in values
        }
        worst = max(off, key=lambda key: off[key])
        said = ", ".join(f"{key} {100.0 * each:.1f} %" for key, each in off.items())
        yield Row(
            what=f"5, 50 and 95 % of {name} against {MANY} independent draws ({FALLS} for falls)",
            ours=f"{said} of the width", target="2 % of the width", met=off[worst] <= 0.02,
        )
