"""Rub in words for people, and in full figures for programs."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from linescope.contact.find import Rub
from linescope.contact.ledger import Ledger
from linescope.units import System, format_si


def line_energy(value: float, system: System) -> str:
    """Work per metre [J/m] for people."""
    return format_si(value, "line energy", system=system)


def band(value: float, ends: tuple[float, float], text: Any) -> str:
    """A value with the low and high it may have, each written by `text`."""
    low, high = min(value, *ends), max(value, *ends)
    if text(low) == text(high):
        return str(text(value))
    return f"{text(value)} ({text(low)} to {text(high)})"


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
