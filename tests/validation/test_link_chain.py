"""The energy minimum of chains of short elastic links against the catenaries of the pair.

Every bay of both lines is cut into m links with lumped weights (no catenary anywhere); at a sliding tape the material
coordinate is one more unknown.  Newton steps with a shift (Levenberg) that is raised until the energy falls, on
scipy's sparse solver, minimise elastic energy plus weight.  The difference to the pair has to fall with the square of
the link length: W. G. Strang, G. J. Fix, *An Analysis of the Finite Element Method* (1973), chapter 1 (from memory).
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.sparse import block_diag, csr_array, eye_array
from scipy.sparse.linalg import splu, spsolve

from linescope.rig import Walker
from linescope.statics import Solution, plan, solve
from linescope.taping import Holds
from tests.statics.random_rigs import plain_rig, webbing

OUTSIDE = {"area": "sliding and friction", "source": "Energy minimum of short links", "known": "recomputed"}
G = 9.80665  # [m/s^2]
EA_MAIN, EA_BACKUP, MASS_MAIN, MASS_BACKUP = 60e3, 40e3, 0.07, 0.05
WALKER = 75.0


class Chain:
    """Links of both lines of a planar rig.

    Unknowns are the free points (x, z), then the slip of each sliding tape.  The five figures that a link's energy
    depends on, x and z of its two ends and its rest length, are linear in them: `place + spread @ unknowns`.
    """

    def __init__(self, solution: Solution, holds: Holds, m: int) -> None:
        rig, layout = solution.rig, solution.layout
        self.m, self.tapes = m, len(layout.tapes)
        self.slides = 0 if holds is Holds.BOTH else self.tapes
        walker_at = plan(rig).walker_coordinate(rig.walker.at)
        walker = int(np.searchsorted(layout.tape_main, walker_at))
        self.main_at = np.insert(layout.tape_main, walker, walker_at)
        self.length = layout.main_length
        # Points: the anchors 0 and 1, the main's nodes, then the inner points of every bay.
        tape_points = np.delete(np.arange(2, 3 + self.tapes), walker)
        main, backup = [0, *range(2, 3 + self.tapes), 1], [0, *tape_points, 1]
        bays = [*pairwise(main), *pairwise(backup)]
        inner = 3 + self.tapes + np.arange(len(bays) * (m - 1)).reshape(len(bays), m - 1)
        self.bay_points = np.column_stack(([a for a, _ in bays], inner, [b for _, b in bays]))
        self.points = 3 + self.tapes + inner.size
        ends = np.column_stack((self.bay_points[:, :-1].ravel(), self.bay_points[:, 1:].ravel()))
        base = np.concatenate(
            (np.diff([0.0, *self.main_at, self.length]), np.diff([0.0, *layout.tape_backup, layout.backup_length]))
        )
        by_slip = np.zeros((len(bays), self.slides))
        for tape in range(self.slides):
            left = int(tape_points[tape]) - 2 if holds is Holds.BACKUP else self.tapes + 2 + tape
            by_slip[left, tape], by_slip[left + 1, tape] = 1.0, -1.0
        count = len(ends)
        spread = np.zeros((count, 5, 2 * self.points + self.slides))
        links = np.arange(count)
        for column, index in enumerate((2 * ends[:, 0], 2 * ends[:, 0] + 1, 2 * ends[:, 1], 2 * ends[:, 1] + 1)):
            spread[links, column, index] = 1.0
        spread[:, 4, 2 * self.points :] = np.repeat(by_slip, m, axis=0) / m
        self.anchors = np.array([rig.main_a[[0, 2]], rig.main_b[[0, 2]]])
        self.place = spread[:, :, :4] @ self.anchors.ravel()
        self.place[:, 4] = np.repeat(base, m) / m
        self.spread = csr_array(spread[:, :, 4:].reshape(5 * count, -1))
        on_main = np.repeat(np.arange(len(bays)) < self.tapes + 2, m)
        self.ea = np.where(on_main, EA_MAIN, EA_BACKUP)
        self.weight = np.where(on_main, MASS_MAIN, MASS_BACKUP) * G
        self.load = np.zeros(self.spread.shape[1])
        self.load[2 * walker + 1] = WALKER * G

    def start(self) -> np.ndarray:
        """A sagging polygon: nodes in proportion along the straight line, loops below."""
        points = np.zeros((self.points, 2))
        points[:2] = self.anchors
        share = (self.main_at / self.length)[:, None]
        nodes = self.anchors[0] + share * (self.anchors[1] - self.anchors[0])
        points[2 : 3 + self.tapes] = nodes - [0.0, 0.05 * self.length] * (4.0 * share * (1.0 - share))
        t = (np.arange(1, self.m) / self.m)[:, None]
        for bay, (first, *inner, last) in enumerate(self.bay_points):
            deep = 0.5 if bay > self.tapes + 1 else 0.01
            points[inner] = points[first] + t * (points[last] - points[first]) - [0.0, deep] * (4.0 * t * (1.0 - t))
        return np.concatenate((points[2:].ravel(), np.zeros(self.slides)))

    def _links(self, unknowns):
        values = self.place + (self.spread @ unknowns).reshape(-1, 5)
        return values[:, 4], values[:, 2:4] - values[:, :2], 0.5 * (values[:, 1] + values[:, 3])

    def energy(self, unknowns):
        rest, chord, height = self._links(unknowns)
        if np.any(rest <= 0.0):
            return np.inf
        stretch = np.hypot(*chord.T) - rest
        return float(np.sum(0.5 * self.ea * stretch**2 / rest + self.weight * rest * height) + self.load @ unknowns)

    def gradient(self, unknowns):
        rest, chord, height = self._links(unknowns)
        r = np.hypot(*chord.T)
        pull = (self.ea * (1.0 / rest - 1.0 / r))[:, None] * chord
        up = np.column_stack((np.zeros_like(rest), 0.5 * self.weight * rest))
        by_rest = -0.5 * self.ea * (r**2 / rest**2 - 1.0) + self.weight * height
        return np.column_stack((up - pull, up + pull, by_rest)).ravel() @ self.spread + self.load

    def hessian(self, unknowns):
        rest, chord, _ = self._links(unknowns)
        r = np.hypot(*chord.T)
        unit = chord / r[:, None]
        side = self.ea * (1.0 / rest - 1.0 / r)
        k = side[:, None, None] * np.eye(2) + (self.ea / r)[:, None, None] * unit[:, :, None] * unit[:, None]
        local = np.zeros((len(r), 5, 5))
        local[:, :2, :2] = local[:, 2:4, 2:4] = k
        local[:, :2, 2:4] = local[:, 2:4, :2] = -k
        mixed = (self.ea / rest**2)[:, None] * chord
        local[:, :2, 4], local[:, 2:4, 4] = mixed, -mixed
        local[:, [1, 3], 4] += 0.5 * self.weight[:, None]
        local[:, 4, :4] = local[:, :4, 4]
        local[:, 4, 4] = self.ea * r**2 / rest**3
        return (self.spread.T @ block_diag(local, format="csr") @ self.spread).tocsc()

    def minimum(self):
        """Nodes (x, z) of the main from A to B, slips, and depth of every loop below its chord."""
        x, energy, shift = self.start(), self.energy(self.start()), 1e3
        identity = eye_array(len(x), format="csc")
        for _ in range(2000):
            gradient = self.gradient(x)
            if np.abs(gradient).max() < 1e-7:  # [N]
                break
            step = spsolve(self.hessian(x) + shift * identity, -gradient)
            tried = self.energy(x + step)
            # Near the end the energy no longer resolves the step; the gradient does.
            better = tried < energy or np.abs(self.gradient(x + step)).max() < 0.5 * np.abs(gradient).max() < 1e-3
            if better and step @ gradient < 0.0:
                x, energy, shift = x + step, tried, max(0.2 * shift, 1e-9)
            else:
                shift = max(5.0 * shift, 1e-6)
        else:
            raise AssertionError("the chain did not come to rest")
        # A minimum: no direction is downhill.
        assert splu(self.hessian(x), permc_spec="NATURAL", diag_pivot_thresh=0.0).U.diagonal().min() > 0.0
        end = 2 * (self.points - 2)
        points = np.concatenate((self.anchors.ravel(), x[:end])).reshape(-1, 2)
        loops = points[self.bay_points[self.tapes + 2 :]]
        first, chord = loops[:, :1], loops[:, -1:] - loops[:, :1]
        below = (loops[..., 0] - first[..., 0]) * chord[..., 1] / chord[..., 0] + first[..., 1] - loops[..., 1]
        # The vertex of the parabola through the three lowest points of each loop.
        rows, low = np.arange(len(below)), np.clip(below.argmax(axis=1), 1, self.m - 1)
        before, most, after = (below[rows, low + k] for k in (-1, 0, 1))
        depth = most + (after - before) ** 2 / (8.0 * (2.0 * most - before - after))
        return points[2 : 3 + self.tapes], x[end:], depth


@pytest.mark.parametrize("holds", list(Holds))
def test_pair_is_the_limit_of_short_links(holds, agrees):
    """4 tapes, 10 m rising 1.5 m, walker off the middle: nodes, slides and depths with m = 16 and 32 links a bay."""
    rig = plain_rig(
        span=10.0, slope=0.15, every=2.0, holds=holds, excess=0.10, tension=900.0, measured_on="tensioned",
        walker=Walker(mass=WALKER, at=4.3), main=webbing(EA_MAIN, MASS_MAIN), backup=webbing(EA_BACKUP, MASS_BACKUP),
    )
    solution = solve(rig, "settled", look_for_others=False)
    assert len(solution.tape_main) == 4
    if holds is not Holds.BOTH:
        assert np.abs(solution.tape_slip).max() > 0.1  # The sliders have run.
    expected = (solution.main.nodes[1:-1][:, [0, 2]], solution.tape_slip, solution.bays.loop_depth)
    if holds is Holds.BOTH:
        expected = (expected[0], np.zeros(0), expected[2])
    coarse, fine = (
        [mine - theirs for mine, theirs in zip(Chain(solution, holds, m).minimum(), expected, strict=True)]
        for m in (16, 32)
    )
    # Nodes, slips and depths (read off a polygon): at m = 32, whose links are 6 cm long, within 0.1, 0.2 and 0.5 mm;
    # a quarter of what it was at m = 16; and taken to the limit (Richardson) within 1e-6, 1e-6 and 5e-5 m.
    for what, before, after, bound, rate, limit in zip(
        ("nodes", "slides", "loop depths"), coarse, fine, (1e-4, 2e-4, 5e-4), (0.02, 0.02, 0.4), (1e-6, 1e-6, 5e-5),
        strict=True,
    ):
        if after.size:
            assert np.abs(after).max() < bound
            assert np.abs(before).max() / np.abs(after).max() == pytest.approx(4.0, abs=rate)
            agrees(
                f"{what} with tapes of all kinds, links taken to the limit: error", (4.0 * after - before) / 3.0, 0.0,
                abs=limit, unit="m",
            )
