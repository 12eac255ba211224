"""The form: every key of the table has its place, errors stand beside their fields in the loader's words."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from linescope.app import form
from linescope.errors import SceneError
from linescope.scene.tried import field_at, retyped
from linescope.scene.typed import raw_from
from linescope.scenefile import from_mapping, start_text
from linescope.scenefile.fields import Either
from linescope.scenefile.groups import KeyGroup, Repeat
from linescope.scenefile.keys import SCENE
from tests.app.rigs import SCENES, errors_of

INCLINED = tomllib.loads(start_text("inclined"))


def made(data: dict[str, Any], blamed: SceneError | None = None) -> list[dict[str, Any]]:
    return form.form_of(data, saved=INCLINED, notes=(), blamed=blamed)


def fields_of(sections: list[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    return {field["path"]: field for section in sections for field in section["fields"]}


def test_every_key_that_is_given_has_a_field() -> None:
    for scene in SCENES.glob("*.toml"):
        data = tomllib.loads(scene.read_text(encoding="utf-8"))
        fields = fields_of(form.form_of(data, saved=data, notes=()))
        missing = [
            path for path, _ in form.leaves(data)
            if path not in fields and not any(form.covers(known, path) for known in fields)
        ]
        assert missing == []


def test_every_key_of_the_table_can_be_reached() -> None:
    """Walks the table itself: a new key needs no change of the page."""

    def walk(group: KeyGroup, at: str) -> list[str]:
        found = []
        for name, kind in group.fields.items():
            path = f"{at}.{name}" if at else name
            inner = kind.second if isinstance(kind, Either) else kind
            if isinstance(inner, Repeat):
                found += walk(inner.item, f"{path}[1]")
            elif isinstance(inner, KeyGroup):
                found += walk(inner, path)
            else:
                found.append(path)
        return found

    paths = walk(SCENE, "")
    assert len(paths) > 80
    for path in paths:
        assert not isinstance(field_at(path), KeyGroup | Repeat), path


def test_a_good_scene_has_no_errors() -> None:
    assert errors_of(made(INCLINED)) == []


@pytest.mark.parametrize(
    ("path", "typed", "words"),
    [
        (("main", "tension"), "3,0 kN", "a comma in a number is refused"),
        (("main", "tension"), "3", "the unit is missing"),
        (("main", "tension"), "3 kg", "kgf"),
        (("backup", "excess"), "900 %", "out of range"),
        (("walker", "mass"), "many", "does not start with a number"),
        (("wind", "from"), "leeward", "left"),
    ],
)
def test_errors_stand_beside_their_field_in_the_words_of_the_loader(
    path: tuple[str, str], typed: str, words: str
) -> None:
    data = tomllib.loads(start_text("inclined"))
    data[path[0]][path[1]] = typed
    with pytest.raises(SceneError) as refused:
        _load(data)
    field = fields_of(made(data))[".".join(path)]
    assert words in field["error"]
    assert refused.value.problem in field["error"]
    assert field["text"] == typed


def _load(data: dict[str, Any]) -> None:
    from_mapping(data, file="x", folder=".")


def test_several_wrong_fields_all_say_so() -> None:
    data = tomllib.loads(start_text("inclined"))
    data["main"]["tension"], data["walker"]["mass"] = "3", "-4 kg"
    wrong = {entry["path"] for entry in errors_of(made(data))}
    assert wrong == {"main.tension", "walker.mass"}


def test_an_error_of_the_whole_scene_finds_its_field() -> None:
    data = tomllib.loads(start_text("inclined"))
    data["taping"]["zones"][1]["from"] = "20 m"
    with pytest.raises(SceneError) as refused:
        _load(data)
    sections = made(data, refused.value)
    assert "without gap" in fields_of(sections)["taping.zones[2].from"]["error"]


def test_changed_fields_are_marked_against_the_saved_scene() -> None:
    data = tomllib.loads(start_text("inclined"))
    data["walker"]["mass"] = "80 kg"
    changed = {path for path, field in fields_of(made(data)).items() if field["changed"]}
    assert changed == {"walker.mass"}


def test_keys_that_exclude_one_another_offer_the_others() -> None:
    fields = fields_of(made(INCLINED))
    assert "main.length" not in fields
    assert [a["name"] for a in fields["main.tension"]["alternatives"]] == ["tension", "length"]


def test_typed_values_keep_their_kind_and_source() -> None:
    quantity = field_at("hold.friction")
    assert raw_from(quantity, "0.3", 0.25) == 0.3
    banded = {"low": 0.15, "value": 0.25, "high": 0.35, "known": "guess"}
    assert raw_from(quantity, "0.3", banded) == {**banded, "value": 0.3}
    tension = field_at("main.tension")
    assert raw_from(tension, " 500 lbf ", "2 kN") == "500 lbf"
    point = field_at("anchors.b")
    old = ["90 m", {"value": "0 m", "known": "guess"}, "-7 m"]
    assert raw_from(point, "91 m, 0 m, -7 m", old) == ["91 m", {"value": "0 m", "known": "guess"}, "-7 m"]
    assert raw_from(field_at("joints[1].tied"), "yes", False) is True
    profile = field_at("ground.profile")
    assert raw_from(profile, "0 m, -1 m\n3 m, -2 m", None) == [["0 m", "-1 m"], ["3 m", "-2 m"]]


def test_what_is_typed_over_a_guess_takes_its_low_and_high_over_and_put_back_is_the_file_s() -> None:
    """As wide as the file's, and no narrower in proportion, however often it is typed."""
    kind = field_at("main.tension")
    saved = {"value": "2 kN", "known": "guess", "low": "1.8 kN", "high": "2.2 kN"}
    down = retyped(kind, "1 kN", saved, saved, "guess")
    up = retyped(kind, "4 kN", down, saved, "guess")
    assert down == {"value": "1 kN", "known": "guess", "low": "0.8 kN", "high": "1.2 kN"}
    assert up == {"value": "4 kN", "known": "guess", "low": "3.6 kN", "high": "4.4 kN"}
    assert retyped(kind, "2 kN", up, saved, "guess") == saved
    told = {**up, "low": "3.9 kN"}  # Typed since: from here on these are the ends.
    assert retyped(kind, "5 kN", told, saved, "guess")["low"] == "4.875 kN"
    guess = {"value": "2 kN", "known": "guess"}
    assert retyped(kind, "3 kN", guess, guess) == {"value": "3 kN", "known": "guess"}


def test_sliders_are_in_the_unit_as_typed() -> None:
    data = tomllib.loads(start_text("inclined"))
    data["main"]["tension"] = "700 lbf"
    slider = form.form_of(data, saved=data, notes=())
    found = fields_of(slider)["main.tension"]["slider"]
    assert found["unit"] == "lbf"
    assert (found["low"], found["high"]) == pytest.approx((350.0, 1050.0))
