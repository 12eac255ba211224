"""Labels never overlap, never leave the frame, and stand near their points."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linescope.stage.labels import Box, Request, place

FRAME = Box(left=10, top=20, right=810, bottom=620)


@pytest.mark.parametrize("seed", range(20))
def test_random_crowds_do_not_overlap_or_leave_the_frame(seed: int) -> None:
    rng = np.random.default_rng(seed)
    requests = [
        Request(
            text=str(k),
            at=(float(rng.uniform(10, 810)), float(rng.uniform(20, 620))),
            size=(float(rng.uniform(20, 160)), float(rng.uniform(12, 30))),
            towards=(math.cos(k), math.sin(k)),
            rank=int(rng.integers(1, 4)),
            must=k < 8,
        )
        for k in range(60)
    ]
    taken = [Box(left=x, top=300, right=x + 40, bottom=340) for x in range(50, 800, 150)]
    placed = place(requests, FRAME, taken, gap=3.0)
    assert {spot.index for spot in placed} >= set(range(8))
    assert len(placed) > 30
    for k, spot in enumerate(placed):
        assert spot.box.within(FRAME)
        assert not any(spot.box.overlaps(other) for other in taken)
        assert not any(spot.box.overlaps(other.box, 2.9) for other in placed[k + 1 :])


def test_alone_it_stands_on_the_preferred_side_without_a_leader() -> None:
    (spot,) = place([Request(text="a", at=(400, 300), size=(60, 20), towards=(0, 1), offset=8)], FRAME)
    assert spot.box == Box(left=370, top=272, right=430, bottom=292)
    assert not spot.leader


def test_at_the_edge_it_turns_inwards() -> None:
    (spot,) = place([Request(text="a", at=(805, 300), size=(60, 20), towards=(1, 0))], FRAME)
    assert spot.box.within(FRAME)
    assert math.dist(spot.box.centre, (805, 300)) < 60


def test_it_avoids_lines_when_there_is_room_and_covers_least_when_not() -> None:
    request = Request(text="a", at=(400, 300), size=(60, 20), towards=(0, -1))
    line = [Box(left=x, top=310, right=x + 9, bottom=312) for x in range(300, 500, 9)]
    (spot,) = place([request], FRAME, (), line)
    assert not any(spot.box.overlaps(box) for box in line)
    everywhere = [Box(left=0, top=0, right=900, bottom=700)]
    assert len(place([request], FRAME, (), everywhere)) == 1


def test_without_room_only_what_must_be_there_is_moved_far() -> None:
    wall = Box(left=10, top=20, right=810, bottom=500)
    may = Request(text="may", at=(400, 100), size=(60, 20))
    must = Request(text="must", at=(400, 100), size=(60, 20), must=True)
    (spot,) = place([may, must], FRAME, [wall])
    assert spot.index == 1
    assert spot.leader
    assert spot.box.top >= 500
