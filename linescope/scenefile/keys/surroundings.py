"""Keys of the walker, the weather and the ground."""

from __future__ import annotations

from typing import Any

from linescope.rig.parts import BREAKS, RUNNING_RING_FRICTION
from linescope.scenefile.fields import Either, Flag, FreeText, OneOf, Whole
from linescope.scenefile.groups import KeyGroup, Repeat
from linescope.scenefile.quantities import Corners, Measure, Point, Profile, Series
from linescope.terrain.formats import formats_text


def _is_side(raw: object) -> bool:
    return isinstance(raw, str) and not any(character.isdigit() for character in raw)


WALKER = KeyGroup(
    help="A person on the main; leave the table out for the empty rig.",
    fields={
        "mass": Measure(
            help="With harness, leash and ring.",
            required=True,
            example="75 kg",
            dimension="mass",
            low="1 kg",
            high="400 kg",
            spread=0.1,
        ),
        "at": Measure(
            help="Distance from anchor A along the straight line to B, or a share of it.",
            default="50 %",
            dimension="length",
            low="0 m",
            high="5 km",
            banded=False,
            share="100 %",
        ),
        "leash": Measure(
            help="From ring to harness.", default="1.6 m", dimension="length", low="20 cm", high="10 m"
        ),
        "hang": Measure(
            help="From the tie-in point down to the lowest foot when hanging.",
            default="1.1 m",
            dimension="length",
            low="20 cm",
            high="3 m",
        ),
        "tie_in_height": Measure(
            help="Height of the tie-in point above the feet when standing.",
            default="1 m",
            dimension="length",
            low="20 cm",
            high="2 m",
        ),
        "height": Measure(
            help="Standing height.", default="1.75 m", dimension="length", low="50 cm", high="2.5 m"
        ),
        "leash_kind": OneOf(
            help="What the leash is made of: says its modulus where that is not given.", default="rope",
            options=("rope", "webbing"),
        ),
        "leash_modulus": Measure(
            help="Force over strain of the leash; left out: 24 kN (15 to 40) of a rope, which gives 9 kN on the bench "
            "of EN 892 (80 kg, fall factor 1.77); 100 kN (50 to 200) of webbing (from memory, no source).",
            example="24 kN",
            dimension="force",
            low="1 kN",
            high="1 MN",
            spread=0.4,
        ),
        "body_stiffness": Measure(
            help="Of body and harness together (from memory, no source).",
            default="30 kN/m",
            dimension="stiffness",
            low="1 kN/m",
            high="1000 kN/m",
            spread=0.4,
            usual=("20 kN/m", "40 kN/m"),
        ),
    },
)

WIND = KeyGroup(
    help="Horizontal wind.",
    fields={
        "speed": Measure(
            help="Steady speed.",
            required=True,
            example="8 m/s",
            dimension="speed",
            low="0 m/s",
            high="60 m/s",
            spread=0.3,
        ),
        "from": Either(
            help="Where it comes from: a side of the line seen from A towards B, or a bearing "
            "clockwise from the y axis seen from above.",
            required=True,
            example="left",
            first=OneOf(help="", options=("left", "right")),
            second=Measure(help="", dimension="angle", low="-360 deg", high="360 deg", banded=False),
            is_first=_is_side,
        ),
        "gust_factor": Measure(
            help="Gust speed over steady speed.", default=1.5, dimension="number", low="1", high="4"
        ),
        "drag_coefficient": Measure(
            help="Of a flat strip broadside.", default=2.0, dimension="number", low="0", high="3"
        ),
        "exposure": Measure(
            help="Share of the width the wind sees on average, since a strip twists.",
            default="70 %",
            dimension="ratio",
            low="0 %",
            high="100 %",
            spread=0.3,
        ),
        "altitude": Measure(
            help="Height above the sea, from which the air's density follows (ISO 2533).",
            example="1200 m",
            dimension="length",
            low="-500 m",
            high="9 km",
            banded=False,
        ),
        "air_density": Measure(
            help="Density of the air, instead of the altitude; left out: 1.225 kg/m^3.",
            example="1.1 kg/m^3",
            dimension="density",
            low="0.3 kg/m^3",
            high="2 kg/m^3",
        ),
    },
    at_most_one=(("altitude", "air_density"),),
)

