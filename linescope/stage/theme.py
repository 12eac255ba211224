"""One place for colours, sizes and tape symbols.

The hues are those of Okabe and Ito, *Color Universal Design* (2008, jfly.uni-koeln.de/color), told apart with
every common form of colour vision; some are darkened or lightened here until they stand out from the paper.
Nothing is told by colour alone: tapes differ in shape, main and backup in width and in how dark they print, areas in
their hatching.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from linescope.errors import InputError
from linescope.taping import FAMILIES

Symbol = Literal["block", "up", "down", "diamond", "disc", "bow", "ring", "star", "walker"]


SHAPES: MappingProxyType[str, tuple[tuple[tuple[float, float], ...], ...]] = MappingProxyType({
    # Corners on a square from -1 to 1, y down; several outlines where a symbol has several parts.
    "block": (((-0.62, -0.95), (0.62, -0.95), (0.62, 0.95), (-0.62, 0.95)),),
    "up": (((0.0, -1.05), (1.0, 0.8), (-1.0, 0.8)),),
    "down": (((0.0, 1.05), (1.0, -0.8), (-1.0, -0.8)),),
    "diamond": (((0.0, -1.15), (0.95, 0.0), (0.0, 1.15), (-0.95, 0.0)),),
    "bow": (((-1.1, -0.9), (0.0, 0.0), (-1.1, 0.9)), ((1.1, -0.9), (0.0, 0.0), (1.1, 0.9))),
    "star": (
        tuple((r * math.sin(k * math.pi / 5), -r * math.cos(k * math.pi / 5)) for k, r in enumerate([1.2, 0.5] * 5)),
    ),
})
"""Outlines of symbols that have corners; the others are round."""


@dataclass(frozen=True, kw_only=True)
class TapeLook:
    """How one tape style is drawn: `symbol` names a shape, `colour` a key of the theme's colours."""

    symbol: Symbol
    colour: str


TAPE_LOOKS: MappingProxyType[str, TapeLook] = MappingProxyType(
    {
        # Shapes say what is gripped where they can: a triangle points at the line held (main above).
        "fixed wrap": TapeLook(symbol="block", colour="ink"),
        "main-held slider": TapeLook(symbol="up", colour="green"),
        "backup-held slider": TapeLook(symbol="down", colour="purple"),
        "tucked-tab slider": TapeLook(symbol="diamond", colour="sky"),
        "cloth-patch slider": TapeLook(symbol="disc", colour="yellow"),
        "tie": TapeLook(symbol="bow", colour="alarm"),
    }
)
"""Tape family -> look.  A family that is missing here gets one from `SPARE_LOOKS`."""

SPARE_LOOKS = (
    TapeLook(symbol="ring", colour="ink"),
    TapeLook(symbol="star", colour="green"),
    TapeLook(symbol="ring", colour="purple"),
    TapeLook(symbol="star", colour="sky"),
)


def tape_look(family: str) -> TapeLook:
    """The look of a tape family; the same one every time also for families this room has not heard of."""
    if family in TAPE_LOOKS:
        return TAPE_LOOKS[family]
    unknown = [key for key in FAMILIES if key not in TAPE_LOOKS]
    place = unknown.index(family) if family in unknown else sum(family.encode())
    return SPARE_LOOKS[place % len(SPARE_LOOKS)]


Pattern = Literal["", "hatch", "cross"]
Pages = tuple[str, ...]

_PAPERS = ("paper", "panel", "sky_top", "sky_low")
_GROUNDS = ("ground", "rock", "grass", "water")
_AROUND = (*_PAPERS, *_GROUNDS)


@dataclass(frozen=True, kw_only=True)
class Role:
    """What one colour says, in every theme.

    Attributes
    ----------
    light, dark, grey : str
        "#rrggbb" on paper, on a projector, and in a print without colour.
    on : tuple of str
        Roles it may stand on.
    casing : str
        Role of the rim that parts it from what it stands on; "" where it needs none.
    pattern : {"", "hatch", "cross"}
        Drawn over an area of this colour, with its casing, so that it is told without colour.
    """

    light: str
    dark: str
    grey: str
    on: Pages = ()
    casing: str = ""
    pattern: Pattern = ""


def _role(
    light: str, dark: str, grey: str, on: Pages = (), casing: str = "", pattern: Pattern = ""
) -> Role:
    return Role(light=light, dark=dark, grey=grey, on=on, casing=casing, pattern=pattern)


