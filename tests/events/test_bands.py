"""Bands: the plan frozen, one webbing drawn once, every draw as the one-by-one events find it, and enough of them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from linescope.events import find_bands
from linescope.events.bands import ENDS, moved_by
from linescope.events.draw_figures import below, depths, excesses, leash_falls, main_lost, tensions
from linescope.events.fall import leash_fall_sweep
from linescope.events.main_gone import main_gone
from linescope.events.meter import tension_strip
from linescope.events.moved import moved
from linescope.events.rig_draws import draw, frozen
from linescope.events.sampling import DRAWS, SEED, DrawGroup, groups, points
from linescope.events.shares import QuadraticFit, shares_of
from linescope.rig import Band, Given, Inputs
from linescope.scene import load
from linescope.scenefile import from_text
from linescope.statics import plan, solve
from tests.events.catch_rigs import Walker
from tests.statics.random_rigs import plain_rig

SCENES = Path(__file__).parents[2] / "scenes"
WIDE = Band(low=0.8, value=1.0, high=1.25)
MORE = 2048
"""Independent draws that a band of `DRAWS` is compared with here; `bench_bands` has 20,000."""


def given(rig, **bands):
    return Given(rig=rig, inputs=Inputs(bands={key.replace("__", "."): band for key, band in bands.items()}))


@pytest.fixture(scope="module")
def heron():
    scene = load(SCENES / "heron_gap.toml")
    return scene, plan(scene.rig)


def test_a_frozen_plan_lays_the_same_tapes_and_changes_nothing():
    for name in ("heron_gap", "larkspur_ledge", "ptarmigan_step", "sable_tarn"):
        rig = load(SCENES / f"{name}.toml").rig
        planned = plan(rig)
        again = plan(frozen(planned))
        np.testing.assert_allclose(again.layout.tape_main, planned.layout.tape_main, atol=1e-9)
        np.testing.assert_allclose(again.layout.tape_backup, planned.layout.tape_backup, atol=1e-9)
        np.testing.assert_allclose(
            again.standing.state.unknowns[:, :3], planned.standing.state.unknowns[:, :3], atol=1e-8
        )


def drops_a_tape():
    """A line of loops whose tension decides about one tape: a little more, and the plan would lay another number."""
    rig = plain_rig(span=60.0, every=1.7, excess=0.12, tension=2000.0, walker=Walker(mass=70.0, at=31.0))

    def tapes(tension):
        return len(plan(replace(rig, main_plan=replace(rig.main_plan, tension=tension))).layout.tapes)

    low, high = 1500.0, 4500.0
    assert tapes(low) != tapes(high)
    while high - low > 1.0:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if tapes(middle) == tapes(1500.0) else (low, middle)
    return replace(rig, main_plan=replace(rig.main_plan, tension=low)), low


def test_where_a_tape_would_drop_out_the_band_is_of_the_line_that_was_laid():
    rig, tension = drops_a_tape()
    planned, step = plan(rig), 0.002 * tension
    more = replace(rig, main_plan=replace(rig.main_plan, tension=tension + step))
    other = plan(more)
    assert len(other.layout.tapes) != len(planned.layout.tapes)
    band = Band(low=tension - step, value=tension, high=tension + step)
    bands = find_bands(given(rig, main__tension=band))
    loop = next(each for each in bands.results if each.outcome.key == "deepest_loop")
    laid_anew = float(solve(more, planned=other).bays.loop_depth.max())
    assert loop.most - loop.least < 0.2 * abs(laid_anew - loop.value)  # On the day the tapes are on.
    group, = moved_by(rig, {"main.tension": band})[0]
    drawn = draw(planned, [group], np.array([[0.0], [0.3], [1.0]]))
    assert set(np.diff(drawn.stack.nodes)) == {planned.pair.n}


def test_every_draw_is_what_the_events_find_one_by_one(heron):
    """Standing figures to the solver's own digits, falls and the lost main to theirs."""
    scene, planned = heron
    found, _ = moved_by(scene.rig, scene.inputs.bands)
    drawn = draw(planned, found, points(len(found))[:6])
    loaded = drawn.loaded()
    foot, force = leash_falls(loaded, scene.rig.walker)
    rest, floor, peak = main_lost(loaded, scene.rig.walker)
    bands = {key: band for group in found for key, band in group.bands.items()}
    for k in range(6):
        rig = moved(frozen(planned), {key: float(each[k]) for key, each in drawn.values.items()}, bands)
        alone = plan(rig)
        state = solve(rig, planned=alone)
        assert tensions(loaded.stack, loaded.balanced)[0][k] == pytest.approx(state.tension_a, rel=1e-9)
        np.testing.assert_allclose(excesses(loaded.stack, loaded.balanced)[k], state.bays.excess, atol=1e-9)
        np.testing.assert_allclose(depths(loaded.stack, loaded.balanced)[k], state.bays.loop_depth, atol=1e-9)
        drop = below(loaded.stack, loaded.balanced.places[loaded.node])[k]
        assert drop == pytest.approx(float(rig.below_anchors(state.walker_point)), abs=1e-9)
        fall = leash_fall_sweep(rig, [rig.walker.at], risen=False, planned=alone)
        assert foot[k] == pytest.approx(float(rig.below_anchors(fall.low.foot[0])), abs=1e-6)
        assert force[k] == pytest.approx(fall.low.peak_force[0], rel=1e-6)
        gone = main_gone(rig, [rig.walker.at], points=1, most=False, run=False, planned=alone).nothing_holds
        assert rest[k] == pytest.approx(gone.rest.depth[0], abs=1e-6)
        assert floor[k] == pytest.approx(gone.lowest.foot_depth[0], abs=1e-6)
        assert peak[k] == pytest.approx(gone.lowest.tension[0], rel=1e-6)


