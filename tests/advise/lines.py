"""Small scenes for advice: few tapes, no ground unless asked for."""

from __future__ import annotations

from pathlib import Path

from linescope.scene import Scene

LINE = """
title = "Wished line"
description = "Invented."

[anchors]
a = ["0 m", "0 m", "0 m"]
b = ["24 m", "0 m", "0 m"]

[main]
webbing = "polyester 25 mm"
tension = "{pull}"

[backup]
webbing = "as main"
excess = "{excess}"

[taping]
measured_on = "slack"

[[taping.zones]]
style = "fixed wrap"
spacing = {{ every = "{every}" }}

[walker]
mass = "70 kg"
at = "50 %"
"""
GROUND = """
[ground]
kind = "profile"
half_width = "10 m"
profile = [["-3 m", "-0.3 m"], ["0.8 m", "-0.4 m"], ["1.2 m", "-9 m"], ["7.6 m", "-14 m"], ["8.4 m", "-6.2 m"],
           ["9.6 m", "-6.2 m"], ["10.4 m", "-14 m"], ["22.8 m", "-9 m"], ["23.4 m", "-0.4 m"], ["28 m", "-0.3 m"]]
"""


def wish(figure: str, at_least: str = "", at_most: str = "", more: str = "") -> str:
    """A table of a wish."""
    ends = {"at_least": at_least, "at_most": at_most}
    return "\n".join((
        "[[wishes]]", f'figure = "{figure}"', *(f'{key} = "{end}"' for key, end in ends.items() if end), more, "",
    ))


def scene_of(
    *tables: str, pull: str = "2 kN", excess: str = "3 %", every: str = "3 m", folder: Path | None = None
) -> Scene:
    """A scene with some tables behind."""
    text = LINE.format(pull=pull, excess=excess, every=every) + "\n".join(("", *tables))
    return Scene(text=text, path=(folder or Path(".")) / "wished.toml")
