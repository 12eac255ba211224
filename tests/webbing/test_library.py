"""The shipped classes: complete, generic, and within the ranges of their class (from memory, no source)."""

from __future__ import annotations

import re

import pytest

from linescope.errors import InputError
from linescope.webbing import from_library, library
from linescope.words import Words

# Common practice, no source: widths [mm], thickness [mm], mass [g/m], elongation at 10 kN [%], strength [kN].
RANGES = {
    "nylon 25 mm": ((19, 28), (2.2, 4.5), (50, 75), (12, 20), (22, 32)),
    "polyester 25 mm": ((20, 27), (2, 3), (45, 65), (6, 10), (26, 35)),
    "high-tenacity polyester 25 mm": ((25, 25), (1.6, 2.5), (45, 60), (3.5, 6), (30, 45)),
    "HMPE 20 mm": ((12.5, 25), (1, 2), (20, 40), (1.5, 3), (30, 60)),
    "HMPE 25 mm": ((12.5, 25), (1, 2), (20, 40), (1.5, 3), (30, 60)),
    "dynamic rope 9.5 mm": ((9, 10), (9, 10), (60, 70), (20, 30), (15, 20)),
    "low-stretch rope 10 mm": ((9, 11), (9, 11), (55, 80), (5, 8), (20, 32)),
    "HMPE cord 7 mm": ((6, 8), (6, 8), (20, 35), (1.5, 3), (30, 60)),
}


def test_classes_are_those_checked_here() -> None:
    assert set(library()) == set(RANGES)


@pytest.mark.parametrize("name", sorted(RANGES))
def test_figures_lie_in_the_range_of_the_class(name: str) -> None:
    webbing = from_library(name).webbing
    figures = (
        webbing.width * 1e3,
        webbing.thickness * 1e3,
        webbing.mass * 1e3,
        webbing.stretch.strain_at(10e3) * 100,
        webbing.breaking_strength / 1e3,
    )
    for figure, (low, high) in zip(figures, RANGES[name], strict=True):
        assert low * (1 - 1e-9) <= figure <= high * (1 + 1e-9)


@pytest.mark.parametrize("name", sorted(RANGES))
def test_each_says_where_its_figures_come_from(name: str) -> None:
    entry = from_library(name)
    assert "memory" in Words().value(entry.provenance)
    assert set(entry.texts) == {"width", "thickness", "mass", "breaking_strength", "elongation", "tension"}
    assert entry.stiffness_low < 1.0 < entry.stiffness_high
    assert entry.webbing.is_rope == bool(re.search("rope|cord", name))


def test_an_unknown_name_gets_the_nearest() -> None:
    with pytest.raises(InputError, match="did you mean 'polyester 25 mm'"):
        from_library("polyestr 25 mm")