@pytest.mark.parametrize("name", ["ptarmigan_step", "sable_tarn"])
def test_so_it_is_where_tapes_slide_and_stretch_is_curved(name):
    scene = load(SCENES / f"{name}.toml")
    planned = plan(scene.rig)
    found, _ = moved_by(scene.rig, scene.inputs.bands)
    drawn = draw(planned, found, points(len(found))[:2])
    loaded = drawn.loaded()
    settled = loaded.settled
    bands = {key: band for group in found for key, band in group.bands.items()}
    for k in range(2):
        rig = moved(frozen(planned), {key: float(each[k]) for key, each in drawn.values.items()}, bands)
        state = solve(rig, "settled", planned=plan(rig), look_for_others=False)
        np.testing.assert_allclose(depths(loaded.stack, settled)[k], state.bays.loop_depth, atol=1e-6)
        np.testing.assert_allclose(excesses(loaded.stack, settled)[k], state.bays.excess, atol=1e-6)


def test_as_many_draws_as_there_are_are_enough(heron):
    """5, 50 and 95 % of the set's points lie where those of many independent draws lie, to 2 % of the width."""
    scene, planned = heron
    found, _ = moved_by(scene.rig, scene.inputs.bands)
    bands = find_bands(scene, planned=planned)
    assert bands.draws == DRAWS and bands.lost == 0
    shares = np.random.default_rng(3).random((MORE, len(found)))
    many = draw(planned, found, shares).loaded()
    values = {
        "tension_a": tensions(many.stack, many.balanced)[0],
        "walker_drop": below(many.stack, many.balanced.places[many.node]),
        "least_excess": excesses(many.stack, many.balanced).min(axis=1),
        **dict(zip(("gone_rest", "gone_floor", "gone_tension"), main_lost(many, scene.rig.walker), strict=True)),
    }
    for band in bands.results:
        if band.outcome.key in values:
            ends = np.quantile(values[band.outcome.key], ENDS)
            # 2 %, and the comparison's own scatter with so few.
            np.testing.assert_allclose(
                (band.low, band.middle, band.high), ends, atol=0.03 * (band.high - band.low), err_msg=band.outcome.key
            )
    falls = next(band for band in bands.results if band.outcome.key == "fall_foot")
    assert falls.solved < DRAWS and falls.error <= 0.01 * (falls.high - falls.low)
    some = many.only(np.arange(64))
    foot, _ = leash_falls(some, scene.rig.walker)
    assert np.mean((foot > falls.least - 0.05) & (foot < falls.most + 0.05)) == 1.0


