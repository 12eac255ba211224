"""How tight: what the meter should read empty and with the walker at quarters, with the range to expect."""

from __future__ import annotations

import numpy as np

from linescope.events.meter import TensionStrip
from linescope.notes import Note, Quantity
from linescope.stage import paper, person, side, tapes
from linescope.stage.items import Frame, Label, LegendEntry, Panel, Stage, Symbols, TextBox, Wire
from linescope.stage.page import LOW, Brief, furnish
from linescope.stage.theme import Symbol
from linescope.statics.solution import Solution
from linescope.topics import TENSION
from linescope.units import to_si

SPLIT = 0.52
ENDS: tuple[tuple[str, Symbol, float], ...] = (("main", "disc", -0.17), ("green", "diamond", 0.17))
"""Anchors A and B: colour, symbol, and where in its row [shares of the row]."""
BAR = 15.0  # Half height of a range [px].


def build(brief: Brief) -> Stage:
    """A row for each loading: the line true to scale on the left, what meters at A and B should read on the right."""
    strip = brief.study.meter
    brief = brief.showing(strip.states[0], *_more(strip))
    n, say = len(strip.states), brief.measures.say
    low = 0.690
    edges = np.linspace(brief.top, low - 0.024, n + 1)
    rows = tuple(_row(brief, strip, k, (0.0, float(edges[k]), SPLIT, float(edges[k + 1]) - 0.004)) for k in range(n))
    chart = _chart(brief, strip, (SPLIT + 0.003, brief.top, 1.0, low - 0.004))
    said = tuple(brief.measures.notes(TENSION.notes(brief.study)))
    boxes = (TextBox(name="reading", frame=(0.015, low + 0.002, 0.985, LOW - 0.008), lines=said),)
    legend = (
        LegendEntry(text=say("tension-legend-main"), colour="main", width=brief.theme.main_width * 1.3),
        LegendEntry(text=say("frame-legend-chord"), colour="quiet", width=2.0, dashed=True),
        LegendEntry(text=say("tension-legend-a"), colour="main", symbol="disc"),
        LegendEntry(text=say("tension-legend-b"), colour="green", symbol="diamond"),
        *person.sign_legend((mark for row in rows for mark in row.symbols), brief.measures),
    )
    return furnish(
        brief,
        view="tension",
        question=say("tension-question"),
        panels=(*rows, chart),
        boxes=boxes,
        legend=legend,
        state=say("tension-picture-state"),
        base=False,
        rig=strip.rig,
    )


def _more(strip: TensionStrip) -> list[Note]:
    """Notes of the states with the walker that are of another kind than those before, whatever their figures."""
    kinds = {note.kind for note in strip.states[0].notes}
    found = []
    for note in (note for state in strip.states[1:] for note in state.notes):
        if note.kind not in kinds:
            kinds.add(note.kind)
            found.append(note)
    return found


def loading(brief: Brief, state: Solution) -> str:
    """Where the walker is, in a few words."""
    walker, words = state.rig.walker, brief.measures
    return words.say("frame-nobody") if walker is None else words.say("frame-walker-at", place=words.place(walker.at))


def _row(brief: Brief, strip: TensionStrip, k: int, frame: Frame) -> Panel:
    state, theme, measures = strip.states[k], brief.theme, brief.measures
    chord = side.chord_of(brief)
    curves = [shape.main.sample(12).points for shape in strip.states]
    camera = side.camera(brief, frame, np.concatenate([chord, *curves]), (0.09, 0.30, 0.09, 0.12))
    size = brief.panel_size(frame)
    curve = state.main.sample(24).points
    drop = strip.rig.below_anchors(curve)
    lowest = curve[int(np.argmax(drop))]
    body, leash = person.walker(state)
    stalk, sign = person.sign(state, camera.metres_per_pixel(size))
    return Panel(
        name=f"line {k}",
        frame=frame,
        camera=camera,
        surfaces=body,
        wires=(
            Wire(name="chord", points=chord, colour="quiet", width=theme.thin, dashed=True),
            Wire(name="main", points=curve, colour="main", width=theme.main_width),
            *leash,
            *stalk,
        ),
        symbols=(*tapes.anchors(state), *sign),
        labels=(
            Label(
                text=measures.say("tension-picture-sag", depth=Quantity(float(drop.max()), "length")),
                at=lowest,
                towards=(0.0, -1.0),
                rank=1,
                must=True,
                offset=14.0,
            ),
        ),
        caption=loading(brief, state),
        sky=True,
    )


def _chart(brief: Brief, strip: TensionStrip, frame: Frame) -> Panel:
    """Ranges on an axis of force, a row for each loading beside its drawing."""
    width, height = brief.panel_size(frame)
    measures, n = brief.measures, len(strip.states)
    name = "kN" if measures.system == "metric" else "lbf"
    unit = to_si(f"1 {name}", "force")
    left, right = 70.0, width - 90.0
    low, high = 0.0, float(strip.high.max()) * 1.04

    def x(force: float) -> float:
        return left + (right - left) * (force - low) / (high - low)

    surfaces, wires, labels = [], [], []
    base = height - 34.0
    for tick in paper.ticks(low / unit, high / unit, 7):
        wires.append(
            paper.line("grid", [(x(tick * unit), 14.0), (x(tick * unit), base)], "rule", 1.2, nearer=0.5, quiet=True)
        )
        labels.append(
            Label(
                text=measures.tick(tick), at=paper.xy(x(tick * unit), base), size="small", rank=0, offset=6.0, must=True
            )
        )
    labels.append(Label(text=name, at=paper.xy(right + 34, base), rank=0, offset=6.0, size="small", must=True))
    symbols = []
    pitch = (height - 34.0) / n
    for k in range(n):
        for end, (colour, symbol, shift) in enumerate(ENDS):
            y = (k + 0.46 + shift) * pitch
            a, b, value = (float(array[k, end]) for array in (strip.low, strip.high, strip.value))
            surfaces.append(
                paper.box(f"range {'AB'[end]} {k}", x(a), y - BAR, max(x(b), x(a) + 2), y + BAR, colour, 1.0)
            )
            symbols.append(
                Symbols(
                    name=f"{'AB'[end]} {k}",
                    points=paper.xy(x(value), y, 4.0)[None],
                    symbol=symbol,
                    colour=colour,
                    size=20.0,
                )
            )
            text = measures.say("tension-picture-reading", end="AB"[end], force=measures.force(value))
            if b - a > 0.005 * value:
                band = measures.band(a, b, "force")
                text = measures.say(
                    "tension-picture-reading-range", end="AB"[end], force=measures.force(value), range=band
                )
            labels.append(
                Label(
                    text=text,
                    at=paper.xy(x(a), y),
                    towards=(-1.0, 0.0),
                    rank=1,
                    must=True,
                    offset=14.0,
                    size="figure" if end == 0 else "body",
                    strong=end == 0,
                )
            )
        if k:
            y = k * pitch
            wires.append(paper.line("row", [(10.0, y), (width - 10.0, y)], "rule", 1.6, quiet=True))
    return Panel(
        name="meter",
        frame=frame,
        camera=paper.camera((width, height)),
        surfaces=tuple(surfaces),
        wires=tuple(wires),
        symbols=tuple(symbols),
        labels=tuple(labels),
    )
