"""Friction states side by side: as taped, after a crossing with high and with low hold, settled."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.events.crossing import Crossing
from linescope.events.friction import downhill_notes
from linescope.events.let_go import let_go_notes
from linescope.notes import Quantity, Range, Spot, Term, Verbatim
from linescope.stage import dimensions, paper
from linescope.stage.board import Board
from linescope.stage.items import Frame, Label, LegendEntry, Panel, Stage, Surface, Symbols, TextBox, Wire
from linescope.stage.page import LOW, Brief, furnish
from linescope.stage.workshop import TOP, paneled
from linescope.statics.solution import Solution
from linescope.ties import nearest

Floats = NDArray[np.float64]
STRETCHES = (1.0, 2.0, 3.0)
"""How many times too large loops may be drawn and still be taken for loops; on longer lines they become bars."""
WANTED = 24.0  # How deep the deepest loop must be drawn to be seen as one [px].
WIDEST = 12.0  # Bar [px].
NOTED = 0.01  # How far a loop must lie outside as taped and settled to be spoken of [m].
LEFT, LINE = 100.0, 74.0  # Where the line begins in its row, and how far down it lies [px].


def build(brief: Brief) -> Stage:
    """A row for each state, one scale, from no slip to no friction."""
    study = brief.study
    brief, words = brief.showing(study.taped, *study.settled.notes), brief.measures
    found, low = states(brief), 0.705
    panels, look = _rows(brief, found, brief.top, low)
    boxes = (TextBox(name="slides", frame=(0.015, low + 0.002, 0.985, LOW - 0.008), lines=_said(brief)),)
    return furnish(
        brief,
        view="friction",
        question=words.say("sliding-question"),
        panels=panels,
        boxes=boxes,
        legend=_legend(brief, look),
        state=words.say("sliding-picture-state", count=len(found), where=_where(brief)),
        base=False,
    )


def board(brief: Brief) -> Board:
    """The same rows; the message is what becomes of the loops."""
    study, words, low = brief.study, brief.measures, 0.72
    found = states(brief)
    panels, look = _rows(brief, found, TOP, low)
    spans = {
        name: Range(float(each.bays.loop_depth.min()), float(each.bays.loop_depth.max()), "length")
        for name, each in found
    }
    change = max(float(np.abs(each.bays.loop_depth - study.taped.bays.loop_depth).max()) for _, each in found)
    title = words.say(
        "sliding-title", changes="yes" if change >= NOTED else "no", crossed="yes" if "low" in spans else "no",
        taped=spans["taped"], low=spans.get("low", spans["settled"]), settled=spans["settled"],
        change=Quantity(change, "length", "up"),
    )
    return paneled(
        brief, name="friction", title=title, panels=panels, said=(((0.0, low + 0.004, 1.0, 0.85), "", _said(brief)),),
        under=words.say("sliding-under", name=Verbatim(study.rig.name), where=_where(brief)), height=0.85,
        key=tuple(entry for entry in _legend(brief, look) if entry.symbol != "walker"),
    )


def _where(brief: Brief) -> str:
    """Where the walker is in all rows, in words."""
    words, walker = brief.measures, brief.study.rig.walker
    if walker is None:
        return words.say("frame-nobody")
    return words.say("frame-walker-at", place=words.place(walker.at))


def _rows(
    brief: Brief, found: list[tuple[str, Solution]], top: float, low: float
) -> tuple[tuple[Panel, ...], Look]:
    """A row for each state between two heights of the page, and on long lines the loops that change most below."""
    edges = np.linspace(top, low, len(found) + 1)
    look = _scale(brief, [s for _, s in found], (0.0, top, 1.0, float(edges[1])))
    near: tuple[Panel, ...] = ()
    if look.bars:
        split = top + (0.60 if len(found) <= 2 else 0.72) * (low - top)
        edges = np.linspace(top, split, len(found) + 1)
        look = _scale(brief, [s for _, s in found], (0.0, top, 1.0, float(edges[1])))
        near = _changed(brief, found[0][1], found[-1][1], (0.0, split + 0.002, 1.0, low - 0.004))
    rows = tuple(
        _row(brief, name, state, look, k, (0.0, float(edges[k]), 1.0, float(edges[k + 1]) - 0.004))
        for k, (name, state) in enumerate(found)
    )
    return (*rows, *near), look


@dataclass(frozen=True, kw_only=True)
class Look:
    """How all rows are drawn: pixels for a metre along the line and of depth, as loops or as bars."""

    along: float
    down: float
    bars: bool

    @property
    def stretch(self) -> float:
        """How many times too large loops are drawn; bars are a chart with a scale of its own.  [-]"""
        return 1.0 if self.bars else self.down / self.along


def _legend(brief: Brief, look: Look) -> tuple[LegendEntry, ...]:
    words = brief.measures
    entries = [LegendEntry(text=words.say("sliding-legend-main"), colour="main", width=4.5)]
    if look.bars:
        entries += [
            LegendEntry(text=words.say("sliding-legend-bars"), colour="backup", symbol="block"),
            LegendEntry(text=words.say("sliding-legend-settled"), colour="backup", width=4.5),
            LegendEntry(text=words.say("sliding-legend-taped"), colour="ink", width=2.4, dashed=True),
        ]
    else:
        entries.append(LegendEntry(text=words.say("sliding-legend-loops"), colour="backup", width=3.0))
    if brief.study.rig.walker is not None:
        entries.append(LegendEntry(text=words.say("sliding-legend-walker"), colour="walker", symbol="walker"))
    if brief.study.downhill.zones:
        entries.append(LegendEntry(text=words.say("sliding-legend-downhill"), colour="zone_near", symbol="block"))
    return tuple(entries)


def _on_the_way(crossing: Crossing) -> Solution:
    """The step of the way back at which the walker comes nearest to his place in the scene."""
    rig = crossing.rig
    assert rig.walker is not None
    along = (rig.main_b - rig.main_a) / rig.span
    at = (crossing.walker_point - rig.main_a) @ along
    back = np.flatnonzero(~crossing.towards_b)
    steps = back if len(back) else np.arange(len(at))
    return crossing.solution_at(int(steps[nearest(at[steps], rig.walker.at)]))


def states(brief: Brief) -> list[tuple[str, Solution]]:
    """Name and state of every row, from no slip to no friction; crossings only where they were computed."""
    study = brief.study
    found = [("taped", study.taped)]
    if high := study.crossing_high:
        found.append(("high", _on_the_way(high)))
    if low := study.crossing_low:
        found.append(("low", _on_the_way(low)))
    found.append(("settled", study.settled))
    return found


def _scale(brief: Brief, found: list[Solution], frame: Frame) -> Look:
    """The same for all rows: loops as long as these can be drawn to be seen, else bars."""
    width, height = brief.panel_size(frame)
    longest = max(float(s.bays.length.sum()) for s in found)
    deepest = max(float(s.bays.loop_depth.max()) for s in found)
    along = (width - 2 * LEFT) / longest
    room = height - LINE - 58.0
    fits = [s for s in STRETCHES if deepest * along * s <= room]
    stretch = fits[-1] if fits else 1.0
    if deepest * along * stretch < WANTED:
        return Look(along=along, down=room / deepest, bars=True)
    return Look(along=along, down=along * stretch, bars=False)


def _row(brief: Brief, name: str, state: Solution, look: Look, row: int, frame: Frame) -> Panel:
    size = brief.panel_size(frame)
    measures, bays = brief.measures, state.bays
    stations = np.concatenate([[0.0], np.cumsum(bays.length)])
    wires, labels, surfaces = _bars(brief, state, look) if look.bars else _loops(state, look)
    right = LEFT + look.along * float(stations[-1])
    wires.append(paper.line("main", [(LEFT, LINE), (right, LINE)], "main", 4.5, nearer=4.0))
    extremes = (int(np.argmax(bays.loop_depth)), int(np.argmin(bays.loop_depth)))
    telling = extremes if look.bars else dimensions.telling_bays(state, 9)  # Between bars figures have little room.
    for rank, bay in enumerate(sorted(telling, key=lambda k: -bays.loop_depth[k])):
        middle = LEFT + look.along * float(stations[bay] + stations[bay + 1]) / 2
        bottom = LINE + max(float(bays.loop_depth[bay]), 0.0) * look.down
        tight = bays.excess[bay] < 0
        extreme = rank in (0, len(telling) - 1)
        labels.append(
            Label(
                text=measures.say("frame-tight") if tight else measures.length(float(bays.loop_depth[bay])),
                at=paper.xy(middle, bottom),
                rank=1 if extreme else 3,
                must=extreme,
                strong=extreme,
                colour="alarm" if tight else "ink",
                offset=6.0,
            )
        )
    if row == 0:
        for zone in brief.study.downhill.zones:
            a, b = (LEFT + look.along * place for place in (zone.start, max(zone.end, zone.start + 0.5)))
            surfaces.append(paper.box("downhill", a - 3, LINE - 10, b + 3, LINE - 3, "zone_near", -1.0))
    marks: tuple[Symbols, ...] = ()
    if state.walker_point is not None and state.rig.walker is not None:
        x = LEFT + look.along * float(np.interp(state.rig.walker.at / state.rig.span, [0, 1], [0, stations[-1]]))
        marks = (Symbols(name="walker", points=paper.xy(x, LINE - 18.0, 5.0)[None], symbol="walker", colour="walker",
                       size=26.0),)  # fmt: skip
    for text, x in (("A", LEFT), ("B", right)):
        labels.append(
            Label(
                text=text,
                at=paper.xy(float(x), LINE),
                towards=(-1.0 if text == "A" else 1.0, 0.0),
                rank=0,
                must=True,
                strong=True,
                offset=14.0,
            )
        )
    slip = float(np.abs(state.tape_slip).max(initial=0.0))
    caption = measures.say(
        "sliding-picture-row", name=Term(f"sliding-picture-{name}"), moved="yes" if slip > 5e-4 else "no",
        slip=Quantity(slip, "length", "up"),
        loops=Range(float(bays.loop_depth.min()), float(bays.loop_depth.max()), "length"),
    )
    if row == 0 and (look.bars or look.stretch != 1):
        drawn, times = "bars" if look.bars else "stretched", round(look.stretch)
        caption = measures.say("sliding-picture-row-drawn", row=caption, drawn=drawn, times=times)
    return Panel(
        name=name,
        frame=frame,
        camera=paper.camera(size),
        surfaces=tuple(surfaces),
        wires=tuple(wires),
        symbols=marks,
        labels=tuple(labels),
        stretch=look.stretch,
        caption=caption,
    )


def _loops(state: Solution, look: Look) -> tuple[list[Wire], list[Label], list[Surface]]:
    """The backup under a straight main."""
    stations = np.concatenate([[0.0], np.cumsum(state.bays.length)])
    wires = []
    for loop in dimensions.loops(state, 16):
        x = LEFT + look.along * (stations[loop.bay] + loop.along * state.bays.length[loop.bay])
        depth = np.maximum(loop.below, 0.0) * look.down
        wires.append(paper.line(f"loop {loop.bay + 1}", np.column_stack([x, LINE + depth]), "backup", 3.0))
    return wires, [], []


def _bars(brief: Brief, state: Solution, look: Look) -> tuple[list[Wire], list[Label], list[Surface]]:
    """A bar under the middle of each bay, with a scale of depth at A."""
    bays = state.bays
    stations = LEFT + look.along * np.concatenate([[0.0], np.cumsum(bays.length)])
    wires, labels = [], []
    for bay, depth in enumerate(bays.loop_depth):
        wide = min(0.68 * float(stations[bay + 1] - stations[bay]), WIDEST)
        middle = float(stations[bay] + stations[bay + 1]) / 2
        ends = [(middle, LINE), (middle, LINE + max(float(depth), 0.0) * look.down)]
        wires.append(paper.line(f"bar {bay + 1}", ends, "backup", wide))
    unit = 0.01 if brief.measures.system == "metric" else 0.0254
    deepest = max(s.bays.loop_depth.max() for _, s in states(brief))
    for tick in paper.ticks(0.0, float(deepest) / unit, 3)[1:]:
        y = LINE + tick * unit * look.down
        reach = [(LEFT - 10.0, y), (float(stations[-1]), y)]
        wires.append(paper.line("depth", reach, "rule", 1.4, nearer=1.0, quiet=True))
        labels.append(
            Label(text=brief.measures.tick(tick, brief.measures.short_unit), at=paper.xy(LEFT - 10.0, y), size="small",
                  towards=(-1.0, 0.0), rank=0, must=True, offset=4.0, colour="quiet")
        )  # fmt: skip
    return wires, labels, []


def _changed(brief: Brief, taped: Solution, settled: Solution, frame: Frame) -> tuple[Panel, ...]:
    """The loop that loses most and the one that gains most, true to scale, as taped and settled."""
    change = settled.bays.loop_depth - taped.bays.loop_depth
    chosen = [int(np.argmin(change)), int(np.argmax(change))]
    left, top, right, bottom = frame
    half = (left + right) / 2
    frames: tuple[Frame, ...] = ((left, top, half - 0.002, bottom), (half + 0.002, top, right, bottom))
    width, height = brief.panel_size(frames[0])
    longest = max(float(s.bays.length[bay]) for s in (taped, settled) for bay in chosen)
    deepest = max(float(s.bays.loop_depth[bay]) for s in (taped, settled) for bay in chosen)
    scale = min((width - 260.0) / longest, (height - 110.0) / max(deepest, 1e-3))
    panels = []
    for bay, where, what in zip(chosen, frames, ("loses", "gains"), strict=True):
        start = Spot(float(settled.bays.length[:bay].sum()))
        wires, labels = [], []
        for name, state, colour, wide, side in (
            ("taped", taped, "ink", 2.4, -1.0),
            ("settled", settled, "backup", 5.0, 1.0),
        ):
            loop, length = dimensions.loops(state, 40)[bay], float(state.bays.length[bay])
            first = (width - scale * length) / 2
            points = np.column_stack(
                [first + scale * length * loop.along, LINE + scale * np.maximum(loop.below, 0.0)]
            )
            wires.append(paper.line(f"{name} {bay + 1}", points, colour, wide, dashed=name == "taped"))
            ends = [(first, LINE), (first + scale * length, LINE)]
            wires.append(paper.line(f"main {name}", ends, "main", 4.5, nearer=4.0))
            depth = Quantity(float(state.bays.loop_depth[bay]), "length")
            text = brief.measures.say("sliding-picture-loop", state=name, depth=depth)
            place = points[len(points) // 3 if side < 0 else 2 * len(points) // 3]
            labels.append(
                Label(text=text, at=paper.xy(float(place[0]), float(place[1])), strong=name == "settled",
                      towards=(side, -0.7), rank=1, must=True, offset=10.0)
            )  # fmt: skip
        caption = brief.measures.say("sliding-picture-changed", what=what, bay=bay + 1, at=start)
        panels.append(
            Panel(name=what, frame=where, camera=paper.camera((width, height)), wires=tuple(wires),
                  labels=tuple(labels), caption=caption)
        )  # fmt: skip
    return tuple(panels)


def _outside(brief: Brief) -> str:
    """Whether the loops of the states between keep between those as taped and those settled, with the worst one."""
    found, words = states(brief), brief.measures
    if len(found) < 3:
        return words.say("sliding-picture-ends")
    (_, taped), *between, (_, settled) = found
    ends = np.array([taped.bays.loop_depth, settled.bays.loop_depth])
    beyond = np.array([
        np.maximum(s.bays.loop_depth - ends.max(axis=0), ends.min(axis=0) - s.bays.loop_depth) for _, s in between
    ])
    row, bay = (int(k) for k in np.unravel_index(int(np.argmax(beyond)), beyond.shape))
    if beyond[row, bay] < NOTED:
        return words.say("sliding-picture-between")
    hold, now = between[row]
    depths = {name: Quantity(float(s.bays.loop_depth[bay]), "length") for name, s in (
        ("now", now), ("taped", taped), ("settled", settled),
    )}
    return words.say("sliding-picture-outside", bay=bay + 1, hold=hold, **depths)


def _said(brief: Brief) -> tuple[str, ...]:
    study, words = brief.study, brief.measures
    hold, found = study.rig.hold, study.let_go or {}
    drag = Range(hold.drag.low, hold.drag.high, "force", band=True)
    friction = Range(hold.friction.low, hold.friction.high, "number", band=True)
    lines = [words.say("sliding-picture-hold", drag=drag, friction=friction), _outside(brief)]
    lines += words.notes(let_go_notes(found, standing=study.standing, taped=study.taped)[:1])
    if study.downhill.zones:
        lines += words.notes(downhill_notes(study.downhill))
    if not study.crossing_low:
        lines.append(words.say("sliding-picture-no-crossing"))
    return (*lines, words.say("sliding-picture-test"))
