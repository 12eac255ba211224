"""Inputs hardly meant so are named loudly; the trade's usual ones are not (ranges from memory)."""

from __future__ import annotations

from pathlib import Path

import pytest

import linescope
from linescope.rig import unlikely
from linescope.scenefile import from_text
from linescope.words import Words

SCENES = Path(__file__).parents[2] / "scenes"
OWN = """
title = "own"
[main]
tension = "3.2 kN"
[main.webbing]
name = "own"
width = "25 mm"
thickness = "2.2 mm"
mass = "60 g/m"
breaking_strength = "32 kN"
stretch = { tension = ["2 kN", "5 kN", "10 kN"], elongation = ["1.3 %", "2.9 %", "5.4 %"] }
[anchors]
a = ["0 m", "0 m", "0 m"]
b = ["85 m", "0 m", "2 m"]
[backup]
webbing = "as main"
excess = "6 %"
[taping]
measured_on = "slack"
[[taping.zones]]
style = "fixed wrap"
spacing = { every = "3 m" }
[walker]
mass = "78 kg"
at = "40 %"
"""


@pytest.mark.parametrize("scene", sorted(path.stem for path in SCENES.glob("*.toml")))
def test_shipped_scenes_are_likely(scene: str) -> None:
    assert unlikely(linescope.load(SCENES / f"{scene}.toml").rig) == ()


@pytest.mark.parametrize(
    ("usual", "typed", "said"),
    [
        ('mass = "78 kg"', 'mass = "7.8 kg"', "walker.mass is 7.8 kg; usual (from memory): 30 kg to 150 kg"),
        ('"5.4 %"', '"54 %"', "main.webbing.stretch turns 19 times softer at 5.0 kN"),  # (51.1 / 5) / (1.6 / 3) = 19.2
        ('"3.2 kN"', '"60 N"', "main.tension is 60 N"),
        ('"60 g/m"', '"6 g/m"', "main.webbing.mass is 6.0 g/m"),
        ('excess = "6 %"', 'excess = "60 %"', "backup.excess is 60 %"),
    ],
)
def test_a_slip_of_the_pen_is_named_in_one_line(usual: str, typed: str, said: str) -> None:
    assert unlikely(from_text(OWN, file="own.toml", folder=Path()).rig) == ()
    assert usual in OWN
    notes = unlikely(from_text(OWN.replace(usual, typed), file="own.toml", folder=Path()).rig)
    assert any(said in Words().note(note) for note in notes) and all(note.leads for note in notes)


def test_several_slips_are_one_sentence() -> None:
    text = OWN.replace('mass = "78 kg"', 'mass = "7.8 kg"').replace('excess = "6 %"', 'excess = "60 %"')
    (said,) = Words("feet").notes(unlikely(from_text(text, file="own.toml", folder=Path()).rig))
    assert said.startswith("Unlikely inputs, check them") and "17 lb" in said and "kg" not in said
