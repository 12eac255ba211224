"""How each kind of tape of the rig is made, as pictures for the page."""

from __future__ import annotations

import functools
from typing import Any
from urllib.parse import quote

from linescope.app.engine import SolvedRig
from linescope.export.ink import svg
from linescope.stage.ink import Drawing
from linescope.stage.tape_card import card
from linescope.stage.tape_slips import slip_drawing
from linescope.statics.cut_list import cut_list
from linescope.taping import FAMILIES, Holds, Section, TapeStock, lay
from linescope.units import System
from linescope.words import Words

Json = dict[str, Any]


def cards(picture: SolvedRig, words: Words) -> list[Json]:
    """Steps and slips of every kind of tape in use.

    Parameters
    ----------
    picture : SolvedRig
    words : Words

    Returns
    -------
    list of dict
        "title", "told" for who cannot see it, and "image": an address that holds the picture itself.
    """
    cuts = cut_list(picture.planned)
    found: list[Json] = []
    for family, holds in cuts.tapes:
        found += _drawn(family, holds, cuts.section, cuts.stock, words.system, words.language)
    return found


@functools.lru_cache(maxsize=32)
def _drawn(
    family: str, holds: Holds, lines: Section, stock: TapeStock, system: System, language: str
) -> tuple[Json, ...]:
    """Pictures of one kind of tape; most edits change none of what they follow from."""
    words, tape = Words(system, language), lay(FAMILIES[family], lines, stock, holds)
    steps = " ".join(item.text for item in card(tape, words).ink if hasattr(item, "text"))
    return tuple(_image(each, told) for each, told in ((card(tape, words), steps), (slip_drawing(tape, words), "")))


def _image(drawing: Drawing, told: str) -> Json:
    return {
        "title": drawing.title, "told": told or drawing.title, "image": f"data:image/svg+xml,{quote(svg(drawing))}",
    }
