"""The cut list, the marks and the kinds of tape as tables for people, and in full figures for files.

Strips are shown to the millimetre or the sixteenth of an inch and marks to the centimetre or a hundredth of a foot,
because they are measured out; everything else has two significant figures.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from linescope.notes import Paced, Quantity, Ruled, Term
from linescope.taping import FAMILIES, TIE, CutList, LaidTape
from linescope.taping.remarks import notes_on
from linescope.taping.section import lines_of
from linescope.taping.slips import find_slips
from linescope.topics.tapes import said
from linescope.topics.tapes.said import HOLDS
from linescope.units import System, from_si
from linescope.words import Words, note_data

_END = {"A": "B", "B": "A"}


@dataclass(frozen=True, kw_only=True)
class Table:
    """Rows of text.

    Attributes
    ----------
    title : str
    columns : tuple of str
        Headings, units included.
    rows : tuple of tuple of str
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def place(value: float, system: System) -> str:
    """A distance along a line [m], without its unit: metres to the centimetre, or feet to the hundredth."""
    return f"{from_si(value, 'm' if system == 'metric' else 'ft', 'length'):.2f}"


def family_name(key: str, words: Words) -> str:
    """A family's name, or that of a tie."""
    return words.say("tapes-list-tie" if key == TIE else FAMILIES[key].message)


def tape_rows(cut_list: CutList, words: Words) -> dict[str, Table]:
    """All tables of a cut list.

    Parameters
    ----------
    cut_list : CutList
    words : Words

    Returns
    -------
    dict of str to Table
        ``"tapes"`` (one row per place in laying order), ``"kinds"`` (one row per kind of tape), ``"totals"``.
    """
    return {"tapes": _listed(cut_list, words), "kinds": _kinds(cut_list, words), "totals": _totals(cut_list, words)}


def _listed(cut_list: CutList, words: Words) -> Table:
    """Every place in laying order, and the far anchor."""
    end, far = cut_list.from_end, _END[cut_list.from_end]
    strain = Quantity(cut_list.lying_strain, "ratio", digits=3)
    spots = {
        "main-slack": (cut_list.main_mark, "main_m"), "main-lying": (cut_list.lying, "main_lying_m"),
        "main-rigged": (cut_list.rigged, "rigged_m"), "main-middle": (cut_list.main_from_middle, "main_from_middle_m"),
        "backup-slack": (cut_list.backup_mark, "backup_m"),
        "backup-middle": (cut_list.backup_from_middle, "backup_from_middle_m"),
    }
    if cut_list.lying_strain == 0.0:
        del spots["main-lying"]
    heads = [
        words.say("tapes-list-unit", name=words.say(f"tapes-list-{name}", end=end, strain=strain), unit=words.long_unit)
        for name in spots
    ]
    marks = far_marks(cut_list)

    def shown(name: str, value: float) -> str:
        return ("+" if "middle" in name and value > 0.0 else "") + words.mark(value)

    rows = []
    for i, number in enumerate(cut_list.number):
        key, holds = cut_list.family[i], cut_list.holds[i]
        strip = words.say("tapes-list-no-tape") if key == TIE else _ruled(float(cut_list.strip[i]), words)
        kind = (str(number), family_name(key, words), words.say(HOLDS[holds]), words.verbatim(cut_list.zone[i]))
        rows.append((*kind, *(shown(name, float(spot[i])) for name, (spot, _) in spots.items()), strip))
    anchor = words.say("tapes-list-anchor", end=far)
    rows.append((far, anchor, "-", "-", *(shown(name, marks[key]) for name, (_, key) in spots.items()), "-"))
    first = (words.say(f"tapes-list-{name}") for name in ("number", "tape", "holds", "zone"))
    return Table(
        title=words.say("tapes-list", **{"from": end, "to": far}),
        columns=(*first, *heads, words.say("tapes-list-strip")), rows=tuple(rows),
    )


def _ruled(value: float, words: Words) -> str:
    return words.value(Ruled(value))


def far_marks(cut_list: CutList) -> dict[str, float]:
    """Where the far anchor is on both lines, by the names of `tape_json`.  [m]"""
    main, backup = cut_list.main_length, cut_list.backup_length
    return {
        "main_m": main, "main_lying_m": main * (1.0 + cut_list.lying_strain), "rigged_m": cut_list.rigged_length,
        "main_from_middle_m": 0.5 * main, "backup_m": backup, "backup_from_middle_m": 0.5 * backup,
    }


def length_words(cut_list: CutList, words: Words) -> str:
    """What to cut both lines by and how much tape that is, in one sentence."""
    return words.say(
        "tapes-lengths", backup=Paced(cut_list.backup_length), main=Paced(cut_list.main_length), count=cut_list.count(),
        rolls=cut_list.rolls,
    )


