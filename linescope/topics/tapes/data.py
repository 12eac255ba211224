"""The cut list for programs, as JSON and CSV."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping
from typing import Any

from linescope.taping import CutList, LaidTape
from linescope.taping.remarks import notes_on
from linescope.taping.section import lines_of
from linescope.taping.slips import find_slips
from linescope.topics.tapes import messages
from linescope.topics.tapes.tables import OTHER_END, far_marks
from linescope.words import Words, note_data


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
        "begun": messages.begun(tape),
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
            "source": words.say("tapes-practice"), "steps": messages.steps(tape, words),
            **{side: words.say(f"{tape.family.message}-{side}") for side in messages.SIDES},
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
    far = OTHER_END[cut_list.from_end]
    marks = (f"{value:.6f}" for value in far_marks(cut_list).values())
    writer.writerow(["", f"anchor {far}", "", "", cut_list.from_end, *marks, "", "", ""])
    return out.getvalue()
