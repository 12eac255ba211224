"""What a comparison of tape styles comes to, in sentences made from its figures."""

from __future__ import annotations

from collections.abc import Sequence

from linescope.contact.styles import Behaviour, Style
from linescope.events.friction import HoldLevel
from linescope.taping import Holds
from linescope.units import System, format_si, significant

NO_SLIP = 1e-6  # Less is no slip [m].


def telling_level(behaviours: Sequence[Behaviour]) -> HoldLevel:
    """The hold at which styles can be told apart: the value, or the low end where nothing slips at the value."""
    levels: tuple[HoldLevel, ...] = ("value", "low")
    for level in levels:
        if any(found.slip.get(level, 0.0) > NO_SLIP for found in behaviours):
            return level
    return "value"


def conclusions(styles: Sequence[Style], system: System = "metric") -> tuple[str, ...]:
    """Sentences for a workshop, each from figures of the comparison.

    Parameters
    ----------
    styles : sequence of Style
    system : {"metric", "feet"}
    """
    by_hold: dict[Holds, Behaviour] = {}
    for style in styles:
        if style.behaviour is not None:
            by_hold.setdefault(style.holds, style.behaviour)
    level = telling_level(list(by_hold.values()))
    words: list[str] = []
    failed = [style.name for style in styles if style.failed is not None]
    if failed:
        words.append(f"No result for {', '.join(failed)}: see there why.")
    sliders = [by_hold[held] for held in (Holds.MAIN, Holds.BACKUP) if held in by_hold]
    if sliders and max(found.slip.get(level, 0.0) for found in sliders) <= NO_SLIP:
        words.append(
            "With these holds no slider slips in a crossing: all styles then rub like tapes that hold both lines."
        )
    elif level == "low":
        words.append(
            "At the hold's value no slider slips in a crossing; it does at the low end, and what is said of slips "
            "here is said of that."
        )
    words += _fixed(by_hold.get(Holds.BOTH), system)
    for held in (Holds.MAIN, Holds.BACKUP):
        words += _slider(by_hold.get(held), level, system)
    words += _loops(by_hold, system)
    words += _tape(styles, system)
    words.append(
        "Families that hold the same line move alike here because their hold is the same input: hang a weight on a "
        "sample of each and give each its own."
    )
    return tuple(words)


def _fixed(found: Behaviour | None, system: System) -> list[str]:
    if found is None:
        return []
    peak = format_si(found.rub.swing.main.peak, "line energy", system=system)
    return [
        f"Tapes that hold both lines slip nowhere; every gust rubs the same marks, up to {peak} a gust cycle."
    ]


def _slider(found: Behaviour | None, level: HoldLevel, system: System) -> list[str]:
    if found is None or level not in found.slip or found.slip[level] <= NO_SLIP:
        return []
    pairs = found.rub.slide(level)
    held, slides = ("main", "backup") if found.holds is Holds.MAIN else ("backup", "main")
    on_held, on_slides = (pairs.main, pairs.backup) if held == "main" else (pairs.backup, pairs.main)
    factor = on_held.peak / on_slides.peak if on_slides.peak > 0.0 else 1.0
    text = (
        f"Tapes that hold the {held}: up to {format_si(found.slip[level], 'length', system=system)} slips through one "
        f"in a crossing there and back. The {held} takes it on one tape width at fixed marks, "
        f"{format_si(on_held.peak, 'line energy', system=system)} at the worst; the {slides} spreads it, "
        f"{format_si(on_slides.peak, 'line energy', system=system)} at the worst"
    )
    return [text + (f": {significant(factor)} times less." if factor >= 1.05 else ".")]


def _loops(by_hold: dict[Holds, Behaviour], system: System) -> list[str]:
    words = []
    for held in (Holds.MAIN, Holds.BACKUP):
        if held not in by_hold:
            continue
        found = by_hold[held]
        before, after = (spread.words(system) for spread in (found.taped, found.settled))
        name = "backup runs through them" if held is Holds.MAIN else "loops keep their length, tapes move on the main"
        words.append(f"Tapes that hold the {held.value} ({name}): loops {before} deep as taped, {after} when settled.")
    return words


def _tape(styles: Sequence[Style], system: System) -> list[str]:
    laid = [(style.cut_list.tape_total, style.name) for style in styles if style.cut_list is not None]
    if len(laid) < 2:
        return []
    least, most = min(laid), max(laid)
    return [
        f"Least tape: {least[1]}, {format_si(least[0], 'length', system=system)}; most: {most[1]}, "
        f"{format_si(most[0], 'length', system=system)} (waste included)."
    ]
