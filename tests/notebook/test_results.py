"""Results in scripts and notebooks: short in print, plotted on a user's axes, taken away as tables and meshes."""

from __future__ import annotations

import base64
import dataclasses
import re
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure

import linescope
from linescope.errors import InputError, LinescopeError, SystemPackageError
from linescope.notebook import page, tables
from linescope.rig import Rig
from linescope.study import Study

SCENES = Path(__file__).parents[2] / "scenes"
LARKSPUR, PTARMIGAN = SCENES / "larkspur_ledge.toml", SCENES / "ptarmigan_step.toml"


@pytest.fixture(scope="module")
def solution():
    return linescope.solve(LARKSPUR, walker="30 m")


def results(result, seen):
    """Every dataclass that a result holds, one of a kind."""
    if dataclasses.is_dataclass(result) and not isinstance(result, type):
        if type(result) not in seen:
            seen[type(result)] = result
            for field in dataclasses.fields(result):
                results(getattr(result, field.name), seen)
    elif isinstance(result, (tuple, list)):
        for each in result[:3]:
            results(each, seen)
    elif isinstance(result, dict):
        results(tuple(result.values()), seen)
    return seen


def test_results_are_printed_in_three_lines():
    scene = linescope.load(PTARMIGAN)
    study = Study(scene)
    found = results((scene, scene.rig, study.planned, study.standing, study.settled, study.fall, study.wind), {})
    assert len(found) > 25
    for result in (*found.values(), study):
        text = repr(result)
        assert len(text) < 700, text
        assert text.count("\n") < 3, text
    assert "Ptarmigan Step" in repr(study.standing) and "settled" in repr(study.settled)


def test_a_place_is_given_as_text_or_metres_or_nobody():
    rig = linescope.load(LARKSPUR).rig
    quarter = linescope.solve(LARKSPUR, walker="25 %")
    assert quarter.rig.walker.at == pytest.approx(0.25 * rig.span, rel=1e-12)
    metres = linescope.solve(rig, walker=0.25 * rig.span)
    assert metres.tension_a == pytest.approx(quarter.tension_a, rel=1e-12)
    assert linescope.solve(rig, walker=np.float64(23.0)).rig.walker.at == 23.0
    assert linescope.solve(LARKSPUR, walker=False).walker_point is None
    # An empty line and one with its own walker are what the scene says otherwise.
    assert linescope.solve(LARKSPUR).rig.walker.at == rig.walker.at


@pytest.mark.parametrize("walker", ["300 m", "30", "30 kg", -1.0, 93.0, float("nan"), True, object(), [1.0], b"30 m"])
def test_a_place_that_is_none_is_an_error_of_the_program(walker):
    with pytest.raises(InputError, match="walker"):
        linescope.solve(LARKSPUR, walker=walker)


@pytest.mark.parametrize("scene", [3, None, b"x", {"main": 1}])
def test_what_is_no_scene_is_named(scene):
    with pytest.raises(InputError, match="scene"):
        linescope.solve(scene)


def test_a_table_of_bays_says_where_they_are(solution):
    frame = solution.bays.to_frame()
    rig = solution.rig
    assert frame.index.name == "bay" and list(frame.index) == list(range(1, len(solution.backup.bay) + 1))
    # Bays follow one another from anchor to anchor, and end at the tapes as they hang.
    along = (solution.tape_points - rig.main_a) @ (rig.main_b - rig.main_a) / rig.span
    np.testing.assert_allclose(frame["start"], np.append(0.0, along), atol=1e-9)
    np.testing.assert_allclose(frame["end"], np.append(along, rig.span), atol=1e-9)
    np.testing.assert_array_equal(frame["loop_depth"], solution.bays.loop_depth)
    assert frame.attrs["units"]["loop_depth"] == "m" and frame.attrs["units"]["main_tension"] == "N"
    assert set(frame.columns) == {field.name for field in dataclasses.fields(solution.bays)}
    frame.loc[1, "loop_depth"] = 0.0  # A table is the user's own to change.


