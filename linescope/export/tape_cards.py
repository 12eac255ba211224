"""A card for each kind of tape of a rig: its steps in pictures and words, as PNG."""

from __future__ import annotations

from pathlib import Path

from linescope import atomic
from linescope.export.ink import write_png
from linescope.stage.tape_card import card
from linescope.taping import CutList, LaidTape
from linescope.words import Words


def write_cards(folder: str | Path, cut_list: CutList, words: Words | None = None, *, width: int = 2000) -> list[Path]:
    """Write a card for each kind of tape into a folder, which is made when it is missing.

    Parameters
    ----------
    folder : str or Path
    cut_list : CutList
    words : Words, optional
        Metric and English when left out.
    width : int
        Of the pictures.  [px]

    Returns
    -------
    list of Path
        `tape-<family>.png`, with the line it grips behind the family where that can be either.

    Raises
    ------
    OutputError
        When they cannot be written.
    """
    place, words = atomic.folder(folder), words or Words()
    files = {place / _name(tape): tape for tape in cut_list.tapes.values()}
    for file in files:
        atomic.refuse_early(file)
    return [write_png(card(tape, words), file, width) for file, tape in files.items()]


def _name(tape: LaidTape) -> str:
    family = tape.family.key.replace(" ", "-")
    return f"tape-{family}-{tape.holds.value}.png" if len(tape.family.can_hold) > 1 else f"tape-{family}.png"
