"""How each kind of tape of a rig is made: its section with the strip's path, and what to cut."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from linescope.notes import Ruled
from linescope.stage import paper
from linescope.stage.items import Frame, Label, LegendEntry, Panel, Surface, Symbols, TextBox, Wire
from linescope.stage.page import Brief
from linescope.stage.theme import Symbol, tape_look
from linescope.statics.cut_list import cut_list
from linescope.taping import LaidTape, Run, Section
from linescope.taping.section import Body
from linescope.topics.tapes import messages
from linescope.topics.tapes.tables import tape_rows
from linescope.words import Words

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
    words = brief.measures
    totals = [what for what in tape_rows(cut, words)["totals"].rows[:TOTALS] if not what[1].startswith("0")]
    lines = ["; ".join(f"{what}: {amount}" for what, amount in totals) + "."]
    for tape in laid:
        lines.append(words.say(
            "tapes-picture-end", family=messages.values_of(tape)["family"], end=messages.end_words(tape.finish, words),
            dry=messages.dry_words(tape, words),
        ))
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
        name="to bring", frame=(0.015, bottom - share, 0.985, bottom), heading=words.say("tapes-picture-bring"),
        lines=tuple(lines),
    )  # fmt: skip
    legend = [LegendEntry(text=words.say("tapes-picture-sticky"), colour="ink", width=2.4)]
    if any(tape.coverage for tape in laid):
        legend.append(LegendEntry(text=words.say("tapes-picture-dry"), colour="alarm", width=5.0))
    return panels, (box,), tuple(legend)


def _scale(brief: Brief, laid: list[LaidTape], frame: Frame) -> float:
    """Pixels for a metre, one for all sections.  [px/m]"""
    width, height = brief.panel_size(frame)
    paths = [np.concatenate([run.points for run in tape.path()]) for tape in laid]
    wide = max(float(np.ptp(path[:, 0])) for path in paths)
    high = max(float(np.ptp(path[:, 1])) for path in paths)
    return min((width - 260.0) / wide, (height - 134.0) / high)


def _section(brief: Brief, tape: LaidTape, count: int, scale: float, k: int, frame: Frame) -> Panel:
    """Main over backup, cut across, with the strip's path from its beginning to its end."""
    size = width, height = brief.panel_size(frame)
    section, words = tape.winding.section, brief.measures
    runs = tape.path()
    path = np.concatenate([run.points for run in runs])
    middle = (path.max(axis=0) + path.min(axis=0)) / 2
    x0, y0 = width / 2 - middle[0] * scale, 62.0 + (height - 62.0) / 2 + middle[1] * scale

    def page(points: Floats) -> list[tuple[float, float]]:
        return [(float(x0 + x * scale), float(y0 - y * scale)) for x, y in points]

    lines = [_line(section, body, page) for body in ("main", "backup")]
    wires = [_run(run, page(run.points)) for run in runs]
    first, last = page(strip_of(runs)[:1])[0], page(path[-1:])[0]
    edge = width / 2 + 0.5 * float(np.ptp(path[:, 0])) * scale + 8.0
    labels = [
        Label(text=text, at=paper.xy(edge, y0 - sign * 0.5 * thick * scale), towards=(1.0, sign), rank=1, must=True,
              size="small", offset=6.0)
        for text, sign, thick in (
            (words.say("tapes-main"), 1.0, section.main_thickness),
            (words.say("tapes-backup"), -1.0, section.backup_thickness),
        )
    ]  # fmt: skip
    labels += [
        Label(text=text, at=paper.xy(*at), towards=(lean, 1.0 if at[1] < y0 else -1.0), rank=2, must=True, size="small",
              strong=True, offset=14.0)
        for text, at, lean in (
            (words.say("tapes-label-begins"), first, -1.0), (words.say("tapes-label-ends"), last, 1.0)
        )
    ]  # fmt: skip
    ends: tuple[tuple[str, tuple[float, float], Symbol], ...] = (("begins", first, "ring"), ("ends", last, "disc"))
    marks = [
        Symbols(name=name, points=paper.xy(*at, 6.0)[None], symbol=symbol, colour="ink", size=13.0)
        for name, at, symbol in ends
    ]
    look = tape_look(tape.family.key)
    marks.append(
        Symbols(name="kind", points=paper.xy(width - edge - 28.0, y0, 6.0)[None], symbol=look.symbol,
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
        caption=_caption(tape, count, words),
    )


def _caption(tape: LaidTape, count: int, words: Words) -> str:
    text = words.say(
        "tapes-picture-kind", count=count, family=messages.values_of(tape)["family"], length=Ruled(tape.cut_length),
        turns=messages.turns_of(tape.turns),
    )
    return f"{text}, {messages.pieces_words(tape, words)}" if tape.pieces else text


def strip_of(runs: tuple[Run, ...]) -> Floats:
    """Points of the strip itself, without a cross piece, from its beginning."""
    return np.concatenate([run.points for run in runs if run.kind != "piece"])


def _line(section: Section, body: Body, page: Callable[[Floats], list[tuple[float, float]]]) -> Surface:
    """One line, cut across."""
    inner, outer = section.levels(body)
    half = 0.5 * section.width_of(body)
    if section.is_round(body):
        turn = np.linspace(0.0, 2 * math.pi, 49)[:-1]
        points = np.column_stack([half * np.cos(turn), half * np.sin(turn) + 0.5 * (inner + outer)])
    else:
        points = np.array([[-half, inner], [half, inner], [half, outer], [-half, outer]])
    return paper.area(f"{body} section", page(points), body)


def _run(run: Run, points: list[tuple[float, float]]) -> Wire:
    """A part of the strip, thick where the sliding line runs on it."""
    name, colour, width = ("dry", "alarm", 5.0) if run.is_dry else ("sticky", "ink", 2.2)
    return paper.line(name, points, colour, width, nearer=3.0, quiet=False)
