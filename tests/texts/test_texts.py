"""What a user reads, on every surface, of all shipped scenes: no bare English, no figure in the other system's units.

Said in the pseudo-language, where every message stands in ⟦ ⟧ and what the user typed in ⟪ ⟫.
"""

from __future__ import annotations

import pytest

from linescope.words import PSEUDO, VARIABLE
from tests.long import rest_is_long
from tests.texts import collect


@pytest.fixture
def pseudo(monkeypatch, built):
    monkeypatch.setenv(VARIABLE, PSEUDO)


@pytest.mark.parametrize("name", rest_is_long(collect.NAMES, "larkspur_ledge"))
@pytest.mark.parametrize("surface", collect.SURFACES, ids=lambda surface: surface.__name__)
def test_no_bare_english_and_no_unit_of_the_other_system(name, surface, pseudo):
    bare, wrong, count = [], [], 0
    for system in ("metric", "feet"):
        for where, text in surface(name, system):
            count += bool(text.strip())
            if collect.english(text):
                bare.append((where, text))
            if collect.wrong_units(text, system):
                wrong.append((system, where, text))
    assert count or surface is collect.films, "nothing was collected"
    assert not bare, bare[:20]
    assert not wrong, wrong[:20]


def test_the_search_finds_what_it_looks_for():
    assert collect.english("⟦walker at ⟧12 m⟦ of ⟧⟪Heron⟫ and more") == "and more"
    assert not collect.english("⟦walker ⟦at⟧ ⟧12 m (1.2⟦ to ⟧1.3 kN), ≤ 14°, ⟪25 mm⟫ A")
    assert collect.wrong_units("⟦gust of ⟧12 m/s, ⟪12 m⟫", "feet") == ["2 m/s"]
    assert collect.wrong_units("27 mph", "metric") and not collect.wrong_units("27 mph", "feet")
    assert not collect.wrong_units("in the 3 in", "feet")
