"""The place as the crew's first picture: line, ground and danger in one block, and the verdict above it."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.clearance import Finding
from linescope.clearance.ranked import places
from linescope.notes import Bays, Quantity, Verbatim
from linescope.stage import dimensions, relief
from linescope.stage.board import BODY, FOOT, HEAD, NOTE, WIDE, Board, Frame, stroke
from linescope.stage.ink import Area, Ink, Keep, Text, View, Window
from linescope.stage.items import Label, Panel
from linescope.stage.page import Brief
from linescope.statics.solution import Solution
from linescope.topics.clearance.leading import named, unnamed, verdict
from linescope.topics.loops.picture_see import near, shown_bays
from linescope.topics.state import picture_overview as overview
from linescope.words.frame import where_label

Floats = NDArray[np.float64]

TALL = 606.0  # [px]
MARGIN = (0.03, 0.18, 0.03, 0.07)
NARROW, ASIDE = 0.45, 0.78  # Of the page's width: a view of which ground and line take less is set so wide.
LENSES = (200.0, 176.0, 152.0, 128.0)  # Radius of the near view: the largest for which there is room [px].
MARK, BEAK = 30.0, 30.0  # Radius of the ring round what is seen from near, and length of the beak towards it [px].
ROOM = 0.02  # Of what the picture shows may lie behind it, at most.  [-]


def board(brief: Brief) -> Board:
    """Verdict, block view and key."""
    measures, rig = brief.measures, brief.solution.rig
    told = places(brief.study.clearance or None)
    red, others = named(told), unnamed(told)
    title, message = verdict(brief.study, brief.solution, told, brief.measures)
    land = None
    if brief.ground is not None:
        land = relief.relief(brief.ground, rig, brief.theme, relief.swept(brief.study), measures.long_metres)
    frame = (0.0, HEAD - 8.0, WIDE, TALL - FOOT)
    size = (frame[2] - frame[0], frame[3] - frame[1])
    panel = overview.panel(brief, red, land, size, MARGIN, more=_tight(brief, red), seen=38.0, others=others)
    if _share(panel, size) < NARROW:  # Room for what is seen from near beside it.
        frame = (0.0, frame[1], ASIDE * WIDE, frame[3])
        size = (frame[2] - frame[0], frame[3] - frame[1])
        panel = overview.panel(brief, red, land, size, MARGIN, more=_tight(brief, red), seen=38.0, others=others)
    return Board(
        name="place", title=title, loud=message == "alarm", height=TALL,
        under=measures.say(
            "overview-under", name=Verbatim(rig.name), span=Quantity(rig.span, "length"),
            state=Verbatim(where_label(brief.solution, measures, slides=brief.study.slides)),
        ),
        ink=(View(frame=frame, panel=panel), *_lens(brief, panel, frame)),
        key=overview.key(brief, land, overview.every(brief, panel.camera, size)),
    )


def _share(panel: Panel, size: tuple[float, float]) -> float:
    """Of the picture's width that ground and line take.  [-]"""
    shown = np.concatenate([surface.points for surface in panel.surfaces])
    across = panel.camera.project(shown, size)[:, 0]
    return float(np.ptp(across[np.isfinite(across)])) / size[0]


def _tight(brief: Brief, red: tuple[Finding, ...]) -> tuple[Label, ...]:
    """That the backup is tight, where something else leads."""
    excess = brief.solution.bays.excess
    tight = tuple(int(k) + 1 for k in np.flatnonzero(excess < 0.0))
    if not tight or not red:
        return ()
    middle = brief.solution.backup.sample(4).points
    at = middle[int(0.36 * len(middle))]
    text = brief.measures.say(
        "overview-tight", count=len(tight), total=len(excess), bays=Bays(tight),
    )
    return (Label(text=text, at=at, size="body", colour="alarm", strong=True, towards=(0.2, 1.0), rank=0, must=True,
                  offset=14.0),)  # fmt: skip


