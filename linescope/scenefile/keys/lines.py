"""Keys of the two lines and their webbings."""

from __future__ import annotations

from collections.abc import Mapping

from linescope.scenefile.fields import Choice, Either, Flag, Text
from linescope.scenefile.groups import Group
from linescope.scenefile.quantities import Quantity, Series
from linescope.webbing import library

AS_MAIN = "as main"


def _is_text(raw: object) -> bool:
    return isinstance(raw, str)


def is_list(raw: object) -> bool:
    """Whether a raw value is a list, or a table around one."""
    return isinstance(raw, list) or (isinstance(raw, Mapping) and isinstance(raw.get("value"), list))


STRETCH = Group(
    help="Elongation against tension, by one of: a table, a stiffness, or the elongation at one tension.",
    fields={
        "elongation": Either(
            help="Stretch over unstretched length: one value with 'at', or a list with 'tension'.",
            example="8 %",
            first=Series(
                help="", item=Quantity(help="", dimension="ratio", low="0 %", high="80 %"), longest=60
            ),
            second=Quantity(help="", dimension="ratio", low="0.05 %", high="80 %", spread=0.2),
            is_first=is_list,
        ),
        "at": Quantity(
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
            item=Quantity(help="", dimension="force", low="0 N", high="300 kN"),
            longest=60,
        ),
        "stiffness": Quantity(
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

WEBBING_TABLE = Group(
    help="Your own figures.",
    fields={
        "like": Choice(
            help="A class of the library to begin from; the keys below replace its figures.",
            example="polyester 25 mm",
            options=tuple(library()),
        ),
        "name": Text(help="What you call it.", example="grey 25 mm, two seasons old", longest=80),
        "width": Quantity(
            help="Width of the flat webbing, or diameter of a rope.",
            example="25 mm",
            dimension="length",
            low="3 mm",
            high="150 mm",
        ),
        "thickness": Quantity(
            help="Thickness of the flat webbing, or diameter of a rope.",
            example="2.4 mm",
            dimension="length",
            low="0.3 mm",
            high="50 mm",
        ),
        "mass": Quantity(
            help="Mass of one unstretched metre.",
            example="55 g/m",
            dimension="line mass",
            low="3 g/m",
            high="1 kg/m",
            spread=0.1,
        ),
        "breaking_strength": Quantity(
            help="Breaking strength when new.",
            example="30 kN",
            dimension="force",
            low="0.5 kN",
            high="300 kN",
            spread=0.2,
        ),
        "aged_strength": Quantity(
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
        first=Choice(help="", options=names, note_default=True),
        second=WEBBING_TABLE,
    )


def _stiffness_factor() -> Quantity:
    return Quantity(
        help="Multiplies the webbing's stiffness at every tension (worn, wet or quickly loaded webbing).",
        dimension="ratio",
        low="10 %",
        high="500 %",
        default="100 %",
        spread=0.2,
    )


MAIN = Group(
    help="The tensioned webbing.",
    required=True,
    fields={
        "webbing": _webbing("The main", "polyester 25 mm"),
        "tension": Quantity(
            help="Standing tension of the empty rig, as a meter shows it.",
            example="2.5 kN",
            dimension="force",
            low="50 N",
            high="100 kN",
            spread=0.1,
        ),
        "end": Choice(help="The anchor at which it is read.", default="A", options=("A", "B")),
        "length": Quantity(
            help="Unstretched length from anchor to anchor, instead of the tension.",
            example="49.2 m",
            dimension="length",
            low="50 cm",
            high="5 km",
            spread=0.002,
        ),
        "stiffness_factor": _stiffness_factor(),
    },
    exactly_one=(("tension", "length"),),
    needs={"end": "tension"},
)

BACKUP = Group(
    help="The slack second line.",
    required=True,
    fields={
        "webbing": _webbing(f'The backup (or "{AS_MAIN}")', AS_MAIN, AS_MAIN),
        "excess": Quantity(
            help="Backup in a bay over the bay, minus one, in the state of taping.measured_on.",
            example="5 %",
            dimension="ratio",
            low="-5 %",
            high="100 %",
            spread=0.2,
        ),
        "loop_length": Quantity(
            help="Unstretched backup in each bay.",
            example="3.15 m",
            dimension="length",
            low="5 cm",
            high="300 m",
            spread=0.02,
        ),
        "loop_depth": Quantity(
            help="Depth of each loop under its bay, in the state of taping.measured_on.",
            example="40 cm",
            dimension="length",
            low="0 m",
            high="100 m",
            spread=0.2,
        ),
        "total_length": Quantity(
            help="Unstretched backup from anchor to anchor.",
            example="51.5 m",
            dimension="length",
            low="50 cm",
            high="10 km",
            spread=0.01,
        ),
        "stiffness_factor": _stiffness_factor(),
    },
    exactly_one=(("excess", "loop_length", "loop_depth", "total_length"),),
)
