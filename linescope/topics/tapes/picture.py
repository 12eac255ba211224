"""Which tape where: every tape with number, family and distance from A, as the webbing lies and as rigged."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from linescope.notes import Term
from linescope.stage import paper
from linescope.stage.items import Frame, Label, LegendEntry, Panel, Stage, Symbols, TextBox, Wire
from linescope.stage.page import LOW, Brief, furnish
from linescope.stage.theme import tape_look
from linescope.topics.tapes import picture_kinds

Floats = NDArray[np.float64]
ROOM = 92.0  # For one tape's figures along a row [px].
MOST_ROWS = 7
HEAD, PITCH = 72.0, 144.0  # Room over the rows, and of one row [px].
SIDE = 110.0


def build(brief: Brief) -> Stage:
    """Rows of tapes from A to B with their places."""
    brief = brief.showing(brief.study.standing)
    low = LOW - 0.008
    rows = len(rows_of(len(brief.solution.layout.tapes), brief.panel_size((0.0, 0.0, 1.0, 1.0))[0]))
    page = brief.panel_size((0.0, 0.0, 1.0, 1.0))[1]
    split = brief.top + (HEAD + rows * PITCH) / page
    kinds: tuple[Panel, ...] = ()
    boxes: tuple[TextBox, ...] = ()
    more: tuple[LegendEntry, ...] = ()
    if (low - split) * page > picture_kinds.LEAST:
        kinds, boxes, more = picture_kinds.build(brief, (0.0, split + 0.004, 1.0, low))
    else:
        split = low
    panel = _map(brief, (0.0, brief.top, 1.0, split))
    legend = (
        [
            LegendEntry(text=brief.measures.say("strip-joint-legend"), colour="main", symbol="ring"),
        ]
        if brief.solution.layout.joint_main.size
        else []
    )
    return furnish(
        brief,
        view="tape-map",
        question=brief.measures.say("strip-question"),
        panels=(panel, *kinds),
        boxes=boxes,
        legend=(*legend, *more),
        state=brief.measures.say("strip-state", marked=Term(f"frame-marked-{brief.solution.rig.taping.measured_on}")),
    )


def as_laid(brief: Brief) -> Floats:
    """(t,) places of the tapes on the main as it lies while it is taped, from A.  [m]"""
    layout = brief.solution.layout
    return np.asarray(layout.tape_main * (1.0 + layout.marking_strain))


def as_rigged(brief: Brief) -> Floats:
    """(t,) places of the tapes along the stretched, standing main, from A.  [m]"""
    return np.cumsum(brief.solution.bays.length)[:-1]


def loops_laid(brief: Brief) -> Floats:
    """(t + 1,) backup to leave between one tape and the next, slack.  [m]"""
    return brief.solution.layout.bays_backup


def rows_of(count: int, width: float) -> list[tuple[int, int]]:
    """Bays of each row as (first, last + 1), as many rows as the figures need, up to `MOST_ROWS`."""
    a_row = max(2, int((width - 2 * SIDE) / ROOM))
    airy = min(4, math.ceil((count + 1) / 6))
    rows = min(MOST_ROWS, max(airy, math.ceil((count + 1) / a_row)))
    cuts = sorted({round(k * (count + 1) / rows) for k in range(rows + 1)})
    return list(pairwise(cuts))


def _map(brief: Brief, frame: Frame) -> Panel:
    solution, measures = brief.solution, brief.measures
    width, height = brief.panel_size(frame)
    layout = solution.layout
    laid, rigged, loops = as_laid(brief), as_rigged(brief), loops_laid(brief)
    nodes = np.concatenate([[0.0], laid, [layout.main_length * (1.0 + layout.marking_strain)]])
    rows = rows_of(len(layout.tapes), width)
    longest = max(nodes[b] - nodes[a] for a, b in rows)
    scale = (width - 2 * SIDE) / longest
    pitch = (height - HEAD) / len(rows)
    every = max(1, math.ceil(ROOM * 0.92 / (scale * float(np.median(np.diff(nodes))))))
    equal = float(np.ptp(loops[1:-1])) < 0.005 if len(loops) > 3 else False
    wires: list[Wire] = []
    labels: list[Label] = []
    symbols: list[Symbols] = []
    for row, (first, last) in enumerate(rows):
        y = HEAD + row * pitch + 44.0

        def x(value: float, first: int = first) -> float:
            return float(SIDE + scale * (value - nodes[first]))

        wires.append(paper.line("main", [(x(nodes[first]), y), (x(nodes[last]), y)], "main", 5.0, nearer=1.0))
        wires.append(
            paper.line("backup", [(x(nodes[first]), y + 9), (x(nodes[last]), y + 9)], "backup", 3.4, nearer=1.0)
        )
        for bay in range(first, last):
            if equal and bay not in (0, len(loops) - 1):
                continue
            if (nodes[bay + 1] - nodes[bay]) * scale > 0.66 * ROOM:
                labels.append(
                    Label(
                        text=measures.mark(float(loops[bay])),
                        at=paper.xy(x((nodes[bay] + nodes[bay + 1]) / 2), y),
                        size="small",
                        towards=(0.0, 1.0),
                        rank=4,
                        offset=9.0,
                        colour="quiet",
                    )
                )
        for node in range(max(first, 1), min(last, len(layout.tapes)) + 1):
            tape = layout.tapes[node - 1]
            look = tape_look(tape.family)
            spot = paper.xy(x(nodes[node]), y, 5.0)
            symbols.append(
                Symbols(name=f"tape {node}", points=spot[None], symbol=look.symbol, colour=look.colour, size=18.0)
            )
            if node % every and node not in (first, last) and tape.kind != "tie":
                continue
            labels += [
                Label(
                    text=str(node),
                    at=paper.xy(x(nodes[node]), y),
                    towards=(0.0, 1.0),
                    rank=1,
                    strong=True,
                    size="body",
                    offset=12.0,
                ),
                Label(
                    text=measures.mark(float(laid[node - 1])),
                    at=paper.xy(x(nodes[node]), y + 36),
                    towards=(0.0, -1.0),
                    rank=2,
                    strong=True,
                    size="small",
                    offset=2.0,
                ),
                Label(
                    text=measures.mark(float(rigged[node - 1])),
                    at=paper.xy(x(nodes[node]), y + 58),
                    towards=(0.0, -1.0),
                    rank=3,
                    size="small",
                    offset=2.0,
                    colour="quiet",
                ),
            ]
        for joint in layout.joint_main * (1.0 + layout.marking_strain):
            if nodes[first] <= joint < nodes[last]:
                symbols.append(
                    Symbols(
                        name="joint",
                        points=paper.xy(x(float(joint)), y, 6.0)[None],
                        symbol="ring",
                        colour="main",
                        size=22.0,
                    )
                )
                labels.append(
                    Label(
                        text=measures.say("strip-joint", place=measures.mark(float(joint))),
                        at=paper.xy(x(float(joint)), y),
                        towards=(0.0, 1.0),
                        rank=2,
                        must=True,
                        size="small",
                        offset=38.0,
                    )
                )
        for node, name in ((0, "A"), (len(nodes) - 1, "B")):
            if node in (first, last):
                symbols.append(
                    Symbols(
                        name=f"anchor {name}",
                        points=paper.xy(x(nodes[node]), y, 6.0)[None],
                        symbol="disc",
                        colour="state",
                        size=34.0,
                        text=name,
                    )
                )
    unit = measures.long_unit
    usual = measures.mark(float(np.median(loops[1:-1]))) if equal else ""
    between = measures.say("strip-equal" if equal else "strip-unlike", length=usual, unit=unit)
    lies = Term("strip-slack" if layout.marking_strain == 0 else "strip-pulled")
    return Panel(
        name="map",
        frame=frame,
        camera=paper.camera((width, height)),
        wires=tuple(wires),
        symbols=tuple(symbols),
        labels=tuple(labels),
        caption=measures.say("strip-caption", unit=unit, lies=lies, between=between),
    )
