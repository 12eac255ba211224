"""The energy minimum of chains of short elastic links, found by scipy, against the catenaries of the pair.

Every bay of both lines is cut into m links with lumped weights (no catenary anywhere); at a sliding tape the material
coordinate is one more unknown.  scipy's trust-region Newton method minimises elastic energy plus weight.  The
difference to the pair has to fall with the square of the link length: W. A. Strang, G. J. Fix, *An Analysis of the
Finite Element Method* (1973), chapter 1, second-order accuracy of linear elements.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.sparse import block_diag, csr_array

from linescope.rig import Walker
from linescope.statics import Solution, plan, solve
from linescope.taping import Holds
from tests.statics.random_rigs import plain_rig, webbing

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
        return (self.spread.T @ block_diag(local, format="csr") @ self.spread).toarray()

    def minimum(self):
        """Nodes (x, z) of the main from A to B, slips, and depth of every loop below its chord."""
        found = minimize(
            self.energy, self.start(), jac=self.gradient, hess=self.hessian, method="trust-exact",
            options={"gtol": 1e-6, "maxiter": 3000, "initial_trust_radius": 0.5, "max_trust_radius": 20.0},
        )
        assert np.abs(self.gradient(found.x)).max() < 1e-4, found.message  # [N]
        end = 2 * (self.points - 2)
        points = np.concatenate((self.anchors.ravel(), found.x[:end])).reshape(-1, 2)
        loops = points[self.bay_points[self.tapes + 2 :]]
        first, chord = loops[:, :1], loops[:, -1:] - loops[:, :1]
        below = (loops[..., 0] - first[..., 0]) * chord[..., 1] / chord[..., 0] + first[..., 1] - loops[..., 1]
        return points[2 : 3 + self.tapes], found.x[end:], below.max(axis=1)


@pytest.mark.parametrize("holds", list(Holds))
def test_pair_is_the_limit_of_short_links(holds):
    """4 tapes, 10 m rising 1.5 m, walker off the middle: nodes, slides and depths with m = 8 and 16 links a bay."""
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
        for m in (8, 16)
    )
    # Nodes, slips, depths: bounds at m = 16 [m]; the links are 12 cm long.
    for before, after, bound in zip(coarse, fine, (5e-4, 1e-3, 2e-3), strict=True):
        if after.size:
            assert np.abs(after).max() < bound
            assert 3.3 < np.abs(before).max() / np.abs(after).max() < 5.0
    # Taken to the limit (Richardson), nodes and slips agree to 2e-5 m.  Depths are read at link ends only.
    for before, after in zip(coarse[:2], fine[:2], strict=True):
        assert np.all(np.abs(4.0 * after - before) / 3.0 < 2e-5)
