"""Tape styles side by side: as a table for a workshop, and in full figures for programs."""

from __future__ import annotations

import textwrap
from typing import Any

from linescope.contact.styles import Behaviour, Comparison, DepthSpread, Style
from linescope.contact.verdict import conclusions, telling_level
from linescope.events.friction import HoldLevel
from linescope.report.rub import band, ledger_json, line_energy, rub_json
from linescope.report.tapes import Table
from linescope.report.text import WIDTH, columns
from linescope.units import System, format_si

HEAD = (
    "Style", "Holds", "Loops as taped", "Loops settled", "Most slip", "Rub on main", "Rub on backup",
    "Gust on main", "Gust on backup", "Half on, main / backup", "Over a tape", "Tape", "Time",
)


def level_of(comparison: Comparison) -> HoldLevel:
    """The hold that slips and rub are shown at: its value, or its low end where nothing slips at the value."""
    found = [style.behaviour for style in comparison.styles if style.behaviour is not None]
    return telling_level(found)


def half_lengths(behaviour: Behaviour, level: HoldLevel, units: System) -> str:
    """On how much of each line half of a crossing's and a gust's rub lies."""
    pairs = behaviour.rub.slide(level) if behaviour.rub.slide(level).total > 0.0 else behaviour.rub.swing
    values = (pairs.main.half_length(), pairs.backup.half_length())
    return " / ".join("-" if value != value else format_si(value, "length", system=units) for value in values)


def style_row(style: Style, level: HoldLevel, units: System) -> tuple[str, ...]:
    """One style in the order of `HEAD`."""
    tape, minutes = "-", "-"
    if style.cut_list is not None:
        tape = format_si(style.cut_list.tape_total, "length", system=units)
        minutes = format_si(style.cut_list.time, "time")
    found = style.behaviour
    if found is None:
        return (style.name, style.holds.value, "no result", *("-",) * 8, tape, minutes)

    def between(values: dict[HoldLevel, float], kind: str) -> str:
        ends = (min(values.values()), max(values.values()))
        return band(values["value"], ends, lambda x: format_si(x, kind, system=units))

    main = {k: slide.ledgers.main.peak for k, slide in found.rub.slides.items()}
    backup = {k: slide.ledgers.backup.peak for k, slide in found.rub.slides.items()}
    return (
        style.name,
        style.holds.value,
        found.taped.words(units),
        found.settled.words(units),
        between(found.slip, "length"),
        between(main, "line energy"),
        between(backup, "line energy"),
        line_energy(found.rub.swing.main.peak, units),
        line_energy(found.rub.swing.backup.peak, units),
        half_lengths(found, level, units),
        between(found.force, "force"),
        tape,
        minutes,
    )


def compare_table(comparison: Comparison, units: System = "metric") -> Table:
    """One row for every style.

    Parameters
    ----------
    comparison : Comparison
    units : {"metric", "feet"}
    """
    level = level_of(comparison)
    brackets = "; in brackets with the low and the high hold" if _levels(comparison) > 1 else ", with the hold as given"
    return Table(
        title=(
            f"Tape styles on {comparison.rig.name}: slip and rub of one crossing there and back, rub as most per "
            f"metre{brackets}"
        ),
        columns=HEAD,
        rows=tuple(style_row(style, level, units) for style in comparison.styles),
    )


def _levels(comparison: Comparison) -> int:
    """With how many holds crossings were computed."""
    return max((len(style.behaviour.slip) for style in comparison.styles if style.behaviour is not None), default=0)


