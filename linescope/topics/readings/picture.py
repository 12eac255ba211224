"""As built beside planned: the line from the side, its loops with what was read of them, and what is left possible."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from linescope.events.fitted import Checked, Fitted, Foretold
from linescope.notes import Quantity
from linescope.rig import Rig
from linescope.stage import paper, person, side, tapes
from linescope.stage.items import Frame, Label, LegendEntry, Panel, Stage, Surface, Symbols, TextBox, Wire
from linescope.stage.page import LOW, Brief, furnish
from linescope.statics import Solution, solve
from linescope.study import Study
from linescope.topics.readings import TOPIC

Floats = NDArray[np.float64]

FIGURES = (
    "standing_a", "tension_a", "walker_drop", "least_excess", "deepest_loop", "fall_foot", "gone_floor", "gone_tension",
)
"""Of those that are foretold, what a page has room for."""
LEFT, RIGHT = 120.0, 60.0  # Beside the loops [px].
SIGN = 13.0  # Of a reading [px].
REACH = 1.645  # Errors to either side that nine in ten readings stay within.
SAID = 3  # Notes below.


def build(brief: Brief) -> Stage:
    """The line above; loops and figures below."""
    found = brief.study.readings
    assert found
    study, words = brief.study, brief.measures
    brief = brief.showing(study.taped, *TOPIC.notes(study))
    built = solve(found.rig, planned=found.built)
    standing = solve(found.rig.without_walker(), planned=replace(found.built, rig=found.rig.without_walker()))
    middle, low, split = 0.37, 0.715, 0.56
    panels = (
        _line(brief, built, (0.0, brief.top, 1.0, middle)),
        _loops(brief, found, standing, (0.0, middle + 0.006, split, low)),
        _figures(brief, found, (split + 0.003, middle + 0.006, 1.0, low)),
    )
    quiet = [said.text for said in words.sentences(TOPIC.notes(study)) if not said.leads][:SAID]
    legend = (
        LegendEntry(text=words.say("readings-legend-built"), colour="main", width=brief.theme.main_width * 1.3),
        LegendEntry(text=words.say("readings-legend-planned"), colour="quiet", width=3.0, dashed=True),
        LegendEntry(text=words.say("readings-legend-value"), colour="ink", symbol="ring"),
        LegendEntry(text=words.say("readings-legend-read"), colour="ink", symbol="disc"),
        *([LegendEntry(text=words.say("readings-legend-again"), colour="alarm", symbol="diamond")]
          if not all(each.used for each in found.readings) else []),
        *([LegendEntry(text=words.say("readings-legend-stop"), colour="alarm", symbol="disc")]
          if any(_stops(study, each) for each in found.readings if each.used) else []),
    )
    return furnish(
        brief, view="as-built", question=words.say("readings-question"), panels=panels, legend=legend, base=False,
        boxes=(TextBox(name="said", frame=(0.015, low + 0.002, 0.985, LOW - 0.008), lines=tuple(quiet)),),
        state=words.say("readings-picture-state"),
    )


def _stops(study: Study, each: Checked) -> bool:
    """Whether the crew's papers do not accept it."""
    said = study.accepted.get(each.reading)
    return said is not None and not said.ok


def _line(brief: Brief, built: Solution, frame: Frame) -> Panel:
    planned, words = brief.solution, brief.measures
    chord = side.chord_of(brief)
    curves = [state.main.sample(24).points for state in (planned, built)]
    camera = side.camera(brief, frame, np.concatenate([chord, *curves]), (0.06, 0.16, 0.05, 0.24))
    drops = [float(built.rig.below_anchors(curve).max()) for curve in curves]
    lowest = curves[1][int(np.argmax(built.rig.below_anchors(curves[1])))]
    sag = words.say(
        "readings-picture-sag", built=Quantity(drops[1], "length"), planned=Quantity(drops[0], "length")
    )
    body, leash = person.walker(built)
    stalk, sign = person.sign(built, camera.metres_per_pixel(brief.panel_size(frame)))
    return Panel(
        name="line", frame=frame, camera=camera, surfaces=body, sky=True, scale_bar=True,
        wires=(
            Wire(name="chord", points=chord, colour="quiet", width=brief.theme.thin, dashed=True),
            Wire(name="planned", points=curves[0], colour="quiet", width=3.0, dashed=True),
            Wire(name="main", points=curves[1], colour="main", width=brief.theme.main_width), *leash, *stalk,
        ),
        symbols=(*tapes.anchors(built), *sign),
        labels=(Label(text=sag, at=lowest, towards=(0.0, -1.0), rank=1, must=True, offset=16.0, strong=True),),
        caption=words.say("readings-picture-caption", where=_where(brief, built.rig)),
    )


def _where(brief: Brief, rig: Rig) -> str:
    words = brief.measures
    if rig.walker is None:
        return words.say("frame-nobody")
    return words.say("frame-walker-at", place=words.place(rig.walker.at))