WEATHER = KeyGroup(
    help="Water or ice on the lines.",
    fields={
        "main_added": Measure(
            help="Added to each metre of the main, or as a share of its mass.",
            default="0 g/m",
            dimension="line mass",
            low="0 g/m",
            high="5 kg/m",
            banded=False,
            share="1000 %",
        ),
        "backup_added": Measure(
            help="Added to each metre of the backup, or as a share of its mass.",
            default="0 g/m",
            dimension="line mass",
            low="0 g/m",
            high="5 kg/m",
            banded=False,
            share="1000 %",
        ),
    },
)

USE = KeyGroup(
    help="What the line is used for between two looks at it: what rub is counted for.",
    fields={
        "crossings": Whole(help="Of the walker, there and back each.", default=10, low=0, high=100_000),
        "wind": Measure(
            help="Time in the wind of this scene with nobody on the line.", default="5 h", dimension="time", low="0 h",
            high="10000 h", banded=False,
        ),
        "bounce": Measure(
            help="Time of bouncing on the line.", default="0 h", dimension="time", low="0 h", high="10000 h",
            banded=False,
        ),
        "falls": Series(
            help="Leash falls: distances from anchor A along the straight line to B.", example=["12 m"],
            item=Measure(help="One place.", dimension="length", low="0 m", high="5 km", banded=False),
        ),
        "wrapped": Repeat(
            help="Loops that have wrapped the main and were left so.",
            item=KeyGroup(
                help="One loop.",
                fields={
                    "bay": Whole(help="Counted from 1 at anchor A.", required=True, example=4, low=1, high=100_000),
                    "half_turns": Whole(help="Round the main.", default=1, low=1, high=50),
                    "at": Measure(
                        help="Where in its bay the wrap lies, from the end towards A.", default="50 %",
                        dimension="ratio", low="0 %", high="100 %", banded=False,
                    ),
                },
            ),
        ),
    },
)

MOTION = KeyGroup(
    help="What falls, the loss of the main, bouncing and gusts in time depend on besides the rig.",
    fields={
        "stiffness_factor": Measure(
            help="How many times as stiff webbing is in motion as on its own slow curve; nylon 2 and more (from load "
            "cells on three lines).",
            default=1.6, dimension="number", low="1", high="5", spread=0.3, usual=("1.3", "2.2"),
        ),
        "drag_coefficient": Measure(
            help="Of a strip that flutters through the air (from memory, no source).", default=1.2, dimension="number",
            low="0", high="3", spread=0.3, usual=("0.8", "2"),
        ),
        "tape_strength": Measure(
            help="Force between the lines at which a tape goes: four wraps, a guess.", default="600 N",
            dimension="force", low="1 N", high="100 kN", spread=0.5, usual=("300 N", "1200 N"),
        ),
        "ring_friction": Measure(
            help="Of a leash ring that runs along the webbing (from memory, no source).",
            default=RUNNING_RING_FRICTION.value, dimension="number", low="0", high="1", spread=0.5,
            usual=(f"{RUNNING_RING_FRICTION.low:g}", f"{RUNNING_RING_FRICTION.high:g}"),
        ),
        "leaving": Measure(
            help="How long his weight takes to leave the line as he falls: 0 s at once, longer if he pushes off "
            "slowly (a guess).",
            default="100 ms", dimension="time", low="0 s", high="2 s", spread=0.5, usual=("0 s", "300 ms"),
        ),
        "breaks_at": Either(
            help="Where the main parts when it is lost: a place, or the worst of both anchors and both sides of the "
            "walker.",
            default="anchor A",
            first=OneOf(help="", options=BREAKS),
            second=Measure(
                help="Distance from anchor A along the straight line to B.", dimension="length", low="0 m",
                high="5 km", banded=False,
            ),
            is_first=_is_side,
        ),
    },
)

