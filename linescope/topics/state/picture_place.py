"""The place as the crew's first picture: line, ground and danger in one block, and the verdict above it."""

from __future__ import annotations

import math

import numpy as np

from linescope.notes import Bays, Quantity, Verbatim
from linescope.stage import relief
from linescope.stage.board import BODY, FOOT, HEAD, WIDE, Board, Frame, stroke
from linescope.stage.ink import Area, Ink, Keep, Text, View, Window
from linescope.stage.items import Label, Panel
from linescope.stage.page import Brief
from linescope.topics.clearance.leading import RED, Told, places, verdict
from linescope.topics.loops.picture_see import near, shown_bays
from linescope.topics.state import picture_overview as overview
from linescope.words.frame import state_label

TALL = 606.0  # [px]
MARGIN = (0.03, 0.22, 0.03, 0.11)
LENS = 128.0  # Radius of the near view [px].
ROOM = 0.02  # Of what the picture shows may lie behind it, at most.  [-]


def board(brief: Brief) -> Board:
    """Verdict, block view and key."""
    measures, rig = brief.measures, brief.solution.rig
    clearance = brief.study.clearance or None
    told = places(clearance) if clearance is not None else ()
    title, message = verdict(brief.study, brief.solution, told, brief.measures)
    land = None
    if brief.ground is not None:
        unit = 1.0 if measures.system == "metric" else 0.3048
        land = relief.relief(brief.ground, rig, brief.theme, relief.swept(brief.study), unit)
    frame = (0.0, HEAD - 8.0, WIDE, TALL - FOOT)
    size = (frame[2] - frame[0], frame[3] - frame[1])
    panel = overview.panel(
        brief, told[: RED], land, size, MARGIN, more=_tight(brief, told), seen=38.0
    )
    return Board(
        name="place", title=title, loud=message == "alarm", height=TALL,
        under=measures.say(
            "overview-under", name=Verbatim(rig.name), span=Quantity(rig.span, "length"),
            state=Verbatim(state_label(brief.solution, measures)),
        ),
        ink=(View(frame=frame, panel=panel), *_lens(brief, panel, frame)),
        key=overview.key(brief, land, overview.every(brief, panel.camera, size)),
    )





def _tight(brief: Brief, told: tuple[Told, ...]) -> tuple[Label, ...]:
    """That the backup is tight, where something else leads."""
    excess = brief.solution.bays.excess
    tight = tuple(int(k) + 1 for k in np.flatnonzero(excess < 0.0))
    if not tight or not told:
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
    size = (right - left, bottom - top)
    shown = [surface.points for surface in panel.surfaces if not surface.lit]
    busy = [np.asarray(label.at)[None] for label in panel.labels] + [solution.main.sample(8).points]
    page, lines = (
        panel.camera.project(np.concatenate(points), size)[:, :2] + (left, top) if points else np.zeros((0, 2))
        for points in (shown, busy)
    )
    reach = LENS + 12.0
    seat = panel.camera.project(feet[None], size)[0]
    spot = np.array([seat[0] + left, seat[1] + top])
    along = np.linspace(left + reach + 20.0, right - reach - 20.0, 25)
    places = np.array([(x, y) for y in (bottom - reach, top + reach) for x in along])
    free = [at for at in places if not (np.hypot(*(lines - at).T) < LENS + 60.0).any()
            and not (len(page) and float((np.hypot(*(page - at).T) < LENS + 20.0).mean()) > ROOM)]  # fmt: skip
    if not free:
        return []
    x, y = (float(c) for c in min(free, key=lambda at: float(np.hypot(*(at - spot)))))
    box = (x - LENS, y - LENS, x + LENS, y + LENS)
    way = spot - (x, y)
    rim = np.array([x, y]) + way * LENS / float(np.hypot(*way))
    turn = np.linspace(0.0, 2.0 * math.pi, 73)
    circle = np.column_stack([x + LENS * np.cos(turn), y + LENS * np.sin(turn)])
    first, last = shown_bays(solution, 1)
    depth, tight = float(solution.bays.loop_depth[first]), bool(solution.bays.excess[first] < 0.0)
    said = brief.measures.say("loops-see-no-loop") if tight else brief.measures.length(depth)
    paper = Area(points=tuple((float(a), float(b)) for a, b in circle), colour=theme.colours["paper"])
    seen = near(brief, (x - 0.86 * LENS, y - 0.72 * LENS, x + 0.86 * LENS, y + 0.82 * LENS), first, last, named=False)
    return [
        stroke(np.array([rim, spot]), theme.colours["state"], 2.0),
        Window(frame=box, ink=(paper, *seen), disc=True),
        stroke(circle, theme.colours["state"], 4.0, quiet=True),
        Text(
            text=said, at=(x, y + 0.74 * LENS), size=BODY, align="middle", centred=True, strong=True,
            colour=theme.colours["alarm" if tight else "ink"], halo=theme.colours["paper"],
        ),
        Keep(frame=box, firm=True),
    ]
