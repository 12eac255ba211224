"""A card for each kind of tape of a rig: its steps in pictures and words, as PNG."""

from __future__ import annotations

from pathlib import Path

from linescope import atomic
from linescope.export.crew import write_pages
from linescope.export.ink import write_png
from linescope.export.layout import laid_out
from linescope.stage.ink import Drawing
from linescope.stage.tape_card import card
from linescope.stage.tape_slips import slip_drawing
from linescope.stage.tape_ticks import cards
from linescope.stage.theme import LIGHT
from linescope.taping import CutList, LaidTape
from linescope.topics.tapes import messages
from linescope.words import Words

TICKS = "tape-card.pdf"


def write_cards(
    folder: str | Path, cut_list: CutList, words: Words | None = None, *, width: int = 2000,
    manner: messages.Manner = messages.USUAL, slips: bool = True, tried: str = "",
) -> list[Path]:
    """Write a card for each kind of tape into a folder, which is made when it is missing.

    Parameters
    ----------
    folder : str or Path
    cut_list : CutList
    words : Words, optional
        Metric and English when left out.
    width : int
        Of the pictures.  [px]
    manner : Manner
        How they are taped.
    slips : bool
        With a second picture of each: what is left when it is wound wrongly by a little.
    tried : str
        What was tried of tape and webbing in place of the file's values, as `frame.tried` says it.

    Returns
    -------
    list of Path
        `tape-<family>.png`, with the line it grips behind the family where that can be either, and the same with
        `-slips`.

    Raises
    ------
    OutputError
        When they cannot be written.
    """
    place, words = atomic.folder(folder), words or Words()
    names = {_name(tape): tape for tape in cut_list.tapes.values()}
    ends = (".png", "-slips.png") if slips else (".png",)
    for name in names:
        for end in ends:
            atomic.refuse_early(place / f"{name}{end}")
    files = []
    for name, tape in names.items():
        files.append(write_png(card(tape, words, manner, tried), place / f"{name}.png", width))
        if slips:
            files.append(write_png(slip_drawing(tape, words), place / f"{name}-slips.png", width))
    return files


def tick_drawings(cut_list: CutList, words: Words, name: str, tried: str = "") -> tuple[Drawing, ...]:
    """The tape card's pages with every text in its place.

    Parameters
    ----------
    cut_list : CutList
    words : Words
    name : str
        Of the rig.
    tried : str
        What was tried in place of the file's values, as `frame.tried` says it.
    """
    return tuple(laid_out(drawing, LIGHT) for drawing in cards(cut_list, words, name, tried))


def write_ticks(
    path: str | Path, cut_list: CutList, words: Words | None = None, *, name: str = "", tried: str = ""
) -> Path:
    """Write the tape card as PDF, A4 standing, to be printed at 100 %: whole or not at all.

    Parameters
    ----------
    path : str or Path
    cut_list : CutList
    words : Words, optional
        Metric and English when left out.
    name : str
        Of the rig.
    tried : str
        What was tried in place of the file's values, as `frame.tried` says it.

    Raises
    ------
    OutputError
        When the file cannot be written.
    """
    words = words or Words()
    pages = tick_drawings(cut_list, words, name, tried)
    return write_pages(Path(path), pages, pages[0].title, words)


def _name(tape: LaidTape) -> str:
    family = tape.family.key.replace(" ", "-")
    return f"tape-{family}-{tape.holds.value}" if len(tape.family.can_hold) > 1 else f"tape-{family}"
