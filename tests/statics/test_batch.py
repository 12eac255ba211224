"""Many rigs at once against one by one: random rigs of all kinds, standing tensions, and what a batch may not claim.

`python -m tests.statics.many_batches` does the same with two thousand.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linescope.errors import SolveError
from linescope.rig import Walker
from linescope.statics import plan
from linescope.statics.assemble import assemble, first_guess
from linescope.statics.batch import SETTINGS, taped_and_settled
from linescope.statics.minimise import minimise
from linescope.statics.plans import plans
from linescope.statics.solve import still_air
from linescope.statics.stack import Stack
from linescope.statics.stack_loops import balance_compiled
from linescope.statics.together import balance, guesses
from linescope.taping import Holds
from tests.statics.batches import SAME, alone, compare, pairs_of
from tests.statics.random_rigs import plain_rig, random_rig

SEEDS = tuple(seed for seed in range(60) if seed not in (1, 7, 12, 15, 19, 28, 41))
"""Without the longest lines: one by one they take seconds each."""


@pytest.fixture(scope="module")
def rigs():
    return pairs_of(SEEDS)


@pytest.mark.parametrize("way", ["NumPy", "loops", "settled"])
def test_a_batch_finds_what_the_solver_finds_one_by_one(rigs, way):
    """Fixed wraps and both sliders, curved stretch, wind, joints, own anchors, all in one mixed batch."""
    if way == "settled":  # One by one that takes long.
        rigs = {seed: pair for seed, pair in rigs.items() if pair.n < 40}
    compared = compare(rigs, way, alone(rigs, settled=way == "settled"))
    open_ = [each.seed for each in compared if np.isnan(each.apart)]
    assert len(open_) <= 0.1 * len(compared)
    for each in compared:
        if each.seed not in open_:
            # A soft mode leaves the solver itself that unsure.
            assert each.apart <= max(SAME, 2.0 * each.unsure), each


@pytest.mark.parametrize("seed", [776, pytest.param(1431, marks=pytest.mark.long)])
def test_a_line_that_snaps_comes_to_rest_where_it_does_one_by_one(seed):
    """Under one of the falling holds no state is near; both kinds of sliders slip by metres, and there are several
    states to stop in.  Both searches go there by the same steps: 2.3 m and 45 m apart where one began with a guess."""
    pairs = pairs_of([seed])
    snapped, = compare(pairs, "settled", alone(pairs, settled=True))
    assert snapped.apart <= max(SAME, 2.0 * snapped.unsure), snapped


@pytest.mark.long
@pytest.mark.parametrize("first", range(0, 2000, 100))
def test_two_thousand_rigs(first):
    """As `python -m tests.statics.many_batches`."""
    pairs = pairs_of(range(first, first + 100))
    short = {seed: pair for seed, pair in pairs.items() if pair.n <= 150}
    for ways, some, settled in ((("NumPy", "loops"), pairs, False), (("settled",), short, True)):
        by_themselves = alone(some, settled=settled)
        for way in ways:
            for each in compare(some, way, by_themselves):
                assert np.isnan(each.apart) or each.apart <= max(SAME, 2.0 * each.unsure), (way, each)


def test_the_sample_has_every_kind(rigs):
    pairs = list(rigs.values())
    assert {tuple(np.unique(pair.slide)) for pair in pairs} > {(0,), (0, 1), (0, 2), (0, 1, 2)}
    assert any(not pair.main_stretch.is_linear for pair in pairs)
    assert any(np.abs(pair.main_load[:2]).max() > 0.0 for pair in pairs)
    assert any(np.abs(pair.main_ends - pair.backup_ends).max() > 0.0 for pair in pairs)


def lined(count, **more):
    """Rigs of one topology that differ in tension, excess and the place of their walker."""
    rng = np.random.default_rng(5)
    for _ in range(count):
        yield plain_rig(
            excess=float(rng.uniform(0.01, 0.08)), tension=float(rng.uniform(1200.0, 3000.0)), slope=0.05,
            walker=Walker(mass=float(rng.uniform(50.0, 100.0)), at=float(rng.uniform(5.0, 43.0))), **more,
        )


@pytest.mark.parametrize("loops", [False, True])
@pytest.mark.parametrize(
    "more", [{}, {"end": "B", "measured_on": "tensioned"}, {"holds": Holds.MAIN}], ids=["slack", "tensioned", "sliders"]
)
def test_lengths_for_standing_tensions_are_unknowns_of_the_balance(loops, more):
    some = [*lined(12, **more)]
    for rig, found in zip(some, plans(some, loops=loops), strict=True):
        one = plan(rig)
        # The secant ends at 1e-9 of the tension.
        assert found.layout.main_length == pytest.approx(one.layout.main_length, rel=1e-10)
        # The same length gives the same line.
        pair = assemble(rig, found.layout, still_air(rig.without_walker(), found))[0]
        again = minimise(pair, first_guess(pair))
        np.testing.assert_allclose(found.standing.state.unknowns, again.state.unknowns, atol=SAME, rtol=0.0)


def test_plans_of_rigs_of_all_kinds():
    some = [random_rig(seed) for seed in SEEDS[:24]]
    for rig, found in zip(some, plans(some), strict=True):
        one = plan(rig)
        assert found.layout.main_length == pytest.approx(one.layout.main_length, rel=1e-9)


def test_what_is_changed_in_a_stack_is_what_other_pairs_have():
    """A stack of one pair with other numbers is the stack of pairs with those numbers, and gives them back."""
    rig = next(lined(1, holds=Holds.MAIN))
    planned = plan(rig)
    pair = assemble(rig, planned.layout, still_air(rig, planned))[0]
    rng = np.random.default_rng(1)
    others = []
    for _ in range(4):
        scale, stiff = 1.0 + 0.01 * rng.standard_normal(), rng.uniform(0.8, 1.2, 2)
        others.append(replace(
            pair, main_length=pair.main_length * scale, main_at=pair.main_at * scale,
            backup_at=pair.backup_at * scale, backup_length=pair.backup_length * scale, pull=pair.pull * scale,
            main_load=pair.main_load * np.array([1.0, 1.0, scale]),
            main_stretch=pair.main_stretch.scaled(stiff[0]), backup_stretch=pair.backup_stretch.scaled(stiff[1]),
        ))
    wanted = Stack.of(others)
    soft = np.array([
        [float(pair.main_stretch.at(np.ones(1))[1][0]), float(pair.backup_stretch.at(np.ones(1))[1][0])]
    ])
    has = np.array([[float(o.main_stretch.at(np.ones(1))[1][0]), float(o.backup_stretch.at(np.ones(1))[1][0])]
                    for o in others])
    stack = Stack.of([pair]).repeated(4).changed(
        marks=(wanted.begin_at, wanted.stop_at), pull=wanted.pull, load=wanted.load, softer=has / soft
    )
    for name in ("begin_at", "stop_at", "main_at", "slides", "total", "pull", "q", "up", "weight", "least", "curves"):
        np.testing.assert_allclose(getattr(stack, name)[..., :10], getattr(wanted, name)[..., :10], rtol=1e-12)
    for k, other in enumerate(others):
        back = stack.pair(k)
        np.testing.assert_array_equal(back.slide, other.slide)
        np.testing.assert_allclose(back.start_slides, other.start_slides, rtol=1e-14)
        a, b = (minimise(each, first_guess(each)).state.unknowns for each in (back, other))
        np.testing.assert_allclose(a, b, atol=SAME, rtol=0.0)


def hopeless(pair):
    """No webbing is so stiff: the places of its nodes have not digits enough to balance it."""
    return replace(pair, main_stretch=pair.main_stretch.scaled(1e14))


@pytest.mark.parametrize("solve", [balance, balance_compiled])
def test_a_rig_that_does_not_converge_says_so_and_spoils_no_other(solve):
    some = []
    for rig in lined(5):
        planned = plan(rig)
        some.append(assemble(rig, planned.layout, still_air(rig, planned))[0])
    mixed = [*some[:2], hopeless(some[2]), *some[3:]]
    stack = Stack.of(mixed)
    found = solve(stack, guesses(stack)[0], settings=SETTINGS)
    assert found.done.tolist() == [True, True, False, True, True]
    answers = taped_and_settled(mixed)
    assert isinstance(answers[2], SolveError)
    for k in (0, 1, 3, 4):
        one = minimise(some[k], first_guess(some[k]))
        np.testing.assert_allclose(answers[k].state.unknowns, one.state.unknowns, atol=SAME, rtol=0.0)


def test_settled_answers_are_minima_as_the_solver_gives_them():
    rig = next(lined(1, holds=Holds.MAIN))
    planned = plan(rig)
    pair = assemble(rig, planned.layout, still_air(rig, planned))[0]
    answer, = taped_and_settled([pair], settled=True)
    assert answer.stable
    assert answer.residual <= 1e-8 * pair.weight
    assert answer.state.gradient[~answer.resting, 3] == pytest.approx(0.0, abs=1e-8 * pair.weight)
