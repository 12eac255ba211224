"""Random changes of a rig, sensible and wrong ones, as the page may ask for them."""

from __future__ import annotations

import random
from typing import Any

Change = tuple[Any, ...]


def random_change(draw: random.Random) -> Change:
    """Name of an action and its arguments."""
    zone = draw.randint(1, 2)
    kinds: list[Change] = [
        ("edit", "main.tension", f"{draw.uniform(1.5, 4.0):.2f} kN"),
        ("edit", "main.tension", f"{draw.uniform(350, 900):.0f} lbf"),
        ("edit", "main.tension", draw.choice(["2,5 kN", "3", "", "much", "-1 kN", "9 MN"])),
        ("edit", "backup.excess", f"{draw.uniform(0.0, 12.0):.1f} %"),
        ("edit", "backup.excess", draw.choice(["200 %", "five", "-3 %"])),
        ("edit", f"taping.zones[{zone}].spacing.every", f"{draw.uniform(1.0, 6.0):.2f} m"),
        ("edit", f"taping.zones[{zone}].style", draw.choice(["fixed wrap", "main-held slider", "tucked-tab slider"])),
        ("edit", f"taping.zones[{zone}].excess", draw.choice(["", "4 %", "9 %"])),
        ("edit", "walker.mass", f"{draw.uniform(40, 110):.0f} kg"),
        ("edit", "wind.speed", f"{draw.uniform(0, 14):.1f} m/s"),
        ("edit", "wind.from", draw.choice(["left", "right", "120 deg", "north"])),
        ("edit", "hold.drag", f"{draw.uniform(0, 3):.2f} N"),
        ("edit", "main.webbing", draw.choice(["polyester 25 mm", "own figures", "rope of hope"])),
        ("edit", "title", draw.choice(["A", "B \u201cquoted\u201d \\ \" '", "\u200b", "x" * 190])),
        ("edit", draw.choice(["main.nothing", "taping.zones[9].style", "joints[1].at"]), "1 m"),
        ("set_known", "main.tension", draw.choice(["measured", "guess", ""])),
        ("set_limit", "main.tension", draw.choice(["low", "high"]), draw.choice(["1 kN", "5 kN", "", "x"])),
        ("move_walker", draw.uniform(0.0, 1.0), f"g{draw.randint(0, 5)}"),
        ("choose", "main.tension", "length"),
        ("choose", "main.length", "tension"),
        ("choose", "backup.excess", draw.choice(["total_length", "loop_depth"])),
        ("choose", "backup.total_length", "excess"),
        ("choose", "backup.loop_depth", "excess"),
        ("add", draw.choice(["wind", "walker", "weather", "clearance", "ties"])),
        ("remove", draw.choice(["wind", "walker", "weather", "clearance", "ties", "joints[1]"])),
        ("add", draw.choice(["joints", "taping.zones"])),
        ("remove", f"taping.zones[{zone}]"),
        ("undo",), ("undo",), ("undo",), ("redo",),
        ("pick", draw.choice(["loop", "tape", ""]), draw.randint(-2, 40)),
        ("preview_walker", draw.choice([None, draw.uniform(0, 1)])),
        ("use_units", draw.choice(["metric", "feet"])),
        ("compare", draw.choice([True, False])),
        ("activate", draw.choice(["first", "second"])),
    ]
    return draw.choice(kinds)


ASKS: tuple[dict[str, str], ...] = (
    {"state": "as taped"}, {"state": "settled"}, {"air": "still"}, {"air": "steady"}, {"air": "gust"},
    {"side": "opposite"}, {"side": "as given"},
)
