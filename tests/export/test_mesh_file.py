"""The glTF file, read back by trimesh, a reader that is not ours."""

from __future__ import annotations

import dataclasses
import json
import struct
from pathlib import Path

import numpy as np
import pytest
import trimesh

from linescope.errors import InputError, OutputError
from linescope.export import mesh_file
from linescope.stage import lines, relief
from linescope.stage.ground import site
from linescope.stage.ring import ring_of
from linescope.stage.theme import LIGHT
from tests.stage import rigs

FAR = np.array([486_000.0, 5_412_000.0, 1_730.0])  # A place on a national grid: 32 bits alone keep half a metre there.


def read(path: Path) -> trimesh.Scene:
    return trimesh.load_scene(path)


def world(scene: trimesh.Scene, name: str) -> np.ndarray:
    """Points of a node in the rig's frame, by trimesh's own transforms: the first geometry of that name."""
    node = next(n for n in scene.graph.nodes_geometry if scene.graph[n][1] == name)
    transform, geometry = scene.graph[node]
    points = trimesh.transform_points(scene.geometry[geometry].vertices, transform)
    # glTF 2.0, section 3.4: y up, so that z of the rig is y and y of the rig is -z.
    return np.column_stack([points[:, 0], -points[:, 2], points[:, 1]])


@pytest.mark.parametrize("offset", [np.zeros(3), FAR], ids=["at the origin", "on a national grid"])
def test_points_come_back_where_they_are(tmp_path: Path, offset: np.ndarray) -> None:
    solution = rigs.solved("incline")
    wires = [dataclasses.replace(w, points=w.points + offset) for w in lines.centre_lines(solution, LIGHT)]
    ribbons = [dataclasses.replace(r, points=r.points + offset) for r in lines.ribbons(solution)]
    data = mesh_file.glb(ribbons, wires, LIGHT, origin=solution.rig.main_a + offset)
    (tmp_path / "a.glb").write_bytes(data)
    scene = read(tmp_path / "a.glb")
    for wire in wires:
        assert world(scene, f"{wire.name} line") == pytest.approx(wire.points, abs=2e-5)
    for ribbon in ribbons:
        assert world(scene, ribbon.name) == pytest.approx(ribbon.points, abs=2e-5)


def test_the_file_of_a_state_holds_its_points(tmp_path: Path) -> None:
    solution = rigs.solved("incline")
    scene = read(mesh_file.write_gltf(tmp_path / "a.glb", solution))
    assert world(scene, "chord") == pytest.approx(np.array([solution.rig.main_a, solution.rig.main_b]), abs=1e-5)
    found, free = world(scene, "backup line"), solution.backup.sample(24).points
    ring = ring_of(solution)
    assert ring is not None
    away = np.abs(np.arange(len(free)) - 24 * (ring.bay + 0.5)) >= 12  # The ring lifts the loop it hangs in.
    assert found.shape == free.shape
    assert found[away] == pytest.approx(free[away], abs=2e-5)
    assert np.linalg.norm(found - ring.through, axis=1).min() < 2e-5


def test_up_is_y_for_any_reader(tmp_path: Path) -> None:
    """glTF 2.0, section 3.4: +y up.  B of this rig lies 10 m above A."""
    solution = rigs.solved("incline")
    scene = read(mesh_file.write_gltf(tmp_path / "a.glb", solution))
    node = next(n for n in scene.graph.nodes_geometry if scene.graph[n][1] == "chord")
    transform, geometry = scene.graph[node]
    chord = trimesh.transform_points(scene.geometry[geometry].vertices, transform)
    assert chord[-1, 1] - chord[0, 1] == pytest.approx(10.0, abs=1e-5)
    there = mesh_file.to_y_up(np.array([[1.0, 2.0, 3.0]]))
    assert there.tolist() == [[1.0, 3.0, -2.0]]
    # A turn and no mirror: right-handed stays right-handed.
    assert np.linalg.det(mesh_file.to_y_up(np.eye(3))) == pytest.approx(1.0)


def test_names_lines_surfaces_and_colours_come_back(tmp_path: Path) -> None:
    solution = rigs.solved("incline")
    ground = rigs.gorge(solution.rig)
    scene = read(mesh_file.write_gltf(tmp_path / "a.glb", solution, ground=ground))
    kinds = {name: type(one).__name__ for name, one in scene.geometry.items()}
    assert {"main line", "backup line", "chord", "leash", "walker", "ring", "ground"} <= set(kinds)
    assert kinds["main line"] == kinds["chord"] == "Path3D"
    assert kinds["main"] == kinds["backup"] == kinds["ground"] == "Trimesh"
    assert {f"tape {tape.number}" for tape in solution.layout.tapes} <= set(kinds)
    assert len(scene.geometry["ground"].faces) == len(ground.faces)
    # glTF colours are linear light; back to sRGB by IEC 61966-2-1.
    for name, role in (("main", "main"), ("ground", "ground")):
        factor = np.asarray(scene.geometry[name].visual.material.baseColorFactor, dtype=float)
        linear = factor[:3] / (255.0 if factor.max() > 1.0 else 1.0)
        srgb = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
        assert srgb * 255 == pytest.approx(LIGHT.rgb(role), abs=8)