def _loops(brief: Brief, found: Fitted, standing: Solution, frame: Frame) -> Panel:
    """Depth of every loop, nobody on the line: bars as built, outlines as planned, readings over them."""
    width, height = brief.panel_size(frame)
    words, plan = brief.measures, brief.study.standing
    read = [each for each in found.readings if each.reading.what == "loop" and each.reading.mass == 0.0]
    built, planned = standing.bays.loop_depth, plan.bays.loop_depth
    deepest = max(
        float(max(built.max(), planned.max())), *(each.reading.value + each.reading.error for each in read), 0.05
    )
    edges = np.concatenate([[0.0], np.cumsum(plan.bays.length)])
    top, base = 60.0, height - 58.0
    along, down = (width - LEFT - RIGHT) / edges[-1], (base - top) / (1.08 * deepest)
    surfaces, wires, labels, symbols = list[Surface](), list[Wire](), list[Label](), list[Symbols]()
    unit = 0.01 if words.system == "metric" else 0.0254
    for tick in paper.ticks(0.0, deepest / unit, 4):
        y = top + tick * unit * down
        wires.append(paper.line("grid", [(LEFT, y), (width - RIGHT, y)], "rule", 1.2, nearer=0.5, quiet=True))
        labels.append(Label(
            text=words.tick(tick, words.short_unit), at=paper.xy(LEFT - 8.0, y), towards=(-1.0, 0.0), rank=0, must=True,
            size="small", offset=4.0,
        ))
    for bay in range(len(built)):
        left, right = LEFT + along * edges[bay], LEFT + along * edges[bay + 1]
        gap = min(3.0, 0.15 * (right - left))
        surfaces.append(
            paper.box(f"loop {bay + 1}", left + gap, top, right - gap, top + float(built[bay]) * down, "backup", 1.0)
        )
        y = top + float(planned[bay]) * down
        wires.append(paper.line("planned", [(left, y), (right, y)], "ink", 3.0, dashed=True, nearer=3.0))
    for each in read:
        bay, stops = each.reading.number - 1, _stops(brief.study, each)
        colour = "alarm" if stops or not each.used else "ink"
        x = LEFT + along * 0.5 * (edges[bay] + edges[bay + 1])
        y, reach = top + each.reading.value * down, REACH * each.reading.error * down
        wires.append(paper.line("error", [(x, y - reach), (x, y + reach)], colour, 4.0, nearer=5.0))
        symbols.append(Symbols(
            name=f"reading {bay + 1}", points=paper.xy(x, y, 6.0)[None], symbol="disc" if each.used else "diamond",
            colour=colour, size=SIGN,
        ))
        if stops or not each.used:
            text = words.quantity(Quantity(each.reading.value, "length"))
            labels.append(Label(
                text=text, at=paper.xy(x, y + reach), rank=1, must=True, colour="alarm", strong=True, offset=10.0
            ))
    shown = sorted({0, len(built) // 2, len(built) - 1} | {each.reading.number - 1 for each in read})
    for bay in shown:
        x = LEFT + along * 0.5 * (edges[bay] + edges[bay + 1])
        labels.append(Label(
            text=words.count(bay + 1), at=paper.xy(x, base + 4.0), rank=2, size="small", offset=4.0, must=False
        ))
    return Panel(
        name="loops", frame=frame, camera=paper.camera((width, height)), surfaces=tuple(surfaces), wires=tuple(wires),
        symbols=tuple(symbols), labels=tuple(labels), caption=words.say("readings-picture-loops"),
    )


def _figures(brief: Brief, found: Fitted, frame: Frame) -> Panel:
    """A row for each figure, each on a scale of its own: planned, as built, and what is left possible."""
    width, height = brief.panel_size(frame)
    words = brief.measures
    told = [each for each in found.foretold if each.outcome.key in FIGURES]
    top, pitch = 64.0, (height - 76.0) / max(len(told), 1)
    left, right = 0.43 * width, 0.72 * width
    surfaces, wires, labels, symbols = list[Surface](), list[Wire](), list[Label](), list[Symbols]()
    for k, each in enumerate(told):
        y = top + (k + 0.5) * pitch
        ends = _scale(each)

        def x(value: float, ends: tuple[float, float] = ends) -> float:
            return left + (right - left) * (value - ends[0]) / (ends[1] - ends[0])

        before = [(x(each.before_low), y), (x(each.before_high), y)]
        wires.append(paper.line("before", before, "quiet", 2.5, nearer=0.5))
        a, b = x(each.low), x(each.high)
        surfaces.append(paper.box(f"left {each.outcome.key}", a, y - 9.0, max(b, a + 3.0), y + 9.0, "main", 1.0))
        symbols.append(Symbols(
            name=f"planned {each.outcome.key}", points=paper.xy(x(each.planned), y, 4.0)[None], symbol="ring",
            colour="ink", size=15.0,
        ))
        name = f"readings-of-{each.outcome.key.replace('_', '-')}"
        name = words.say(name, "head" if words.has(name, "head") else "")
        labels.append(Label(
            text=name, at=paper.xy(left - 6.0, y), towards=(-1.0, 0.0), rank=0, must=True, size="small", offset=4.0
        ))
        band = words.band(each.low, each.high, each.outcome.dimension, each.outcome.bound)
        labels.append(Label(
            text=band, at=paper.xy(right + 6.0, y), towards=(1.0, 0.0), rank=0, must=True, strong=True, offset=4.0
        ))
    return Panel(
        name="figures", frame=frame, camera=paper.camera((width, height)), surfaces=tuple(surfaces), wires=tuple(wires),
        symbols=tuple(symbols), labels=tuple(labels), caption=words.say("readings-picture-forces"),
    )


def _scale(each: Foretold) -> tuple[float, float]:
    low = min(each.before_low, each.low, each.planned)
    high = max(each.before_high, each.high, each.planned)
    spare = 0.04 * max(high - low, 1e-9)
    return low - spare, high + spare
