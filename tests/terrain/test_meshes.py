"""Mesh files: what is written by trimesh is read back exactly, and every broken file is a clear error."""

from __future__ import annotations

import struct

import numpy as np
import pytest
import trimesh

from linescope.errors import TerrainError
from linescope.terrain import GroundSpec, load_ground
from linescope.words import Words


def _sorted_triangles(vertices, faces):
    corners = np.asarray(vertices)[np.asarray(faces)].mean(axis=1)
    return corners[np.lexsort(np.round(corners, 4).T)]


@pytest.mark.parametrize("ending", ["obj", "ply", "stl", "glb", "gltf"])
def test_mesh_is_read_as_written(tmp_path, ridge, anchors, ending):
    vertices, faces = ridge
    stored = vertices if ending not in ("glb", "gltf") else vertices[:, [0, 2, 1]] * [1, 1, -1]  # y up
    mesh = trimesh.Trimesh(stored, faces, process=False)
    if ending == "gltf":
        for name, data in trimesh.exchange.gltf.export_gltf(trimesh.Scene(mesh)).items():
            (tmp_path / ("ridge.gltf" if name == "model.gltf" else name)).write_bytes(data)
    else:
        mesh.export(tmp_path / f"ridge.{ending}")
    terrain = load_ground(GroundSpec(path=tmp_path / f"ridge.{ending}"), *anchors)
    assert len(terrain.vertices) == len(vertices), "equal vertices are joined"
    # Single precision in STL, PLY and glTF: 1e-5 m at 40 m.
    np.testing.assert_allclose(
        _sorted_triangles(terrain.vertices, terrain.faces), _sorted_triangles(vertices, faces), atol=1e-5
    )
    assert any("glTF standard" in note for note in Words().notes(terrain.notes)) == (ending in ("glb", "gltf"))


def test_text_stl_is_read(tmp_path, ridge, anchors):
    mesh = trimesh.Trimesh(*ridge, process=False)
    (tmp_path / "ridge.stl").write_text(trimesh.exchange.stl.export_stl_ascii(mesh))
    assert len(load_ground(GroundSpec(path=tmp_path / "ridge.stl"), *anchors).faces) == len(mesh.faces)


@pytest.mark.parametrize("up", ["z", "y", "x"])
def test_feet_up_axis_turn_and_shift(tmp_path, ridge, anchors, up):
    """The inverse placing, done here with plain trigonometry, is undone by the keys of the scene."""
    vertices, faces = ridge
    turn, shift = 0.7, np.array([500.0, -300.0, 25.0])
    c, s = np.cos(-turn), np.sin(-turn)
    moved = vertices - shift
    moved = np.stack([c * moved[:, 0] - s * moved[:, 1], s * moved[:, 0] + c * moved[:, 1], moved[:, 2]], axis=1)
    x, y, z = (moved / 0.3048).T
    stored = {"z": (x, y, z), "y": (x, z, -y), "x": (z, x, y)}[up]
    path = tmp_path / "ridge.ply"
    trimesh.Trimesh(np.stack(stored, axis=1), faces, process=False).export(path)
    spec = GroundSpec(path=path, factor=0.3048, up=up, turn=turn, shift=shift)
    terrain = load_ground(spec, *anchors)
    np.testing.assert_allclose(
        _sorted_triangles(terrain.vertices, terrain.faces), _sorted_triangles(vertices, faces), atol=2e-4
    )


def _whole(tmp_path, ridge, ending):
    path = tmp_path / f"ridge.{ending}"
    trimesh.Trimesh(*ridge, process=False).export(path)
    return path


@pytest.mark.parametrize("ending", ["obj", "ply", "stl", "glb"])
@pytest.mark.parametrize("part", [0.02, 0.3, 0.6, 0.97])
def test_truncated_file(tmp_path, ridge, anchors, ending, part):
    path = _whole(tmp_path, ridge, ending)
    data = path.read_bytes()
    cut = data[: int(len(data) * part)]
    if ending == "obj":  # text that ends after a whole face is a whole, smaller mesh: cut inside an entry instead
        cut = cut[: cut.rfind(b"\n")] + (b"\nf 12 " if part > 0.5 else b"\nv 1.0")
    path.write_bytes(cut)
    with pytest.raises(TerrainError, match=rf"ridge\.{ending}.*allowed"):
        load_ground(GroundSpec(path=path), *anchors)


