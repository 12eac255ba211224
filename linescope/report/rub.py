"""Touches, rub and the list of places to look at: as tables for people, and in full figures for programs."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from linescope.contact.find import Rub
from linescope.contact.ledger import Ledger
from linescope.contact.touching import Touch, Touching
from linescope.report.tapes import Table, place
from linescope.units import System, format_si


def _long(system: System) -> str:
    return "m" if system == "metric" else "ft"


def energy(value: float, system: System) -> str:
    """Work [J] for people; "none" for what is not a number."""
    return "none" if math.isnan(value) else format_si(value, "energy", system=system)


def line_energy(value: float, system: System) -> str:
    """Work per metre [J/m] for people."""
    return format_si(value, "line energy", system=system)


def share(value: float) -> str:
    """A share of the work for people; "-" where there is no work."""
    return "-" if math.isnan(value) else format_si(value, "ratio")


def band(value: float, ends: tuple[float, float], text: Any) -> str:
    """A value with the low and high it may have, each written by `text`."""
    low, high = min(value, *ends), max(value, *ends)
    if text(low) == text(high):
        return str(text(value))
    return f"{text(value)} ({text(low)} to {text(high)})"


def touch_table(touching: Touching, units: System = "metric") -> Table:
    """One row for every stretch along which the lines touch.

    Parameters
    ----------
    touching : Touching
    units : {"metric", "feet"}
    """
    unit = _long(units)
    rows = []
    for touch in touching.touches:
        where = f"tape {touch.tape}" if touch.tape else (f"bay {touch.bays[0]}" if touch.cause != "anchor" else "end")
        rows.append(
            (
                where, touch.cause,
                f"{place(touch.main[0], units)} to {place(touch.main[1], units)}",
                f"{place(touch.backup[0], units)} to {place(touch.backup[1], units)}",
                format_si(touch.length, "length", system=units),
                format_si(touch.normal, "force", system=units),
            )
        )
    return Table(
        title="Where the lines touch",
        columns=(
            "Where", "Why", f"Main, slack from A [{unit}]", f"Backup, slack from A [{unit}]", "Contact", "Pressed with",
        ),
        rows=tuple(rows),
    )


def rub_table(rub: Rub, units: System = "metric") -> Table:
    """Totals, peaks and concentration on both lines, per crossing and per gust cycle."""
    rows = []
    for line in ("main", "backup"):
        value = rub.slide().of(line)
        low, high = (rub.slides.get(level, rub.slides["value"]).ledgers.of(line) for level in ("low", "high"))
        rows.append(_rub_row(f"{line}, a crossing there and back", value, (low, high), units))
        rows.append(_rub_row(f"{line}, a gust cycle", rub.swing.of(line), (), units))
    return Table(
        title="Rub (ranks places on this rig; in brackets with the low and the high hold)",
        columns=("Line", "Work", "Most per metre", "On the worst 5 %", "Half of it lies on"),
        rows=tuple(rows),
    )


def _rub_row(name: str, value: Ledger, ends: tuple[Ledger, ...], units: System) -> tuple[str, ...]:
    others = ends or (value, value)
    half = value.half_length()
    return (
        name,
        band(value.total, (others[0].total, others[1].total), lambda x: energy(x, units)),
        band(value.peak, (others[0].peak, others[1].peak), lambda x: line_energy(x, units)),
        share(value.concentration()),
        "-" if math.isnan(half) else format_si(half, "length", system=units),
    )


def inspection_table(rub: Rub, units: System = "metric") -> Table:
    """The worst places, worst first."""
    unit = _long(units)
    rows = [
        (
            str(rank), found.line, place(found.at, units),
            f"{place(found.start, units)} to {place(found.end, units)}", str(found.tape),
            band(found.peak, (found.low, found.high), lambda x: line_energy(x, units)), found.cause,
        )
        for rank, found in enumerate(rub.places, 1)
    ]
    crossings = f"{rub.crossings:g} crossing{'' if rub.crossings == 1 else 's'} there and back"
    gusts = f"{rub.gusts:g} gust cycle{'' if rub.gusts == 1 else 's'}"
    return Table(
        title=f"Look here first ({crossings} and {gusts} counted; places from A on the slack line)",
        columns=("", "Line", f"At [{unit}]", f"From, to [{unit}]", "Tape", "Rub", "Why"),
        rows=tuple(rows),
    )


def touch_json(touching: Touching) -> dict[str, Any]:
    """Touches in full figures, SI."""
    return {
        "state": touching.solution.state,
        "tolerance_m": touching.tolerance,
        "reach_m": touching.reach,
        "largest_gap_m": [float(value) for value in touching.largest_gap],
        "assumed": list(touching.assumed),
        "touches": [_touch_json(touch) for touch in touching.touches],
    }


def _touch_json(touch: Touch) -> dict[str, Any]:
    return {
        "cause": touch.cause,
        "tape": touch.tape,
        "bays": list(touch.bays),
        "main_m": list(touch.main),
        "backup_m": list(touch.backup),
        "points_m": touch.points.tolist(),
        "length_m": touch.length,
        "towards_a_m": touch.towards_a,
        "towards_b_m": touch.towards_b,
        "normal_N": touch.normal,
        "normal_from": touch.normal_from,
        "profile_backup_m": touch.profile_backup.tolist(),
        "profile_gap_m": touch.profile_gap.tolist(),
    }


def ledger_json(ledger: Ledger, *, bins: bool = False) -> dict[str, Any]:
    """One ledger in full figures; with `bins` also the work in each bin that has any."""
    concentration, half = ledger.concentration(), ledger.half_length()
    result: dict[str, Any] = {
        "line": ledger.line,
        "length_m": ledger.length,
        "bin_m": ledger.bin,
        "total_J": ledger.total,
        "peak_J_per_m": ledger.peak,
        "share_on_worst_5_percent": None if math.isnan(concentration) else concentration,
        "half_of_work_on_m": None if math.isnan(half) else half,
    }
    if bins:
        rubbed = np.flatnonzero(ledger.work > 0.0)
        result["bins"] = [[float(ledger.edges[k]), float(ledger.work[k])] for k in rubbed]
    return result


def rub_json(rub: Rub, *, bins: bool = False) -> dict[str, Any]:
    """Rub in full figures, SI, ready for `json.dumps`.

    Parameters
    ----------
    rub : Rub
    bins : bool
        Also every bin that has work, as [start in metres, joules].
    """
    return {
        "crossing": {
            level: {
                "steps_per_bay": slide.crossing.per_bay,
                "changed_by_halving_steps": slide.changed if math.isfinite(slide.changed) else None,
                "work_J": float(slide.crossing.work.sum()),
                "slip_m": slide.crossing.total_slip.tolist(),
                "main": ledger_json(slide.ledgers.main, bins=bins),
                "backup": ledger_json(slide.ledgers.backup, bins=bins),
            }
            for level, slide in rub.slides.items()
        },
        "gust_cycle": {
            "main": ledger_json(rub.swing.main, bins=bins), "backup": ledger_json(rub.swing.backup, bins=bins)
        },
        "wind": {"speed_m_per_s": rub.wind.speed, "gust_factor": rub.wind.gust_factor},
        "counted": {"crossings": rub.crossings, "gust_cycles": rub.gusts},
        "places": [
            {
                "rank": rank, "line": found.line, "tape": found.tape, "at_m": found.at, "from_m": found.start,
                "to_m": found.end, "peak_J_per_m": found.peak, "peak_low_J_per_m": found.low,
                "peak_high_J_per_m": found.high, "work_J": found.work, "swing_share": found.swing_share,
                "cause": found.cause,
            }
            for rank, found in enumerate(rub.places, 1)
        ],
        "assumed": list(rub.assumed),
        "notes": list(rub.notes),
    }