def _kinds(cut_list: CutList, words: Words) -> Table:
    rows = tuple(
        (
            family_name(key, words), words.say(HOLDS[holds]), str(cut_list.count(key, holds)),
            _ruled(tape.cut_length, words), said.pieces_words(tape, words),
            words.value(Quantity(tape.turns, "number")), said.end_words(tape.finish, words),
            said.whole_words(tape, cut_list, words), said.dry_words(tape, words), said.between_words(tape, words),
        )
        for (key, holds), tape in cut_list.tapes.items()
    )
    heads = ("family", "holds", "count", "strip", "pieces", "turns", "end", "whole", "dry", "between")
    return Table(
        title=words.say("tapes-kinds"), columns=tuple(words.say(f"tapes-kinds-{head}") for head in heads), rows=rows
    )


def _totals(cut_list: CutList, words: Words) -> Table:
    stock = cut_list.stock

    def long(value: float) -> Quantity:
        return Quantity(value, "length")

    waste = Quantity(stock.waste, "ratio")
    rows = [
        (words.say("tapes-total-tapes"), str(cut_list.count())),
        (words.say("tapes-total-strips"), words.value(long(cut_list.strip_total))),
    ]
    if cut_list.piece_count:
        rows.append((
            words.say("tapes-total-pieces"),
            words.say("tapes-total-pieces-value", count=cut_list.piece_count, length=long(cut_list.piece_total)),
        ))
    for name, cloth, roll in (("strong", False, stock.roll), ("cloth", True, stock.cloth_roll)):
        if cut_list.tape_of(cloth=cloth) > 0.0:
            amount = words.say(
                "tapes-total-rolls", length=long(cut_list.tape_of(cloth=cloth)), count=cut_list.rolls_of(cloth=cloth),
                roll=long(roll),
            )
            rows.append((words.say(f"tapes-total-{name}", waste=waste), amount))
    paces = {"fixed": stock.pace_fixed, "slider": stock.pace_slider, "patch": stock.pace_patch}
    rows += [
        (words.say("tapes-total-time", **{name: Quantity(value, "time") for name, value in paces.items()}),
         words.value(Quantity(cut_list.time, "time"))),
        (words.say("tapes-total-backup"), words.value(Paced(cut_list.backup_length))),
        (words.say("tapes-total-main"), words.value(Paced(cut_list.main_length))),
    ]
    if assumed := stock.assumed_defaults:
        names = ", ".join(words.value(Term(f"tapes-default-{name}")) for name in assumed)
        rows.append((words.say("tapes-total-default"), names))
    heads = (words.say("tapes-total-what"), words.say("tapes-total-much"))
    return Table(title=words.say("tapes-totals"), columns=heads, rows=tuple(rows))


def slip_table(tape: LaidTape, words: Words) -> Table:
    """A tape wound wrongly by a little: what is left of it."""
    heads = ("what", "left", "glue", "end", "style")
    title = f"{words.say('tapes-slips')}: {said.card_title(tape, words)}"
    return Table(
        title=title, columns=tuple(words.say(f"tapes-slips-{head}") for head in heads),
        rows=tuple(said.slip_rows(tape, find_slips(tape), words)),
    )


def tape_json(cut_list: CutList) -> dict[str, Any]:
    """The cut list in full figures, SI units, ready for `json.dumps`; what does not exist is None."""
    stock, section, words = cut_list.stock, cut_list.section, Words()
    return {
        "from_end": cut_list.from_end,
        "main_length_m": cut_list.main_length,
        "backup_length_m": cut_list.backup_length,
        "rigged_length_m": cut_list.rigged_length,
        "lying_strain": cut_list.lying_strain,
        "section": {
            "perimeter_m": section.perimeter, "height_m": section.height, "main_width_m": section.main_width,
            "main_thickness_m": section.main_thickness, "backup_width_m": section.backup_width,
            "backup_thickness_m": section.backup_thickness, "backup_is_rope": section.backup_is_rope,
        },
        "stock": {
            "width_m": stock.width, "thickness_m": stock.thickness, "roll_m": stock.roll,
            "cloth_width_m": stock.cloth_width, "cloth_thickness_m": stock.cloth_thickness,
            "cloth_roll_m": stock.cloth_roll, "wraps": stock.wraps, "waste": stock.waste,
            "pace_fixed_s": stock.pace_fixed, "pace_slider_s": stock.pace_slider, "pace_patch_s": stock.pace_patch,
            "margin_m": stock.margin, "finish": stock.finish, "short_end_m": stock.short_end,
            "measured_turn_m": stock.measured_turn,
            "first": None if stock.first is None else {
                "family": stock.first.family, "holds": stock.first.holds.value, "strip_m": stock.first.length,
                "past_m": stock.first.past,
            },
            "at_default": list(stock.assumed_defaults),
        },
        "tapes": [
            {
                "number": int(cut_list.number[i]),
                "family": cut_list.family[i],
                "holds": cut_list.holds[i].value,
                "zone": cut_list.zone[i],
                "main_m": float(cut_list.main_mark[i]),
                "main_lying_m": float(cut_list.lying[i]),
                "rigged_m": float(cut_list.rigged[i]),
                "main_from_middle_m": float(cut_list.main_from_middle[i]),
                "backup_m": float(cut_list.backup_mark[i]),
                "backup_from_middle_m": float(cut_list.backup_from_middle[i]),
                "strip_m": float(cut_list.strip[i]),
            }
            for i in range(len(cut_list.family))
        ],
        "kinds": [_kind_json(cut_list, tape, words) for tape in cut_list.tapes.values()],
        "totals": {
            "tapes": cut_list.count(), "strips_m": cut_list.strip_total, "pieces": cut_list.piece_count,
            "pieces_m": cut_list.piece_total, "strong_m": cut_list.tape_of(cloth=False),
            "cloth_m": cut_list.tape_of(cloth=True), "strong_rolls": cut_list.rolls_of(cloth=False),
            "cloth_rolls": cut_list.rolls_of(cloth=True), "time_s": cut_list.time,
        },
        "notes": [note_data(note, words) for note in notes_on(cut_list)],
    }


