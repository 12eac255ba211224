"""Exact derivatives against differences: energy to gradient, gradient to tangent, on solved and on disturbed pairs."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.rig import Spacing, Walker
from linescope.statics.assemble import assemble, first_guess
from linescope.statics.blocks import BlockMatrix
from linescope.statics.plan import plan
from linescope.statics.solve import still_air
from linescope.taping import Holds
from tests.statics.random_rigs import plain_rig


def disturbed(holds: Holds, seed: int = 4):
    """A small inclined pair out of balance: every node and slide a few centimetres off."""
    rig = plain_rig(
        span=30.0, slope=0.2, turn=0.7, holds=holds, excess=0.08, walker=Walker(mass=75.0, at=11.0),
        spacing=Spacing(kind="irregular", every=4.0, spread=0.3, seed=2), measured_on="tensioned",
    )
    planned = plan(rig)
    pair, _ = assemble(rig, planned.layout, still_air(rig, planned))
    rng = np.random.default_rng(seed)
    unknowns = first_guess(pair)
    unknowns[:, :3] += rng.normal(0.0, 0.02, (pair.n, 3))
    unknowns[pair.free_slides, 3] += rng.normal(0.0, 0.05, int(pair.free_slides.sum()))
    return pair, unknowns, rng


def central(function, at, direction, step):
    """Derivative along a direction by a five-point stencil: error of the fourth power of the step."""
    values = [function(at + k * step * direction) for k in (-2, -1, 1, 2)]
    return (values[0] - 8.0 * values[1] + 8.0 * values[2] - values[3]) / (12.0 * step)


@pytest.mark.parametrize("holds", list(Holds))
def test_gradient_is_the_slope_of_the_energy(holds):
    """To 1e-7 of the gradient's size, along ten random directions: step 1e-3 m, energies of some kJ in 16 digits."""
    pair, unknowns, rng = disturbed(holds)
    gradient = pair.evaluate(unknowns).gradient
    for _ in range(10):
        direction = rng.normal(0.0, 1.0, unknowns.shape)
        direction[:, 3] *= pair.free_slides
        slope = central(lambda u: pair.evaluate(u).energy, unknowns, direction, 1e-3)
        assert slope == pytest.approx(np.sum(gradient * direction), abs=1e-7 * np.abs(gradient).sum())


@pytest.mark.parametrize("holds", list(Holds))
def test_tangent_is_the_slope_of_the_gradient(holds):
    """To 1e-7 of the tangent's largest entry, column by column."""
    pair, unknowns, _ = disturbed(holds)
    tangent = pair.evaluate(unknowns).tangent()
    largest = np.abs(tangent.diagonal).max()
    columns = [(node, k) for node in range(pair.n) for k in range(4) if k < 3 or pair.free_slides[node]]
    for node, k in columns:
        direction = np.zeros_like(unknowns)
        direction[node, k] = 1.0
        slope = central(lambda u: pair.evaluate(u).gradient, unknowns, direction, 1e-4)
        error = (tangent.times(direction) - slope) * np.where([True] * 3 + [False], 1.0, pair.free_slides[:, None])
        assert np.abs(error).max() < 1e-7 * largest


def dense(matrix: BlockMatrix) -> np.ndarray:
    n = len(matrix.diagonal)
    full = np.zeros((n, 4, n, 4))
    for node in range(n):
        full[node, :, node] = matrix.diagonal[node]
    for step, blocks in enumerate(matrix.beside, 1):
        for node in range(n - step):
            full[node, :, node + step] = blocks[node]
            full[node + step, :, node] = blocks[node].T
    return full.reshape(4 * n, 4 * n)


def random_matrix(n: int, width: int, seed: int) -> BlockMatrix:
    rng = np.random.default_rng(seed)
    diagonal = rng.normal(size=(n, 4, 4))
    diagonal = diagonal + diagonal.transpose(0, 2, 1) + 30.0 * np.eye(4)
    return BlockMatrix(diagonal=diagonal, beside=rng.normal(size=(width, n, 4, 4)))


@pytest.mark.parametrize("width", [1, 2, 3])
def test_banded_solution_against_numpy(width):
    """numpy.linalg.solve of the dense matrix, to 1e-12."""
    matrix = random_matrix(9, width, width)
    right = np.random.default_rng(1).normal(size=(9, 4))
    full = dense(matrix)
    assert np.linalg.eigvalsh(full).min() > 0.0
    assert matrix.solve(right) == pytest.approx(np.linalg.solve(full, right.ravel()).reshape(9, 4), abs=1e-12)
    assert matrix.times(right) == pytest.approx((full @ right.ravel()).reshape(9, 4), abs=1e-12)


def test_indefinite_matrices_have_no_solution_until_shifted():
    matrix = random_matrix(9, 1, 5)
    lowered = BlockMatrix(diagonal=matrix.diagonal - 40.0 * np.eye(4), beside=matrix.beside)
    right = np.ones((9, 4))
    assert lowered.solve(right) is None
    shifted = lowered.solve(right, np.full((9, 4), 40.0))
    assert shifted == pytest.approx(matrix.solve(right), abs=1e-12)


def test_pinned_slides_do_not_move():
    matrix = random_matrix(9, 2, 6)
    fixed = np.arange(9) % 2 == 0
    right = np.random.default_rng(2).normal(size=(9, 4))
    right[fixed, 3] = 0.0
    step = matrix.pinned(fixed).solve(right)
    assert np.all(step[fixed, 3] == 0.0)
    free = np.ones((9, 4), dtype=bool)
    free[fixed, 3] = False
    free = free.ravel()
    expected = np.linalg.solve(dense(matrix)[np.ix_(free, free)], right.ravel()[free])
    assert step.ravel()[free] == pytest.approx(expected, abs=1e-12)
