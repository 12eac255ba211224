"""Every broken scene, ground and command line of the corpus ends with a clear error and nothing half-written."""

from __future__ import annotations

from pathlib import Path

import pytest

from linescope.errors import SceneError
from linescope.rig.layout import MOST_TAPES, lay_out
from linescope.scenefile import from_text
from linescope.scenefile.keys import SCENE
from linescope.scenefile.quantities import Measure, Point, Profile, Series
from linescope.scenefile.reading import Reader
from tests.broken import KINDS, keys, scaffold, sizes
from tests.broken.case import Case, check
from tests.long import rest_is_long

OTHERS = [case for kind in ("texts", "grounds", "lines", "sizes") for case in KINDS[kind]()]
FEW = 4
"""Of each key, one way in so many is tried by default."""
BY_KEY: dict[str, list[Case]] = {}
for _case in keys.cases():
    BY_KEY.setdefault(_case.name.split(": ", 1)[0], []).append(_case)


def test_the_corpus_is_large() -> None:
    """At least 500, as was asked, and every kind of it."""
    assert len(OTHERS) >= 500
    assert sum(len(cases) for cases in BY_KEY.values()) >= 500


@pytest.mark.parametrize("ways", rest_is_long(["few", "all"], "few"))
@pytest.mark.parametrize("number", range(len(BY_KEY)), ids=list(BY_KEY))
def test_every_way_to_get_a_key_wrong_names_it(number: int, ways: str, tmp_path: Path) -> None:
    """Of each key always a few ways, others than of the key before."""
    cases = list(BY_KEY.values())[number]
    if ways == "few":
        cases = cases[number % min(FEW, len(cases)) :: FEW]
    for count, case in enumerate(cases):
        folder = tmp_path / str(count)
        folder.mkdir()
        check(case, folder)


@pytest.mark.parametrize("case", OTHERS, ids=str)
def test_broken_files_and_command_lines(case: Case, tmp_path: Path) -> None:
    check(case, tmp_path)


def read(scene: object) -> object:
    return SCENE.read(scene, "", Reader(file="scene.toml", folder=Path()), "stated")


@pytest.mark.parametrize("place", list(scaffold.places()), ids=lambda place: place.key)
def test_the_scenes_around_the_mistakes_are_right(place: scaffold.Place) -> None:
    """So it is the mistake that is refused, not the scene made for it."""
    assert read(scaffold.scene_with(place.path))


@pytest.mark.parametrize(("place", "text"), list(keys.limits()), ids=lambda each: getattr(each, "key", str(each)))
def test_the_limits_themselves_are_allowed(place: scaffold.Place, text: str) -> None:
    scene = scaffold.replaced(scaffold.scene_with(place.path), place.path, text)
    try:
        read(scene)
    except SceneError as error:
        pytest.fail(f"{place.key} = {text!r} is refused: {error}")


def test_the_scene_around_the_slips_is_right_and_as_many_tapes_as_are_allowed_are_laid() -> None:
    """A line of 915 m is laid with just under `MOST_TAPES` tapes at 30 cm."""
    most = {sizes.END: "915 m", (*sizes.SPACING, "every"): "30 cm"}
    for changes in ({}, most):
        rig = from_text(sizes.scene(changes), file="scene.toml", folder=Path()).rig
        laid = lay_out(rig, rig.span, 0.0)
        assert len(laid.tapes) == pytest.approx(rig.span / laid.stated_bays[1], abs=2.5)
    assert 0.99 * MOST_TAPES < len(laid.tapes) <= MOST_TAPES


def test_every_key_is_covered() -> None:
    assert {place.key for place in scaffold.places()} == set(BY_KEY)
    for place in scaffold.places():
        if isinstance(place.kind, Measure | Series | Point | Profile):
            assert len(BY_KEY[place.key]) >= 20
