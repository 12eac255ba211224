"""Every public name has an example in its docstring, and every example runs and prints what it says."""

from __future__ import annotations

import doctest
import inspect
import json
from pathlib import Path

import matplotlib
import pytest
from matplotlib import pyplot

import linescope
from tests.long import rest_is_long

ROOT = Path(__file__).parents[2]
NAMES = [name for name in linescope.__all__ if not name.startswith("_")]


@pytest.fixture(autouse=True)
def in_the_project(monkeypatch):
    matplotlib.use("Agg")
    monkeypatch.chdir(ROOT)
    yield
    pyplot.close("all")


def test_the_package_tells_its_names():
    assert set(dir(linescope)) == set(linescope.__all__) == {*linescope._HOME, "__version__"}


@pytest.mark.parametrize("name", rest_is_long(NAMES, *(name for name in NAMES if name != "write_briefing")))
def test_examples_of_public_names_run(name, tmp_path):
    item = getattr(linescope, name)
    text = inspect.getdoc(item)
    assert "Examples\n--------" in text, "a public name without an example"
    example = doctest.DocTestParser().get_doctest(text, {"folder": tmp_path}, name, None, 0)
    assert example.examples
    told: list[str] = []
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE)
    failed, _ = runner.run(example, out=told.append)
    assert not failed, "".join(told)


def test_the_tutorial_runs_from_its_first_cell_to_its_last(monkeypatch, tmp_path):
    notebook = json.loads((ROOT / "scenes" / "tutorial.ipynb").read_text(encoding="utf-8"))
    assert notebook["nbformat"] == 4
    code = [cell for cell in notebook["cells"] if cell["cell_type"] == "code"]
    assert len(code) > 6 and all(not cell["outputs"] for cell in code)
    monkeypatch.chdir(tmp_path)
    names: dict[str, object] = {}
    for cell in code:
        exec(compile("".join(cell["source"]), "tutorial", "exec"), names)
    assert (tmp_path / "mine.toml").exists()


def test_five_things_of_a_notebook_in_fifteen_lines(tmp_path, monkeypatch):
    lines = """\
import linescope, pyvista
scene = linescope.load("scenes/heron_gap.toml")
tighter = scene.what_if("main.tension", "2.4 kN")
state = linescope.solve(tighter, walker="12 m")
frame = linescope.sweep(scene, {"main.tension": range(1000, 3000, 100)}, of=["sag", "tension_a"])
axes = frame.plot("main.tension", "sag")
plotter = pyvista.Plotter(off_screen=True)
plotter.add_mesh(pyvista.Sphere(radius=2.0, center=(24.0, 0.0, -20.0)))
for block in state.mesh(ground=True):
    plotter.add_mesh(block, scalars="colour", rgb=True)
table = state.bays.to_frame()
table.to_csv(out)"""
    assert len(lines.split("\n")) <= 15
    names = {"out": tmp_path / "bays.csv"}
    exec(lines, names)
    assert len(names["frame"]) == 20 and names["frame"]["sag"].is_monotonic_decreasing
    assert names["axes"].lines and (tmp_path / "bays.csv").read_text().startswith("bay,start,end")
    assert len(names["plotter"].actors) == len(names["state"].mesh(ground=True)) + 1
