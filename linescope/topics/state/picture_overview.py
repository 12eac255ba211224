"""The whole rig in space, with a near view of its loops below."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.clearance import Finding
from linescope.notes import Quantity
from linescope.stage import dimensions, ground, lines, nearness, person, ring, skin, tapes, worst
from linescope.stage.camera import Camera, perspective_fit
from linescope.stage.items import DimensionLine, Frame, Label, LegendEntry, Panel, Stage, Surface, Symbols, Wire
from linescope.stage.page import LOW, Brief, furnish
from linescope.words.frame import summary

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])
LEGEND_ROWS = 11  # At seven points on A4.


def build(brief: Brief) -> Stage:
    """The overview: the rig from beside anchor A; below it loops round the walker, or the deepest."""
    split = 0.545 if brief.ground is not None else 0.44  # Without ground there is less to see from afar.
    found = worst.places(brief.study.clearance or None)
    brief = brief.showing(brief.solution, *worst.reached(found))
    share = 0.60 if found else 1.0
    far = _far(brief, (0.0, brief.top, 1.0, split), found)
    near = _near(brief, (0.0, split + 0.006, share, LOW - 0.008), 3 if found else 4)
    listed = (share + 0.006, split + 0.006, 0.985, LOW - 0.008)
    unseen = worst.unseen(found, far.camera, brief.panel_size(far.frame))
    boxes = (worst.box(found, brief.measures, listed, unseen),) if found else ()
    coloured = [nearness.legend(surface, brief.measures) for surface in far.surfaces if surface.name == "ground"]
    chord = LegendEntry(text=brief.measures.say("frame-legend-chord"), colour="quiet", width=2.0, dashed=True)
    depth = LegendEntry(text=brief.measures.say("overview-depth"), colour="ink", width=2.0)
    _, crowd = tapes.crowded(brief.solution, brief.line_pixels(far.camera, far.frame), brief.theme, brief.measures)
    return furnish(
        brief,
        view="overview",
        question=brief.measures.say("overview-question"),
        panels=(far, near),
        boxes=boxes,
        legend=_in_frame(
            brief,
            chord,
            depth,
            *crowd,
            *person.sign_legend(far.symbols, brief.measures),
            *worst.legend(found, brief.measures, listed=True),
            *skin.legend(far.surfaces, brief.measures),
            *(coloured[0] if coloured else ()),
        ),
    )


def _in_frame(brief: Brief, chord: LegendEntry, depth: LegendEntry, *more: LegendEntry) -> tuple[LegendEntry, ...]:
    """As many rows as the legend's frame holds: what speaks for itself goes first, figures and then the chord."""
    room = LEGEND_ROWS - 2 - len(tapes.legend(brief.solution, brief.measures)) - len(more)
    return (*((chord,) if room > 0 else ()), *((depth,) if room > 1 else ()), *more)