ROLES: MappingProxyType[str, Role] = MappingProxyType(
    {
        # What everything stands on.
        "paper": _role("#ffffff", "#0e1317", "#ffffff"),
        "panel": _role("#f3f5f6", "#192026", "#f4f4f4"),
        "sky_top": _role("#e3edf3", "#131a20", "#f0f0f0"),
        "sky_low": _role("#fbfcfc", "#222b33", "#fdfdfd"),
        "ground": _role("#b9b09c", "#5b564b", "#b8b8b8"),
        "rock": _role("#c2b69f", "#6a6356", "#b0b0b0"),
        "grass": _role("#b7ba98", "#565e47", "#c4c4c4"),
        "water": _role("#a9c9da", "#2f4d5e", "#d6d6d6"),
        "casing": _role("#ffffff", "#0e1317", "#ffffff"),
        # Text, and quiet lines.
        "ink": _role("#15191c", "#f4f6f7", "#000000", _AROUND, "casing"),
        "quiet": _role("#3f474d", "#c3cbd1", "#3a3a3a", _AROUND, "casing"),
        "rule": _role("#7c858b", "#78858f", "#7a7a7a", _PAPERS),
        "ground_edge": _role("#54492f", "#b8af9b", "#404040", (*_PAPERS, "ground", "rock", "grass"), "casing"),
        "contour": _role("#54492f", "#c9c0ac", "#3a3a3a", ("ground", "rock", "grass")),
        "outline": _role("#15191c", "#0a0d10", "#000000"),
        # The lines and who walks on them.
        "main": _role("#0b2f4e", "#e9f4fb", "#101010", _AROUND, "casing"),
        "main_under": _role("#001c2e", "#8fa9ba", "#000000", _PAPERS),
        "backup": _role("#d55e00", "#d9731a", "#6a6a6a", _AROUND, "casing"),
        "backup_under": _role("#8a3c00", "#b5651d", "#454545", _PAPERS),
        "leash": _role("#1f7a3f", "#35c4d0", "#4d4d4d", _AROUND, "casing"),
        "walker": _role("#2a2f33", "#dfe5e9", "#202020", _AROUND, "casing"),
        # Danger: one red, and one amber that is always hatched.
        "alarm": _role("#a32100", "#ff9488", "#000000", _AROUND, "casing"),
        "ground_hit": _role("#a32100", "#ff6a5a", "#1c1c1c", _GROUNDS, "casing", "cross"),
        "ground_near": _role("#e9a93a", "#d99a1b", "#ececec", _GROUNDS, "near_edge", "hatch"),
        "near_edge": _role("#5e3f00", "#3d2900", "#303030"),
        "on_alarm": _role("#ffffff", "#1a0500", "#ffffff", ("alarm",)),
        "state": _role("#0b2f4e", "#8fd0f5", "#101010", _AROUND, "casing"),
        "on_state": _role("#ffffff", "#0a1a24", "#ffffff", ("state",)),
        "zone_hit": _role("#a32100", "#b3261e", "#1c1c1c", _PAPERS, "on_hit", "cross"),
        "zone_near": _role("#f5b942", "#d99a1b", "#d8d8d8", _PAPERS, "on_zone", "hatch"),
        "zone_kept": _role("#d3d8db", "#9aa5ac", "#f0f0f0", _PAPERS, "on_zone"),
        "on_hit": _role("#ffffff", "#ffffff", "#ffffff", ("zone_hit",)),
        "on_zone": _role("#15191c", "#0a0d10", "#000000", ("zone_near", "zone_kept")),
        # People: told by their shape.
        "skin": _role("#c08a68", "#d09a76", "#a0a0a0"),
        "hair": _role("#3c2a22", "#6b4c3e", "#303030"),
        "shirt": _role("#eceae4", "#f2f0ea", "#ececec"),
        "harness": _role("#1f7a3f", "#35c4d0", "#505050"),
        "trousers": _role("#3f4c5c", "#7d8ea3", "#585858"),
        "shoes": _role("#26282c", "#4a4d54", "#202020"),
        # Tapes, told by their shapes and outlined.
        "green": _role("#00805d", "#2fc79a", "#4a4a4a", _AROUND, "outline"),
        "purple": _role("#a34f80", "#d99bc0", "#6e6e6e", _AROUND, "outline"),
        "sky": _role("#0072b2", "#56b4e9", "#5a5a5a", _AROUND, "outline"),
        "yellow": _role("#f0e442", "#f0e442", "#f6f6f6", _AROUND, "outline"),
    }
)
"""Every colour of every picture, by what it says.

The hues are those of Okabe and Ito where there is one.  A role stands out 3 to 1 in luminance from all it may stand
on, or from its casing [1]_; `tests/stage/test_theme.py` computes that.

References
----------
.. [1] W3C, *Web Content Accessibility Guidelines 2.2*, success criterion 1.4.11, non-text contrast.
"""


@dataclass(frozen=True, kw_only=True)
class Theme:
    """Colours as "#rrggbb" by role, and sizes in pixels of a page 2000 px wide.

    Attributes
    ----------
    name : str
    colours : mapping
        The keys of `ROLES`.
    body, small, figure, heading : float
        Sizes of text.  [px]
    main_width, backup_width, thin : float
        The three widths of lines: the main, the backup, everything else.  [px]
    casing_width : float
        How far a casing shows on both sides of a line.  [px]
    symbol : float
        Size of tape symbols.  [px]
    """

    name: str
    colours: MappingProxyType[str, str]
    body: float = 21.0
    small: float = 18.0
    figure: float = 22.0
    heading: float = 44.0
    main_width: float = 6.0
    backup_width: float = 3.5
    thin: float = 1.6
    casing_width: float = 2.2
    symbol: float = 17.0

    def rgb(self, role: str) -> tuple[int, int, int]:
        """Red, green and blue from 0 to 255 of a role."""
        text = self.colours[role]
        return int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16)


def _theme(name: str) -> Theme:
    return Theme(name=name, colours=MappingProxyType({role: getattr(each, name) for role, each in ROLES.items()}))


LIGHT, DARK, GREY = _theme("light"), _theme("dark"), _theme("grey")
THEMES: MappingProxyType[str, Theme] = MappingProxyType({theme.name: theme for theme in (LIGHT, DARK, GREY)})


def theme_named(name: str | Theme) -> Theme:
    """The theme called `name` (a Theme is passed through).

    Raises
    ------
    InputError
        When there is no such theme.
    """
    if isinstance(name, Theme):
        return name
    if name not in THEMES:
        raise InputError("there is no such theme", key="theme", found=name, allowed=", ".join(THEMES))
    return THEMES[name]