def test_one_webbing_is_drawn_once_and_two_are_drawn_apart(heron):
    scene, _ = heron
    both = {"main.stiffness_factor": WIDE, "backup.stiffness_factor": WIDE}
    one, = groups(scene.rig, both)
    assert one.name == "main.stiffness_factor" and set(one.bands) == set(both)
    apart = replace(scene.rig, backup=replace(scene.rig.backup, name="another"))
    assert [group.name for group in groups(apart, both)] == list(both)

    def width(rig):
        found = find_bands(Given(rig=rig, inputs=Inputs(bands=both)), draws=256)
        band = next(each for each in found.results if each.outcome.key == "gone_rest")
        return band.high - band.low

    # A stiffer main is longer slack, a stiffer backup sags less: drawn as one they cancel.
    assert width(scene.rig) < 0.6 * width(apart)


def test_points_kept_are_those_of_the_library():
    from scipy.stats import qmc

    kept = points(16)
    np.testing.assert_allclose(kept, qmc.Sobol(16, scramble=True, seed=SEED).random(DRAWS), atol=1e-5)
    assert points(20, 64).shape == (64, 20)


def test_an_input_is_as_often_below_its_value_as_above():
    group = DrawGroup(name="x", bands={"x": Band(low=1.0, value=2.0, high=5.0)})
    drawn = group.at(points(1)[:, 0])["x"]
    assert np.mean(drawn < 2.0) == pytest.approx(0.5)
    assert (drawn.min(), drawn.max()) == (pytest.approx(1.0, abs=0.01), pytest.approx(5.0, abs=0.03))
    assert group.at(np.array([0.0, 0.25, 0.5, 0.75, 1.0]))["x"].tolist() == [1.0, 1.5, 2.0, 3.5, 5.0]


def test_shares_of_a_sum_and_of_a_product():
    """Of y = 3 a + b + 2 a b with a, b even in -1..1: V(a) = 3, V(b) = 1/3, V(ab) = 4/9 (by hand)."""
    at = points(2)
    inputs = 2.0 * at - 1.0
    a, b = inputs.T
    surface = QuadraticFit.through(inputs, 3.0 * a + b + 2.0 * a * b)
    assert surface.explained == pytest.approx(1.0, abs=1e-9) and surface.error < 1e-9
    first, total = shares_of(surface, lambda share: 2.0 * share - 1.0)
    whole = 3.0 + 1.0 / 3.0 + 4.0 / 9.0
    np.testing.assert_allclose(first, [3.0 / whole, 1.0 / 3.0 / whole], atol=0.02)
    np.testing.assert_allclose(total, [(3.0 + 4.0 / 9.0) / whole, (1.0 / 3.0 + 4.0 / 9.0) / whole], atol=0.02)


def test_a_surface_knows_what_it_misses():
    inputs = 2.0 * points(2) - 1.0
    bent = np.where(inputs[:, 0] > 0.2, inputs[:, 0], 0.2)  # A kink.
    surface = QuadraticFit.through(inputs, bent)
    assert surface.error == pytest.approx(np.sqrt(np.mean((surface.at(inputs) - bent) ** 2)), rel=0.05)
    assert surface.explained < 0.999
    assert QuadraticFit.through(inputs[:6], bent[:6]) is None


def test_readings_scatter_with_tension_and_stretch():
    """On the empty line the reading at A is the tension asked for: its range is nine tenths of that input's own."""
    scene = load(SCENES / "larkspur_ledge.toml")
    strip = tension_strip(scene)
    band = scene.inputs.bands["main.tension"]
    assert strip.lost == 0 and strip.draws == DRAWS
    assert strip.low[0, 0] == pytest.approx(band.low + 0.1 * (band.value - band.low), rel=2e-3)
    assert strip.high[0, 0] == pytest.approx(band.high - 0.1 * (band.high - band.value), rel=2e-3)
    assert np.all((strip.low < strip.value) & (strip.value < strip.high))
    assert {name for name, _ in strip.effects[:2]} == {"main.tension", "main.stiffness_factor"}


def test_a_threshold_inside_is_told(heron):
    """In some of the draws a loop of Heron Gap's neighbour with more excess is tight, in others none."""
    text = (SCENES / "heron_gap.toml").read_text(encoding="utf-8").replace('excess = "3 %"', 'excess = "4.3 %"')
    bands = find_bands(from_text(text, file="scene", folder=SCENES))
    note = next((note for note in bands.notes if note.kind.value == "bands-threshold"), None)
    assert note is not None and 0.0 < note.values["share"].value < 1.0