GROUND = KeyGroup(
    help="The ground below: a file, or a surveyed profile across which nothing changes.",
    fields={
        "kind": OneOf(
            help="What it is: a surveyed profile along the line, a mesh of triangles, a grid of heights, or points.  "
            "Which files each is read from: see file.",
            required=True,
            example="profile",
            options=("profile", "mesh", "grid", "points", "site"),
        ),
        "name": FreeText(help="What findings call it, such as \"north rim\".", example="north rim", longest=60),
        "role": OneOf(
            help="What it is; the line keeps its distance from each apart.",
            default="ground",
            options=("ground", "vegetation", "obstacle", "water"),
            note_default=False,
        ),
        "survey_error": Measure(
            help="How wrong the survey of this ground may be; left out: as in [clearance].",
            example="20 cm",
            dimension="length",
            low="0 m",
            high="20 m",
            banded=False,
        ),
        "profile": Profile(
            help="Station (horizontal distance from anchor A towards B, may be negative) and height "
            "(z) of each surveyed point.",
            example=[["-5 m", "0 m"], ["1 m", "-1 m"], ["3 m", "-20 m"]],
        ),
        "file": FreeText(
            help=f"File beside this scene or in a folder beside it; its ending says the format.  {formats_text()}",
            example="ground/gorge.obj",
            longest=300,
        ),
        "unit": OneOf(
            help="Unit of length in that file.",
            default="m",
            options=("m", "cm", "mm", "km", "in", "ft"),
        ),
        "up": OneOf(
            help="Axis that points up in that file; left out: y for glTF and GLB, else z.",
            example="z",
            options=("x", "y", "z"),
        ),
        "turn": Measure(
            help="Turn of the file about the vertical, counter-clockwise seen from above.",
            default="0 deg",
            dimension="angle",
            low="-360 deg",
            high="360 deg",
            banded=False,
            note_default=False,
        ),
        "shift": Point(
            help="Added to the file's points after unit, up and turn.",
            default=["0 m", "0 m", "0 m"],
            low="-10000 km",
            high="10000 km",
            note_default=False,
        ),
        "half_width": Measure(
            help="How far a profile reaches to each side; left out: 10 m.",
            example="10 m",
            dimension="length",
            low="50 cm",
            high="2 km",
            banded=False,
        ),
        "cell": Series(
            help="Column and row spacing of a grid file that has none of its own (.npy).",
            example=["1 m", "1 m"],
            shortest=2,
            longest=2,
            item=Measure(help="", dimension="length", low="1 mm", high="10 km"),
        ),
        "degrees": Flag(
            help="Whether a grid's horizontal coordinates are longitude and latitude.",
            default=False,
            note_default=False,
        ),
        "max_edge": Measure(
            help="Longest edge that joins points of a cloud; left out: six times the median.",
            example="2 m",
            dimension="length",
            low="1 mm",
            high="1 km",
            banded=False,
        ),
        "origin": KeyGroup(
            help="Where this scene's [0, 0, 0] lies on the Earth, x east and y north: then a raster, cloud or mesh in "
            "its own coordinate system is brought there, and only what lies near the line is read.",
            inline=True,
            fields={
                "latitude": Measure(
                    help="North of the equator.", required=True, example="46.5 deg", dimension="angle", low="-89 deg",
                    high="89 deg", banded=False,
                ),
                "longitude": Measure(
                    help="East of Greenwich.", required=True, example="7.9 deg", dimension="angle", low="-360 deg",
                    high="360 deg", banded=False,
                ),
                "height": Measure(
                    help="In the height datum of the ground.", required=True, example="2300 m", dimension="length",
                    low="-500 m", high="9 km", banded=False,
                ),
            },
        ),
        "crs": FreeText(
            help="Coordinate system of a file that does not say its own.", example="EPSG:25832", longest=200
        ),
        "reach": Measure(
            help="How far to all sides of the line such a file is read; left out: by the span.",
            example="150 m",
            dimension="length",
            low="1 m",
            high="10 km",
            banded=False,
        ),
        "accept_odd": Flag(
            help="Accept ground that looks misplaced (wrong size, upright, far above or below the line or beside it, "
            "known below less than a tenth of it) with a loud note instead of an error.",
            default=False,
            note_default=False,
        ),
    },
    exactly_one=(("profile", "file"),),
    needs=dict.fromkeys(("unit", "up", "turn", "shift", "cell", "degrees", "max_edge", "origin"), "file")
    | {"crs": "origin", "reach": "origin"},
)

GROUNDS = Repeat(
    help="Further grounds beside [ground], each with its own survey: a scanned pillar, a tile, vegetation.",
    longest=20,
    item=GROUND,
)