def test_truncated_text_stl_and_ply(tmp_path, ridge, anchors):
    mesh = trimesh.Trimesh(*ridge, process=False)
    for name, text in (
        ("ridge.stl", trimesh.exchange.stl.export_stl_ascii(mesh)),
        ("ridge.ply", trimesh.exchange.ply.export_ply(mesh, encoding="ascii").decode()),
    ):
        (tmp_path / name).write_text(text[: len(text) * 2 // 3])
        with pytest.raises(TerrainError, match=r"cut off|not whole"):
            load_ground(GroundSpec(path=tmp_path / name), *anchors)


_TRIANGLE = "v 0 0 -5\nv 9 0 -5\nv 0 9 -5\n"


@pytest.mark.parametrize(
    ("name", "text", "match"),
    [
        ("a.obj", "", "empty"),
        ("a.obj", "# nothing but words\n", "no faces"),
        ("a.obj", _TRIANGLE, "no faces"),
        ("a.obj", _TRIANGLE + "f 1 2 4\n", "not there"),
        ("a.obj", _TRIANGLE + "f 0 1 2\n", "not there"),
        ("a.obj", _TRIANGLE + "f 1 2 -4\n", "not there"),
        ("a.obj", _TRIANGLE.replace("9 0", "nan 0") + "f 1 2 3\n", "not finite"),
        ("a.obj", _TRIANGLE.replace("9 0", "inf 0") + "f 1 2 3\n", "not finite"),
        ("a.obj", _TRIANGLE.replace("9 0", "nine 0") + "f 1 2 3\n", "not a number"),
        ("a.obj", _TRIANGLE.replace("9 0", "1e300 0") + "f 1 2 3\n", "absurdly large"),
        ("a.obj", _TRIANGLE + "f 1 1 2\n", "without area"),
        ("a.obj", "v 0 0 0\nv 1 1 1\nv 3 3 3\nf 1 2 3\n", "without area"),
        ("a.stl", "solid a\nendsolid a\n", "no triangles"),
        ("a.stl", "these are not triangles at all" * 9, "cut off or not STL"),
        ("a.ply", "ply\nformat ascii 1.0\nelement vertex 0\nend_header\n", "no faces"),
        ("a.ply", "play\n", "header"),
        ("a.glb", "binary it is not", "not a GLB"),
        ("a.gltf", "{", "glTF"),
        ("a.gltf", '{"buffers": [{"uri": "lost.bin"}]}', "missing"),
        ("a.gltf", '{"asset": {"version": "2.0"}}', "no triangles|cannot be read"),
        ("a.blend", "x", "ending"),
        ("a.dae", "x", "ending"),
        ("a", "x", "ending"),
    ],
)
def test_broken_mesh_is_a_clear_error(tmp_path, anchors, name, text, match):
    path = tmp_path / name
    path.write_text(text)
    with pytest.raises(TerrainError, match=match) as caught:
        load_ground(GroundSpec(path=path), *anchors)
    assert str(path) in str(caught.value)
    assert caught.value.allowed


def test_no_triangles_in_binary_stl(tmp_path, anchors):
    path = tmp_path / "a.stl"
    path.write_bytes(b"\0" * 80 + struct.pack("<I", 0))
    with pytest.raises(TerrainError, match="no triangles"):
        load_ground(GroundSpec(path=path), *anchors)


def test_nan_in_binary_stl(tmp_path, ridge, anchors):
    path = _whole(tmp_path, ridge, "stl")
    data = bytearray(path.read_bytes())
    data[84 + 12 : 84 + 16] = struct.pack("<f", float("nan"))
    path.write_bytes(data)
    with pytest.raises(TerrainError, match="not finite"):
        load_ground(GroundSpec(path=path), *anchors)


def test_wrong_bytes_under_a_known_ending(tmp_path, ridge, anchors):
    data = _whole(tmp_path, ridge, "stl").read_bytes()
    for ending in ("obj", "ply", "glb", "gltf"):
        path = tmp_path / f"really_stl.{ending}"
        path.write_bytes(data)
        with pytest.raises(TerrainError, match="allowed"):
            load_ground(GroundSpec(path=path), *anchors)


def test_missing_file_and_folder(tmp_path, anchors):
    (tmp_path / "folder.obj").mkdir()
    for name in ("nowhere.obj", "folder.obj"):
        with pytest.raises(TerrainError, match="no such file"):
            load_ground(GroundSpec(path=tmp_path / name), *anchors)


def test_flat_triangles_stay_as_segments_and_points_and_are_told(tmp_path, anchors):
    path = tmp_path / "a.obj"
    path.write_text("v -9 -9 -5\nv 50 -9 -5\nv 20 50 -5\nv 0 0 -5\nf 1 2 3\nf 1 1 2\nf 4 4 4\n")
    terrain = load_ground(GroundSpec(path=path), *anchors)
    assert len(terrain.faces) == 3
    assert len(terrain.vertices) == 4
    assert any("2 of 3 triangles are without area" in note for note in Words().notes(terrain.notes))


@pytest.mark.parametrize("seed", range(15))
@pytest.mark.parametrize("ending", ["obj", "ply", "stl", "glb"])
def test_random_damage_is_an_error_of_ours_or_none(tmp_path, ridge, anchors, ending, seed):
    """Bytes overwritten at random: either a mesh that passes every check, or a `TerrainError` naming the file."""
    rng = np.random.default_rng(seed)
    path = _whole(tmp_path, ridge, ending)
    data = bytearray(path.read_bytes())
    for _ in range(4):
        data[rng.integers(0, min(len(data), 400 if seed % 2 else len(data)))] = rng.integers(0, 256)
    path.write_bytes(data)
    try:
        terrain = load_ground(GroundSpec(path=path), *anchors)
    except TerrainError as error:
        assert path.name in str(error)
        assert len(str(error)) < 600
    else:
        assert np.isfinite(terrain.vertices).all()
        assert len(terrain.faces) > 0


@pytest.mark.parametrize("block", [40, 1000, 10_000_000])
@pytest.mark.parametrize("form", ["{0}", "{0}/{1}", "{0}/{1}/{0}", "{0}//{0}"])
def test_obj_taken_apart_in_blocks_is_what_trimesh_reads(tmp_path, monkeypatch, block, form):
    """Lines across the borders of blocks, with all ways to write a corner; peer: trimesh."""
    from linescope.terrain import objs

    monkeypatch.setattr(objs, "_BLOCK", block)
    rng = np.random.default_rng(5)
    vertices, faces = rng.uniform(-9, 9, (40, 3)), np.array([rng.permutation(40)[:3] for _ in range(60)])
    places = faces[:, ::-1]
    text = "# rock\r\n" + "".join("v %.6f %.6f %.6f\n" % tuple(v) for v in vertices)  # noqa: UP031
    text += "".join("vt %.5f %.5f\n" % tuple(v) for v in rng.random((40, 2)))  # noqa: UP031
    text += "".join("vn 0 0 1\n" for _ in vertices) + "s off\n"
    text += "".join(
        "f " + " ".join(form.format(a + 1, b + 1) for a, b in zip(one, other, strict=True)) + "\n"
        for one, other in zip(faces, places, strict=True)
    )
    (tmp_path / "rock.obj").write_text(text.rstrip("\n"))
    found, triangles, _ = objs.read_plain_obj(tmp_path / "rock.obj")
    peer = trimesh.load(tmp_path / "rock.obj", process=False)
    np.testing.assert_allclose(found[triangles], np.asarray(peer.vertices)[np.asarray(peer.faces)], atol=1e-9)
