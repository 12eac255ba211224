"""The cut list, the marks and the taping families as tables for people, and in full figures for files.

Tables are tuples of text rows with a heading, units put back on.  Strips are shown to the millimetre or
the sixteenth of an inch and marks to the centimetre or a hundredth of a foot, because they are measured
out with a ruler; everything else has two significant figures.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from linescope.taping import TIE, CutList, Finish, LaidTape, lay_whole_wraps
from linescope.units import System, format_si, from_si

PRACTICE = "Common practice, no source."

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


def short_length(value: float, system: System) -> str:
    """A length [m] as laid on a ruler: whole millimetres, or inches to a sixteenth; "-" for what is not a
    number."""
    if math.isnan(value):
        return "-"
    if system == "metric":
        return f"{from_si(value, 'mm', 'length'):.0f} mm"
    sixteenths = round(from_si(value, "in", "length") * 16.0)
    whole, part = divmod(sixteenths, 16)
    step = math.gcd(part, 16)
    fraction = f"{part // step}/{16 // step}" if part else ""
    return f"{' '.join(text for text in (str(whole) if whole or not part else '', fraction) if text)} in"


def place(value: float, system: System) -> str:
    """A distance along a line [m], without its unit: metres to the centimetre, or feet to the hundredth."""
    return f"{from_si(value, 'm' if system == 'metric' else 'ft', 'length'):.2f}"


def finish_words(finish: Finish, system: System) -> str:
    """Where an end lies, such as "top, 8 mm from the edge"."""
    return f"{finish.face}, {short_length(finish.to_edge, system)} from the edge"


def change_words(finish: Finish, system: System) -> str:
    """What to add or cut so that the end lies in the middle of the underside."""
    if finish.is_underneath:
        return "nothing: it is underneath"
    if math.isnan(finish.cut):
        return f"add {short_length(finish.add, system)}"
    return f"cut {short_length(finish.cut, system)} or add {short_length(finish.add, system)}"


def whole_wraps_words(tape: LaidTape, system: System) -> str:
    """What the stock's number of wraps would take, where that ends, and what moves the end underneath."""
    whole = lay_whole_wraps(tape.family, tape.section, tape.stock, tape.holds)
    text = f"{short_length(whole.cut_length, system)}: {finish_words(whole.finish, system)}"
    return text if whole.finish.is_underneath else f"{text}; {change_words(whole.finish, system)}"


def dry_words(tape: LaidTape, system: System) -> str:
    """Whether the dry zone covers the sliding line, with figures."""
    cover = tape.coverage
    if cover is None:
        return "nothing slides"
    need, zone = short_length(cover.needed, system), short_length(cover.zone, system)
    if not cover.covers:
        return f"NOT COVERED by {short_length(-cover.spare, system)}: {zone} dry, {need} needed"
    text = f"{zone} dry over {need}, {short_length(cover.spare, system)} to spare"
    return (
        text
        if cover.keeps_margin
        else f"{text} (less than the {short_length(cover.margin, system)} asked for)"
    )


def tape_rows(cut_list: CutList, units: System = "metric") -> dict[str, Table]:
    """All tables of a cut list.

    Parameters
    ----------
    cut_list : CutList
    units : {"metric", "feet"}

    Returns
    -------
    dict of str to Table
        ``"tapes"`` (one row per place in laying order), ``"kinds"`` (one row per kind of tape), ``"totals"``.
    """
    unit = "m" if units == "metric" else "ft"
    end = cut_list.from_end
    tensioned = cut_list.lying_strain != 0.0
    spots = {
        f"Main, slack from {end} [{unit}]": cut_list.main_mark,
        f"Main, lying at {cut_list.lying_strain:.2%} stretch from {end} [{unit}]": cut_list.lying,
        f"Main, rigged from {end} [{unit}]": cut_list.rigged,
        f"Main, slack from middle [{unit}]": cut_list.main_from_middle,
        f"Backup, slack from {end} [{unit}]": cut_list.backup_mark,
        f"Backup, slack from middle [{unit}]": cut_list.backup_from_middle,
    }
    shown = {name: spot for name, spot in spots.items() if tensioned or " lying at " not in name}
    columns = ("No.", "Tape", "Holds", "Zone", *shown, "Strip")
    rows = []
    for i, number in enumerate(cut_list.number):
        marks = [
            ("+" if "middle" in name and spot[i] > 0.0 else "") + place(float(spot[i]), units)
            for name, spot in shown.items()
        ]
        strip = "no tape" if cut_list.family[i] == TIE else short_length(float(cut_list.strip[i]), units)
        kind = (str(number), cut_list.family[i], cut_list.holds[i].value, cut_list.zone[i])
        rows.append((*kind, *marks, strip))
    rows.append((_END[end], f"anchor {_END[end]}", "-", "-", *_far_end(cut_list, shown, units), "-"))
    return {
        "tapes": Table(
            title=f"Tapes in laying order from anchor {end} to anchor {_END[end]}",
            columns=columns,
            rows=tuple(rows),
        ),
        "kinds": _kinds(cut_list, units),
        "totals": _totals(cut_list, units),
    }


