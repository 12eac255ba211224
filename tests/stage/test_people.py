"""People: to scale, clothed, whole skins, each pose where it belongs."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.stage import people
from linescope.stage.camera import Camera

FORWARDS = np.array([0.6, 0.8, 0.0])


@pytest.mark.parametrize("pose", people.POSES)
def test_a_body_is_one_whole_skin_in_clothes(pose: people.Pose) -> None:
    shape = people.body(pose)
    edges = np.concatenate([shape.triangles[:, pair] for pair in ([0, 1], [1, 2], [2, 0])])
    edges = np.sort(edges, axis=1)
    _, count = np.unique(edges, axis=0, return_counts=True)
    assert (count == 2).mean() > 0.99  # Thinning may fold a few edges; holes would be many.
    assert set(np.unique(shape.part)) == set(range(len(people.PARTS)))
    assert shape.far.max() < len(shape.points)
    assert len(shape.far) < 0.3 * len(shape.triangles)


@pytest.mark.parametrize("pose", ["standing", "walking", "spotting"])
def test_a_standing_body_has_its_height(pose: people.Pose) -> None:
    shape = people.body(pose)
    hair = shape.points[shape.triangles[shape.part == people.PARTS.index("hair")]]
    assert hair[..., 2].max() == pytest.approx(1.0, abs=0.015)
    assert shape.points[:, 2].min() == pytest.approx(0.0, abs=0.015)


def test_a_hanging_body_hangs_at_its_tie_in() -> None:
    tie_in = np.array([3.0, 4.0, 5.0])
    seen = people.hung("body", tie_in, FORWARDS, 1.8, 1.25)
    assert seen.points[:, 2].min() == pytest.approx(5.0 - 1.25, abs=1e-9)
    assert np.linalg.norm(seen.points - tie_in, axis=1).min() < 0.05


def test_a_body_faces_forwards_and_is_as_large_as_asked() -> None:
    small, large = (people.standing("body", "walking", np.zeros(3), FORWARDS, h).points for h in (1.0, 2.0))
    assert np.allclose(2.0 * small, large)
    along = small @ FORWARDS
    assert np.ptp(along) > np.ptp(small @ np.array([-0.8, 0.6, 0.0])) * 0.8
    assert people.pose_of(people.standing("body", "walking", np.zeros(3), FORWARDS, 1.0)) == "walking"


def test_facets_are_those_that_face_the_eye_farthest_first() -> None:
    seen = people.standing("body", "standing", np.zeros(3), FORWARDS, 1.75)
    camera = Camera(eye=np.array([0.0, -9.0, 1.0]), target=np.array([0.0, 0.0, 1.0]), up=np.array([0.0, 0.0, 1.0]),
                    half_height=1.2)  # fmt: skip
    near, far = people.facets(seen, camera, (900.0, 900.0)), people.facets(seen, camera, (90.0, 90.0))
    assert 0.3 * len(seen.triangles) < len(near.corners) < 0.7 * len(seen.triangles)
    assert len(far.corners) < 0.3 * len(near.corners)
    assert near.light.min() >= people.SHADE - 1e-9 and near.light.max() <= 1.0 + 1e-9