def _number(value: float) -> float | None:
    return None if math.isnan(value) else value


def _kind_json(cut_list: CutList, tape: LaidTape, words: Words) -> dict[str, Any]:
    cover, finish, between = tape.coverage, tape.finish, tape.between
    _, sliding = lines_of(tape.holds)
    return {
        "family": tape.family.key,
        "holds": tape.holds.value,
        "count": cut_list.count(tape.family.key, tape.holds),
        "begun": said.begun(tape),
        "tape": "cloth" if tape.tape.is_cloth else "strong",
        "strip_m": tape.cut_length,
        "first_m": tape.first,
        "turns": tape.turns,
        "segments": [{"kind": s.kind, "start_m": s.start, "end_m": s.end} for s in tape.segments],
        "marks": [{"kind": m.kind, "at_m": m.at, "number": m.number} for m in tape.marks],
        "pieces": tape.pieces,
        "piece_m": tape.piece_length,
        "finish": {
            "face": finish.face, "past_m": finish.past, "rest_m": finish.rest, "add_m": finish.add,
            "cut_m": _number(finish.cut), "is_underneath": finish.is_underneath,
        },
        "dry": None if cover is None else {
            "needed_m": cover.needed, "zone_m": cover.zone, "before_m": _number(cover.before), "after_m": cover.after,
            "on_held_m": cover.on_held, "margin_m": cover.margin, "covers": cover.covers,
            "keeps_margin": cover.keeps_margin,
        },
        "between": {
            "layers": between.layers, "gap_m": between.gap, "covered": between.covered, "encloses": between.encloses,
            "main": _against(between.main), "backup": _against(between.backup),
            "slides": None if cover is None else sliding,
        },
        "slips": [
            {
                "kind": slip.kind.value, "amount": slip.amount, "left_m": _number(slip.left),
                "glue_m": list(slip.glue), "glue_length_m": slip.glue_length, "end": slip.finish.face,
                "end_to_edge_m": slip.finish.to_edge, "becomes": slip.becomes,
            }
            for slip in find_slips(tape)
        ],
        "said": {
            "source": words.say("tapes-practice"), "steps": said.steps(tape, words),
            **{side: words.say(f"{tape.family.message}-{side}") for side in said.SIDES},
        },
    }


def _against(covering: Any) -> dict[str, Mapping[str, float]]:
    """What lies against a line, face by face."""
    return {
        face: {what.value: share for what, share in getattr(covering, face).items()}
        for face in ("inner", "edges", "outer")
    }


CSV_COLUMNS = (
    "number",
    "family",
    "holds",
    "zone",
    "from end",
    "main slack [m]",
    "main lying [m]",
    "main rigged [m]",
    "main from middle [m]",
    "backup slack [m]",
    "backup from middle [m]",
    "strip [m]",
    "cross pieces",
    "cross piece [m]",
)


def tape_csv(cut_list: CutList) -> str:
    """The cut list as CSV text, metres in full figures: a row for every place in laying order and the far anchor."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(CSV_COLUMNS)
    keys = (
        "main_m", "main_lying_m", "rigged_m", "main_from_middle_m", "backup_m", "backup_from_middle_m", "strip_m",
    )
    for i, row in enumerate(tape_json(cut_list)["tapes"]):
        tape = cut_list.tapes.get((cut_list.family[i], cut_list.holds[i]))
        named = (row["number"], row["family"], row["holds"], row["zone"], cut_list.from_end)
        piece = f"{tape.piece_length if tape else 0.0:.6f}"
        writer.writerow([*named, *(f"{row[key]:.6f}" for key in keys), tape.pieces if tape else 0, piece])
    far = _END[cut_list.from_end]
    marks = (f"{value:.6f}" for value in far_marks(cut_list).values())
    writer.writerow(["", f"anchor {far}", "", "", cut_list.from_end, *marks, "", "", ""])
    return out.getvalue()