def document(path: Path) -> dict[str, object]:
    data = path.read_bytes()
    magic, version, length = struct.unpack_from("<4sII", data)
    assert (magic, version, length) == (b"glTF", 2, len(data))
    size, kind = struct.unpack_from("<I4s", data, 12)
    assert kind == b"JSON"
    return dict(json.loads(data[20 : 20 + size]))


def test_ground_keeps_its_corners_and_has_its_light_in_their_colours(tmp_path: Path) -> None:
    solution = rigs.solved("incline")
    gorge = rigs.gorge(solution.rig)
    made = site(gorge, solution.rig)
    path = mesh_file.write_gltf(tmp_path / "a.glb", solution, ground=made)
    scene = read(path)
    assert world(scene, "ground") == pytest.approx(gorge.vertices, abs=2e-5)
    (land,) = relief.lit(made, solution.rig, LIGHT)
    length = struct.unpack("<I", path.read_bytes()[12:16])[0]
    document = json.loads(path.read_bytes()[20 : 20 + length])
    (mesh,) = [mesh for mesh in document["meshes"] if mesh["name"] == "ground"]
    accessor = document["accessors"][mesh["primitives"][0]["attributes"]["COLOR_0"]]
    start = 28 + length + document["bufferViews"][accessor["bufferView"]]["byteOffset"]
    stored = np.frombuffer(path.read_bytes(), "<f4", 4 * accessor["count"], start).reshape(-1, 4)
    # glTF 2.0, section 3.7.2.1: vertex colours are linear; IEC 61966-2-1 says how to come back to sRGB.
    share = stored[:, :3]
    srgb = np.where(share <= 0.0031308, 12.92 * share, 1.055 * share ** (1 / 2.4) - 0.055)
    np.testing.assert_allclose(255 * srgb, land.baked, atol=0.6)
    assert "KHR_materials_unlit" in document["materials"][mesh["primitives"][0]["material"]]["extensions"]


def test_the_container_is_well_formed_and_says_what_it_is(tmp_path: Path) -> None:
    """glTF 2.0: alignment (3.6.2.4), indices inside their points, min and max of positions (3.6.2.5)."""
    found = document(mesh_file.write_gltf(tmp_path / "a.glb", rigs.solved("trap")))
    asset = found["asset"]
    assert asset["extras"]["scene"] == "Heron Gap"
    assert "walker at 24 m" in asset["extras"]["state"]
    assert "not permission" in asset["extras"]["caution"]
    views, accessors = found["bufferViews"], found["accessors"]
    assert all(view["byteOffset"] % 4 == 0 for view in views)
    assert max(view["byteOffset"] + view["byteLength"] for view in views) <= found["buffers"][0]["byteLength"]
    for mesh in found["meshes"]:
        for primitive in mesh["primitives"]:
            position = accessors[primitive["attributes"]["POSITION"]]
            assert len(position["min"]) == len(position["max"]) == 3
            assert accessors[primitive["indices"]]["count"] % (2 if primitive["mode"] == 1 else 3) == 0
    names = [node["name"] for node in found["nodes"]]
    assert len(set(names)) == len(names)
    line = next(mesh for mesh in found["meshes"] if mesh["name"] == "backup line")
    role = found["materials"][line["primitives"][0]["material"]]
    assert role["name"] == "backup"
    assert "KHR_materials_unlit" in role["extensions"]


def test_hostile_names_stay_text(tmp_path: Path) -> None:
    solution = rigs.solved("trap")
    named = dataclasses.replace(solution, rig=dataclasses.replace(solution.rig, name='</script>"\\ Größe \n\0'))
    found = document(mesh_file.write_gltf(tmp_path / "a.glb", named))
    assert found["asset"]["extras"]["scene"] == '</script>"\\ Größe \n\0'


def test_refusals(tmp_path: Path) -> None:
    with pytest.raises(OutputError):
        mesh_file.write_gltf(tmp_path / "nowhere" / "a.glb", rigs.solved("trap"))
    with pytest.raises(InputError, match="theme"):
        mesh_file.write_gltf(tmp_path / "a.glb", rigs.solved("trap"), theme="neon")
    assert list(tmp_path.iterdir()) == []