def _far(brief: Brief, frame: Frame, found: tuple[Finding, ...]) -> Panel:
    solution, theme, measures = brief.solution, brief.theme, brief.measures
    rig = solution.rig
    body, leash = person.walker(solution)
    chord = np.array([rig.main_a, rig.main_b])
    curve = solution.main.sample(24).points
    surfaces: tuple[Surface, ...] = (*lines.ribbons(solution, ring=True), *body)
    labels = _anchor_labels(brief)
    extra: list[Wire] = []
    sign: tuple[Symbols, ...] = ()
    shown = [curve, solution.backup.sample(12).points]
    shown += [surface.points for surface in body]
    surfaces = (*surfaces, *skin.skins(brief.study.clearance or None))
    plumbs = np.zeros((0, 2, 3))
    if brief.ground is not None:
        surfaces = (_land(brief, brief.ground), *surfaces)
        plumbs = _plumbs(brief)
        shown.append(plumbs[plumbs[:, 1, 2] > curve[:, 2].min() - 0.30 * rig.span, 1])
    camera = perspective_fit(
        np.concatenate(shown),
        look=ground.direction(brief.solution.rig, turn=math.radians(24), tilt=math.radians(9)),
        up=UP,
        angle=math.radians(24),
        aspect=brief.aspect(frame),
        margin=(0.05, 0.16, 0.05, 0.12),
    )
    size = brief.panel_size(frame)
    for top, bottom in plumbs:
        extra.append(Wire(name="plumb", points=np.array([top, bottom]), colour="quiet", width=1.8, dashed=True))
        labels.append(_plumb_label(brief, camera, size, top, bottom))
    focus = _focus_bays(brief, 3 if found else 4)
    at = dimensions.nodes(solution)[focus.start : focus.stop + 1].mean(axis=0)
    labels.append(
        Label(text=measures.say("overview-shown-below"), at=at, size="small", towards=(0.3, -1.0), rank=6, offset=26.0)
    )
    if solution.walker_point is not None and rig.walker is not None:
        stalk, sign = person.sign(solution, camera.metres_per_pixel(size, solution.walker_point))
        extra += stalk
        head = sign[0].points[0] if sign else solution.walker_point + UP * rig.walker.height
        labels.append(
            Label(
                text=measures.say("overview-walker", mass=Quantity(rig.walker.mass, "mass")),
                at=head,
                towards=(0.0, 1.0),
                rank=2,
                must=True,
                strong=True,
                offset=0.6 * person.SIGN if sign else 8.0,
            )
        )
    return Panel(
        name="rig",
        frame=frame,
        camera=camera,
        surfaces=surfaces,
        wires=(
            Wire(name="chord", points=chord, colour="quiet", width=theme.thin, dashed=True),
            *lines.centre_lines(solution, theme, ring=True),
            *leash,
            *extra,
        ),
        symbols=(
            *tapes.crowded(solution, brief.line_pixels(camera, frame), theme, brief.measures)[0],
            *tapes.anchors(solution),
            *worst.symbols(found, camera, size, chord),
            *sign,
        ),
        labels=tuple(labels),
        dimensions=(_rod(brief), *worst.dimensions(found, measures)),
        caption=summary(solution, measures),
        sky=True,
    )


def _land(brief: Brief, site: ground.Site) -> Surface:
    """The ground, coloured by what is left over where the sweeps are known."""
    return nearness.shaded(site.picture, brief.study)


def _rod(brief: Brief) -> DimensionLine:
    """A measured length along the chord above the line: the scale of a picture with perspective."""
    rig = brief.solution.rig
    chord = rig.main_b - rig.main_a
    unit = chord / rig.span
    length, text = brief.measures.round_length(0.3 * rig.span)
    start = rig.main_a + chord * 0.12 + UP * 0.035 * rig.span
    return DimensionLine(
        name="scale",
        start=start,
        end=start + unit * length,
        value=length,
        text=brief.measures.say("overview-rod", length=text),
        towards=(0.0, 1.0),
        rank=3,
    )


def _anchor_labels(brief: Brief) -> list[Label]:
    rig = brief.solution.rig
    solution, measures = brief.solution, brief.measures
    pulls = {"A": solution.tension_a, "B": solution.tension_b}
    return [
        Label(
            text=measures.say("overview-anchor", end=name, force=measures.force(pulls[name])),
            at=point,
            towards=(side, 1.0),
            rank=1,
            must=True,
            offset=22.0,
        )
        for name, point, side in (("A", rig.main_a, 0.6), ("B", rig.main_b, -0.6))
    ]


def _plumbs(brief: Brief) -> Floats:
    """(k, 2, 3) upper and lower ends of plumb lines from main to ground at quarters of the line.  [m]"""
    assert brief.ground is not None
    curve = brief.solution.main.sample(24).points
    share = np.linspace(0.0, 1.0, len(curve))
    tops = np.column_stack([np.interp((0.25, 0.5, 0.75), share, curve[:, axis]) for axis in range(3)])
    bottoms = tops.copy()
    bottoms[:, 2] = ground.height_below(brief.ground.near, tops)
    return np.stack([tops, bottoms], axis=1)[np.isfinite(bottoms[:, 2])]


