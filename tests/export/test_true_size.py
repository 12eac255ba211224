"""The rig at true size for telephones: solids where the lines are, and files as their specifications ask for."""

from __future__ import annotations

import io
import json
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
import trimesh

from linescope.export.true_size import NAMES, ar_files, true_size, write_ar
from linescope.scene import load
from linescope.study import Study
from linescope.words import Words

SCENES = Path(__file__).parents[2] / "scenes"
GLB, USDZ = NAMES


@pytest.fixture(scope="module")
def study() -> Study:
    return Study(load(SCENES / "larkspur_ledge.toml"), leave=Study.SLOW)


@pytest.fixture(scope="module")
def files(study: Study) -> dict[str, bytes]:
    return ar_files(study, Words())


@pytest.fixture(scope="module")
def seen(files: dict[str, bytes]) -> dict[str, trimesh.Trimesh]:
    """What trimesh reads of the glTF: y up, metres."""
    scene = trimesh.load(io.BytesIO(files[GLB]), file_type="glb")
    return {node: scene.geometry[scene.graph[node][1]] for node in scene.graph.nodes_geometry}


def test_lines_tapes_and_leash_are_closed_solids(study: Study, seen: dict[str, trimesh.Trimesh]) -> None:
    """Volumes by trimesh against length x width x thickness."""
    names = ["main", "backup", "leash", *(f"tape {tape.number}" for tape in study.taped.layout.tapes)]
    for name in names:
        assert seen[name].is_watertight and seen[name].volume > 0.0, name
    for name in ("main", "backup"):
        kind, length = getattr(study.rig, name), getattr(study.taped, name).stretched_length.sum()
        assert seen[name].volume == pytest.approx(0.5 * length * kind.width**2, rel=0.02)


def test_lines_are_where_they_were_computed(study: Study, seen: dict[str, trimesh.Trimesh]) -> None:
    """Every node of the solution lies within half a width of the solid's skin; anchor A is the origin, up is y."""
    rig = study.rig
    along = rig.main_b - rig.main_a
    flat = np.array([along[0], along[1], 0.0]) / np.hypot(along[0], along[1])
    for name in ("main", "backup"):
        nodes = getattr(study.taped, name).nodes - rig.main_a
        place = np.column_stack([nodes @ flat, nodes[:, 2], -nodes @ np.array([-flat[1], flat[0], 0.0])])
        _, away, _ = trimesh.proximity.closest_point_naive(seen[name], place)
        assert away.max() < 0.5 * getattr(rig, name).width + 0.003  # What a chord between two points is off a curve.
    bounds = seen["anchor A"].bounds
    assert bounds.mean(axis=0) == pytest.approx(np.zeros(3), abs=1e-6) and np.ptp(bounds[:, 1]) == pytest.approx(0.12)


def test_a_usdz_is_stored_as_its_specification_asks(files: dict[str, bytes]) -> None:
    """Pixar, Usdz File Format Specification 1.3: not compressed or encrypted, data at multiples of 64 bytes, USD first.

    Local headers by PKWARE's APPNOTE 4.3.7: 30 bytes, the name and the extra field before the data.
    """
    data = files[USDZ]
    archive = zipfile.ZipFile(io.BytesIO(data))
    assert archive.testzip() is None
    entries = archive.infolist()
    assert entries[0].filename.endswith((".usda", ".usdc", ".usd"))
    for entry in entries:
        assert entry.compress_type == zipfile.ZIP_STORED and not entry.flag_bits & 1
        name, extra = struct.unpack_from("<HH", data, entry.header_offset + 26)
        assert (entry.header_offset + 30 + name + extra) % 64 == 0


@pytest.mark.peer
def test_usd_reads_the_same_solids(
    study: Study, files: dict[str, bytes], seen: dict[str, trimesh.Trimesh], tmp_path: Path,
    peer: Callable[[str, str], ModuleType],
) -> None:
    """Pixar's own library opens the package and its validators find nothing; meshes are those that trimesh reads."""
    usd = peer("pxr.Usd", "USDZ files for telephones")
    geom, checks = (peer(f"pxr.{name}", "USDZ files for telephones") for name in ("UsdGeom", "UsdValidation"))
    for file in write_ar(tmp_path, study, Words()):
        assert file.read_bytes() == files[file.name]
    stage = usd.Stage.Open(str(tmp_path / USDZ))
    assert geom.GetStageMetersPerUnit(stage) == 1.0 and geom.GetStageUpAxis(stage) == "Y"
    assert stage.GetDefaultPrim().GetName() == "rig"
    validators = checks.ValidationRegistry().GetOrLoadAllValidators()
    assert len(validators) > 20
    assert not [error.GetMessage() for error in checks.ValidationContext(validators).Validate(stage)]
    for name in ("main", "backup", "tape 1", "anchor B", "leash"):
        mesh = geom.Mesh(stage.GetPrimAtPath(f"/rig/{name.replace(' ', '_')}"))
        points = np.array(mesh.GetPointsAttr().Get())
        faces = np.array(mesh.GetFaceVertexIndicesAttr().Get()).reshape(-1, 3)
        other = trimesh.Trimesh(points, faces)
        assert other.is_watertight
        assert other.bounds == pytest.approx(seen[name].bounds, abs=2e-4)
        assert other.volume == pytest.approx(seen[name].volume, rel=0.03)  # Places are rounded to a tenth of a mm.
        normals = np.array(mesh.GetNormalsAttr().Get())
        assert len(normals) == 3 * len(faces) and mesh.GetNormalsInterpolation() == "faceVarying"
        if name != "leash":  # Flat faces: the normal of each corner is that of its triangle.
            assert np.einsum("ij,ij->i", normals[::3], other.face_normals).min() > 0.98


def test_both_files_say_what_is_left_out(files: dict[str, bytes]) -> None:
    said = Words().say("page-ar-left-out")
    assert "ground" in said and "measured" in said
    length = struct.unpack_from("<I", files[GLB], 12)[0]
    assert json.loads(files[GLB][20 : 20 + length])["asset"]["extras"]["caution"] == said
    assert said.encode() in files[USDZ]


def test_nobody_on_the_line_and_ropes(study: Study) -> None:
    from dataclasses import replace

    rig = replace(study.rig, walker=None)
    names = [each.name for each in true_size(Study(rig, leave=Study.SLOW))]
    assert "main" in names and not {"walker", "ring", "leash"} & set(names)
    rope = replace(rig, backup=replace(rig.backup, is_rope=True, width=0.01, thickness=0.01))
    solid = next(each for each in true_size(Study(rope, leave=Study.SLOW)) if each.name == "backup")
    assert trimesh.Trimesh(solid.points, solid.triangles).volume > 0.0


def test_the_same_scene_gives_the_same_files(study: Study, files: dict[str, bytes]) -> None:
    assert ar_files(study, Words()) == files
