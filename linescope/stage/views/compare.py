"""Tape styles side by side on one page for a workshop: figures, where the rub lies, and what follows."""

from __future__ import annotations

import numpy as np

from linescope.contact.rub import Pairs
from linescope.contact.styles import Behaviour, Comparison, Style
from linescope.contact.verdict import conclusions
from linescope.events.friction import HoldLevel
from linescope.report.compare import half_lengths, level_of
from linescope.rig.layout import Layout
from linescope.stage import paper
from linescope.stage.items import Frame, Label, LegendEntry, Panel, Stage, TextBox
from linescope.stage.theme import tape_look
from linescope.stage.views.page import LOW, Brief, furnish
from linescope.taping import Holds
from linescope.units import format_si

HALF = 0.25  # Shown on either side of the tape [m].
QUESTION = "Which tape style spreads the rub on this rig, and which rubs in one place?"
NAMES = {
    Holds.BOTH: "HOLDS BOTH LINES",
    Holds.MAIN: "HOLDS THE MAIN",
    Holds.BACKUP: "HOLDS THE BACKUP",
}


def build(brief: Brief, comparison: Comparison) -> Stage:
    """A table of all styles, the rub beside one tape for each line held on one scale, and conclusions in words."""
    level = level_of(comparison)
    found = [(holds, comparison.behaviour(holds)) for holds in Holds]
    shown = [(holds, behaviour) for holds, behaviour in found if behaviour is not None]
    upper = brief.top + 0.235 * (LOW - brief.top)
    lower = brief.top + 0.755 * (LOW - brief.top)
    middle = 0.5 * (upper + lower)
    panels: list[Panel] = []
    tape = telling_tape([behaviour for _, behaviour in shown], level)
    for row, (top, bottom, kind) in enumerate(((upper, middle, "crossing"), (middle, lower, "gust cycle"))):
        pairs = [behaviour.rub.swing if row else behaviour.rub.slide(level) for _, behaviour in shown]
        most = max((max(pair.main.peak, pair.backup.peak) for pair in pairs), default=0.0)
        edges = np.linspace(0.0, 1.0, max(len(shown), 1) + 1)
        for k, ((holds, behaviour), pair) in enumerate(zip(shown, pairs, strict=True)):
            counted = f"One crossing there and back{_rough(behaviour)}" if not row else "One gust cycle (bound)"
            panels.append(
                zoom(
                    brief, pair, behaviour.rub.layout, tape,
                    (float(edges[k]), top + 0.004, float(edges[k + 1]), bottom), name=f"{holds.value} {kind}",
                    most=most, caption=f"{NAMES[holds]}. {counted}" if not row else counted,
                )
            )
    table = TextBox(
        name="styles", frame=(0.015, brief.top, 0.985, upper),
        heading=f"Every style, same spacing, excess and hold (slip and rub: hold at its {_word(level)})",
        table=(
            ("style", "loops as taped", "settled", "most slip", "rub on main", "rub on backup", "gust, each line",
             "half lies on main / backup", "over a tape", "tape", "time"),
            *(_row(brief, style, level) for style in comparison.styles),
        ),
    )
    said = TextBox(
        name="said", frame=(0.015, lower + 0.004, 0.985, LOW - 0.006), heading="What follows",
        lines=conclusions(comparison.styles, brief.measures.system),
    )
    legend = [
        LegendEntry(text="rub on the main (upwards), J per metre", colour="main", width=14.0),
        LegendEntry(text="rub on the backup (downwards)", colour="backup", width=14.0),
    ]
    legend += [
        LegendEntry(text=name, colour=look.colour, symbol=look.symbol)
        for name, look in dict.fromkeys(
            (behaviour.rub.layout.tapes[0].family, tape_look(behaviour.rub.layout.tapes[0].family))
            for _, behaviour in shown if behaviour.rub.layout.tapes
        )
    ]
    return furnish(
        brief, view="compare", question=QUESTION, panels=tuple(panels), boxes=(table, said), legend=tuple(legend),
        state=f"{len(comparison.styles)} tape styles, one rig", base=False,
    )


def _word(level: str) -> str:
    return "value" if level == "value" else f"{level} end"


