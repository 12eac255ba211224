"""Sweeps of a scene: every row equals the scene changed and solved by itself."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import linescope
from linescope.errors import InputError, LinescopeError

SCENES = Path(__file__).parents[2] / "scenes"
HERON = SCENES / "heron_gap.toml"


def test_every_row_is_the_scene_changed():
    scene, told = linescope.load(HERON), []
    frame = linescope.sweep(
        scene, {"main.tension": [1500, np.float64(2000.0)], "walker.at": ["25 %", "50 %"]}, of=["tension_a", "sag"],
        progress=told.append,
    )
    assert list(frame.columns) == ["main.tension", "walker.at", "tension_a", "sag"] and len(frame) == 4
    assert frame.attrs["units"] == {"main.tension": "N", "walker.at": "", "tension_a": "N", "sag": "m"}
    assert told[-1] == 1.0 and told == sorted(told)
    for row in frame.itertuples(index=False):
        alone = linescope.solve(scene.what_if("main.tension", f"{row[0]} N"), walker=row[1] * scene.rig.span)
        assert row[2] == pytest.approx(alone.tension_a, rel=1e-9)
    # More pull, less sag; the middle hangs lower than a quarter.
    sag = frame.pivot(index="main.tension", columns="walker.at", values="sag").to_numpy()
    assert (np.diff(sag, axis=0) < 0.0).all() and (np.diff(sag, axis=1) > 0.0).all()


def test_figures_along_the_line_have_a_row_each():
    frame = linescope.sweep(HERON, {"backup.excess": ["3 %", "6 %"]}, of=["loop_depth", "states.standing.tension_a"])
    assert set(frame.columns) == {"backup.excess", "bay", "loop_depth", "states.standing.tension_a"}
    counts = frame.groupby("backup.excess")["bay"].agg(["min", "max", "count"])
    assert (counts["min"] == 1).all() and (counts["max"] == counts["count"]).all()
    mean = frame.groupby("backup.excess")["loop_depth"].mean()
    assert mean.loc[0.06] > mean.loc[0.03]


def test_figures_of_events_are_computed_where_they_are_asked_for():
    frame = linescope.sweep(HERON, {"walker.mass": [60, "90 kg"]}, of=["rig.span", "tension_a"])
    assert (frame["rig.span"] == 48.0).all()
    assert frame["walker.mass"].tolist() == [60.0, 90.0] and frame["tension_a"].is_monotonic_increasing


@pytest.mark.parametrize(
    ("values", "of", "said"),
    [
        ({"main.tensoin": [1]}, ["sag"], "main.tensoin"),
        ({"main.tension": "2 kN"}, ["sag"], "list of values"),
        ({"main.tension": []}, ["sag"], "no value"),
        ({"main.tension": [object()]}, ["sag"], "no value"),
        ({"main.tension": ["2 kg"]}, ["sag"], "main.tension"),
        ({"main.tension": [2000]}, ["sagg"], "did you mean 'sag'"),
        ({"main.tension": [2000]}, "sag", "list of names"),
        ({"main.tension": [2000]}, ["nowhere.sag"], "no such figure"),
        ({"main.tension": [2000]}, ["loop_depth", "tape_slip"], "different axes"),
        ({"main": [2000]}, ["sag"], "table"),
    ],
)
def test_what_is_wrong_is_named(values, of, said):
    with pytest.raises(InputError, match=said):
        linescope.sweep(HERON, values, of=of)


def test_a_combination_that_fails_is_named():
    with pytest.raises(LinescopeError) as caught:
        linescope.sweep(HERON, {"main.tension": [2000, 1e9]}, of=["sag"])
    assert "main.tension = 1000000000.0 N" in " ".join(caught.value.__notes__)
