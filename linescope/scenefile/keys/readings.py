"""Keys of what was measured on the line as it was built."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from linescope.rig import Known
from linescope.scenefile.fields import FreeText, OneOf, Whole
from linescope.scenefile.groups import KeyGroup, Repeat
from linescope.scenefile.quantities import Margin, Measure
from linescope.scenefile.reading import Reader


class Aside(Repeat):
    """Tables that are no inputs: neither listed as such nor varied with them."""

    def read(self, raw: object, at: str, reader: Reader, known: Known) -> list[dict[str, Any]]:
        return super().read(raw, at, replace(reader, notes=[], bands={}), "measured")


def _read(text: str, dimension: str, low: str, high: str, example: str) -> Measure:
    return Measure(help=text, dimension=dimension, low=low, high=high, example=example, banded=False)


WHAT: Mapping[str, Measure] = {
    "tension": _read("Tension of the main at `end`, as a meter shows it.", "force", "1 N", "100 kN", "2.4 kN"),
    "sag": _read(
        "How far the main hangs below the straight line between its anchors, plumb down, at `at`.", "length", "0 m",
        "500 m", "4.2 m",
    ),
    "loop": _read("Depth of the loop of bay `number`, plumb down from the line between its tapes.", "length", "0 m",
                  "100 m", "38 cm"),
    "bay": _read("Length of bay `number`, straight from tape to tape.", "length", "1 cm", "300 m", "3.04 m"),
    "tape": _read("Where tape `number` sits: distance from anchor A along the straight line to B.", "length", "1 cm",
                  "5 km", "21.3 m"),
    "period": _read("Time of one small bounce, there and back, of a person of `weight` at `at`; count ten.", "time",
                    "0.1 s", "30 s", "2.1 s"),
}

READINGS = Aside(
    help="What was measured on the line once it stood.  A reading is never changed and changes nothing of the plan: "
    "`linescope readings` says what it tells of the line as it was built.",
    longest=500,
    item=KeyGroup(
        help="One reading: one of tension, sag, loop, bay, tape and period, what was on the line, and its error.",
        fields={
            **WHAT,
            "error": Margin(
                help="How far off such a reading is, one standard deviation: two in three are no further off.  Left "
                "out: 5 % of a tension or a period, 3 cm of a sag, 1.5 cm of a loop, 1 cm of a bay or a tape's place.",
                example="5 %",
            ),
            "end": OneOf(help="The anchor at which the tension is read.", default="A", options=("A", "B")),
            "number": Whole(
                help="Of the bay, or of the tape, counted from 1 at anchor A.", example=7, low=1, high=3001
            ),
            "weight": Measure(
                help="Mass of who stood on the main then, with all that is carried; left out: nobody.",
                example="78 kg", dimension="mass", low="1 kg", high="1000 kg", banded=False,
            ),
            "at": Measure(
                help="Where that is, or where a sag was read: distance from anchor A along the straight line to B, or "
                "a share of it; left out: 50 %.",
                example="50 %", dimension="length", low="0 m", high="5 km", banded=False, share="100 %",
            ),
            "taken": FreeText(help="When, such as 2026-05-03 14:20.", example="2026-05-03 14:20", longest=40),
            "note": FreeText(help="Anything to remember of it.", example="meter behind the lock", longest=200),
        },
        exactly_one=(tuple(WHAT),),
        needs={"end": "tension"},
    ),
)
