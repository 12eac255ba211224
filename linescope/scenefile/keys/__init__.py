"""The table of keys of a scene file.  Loader, JSON Schema and commented scenes derive from it.

A new key is one entry here, and one line in `linescope.scenefile.build` or beside it, which puts its value
into the rig.  Ranges are generous but physical; defaults are starting points from memory and are listed as
assumed.
"""

from __future__ import annotations

from linescope.scenefile.fields import FreeText, Variants, Whole
from linescope.scenefile.groups import KeyGroup
from linescope.scenefile.keys.lines import AS_MAIN, BACKUP, MAIN, SLING
from linescope.scenefile.keys.readings import READINGS
from linescope.scenefile.keys.surroundings import (
    AREAS,
    CLEARANCE,
    GROUND,
    GROUNDS,
    MOTION,
    OBSTACLES,
    USE,
    WALKER,
    WEATHER,
    WIND,
)
from linescope.scenefile.keys.taping import HOLD, JOINTS, TAPE, TAPING, TIES
from linescope.scenefile.keys.wishes import LIMITS, WISHES
from linescope.scenefile.quantities import Measure, Point

__all__ = ["AS_MAIN", "SCENE"]

SCENE = KeyGroup(
    help="A highline rig: a tensioned main webbing and a longer backup taped under it.",
    fields={
        "format": Whole(help="Version of this file's format.", default=1, low=1, high=1, note_default=False),
        "title": FreeText(help="Name of the rig, as printed.", required=True, example="My line"),
        "description": FreeText(
            help="Anything the crew should read; say when the place is invented.",
            default="",
            longest=4000,
            empty=True,
        ),
        "anchors": KeyGroup(
            help="Where the lines end, as [x, y, z] with z up.",
            required=True,
            fields={
                "a": Point(help="Main anchor A.", required=True, example=["0 m", "0 m", "0 m"]),
                "b": Point(help="Main anchor B.", required=True, example=["50 m", "0 m", "0 m"]),
                "backup_a": Point(help="The backup's own anchor at A.", example=["0 m", "0 m", "-10 cm"]),
                "backup_b": Point(help="The backup's own anchor at B.", example=["50 m", "0 m", "-10 cm"]),
                "sling": SLING,
            },
        ),
        "main": MAIN,
        "backup": BACKUP,
        "taping": TAPING,
        "tape": TAPE,
        "hold": HOLD,
        "joints": JOINTS,
        "ties": TIES,
        "walker": WALKER,
        "wind": WIND,
        "weather": WEATHER,
        "use": USE,
        "motion": MOTION,
        "ground": GROUND,
        "grounds": GROUNDS,
        "obstacles": OBSTACLES,
        "areas": AREAS,
        "water": Measure(
            help="Height (z) of a water level, drawn; kept distant from where [clearance] asks for it.",
            example="-40 m",
            dimension="length",
            low="-10 km",
            high="10 km",
            banded=False,
        ),
        "clearance": CLEARANCE,
        "readings": READINGS,
        "wishes": WISHES,
        "limits": LIMITS,
        "variants": Variants(
            help="Values to try in place of the file's own, by the name under which they were kept.",
            example={"tighter": {"main.tension": "6 kN"}},
        ),
    },
)
