"""Point clouds: joined in plan, long edges left open, and what is broken is told."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.errors import TerrainError
from linescope.terrain import GroundSpec, PlumbIndex, holes_below, load_ground
from linescope.words import Words

_A, _B = np.array([0.0, 0.0, 0.0]), np.array([40.0, 0.0, 0.0])


def _plane(x, y):
    return -10.0 + 0.1 * x - 0.2 * y


def _cloud(seed=3):
    rng = np.random.default_rng(seed)
    xy = rng.uniform([-2, -8], [42, 8], size=(3000, 2))
    return np.column_stack([xy, _plane(xy[:, 0], xy[:, 1])])


def _write(path, points, mark=" ", head=""):
    path.write_text(head + "\n".join(mark.join(f"{v:.12g}" for v in row) for row in points) + "\n")
    return path


@pytest.mark.parametrize(
    ("name", "mark", "head"),
    [
        ("c.xyz", " ", ""),
        ("c.xyz", "\t", "# invented\n"),
        ("c.csv", ",", "x,y,z\n"),
        ("c.csv", ";", "X;Y;Z\n"),
        ("c.txt", ", ", "easting, northing, height\n"),
    ],
)
def test_points_on_a_plane_give_the_plane(tmp_path, name, mark, head):
    terrain = load_ground(GroundSpec(path=_write(tmp_path / name, _cloud(), mark, head), kind="points"), _A, _B)
    xy = np.random.default_rng(5).uniform([2, -6], [38, 6], size=(400, 2))
    position, _, z, counted = PlumbIndex(terrain).over(xy)
    np.testing.assert_allclose(z, _plane(*xy[position].T), atol=1e-9)
    assert np.all(np.bincount(position, weights=counted, minlength=400) == 1.0)
    assert any("assumed" in note and "overhang" in note for note in Words().notes(terrain.notes))


def test_headings_choose_columns(tmp_path):
    cloud = _cloud()
    rows = np.column_stack([np.arange(len(cloud)), cloud[:, [2, 0, 1]]])
    path = _write(tmp_path / "c.csv", rows, ",", "number,z,x,y\n")
    terrain = load_ground(GroundSpec(path=path), _A, _B)
    np.testing.assert_allclose(terrain.bounds[:, 0], [cloud[:, 0].min(), cloud[:, 0].max()], atol=1e-9)


def test_hole_is_reported_not_bridged(tmp_path):
    cloud = _cloud()
    cloud = cloud[(cloud[:, 0] < 15.0) | (cloud[:, 0] > 22.0)]
    terrain = load_ground(GroundSpec(path=_write(tmp_path / "c.xyz", cloud)), _A, _B)
    ((low, high),) = holes_below(terrain, np.stack([_A, _B])[:, :2])
    # The cloud ends at random short of 15 m and beyond 22 m; its points are about 0.5 m apart.
    assert 14.0 < low <= 15.0
    assert 22.0 <= high < 23.0
    assert any(note.startswith("No ground is known below ") for note in Words().notes(terrain.notes))


def test_doubled_places_keep_the_highest_point(tmp_path):
    cloud = _cloud()
    under = cloud - [0.0, 0.0, 3.0]
    terrain = load_ground(GroundSpec(path=_write(tmp_path / "c.xyz", np.concatenate([under, cloud]))), _A, _B)
    # Heights are written with 12 figures.
    np.testing.assert_allclose(terrain.vertices[:, 2], _plane(*terrain.vertices[:, :2].T), atol=1e-9)
    assert any(note.startswith("3,000 points below another") for note in Words().notes(terrain.notes))


def test_numpy_points(tmp_path):
    np.save(tmp_path / "c.npy", _cloud())
    assert load_ground(GroundSpec(path=tmp_path / "c.npy", kind="points"), _A, _B).kind == "points"


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("0 0 -5\n1 0 -5\n0 1", "too short"),
        ("0 0 -5\n1 0 nan\n0 1 -5", "not finite"),
        ("0 0 -5\n1 0 five\n0 1 -5", "not a number"),
        ("0 0 -5\n1 0 -5", "too few points"),
        ("0 0 -5\n0 0 -6\n0 0 -7", "too few points"),
        ("0 0 -5\n1 1 -6\n2 2 -7\n3 3 -5", "one line"),
        ("x y z\n", "no row"),
        ("", "empty"),
    ],
)
def test_broken_cloud(tmp_path, text, match):
    (tmp_path / "c.xyz").write_text(text)
    with pytest.raises(TerrainError, match=match) as caught:
        load_ground(GroundSpec(path=tmp_path / "c.xyz"), _A, _B)
    assert "c.xyz" in str(caught.value)


@pytest.mark.parametrize("ending", ["las", "laz"])
def test_las(tmp_path, ending):
    laspy = pytest.importorskip("laspy")
    if ending == "laz":
        pytest.importorskip("lazrs")
    cloud = _cloud()
    las = laspy.create(point_format=0, file_version="1.2")
    las.header.scales = [0.001, 0.001, 0.001]
    las.x, las.y, las.z = cloud.T
    las.write(tmp_path / f"c.{ending}")
    terrain = load_ground(GroundSpec(path=tmp_path / f"c.{ending}"), _A, _B)
    np.testing.assert_allclose(terrain.bounds, [cloud.min(axis=0), cloud.max(axis=0)], atol=6e-4)
    whole = (tmp_path / f"c.{ending}").read_bytes()
    (tmp_path / f"cut.{ending}").write_bytes(whole[:100])
    with pytest.raises(TerrainError, match=f"cut.{ending}"):
        load_ground(GroundSpec(path=tmp_path / f"cut.{ending}"), _A, _B)
