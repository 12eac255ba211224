"""Which tapes let go by themselves, and what the loops then are, in sentences."""

from __future__ import annotations

from linescope.events.friction import HoldLevel
from linescope.events.let_go import LetGo, slipped
from linescope.events.words import listed
from linescope.statics import Solution
from linescope.statics.pair import FIXED
from linescope.study import Study
from linescope.units import System, column_unit, format_si

HOLD: dict[HoldLevel, str] = {"low": "low hold", "value": "the hold as given", "high": "high hold"}
MOST_NAMED = 12  # Runs of tape numbers in a sentence.


def loops_words(state: Solution, system: System = "metric") -> str:
    """Shallowest to deepest loop, in one unit."""
    low, high = float(state.bays.loop_depth.min()), float(state.bays.loop_depth.max())
    unit = column_unit((low, high), "length", system=system)
    first, last = (format_si(value, "length", system=system, unit=unit) for value in (low, high))
    return first if first == last else f"{first} to {last}"


def let_go_words(study: Study, system: System = "metric") -> tuple[str, ...]:
    """What lets go with the hold as given, then with low and with high hold; loud where something does.

    Parameters
    ----------
    study : Study
    system : {"metric", "feet"}

    Returns
    -------
    tuple of str
        Empty where nothing slides.
    """
    if not study.slides:
        return ()
    said = []
    held = study.held("value")
    if held is None:
        said.append("NOT KNOWN which tapes let go by themselves: no state was reached with the hold as given.")
    elif held.gone_empty:
        said.append(
            f"TAPES LET GO by themselves with the hold as given, before anyone steps on: "
            f"{_which(study, held.empty, system)}; loops are then {loops_words(held.empty, system)}, as taped they "
            f"were {loops_words(study.standing, system)}."
        )
        if held.walker is not None:
            said.append(
                f"With the walker then where he stands: {_which(study, held.walker, system)}; loops "
                f"{loops_words(held.walker, system)}, as taped {loops_words(study.taped, system)}."
            )
    elif held.walker is not None and held.gone_walker:
        said.append(
            f"TAPES LET GO with the hold as given once the walker stands where he does (none on the empty line): "
            f"{_which(study, held.walker, system)}; loops are then {loops_words(held.walker, system)}, as taped "
            f"they were {loops_words(study.taped, system)}."
        )
    else:
        where = "on the empty line" if held.walker is None else "on the empty line or with the walker where he stands"
        said.append(f"With the hold as given no tape lets go by itself {where}.")
    levels: tuple[HoldLevel, ...] = ("low", "high")
    said += [_at(study, level, system) for level in levels]
    return tuple(said)


def _at(study: Study, level: HoldLevel, system: System) -> str:
    found = study.held(level)
    if found is None:
        return f"With {HOLD[level]}: not known, no state was reached."
    state = _moved(found)
    if state is None:
        return f"With {HOLD[level]} none does."
    where = "on the empty line" if found.gone_empty else "with the walker where he stands"
    return f"With {HOLD[level]}, {where}: {_which(study, state, system)}; loops {loops_words(state, system)}."


def _moved(found: LetGo) -> Solution | None:
    """The first state in which something has let go."""
    return found.empty if found.gone_empty else found.walker if found.gone_walker else None


def _which(study: Study, state: Solution, system: System) -> str:
    gone, slides = slipped(state), int((study.planned.pair.slide != FIXED).sum())
    names = listed(gone)
    if names.count(",") >= MOST_NAMED:
        names = f"{len(gone)} of the {slides} that slide"
        return f"{names}, by up to {_slip(state, system)}"
    return f"{'tape' if len(gone) == 1 else 'tapes'} {names}, by up to {_slip(state, system)}"


def _slip(state: Solution, system: System) -> str:
    return format_si(float(abs(state.tape_slip).max()), "length", system=system, towards="up")
