"""Keys of the two lines and their webbings."""

from __future__ import annotations

from collections.abc import Mapping

from linescope.scenefile.fields import Either, Flag, FreeText, Key, OneOf
from linescope.scenefile.groups import KeyGroup
from linescope.scenefile.quantities import Measure, Series
from linescope.webbing import library

AS_MAIN = "as main"


def _is_text(raw: object) -> bool:
    return isinstance(raw, str)


def is_list(raw: object) -> bool:
    """Whether a raw value is a list, or a table around one."""
    return isinstance(raw, list) or (isinstance(raw, Mapping) and isinstance(raw.get("value"), list))


STRETCH = KeyGroup(
    help="Elongation against tension, by one of: a table, a stiffness, or the elongation at one tension.",
    fields={
        "elongation": Either(
            help="Stretch over unstretched length: one value with 'at', or a list with 'tension'.",
            example="8 %",
            first=Series(
                help="", item=Measure(help="", dimension="ratio", low="0 %", high="80 %"), longest=60
            ),
            second=Measure(help="", dimension="ratio", low="0.05 %", high="80 %", spread=0.2),
            is_first=is_list,
        ),
        "at": Measure(
            help="Tension at which the one elongation was read.",
            example="10 kN",
            dimension="force",
            low="10 N",
            high="300 kN",
            banded=False,
        ),
        "tension": Series(
            help="Tensions of the table, rising, one for each elongation.",
            example=["2 kN", "5 kN", "10 kN"],
            item=Measure(help="", dimension="force", low="0 N", high="300 kN"),
            longest=60,
        ),
        "stiffness": Measure(
            help="Axial stiffness EA: tension over elongation of a straight law.",
            example="125 kN",
            dimension="force",
            low="1 kN",
            high="100 MN",
            spread=0.2,
        ),
    },
    exactly_one=(("elongation", "stiffness"),),
    at_most_one=(("at", "tension"),),
    needs={"at": "elongation", "tension": "elongation"},
    inline=True,
)

WEBBING_TABLE = KeyGroup(
    help="Your own figures.",
    fields={
        "like": OneOf(
            help="A class of the library to begin from; the keys below replace its figures.",
            example="polyester 25 mm",
            options=tuple(library()),
        ),
        "name": FreeText(help="What you call it.", example="grey 25 mm, two seasons old", longest=80),
        "width": Measure(
            help="Width of the flat webbing, or diameter of a rope.",
            example="25 mm",
            dimension="length",
            low="3 mm",
            high="150 mm",
        ),
        "thickness": Measure(
            help="Thickness of the flat webbing, or diameter of a rope.",
            example="2.4 mm",
            dimension="length",
            low="0.3 mm",
            high="50 mm",
        ),
        "mass": Measure(
            help="Mass of one unstretched metre.",
            example="55 g/m",
            dimension="line mass",
            low="3 g/m",
            high="1 kg/m",
            spread=0.1,
        ),
        "breaking_strength": Measure(
            help="Breaking strength when new.",
            example="30 kN",
            dimension="force",
            low="0.5 kN",
            high="300 kN",
            spread=0.2,
        ),
        "aged_strength": Measure(
            help="Breaking strength in the state it is in now; when given, peaks are shown as a share of it, not of "
            "the strength when new.",
            example="22 kN",
            dimension="force",
            low="0.1 kN",
            high="300 kN",
            spread=0.3,
        ),
        "rope": Flag(help="A round rope instead of a flat webbing.", example=False),
        "stretch": STRETCH,
    },
)


def _webbing(what: str, example: str, *words: str) -> Either:
    names = (*words, *library())
    return Either(
        help=f"{what}: a class of the library, or a table with its own figures.",
        example=example,
        required=True,
        is_first=_is_text,
        first=OneOf(help="", options=names, note_default=True),
        second=WEBBING_TABLE,
    )


def _stiffness_factor() -> Measure:
    return Measure(
        help="Multiplies the webbing's stiffness at every tension (worn, wet or quickly loaded webbing).",
        dimension="ratio",
        low="10 %",
        high="500 %",
        default="100 %",
        spread=0.2,
    )


STATES = ("first pull", "worked", "wet")


