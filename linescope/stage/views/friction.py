"""Friction states side by side: as taped, after a crossing with high and with low hold, settled."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.events.crossing import Crossing
from linescope.stage import dimensions, paper
from linescope.stage.items import Frame, Label, LegendEntry, Panel, Stage, TextBox
from linescope.stage.views.page import LOW, Brief, furnish
from linescope.statics.solution import Solution

Floats = NDArray[np.float64]
QUESTION = "How far can the sliders run, and what do the loops look like then?"
STRETCHES = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)


def missing(brief: Brief) -> str:
    """Needs something that slides."""
    results = brief.evidence.results
    if results is None:
        return "no states were computed"
    return "" if results.slides else "every tape holds both lines, so nothing slides"


def build(brief: Brief) -> Stage:
    """A row for each state, one scale, truth between the first and the last."""
    results = brief.results
    brief = brief.showing(results.taped, *results.settled.notes)
    found = states(brief)
    low = 0.705
    edges = np.linspace(brief.top, low, len(found) + 1)
    scale, stretch = _scale(brief, [s for _, s in found], (0.0, brief.top, 1.0, float(edges[1])))
    rows = tuple(
        _row(brief, name, state, scale, stretch, k, (0.0, float(edges[k]), 1.0, float(edges[k + 1]) - 0.004))
        for k, (name, state) in enumerate(found)
    )
    boxes = (TextBox(name="slides", frame=(0.015, low + 0.002, 0.985, LOW - 0.008), lines=_said(brief)),)
    walker = results.rig.walker
    where = f"walker at {brief.measures.place(walker.at)}" if walker is not None else "nobody on the line"
    return furnish(
        brief,
        view="friction",
        question=QUESTION,
        panels=rows,
        boxes=boxes,
        legend=_legend(brief),
        state=f"{len(found)} states, {where}",
        base=False,
    )


def _legend(brief: Brief) -> tuple[LegendEntry, ...]:
    entries = [
        LegendEntry(text="main, drawn straight", colour="main", width=4.5),
        LegendEntry(text="backup in its loops", colour="backup", width=3.0),
    ]
    if brief.results.rig.walker is not None:
        entries.append(LegendEntry(text="walker", colour="walker", symbol="block"))
    if brief.results.creep.zones:
        text = "clean sliders creep here (middle friction)"
        entries.append(LegendEntry(text=text, colour="zone_near", symbol="block"))
    return tuple(entries)


def _on_the_way(crossing: Crossing) -> Solution:
    """The step of the way back at which the walker comes nearest to his place in the scene."""
    rig = crossing.rig
    assert rig.walker is not None
    along = (rig.main_b - rig.main_a) / rig.span
    at = (crossing.walker_point - rig.main_a) @ along
    back = np.flatnonzero(~crossing.towards_b)
    steps = back if len(back) else np.arange(len(at))
    return crossing.solution_at(int(steps[np.argmin(np.abs(at[steps] - rig.walker.at))]))


def states(brief: Brief) -> list[tuple[str, Solution]]:
    """Name and state of every row, from no slip to no friction; crossings only where they were computed."""
    results = brief.results
    found = [("As taped: no slip has happened", results.taped)]
    if results.crossing_high is not None:
        found.append(("Once over and back, HIGH hold", _on_the_way(results.crossing_high)))
    if results.crossing_low is not None:
        found.append(("Once over and back, LOW hold", _on_the_way(results.crossing_low)))
    found.append(("Settled: shaken until no friction is left", results.settled))
    return found


def _scale(brief: Brief, found: list[Solution], frame: Frame) -> tuple[float, float]:
    """Pixels for a metre along the line, and how many times too large depths are drawn, the same for all rows."""
    width, height = brief.panel_size(frame)
    longest = max(float(s.bays.length.sum()) for s in found)
    deepest = max(float(s.bays.loop_depth.max()) for s in found)
    scale = (width - 200.0) / longest
    room = height - 110.0
    fits = [s for s in STRETCHES if deepest * scale * s <= room]
    return scale, fits[-1] if fits else 1.0


def _row(brief: Brief, name: str, state: Solution, scale: float, stretch: float, row: int, frame: Frame) -> Panel:
    size = brief.panel_size(frame)
    measures, bays = brief.measures, state.bays
    stations = np.concatenate([[0.0], np.cumsum(bays.length)])
    left, y = 100.0, 52.0
    wires, labels, surfaces = [], [], []
    for loop in dimensions.loops(state, 16):
        x = left + scale * (stations[loop.bay] + loop.along * bays.length[loop.bay])
        depth = np.maximum(loop.below, 0.0) * scale * stretch
        wires.append(paper.line(f"loop {loop.bay + 1}", np.column_stack([x, y + depth]), "backup", 3.0))
    wires.append(paper.line("main", [(left, y), (left + scale * stations[-1], y)], "main", 4.5, nearer=4.0))
    telling = dimensions.telling_bays(state, 9)
    for rank, bay in enumerate(sorted(telling, key=lambda k: -bays.loop_depth[k])):
        middle = left + scale * float(stations[bay] + stations[bay + 1]) / 2
        bottom = y + max(float(bays.loop_depth[bay]), 0.0) * scale * stretch
        tight = bays.excess[bay] < 0
        labels.append(
            Label(
                text="tight" if tight else measures.loop(float(bays.loop_depth[bay])),
                at=paper.at(middle, bottom),
                rank=1 if rank in (0, len(telling) - 1) else 3,
                must=rank in (0, len(telling) - 1),
                strong=rank in (0, len(telling) - 1),
                colour="alarm" if tight else "ink",
                offset=6.0,
            )
        )
    if row == 0:
        for zone in brief.results.creep.zones:
            a, b = (left + scale * place for place in (zone.start, max(zone.end, zone.start + 0.5)))
            surfaces.append(paper.box("creep", a - 3, y - 9, b + 3, y - 2, "zone_near", -1.0))
    if state.walker_point is not None and state.rig.walker is not None:
        x = left + scale * float(np.interp(state.rig.walker.at / state.rig.span, [0, 1], [0, stations[-1]]))
        wires.append(paper.line("walker", [(x, y), (x, y - 26)], "walker", 7.0))
    for text, x in (("A", left), ("B", left + scale * stations[-1])):
        labels.append(
            Label(
                text=text,
                at=paper.at(float(x), y),
                towards=(-1.0 if text == "A" else 1.0, 0.0),
                rank=0,
                must=True,
                strong=True,
                offset=14.0,
            )
        )
    slip = np.abs(state.tape_slip)
    moved = f", slipped up to {measures.length(float(slip.max()))}" if slip.max(initial=0.0) > 5e-4 else ""
    drawn = "" if stretch == 1 else f" DEPTHS DRAWN {stretch:g} TIMES TOO LARGE."
    return Panel(
        name=name.split(":")[0],
        frame=frame,
        camera=paper.camera(size),
        surfaces=tuple(surfaces),
        wires=tuple(wires),
        labels=tuple(labels),
        stretch=stretch,
        caption=f"{name}. Loops {measures.loop(float(bays.loop_depth.min()))} to "
        f"{measures.loop(float(bays.loop_depth.max()))}{moved}.{drawn if row == 0 else ''}",
    )


def _said(brief: Brief) -> tuple[str, ...]:
    results, measures = brief.results, brief.measures
    hold = results.rig.hold
    lines = [
        f"Hold of the tapes: drag {hold.drag.low:.2g} to {hold.drag.high:.2g} N, friction {hold.friction.low:.2g} to "
        f"{hold.friction.high:.2g}; truth lies between as taped and settled, and these inputs decide where."
    ]
    zones = results.creep.zones
    if zones:
        said = "; ".join(
            f"tapes {zone.first} to {zone.last} ({measures.place(round(zone.start, 0))} to "
            f"{measures.place(round(zone.end, 0))} from A)"
            for zone in zones
        )
        lines.append(f"Slope alone starts clean sliders off, middle friction, walker where he stands: {said}.")
    else:
        lines.append("Nowhere is the line steep enough for its slope alone to start sliders off, middle friction.")
    if results.crossing_low is None:
        lines.append("A walker's crossing was not computed; its states lie between these two.")
    lines.append("Hang a small weight on a sample tape and note when it slips: that is the hold to write down.")
    return tuple(lines)