def far_marks(cut_list: CutList) -> dict[str, float]:
    """Where the far anchor is on both lines, by the names of `tape_json`.  [m]"""
    main, backup = cut_list.main_length, cut_list.backup_length
    return {
        "main_m": main, "main_lying_m": main * (1.0 + cut_list.lying_strain), "rigged_m": cut_list.rigged_length,
        "main_from_middle_m": 0.5 * main, "backup_m": backup, "backup_from_middle_m": 0.5 * backup,
    }


def _far_end(cut_list: CutList, shown: Mapping[str, object], units: System) -> list[str]:
    """The far anchor's cells under the headings shown."""
    far = far_marks(cut_list)
    names = {
        "Main, slack from middle": "main_from_middle_m", "Backup, slack from middle": "backup_from_middle_m",
        "Main, slack": "main_m", "Main, lying": "main_lying_m", "Main, rigged": "rigged_m", "Backup, slack": "backup_m",
    }
    keys = [next(key for start, key in names.items() if name.startswith(start)) for name in shown]
    return [("+" if "middle" in key else "") + place(far[key], units) for key in keys]


def length_words(cut_list: CutList, units: System = "metric") -> str:
    """What to cut both lines by and how much tape that is, in one sentence."""
    unit = "m" if units == "metric" else "ft"
    return (
        f"Backup {place(cut_list.backup_length, units)} {unit} and main {place(cut_list.main_length, units)} {unit}, "
        f"both unstretched, lock to lock, tails extra; {cut_list.count()} tapes, {cut_list.rolls} "
        f"{'roll' if cut_list.rolls == 1 else 'rolls'} of {format_si(cut_list.stock.roll, 'length', system=units)}."
    )


def _kinds(cut_list: CutList, units: System) -> Table:
    rows = []
    for (key, holds), tape in cut_list.tapes.items():
        patches = tape.wrapping.patches
        pieces = f"{patches} x {short_length(tape.patch_length, units)}" if patches else "none"
        rows.append(
            (
                key,
                holds.value,
                str(cut_list.count(key, holds)),
                short_length(tape.cut_length, units),
                pieces,
                f"{tape.wrapping.turns:.1f}",
                finish_words(tape.finish, units),
                whole_wraps_words(tape, units),
                dry_words(tape, units),
            )
        )
    return Table(
        title="Kinds of tape",
        columns=(
            "Tape",
            "Holds",
            "Count",
            "Strip",
            "Cross pieces",
            "Turns",
            "Its end lies",
            f"Cut for {cut_list.stock.wraps:g} wraps",
            "Dry zone",
        ),
        rows=tuple(rows),
    )


def _totals(cut_list: CutList, units: System) -> Table:
    stock = cut_list.stock

    def long(value: float) -> str:
        return format_si(value, "length", system=units)

    pace = (format_si(stock.pace_fixed, "time"), format_si(stock.pace_slider, "time"))
    unit = "m" if units == "metric" else "ft"
    rows = [
        ("Tapes", str(cut_list.count())),
        ("Strips together", long(cut_list.strip_total)),
        ("Cross pieces", f"{cut_list.patch_count}, together {long(cut_list.patch_total)}"),
        (f"Tape with {stock.waste:.0%} waste", long(cut_list.tape_total)),
        (f"Rolls of {long(stock.roll)}", str(cut_list.rolls)),
        (f"Time at {pace[0]} a fixed one, {pace[1]} a slider", format_si(cut_list.time, "time")),
        ("Backup, unstretched, lock to lock (tails extra)", f"{place(cut_list.backup_length, units)} {unit}"),
        ("Main, unstretched, lock to lock (tails extra)", f"{place(cut_list.main_length, units)} {unit}"),
    ]
    if assumed := stock.assumed_defaults:
        rows.append(("At its default (assumed unless you gave it)", ", ".join(assumed).replace("_", " ")))
    return Table(title="Tape, time and lengths", columns=("What", "How much"), rows=tuple(rows))