def explained(comparison: Comparison) -> tuple[str, ...]:
    """What the rows of the table are, in plain words."""
    alike: dict[str, list[str]] = {}
    for style in comparison.styles:
        if style.behaviour is not None:
            alike.setdefault(style.holds.value, []).append(style.family)
    groups = "; ".join(
        f"those that hold {'both lines' if held == 'both' else f'the {held}'}: {', '.join(names)}"
        for held, names in alike.items()
    )
    return (
        f"{len(alike)} different results: {groups}. Styles of one group have one hold here and differ only in tape "
        "and time.",
        "Most slip: line through the tape through which most slides in the crossing, both ways added; what "
        "lets go before is not in it, so a line can end further than that from as taped.",
        "Rub: work of friction on a line in one crossing, in joules for each of its metres, where it is most. Gust: "
        "the same for one gust, loops swinging beside their tapes. It ranks styles; it predicts no wear.",
        "Half on: on how many metres of each line half of that work is done; the fewer, the denser.",
        "Over a tape: the largest pull along the line that a tape has to carry in the crossing.",
    )


def compare_words(comparison: Comparison, units: System = "metric") -> tuple[str, ...]:
    """What follows, what failed and what was assumed, in sentences."""
    failed = [f"{style.name}: {style.failed}" for style in comparison.styles if style.failed is not None]
    notes = dict.fromkeys(
        note for style in comparison.styles if style.behaviour is not None for note in style.behaviour.rub.notes
    )
    return (
        *conclusions(comparison.styles, units),
        *failed,
        *notes,
        *(f"Assumed: {line}." for line in comparison.assumed),
    )


def compare_text(comparison: Comparison, units: System = "metric") -> str:
    """The comparison as plain text: one column for every style, so that each figure is read across."""
    table = compare_table(comparison, units)
    names = [row[0].removesuffix(f", {row[1]}-held") for row in table.rows]
    turned = [("", *names), *zip(table.columns[1:], *(row[1:] for row in table.rows), strict=True)]
    lines = [*textwrap.wrap(table.title, WIDTH), "", *("  " + line for line in columns(turned)), ""]
    for sentence in explained(comparison):
        lines += textwrap.wrap(sentence, WIDTH, initial_indent="  ", subsequent_indent="  ")
    lines.append("")
    for sentence in compare_words(comparison, units):
        lines += textwrap.wrap(sentence, WIDTH, initial_indent="- ", subsequent_indent="  ")
    lines.append(f"Compared in {comparison.run_time:.0f} s.")
    return "\n".join(lines) + "\n"


def compare_json(comparison: Comparison, *, bins: bool = False) -> dict[str, Any]:
    """The comparison in full figures, SI, ready for `json.dumps`.

    Parameters
    ----------
    comparison : Comparison
    bins : bool
        Also the ledgers' bins.
    """
    return {
        "rig": comparison.rig.name,
        "shown_at_hold": level_of(comparison),
        "styles": [_style_json(style, bins) for style in comparison.styles],
        "conclusions": list(comparison.conclusions),
        "assumed": list(comparison.assumed),
    }


def _spread_json(spread: DepthSpread) -> dict[str, float]:
    return {"least_m": spread.least, "mean_m": spread.mean, "most_m": spread.most, "spread_m": spread.spread}


def _style_json(style: Style, bins: bool) -> dict[str, Any]:
    found = style.behaviour
    result: dict[str, Any] = {
        "family": style.family,
        "holds": style.holds.value,
        "failed": None if style.failed is None else str(style.failed),
        "tape": None
        if style.cut_list is None
        else {
            "tapes": style.cut_list.count(),
            "tape_m": style.cut_list.tape_total,
            "rolls": style.cut_list.rolls,
            "time_s": style.cut_list.time,
        },
        "result": None,
    }
    if found is not None:
        result["result"] = {
            "loop_depth_as_taped": _spread_json(found.taped),
            "loop_depth_settled": _spread_json(found.settled),
            "most_slip_m": dict(found.slip),
            "most_force_over_tape_N": dict(found.force),
            "gust_cycle": {
                "main": ledger_json(found.rub.swing.main), "backup": ledger_json(found.rub.swing.backup)
            },
            "rub": rub_json(found.rub, bins=bins),
        }
    return result
