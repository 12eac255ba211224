"""Whatever stands in a scene file, it becomes a rig or an error that names the file."""

from __future__ import annotations

import copy
import tomllib
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from linescope.errors import SceneError
from linescope.scenefile import from_mapping, from_text, start_text, starts

SCENES = [tomllib.loads(start_text(name)) for name in starts()]
WORDS = [
    "",
    "a",
    "5 m",
    "-5 m",
    "0 m",
    "1e9 m",
    "0 N",
    "5 kN",
    "5 %",
    "0 %",
    "100 %",
    "1e-300 %",
    "left",
    "guess",
    "A",
]
SCALARS = st.one_of(st.sampled_from(WORDS), st.integers(), st.floats(), st.booleans(), st.text(max_size=5))
NESTED = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["value", "low", "high", "known", "at", "drag", "every", "stiffness"]), inner
        )
    ),
    max_leaves=6,
)


def places(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Paths of all nodes below the root."""
    steps: list[Any] = (
        list(data) if isinstance(data, dict) else list(range(len(data))) if isinstance(data, list) else []
    )
    return [each for step in steps for each in [(*path, step), *places(data[step], (*path, step))]]


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_a_changed_scene_is_read_or_refused(data: st.DataObject) -> None:
    scene = copy.deepcopy(data.draw(st.sampled_from(SCENES)))
    path = data.draw(st.sampled_from(places(scene)))
    node: Any = scene
    for step in path[:-1]:
        node = node[step]
    if data.draw(st.booleans()):
        node[path[-1]] = data.draw(NESTED)
    else:
        del node[path[-1]]
    try:
        rig = from_mapping(scene, file="any.toml", folder=".").rig
    except SceneError as error:
        assert str(error).startswith("any.toml: key ")
    else:
        assert rig.span > 0.5


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=60))
def test_any_text_is_refused_by_name(text: str) -> None:
    try:
        from_text(text, file="any.toml", folder=".")
    except SceneError as error:
        assert str(error).startswith("any.toml: ")
