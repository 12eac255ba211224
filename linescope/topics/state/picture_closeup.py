"""A few bays from near by with everything measured, and one tape at its true size."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.notes import Quantity, Verbatim
from linescope.stage import dimensions, ground, lines, person, ring, tapes
from linescope.stage.camera import Camera, perspective_fit
from linescope.stage.ground import UP
from linescope.stage.items import DimensionLine, Frame, Label, LegendEntry, Panel, Stage, Surface, TextBox, Wire
from linescope.stage.page import LOW, Brief, furnish
from linescope.statics.solution import Solution

Floats = NDArray[np.float64]
SHOWN = 2
ROWS = 11  # Bays in the table.


def build(brief: Brief) -> Stage:
    """The close-up: the deepest loop with its neighbours measured, one tape from near by, a table of bays."""
    middle = 0.47
    bays = shown_bays(brief)
    hung = ring.ring_of(brief.solution)
    edge = 0.455 if hung is None else 0.268
    panels = (
        _bays(brief, bays, (0.0, brief.top, 1.0, middle)),
        _tape(brief, bays, (0.0, middle + 0.006, edge, LOW - 0.008)),
        *(() if hung is None else (_ring(brief, hung, (edge + 0.006, middle + 0.006, 0.455, LOW - 0.008)),)),
    )
    table = TextBox(
        name="bays",
        frame=(0.463, middle + 0.006, 0.985, LOW - 0.008),
        heading=brief.measures.say("closeup-table"),
        table=_table(brief, bays),
    )
    legend = (LegendEntry(text=brief.measures.say("closeup-legend"), colour="ink", width=2.0),)
    question = brief.measures.say("closeup-question")
    return furnish(brief, view="closeup", question=question, panels=panels, boxes=(table,), legend=legend)


def shown_bays(brief: Brief) -> range:
    """The deepest loop with its neighbour; where loops are alike, those beside the walker, not under him.

    As taped and settled show the same bays, chosen where they differ most: by the settled loops.
    """
    solution = states(brief)[-1]
    n = len(solution.bays.loop_depth)
    count = min(SHOWN, n)
    slack = bool((solution.bays.excess >= 0).any())
    place = dimensions.walker_bay(solution)
    deepest = dimensions.deepest_bay(solution) if slack else place
    usual = int(np.clip(deepest - SHOWN // 2, 0, n - count))
    starts = [usual]
    if solution.walker_point is not None:
        depth = solution.bays.loop_depth
        alike = depth >= 0.99 * depth.max() if slack else np.ones(n, dtype=bool)
        beside = [start for start in range(n - count + 1) if not start - 1 <= place <= start + count]
        starts = [start for start in beside if alike[start : start + count].any()] or starts
    start = min(starts, key=lambda first: abs(first - place))
    return range(start, start + count)


def states(brief: Brief) -> tuple[Solution, ...]:
    """The state shown and those it is to be compared with: as taped and settled, the latter last."""
    study = brief.study
    pair = (study.taped, study.settled) if study.slides else ()
    return pair if any(one is brief.solution for one in pair) else (brief.solution,)


def _bays(brief: Brief, bays: range, frame: Frame) -> Panel:
    solution, theme, measures = brief.solution, brief.theme, brief.measures
    loops = dimensions.loops(solution, 60)
    free = ring.free_loop(solution, theme)
    ends = dimensions.nodes(solution, "main")
    low = dimensions.nodes(solution)
    body, leash = person.walker(solution)
    framed = [dimensions.loops(state, 60)[k].points for state in states(brief) for k in bays]
    shown = np.concatenate([ends[bays.start : bays.stop + 1], *framed])
    span = float(np.linalg.norm(ends[bays.stop] - ends[bays.start]))
    camera = _camera(brief, frame, np.vstack([shown, shown[:1] + UP * 0.05 * span]), body)
    measured: list[DimensionLine] = []
    labels: list[Label] = []
    for k in bays:
        slack = solution.bays.excess[k] >= 0
        if slack:
            measured.append(
                DimensionLine(
                    name=f"loop depth {k + 1}",
                    start=loops[k].top,
                    end=loops[k].bottom,
                    value=loops[k].depth,
                    text=measures.say("closeup-deep", depth=Quantity(loops[k].depth, "length")),
                )
            )
        else:
            text = measures.say("closeup-tight")
            labels.append(Label(text=text, at=loops[k].bottom, colour="alarm", strong=True, must=True, rank=1))
        lift = UP * 0.03 * span
        measured.append(
            DimensionLine(
                name=f"bay {k + 1}",
                start=ends[k] + lift,
                end=ends[k + 1] + lift,
                value=float(np.linalg.norm(ends[k + 1] - ends[k])),
                text=measures.say("closeup-bay", number=k + 1, length=measures.length(float(solution.bays.length[k]))),
                towards=(0.0, 1.0),
                rank=3,
            )
        )
    for mark, point in zip(solution.layout.tapes, solution.tape_points, strict=True):
        if bays.start <= mark.number <= bays.stop:
            labels.append(
                Label(
                    text=measures.say("frame-tape", number=mark.number),
                    at=point,
                    size="body",
                    towards=(0.25, -1.0),
                    rank=2,
                    must=True,
                    offset=14.0,
                )
            )
    for name, k in (("A", 0), ("B", len(low) - 1)):
        if k in (bays.start, bays.stop) and np.linalg.norm(low[k] - ends[k]) > 0.05:
            text = measures.say("closeup-backup-anchor", end=name)
            labels.append(Label(text=text, at=low[k], rank=2, must=True, offset=12.0))
    chords = tuple(
        Wire(name=f"chord {k + 1}", points=low[k : k + 2], colour="quiet", width=theme.thin, dashed=True)
        for k in bays
        if np.abs(low[k : k + 2] - ends[k : k + 2]).max() > 0.05
    )
    wraps = tuple(
        tapes.wrap(solution, mark.number) for mark in solution.layout.tapes if bays.start <= mark.number <= bays.stop
    )
    return Panel(
        name="bays",
        frame=frame,
        camera=camera,
        surfaces=(*lines.ribbons(solution, per_segment=60, ring=True), *wraps, *body),
        wires=(*free, *lines.centre_lines(solution, theme, scale=0.6, per_segment=60, ring=True), *chords, *leash),
        symbols=(*tapes.symbols(solution, theme, scale=1.2), *tapes.anchors(solution)),
        labels=(*labels, *ring.labels(solution, measures)),
        dimensions=tuple(measured),
        caption=measures.say("closeup-bays", first=bays.start + 1, last=bays.stop),
        sky=True,
    )


def _camera(brief: Brief, frame: Frame, shown: Floats, body: tuple[Surface, ...]) -> Camera:
    """As near as shows the bays, and the walker whole when any of him would be on the picture."""
    size = brief.panel_size(frame)
    man = np.concatenate([surface.points for surface in body]) if body else np.zeros((0, 3))

    def fit(points: Floats, top: float) -> Camera:
        return perspective_fit(
            points,
            look=ground.direction(brief.solution.rig, turn=math.radians(20), tilt=math.radians(16)),
            up=UP,
            angle=math.radians(12),
            aspect=brief.aspect(frame),
            margin=(0.06, top, 0.06, 0.14),
        )

    camera = fit(shown, 0.24)
    page = camera.project(man, size)[:, :2]
    seen = np.all((page >= 0.0) & (page <= np.asarray(size)), axis=1)
    return camera if not seen.any() else fit(np.concatenate([shown, man]), 0.12)


def _tape(brief: Brief, bays: range, frame: Frame) -> Panel:
    """One tape from near by: both ribbons, their faces, the wrap, their sizes."""
    solution, measures = brief.solution, brief.measures
    rig = solution.rig
    number = min(max(bays.start + SHOWN // 2, 1), len(solution.layout.tapes))
    mark = solution.layout.tapes[number - 1]
    centre = solution.tape_points[number - 1]
    reach = 6.5 * max(rig.main.width, rig.backup.width, rig.taping.stock.width)
    look = ground.direction(rig, turn=math.radians(25), tilt=math.radians(33))
    along = _unit(solution.main.nodes[-1] - solution.main.nodes[0])
    corners = np.array([centre + along * x * reach + UP * z * reach for x in (-1.0, 1.0) for z in (-0.28, 0.16)])
    camera = perspective_fit(
        corners,
        look=look,
        up=UP,
        angle=math.radians(22),
        aspect=brief.aspect(frame),
        margin=(0.0, 0.20, 0.0, 0.08),
    )
    near = lines.ribbons(
        solution, range(max(number - 1, 0), min(number + 1, len(solution.bays.length))), per_segment=400
    )
    across = np.cross(UP, along)
    across = across / np.linalg.norm(across)
    curve = solution.main.sample(400).points
    spot = curve[np.argmin(np.linalg.norm(curve - (centre - along * 0.55 * reach), axis=1))]
    spot = spot + UP * rig.main.thickness
    hung = dimensions.by_bay(solution.backup, 400)[number]
    low = hung[np.argmin(np.abs(np.linalg.norm(hung - centre, axis=1) - 0.5 * reach))]
    labels = [
        Label(
            text=measures.say("closeup-backup", name=Verbatim(rig.backup.name)),
            at=low,
            colour="ink",
            towards=(0.1, -1.0),
            rank=2,
            must=True,
            offset=22.0,
        ),
        Label(
            text=measures.say("closeup-main", name=Verbatim(rig.main.name)),
            at=curve[np.argmin(np.linalg.norm(curve - (centre + along * 0.6 * reach), axis=1))],
            towards=(0.0, 1.0),
            rank=2,
            must=True,
            offset=30.0,
        ),
        Label(
            text=measures.say("closeup-tape", number=number, style=measures.named("tapes-family", mark.family)),
            at=centre + UP * rig.main.thickness,
            towards=(0.0, 1.0),
            rank=1,
            must=True,
            strong=True,
            offset=56.0,
        ),
    ]
    wide = DimensionLine(
        name="main width",
        start=spot - across * rig.main.width / 2,
        end=spot + across * rig.main.width / 2,
        value=rig.main.width,
        text=measures.say("closeup-wide", width=measures.width(rig.main.width)),
        towards=(-1.0, 0.3),
    )
    return Panel(
        name="tape",
        frame=frame,
        camera=camera,
        surfaces=(*near, tapes.wrap(solution, number)),
        labels=tuple(labels),
        dimensions=(wide,),
        caption=measures.say("closeup-tape-caption", number=number),
    )


def _ring(brief: Brief, hung: ring.Ring, frame: Frame) -> Panel:
    """The leash ring from near by: both lines pass through it."""
    solution = brief.solution
    along = _unit(solution.rig.main_b - solution.rig.main_a)
    reach = 3.4 * hung.radius
    corners = np.array([hung.centre + along * x * reach + UP * z * reach for x in (-1.0, 1.0) for z in (-0.7, 0.5)])
    camera = perspective_fit(
        corners,
        look=ground.direction(brief.solution.rig, turn=math.radians(48), tilt=math.radians(14)),
        up=UP,
        angle=math.radians(22),
        aspect=brief.aspect(frame),
        margin=(0.0, 0.16, 0.0, 0.04),
    )
    body, leash = person.walker(solution)
    mains = dimensions.by_bay(solution.main, 400)[hung.bay]
    hangs = ring.backup_by_bay(solution, 400)[hung.bay]

    def beside(points: Floats, x: float) -> Floats:
        return np.asarray(points[np.argmin(np.abs((points - hung.at) @ along - x * reach))])

    return Panel(
        name="ring",
        frame=frame,
        camera=camera,
        surfaces=(
            *lines.ribbons(solution, range(hung.bay, hung.bay + 1), per_segment=400, ring=True),
            *(surface for surface in body if surface.name == "ring"),
        ),
        wires=leash,
        labels=(
            Label(
                text=brief.measures.say("frame-main"), at=beside(mains, 0.6), towards=(0.2, 1.0), rank=1, must=True,
                offset=26.0,
            ),
            Label(
                text=brief.measures.say("frame-backup"), at=beside(hangs, -0.7), towards=(-0.1, -1.0), rank=1,
                must=True, offset=26.0,
            ),
        ),
        caption=brief.measures.say("closeup-ring"),
    )


def _unit(
    vector: np.ndarray[tuple[int], np.dtype[np.float64]],
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.asarray(vector / np.linalg.norm(vector))


def _table(brief: Brief, bays: range) -> tuple[tuple[str, ...], ...]:
    solution, measures = brief.solution, brief.measures
    values = solution.bays
    starts = np.concatenate([[0.0], np.cumsum(values.length)])
    heads = ("bay", "from-a", "length", "excess", "depth", "main", "backup")
    rows = [tuple(measures.say(f"closeup-head-{head}") for head in heads)]
    chosen = sorted({*bays, *dimensions.telling_bays(solution, ROWS - len(bays))})
    for k in chosen:
        rows.append(
            (
                f"{k + 1}{' *' if k in bays else ''}",
                measures.between(starts[k], starts[k + 1]),
                measures.length(float(values.length[k])),
                measures.share(float(values.excess[k])),
                measures.length(float(values.loop_depth[k])) if values.excess[k] >= 0 else measures.say("frame-tight"),
                measures.force(float(values.main_tension[k])),
                measures.force(float(values.backup_tension[k])),
            )
        )
    return tuple(rows)
