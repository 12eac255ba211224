"""The leash ring: round both lines wherever the walker is, and the loop in it hangs as over a pulley."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.stage import dimensions, person
from linescope.stage.ring import WIRE, backup, backup_by_bay, free_loop, ring_of
from linescope.stage.theme import LIGHT
from linescope.statics import solve
from tests.stage import rigs

PLACES = (0.01, 0.1, 0.31, 0.5, 0.77, 0.99)


def crossings(points: np.ndarray, centre: np.ndarray, normal: np.ndarray) -> np.ndarray:
    """Where a curve passes through the plane of the ring."""
    side = (points - centre) @ normal
    at = np.flatnonzero(side[:-1] * side[1:] <= 0)
    share = (side[at] / (side[at] - side[at + 1]))[:, None]
    return points[at] + share * (points[at + 1] - points[at])


@pytest.mark.parametrize("share", PLACES)
@pytest.mark.parametrize("name", ["incline", "taut", "heron", "long"])
def test_both_lines_pass_through_the_ring(name: str, share: float) -> None:
    rig = rigs.heron(excess=0.0) if name == "taut" else getattr(rigs, name)()
    solution = solve(rig.with_walker_at(share * rig.span))
    ring = ring_of(solution)
    assert ring is not None
    normal = rig.main_b - rig.main_a
    normal = np.array([normal[0], normal[1], 0.0]) / np.linalg.norm(normal[:2])
    for line in (solution.main.sample(200).points, backup(solution, 200)):
        found = crossings(line, ring.centre, normal)
        assert len(found)
        assert np.linalg.norm(found - ring.centre, axis=1).max() < ring.radius - WIRE


def test_the_drawn_ring_is_where_it_says() -> None:
    solution = rigs.solved("incline")
    ring = ring_of(solution)
    assert ring is not None
    surface = next(one for one in person.walker(solution)[0] if one.name == "ring")
    reach = np.linalg.norm(surface.points - ring.centre, axis=1)
    assert reach.max() == pytest.approx(ring.radius + WIRE, rel=0.01)
    assert reach.min() == pytest.approx(ring.radius - WIRE, rel=0.01)


def test_the_parted_loop_keeps_its_length_and_has_one_tension_at_the_ring() -> None:
    """A cord over a pulley without friction pulls alike on both sides (common mechanics); its pull from slopes alone:
    the load on a piece is the change of its vertical pull, so H = q L / (tan b - tan a)."""
    solution = rigs.solved("incline")
    ring = ring_of(solution)
    assert ring is not None
    assert ring.gathers
    free = dimensions.by_bay(solution.backup, 2000)[ring.bay]
    hung = backup_by_bay(solution, 2000)[ring.bay]
    assert len(hung) == len(free)
    steps = np.linalg.norm(np.diff(hung, axis=0), axis=1)
    assert steps.sum() == pytest.approx(np.linalg.norm(np.diff(free, axis=0), axis=1).sum(), rel=1e-3)
    corner = int(np.argmin(np.linalg.norm(hung - ring.through, axis=1)))
    assert np.linalg.norm(hung[corner] - ring.through) < 1e-6
    pulls = []
    for piece, end in ((hung[: corner + 1], -1), (hung[corner:], 0)):
        run = np.linalg.norm(np.diff(piece[:, :2], axis=0), axis=1)
        slope = np.diff(piece[:, 2]) / run
        length = np.linalg.norm(np.diff(piece, axis=0), axis=1).sum() * (1.0 - 1.0 / (len(piece) - 1))
        h = length / (slope[-1] - slope[0])
        pulls.append(h * np.hypot(1.0, slope[end]))
    assert pulls[0] == pytest.approx(pulls[1], rel=0.01)


def test_the_loop_without_the_ring_is_shown_beside_it_and_is_the_one_computed() -> None:
    solution = rigs.solved("incline")
    ring = ring_of(solution)
    assert ring is not None
    (wire,) = free_loop(solution, LIGHT, 24)
    assert wire.dashed
    assert np.array_equal(wire.points, dimensions.by_bay(solution.backup, 24)[ring.bay])


def test_nobody_on_the_line_means_no_ring_and_the_backup_as_computed() -> None:
    solution = rigs.solved("short")
    assert ring_of(solution) is None
    assert free_loop(solution, LIGHT) == ()
    assert np.array_equal(backup(solution, 12), solution.backup.sample(12).points)