def _of_use() -> dict[str, Key]:
    """What use, weather and terminations make of a line."""
    return {
        "state": OneOf(
            help="Of its webbing: on its first slow pull, as data sheets and the library have it; worked, loaded and "
            "unloaded many times; wet, and worked.  Left out, a class of the library is computed with its first pull, "
            "and worked webbing lies within its low and high.",
            example="worked",
            options=STATES,
        ),
        "worked_stiffness": Measure(
            help="Stiffness of worked webbing over that of its first slow pull: from two published load-cell lines, a "
            "thin base.",
            dimension="ratio",
            low="50 %",
            high="300 %",
            default="130 %",
            spread=0.2,
            usual=("110 %", "160 %"),
        ),
        "length_change": Measure(
            help="How much longer it is at every tension than when it was marked: wet, crept; shrunk when negative.",
            example="1 %",
            dimension="ratio",
            low="-10 %",
            high="10 %",
            spread=0.5,
        ),
        "terminations": Measure(
            help="Share of its strength that locks, sewn loops and knots leave (from memory, no source).",
            dimension="ratio",
            low="10 %",
            high="100 %",
            default="80 %",
            spread=0.1,
            usual=("70 %", "90 %"),
        ),
    }


MAIN = KeyGroup(
    help="The tensioned webbing.",
    required=True,
    fields={
        "webbing": _webbing("The main", "polyester 25 mm"),
        "tension": Measure(
            help="Standing tension of the empty rig, as a meter shows it.",
            example="2.5 kN",
            dimension="force",
            low="50 N",
            high="100 kN",
            spread=0.1,
        ),
        "end": OneOf(help="The anchor at which it is read.", default="A", options=("A", "B")),
        "length": Measure(
            help="Unstretched length from anchor to anchor, instead of the tension.",
            example="49.2 m",
            dimension="length",
            low="50 cm",
            high="5 km",
            spread=0.002,
        ),
        "stiffness_factor": _stiffness_factor(),
        **_of_use(),
    },
    exactly_one=(("tension", "length"),),
    needs={"end": "tension", "worked_stiffness": "state"},
)

BACKUP = KeyGroup(
    help="The slack second line.",
    required=True,
    fields={
        "webbing": _webbing(f'The backup (or "{AS_MAIN}")', AS_MAIN, AS_MAIN),
        "excess": Measure(
            help="Backup in a bay over the bay, minus one, in the state of taping.measured_on.",
            example="5 %",
            dimension="ratio",
            low="-5 %",
            high="100 %",
            spread=0.2,
        ),
        "loop_length": Measure(
            help="Unstretched backup in each bay.",
            example="3.15 m",
            dimension="length",
            low="5 cm",
            high="300 m",
            spread=0.02,
        ),
        "loop_depth": Measure(
            help="Depth of each loop under its bay, in the state of taping.measured_on.",
            example="40 cm",
            dimension="length",
            low="0 m",
            high="100 m",
            spread=0.2,
        ),
        "total_length": Measure(
            help="Unstretched backup from anchor to anchor.",
            example="51.5 m",
            dimension="length",
            low="50 cm",
            high="10 km",
            spread=0.01,
        ),
        "stiffness_factor": _stiffness_factor(),
        **_of_use(),
    },
    exactly_one=(("excess", "loop_length", "loop_depth", "total_length"),),
    needs={"worked_stiffness": "state"},
)

SLING = KeyGroup(
    help="Slings between the main's webbing and its anchors: they give, and soften a walker and a fall.  Their give is "
    "spread over the main.",
    fields={
        "a": Measure(help="Length of the sling at A.", example="3 m", dimension="length", low="0 m", high="100 m",
                      banded=False),
        "b": Measure(help="Length of the sling at B.", example="3 m", dimension="length", low="0 m", high="100 m",
                      banded=False),
        "stiffness": Measure(
            help="Tension over elongation of all its strands together (from memory, no source: a strand of polyester "
            "125 kN).",
            dimension="force",
            low="1 kN",
            high="100 MN",
            default="250 kN",
            spread=0.5,
            usual=("125 kN", "500 kN"),
        ),
    },
)