OBSTACLES = Repeat(
    help="What stands beside the line and was measured by hand: a tree, a pole, a block, a rope.",
    longest=100,
    item=KeyGroup(
        help="A box, a post or a rope.",
        fields={
            "name": FreeText(help="What findings call it.", required=True, example="larch", longest=60),
            "kind": OneOf(
                help="A box, or a post, which has a diameter.", required=True, example="post", options=("box", "post")
            ),
            "foot": Point(help="Middle of its base.", required=True, example=["20 m", "3 m", "-12 m"]),
            "height": Measure(
                help="Upwards from its foot.", example="9 m", dimension="length", low="1 cm", high="500 m", banded=False
            ),
            "top": Point(help="Where a post ends that does not stand upright: a guy, a branch, a rope.",
                         example=["22 m", "3 m", "-3 m"]),
            "diameter": Measure(
                help="Of a post; left out: a wire.", example="60 cm", dimension="length", low="0 m", high="100 m",
                banded=False,
            ),
            "width": Series(
                help="Of a box, along and across its own direction.", example=["2 m", "3 m"], shortest=2, longest=2,
                item=Measure(help="", dimension="length", low="1 mm", high="1 km"),
            ),
            "turn": Measure(
                help="Of a box about the vertical, counter-clockwise seen from above.", default="0 deg",
                dimension="angle", low="-360 deg", high="360 deg", banded=False, note_default=False,
            ),
            "role": OneOf(
                help="What it is.", default="obstacle", options=("obstacle", "vegetation"), note_default=False
            ),
            "survey_error": Measure(
                help="How wrong its place may be; left out: as in [clearance].", example="50 cm", dimension="length",
                low="0 m", high="20 m", banded=False,
            ),
        },
        exactly_one=(("height", "top"),),
        at_most_one=(("diameter", "width"),),
    ),
)


AREAS = Repeat(
    help="Named parts of the ground, drawn: a path, a road, a camp, where nobody stands.",
    longest=50,
    item=KeyGroup(
        help="One of them: by its outline, or from where to where along the span.",
        fields={
            "name": FreeText(help="What pictures and findings call it.", required=True, example="footpath", longest=60),
            "kind": OneOf(
                help="What it is; nobody: where nobody stands.", required=True, example="path",
                options=("path", "road", "camp", "nobody"),
            ),
            "corners": Corners(
                help="Its outline seen from above, [x, y] in the scene's own coordinates.",
                example=[["20 m", "-4 m"], ["26 m", "-4 m"], ["24 m", "6 m"], ["18 m", "6 m"]],
            ),
            "coordinates": Corners(
                help="Its outline by [latitude, longitude], WGS 84; for a scene whose ground says where it lies "
                "(origin, or a site file).",
                example=[["46.5011 deg", "7.9003 deg"], ["46.5012 deg", "7.9005 deg"], ["46.5010 deg", "7.9006 deg"]],
                is_geographic=True,
            ),
            "stations": Series(
                help="From where to where along the span: horizontal distances from anchor A, to all sides as far as "
                "ground is known.",
                example=["20 m", "26 m"], shortest=2, longest=2,
                item=Measure(help="", dimension="length", low="-10 km", high="10 km"),
            ),
            "distance": Measure(
                help="Asked for between its ground and all that hangs, walks or falls above it, survey error and "
                "margin added as everywhere; people and vehicles there stand within it.  Left out: it is drawn only.",
                example="4 m", dimension="length", low="0 m", high="200 m", banded=False,
            ),
        },
        exactly_one=(("corners", "coordinates", "stations"),),
    ),
)


def _distance(text: str, *, high: str = "200 m", **more: Any) -> Measure:
    """A distance from the ground, or what is taken off one: never varied with low and high."""
    return Measure(help=text, dimension="length", low="0 m", high=high, banded=False, **more)


CLEARANCE = KeyGroup(
    help="Distances to the ground you ask for, and what is taken off every measured one.",
    fields={
        "line": _distance("From the main.", required=True, example="1 m"),
        "loop": _distance("From the loops of the backup.", required=True, example="0.5 m"),
        "body": _distance("From the walker, standing, hanging or falling.", required=True, example="3 m"),
        "leash": _distance("From the leash; left out: as from the walker.", example="3 m"),
        "vegetation": _distance(
            "From vegetation, where it is told apart; left out: as from the ground.", example="50 cm"
        ),
        "water": _distance("From a water level; left out: it is drawn only.", example="2 m"),
        "anchor_zone": _distance(
            "So near to an anchor distances are shown but not compared: lines come down to the rock there.  Farther "
            "out, rock of that stretch which lies beside (the cliff face) is listed apart.",
            default="5 m",
        ),
        "survey_error": _distance("How wrong the survey of the ground may be.", default="0.5 m", high="20 m"),
        "margin": _distance("Further distance kept.", default="1 m", high="100 m"),
    },
)
