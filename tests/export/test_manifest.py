"""A briefing into a folder that holds an earlier one: nothing stale is left unsaid, nothing foreign is touched."""

from __future__ import annotations

import json
from pathlib import Path

from linescope.cli import main
from linescope.export import manifest
from tests.advise.lines import scene_of


def write(folder: Path, *names: str, text: str = "x") -> list[Path]:
    for name in names:
        (folder / name).write_text(text, encoding="utf-8")
    return [folder / name for name in names]


def test_only_unchanged_files_of_the_list_are_removed(tmp_path: Path) -> None:
    first = write(tmp_path, "01-overview-as-taped-walker-at-34-m.png", "05-closeup-old.png", "loops.csv", "sheet.pdf")
    foreign = write(tmp_path, "notes.txt", "loops-mine.csv", "07-my-photo.png")
    assert manifest.tidy(tmp_path, first)[0] == manifest.Tidied(removed=(), kept=())
    write(tmp_path, "05-closeup-old.png", text="drawn on by hand")
    second = write(tmp_path, "01-overview-as-taped-walker-at-51-m.png", "sheet.pdf", text="y")
    tidied, listing = manifest.tidy(tmp_path, second)
    assert tidied.removed == ("01-overview-as-taped-walker-at-34-m.png", "loops.csv")
    assert tidied.kept == ("05-closeup-old.png",)
    assert {path.name for path in tmp_path.iterdir()} == {
        *(path.name for path in (*second, *foreign, listing)), "05-closeup-old.png"
    }
    said = " ".join(manifest.words(tidied))
    assert "removed" in said and "34-m" in said and "NOT OF THIS BRIEFING" in said and "05-closeup-old.png" in said


def test_an_old_briefing_without_a_list_is_named_and_left(tmp_path: Path) -> None:
    write(tmp_path, "02-elevation-settled.png", "page.html")
    tidied, _ = manifest.tidy(tmp_path, write(tmp_path, "sheet.pdf"))
    assert tidied == manifest.Tidied(removed=(), kept=("02-elevation-settled.png", "page.html"))
    assert (tmp_path / "page.html").exists()


def test_a_list_cannot_reach_out_of_its_folder(tmp_path: Path) -> None:
    """Names with steps in them, links, lists of others and nonsense remove nothing."""
    inner = tmp_path / "out"
    inner.mkdir()
    (victim,) = write(tmp_path, "victim.txt")
    (inner / "link.png").symlink_to(victim)
    digest = manifest._digest(victim)
    names = ("../victim.txt", str(victim), "link.png", "", ".", "..", "a\0b")
    for text in (
        json.dumps({"written_by": "linescope brief", "files": dict.fromkeys(names, digest)}),
        json.dumps({"written_by": "somebody", "files": {"mine.txt": digest}}), "[]", "{", "[" * 100_000, "\udcff", "7",
        json.dumps({"written_by": "linescope brief", "files": ["mine.txt"]}),
        json.dumps({"written_by": "linescope brief", "files": {"mine.txt": 7}}),
    ):
        write(inner, "mine.txt")
        (inner / manifest.NAME).write_text(text, encoding="utf-8", errors="surrogateescape")
        assert manifest.tidy(inner, [])[0].removed == ()
        assert victim.exists() and (inner / "link.png").is_symlink() and (inner / "mine.txt").exists()


def test_a_brief_with_the_walker_elsewhere_leaves_no_old_pictures(tmp_path: Path, capsys) -> None:
    text = scene_of().text  # 24 m, without ground: no search for distances.
    assert 'at = "50 %"' in text
    out, scene = tmp_path / "out", tmp_path / "line.toml"
    for at in ("50 %", "25 %"):
        scene.write_text(text.replace('at = "50 %"', f'at = "{at}"'), encoding="utf-8")
        options = ["--record", "--pictures-only", "--no-crossings", "--size", "700x495"]
        assert main(["brief", str(scene), "-o", str(out), *options]) == 0
    shown = capsys.readouterr()
    listed = json.loads((out / manifest.NAME).read_text(encoding="utf-8"))["files"]
    assert {path.name for path in out.iterdir()} == {*listed, manifest.NAME}
    assert not [name for name in listed if "12-m" in name] and [name for name in listed if "6-m" in name]
    assert "removed, from an earlier briefing and out of date: 01-overview-as-taped-walker-at-12-m" in shown.err
