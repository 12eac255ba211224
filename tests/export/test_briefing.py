"""A whole briefing in one folder, as the command line writes it."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

import linescope
from linescope.cli import main
from linescope.export import briefing, crew
from linescope.export.briefing import Wanted, write_briefing
from linescope.study import Study, StudyNote
from linescope.topics.clearance.text import clearance_json
from linescope.words import Words

SCENES = Path(__file__).parents[2] / "scenes"


@pytest.mark.parametrize(("scene", "title", "not_here"), [
    ("larkspur_ledge", "Larkspur Ledge", {"friction"}),
    pytest.param("ptarmigan_step", "Ptarmigan Step", set(), marks=pytest.mark.long),
])
def test_everything_is_written_whole_and_named(scene: str, title: str, not_here: set[str], tmp_path: Path) -> None:
    said: list[tuple[float, str]] = []
    files, missing = write_briefing(
        linescope.load(SCENES / f"{scene}.toml").rig, tmp_path / "out",
        wanted=Wanted(record=True, crossings=False, tables=True, mesh=True, ar=True), size=(800, 566),
        progress=lambda share, what: said.append((share, what)),
    )
    assert {file.name for file in files} == {file.name for file in (tmp_path / "out").iterdir()}
    names = {file.name for file in files}
    assert {"sheet.pdf", "crew.pdf", "tape-card.pdf", "page.html", "rig.glb", "loops.csv", "clearances.csv"} <= names
    assert {"rig-ar.glb", "rig-ar.usdz"} <= names
    assert {*crew.names(), crew.ABOVE} <= names
    assert sum(name.endswith(".png") for name in names) >= 10
    for file in files:
        if file.suffix == ".png":
            with Image.open(file) as image:
                if file.name.startswith("tape-"):  # A card is of a kind of tape, whatever the line.
                    assert image.size[0] == 800
                    continue
                assert image.size == (800, 566) or (file.name in (*crew.names(), crew.ABOVE) and image.width == 800)
                assert image.info["Scene"] == title
    assert {reason.split(":")[0] for reason in missing} == {"wear", "styles", "first-seconds", "as-built"} | not_here
    shares = [share for share, _ in said]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0


def test_a_brief_lists_the_places_that_clearance_lists(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A crew gets one list: the same figures, to the last digit, from the same walker positions."""
    rig = linescope.load(SCENES / "heron_gap.toml").rig
    given = []

    def sheet(path: Path, study: Study, *_: object, **__: object) -> Path:
        given.append(study.clearance)
        path.touch()
        return path

    monkeypatch.setattr(briefing, "write_brief", lambda *_, **__: [])
    monkeypatch.setattr(briefing, "write_crew", lambda *_, **__: [])
    monkeypatch.setattr(briefing, "write_sheet", sheet)
    write_briefing(rig, tmp_path, wanted=Wanted(record=True, crossings=False, page=False))
    again = Study(rig)
    assert clearance_json(Study(rig, given={"clearance": given[0]})) == clearance_json(again)


def test_the_command_writes_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "b"
    scene = tmp_path / "gap.toml"  # Without its ground: what the search for distances finds is tried above.
    scene.write_text((SCENES / "heron_gap.toml").read_text(encoding="utf-8").partition("[ground]")[0], encoding="utf-8")
    assert main(["brief", str(scene), "-o", str(out), "--pictures-only", "--size", "700x495"]) == 0
    shown = capsys.readouterr()
    assert [name for name in crew.names() if name not in shown.out] == ["crew.pdf"]
    assert "01-overview" not in shown.out and not (out / "sheet.pdf").exists()
    assert "left out" not in shown.err
    assert main(["brief", str(scene), "-o", str(out), "--workshop", "--pictures-only", "--size", "700x495"]) == 0
    shown = capsys.readouterr()
    assert "workshop-wear.png" in shown.out and "01-overview" not in shown.out
    assert f"left out: wind: {Words().say(StudyNote.NO_WIND)}" in shown.err
