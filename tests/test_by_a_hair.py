"""Nothing printed hangs on the last digits: a millionth more tension tells the same, word by word.

Heron Gap is level, so every place near A has its twin near B; which of the two a result names must not be left to
rounding.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from linescope import load
from linescope.report.people import figures_text
from linescope.study import Study
from linescope.ties import first_most, nearest, ranks

SCENES = Path(__file__).parents[1] / "scenes"


def test_places_alike_are_told_in_their_order():
    twins = np.array([3.0, 5.0 * (1.0 - 1e-9), 4.0, 5.0, 3.0 * (1.0 + 1e-9)])
    assert first_most(twins) == 1
    assert ranks(twins).tolist() == [2, 0, 1, 0, 2]
    assert first_most([5.0, 5.001]) == 1
    assert ranks([]).tolist() == []


@pytest.mark.parametrize("hair", [-1e-12, 0.0, 1e-12])
def test_of_two_places_as_near_the_first_is_taken(hair):
    middles = np.array([4.5, 22.5 + hair, 25.5, 43.5])
    assert nearest(middles, 24.0) == 1
    assert nearest(middles, 25.0) == 2


@pytest.mark.parametrize(
    ("scene", "tension"), [("heron_gap", ("1.8 kN", "1.8000018 kN")), ("larkspur_ledge", ("3.0 kN", "3.000003 kN"))]
)
def test_a_millionth_more_tension_reads_the_same(tmp_path, scene, tension):
    text = (SCENES / f"{scene}.toml").read_text(encoding="utf-8")
    told = []
    for value in tension:
        file = tmp_path / "scene.toml"
        file.write_text(text.replace(f'value = "{tension[0]}"', f'value = "{value}"'), encoding="utf-8")
        study = Study(load(file), leave=Study.SLOW | {"ground", "compare", "meter", "walked", "touch"})
        told.append(figures_text(study, "metric", every_bay=True))
    assert told[0] == told[1]
    assert len(told[0]) > 5000
