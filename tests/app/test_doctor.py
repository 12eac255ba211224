"""The doctor says what is missing and how to get it; the demo writes the shipped scenes and overwrites nothing."""

from __future__ import annotations

import argparse
from importlib import metadata
from pathlib import Path

import pytest

from linescope import cli, viewer
from linescope.app import doctor
from linescope.errors import InputError, OutputError, SystemPackageError
from linescope.scenefile.shipped import shipped, write_shipped
from linescope.words import Words

REQUIRES = [
    "numpy>=1.26", "laspy[lazrs]>=2.5", "scipy>=999", 'no-such-thing-at-all>=3; extra == "film"',
    'pytest>=8; extra == "test"', 'no-such-table>=3; extra == "notebook"',
]


@pytest.fixture
def lacking(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[doctor.Found]:
    def refuse() -> None:
        raise SystemPackageError("no driver")

    monkeypatch.setattr(metadata, "requires", lambda name: REQUIRES)
    monkeypatch.setattr(doctor, "probe", refuse)
    monkeypatch.setattr(viewer, "folder", lambda: tmp_path)  # Nothing was built there.
    return doctor.examine()


def test_each_package_is_looked_at(lacking: list[doctor.Found]) -> None:
    seen = {each.name: (each.status, each.part) for each in lacking}
    assert seen == {
        "python": ("there", ""), "numpy": ("there", ""), "laspy": ("there", ""), "scipy": ("too old", ""),
        "no-such-thing-at-all": ("missing", "film"), "drawing": ("missing", ""),
        "no-such-table": ("missing", "notebook"), "viewer": ("missing", "viewer"),
    }  # fmt: skip
    assert not doctor.is_fit(lacking)


@pytest.mark.parametrize("here", ["debian", "macos", "windows", "other"])
def test_what_is_missing_comes_with_the_way_to_get_it(lacking: list[doctor.Found], here: doctor.System) -> None:
    text = doctor.doctor_text(lacking, Words(), here)
    assert "TOO OLD" in text and "scipy" in text.split("Packages (")[1]
    assert 'Films (no-such-thing-at-all): from the folder of linescope, pip install ".[film]"' in text
    assert 'Tables of notebooks (no-such-table): from the folder of linescope, pip install ".[notebook]"' in text
    assert "npm registry" in next(line for line in text.splitlines() if line.startswith("The 3-D viewer of pages"))
    drawing = next(line for line in text.splitlines() if line.startswith("Drawing:"))
    assert ("libegl1" in drawing) == (here in ("debian", "other"))
    assert "safe" not in text.lower()


@pytest.mark.usefixtures("built")
def test_without_a_viewer_scenes_are_briefed_all_the_same(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(metadata, "requires", lambda name: ["numpy>=1.26"])
    monkeypatch.setattr(doctor, "probe", lambda: None)
    found = doctor.examine()
    assert next(each for each in found if each.name == "viewer").status == "there"
    assert "Nothing is missing" in doctor.doctor_text(found, Words(), "other")
    monkeypatch.setattr(viewer, "folder", lambda: tmp_path)
    found = doctor.examine()
    text = doctor.doctor_text(found, Words(), "other")
    assert doctor.is_fit(found) and "3-D viewer of pages        MISSING" in text and "Nothing is missing" not in text


@pytest.mark.parametrize(("version", "least", "old"), [
    ("1.26.0", "1.26", False), ("1.9", "1.26", True), ("2.0rc1", "2.0", False), ("10.1+cpu", "9.9", False),
])
def test_versions_are_compared_by_number(
    version: str, least: str, old: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The examples of PEP 440 on release segments, and a local version label."""
    monkeypatch.setattr(metadata, "version", lambda name: version)
    monkeypatch.setattr(metadata, "requires", lambda name: [f"thing>={least}"])
    monkeypatch.setattr(doctor, "probe", lambda: None)
    assert next(each for each in doctor.examine() if each.name == "thing").status == ("too old" if old else "there")


def test_shipped_scenes_are_those_of_the_folder() -> None:
    assert shipped() == {file.stem: file.read_text(encoding="utf-8") for file in Path("scenes").glob("*.toml")} != {}


def test_the_demo_writes_all_and_overwrites_nothing(tmp_path: Path) -> None:
    file = write_shipped(tmp_path / "d", "heron_gap")
    assert {each.stem for each in file.parent.iterdir()} == set(shipped())
    write_shipped(tmp_path / "d", "heron_gap")  # Once more: the same files.
    file.write_text("mine")
    write_shipped(tmp_path / "d", "sable_tarn")
    assert file.read_text() == "mine"
    with pytest.raises(OutputError, match="not overwritten"):
        write_shipped(tmp_path / "d", "heron_gap")
    with pytest.raises(InputError, match="heron_gap"):
        write_shipped(tmp_path / "d", "heron_gab")


def test_the_demo_briefs_the_scene_it_wrote(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    asked: list[argparse.Namespace] = []
    monkeypatch.setattr(cli, "_brief", lambda options: asked.append(options) or 0)
    assert cli.main(["demo", "ptarmigan_step", "-o", str(tmp_path / "d"), "--units", "feet"]) == 0
    (options,) = asked
    assert Path(options.scene).read_text(encoding="utf-8") == shipped()["ptarmigan_step"]
    assert (options.out, options.units) == (str(tmp_path / "d" / "ptarmigan_step-briefing"), "feet")
    assert str(options.scene) in capsys.readouterr().out
