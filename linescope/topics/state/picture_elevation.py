"""From the side: the whole line true to scale, and below it every loop in rows like lines of music."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from linescope.notes import Quantity
from linescope.stage import dimensions, lines, person, side, tapes, worst
from linescope.stage.camera import Camera
from linescope.stage.items import Frame, Label, LegendEntry, Panel, Stage, Symbols, Wire
from linescope.stage.page import LOW, Brief, furnish
from linescope.stage.theme import tape_look
from linescope.ties import nearest
from linescope.words.frame import summary

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])

ABOVE, BELOW = 42.0, 42.0  # Room over and under a row for tape numbers and depths [px].
BAYS_A_ROW = 6
MAX_ROWS = 5
STRETCHES = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
WANTED = 34.0  # How deep the deepest loop should be drawn at least, if a stretch can do it [px].


def build(brief: Brief) -> Stage:
    """The elevation: profile of the whole line above, rows of loops below."""
    slack = bool((brief.solution.bays.excess >= 0).any())
    split = brief.top + (0.37 if slack else 0.60) * (LOW - brief.top)  # Without loops there is little in the rows.
    panels = (
        _profile(brief, (0.0, brief.top, 1.0, split)),
        _rows(brief, (0.0, split + 0.004, 1.0, LOW - 0.008)),
    )
    legend = [LegendEntry(text=brief.measures.say("frame-legend-chord"), colour="quiet", width=2.0, dashed=True)]
    clearance = brief.study.clearance or None
    legend += worst.legend(worst.places(clearance), clearance, brief.measures)
    if _empty(brief):
        legend.append(LegendEntry(text=brief.measures.say("elevation-empty"), colour="main", width=1.6))
    pixels = brief.line_pixels(panels[0].camera, panels[0].frame)
    _, crowd = tapes.crowded(brief.solution, pixels, brief.theme, brief.measures)
    legend += [*crowd, *person.sign_legend(panels[0].symbols, brief.measures)]
    question = brief.measures.say("elevation-question")
    return furnish(brief, view="elevation", question=question, panels=panels, legend=tuple(legend))


def _profile(brief: Brief, frame: Frame) -> Panel:
    solution, theme, measures = brief.solution, brief.theme, brief.measures
    rig = solution.rig
    curve = solution.main.sample(24).points
    body, leash = person.walker(solution)
    shown = np.concatenate([curve, solution.backup.sample(12).points, *(s.points for s in body)])
    camera = side.camera(brief, frame, shown, (0.05, 0.22, 0.05, 0.20))
    size = brief.panel_size(frame)
    chord = side.chord_of(brief)
    found = worst.places(brief.study.clearance or None)
    cut, edge = side.cut_open(brief, camera)
    plumbs, labels = side.plumbs(brief, camera, size)
    level, heights = side.levels(brief, camera, size)
    surfaces = [*body, *cut]
    wires = [
        Wire(name="chord", points=chord, colour="quiet", width=theme.thin, dashed=True),
        *edge,
        *plumbs,
        *level,
        *_empty(brief),
    ]
    labels += heights
    lowest = curve[np.argmax(brief.solution.rig.below_anchors(curve))]
    drop = float(brief.solution.rig.below_anchors(curve).max())
    labels.append(
        Label(
            text=measures.say("elevation-lowest", depth=Quantity(drop, "length")),
            at=lowest,
            towards=(0.25, -1.0),
            rank=1,
            must=True,
            strong=True,
            offset=20.0,
        )
    )
    for name, point, lean in (("A", rig.main_a, 1.0), ("B", rig.main_b, -1.0)):
        pull = solution.tension_a if name == "A" else solution.tension_b
        labels.append(
            Label(
                text=measures.force(pull),
                at=point,
                towards=(lean * 0.4, 1.0),
                rank=1,
                must=True,
                offset=22.0,
            )
        )
    stalk, sign = person.sign(solution, camera.metres_per_pixel(size))
    wires += stalk
    return Panel(
        name="profile",
        frame=frame,
        camera=camera,
        surfaces=tuple(surfaces),
        wires=(*wires, *lines.centre_lines(solution, theme, ring=True), *leash),
        symbols=(
            *tapes.crowded(solution, brief.line_pixels(camera, frame), theme, brief.measures)[0],
            *tapes.anchors(solution),
            *worst.symbols(found, camera, size, chord),
            *sign,
        ),
        labels=tuple(labels),
        dimensions=worst.dimensions(found, measures),
        caption=measures.say("elevation-caption", summary=summary(solution, measures)),
        scale_bar=True,
        sky=True,
    )


def _empty(brief: Brief) -> list[Wire]:
    """The main with nobody on it, when the picture shows a walker and both are known."""
    study = brief.study
    if brief.solution.walker_point is None:
        return []
    points = study.standing.main.sample(8).points
    return [Wire(name="empty main", points=points, colour="main", width=brief.theme.thin)]


def _rows(brief: Brief, frame: Frame) -> Panel:
    """Every loop, drawn below the straight line between its tapes, the main laid straight, in rows."""
    solution, theme, measures = brief.solution, brief.theme, brief.measures
    width, height = brief.panel_size(frame)
    stations = np.concatenate([[0.0], np.cumsum(solution.bays.length)])
    rows = row_breaks(stations)
    longest = max(stations[b] - stations[a] for a, b in rows)
    left, right, head = 104.0, 104.0, 44.0
    scale = (width - left - right) / longest  # pixels for one metre
    pitch = (height - head) / len(rows)
    deepest = max(float(solution.bays.loop_depth.max()), 1e-3)
    slack = bool((solution.bays.excess >= 0).any())
    stretch = choose_stretch(deepest * scale, pitch - ABOVE - BELOW) if slack else 1.0
    down = dimensions.load_direction(solution)
    ends = dimensions.nodes(solution, "main")
    under = (dimensions.nodes(solution) - ends) @ down  # Backup anchors below the main's; 0 at tapes [m].
    loops = dimensions.loops(solution, 30)
    mains = dimensions.by_bay(solution.main, 30)
    wires: list[Wire] = []
    labels: list[Label] = []
    symbols: list[Symbols] = []
    every = max(1, math.ceil(56.0 / (scale * float(np.median(solution.bays.length)))))
    numbered = every if every in (1, 2) else 5 * math.ceil(every / 5)
    telling = (
        set(dimensions.telling_bays(solution, max(8, len(loops) // every))) if every > 1 else set(range(len(loops)))
    )
    for row, (first, last) in enumerate(rows):
        level = -(head + row * pitch + ABOVE) / scale
        start = stations[first]

        def paper(bay: int, along: Floats, below: Floats, start: float = start, level: float = level) -> Floats:
            x = stations[bay] - start + along * solution.bays.length[bay]
            return np.column_stack([x, np.zeros(len(x)), level - stretch * below])

        for bay in range(first, last):
            loop = loops[bay]
            below = loop.below + under[bay] * (1 - loop.along) + under[bay + 1] * loop.along
            wires.append(Wire(name=f"loop {bay + 1}", points=paper(bay, loop.along, below), colour="backup", width=3.4))
            bottom = paper(bay, np.array([0.5]), np.array([max(below.max(), 0.0)]))[0]
            labels += _depth_label(brief, bay, bottom, bay in telling)
        for bay in range(first, last):
            along, below = dimensions.below_chord(mains[bay], ends[bay], ends[bay + 1], down)
            wires.append(
                Wire(
                    name=f"main {bay + 1}",
                    points=paper(bay, along, below),
                    colour="main",
                    width=theme.main_width,
                )
            )
        for tape in range(max(first, 1), min(last, len(solution.layout.tapes)) + 1):
            spot = np.array([stations[tape] - start, 0.0, level])
            look = tape_look(solution.layout.tapes[tape - 1].family)
            symbols.append(
                Symbols(
                    name=f"tape {tape}",
                    points=spot[None],
                    symbol=look.symbol,
                    colour=look.colour,
                    size=theme.symbol * (1.0 if len(loops) < 60 else 0.8),
                )
            )
            if tape % numbered == 0 or tape in (first, last):
                labels.append(
                    Label(
                        text=str(tape),
                        at=spot,
                        size="small",
                        towards=(0.0, 1.0),
                        rank=3,
                        offset=13.0,
                        colour="quiet",
                    )
                )
        if solution.walker_point is not None and first <= (bay := dimensions.walker_bay(solution)) < last:
            at, _ = dimensions.below_chord(solution.walker_point[None], ends[bay], ends[bay + 1], down)
            feet = paper(bay, at, np.zeros(1))[0]
            wires.append(
                Wire(
                    name="walker",
                    points=np.array([feet, feet + UP * 30.0 / scale]),
                    colour="walker",
                    width=7.0,
                )
            )
            labels.append(
                Label(
                    text=measures.say("elevation-walker"),
                    at=feet + UP * 30.0 / scale,
                    towards=(1.0, 0.0),
                    rank=2,
                    must=True,
                    strong=True,
                )
            )
        labels += _row_ends(brief, stations, first, last, level, start)
        symbols += _row_anchors(stations, first, last, level, start)
    centre = np.array([(width / 2 - left) / scale, 0.0, -height / 2 / scale])
    camera = Camera(eye=centre - np.array([0.0, 10.0, 0.0]), target=centre, up=UP, half_height=height / 2 / scale)
    return Panel(
        name="rows",
        frame=frame,
        camera=camera,
        wires=tuple(wires),
        symbols=tuple(symbols),
        labels=tuple(labels),
        caption=measures.say(
            "elevation-rows" if stretch == 1 else "elevation-rows-stretched",
            unit=_unit(brief), times=measures.tick(stretch),
        ),
        stretch=stretch,
        scale_bar=False,
    )


def row_breaks(stations: Floats) -> list[tuple[int, int]]:
    """Bays of each row as (first, last + 1), so that rows are about equally long and break at tapes."""
    bays = len(stations) - 1
    count = int(np.clip(math.ceil(bays / BAYS_A_ROW), 1, MAX_ROWS))
    wanted = np.linspace(0.0, stations[-1], count + 1)
    cuts = sorted({nearest(stations, place) for place in wanted})
    return list(pairwise(cuts))


def choose_stretch(depth: float, room: float) -> float:
    """How many times too large depths are drawn: 1 when the deepest loop is then easy to see."""
    for stretch in STRETCHES:
        if depth * stretch >= min(WANTED, 0.8 * room):
            break
    while stretch > 1 and depth * stretch > room:
        stretch = STRETCHES[STRETCHES.index(stretch) - 1]
    return stretch


def _unit(brief: Brief) -> str:
    """Of the depths of all loops."""
    return brief.measures.unit(brief.solution.bays.loop_depth, "length")


def _depth_label(brief: Brief, bay: int, bottom: Floats, wanted: bool) -> list[Label]:
    bays = brief.solution.bays
    if bays.excess[bay] < 0:
        text = brief.measures.say("frame-tight")
        return [Label(text=text, at=bottom, colour="alarm", strong=True, rank=2, offset=9.0)]
    if not wanted:
        return []
    depth = np.round(bays.loop_depth, 6)  # Rounding must not choose between loops that are alike.
    extreme = bay in (int(np.argmax(depth)), int(np.argmin(depth)))
    return [
        Label(
            text=brief.measures.number(Quantity(float(bays.loop_depth[bay]), "length"), _unit(brief)),
            at=bottom,
            size="figure",
            strong=True,
            rank=1 if extreme else 2,
            offset=8.0,
        )
    ]


def _row_ends(
    brief: Brief, stations: Floats, first: int, last: int, level: float, start: float
) -> list[Label]:
    """How far from A a row begins and ends."""
    result = []
    for node, lean in ((first, -1.0), (last, 1.0)):
        at = np.array([stations[node] - start, 0.0, level])
        if node not in (0, len(stations) - 1):
            result.append(
                Label(
                    text=brief.measures.place(float(stations[node])),
                    at=at,
                    size="small",
                    towards=(lean, 0.0),
                    rank=1,
                    must=True,
                    offset=16.0,
                )
            )
    return result


def _row_anchors(stations: Floats, first: int, last: int, level: float, start: float) -> list[Symbols]:
    result = []
    for node, name in ((0, "A"), (len(stations) - 1, "B")):
        if node in (first, last):
            at = np.array([[stations[node] - start, 0.0, level]])
            result.append(
                Symbols(name=f"anchor {name}", points=at, symbol="disc", colour="state", size=34.0, text=name)
            )
    return result
