"""Colours and shapes can be told apart.  Limits: W3C WCAG 2.2, success criteria 1.4.3, 1.4.6 and 1.4.11."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from linescope.errors import InputError
from linescope.stage.theme import (
    DARK,
    LIGHT,
    SPARE_LOOKS,
    TAPE_LOOKS,
    THEMES,
    Theme,
    tape_look,
    theme_named,
)
from linescope.taping import FAMILIES


def contrast(one: tuple[int, int, int], other: tuple[int, int, int]) -> float:
    """Contrast ratio of two colours, from 1 (equal) to 21 (black on white).

    References
    ----------
    .. [1] W3C, *Web Content Accessibility Guidelines 2.2*, "contrast ratio" and "relative luminance".
    """
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def luminance(colour: tuple[int, int, int]) -> float:
    """Relative luminance (0 to 1) of an sRGB colour given from 0 to 255: what a grey print keeps."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in (v / 255 for v in colour)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


BACKGROUNDS = ("paper", "panel", "sky_top", "sky_low")


def test_contrast_against_the_published_examples() -> None:
    # WCAG 2.2: black on white is 21:1; #767676 on white is the well-known 4.54:1 limit of level AA.
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21.0)
    assert contrast((0x76, 0x76, 0x76), (255, 255, 255)) == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("theme", THEMES.values(), ids=str)
def test_text_reads_on_every_background(theme: Theme) -> None:
    for role, paper in itertools.product(("ink", "quiet"), BACKGROUNDS):
        assert contrast(theme.rgb(role), theme.rgb(paper)) >= 7.0, (role, paper)
    for role, paper in (("on_state", "state"), ("on_alarm", "alarm")):
        assert contrast(theme.rgb(role), theme.rgb(paper)) >= 7.0, (role, paper)
    assert contrast(theme.rgb("alarm"), theme.rgb("paper")) >= 4.5


@pytest.mark.parametrize("theme", THEMES.values(), ids=str)
def test_lines_and_symbols_stand_out(theme: Theme) -> None:
    tapes = {look.colour for look in (*TAPE_LOOKS.values(), *SPARE_LOOKS)}
    for role, paper in itertools.product(("main", "backup", "leash", "walker"), BACKGROUNDS):
        assert contrast(theme.rgb(role), theme.rgb(paper)) >= 3.0, (role, paper)
    for role, paper in itertools.product(tapes, BACKGROUNDS):
        seen = max(contrast(theme.rgb(role), theme.rgb(paper)), contrast(theme.rgb("outline"), theme.rgb(paper)))
        assert seen >= 3.0, (role, paper)


@pytest.mark.parametrize("theme", THEMES.values(), ids=str)
def test_main_and_backup_differ_in_grey_print_and_in_width(theme: Theme) -> None:
    assert contrast(theme.rgb("main"), theme.rgb("backup")) >= 1.9
    assert theme.main_width >= 1.4 * theme.backup_width


# Viénot, Brettel, Mollon, "Digital video colourmaps for checking the legibility of displays by dichromats",
# Color Research & Application 24 (1999) 243-252: linear-RGB matrices for protanopia and deuteranopia.
DICHROMAT = {
    "protan": np.array([[0.11238, 0.88762, 0.0], [0.11238, 0.88762, 0.0], [0.00401, -0.00401, 1.0]]),
    "deutan": np.array([[0.29275, 0.70725, 0.0], [0.29275, 0.70725, 0.0], [-0.02234, 0.02234, 1.0]]),
}


@pytest.mark.parametrize("theme", THEMES.values(), ids=str)
@pytest.mark.parametrize("kind", DICHROMAT)
def test_main_and_backup_differ_for_dichromats(theme: Theme, kind: str) -> None:
    def seen(role: str) -> np.ndarray:
        linear = (np.array(theme.rgb(role)) / 255) ** 2.2
        return np.clip(DICHROMAT[kind] @ linear, 0, 1) ** (1 / 2.2)

    assert np.abs(seen("main") - seen("backup")).max() > 0.25


def test_every_shipped_family_has_its_own_shape() -> None:
    shapes = [tape_look(family).symbol for family in (*FAMILIES, "tie")]
    assert len(set(shapes)) == len(shapes)


def test_an_unknown_family_gets_a_spare_look_of_another_shape_and_keeps_it() -> None:
    look = tape_look("someone's new slider")
    assert look in SPARE_LOOKS
    assert look == tape_look("someone's new slider")
    assert {spare.symbol for spare in SPARE_LOOKS}.isdisjoint(known.symbol for known in TAPE_LOOKS.values())


def test_theme_by_name() -> None:
    assert theme_named("dark") is DARK
    assert theme_named(LIGHT) is LIGHT
    with pytest.raises(InputError, match="light, dark"):
        theme_named("neon")


def test_both_themes_have_the_same_roles() -> None:
    assert set(LIGHT.colours) == set(DARK.colours)
    assert luminance(LIGHT.rgb("paper")) > 0.9 > 0.1 > luminance(DARK.rgb("paper"))