def test_a_dataset_has_named_axes_units_and_meanings(solution):
    data = solution.to_dataset()
    assert dict(data.sizes) == {"xyz": 3, "tape": len(solution.tape_points), "bay": len(solution.bays.start)}
    assert data["loop_depth"].attrs["units"] == "m" and data["tension_a"].attrs["units"] == "N"
    assert all(array.attrs["long_name"] for array in data.data_vars.values())
    assert float(data["tension_a"]) == solution.tension_a
    np.testing.assert_array_equal(data["tape_points"].values, solution.tape_points)
    assert data.where(data.bay_start > 40.0, drop=True).sizes["bay"] == int((solution.bays.start > 40.0).sum())


def test_a_library_that_is_missing_is_named(solution, monkeypatch):
    def gone(name):
        raise ImportError(name)

    monkeypatch.setattr(tables.importlib, "import_module", gone)
    with pytest.raises(SystemPackageError, match=r"pandas.*pip install"):
        tables.to_frame(solution.bays)


def test_plots_go_on_the_users_own_axes(solution):
    figure = Figure()
    side, loops, tension = np.ravel(figure.subplots(3, 1)).tolist()
    assert solution.plot_side(side) is side and solution.plot_loops(loops) is loops
    assert solution.plot_tension(ax=tension) is tension
    assert figure.axes == [side, loops, tension]
    main, backup = side.lines[:2]
    # The lowest point drawn is the lowest of the line itself, and the backup lies below the main.
    curve = solution.main.sample(20).points
    assert min(main.get_ydata()) == pytest.approx(-solution.rig.below_anchors(curve).max(), abs=1e-9)
    assert min(backup.get_ydata()) < min(main.get_ydata())
    drawn = [bar.get_height() for bar in loops.patches]
    np.testing.assert_allclose(np.array(drawn) / 100.0, solution.bays.loop_depth, rtol=1e-9)  # In centimetres.
    assert "[cm]" in loops.get_ylabel() and "[kN]" in tension.get_ylabel()
    assert max(tension.lines[0].get_ydata()) == pytest.approx(solution.tension_a / 1000.0, rel=1e-3)


def test_a_bay_without_slack_is_told_in_the_plot():
    figure = Figure()
    axes = figure.subplots()
    solution = linescope.solve(SCENES / "heron_gap.toml")
    solution.plot_loops(axes)
    tight = int((solution.bays.excess < 0.0).sum())
    assert tight > 0 and sum(bar.get_hatch() == "//" for bar in axes.patches) == tight
    assert "no slack" in axes.get_legend().texts[0].get_text()


def test_blocks_are_where_the_lines_are(solution):
    blocks = solution.mesh()
    assert {"main", "backup", "tape 1"} <= set(blocks.keys())
    low, high = np.array(blocks["main"].bounds).reshape(3, 2).T
    nodes = solution.main.nodes
    assert (low - 0.05 <= nodes.min(axis=0)).all() and (nodes.max(axis=0) <= high + 0.05).all()
    assert high[0] - low[0] == pytest.approx(np.ptp(nodes[:, 0]), abs=0.1)
    assert all(block.cell_data["colour"].shape == (block.n_cells, 3) for block in blocks)
    whole = solution.mesh(ground=True)
    assert "ground" in whole.keys() and whole["ground"].point_data["colour"].dtype == np.uint8  # noqa: SIM118


def test_a_cell_shows_alarms_figures_and_one_picture(solution):
    html = solution._repr_html_()
    assert html.count("<img") == 1 and "4.1 kN" in html and "Larkspur Ledge" in html
    picture = base64.b64decode(re.search(r"base64,([^\"]+)", html)[1])
    assert picture.startswith(b"\x89PNG")
    assert "nobody below" in html
    tight = Study(linescope.load(SCENES / "heron_gap.toml"))._repr_html_()
    assert '<p style="font-weight:bold">' in tight


def test_names_of_a_scene_are_shown_as_text(tmp_path):
    text = LARKSPUR.read_text(encoding="utf-8").replace('title = "Larkspur Ledge"', 'title = "<script>x</script>"')
    file = tmp_path / "scene.toml"
    file.write_text(text, encoding="utf-8")
    assert "<script" not in linescope.load(file)._repr_html_()


def test_a_rig_that_does_not_balance_shows_why(monkeypatch):
    def fails(rig):
        raise LinescopeError("nothing found <here>")

    monkeypatch.setattr(page, "solve", fails)
    scene = linescope.load(LARKSPUR)
    assert isinstance(scene.rig, Rig)
    assert scene._repr_html_() == "<pre>nothing found &lt;here&gt;</pre>"
