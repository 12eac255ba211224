"""One place for colours, sizes and tape symbols.

The hues are those of Okabe and Ito, *Color Universal Design* (2008, jfly.uni-koeln.de/color), told apart with
every common form of colour vision; some are darkened or lightened here until they stand out from the paper.
Nothing is told by colour alone: tapes differ in shape, main and backup in width and in how dark they print.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from linescope.errors import InputError
from linescope.taping import FAMILIES

Symbol = Literal["block", "up", "down", "diamond", "disc", "bow", "ring", "star", "walker"]


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


@dataclass(frozen=True, kw_only=True)
class Theme:
    """Colours as "#rrggbb" by role, and sizes in pixels of a page 2000 px wide.

    Attributes
    ----------
    name : str
    colours : mapping
        Roles: paper, panel, sky_top, sky_low, ink, quiet, rule, main, main_under, backup, backup_under, leash,
        walker, ground, ground_edge, ground_near, ground_hit, alarm, on_alarm, state, on_state, outline, the zones
        of a fall (zone_hit, zone_near, zone_kept, with on_hit and on_zone for what stands on them), tape colours.
    body, small, figure, heading : float
        Sizes of text.  [px]
    main_width, backup_width, thin, symbol : float
        Widths of lines, size of tape symbols.  [px]
    """

    name: str
    colours: MappingProxyType[str, str]
    body: float = 21.0
    small: float = 18.0
    figure: float = 22.0
    heading: float = 44.0
    main_width: float = 4.5
    backup_width: float = 3.0
    thin: float = 1.6
    symbol: float = 17.0

    def rgb(self, role: str) -> tuple[int, int, int]:
        """Red, green and blue from 0 to 255 of a role."""
        text = self.colours[role]
        return int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16)


LIGHT = Theme(
    name="light",
    colours=MappingProxyType(
        {
            "paper": "#ffffff",
            "panel": "#f3f5f6",
            "sky_top": "#e3edf3",
            "sky_low": "#fbfcfc",
            "ink": "#15191c",
            "quiet": "#3f474d",
            "rule": "#b4bcc1",
            "main": "#00395c",
            "main_under": "#001c2e",
            "backup": "#d55e00",
            "backup_under": "#8a3c00",
            "leash": "#15191c",
            "walker": "#2a2f33",
            "ground": "#b9b09c",
            "ground_edge": "#6d6350",
            "ground_near": "#e0a43a",
            "ground_hit": "#b4482c",
            "alarm": "#a32100",
            "on_alarm": "#ffffff",
            "state": "#00395c",
            "on_state": "#ffffff",
            "green": "#00805d",
            "purple": "#a34f80",
            "sky": "#0072b2",
            "yellow": "#f0e442",
            "outline": "#15191c",
            "zone_hit": "#a32100",
            "on_hit": "#ffffff",
            "zone_near": "#f5b942",
            "zone_kept": "#d3d8db",
            "on_zone": "#15191c",
        }
    ),
)
DARK = Theme(
    name="dark",
    colours=MappingProxyType(
        {
            "paper": "#0e1317",
            "panel": "#192026",
            "sky_top": "#131a20",
            "sky_low": "#222b33",
            "ink": "#f4f6f7",
            "quiet": "#c3cbd1",
            "rule": "#56626b",
            "main": "#e9f4fb",
            "main_under": "#8fa9ba",
            "backup": "#f29a4c",
            "backup_under": "#b5651d",
            "leash": "#f4f6f7",
            "walker": "#dfe5e9",
            "ground": "#5b564b",
            "ground_edge": "#a39a86",
            "ground_near": "#a87a1e",
            "ground_hit": "#b0422c",
            "alarm": "#ffb000",
            "on_alarm": "#1a1200",
            "state": "#8fd0f5",
            "on_state": "#0a1a24",
            "green": "#2fc79a",
            "purple": "#d99bc0",
            "sky": "#56b4e9",
            "yellow": "#f0e442",
            "outline": "#0a0d10",
            "zone_hit": "#b3261e",
            "on_hit": "#ffffff",
            "zone_near": "#d99a1b",
            "zone_kept": "#9aa5ac",
            "on_zone": "#0a0d10",
        }
    ),
)
THEMES: MappingProxyType[str, Theme] = MappingProxyType({theme.name: theme for theme in (LIGHT, DARK)})


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