def _lens(brief: Brief, panel: Panel, frame: Frame) -> list[Ink]:
    """The walker's bay from near by in a circle tied to its place, as near to it as there is room; else nothing."""
    solution, theme = brief.solution, brief.theme
    feet = solution.walker_point
    if feet is None:
        return []
    left, top, right, bottom = frame
    size, room = (right - left, bottom - top), (left, top, WIDE, bottom)
    shown = [surface.points for surface in panel.surfaces if not surface.lit]
    busy = [np.asarray(label.at)[None] for label in panel.labels] + [solution.main.sample(8).points]
    page, lines = (
        panel.camera.project(np.concatenate(points), size)[:, :2] + (left, top) if points else np.zeros((0, 2))
        for points in (shown, busy)
    )
    seat = panel.camera.project(feet[None], size)[0]
    spot = np.array([seat[0] + left, seat[1] + top])
    found = next((each for each in (_free(room, lines, page, spot, radius) for radius in LENSES) if each), None)
    if found is None:
        return []
    x, y, radius = found
    box = (x - radius, y - radius, x + radius, y + radius)
    circle, mark = _circle((x, y), radius), _circle((float(spot[0]), float(spot[1])), MARK)
    way = (spot - (x, y)) / float(np.hypot(*(spot - (x, y))))
    across = np.array([-way[1], way[0]])
    beak = np.array([x, y]) + np.array([
        (radius - 1.0) * way + 0.5 * BEAK * across, (radius + BEAK) * way, (radius - 1.0) * way - 0.5 * BEAK * across,
    ])  # A line from here to there would be taken for a rope.
    first, last = shown_bays(solution, 1)
    depth, tight = float(solution.bays.loop_depth[first]), bool(solution.bays.excess[first] < 0.0)
    say = brief.measures.say
    said = say("loops-see-no-loop") if tight else say("overview-lens-loop", depth=Quantity(depth, "length"))
    paper = Area(points=tuple((float(a), float(b)) for a, b in circle), colour=theme.colours["paper"])
    first, last = _beside(solution, first)
    half = (0.86 if last - first == 1 else 1.4) * radius  # Of two bays the far halves are outside.
    inside = (x - half, y - 0.72 * radius, x + half, y + 0.82 * radius)
    seen = near(brief, inside, first, last, named=False)
    return [
        Area(points=tuple((float(a), float(b)) for a, b in beak), colour=theme.colours["state"]),
        stroke(mark, theme.colours["paper"], 7.0, quiet=True),
        stroke(mark, theme.colours["state"], 4.0, quiet=True),
        Window(frame=box, ink=(paper, *seen), disc=True),
        stroke(circle, theme.colours["state"], 4.0, quiet=True),
        Text(
            text=say("overview-lens-where"), at=(x, y - 0.78 * radius), size=NOTE, align="middle", centred=True,
            colour=theme.colours["ink"], halo=theme.colours["paper"],
        ),
        Text(
            text=said, at=(x, y + 0.74 * radius), size=BODY, align="middle", centred=True, strong=True,
            colour=theme.colours["alarm" if tight else "ink"], halo=theme.colours["paper"],
        ),
        Keep(frame=box, firm=True),
    ]


def _circle(at: tuple[float, float], radius: float) -> Floats:
    turn = np.linspace(0.0, 2.0 * math.pi, 73)
    return np.column_stack([at[0] + radius * np.cos(turn), at[1] + radius * np.sin(turn)])


def _beside(solution: Solution, bay: int) -> tuple[int, int]:
    """The walker's bay, with the one beside it where he stands near its end: first (from 0), and one past the last."""
    assert solution.walker_point is not None
    nodes = dimensions.nodes(solution, "main")
    ends = np.linalg.norm(nodes[bay : bay + 2] - solution.walker_point, axis=1)
    near_end = ends < 0.3 * ends.sum()
    first = bay - 1 if near_end[0] and bay > 0 else bay
    return first, bay + 2 if near_end[1] and bay + 2 < len(nodes) else bay + 1


def _free(frame: Frame, lines: Floats, page: Floats, spot: Floats, radius: float) -> tuple[float, float, float] | None:
    """Where a circle of that radius hides no line and hardly any ground, as near to its place as can be."""
    left, top, right, bottom = frame
    reach = radius + 12.0
    if bottom - top < 2.0 * reach:
        return None
    along = np.linspace(left + reach + 20.0, right - reach - 20.0, 41)
    best: tuple[float, tuple[float, float]] | None = None
    for y in dict.fromkeys((bottom - reach, 0.5 * (top + bottom), top + reach)):
        for x in along.tolist():
            at = np.array([x, y])
            if (np.hypot(*(lines - at).T) < radius + 60.0).any():
                continue
            if len(page) and float((np.hypot(*(page - at).T) < radius + 20.0).mean()) > ROOM:
                continue
            cost = float(np.hypot(*(at - spot)))
            if best is None or cost < best[0]:
                best = (cost, (x, y))
    return None if best is None else (*best[1], radius)
