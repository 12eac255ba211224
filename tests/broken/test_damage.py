"""Damage at random: bytes changed, cut and doubled; refused by name, or still a whole scene or ground."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, seed, settings
from hypothesis import strategies as st

from linescope.errors import SceneError, TerrainError
from linescope.scene import load
from linescope.scenefile import start_text, starts
from linescope.terrain import GroundSpec, load_ground
from tests.broken import grounds, meshes
from tests.broken.case import within

WHOLE = {
    "g.obj": ("mesh", meshes.obj_text().encode()), "g.stl": ("mesh", meshes.binary_stl()),
    "g.ply": ("mesh", meshes.ply_text().encode()), "g.glb": ("mesh", meshes.glb(meshes.tree())),
    "g.gltf": ("mesh", json.dumps(meshes.tree("data.bin")).encode()), "g.asc": ("grid", grounds.ASC.encode()),
    "g.npz": ("grid", grounds.saved(elevation=grounds.Z, dx=20.0, dy=20.0)),
    "g.npy": ("grid", grounds.saved_one(grounds.Z)),
    "g.csv": ("points", "".join(f"{x},{y},{z}\n" for x, y, z in meshes.CORNERS).encode()),
    "p.csv": ("profile", b"station,height\n-5,-20\n20,-30\n60,-25\n"),
}  # fmt: skip
ENDS = np.zeros(3), np.array([50.0, 0.0, 0.0])
BYTES = st.one_of(
    st.binary(max_size=3), st.sampled_from([b"\0", b"\xff", b"\n", b"nan", b"1e999", b"-", b'"', b"9" * 30, b"{", b"["])
)


@st.composite
def damage(draw: st.DrawFn, whole: bytes) -> bytes:
    """A few pieces replaced, dropped or doubled."""
    data = whole
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(data)))
        end = min(len(data), at + draw(st.sampled_from([0, 1, 1, 1, 4, 40])))
        piece = draw(st.one_of(BYTES, st.just(data[at:end] * 2)))
        data = data[:at] + piece + data[end:]
    return data


def spec_of(path: Path, kind: str) -> GroundSpec:
    told = path.suffix in (".npy", ".npz")  # Heights that do not say where they lie.
    return GroundSpec(
        path=path, kind=kind, cell=(20.0, 20.0), shift=(-5.0, -20.0, 0.0) if told else (0.0, 0.0, 0.0)
    )


@pytest.mark.parametrize("name", sorted(WHOLE))
def test_without_damage_they_are_whole(name: str, tmp_path: Path) -> None:
    (tmp_path / "data.bin").write_bytes(meshes.mesh_bytes())
    (tmp_path / name).write_bytes(WHOLE[name][1])
    assert len(load_ground(spec_of(tmp_path / name, WHOLE[name][0]), *ENDS).faces) > 0


@seed(9)
@settings(max_examples=400, deadline=None, database=None)
@given(st.data())
def test_damaged_scenes(data: st.DataObject) -> None:
    whole = start_text(data.draw(st.sampled_from(starts()))).encode()
    with tempfile.TemporaryDirectory() as folder, within(60):
        path = Path(folder) / "scene.toml"
        path.write_bytes(data.draw(damage(whole)))
        try:
            assert load(path).rig.span > 0.5
        except SceneError as error:
            assert str(error).startswith(f"{path}: ")


@seed(9)
@settings(max_examples=600, deadline=None, database=None)
@given(st.data())
def test_damaged_grounds(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(sorted(WHOLE)))
    kind, whole = WHOLE[name]
    with tempfile.TemporaryDirectory() as folder, within(60):
        (Path(folder) / "data.bin").write_bytes(meshes.mesh_bytes())
        path = Path(folder) / name
        path.write_bytes(data.draw(damage(whole)))
        try:
            terrain = load_ground(spec_of(path, kind), *ENDS)
        except TerrainError as error:
            assert str(path) in str(error)
            assert len(str(error)) < 800
        else:
            assert np.isfinite(terrain.vertices).all()
            assert len(terrain.faces) > 0
