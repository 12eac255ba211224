"""How each kind of tape of a rig is made: its section with the strip's path, and what to cut."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from linescope.report.tapes import dry_words, finish_words, short_length, tape_rows
from linescope.stage import paper
from linescope.stage.items import Frame, Label, LegendEntry, Panel, Symbols, TextBox, Wire
from linescope.stage.theme import Symbol, tape_look
from linescope.stage.views.page import Brief
from linescope.statics.cut_list import cut_list
from linescope.taping import LaidTape
from linescope.units import System

Floats = NDArray[np.float64]
LINE = 30.0  # Of text [px].
LEAST = 280.0  # Height that sections need to be read [px].
MOST = 4  # Sections beside each other.
TOTALS = 5  # Lines of the totals that help on the ground: tapes, strips, pieces, tape, rolls.


def build(brief: Brief, frame: Frame) -> tuple[tuple[Panel, ...], tuple[TextBox, ...], tuple[LegendEntry, ...]]:
    """A panel for each kind of tape, side by side, a box with how much of everything to bring, and the legend."""
    left, top, right, bottom = frame
    cut = cut_list(brief.study.planned)
    laid = list(cut.tapes.values())[:MOST]
    if not laid:
        return (), (), ()
    system = brief.measures.system
    said = [what for what in tape_rows(cut, system)["totals"].rows[:TOTALS] if not what[1].startswith("0")]
    lines = ["; ".join(f"{what}: {amount}" for what, amount in said) + "."]
    for tape in laid:
        dry = f"; {dry_words(tape, system)}" if tape.coverage else ""
        lines.append(f"{tape.family.key}: the strip's end lies on the {finish_words(tape.finish, system)}{dry}.")
    share = (len(lines) + 1) * LINE / brief.panel_size((0.0, 0.0, 1.0, 1.0))[1]
    low = bottom - share - 0.006
    width = (right - left) / len(laid)
    scale = _scale(brief, laid, (left, top, left + width, low))
    panels = tuple(
        _section(
            brief, tape, cut.count(tape.family.key, tape.holds), scale, k,
            (left + k * width, top, left + (k + 1) * width - 0.002, low),
        )
        for k, tape in enumerate(laid)
    )  # fmt: skip
    box = TextBox(
        name="to bring", frame=(0.015, bottom - share, 0.985, bottom), heading="To bring, and where strips end",
        lines=tuple(lines),
    )  # fmt: skip
    legend = [LegendEntry(text="section: strip, sticky", colour="ink", width=2.4)]
    if any(tape.coverage for tape in laid):
        legend.append(LegendEntry(text="section: strip, DRY (does not stick)", colour="alarm", width=5.0))
    return panels, (box,), tuple(legend)


def _scale(brief: Brief, laid: list[LaidTape], frame: Frame) -> float:
    """Pixels for a metre, one for all sections.  [px/m]"""
    width, height = brief.panel_size(frame)
    paths = [tape.path()[0] for tape in laid]
    wide = max(float(np.ptp(path[:, 0])) for path in paths)
    high = max(float(np.ptp(path[:, 1])) for path in paths)
    return min((width - 260.0) / wide, (height - 134.0) / high)


def _section(brief: Brief, tape: LaidTape, count: int, scale: float, k: int, frame: Frame) -> Panel:
    """Main over backup, cut across, with the strip's path from its beginning to its end."""
    size = width, height = brief.panel_size(frame)
    section, system = tape.section, brief.measures.system
    path, dry = tape.path()
    middle = (path.max(axis=0) + path.min(axis=0)) / 2
    x0, y0 = width / 2 - middle[0] * scale, 62.0 + (height - 62.0) / 2 + middle[1] * scale

    def page(points: Floats) -> list[tuple[float, float]]:
        return [(float(x0 + x * scale), float(y0 - y * scale)) for x, y in points]

    half, tall = section.main_width / 2, section.main_thickness
    lines = [paper.area("main section", page(np.array([[-half, 0], [half, 0], [half, tall], [-half, tall]])), "main")]
    half, deep = section.backup_width / 2, section.backup_thickness
    if section.backup_is_rope:
        turn = np.linspace(0.0, 2 * math.pi, 49)[:-1]
        round_ = np.column_stack([half * np.cos(turn), half * np.sin(turn) - half])
        lines.append(paper.area("backup section", page(round_), "backup"))
    else:
        under = np.array([[-half, -deep], [half, -deep], [half, 0], [-half, 0]])
        lines.append(paper.area("backup section", page(under), "backup"))
    wires = _strip(page(path), dry)
    first, last = page(path[:1])[0], page(path[-1:])[0]
    edge = width / 2 + 0.5 * float(np.ptp(path[:, 0])) * scale + 8.0
    labels = [
        Label(text=text, at=paper.at(edge, y0 - sign * 0.5 * thick * scale), towards=(1.0, sign), rank=1, must=True,
              size="small", offset=6.0)
        for text, sign, thick in (("main", 1.0, tall), ("backup", -1.0, deep))
    ]  # fmt: skip
    labels += [
        Label(text=text, at=paper.at(*at), towards=(lean, 1.0 if at[1] < y0 else -1.0), rank=2, must=True, size="small",
              strong=True, offset=14.0)
        for text, at, lean in (("begins", first, -1.0), ("ends", last, 1.0))
    ]  # fmt: skip
    ends: tuple[tuple[str, tuple[float, float], Symbol], ...] = (("begins", first, "ring"), ("ends", last, "disc"))
    marks = [
        Symbols(name=name, points=paper.at(*at, 6.0)[None], symbol=symbol, colour="ink", size=13.0)
        for name, at, symbol in ends
    ]
    look = tape_look(tape.family.key)
    marks.append(
        Symbols(name="kind", points=paper.at(width - edge - 28.0, y0, 6.0)[None], symbol=look.symbol,
              colour=look.colour, size=26.0)
    )  # fmt: skip
    return Panel(
        name=f"kind {k + 1}",
        frame=frame,
        camera=paper.camera(size),
        surfaces=tuple(lines),
        wires=tuple(wires),
        symbols=tuple(marks),
        labels=tuple(labels),
        caption=f"{count} x {tape.family.key}, cut across: strip of {short_length(tape.cut_length, system)}, "
        f"{tape.wrapping.turns:.1f} turns{_pieces(tape, system)}",
    )


def _strip(points: list[tuple[float, float]], dry: NDArray[np.bool_]) -> list[Wire]:
    """The strip, where it sticks and (thick) where it is dry."""
    wires = []
    breaks = [0, *(np.flatnonzero(dry[1:-1] != dry[2:]) + 1).tolist(), len(points) - 1]
    for a, b in pairwise(breaks):
        if b > a:
            is_dry = bool(dry[a + 1])
            wires.append(
                paper.line("dry" if is_dry else "sticky", points[a : b + 1], "alarm" if is_dry else "ink",
                           5.0 if is_dry else 2.2, nearer=3.0, quiet=False)
            )  # fmt: skip
    return wires


def _pieces(tape: LaidTape, system: System) -> str:
    patches = tape.wrapping.patches
    return f", {patches} x {short_length(tape.patch_length, system)} across" if patches else ""
