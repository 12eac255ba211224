"""What the loops should look like from anchor A: as a photograph, with five stations measured, nobody on the line."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.events.let_go import let_go_notes
from linescope.notes import Quantity
from linescope.stage import dimensions, ground, lines, tapes
from linescope.stage.camera import Camera
from linescope.stage.items import DimensionLine, Frame, Label, LegendEntry, Panel, Stage, Symbols
from linescope.stage.page import LOW, Brief, furnish
from linescope.stage.theme import tape_look
from linescope.statics import Solution
from linescope.ties import nearest
from linescope.words import Words

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])
STATIONS = (0.06, 0.25, 0.5, 0.75, 0.94)
BESIDE, ABOVE, BEHIND = 1.9, 1.15, 2.4
"""Where the spectator's eye is, seen from the main's anchor: to the right of the line, above it, behind it.  [m]"""


def build(brief: Brief) -> Stage:
    """The photograph above; below, each station from the side at one scale with its depth."""
    study = brief.study
    held = study.let_go
    said = let_go_notes(held, standing=study.standing, taped=study.taped) if held else ()
    brief = brief.showing(study.to_see, *said)
    middle = 0.60
    bays = stations(brief)
    photo = _photo(brief, bays, (0.0, brief.top, 1.0, middle))
    width = 1.0 / len(bays)
    scale = _scale(brief, bays, (0.0, middle + 0.006, width - 0.004, LOW - 0.008))
    details = tuple(
        _detail(brief, bay, scale, k, (k * width, middle + 0.006, (k + 1) * width - 0.004, LOW - 0.008))
        for k, bay in enumerate(bays)
    )
    legend = (LegendEntry(text=brief.measures.say("spectator-legend"), colour="ink", width=2.0),)
    question = brief.measures.say("spectator-question")
    return furnish(brief, view="loops-from-a", question=question, panels=(photo, *details), legend=legend)


def stations(brief: Brief) -> tuple[int, ...]:
    """Five bays, counted from 0, spread from A to B (fewer on very short lines)."""
    starts = np.concatenate([[0.0], np.cumsum(brief.solution.bays.length)])
    middles = (starts[1:] + starts[:-1]) / 2 / starts[-1]
    return tuple(sorted({nearest(middles, share) for share in STATIONS}))


def eye(brief: Brief, aspect: float = 3.0) -> Camera:
    """The spectator beside anchor A: looks so that anchor A, the nearest loops and anchor B are in the picture."""
    rig = brief.solution.rig
    along = ground.plan_direction(rig)
    right = np.cross(along, UP)
    place = rig.main_a + BESIDE * right + ABOVE * UP - BEHIND * along
    seen = np.concatenate([brief.solution.backup.sample(12).points, brief.solution.main.sample(4).points]) - place
    ahead = seen @ along
    height = np.arctan2(seen[:, 2], np.hypot(ahead, seen @ right))
    low, high = float(height.min()), float(height.max())
    aside = np.arctan2(seen @ right, ahead)
    left, far = float(aside.min()), float(aside.max())
    pitch, turn = (low + high) / 2, 0.62 * left + 0.38 * far
    half = max(math.tan((high - low) / 2) / 0.60, math.tan(turn - left) / (0.75 * aspect))
    level = math.cos(turn) * along + math.sin(turn) * right
    look = math.cos(pitch) * level + math.sin(pitch) * UP
    return Camera(eye=place, target=place + 10.0 * look, up=UP, angle=2 * math.atan(half))


def _photo(brief: Brief, bays: tuple[int, ...], frame: Frame) -> Panel:
    solution, theme, measures = brief.solution, brief.theme, brief.measures
    camera = eye(brief, brief.aspect(frame))
    loops = dimensions.loops(solution)
    labels = [
        Label(
            text=measures.say("spectator-station", number=k + 1, depth=_depth(solution, bay, measures)),
            at=loops[bay].bottom,
            towards=(0.35, -1.0),
            rank=k,
            must=True,
            strong=True,
            size="figure",
            offset=16.0,
        )
        for k, bay in enumerate(bays)
    ]
    surfaces = [*lines.ribbons(solution, per_segment=30)]
    wraps = tuple(tapes.wrap(solution, mark.number) for mark in solution.layout.tapes[:12])
    if brief.ground is not None:
        surfaces.insert(0, ground.surface(brief.ground.picture))
    back = camera.axes()[2]
    page = camera.project(solution.tape_points, brief.panel_size(frame))[:, :2]
    apart = np.linalg.norm(np.diff(page, axis=0), axis=1)
    clear = int(np.argmax(np.append(apart < 34.0, True))) + 1
    b = solution.rig.main_b
    return Panel(
        name="photo",
        frame=frame,
        camera=camera,
        surfaces=(*surfaces, *wraps),
        wires=lines.centre_lines(solution, theme, scale=0.7, per_segment=30),
        symbols=(
            *(
                Symbols(
                    name=mark.family,
                    points=point[None],
                    symbol=tape_look(mark.family).symbol,
                    colour=tape_look(mark.family).colour,
                    size=theme.symbol,
                )
                for mark, point in zip(solution.layout.tapes[:clear], solution.tape_points, strict=False)
            ),
            *(group for group in tapes.anchors(solution) if (group.points[0] - camera.eye) @ back < -0.5),
        ),
        labels=(
            *labels,
            Label(
                text=measures.say("spectator-anchor-b", distance=measures.place(solution.rig.span)),
                at=b,
                towards=(0.5, 1.0),
                rank=6,
                must=True,
                offset=24.0,
            ),
        ),
        caption=measures.say(
            "spectator-caption", above=Quantity(ABOVE, "length"), beside=Quantity(BESIDE, "length"),
            behind=Quantity(BEHIND, "length"),
        ),
        sky=True,
    )


def _depth(solution: Solution, bay: int, words: Words) -> str:
    if solution.bays.excess[bay] < 0:
        return words.say("frame-tight")
    return words.length(float(solution.bays.loop_depth[bay]))


def _caption(brief: Brief, bay: int, number: int) -> str:
    """Where the loop is, and how deep it was as taped where that is another depth to two figures."""
    words, bays = brief.measures, brief.solution.bays
    place = words.place(float(np.sum(bays.length[:bay]) + bays.length[bay] / 2))
    before, now = (_depth(state, bay, words) for state in (brief.study.standing, brief.solution))
    name = "spectator-detail" if before == now else "spectator-detail-taped"
    return words.say(name, number=number, place=place, bay=bay + 1, before=before)


def _scale(brief: Brief, bays: tuple[int, ...], frame: Frame) -> float:
    """Half of what each detail shows vertically, the same for all.  [m]"""
    width, height = brief.panel_size(frame)
    longest = float(max(brief.solution.bays.length[bay] for bay in bays))
    deepest = float(max(brief.solution.bays.loop_depth[bay] for bay in bays))
    return max(longest / 0.80 * height / width, deepest / 0.45) / 2


def _detail(brief: Brief, bay: int, half: float, k: int, frame: Frame) -> Panel:
    solution, theme = brief.solution, brief.theme
    loop = dimensions.loops(solution)[bay]
    ends = dimensions.nodes(solution)[bay : bay + 2]
    centre = ends.mean(axis=0) - UP * 0.12 * half
    look = np.cross(UP, ground.plan_direction(solution.rig))
    camera = Camera(eye=centre - look * 30.0, target=centre, up=UP, half_height=half)
    tight = solution.bays.excess[bay] < 0
    without = brief.measures.say("closeup-tight")
    near = range(max(bay - 1, 0), min(bay + 2, len(solution.bays.length)))
    measured: tuple[DimensionLine, ...] = (
        ()
        if tight
        else (
            DimensionLine(
                name=f"loop depth {bay + 1}",
                start=loop.top,
                end=loop.bottom,
                value=loop.depth,
                text=brief.measures.length(loop.depth),
                towards=(0.0, -1.0),
            ),
        )
    )
    return Panel(
        name=f"station {k + 1}",
        frame=frame,
        camera=camera,
        surfaces=lines.ribbons(solution, near, per_segment=40),
        wires=lines.centre_lines(solution, theme, per_segment=40),
        symbols=tapes.symbols(solution, theme, scale=1.1),
        labels=(Label(text=without, at=loop.bottom, colour="alarm", strong=True, must=True),) if tight else (),
        dimensions=measured,
        caption=_caption(brief, bay, k + 1),
        sky=True,
        scale_bar=k == 0,
    )
