"""Elevation grids: layouts, holes, degrees, and real terrain shipped with matplotlib."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linescope.errors import TerrainError
from linescope.terrain import GroundSpec, PlumbIndex, holes_below, load_ground
from linescope.words import Words

_ASC = """ncols 4
nrows 3
xllcorner 0
yllcorner -15
cellsize 10
NODATA_value -9999
-5 -6 -7 -8
-9 -10 -11 -12
-13 -14 -15 -16
"""
_A, _B = np.array([5.0, 0.0, 0.0]), np.array([35.0, 0.0, 0.0])


def _load(path, text=None, a=_A, b=_B, **keys):
    if text is not None:
        path.write_text(text)
    return load_ground(GroundSpec(path=path, **keys), a, b)


def test_ascii_grid_first_row_is_north(tmp_path):
    terrain = _load(tmp_path / "g.asc", _ASC)
    heights = {(x, y): z for x, y, z in terrain.vertices.tolist()}
    assert heights[5.0, 10.0] == -5.0  # north-west
    assert heights[35.0, -10.0] == -16.0  # south-east
    assert len(terrain.faces) == 12
    assert terrain.is_height_field


def test_ascii_grid_from_cell_centres(tmp_path):
    text = _ASC.replace("xllcorner 0", "xllcenter 5").replace("yllcorner -15", "yllcenter -10")
    np.testing.assert_array_equal(_load(tmp_path / "g.asc", text).vertices, _load(tmp_path / "h.asc", _ASC).vertices)


def test_missing_heights_are_holes_not_bridged(tmp_path):
    terrain = _load(tmp_path / "g.asc", _ASC.replace("-10 -11", "-9999 -9999"), accept_odd=True)
    assert any("2 of 12 heights" in note for note in Words().notes(terrain.notes))
    assert any("nothing is bridged" in note for note in Words().notes(terrain.notes))
    # Only two corner triangles are left; on the line y = 0 each has one corner: all between is a hole.
    np.testing.assert_allclose(holes_below(terrain, np.array([[5.0, 0.0], [35.0, 0.0]])), [[0.0, 30.0]], atol=1e-9)


@pytest.mark.parametrize(
    ("text", "match"),
    [
        (_ASC.replace("ncols 4\n", ""), "ncols"),
        (_ASC.replace("cellsize 10\n", ""), "cellsize"),
        (_ASC.replace("cellsize 10", "cellsize nan"), "not finite"),
        (_ASC.replace("cellsize 10", "cellsize -10"), "no cells"),
        (_ASC.replace("cellsize 10", "cellsize 1e308"), "no ground"),
        (_ASC.replace("ncols 4", "ncols four"), "not a number"),
        (_ASC[:-9], "cut off"),
        (_ASC.replace("-7", "x7"), "not a number"),
        (_ASC.replace("-7", "inf"), "infinite"),
        (_ASC.replace("nrows 3", "nrows 1"), "no cells"),
        (_ASC[: _ASC.index("-5 -6")] + "-9999 " * 12, "every height is missing"),
        ("\0\0\0", "not text"),
        ("", "empty"),
    ],
)
def test_broken_ascii_grid(tmp_path, text, match):
    with pytest.raises(TerrainError, match=match) as caught:
        _load(tmp_path / "g.asc", text)
    assert "g.asc" in str(caught.value)


def test_numpy_layouts_agree(tmp_path):
    z = np.arange(12.0).reshape(3, 4) - 30.0
    x, y = np.array([0.0, 10, 20, 30]) + 5.0, np.array([10.0, 0, -10])
    np.savez(tmp_path / "xy.npz", elevation=z, x=x, y=y)
    np.savez(tmp_path / "borders.npz", elevation=z, xmin=0.0, xmax=40.0, ymin=15.0, ymax=-15.0)
    np.savez(tmp_path / "steps.npz", elevation=z, dx=10.0, dy=10.0)
    np.save(tmp_path / "bare.npy", z)
    want = _load(tmp_path / "xy.npz")
    for name, keys in (
        ("borders.npz", {}),
        ("steps.npz", {"shift": (5.0, -10.0, 0.0)}),
        ("bare.npy", {"cell": (10.0, 10.0), "shift": (5.0, -10.0, 0.0)}),
    ):
        got = _load(tmp_path / name, **keys)
        np.testing.assert_allclose(got.vertices, want.vertices, atol=1e-12)
        np.testing.assert_array_equal(got.faces, want.faces)


def test_faces_look_up_whichever_way_rows_run(tmp_path):
    z = np.full((3, 4), -9.0)
    for y in ([10.0, 0, -10], [-10.0, 0, 10]):
        for x in ([5.0, 15, 25, 35], [35.0, 25, 15, 5]):
            np.savez(tmp_path / "g.npz", elevation=z, x=x, y=y)
            t = _load(tmp_path / "g.npz")
            a, b, c = (t.vertices[t.faces[:, k]] for k in range(3))
            assert np.all(np.cross(b - a, c - a)[:, 2] > 0.0)


def test_broken_numpy_files(tmp_path):
    (tmp_path / "cut.npz").write_bytes(b"PK\3\4 and no more")
    (tmp_path / "cut.npy").write_bytes(b"\x93NUMPY\1\0")
    np.save(tmp_path / "whole.npy", np.zeros((50, 50)))
    (tmp_path / "half.npy").write_bytes((tmp_path / "whole.npy").read_bytes()[:900])
    np.save(tmp_path / "flat.npy", np.zeros(9))
    np.save(tmp_path / "words.npy", np.array([["a", "b"], ["c", "d"]]))
    np.save(tmp_path / "objects.npy", np.array([[None, 1], [2, 3]]), allow_pickle=True)
    np.savez(tmp_path / "keys.npz", heights=np.zeros((3, 3)))
    np.savez(tmp_path / "space.npz", elevation=np.zeros((3, 3)))
    np.savez(tmp_path / "fit.npz", elevation=np.zeros((3, 3)), x=np.arange(3), y=np.arange(2))
    np.savez(tmp_path / "order.npz", elevation=np.zeros((3, 3)), x=[0, 2, 1], y=[0, 1, 2])
    np.savez(tmp_path / "small.npz", elevation=np.zeros((1, 3)), dx=1.0, dy=1.0)
    for name in ("cut.npz", "cut.npy", "half.npy", "flat.npy", "words.npy", "objects.npy", "keys.npz"):
        with pytest.raises(TerrainError, match=name):
            _load(tmp_path / name, cell=(1.0, 1.0))
    for name in ("space.npz", "fit.npz", "order.npz", "small.npz"):
        with pytest.raises(TerrainError, match=name):
            _load(tmp_path / name)
    with pytest.raises(TerrainError, match="cell"):
        _load(tmp_path / "whole.npy")


def _jacksboro():
    from matplotlib import cbook

    return cbook.get_sample_data("jacksboro_fault_dem.npz", asfileobj=False)


def test_real_terrain_in_degrees_must_say_so():
    with pytest.raises(TerrainError, match="degrees"):
        _load(_jacksboro(), a=np.zeros(3), b=np.array([300.0, 0.0, 0.0]))


def test_real_terrain():
    """jacksboro_fault_dem.npz ships with matplotlib: 344 x 403 heights, 236 m to 1076 m, 3 arc seconds.

    One arc second of latitude is 30.9 m on a sphere of 6371 km; matplotlib's own gallery uses 111200 m a
    degree.
    """
    a, b = np.array([-2000.0, 500.0, 1150.0]), np.array([2000.0, 500.0, 1150.0])
    terrain = _load(_jacksboro(), a=a, b=b, degrees=True)
    assert terrain.vertices.shape == (344 * 403, 3)
    assert terrain.faces.shape == (2 * 343 * 402, 3)
    low, high = terrain.bounds
    assert (low[2], high[2]) == (236.0, 1076.0)
    degree = 111200.0
    np.testing.assert_allclose(high[1] - low[1], 343 / 1200 * degree, rtol=1e-3)
    middle = math.radians((36.73291666666667 + 36.44625) / 2.0)
    np.testing.assert_allclose(high[0] - low[0], 402 / 1200 * degree * math.cos(middle), rtol=1e-3)
    # Heights at grid nodes are the file's own, row 0 in the north.
    raw = np.load(_jacksboro())["elevation"]
    north_west = terrain.vertices[(terrain.vertices[:, 0] == low[0]) & (terrain.vertices[:, 1] == high[1])]
    assert north_west[0, 2] == raw[0, 0]
    index = PlumbIndex(terrain)
    chosen = np.random.default_rng(4).integers(0, len(terrain.vertices), 500)
    position, _, z, counted = index.over(terrain.vertices[chosen, :2])
    np.testing.assert_allclose(z, terrain.vertices[chosen][position, 2], atol=1e-9)
    inner = (np.abs(terrain.vertices[chosen, :2] - (low + high)[:2] / 2) < (high - low)[:2] / 2 - 100).all(axis=1)
    count = np.bincount(position, weights=counted, minlength=500)
    assert np.all(count[inner] == 1.0), "each place has the ground once, also at shared corners"


def test_geotiff(tmp_path):
    tifffile = pytest.importorskip("tifffile")
    z = (np.arange(12.0).reshape(3, 4) - 30.0).astype(np.float32)
    z[0, 3] = -32768.0
    tags = [
        (33550, "d", 3, (10.0, 10.0, 0.0), False),
        (33922, "d", 6, (0.0, 0.0, 0.0, 0.0, 15.0, 0.0), False),
        (42113, "s", 0, "-32768", False),
    ]
    tifffile.imwrite(tmp_path / "g.tif", z, extratags=tags)
    terrain = _load(tmp_path / "g.tif")
    heights = {(x, y): h for x, y, h in terrain.vertices.tolist()}
    assert heights[5.0, 10.0] == -30.0
    assert (35.0, 10.0) not in heights
    whole = (tmp_path / "g.tif").read_bytes()
    (tmp_path / "cut.tif").write_bytes(whole[: len(whole) // 3])
    tifffile.imwrite(tmp_path / "nowhere.tif", z)
    for name in ("cut.tif", "nowhere.tif"):
        with pytest.raises(TerrainError, match=name):
            _load(tmp_path / name)