def telling_tape(found: list[Behaviour], level: HoldLevel) -> int:
    """The tape through which most slips, counted from 1 at anchor A; the middle one where nothing does."""
    slips = [behaviour.rub.slides[level].crossing.total_slip for behaviour in found if level in behaviour.rub.slides]
    together = np.sum(slips, axis=0) if slips else np.zeros(1)
    if not len(together) or together.max() <= 0.0:
        return max((len(together) + 1) // 2, 1)
    return int(np.argmax(together)) + 1


def _rough(behaviour: Behaviour) -> str:
    changed = max((slide.changed for slide in behaviour.rub.slides.values() if np.isfinite(slide.changed)), default=0.0)
    return f" (finer steps change it by up to {changed:.0%})" if changed >= 0.02 else ""


def zoom(
    brief: Brief, pairs: Pairs, layout: Layout, tape: int, frame: Frame, *, name: str, caption: str, most: float
) -> Panel:
    """Rub within a hand's reach of one tape, bin by bin: the main upwards, the backup downwards, one scale."""
    size = width, height = brief.panel_size(frame)
    left, right, top, bottom = 100.0, width - 100.0, 64.0, height - 34.0
    middle, centre = 0.5 * (top + bottom), 0.5 * (left + right)
    per_metre = 0.5 * (right - left) / HALF
    scale = (middle - top) / most if most > 0.0 else 0.0
    surfaces, wires, labels = [], [], []
    for ledger, at, sign in (
        (pairs.main, layout.tape_main, -1.0), (pairs.backup, layout.tape_backup, 1.0)
    ):
        start = ledger.edges[:-1] - at[tape - 1]
        for k in np.flatnonzero((ledger.work > 0.0) & (np.abs(start) < HALF - ledger.bin)):
            x = centre + float(start[k]) * per_metre
            y = middle + sign * float(ledger.per_metre[k]) * scale
            surfaces.append(
                paper.box(ledger.line, x, min(y, middle), x + ledger.bin * per_metre, max(y, middle), ledger.line, 1.0)
            )
        near = (start > -HALF) & (start < HALF)
        value = format_si(float(ledger.per_metre[near].max(initial=0.0)), "line energy", system=brief.measures.system)
        labels.append(
            Label(text=f"{ledger.line} {value}", at=paper.at(left, middle + sign * 0.55 * (middle - top)),
                  towards=(1.0, 0.0), rank=1, must=True, strong=True, offset=2.0, colour=ledger.line)
        )
    wires.append(paper.line("line", [(left, middle), (right, middle)], "ink", 2.0))
    reach = format_si(HALF, "length", system=brief.measures.system)
    for x, text in ((left, f"{reach} towards A"), (centre, f"tape {tape}"), (right, f"{reach} towards B")):
        wires.append(paper.line("tick", [(x, bottom), (x, bottom - 8)], "quiet", 1.6, quiet=True))
        labels.append(Label(text=text, at=paper.at(x, bottom), size="small", rank=0, must=True, offset=4.0))
    return Panel(
        name=name, frame=frame, camera=paper.camera(size), surfaces=tuple(surfaces), wires=tuple(wires),
        labels=tuple(labels), caption=caption,
    )


def _row(brief: Brief, style: Style, level: HoldLevel) -> tuple[str, ...]:
    system = brief.measures.system
    cut = style.cut_list
    tape = "-" if cut is None else format_si(cut.tape_total, "length", system=system)
    minutes = "-" if cut is None else format_si(cut.time, "time")
    found = style.behaviour
    if found is None:
        return (style.name, "no result", *("-",) * 7, tape, minutes)
    pairs = found.rub.slide(level)
    return (
        style.name,
        found.taped.words(system),
        found.settled.words(system),
        format_si(found.slip[level], "length", system=system),
        format_si(pairs.main.peak, "line energy", system=system),
        format_si(pairs.backup.peak, "line energy", system=system),
        format_si(max(found.rub.swing.main.peak, found.rub.swing.backup.peak), "line energy", system=system),
        half_lengths(found, level, system),
        format_si(found.force[level], "force", system=system),
        tape,
        minutes,
    )
