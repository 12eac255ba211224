"""What must be said beside the tapes of a line."""

from __future__ import annotations

import math

from linescope.notes import Kind, Note, Quantity, Ruled, Severity, Term, Value
from linescope.taping.beginnings import Patch
from linescope.taping.cut_list import CutList
from linescope.taping.laid import CLEAR_OF_EDGE, LaidTape
from linescope.taping.measured import factor
from linescope.taping.section import lines_of

THICK = 0.0002
"""A tape thicker than that is no thin strong one: assumed. [m]"""
USUAL = 0.00013
"""What thin strong tape has, or a little more: common practice, no source. [m]"""


class TapeNote(Kind):
    """What must be said beside tapes."""

    NOT_COVERED = "tapes-note-not-covered"
    LESS_MARGIN = "tapes-note-less-margin"
    WIDER_CLOTH = "tapes-note-wider-cloth"
    TRIMMED = "tapes-note-trimmed"
    NARROW_FACE = "tapes-note-narrow-face"
    ROPE = "tapes-note-rope"
    THICK_TAPE = "tapes-note-thick-tape"
    CORRECTED_TURN = "tapes-note-corrected-turn"
    CORRECTED_FIRST = "tapes-note-corrected-first"
    HARD = "tapes-note-hard"
    LOAD = "tapes-note-load"


def body_term(body: str) -> Term:
    """A line's name as a message."""
    return Term(f"tapes-{body}")


def notes_on(cuts: CutList) -> tuple[Note, ...]:
    """All notes on the tapes of a line.

    Parameters
    ----------
    cuts : CutList
    """
    found = [note for tape in cuts.tapes.values() for note in _of_kind(tape)]
    stock, section = cuts.stock, cuts.section
    if cuts.tapes:
        found += _of_face(next(iter(cuts.tapes.values())))
    if stock.thickness > THICK and any(not tape.tape.is_cloth for tape in cuts.tapes.values()):
        values = {"thickness": Quantity(stock.thickness, "length"), "usual": Quantity(USUAL, "length")}
        found.append(Note(kind=TapeNote.THICK_TAPE, severity=Severity.LIMIT, values=values))
    if stock.first is not None or stock.measured_turn is not None:
        kind = TapeNote.CORRECTED_FIRST if stock.first is not None else TapeNote.CORRECTED_TURN
        share = Quantity(factor(section, stock), "ratio", digits=3)
        found.append(Note(kind=kind, severity=Severity.BASIS, values={"share": share}))
    else:
        found.append(Note(kind=TapeNote.HARD, severity=Severity.BASIS))
    return (*found, Note(kind=TapeNote.LOAD, severity=Severity.BASIS))


def _of_kind(tape: LaidTape) -> list[Note]:
    """On what the dry part leaves over, and on the cloth."""
    found, cover = [], tape.coverage
    held, sliding = lines_of(tape.holds)
    values: dict[str, Value] = {
        "family": Term(tape.family.message), "held": body_term(held), "sliding": body_term(sliding)
    }
    if cover is not None and not cover.covers:
        found.append(
            Note(kind=TapeNote.NOT_COVERED, severity=Severity.CHECK, values={**values, "short": Ruled(-cover.spare)},
                 weight=-cover.spare / cover.needed)
        )
    elif cover is not None and not cover.keeps_margin:
        more: dict[str, Value] = {"left": Quantity(cover.spare, "length", "down"), "margin": Ruled(cover.margin)}
        found.append(Note(kind=TapeNote.LESS_MARGIN, severity=Severity.CHECK, values={**values, **more}))
    if isinstance(tape.winding.beginning, Patch) and cover is not None and (tape.pieces > 1 or not cover.keeps_margin):
        needed = math.ceil(1e3 * (cover.needed + 2.0 * cover.margin)) / 1e3
        found.append(
            Note(kind=TapeNote.WIDER_CLOTH, severity=Severity.LIMIT, values={
                "width": Ruled(tape.tape.width), "pieces": tape.pieces, "needed": Ruled(needed),
            })
        )
    beginning = tape.winding.beginning
    if isinstance(beginning, Patch) and beginning.zone < tape.pieces * tape.tape.width - 1e-9:
        trimmed: dict[str, Value] = {"width": Ruled(tape.tape.width), "zone": Ruled(beginning.zone)}
        found.append(Note(kind=TapeNote.TRIMMED, severity=Severity.LIMIT, values=trimmed))
    return found


def _of_face(tape: LaidTape) -> list[Note]:
    """On a backup too narrow, or too round, for an end that lies clear of its edges."""
    section = tape.section
    half = 0.5 * section.face_length("backup")
    if section.backup_is_rope:
        return [Note(kind=TapeNote.ROPE, severity=Severity.LIMIT, values={"room": Ruled(half)})]
    if half < CLEAR_OF_EDGE + 0.0025:
        width = Ruled(section.backup_width)
        values: dict[str, Value] = {"line": body_term("backup"), "width": width, "room": Ruled(half)}
        return [Note(kind=TapeNote.NARROW_FACE, severity=Severity.LIMIT, values=values)]
    return []
