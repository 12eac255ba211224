"""A scene as a document: comments survive edits, undo is exact, files are written whole or not at all."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from linescope.app import edits
from linescope.errors import InputError, OutputError, SceneError
from linescope.scene import load
from linescope.scene.document import Document, put
from linescope.scene.paths import covers, steps_of, value_in
from linescope.scenefile import start_text
from tests.app.rigs import SCENES, shipped, written

COMMENTED = '''# The head stays.
title = "T"  # beside the title

[main]
tension = "2.0 kN"   # read at A
# a comment of its own
webbing = "polyester 25 mm"
'''


def comments(text: str) -> list[str]:
    return [line.partition("#")[2] for line in text.splitlines() if "#" in line]


def test_a_changed_value_changes_its_own_characters_only(tmp_path: Path) -> None:
    document = Document.read(written(tmp_path, COMMENTED))
    edits.typed(document, "main.tension", "2.4 kN")
    assert document.text == COMMENTED.replace("2.0 kN", "2.4 kN")


@pytest.mark.parametrize("scene", sorted(path.stem for path in SCENES.glob("*.toml")))
def test_every_comment_of_shipped_scenes_survives_many_edits(scene: str, tmp_path: Path) -> None:
    document = Document.read(shipped(tmp_path, scene))
    before = comments(document.text)
    tension = document.data["main"]["tension"]
    edits.typed(document, "main.tension", "3.3 kN")
    edits.typed(document, "walker.hang", "1.2 m")
    edits.known(document, "walker.hang", "guess")
    edits.limit(document, "walker.hang", "high", "")
    edits.limit(document, "walker.hang", "low", "1.1 m")
    edits.typed(document, "title", "Another")
    edits.typed(document, "walker.at", "40 %")
    edits.added(document, "taping.zones")
    assert [c for c in comments(document.text) if c in before] == before
    document.save("tighter")
    assert document.data["main"]["tension"] == tension  # It is measured.
    assert load(document.path, "tighter").rig.main_plan.tension == pytest.approx(3300.0)
    assert load(document.path).inputs.bands["walker.hang"].low == pytest.approx(1.1)


def test_commented_beginning_keeps_its_comments(tmp_path: Path) -> None:
    document = Document.read(written(tmp_path, start_text("level")))
    before = comments(document.text)
    edits.typed(document, "backup.excess", "5 %")
    assert comments(document.text) == before


def test_undo_and_redo_give_back_every_character(tmp_path: Path) -> None:
    document = Document.read(shipped(tmp_path, "larkspur_ledge"))
    texts = [document.text]
    for k, path in enumerate(("main.tension", "backup.excess", "walker.mass")):
        edits.typed(document, path, ("3.5 kN", "6 %", "70 kg")[k])
        texts.append(document.text)
    for text in reversed(texts[:-1]):
        document.undo()
        assert document.text == text
        assert document.data == tomllib.loads(text)
    assert document.undo() is None
    for text in texts[1:]:
        document.redo()
        assert document.text == text


def test_edits_of_one_gesture_are_one_step_back(tmp_path: Path) -> None:
    document = Document.read(shipped(tmp_path, "larkspur_ledge"))
    first = document.text
    for share in range(40, 60):
        edits.walker_to(document, share / 100.0, 90.0, gesture="drag 1")
    edits.walker_to(document, 0.7, 90.0, gesture="drag 2")
    document.undo()
    assert "59.0 %" in document.text
    document.undo()
    assert document.text == first


def test_save_refuses_to_overwrite_what_somebody_else_wrote(tmp_path: Path) -> None:
    path = shipped(tmp_path, "heron_gap")
    document = Document.read(path)
    edits.typed(document, "main.tension", "3.1 kN")
    path.write_text("# theirs\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    with pytest.raises(OutputError, match="changed on disk"):
        document.save()
    assert path.read_text(encoding="utf-8").startswith("# theirs")


def test_save_as_needs_a_free_name_ending_in_toml(tmp_path: Path) -> None:
    document = Document.read(shipped(tmp_path, "heron_gap"))
    with pytest.raises(OutputError, match="exists already"):
        document.save_as(document.path)
    with pytest.raises(OutputError, match=r"\.toml"):
        document.save_as(tmp_path / "line.txt")
    other = document.save_as(tmp_path / "other.toml")
    assert other.read_text(encoding="utf-8") == document.text
    assert document.path == other
    assert sorted(file.name for file in tmp_path.iterdir()) == ["heron_gap.toml", "other.toml"]


def test_a_refused_write_leaves_nothing_behind(tmp_path: Path) -> None:
    document = Document.read(shipped(tmp_path, "heron_gap"))
    edits.typed(document, "main.tension", "3.1 kN")
    with pytest.raises(OutputError, match="cannot be written"):
        document.save_as(tmp_path / "no folder" / "line.toml")
    assert document.path == tmp_path / "heron_gap.toml"
    assert document.is_dirty
    assert [file.name for file in tmp_path.iterdir()] == ["heron_gap.toml"]


def test_a_link_to_a_scene_stays_a_link(tmp_path: Path) -> None:
    target = shipped(tmp_path, "heron_gap")
    link = tmp_path / "link.toml"
    link.symlink_to(target)
    document = Document.read(link)
    edits.typed(document, "main.tension", "3.1 kN")
    document.save()
    assert link.is_symlink()
    assert "3.1 kN" in target.read_text(encoding="utf-8")


def test_text_that_is_not_toml_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SceneError, match="not TOML"):
        Document.read(written(tmp_path, "title = "))
    with pytest.raises(SceneError, match="no such file"):
        Document.read(tmp_path / "nothing.toml")
    with pytest.raises(SceneError, match="UTF-8"):
        (tmp_path / "b.toml").write_bytes(b"\xff\xfe\x00")
        Document.read(tmp_path / "b.toml")


def test_a_failing_edit_leaves_the_document_as_it_was(tmp_path: Path) -> None:
    document = Document.read(written(tmp_path, COMMENTED))
    with pytest.raises(InputError), document.edit("bad") as toml:
        put(toml, ("main", "tension"), "9 kN")
        raise KeyError("tension")
    assert document.text == COMMENTED
    assert document.undo_label is None


def test_paths_are_spelled_as_the_loader_spells_them() -> None:
    assert steps_of("taping.zones[2].spacing.every") == ("taping", "zones", 1, "spacing", "every")
    assert value_in({"a": [{"b": 3}]}, steps_of("a[1].b")) == 3
    assert value_in({"a": []}, steps_of("a[1].b")) is None
    assert covers("main.tension", "main.tension.low")
    assert not covers("main.tension", "main.tensions")
    for bad in ("", "a..b", "a[0]", "../x", "a b", "a[1]b", "x" * 300, "__class__[-1]"):
        with pytest.raises(InputError):
            steps_of(bad)