def tape_json(cut_list: CutList) -> dict[str, Any]:
    """The cut list in full figures, SI units, ready for `json.dumps`; what does not exist is None."""
    stock, section = cut_list.stock, cut_list.section
    return {
        "from_end": cut_list.from_end,
        "main_length_m": cut_list.main_length,
        "backup_length_m": cut_list.backup_length,
        "rigged_length_m": cut_list.rigged_length,
        "lying_strain": cut_list.lying_strain,
        "section": {
            "perimeter_m": section.perimeter,
            "height_m": section.height,
            "main_width_m": section.main_width,
            "main_thickness_m": section.main_thickness,
            "backup_width_m": section.backup_width,
            "backup_thickness_m": section.backup_thickness,
            "backup_is_rope": section.backup_is_rope,
        },
        "stock": {
            "width_m": stock.width,
            "thickness_m": stock.thickness,
            "wraps": stock.wraps,
            "roll_m": stock.roll,
            "waste": stock.waste,
            "pace_fixed_s": stock.pace_fixed,
            "pace_slider_s": stock.pace_slider,
            "margin_m": stock.margin,
            "finish": stock.finish,
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
        "kinds": [_kind_json(cut_list, tape) for tape in cut_list.tapes.values()],
        "totals": {
            "tapes": cut_list.count(),
            "strips_m": cut_list.strip_total,
            "patches": cut_list.patch_count,
            "patches_m": cut_list.patch_total,
            "tape_m": cut_list.tape_total,
            "rolls": cut_list.rolls,
            "time_s": cut_list.time,
        },
    }


def _kind_json(cut_list: CutList, tape: LaidTape) -> dict[str, Any]:
    cover, finish = tape.coverage, tape.finish
    return {
        "family": tape.family.key,
        "holds": tape.holds.value,
        "count": cut_list.count(tape.family.key, tape.holds),
        "strip_m": tape.cut_length,
        "path_m": tape.path_length,
        "lead_m": tape.wrapping.lead,
        "turns": tape.wrapping.turns,
        "segments": [{"kind": s.kind, "start_m": s.start, "end_m": s.end} for s in tape.segments],
        "marks": [{"kind": m.kind, "at_m": m.at, "label": m.label} for m in tape.marks],
        "patches": tape.wrapping.patches,
        "patch_m": tape.patch_length,
        "finish": {
            "face": finish.face,
            "to_edge_m": finish.to_edge,
            "add_m": finish.add,
            "cut_m": None if math.isnan(finish.cut) else finish.cut,
            "is_underneath": finish.is_underneath,
        },
        "dry": None
        if cover is None
        else {
            "needed_m": cover.needed,
            "zone_m": cover.zone,
            "before_m": cover.before,
            "after_m": cover.after,
            "margin_m": cover.margin,
            "covers": cover.covers,
            "keeps_margin": cover.keeps_margin,
        },
        "notes": {
            "source": PRACTICE,
            "steps": list(tape.family.steps),
            "slides": list(tape.family.slides),
            "costs": list(tape.family.costs),
            "goes_wrong": list(tape.family.goes_wrong),
        },
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
    import csv
    import io

    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(CSV_COLUMNS)
    for i, row in enumerate(tape_json(cut_list)["tapes"]):
        tape = cut_list.tapes.get((cut_list.family[i], cut_list.holds[i]))
        writer.writerow(
            [
                row["number"],
                row["family"],
                row["holds"],
                row["zone"],
                cut_list.from_end,
                *(
                    f"{row[key]:.6f}"
                    for key in (
                        "main_m",
                        "main_lying_m",
                        "rigged_m",
                        "main_from_middle_m",
                        "backup_m",
                        "backup_from_middle_m",
                        "strip_m",
                    )
                ),
                tape.wrapping.patches if tape else 0,
                f"{tape.patch_length if tape else 0.0:.6f}",
            ]
        )
    far = _END[cut_list.from_end]
    marks = (f"{value:.6f}" for value in far_marks(cut_list).values())
    writer.writerow(["", f"anchor {far}", "", "", cut_list.from_end, *marks, "", "", ""])
    return out.getvalue()