def _plumb_label(brief: Brief, camera: Camera, size: tuple[float, float], top: Floats, bottom: Floats) -> Label:
    """How long a plumb line is, written beside the part of it that is on the picture."""
    pieces = top + np.linspace(0.0, 1.0, 200)[:, None] * (bottom - top)
    y = camera.project(pieces, size)[:, 1]
    seen = pieces[(y > 0) & (y < size[1] - 30)]
    at = seen[int(0.75 * (len(seen) - 1))] if len(seen) else top
    return Label(
        text=brief.measures.say("overview-ground", depth=Quantity(float(top[2] - bottom[2]), "length", "down")),
        at=at,
        size="small",
        towards=(1.0, 0.0),
        rank=4,
        offset=10.0,
    )


def _focus_bays(brief: Brief, count: int) -> range:
    """The bays of the near view: round the walker, else round the deepest loop."""
    solution = brief.solution
    n = len(solution.bays.loop_depth)
    middle = dimensions.walker_bay(solution) if solution.walker_point is not None else dimensions.deepest_bay(solution)
    start = int(np.clip(middle - count // 2, 0, max(0, n - count)))
    return range(start, min(n, start + count))


def _near(brief: Brief, frame: Frame, count: int) -> Panel:
    solution, theme, measures = brief.solution, brief.theme, brief.measures
    bays = _focus_bays(brief, count)
    loops = dimensions.loops(solution)
    free = ring.free_loop(solution, theme)
    body, leash = person.walker(solution)
    ends = dimensions.nodes(solution)[bays.start : bays.stop + 1]
    heads = [surface.points for surface in body if surface.name == "walker" and count < 4]
    shown = np.concatenate([ends, *(loops[k].points for k in bays), *heads])
    camera = perspective_fit(
        shown,
        look=ground.direction(brief.solution.rig, turn=math.radians(8), tilt=math.radians(5)),
        up=UP,
        angle=math.radians(18),
        aspect=brief.aspect(frame),
        margin=(0.05, 0.14 if heads else 0.30, 0.05, 0.16),
    )
    measured = tuple(
        DimensionLine(
            name=f"loop depth {k + 1}",
            start=loops[k].top,
            end=loops[k].bottom,
            value=loops[k].depth,
            text=measures.length(loops[k].depth),
            towards=(1.0, 0.0),
        )
        for k in bays
        if solution.bays.excess[k] >= 0
    )
    tight = tuple(
        Label(text=measures.say("frame-tight"), at=loops[k].bottom, colour="alarm", strong=True, must=True, rank=1)
        for k in bays
        if solution.bays.excess[k] < 0
    )
    numbers = tuple(
        Label(
            text=measures.say("frame-tape", number=mark.number), at=point, size="small", towards=(0.0, 1.0), rank=4,
            offset=16.0,
        )
        for mark, point in zip(solution.layout.tapes, solution.tape_points, strict=True)
        if bays.start <= mark.number <= bays.stop
    )
    first, last = (float(np.sum(solution.bays.length[:bay])) for bay in (bays.start, bays.stop))
    return Panel(
        name="loops",
        frame=frame,
        camera=camera,
        surfaces=(*lines.ribbons(solution, per_segment=40, ring=True), *body),
        wires=(*free, *lines.centre_lines(solution, theme, scale=1.0, per_segment=40, ring=True), *leash),
        symbols=tapes.symbols(solution, theme, scale=1.3),
        labels=(*tight, *numbers, *ring.labels(solution, measures)),
        dimensions=measured,
        caption=measures.say("overview-near", stretch=measures.between(first, last)),
        sky=True,
    )
