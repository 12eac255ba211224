"""The page's own colours, light and dark: whether text stands out from all that it lies on.

W3C, *Web Content Accessibility Guidelines 2.2*, success criterion 1.4.3 (contrast, minimum): 4.5 to 1; the relative
luminance as its glossary defines it.
"""

from __future__ import annotations

import itertools
import re

import pytest

from linescope.stage.theme import THEMES
from linescope.viewer import ROOM

SURFACES = ("page", "glow", "edge", "veil", "sheet", "pill", "lit", "button", "round", "field", "slot", "tried")
TEXT = ("ink", "quiet", "alarm", "main")
PAIRS = (("on_state", "state"), ("on_alarm", "alarm"), ("on-toast", "toast"), ("guess", "sheet"))


def properties(scheme: str) -> dict[str, str]:
    """Custom properties of the style sheet; the dark ones stand over the light ones."""
    text = (ROOM / "src" / "style.css").read_text(encoding="utf-8")
    heads = (r"\n:root", r'\n:root\[data-theme="dark"\]')
    blocks = [re.search(head + r" \{(.*?)\n\}", text, re.S) for head in heads]
    found: dict[str, str] = {}
    for block in blocks[: 1 if scheme == "light" else 2]:
        assert block
        found |= dict(re.findall(r"--([a-z-]+): (#[0-9a-f]+);", block[1]))
    return found | dict(THEMES[scheme].colours)


def over(colour: str, under: str) -> tuple[float, ...]:
    """Red, green and blue, 0 to 1, of a colour that may let through what is under it."""
    parts = [colour[1:], under[1:]]
    parts = ["".join(2 * each for each in part) if len(part) in (3, 4) else part for part in parts]
    top, low = ([int(part[k : k + 2], 16) / 255.0 for k in range(0, len(part), 2)] for part in parts)
    alpha = top[3] if len(top) == 4 else 1.0
    return tuple(alpha * a + (1.0 - alpha) * b for a, b in zip(top[:3], low[:3], strict=True))


def luminance(colour: tuple[float, ...]) -> float:
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str, page: str) -> float:
    pair = sorted(luminance(over(each, page)) for each in (one, other))
    return (pair[1] + 0.05) / (pair[0] + 0.05)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_stands_out_from_all_that_it_lies_on(scheme: str) -> None:
    colours = properties(scheme)
    pairs = [*itertools.product(TEXT, SURFACES), ("off", "page"), ("off", "sheet"), ("off", "button"), *PAIRS]
    short = {
        pair: round(found, 2) for pair in pairs
        if (found := contrast(colours[pair[0]], colours[pair[1]], colours["page"])) < 4.5
    }
    assert short == {}


def test_every_colour_of_the_light_page_has_one_in_the_dark() -> None:
    light, dark = (set(properties(each)) for each in ("light", "dark"))
    assert light == dark
    both = {name for name in light if properties("light")[name] == properties("dark")[name]}
    assert both & set(SURFACES) == set()


def test_no_other_module_names_a_colour() -> None:
    """Sunlight on people, and what a mesh without a colour has, are all that is left."""
    named = {
        file.relative_to(ROOM / "src").as_posix(): re.findall(r'"#[0-9a-fA-F]{3,8}"', file.read_text(encoding="utf-8"))
        for file in (ROOM / "src").rglob("*.js") if "lesson" not in file.parts
    }
    assert {name for name, found in named.items() if found} <= {
        "view/scheme.js", "view/stage.js", "view/ground.js", "foot/layers.js",
    }
