"""The Python API refuses wrong things by name, whatever they are."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

import linescope
from linescope import statics
from linescope.errors import InputError
from linescope.export.briefing import Wanted
from linescope.export.film import write_film
from linescope.rig import Rig

SCENE = Path(__file__).parents[2] / "scenes" / "heron_gap.toml"
THINGS: list[Any] = [None, 5, 2.5, True, "no/such.toml", b"scene.toml", [], {}, object(), np.zeros(3), Path("no/such")]


@pytest.fixture(scope="module")
def rig() -> Rig:
    return linescope.load(SCENE).rig


@pytest.mark.parametrize("thing", THINGS, ids=lambda thing: type(thing).__name__)
def test_neither_a_path_nor_a_rig(thing: Any, tmp_path: Path) -> None:
    with pytest.raises(InputError):
        linescope.load(thing)
    for take in (
        linescope.plan, statics.solve, linescope.Study, linescope.find_clearance, linescope.compare,
        lambda rig: linescope.write_briefing(rig, tmp_path / "out"), lambda rig: write_film(tmp_path / "f.gif", rig),
    ):
        with pytest.raises(InputError, match="key 'rig': a rig is needed"):
            take(thing)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("state", [None, "", "As taped", 1, [], "standing"])
def test_no_such_state(rig: Rig, state: Any) -> None:
    with pytest.raises(InputError, match="key 'state'"):
        linescope.solve(rig, state)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("size", None), ("size", 5), ("size", (2000,)), ("size", ("a", "b")), ("size", (2000.5, 1414.0)),
        ("size", (0, 0)),
        ("size", (10**9, 10**9)), ("theme", "blue"), ("theme", None), ("theme", 3), ("units", "imperial"),
        ("units", None),
        ("paper", "A3"), ("paper", None), ("dpi", float("nan")), ("dpi", "300"), ("dpi", -1), ("dpi", float("inf")),
        ("wanted", None), ("wanted", {"rub": True}),
    ],
)  # fmt: skip
def test_a_briefing_refuses_before_it_computes(rig: Rig, key: str, value: Any, tmp_path: Path) -> None:
    told: list[str] = []
    given: dict[str, Any] = {key: value, "progress": lambda share, what: told.append(what)}
    with pytest.raises(InputError, match=f"key '{key}'"):
        linescope.write_briefing(rig, tmp_path / "out", **given)
    assert not told
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("place", [None, 5, "", "a\0b", b"x"])
def test_no_such_place(rig: Rig, place: Any) -> None:
    with pytest.raises(InputError):
        linescope.write_briefing(rig, place)
    with pytest.raises(InputError):
        write_film(place, rig)
    with pytest.raises(InputError):
        linescope.start("level", place)


def test_ground_in_the_output_folder_is_not_overwritten(tmp_path: Path) -> None:
    from tests.broken import meshes, scaffold

    (tmp_path / "rig.glb").write_bytes(meshes.glb(meshes.tree()))
    scene = scaffold.scene_with(("ground", "file")) | {"ground": {"kind": "mesh", "file": "rig.glb"}}
    (tmp_path / "scene.toml").write_text(scaffold.document(scene))
    with pytest.raises(InputError, match="output folder"):
        linescope.write_briefing(linescope.load(tmp_path / "scene.toml").rig, tmp_path, wanted=Wanted(mesh=True))
