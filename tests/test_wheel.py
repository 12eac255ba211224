"""The installed wheel: everything it reads at run time is inside, and it runs far from the source tree."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from importlib import metadata
from pathlib import Path

import pytest

from linescope import viewer
from linescope.viewer import letters

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Built from a copy of what git tracks, so that nothing lying about gets in."""
    source = tmp_path_factory.mktemp("source")
    names = subprocess.run(
        ["git", "ls-files", "linescope", "scenes", "pyproject.toml", "README.md"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    ).stdout.split("\n")
    if not any(names):
        pytest.skip("not a git checkout")
    for name in filter(None, names):
        if not (ROOT / name).exists():
            continue
        target = source / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes((ROOT / name).read_bytes())
    out = tmp_path_factory.mktemp("wheel")
    # As on a machine where nothing of linescope is on the path yet.
    bare = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"}
    run = subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "--no-build-isolation", "-w", str(out), str(source)],
        capture_output=True, text=True, check=False, env=bare,
    )
    assert run.returncode == 0, run.stderr
    return next(out.glob("linescope-*.whl"))


def test_data_is_inside(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    for room in ("webbing", "scenefile", "stage"):
        assert any(name.startswith(f"linescope/{room}/data/") for name in names), room
    assert "linescope/py.typed" in names
    assert not any(name.startswith(("tests/", "scenes/")) for name in names)
    shipped = {name.rpartition("/")[2] for name in names if name.startswith("linescope/scenefile/data/shipped/")}
    assert shipped == {file.name for file in (ROOT / "scenes").rglob("*.toml")} != set()


def test_the_viewer_is_inside_as_it_was_built_here_and_without_its_sources(wheel: Path, built: viewer.Bundle) -> None:
    packed = zipfile.ZipFile(wheel)
    found = {name for name in packed.namelist() if name.startswith("linescope/viewer/")}
    inside = ("__init__.py", "build.py", "letters.py", "data/viewer.js", "data/viewer.css",
              *(f"data/{name}" for name in letters.FILES))  # fmt: skip
    assert found == {f"linescope/viewer/{name}" for name in inside}
    assert packed.read("linescope/viewer/data/viewer.js").decode() == built.script


def test_it_runs_from_the_wheel_alone(wheel: Path, tmp_path: Path) -> None:
    """Start a scene and print its figures, with the unpacked wheel and not the source tree on the path."""
    unpacked = tmp_path / "unpacked"
    zipfile.ZipFile(wheel).extractall(unpacked)
    script = (
        "import sys, linescope, pathlib; from linescope.cli import main;"
        f"assert pathlib.Path(linescope.__file__).is_relative_to({str(unpacked)!r});"
        "sys.exit(main(['start', 'level', '-o', 'mine.toml']) or main(['figures', 'mine.toml']))"
    )
    environment = {**os.environ, "PYTHONPATH": str(unpacked)}
    run = subprocess.run(
        [sys.executable, "-c", script], cwd=tmp_path, env=environment, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr
    assert "Excess and loop depth" in run.stdout


def test_the_doctor_of_an_installed_copy_looks_at_every_package(wheel: Path, tmp_path: Path) -> None:
    """Against the wheel's own metadata, and against what this environment has by `importlib.metadata`."""
    unpacked = tmp_path / "unpacked"
    zipfile.ZipFile(wheel).extractall(unpacked)
    environment = {**os.environ, "PYTHONPATH": str(unpacked), "LINESCOPE_LANGUAGE": "en"}
    run = subprocess.run(
        [sys.executable, "-m", "linescope", "doctor"], cwd=tmp_path, env=environment, capture_output=True, text=True,
        check=False,
    )
    assert run.returncode == 0, run.stdout + run.stderr
    for name in ("numpy", "scipy", "pint", "pyvista", "trimesh", "aiohttp", "imageio-ffmpeg", "segno", "pandas"):
        assert f"  {name} " in run.stdout
        assert metadata.version(name) in run.stdout
    assert "MISSING" not in run.stdout
