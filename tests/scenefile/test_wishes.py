"""Wishes and limits of a scene: what is read, and how a mistake is named."""

from __future__ import annotations

import math

import pytest

from linescope.errors import InputError
from linescope.rig import WISHED
from linescope.scenefile.wishes import wish_of
from linescope.units import DIMENSIONS
from tests.advise.lines import scene_of, wish


def test_ends_are_read_in_the_unit_of_the_figure():
    rig = scene_of(
        wish("loops under the walker", "14 in", "45 cm"), wish("tension standing", at_most="500 lbf"),
        wish("tapes", "7"), wish("taping time", at_most="2 h"), wish("excess standing", "2 %", more='to = "9 m"'),
    ).rig
    ends = [(each.at_least, each.at_most) for each in rig.wishes]
    assert ends[0] == (pytest.approx(0.3556), pytest.approx(0.45))
    assert ends[1] == (-math.inf, pytest.approx(2224.11, rel=1e-5))
    assert ends[2] == (7.0, math.inf) and ends[3] == (-math.inf, 7200.0)
    assert (rig.wishes[4].start, rig.wishes[4].end) == (0.0, 9.0)
    assert all(each.dimension in DIMENSIONS for each in WISHED.values())


def test_limits_may_be_the_most_or_least_and_most():
    limits = scene_of('[limits]\npull = "3 kN"\nleash = ["1.4 m", "1.7 m"]\nraise_a = "1 m"').rig.limits
    assert math.isnan(limits.pull[0]) and limits.pull[1] == 3000.0
    assert limits.leash == (pytest.approx(1.4), pytest.approx(1.7))
    assert (limits.raise_a, limits.raise_b) == (1.0, 3.0)


@pytest.mark.parametrize(("tables", "key"), [
    (wish("loops standing"), "wishes[1].at_least"),
    (wish("loops standing", "3 kg"), "wishes[1].at_least"),
    (wish("loops standing", "40 cm", "30 cm"), "wishes[1].at_most"),
    (wish("loops standing", "40 cm", more="zone = 2"), "wishes[1].zone"),
    (wish("loops standing", "40 cm", more='from = "9 m"\nto = "3 m"'), "wishes[1].to"),
    (wish("tapes", at_most="9", more="zone = 1"), "wishes[1].zone"),
    (wish("loops standing", "40 cm", more='zone = 1\nfrom = "2 m"'), "wishes[1]"),
    ('[limits]\npull = ["3 kN", "2 kN"]', "limits.pull"),
])
def test_a_mistake_is_named(tables: str, key: str):
    with pytest.raises(InputError) as error:
        _ = scene_of(tables).rig
    assert error.value.key.startswith(key) and error.value.file is not None and error.value.allowed


@pytest.mark.parametrize(("text", "low", "high"), [
    ("loops under the walker <= 45 cm", -math.inf, 0.45), ("excess standing>=2 %", 0.02, math.inf),
])
def test_a_wish_as_it_is_typed(text: str, low: float, high: float):
    found = wish_of(text, "--wish")
    assert (found.at_least, found.at_most) == (pytest.approx(low), pytest.approx(high))


@pytest.mark.parametrize(
    "text", ["", "tapes", "tapes = 4", "tapes < 4", "loop standing >= 4 cm", "tapes >= 4 kg", ">= 4 m"]
)
def test_what_is_no_wish(text: str):
    with pytest.raises(InputError) as error:
        wish_of(text, "--wish")
    assert error.value.key == "--wish"
