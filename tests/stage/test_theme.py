"""Colours and shapes can be told apart.  Limits: W3C WCAG 2.2, success criteria 1.4.3, 1.4.6 and 1.4.11."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from linescope import cli
from linescope.errors import InputError
from linescope.stage.theme import (
    DARK,
    GREY,
    LIGHT,
    ROLES,
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


@pytest.mark.parametrize("theme", THEMES.values(), ids=lambda theme: theme.name)
def test_every_role_stands_out_from_all_it_may_stand_on(theme: Theme) -> None:
    """3 to 1, itself or by its casing, which is drawn all round it."""
    poor = []
    for name, role in ROLES.items():
        own = theme.rgb(name)
        rim = contrast(own, theme.rgb(role.casing)) if role.casing else 0.0
        for ground in role.on:
            if max(contrast(own, theme.rgb(ground)), rim) < 3.0:
                poor.append((name, ground, round(contrast(own, theme.rgb(ground)), 2), round(rim, 2)))
    assert not poor


def test_a_role_needs_no_colour() -> None:
    """What has one luminance with another area it lies beside has a pattern of its own."""
    for kinds in (("ground_hit", "ground_near"), ("zone_hit", "zone_near", "zone_kept")):
        assert len({ROLES[name].pattern for name in kinds}) == len(kinds)
    assert all(ROLES[role.casing] for role in ROLES.values() if role.casing)
    assert all(ROLES[name].casing for name in ROLES if ROLES[name].pattern)


# Machado, Oliveira, Fernandes, "A physiologically-based model for simulation of color vision deficiency", IEEE
# Transactions on Visualization and Computer Graphics 15 (2009) 1291-1298: matrices of severity 1 on linear RGB.
MACHADO = {
    "protanopia": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deuteranopia": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
}
APART = (
    ("main", "backup"), ("backup", "alarm"), ("main", "alarm"), ("ink", "alarm"), ("leash", "main"), ("leash", "alarm"),
    ("ground_hit", "ground_near"), ("zone_hit", "zone_near"), ("ground_hit", "ground"), ("ground_hit", "grass"),
    ("ground_hit", "rock"), ("water", "grass"),
)  # fmt: skip
LEAST = 15.0  # Difference in CIELAB; 2.3 is just noticeable side by side, from memory.


def lab(colour: np.ndarray) -> np.ndarray:
    """CIELAB of linear sRGB (0 to 1), for daylight D65.  CIE 15:2004; the matrix is that of IEC 61966-2-1."""
    matrix = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    ratio = matrix @ colour / np.array([0.9505, 1.0, 1.089])
    f = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def linear(colour: tuple[int, int, int]) -> np.ndarray:
    share = np.array(colour) / 255
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def test_lab_of_known_colours() -> None:
    # White is (100, 0, 0) by definition; pure sRGB red is (53.24, 80.09, 67.20), as tables print it (from memory).
    assert lab(np.ones(3)) == pytest.approx(np.array([100.0, 0.0, 0.0]), abs=0.02)
    assert lab(linear((255, 0, 0))) == pytest.approx(np.array([53.24, 80.09, 67.20]), abs=0.05)


@pytest.mark.parametrize("kind", MACHADO)
@pytest.mark.parametrize("theme", (LIGHT, DARK), ids=lambda theme: theme.name)
def test_what_must_be_told_apart_differs_for_the_colour_blind(theme: Theme, kind: str) -> None:
    def seen(role: str) -> np.ndarray:
        return lab(np.clip(MACHADO[kind] @ linear(theme.rgb(role)), 0.0, 1.0))

    near = {pair: round(float(np.linalg.norm(seen(pair[0]) - seen(pair[1]))), 1) for pair in APART}
    assert not {pair: found for pair, found in near.items() if found < LEAST}


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
    assert tuple(THEMES) == cli.THEMES
    assert theme_named("dark") is DARK
    assert theme_named(LIGHT) is LIGHT
    with pytest.raises(InputError, match="light, dark, grey"):
        theme_named("neon")


def test_all_themes_have_the_same_roles_and_the_grey_one_no_colour() -> None:
    assert set(LIGHT.colours) == set(DARK.colours) == set(GREY.colours) == set(ROLES)
    assert all(len(set(GREY.rgb(role))) == 1 for role in ROLES)
    assert luminance(LIGHT.rgb("paper")) > 0.9 > 0.1 > luminance(DARK.rgb("paper"))
