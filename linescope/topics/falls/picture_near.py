"""Falls seen from near by, true to scale, for lines so long that a body would be a tick in the whole picture."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.events.fall import LeashFallSweep
from linescope.notes import Quantity, Spot, Verbatim
from linescope.stage import ground, person, side
from linescope.stage.camera import Camera
from linescope.stage.items import DimensionLine, Frame, Label, Panel, Wire
from linescope.stage.page import Brief
from linescope.statics.assemble import G

Floats = NDArray[np.float64]
LETTERS = "abc"
TOP, LOW, LEAST = 0.24, 0.10, 3.0  # Shares of a panel kept free above and below; least half height shown [m].


def places(sweep: LeashFallSweep, gaps: Floats) -> tuple[int, ...]:
    """The falls to show, of those at stated places: the lowest, and in the first and last third what leaves least."""
    left = np.where(np.isnan(gaps), np.inf, gaps)
    third = sweep.rig.span / 3.0
    ends = (sweep.at < third, sweep.at > 2.0 * third)
    found = {sweep.lowest, *(int(np.argmin(np.where(end, left, np.inf))) for end in ends if end.any())}
    return tuple(sorted(found))


def rods(sweep: LeashFallSweep, shown: tuple[int, ...]) -> list[Wire]:
    """Uprights in the whole picture from where he stood down to his lowest foot, at the places shown from near."""
    return [
        Wire(
            name=f"fall {LETTERS[k]}",
            points=np.array([sweep.ring_standing[place], sweep.low.foot[place]]),
            colour="ink",
            width=4.0,
            front=True,
        )
        for k, place in enumerate(shown)
    ]


def names(brief: Brief, sweep: LeashFallSweep, shown: tuple[int, ...]) -> list[Label]:
    """The letters of those places."""
    return [
        Label(
            text=brief.measures.say("falls-picture-near", letter=Verbatim(LETTERS[k])),
            at=sweep.ring_standing[place],
            towards=(0.0, 1.0),
            rank=1,
            must=True,
            strong=True,
            offset=10.0,
        )
        for k, place in enumerate(shown)
    ]


def panels(
    brief: Brief, sweep: LeashFallSweep, stated: LeashFallSweep, runs: Floats | None, shown: tuple[int, ...],
    frame: Frame,
) -> tuple[Panel, ...]:
    """A near view for each of the stated places shown, all at one scale; curves are those of the sweep."""
    left, top, right, bottom = frame
    width = (right - left) / len(shown)
    deepest = max(float(stated.ring_standing[k, 2] - stated.low.foot[k, 2]) for k in shown)
    half = max(deepest / (1.0 - TOP - LOW) / 2, LEAST)
    return tuple(
        _panel(
            brief, sweep, stated, runs, place, k, half,
            (left + k * width, top, left + (k + 1) * width - 0.004, bottom),
        )
        for k, place in enumerate(shown)
    )


def _panel(
    brief: Brief, sweep: LeashFallSweep, stated: LeashFallSweep, runs: Floats | None, place: int, k: int, half: float,
    frame: Frame,
) -> Panel:
    rig, words, theme = sweep.rig, brief.measures, brief.theme
    assert rig.walker is not None
    ring, foot = stated.ring_standing[place], stated.low.foot[place]
    centre = (ring + foot) / 2 + side.UP * (TOP - LOW) * half
    along = ground.plan_direction(rig)
    look = np.cross(side.UP, along)
    camera = Camera(eye=centre - look * 60.0, target=centre, up=side.UP, half_height=half)
    size = brief.panel_size(frame)
    cut, edge = side.cut_open(brief, camera)
    toward = camera.axes()[2]
    surfaces, wires = [*cut], [*edge]
    for name, at, longer, colour, lift in (
        ("hang", ring, rig.walker.compliance * rig.walker.mass * G, "walker", 0.1),
        ("lowest", stated.low.ring[place], float(stated.low.stretch[place]), "alarm", 0.0),
    ):
        man = rig.walker.stretched(longer)
        body, leash = person.hanging(man, at + toward * lift, along, rig.main, name=name, colour=colour)
        surfaces += body
        wires += leash
    for name, points, colour, wide, dashed in (
        ("feet standing", sweep.ring_standing, "main", theme.main_width, False),
        ("foot hanging", sweep.hang.foot, "walker", 2.6, True),
        ("foot lowest", sweep.low.foot, "alarm", 4.0, False),
        ("foot, ring runs", runs, "alarm", 3.2, True),
    ):
        if points is not None:
            shown = _local(points, centre, along, 0.5 * size[0] * camera.metres_per_pixel(size))
            wires.append(Wire(name=name, points=shown, colour=colour, width=wide, dashed=dashed, front=name[5] != "s"))
    beside = along * 0.30 * half
    down = float(ring[2] - foot[2])
    return Panel(
        name=f"fall {LETTERS[k]}",
        frame=frame,
        camera=camera,
        surfaces=tuple(surfaces),
        wires=tuple(wires),
        dimensions=(
            DimensionLine(
                name=f"fall {LETTERS[k]}",
                start=np.array([*(foot + beside)[:2], ring[2]]),
                end=foot + beside,
                value=down,
                text=words.say("falls-picture-near-down", down=Quantity(down, "length", "up")),
            ),
        ),
        caption=words.say("falls-picture-near-caption", letter=Verbatim(LETTERS[k]), at=Spot(float(stated.at[place]))),
        scale_bar=k == 0,
        sky=True,
    )


def _local(points: Floats, centre: Floats, along: Floats, reach: float) -> Floats:
    """The part of a curve within reach of a place along the line, with ends put in between.  [m]"""
    at = (points - centre) @ along
    order = np.argsort(at)
    places = np.linspace(max(at.min(), -reach), min(at.max(), reach), 60)
    if places[-1] <= places[0]:
        return points[:2]
    return np.column_stack([np.interp(places, at[order], points[order, axis]) for axis in range(3)])
