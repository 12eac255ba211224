"""Keys of what is wished of a rig, and of how far it may be changed to have it."""

from __future__ import annotations

from linescope.rig.wishes import WISHED
from linescope.scenefile.fields import Either, FreeText, OneOf, Whole
from linescope.scenefile.groups import KeyGroup, Repeat
from linescope.scenefile.keys.lines import is_list
from linescope.scenefile.quantities import Measure, Series
from linescope.taping import FAMILIES
from linescope.webbing import library


def _place(help: str, example: str) -> Measure:
    return Measure(help=help, example=example, dimension="length", low="0 m", high="5 km", banded=False)


def _range(help: str, example: object, dimension: str, low: str, high: str) -> Either:
    """One value, which is the most, or the least and the most."""
    item = Measure(help="", dimension=dimension, low=low, high=high, banded=False)
    return Either(
        help=help, example=example, is_first=is_list, first=Series(help="", item=item, shortest=2, longest=2),
        second=item,
    )


WISHES = Repeat(
    help="What is wished of the line; `linescope advise` looks for changes that give it.",
    longest=40,
    item=KeyGroup(
        help="One wish.",
        fields={
            "figure": OneOf(
                help="What is wished for.", required=True, example="loops under the walker", options=tuple(WISHED)
            ),
            "at_least": FreeText(help="The least it shall be, in a unit of the figure.", example="35 cm", longest=40),
            "at_most": FreeText(help="The most it shall be.", example="45 cm", longest=40),
            "from": _place("Begin of the part of the line it is wished for, from anchor A.", "7 m"),
            "to": _place("End of that part.", "27 m"),
            "zone": Whole(help="The tape zone it is wished for, instead of from and to.", low=1, high=200, example=1),
        },
        at_most_one=(("from", "zone"), ("to", "zone")),
    ),
)

LIMITS = KeyGroup(
    help="How far `linescope advise` may change the line.  What is left out is chosen from the line.",
    fields={
        "pull": _range("Standing tension: the most, or least and most.", "4.5 kN", "force", "50 N", "100 kN"),
        "excess": _range("Excess: the most, or least and most.", ["2 %", "10 %"], "ratio", "-5 %", "100 %"),
        "bay": _range("Bay: the longest, or shortest and longest.", ["1.5 m", "5 m"], "length", "10 cm", "200 m"),
        "leash": _range("Leash: the longest, or shortest and longest.", ["1.4 m", "1.7 m"], "length", "20 cm", "10 m"),
        "raise_a": Measure(
            help="By how much anchor A can be raised.", default="3 m", dimension="length", low="0 m", high="50 m",
            banded=False, note_default=False,
        ),
        "raise_b": Measure(
            help="By how much anchor B can be raised.", default="3 m", dimension="length", low="0 m", high="50 m",
            banded=False, note_default=False,
        ),
        "aside": Measure(
            help="By how much both anchors can be moved to either side.", default="0 m", dimension="length",
            low="0 m", high="200 m", banded=False, note_default=False,
        ),
        "ties": Whole(help="Most places where main and backup are tied together.", low=0, high=100, example=6),
        "backup": Measure(
            help="Backup that is there to be used.", example="95 m", dimension="length", low="1 m", high="10 km",
            banded=False,
        ),
        "taping": Measure(
            help="Time there is for taping.", example="4 h", dimension="time", low="1 min", high="1000 h",
            banded=False,
        ),
        "style": OneOf(
            help="A tape style that may be taken instead: in every zone, or in one alone.", example="fixed wrap",
            options=tuple(FAMILIES),
        ),
        "webbing": OneOf(
            help="A webbing of the library that the main may be made of instead, and the backup where it is as the "
            "main.",
            example="polyester 25 mm", options=tuple(library()),
        ),
    },
)
