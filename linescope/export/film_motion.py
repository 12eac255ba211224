"""Films of motion in time, from its states themselves: a leash fall, the loss of the main, bouncing, a gust."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from linescope.clearance import GroundIndex
from linescope.errors import InputError
from linescope.events.fall import leash_fall_sweep
from linescope.export.film_shots import Reel, Shot
from linescope.export.sheet_walk import above_ground, height_words
from linescope.motion import bounce, gust, leash_fall_in_time, main_gone_in_time
from linescope.motion.arrays import HELD
from linescope.motion.expected import WORST, expected
from linescope.motion.falls import PartsAt
from linescope.motion.ground import touched
from linescope.motion.gust import Gust, exposures_of, swings
from linescope.motion.inputs import inputs_of_rig
from linescope.motion.notes import PEAKS
from linescope.motion.run import Motion
from linescope.notes import Quantity, Spot, Term, Value
from linescope.rig import Inputs, Rig
from linescope.stage import moving, ribbon
from linescope.stage.ground import Ground, terrain_of
from linescope.stage.items import Symbols, Wire
from linescope.stage.theme import Theme
from linescope.statics import Plan
from linescope.study import Study
from linescope.topics.motion import BREAKS
from linescope.words import Words

Floats = NDArray[np.float64]
Moving = Literal["leash-fall", "main-gone", "bounce", "gust"]

FRAME = 5e-3  # Between the states that are kept [s].
KNOWN = 3.0  # After a break nothing is known later than this [s].
SLOWED = 6.0  # How many times slower it is shown where it snaps.
AROUND = 0.12  # Before and after a snap [s].
RISE = 1.0  # Of the gust [s].
REACH, END_ON = 5.0, 2.2  # Half of what the near view shows across, from the side and from an end [m].
TALL, ROUND = 1.75, 0.8  # Half of what it shows from top to bottom, at least, and beyond feet and ring [m].


def motion_reel(
    rig: Rig,
    kind: Moving,
    *,
    frames: int,
    theme: Theme,
    measures: Words,
    ground: Ground | None,
    planned: Plan | None = None,
    inputs: Inputs | None = None,
    progress: Callable[[float], None] | None = None,
) -> Reel:
    """What happens, with the middle of all inputs, and slowed where it snaps.

    Parameters
    ----------
    rig : Rig
    kind : {"leash-fall", "main-gone", "bounce", "gust"}
    frames : int
    theme : Theme
    measures : Words
    ground : Ground, optional
    planned : Plan, optional
        Of the same rig.
    inputs : Inputs, optional
        Of its scene.
    progress : callable, optional
        Told the share done.

    Raises
    ------
    InputError
        When the rig has no walker, or a gust no wind.
    MotionNotClosed, NoEquilibrium, SegmentNotSolved
    """
    if rig.walker is None:
        raise InputError("a film needs a walker", key="walker")
    planned = Study(rig).planned if planned is None else planned
    at, choice = rig.walker.at, inputs_of_rig(rig, inputs or Inputs()).expected()
    rock = None if ground is None else GroundIndex(terrain_of(ground))
    common: dict[str, Any] = {"choice": choice, "ground": rock, "frame": FRAME, "progress": progress}
    values: dict[str, Value] = {"at": Spot(at)}
    if kind == "leash-fall":
        motion = leash_fall_in_time(planned, at, **common).motion
    elif kind == "main-gone":
        breaks: PartsAt = rig.motion.breaks_at if rig.motion.breaks_at != "worst" else WORST[0]  # type: ignore[assignment]
        motion = main_gone_in_time(planned, at, parts_at=breaks, seconds=KNOWN, **common).motion
        values["parts"] = Term(BREAKS[breaks]) if isinstance(breaks, str) else Spot(breaks)
    elif kind == "bounce":
        motion = bounce(planned, at, **common).motion
    else:
        blown = gust(planned, at=at, rise=RISE, exposures=exposures_of(inputs or Inputs()), **common)
        return _gust_reel(blown, at, frames, theme, measures, ground)
    on_leash = kind in ("leash-fall", "main-gone")
    curves = [("leash", motion.leash.mean)] if on_leash else []
    curves += [
        ("main", np.maximum(motion.main_a.mean, motion.main_b.mean)),
        ("backup", np.maximum(motion.backup_a.mean, motion.backup_b.mean)),
    ]
    trace = np.stack([values_ for _, values_ in curves], axis=1)
    shots = [_shot(motion, time, trace, on_leash, theme, measures, ground) for time in play_times(motion, frames)]
    if kind == "bounce" and float(motion.line.mean[-1]) <= 0.0:  # The run ends there.
        shots[-1] = replace(shots[-1], caption=measures.say("motion-film-off", time=Quantity(shots[-1].at, "time")))
    ranges = "" if kind == "bounce" else _ranges(planned, at, kind, inputs or Inputs(), measures)
    return Reel(
        ranges=ranges,
        title=measures.say(f"motion-film-{kind}", **values),
        note=measures.say("motion-film-note", ground=_told_ground(motion), peaks=Quantity(PEAKS, "ratio")),
        axis=measures.say("motion-film-time"),
        curves=tuple(measures.say(f"motion-film-in-{name}") for name, _ in curves),
        shots=tuple(shots),
        reach=REACH,
        dimension="time",
        trace=(motion.main_a.time, trace),
        tall=max(TALL, ROUND + max(float(np.abs(shot.foot - shot.focus).max()) for shot in shots)),
    )


def _gust_reel(blown: Gust, at: float, frames: int, theme: Theme, measures: Words, ground: Ground | None) -> Reel:
    """A gust moves loops, hardly forces: their swing is what is graphed, and the near view looks along the line."""
    motion, wind = blown.motion, blown.wind
    towards = np.array([*wind.towards, 0.0]) / np.hypot(*wind.towards)
    angle, height = swings(motion, towards)
    line = motion.points[:, : motion.mesh.model.main]
    aside, swing, above = ((line - line[0]) @ towards).max(axis=1), angle.max(axis=1), height.max(axis=1)
    time = motion.frame_time

    def told(shot: Shot) -> Shot:
        k = min(int(np.searchsorted(time, shot.at)), len(time) - 1)
        figures = (
            ("motion-film-wind", measures.of(blown.speed * min(shot.at / blown.rise, 1.0), "speed")),
            ("motion-film-swing", measures.of(float(swing[k]), "angle")),
            ("motion-film-above", measures.length(float(above[k])) if above[k] > 0.0 else measures.say("none")),
            ("motion-film-aside", measures.length(float(aside[k]))),
        )
        return replace(
            shot, values=(float(swing[k]),),
            figures=(*((measures.say(name), value) for name, value in figures), *shot.figures[:2]),
        )

    forces = np.zeros((len(motion.main_a.time), 2))
    for column, ends in enumerate(((motion.main_a, motion.main_b), (motion.backup_a, motion.backup_b))):
        forces[:, column] = np.maximum(ends[0].mean, ends[1].mean)
    shots = tuple(
        told(_shot(motion, float(now), forces, False, theme, measures, ground))
        for now in np.linspace(0.0, float(time[-1]), frames)
    )
    values: dict[str, Value] = {
        "at": Spot(at), "speed": Quantity(blown.speed, "speed"), "rise": Quantity(blown.rise, "time"),
    }
    most = tuple(float(each.max()) for each in (blown.swing_edge_on, blown.swing_broadside))
    return Reel(
        ranges=measures.say("motion-film-range-gust", swing=measures.band(min(most), max(most), "angle")),
        title=measures.say("motion-film-gust", **values),
        note=measures.say("motion-film-note-gust", ground=_told_ground(motion), peaks=Quantity(PEAKS, "ratio")),
        axis=measures.say("motion-film-time"), curves=(measures.say("motion-film-swing"),), shots=shots, reach=END_ON,
        dimension="time", trace=(time, swing[:, None]), graphs="angle", end_on=True, blows=towards,
    )


def _ranges(planned: Plan, at: float, kind: Moving, inputs: Inputs, measures: Words) -> str:
    """What is expected over the ranges of all inputs, and the energy balance of a fall beside it."""
    rig, broken = planned.rig, kind == "main-gone"
    found = expected(
        planned, np.array([at]), what="main gone" if broken else "leash fall", inputs=inputs_of_rig(rig, inputs),
        parts_at=rig.motion.breaks_at,  # type: ignore[arg-type]
        seconds=KNOWN, chains=False,
    )

    def said(ends: tuple[Floats, Floats], dimension: str) -> str:
        return measures.band(float(ends[0][0]), float(ends[1][0]), dimension)

    values: dict[str, Value] = {
        "leash": said(found.ends_of("leash_force"), "force"),
        "main": said(found.ends_of("main_a", "main_b"), "force"),
        "backup": said(found.ends_of("backup_a", "backup_b"), "force"), "feet": said(found.foot_depths, "length"),
    }
    if broken:
        return measures.say("motion-film-range-gone", **values)
    fall = leash_fall_sweep(rig, [at], planned=planned).low
    return measures.say(
        "motion-film-range-fall", **values, most=Quantity(float(fall.peak_force[0]), "force"),
        lowest=Quantity(float(rig.below_anchors(fall.foot[0])), "length", "up"),
    )


def _told_ground(motion: Motion) -> str:
    """Whether ground stops what falls: "yes", only the "lines", or "no"."""
    model = motion.mesh.model
    if not len(model.ground.slot):
        return "no"
    free = model.of_slots[HELD, model.slots + 1] == 0.0 and touched(model, motion.final).feet_free
    return "lines" if free else "yes"


def snaps(motion: Motion) -> list[float]:
    """When something snaps: the hardest pulls of leash and backup, and the first and the last tape that goes.  [s]"""
    found = []
    if motion.leash.most > 0.0:
        found.append(motion.leash.most_at)
    if motion.most_backup.most > 2.0 * motion.most_backup.mean[0]:
        found.append(motion.most_backup.most_at)
    gone = motion.tape_time[np.isfinite(motion.tape_time)]
    if len(gone):
        found += [float(gone.min()), float(gone.max())]
    return found


def play_times(motion: Motion, frames: int) -> Floats:
    """(n,) times of the frames of a film: `SLOWED` times as dense around what snaps.  [s]

    Parameters
    ----------
    motion : Motion
    frames : int
    """
    end = float(motion.frame_time[-1])
    time = np.linspace(0.0, end, max(int(end / 1e-3), 2))
    near = np.zeros(len(time), dtype=bool)
    for snap in snaps(motion):
        near |= np.abs(time - snap) <= AROUND
    dense = np.where(near, SLOWED, 1.0)
    shown = np.concatenate(([0.0], np.cumsum(0.5 * (dense[1:] + dense[:-1]))))
    return np.asarray(np.interp(np.linspace(0.0, shown[-1], frames), shown, time))


def _below(rig: Rig, point: Floats, measures: Words) -> str:
    """Depth below the straight line between the anchors, or height above it."""
    depth = float(rig.below_anchors(point))
    return measures.length(depth) if depth >= 0.0 else measures.say(
        "motion-film-over-chord", height=Quantity(-depth, "length")
    )


def _shot(
    motion: Motion, time: float, trace: Floats, on_leash: bool, theme: Theme, measures: Words, ground: Ground | None
) -> Shot:
    rig, say = motion.mesh.solution.rig, measures.say
    assert rig.walker is not None
    now = moving.moment(motion, time)
    surfaces, leash = moving.body(motion, now)
    strips = [
        *(ribbon.webbing(part, rig.main, name="main", top="main", under="main_under") for part in now.main),
        ribbon.webbing(now.backup, rig.backup, name="backup", top="backup", under="backup_under"),
    ]
    wires = [
        Wire(name="backup", points=now.backup, colour="backup", width=0.8 * theme.backup_width),
        *(Wire(name="main", points=part, colour="main", width=0.8 * theme.main_width) for part in now.main),
    ]
    tapes = Symbols(name="tape", points=now.tapes, symbol="block", colour="ink", size=theme.symbol)
    row = trace[min(int(np.searchsorted(motion.main_a.time, time)), len(trace) - 1)]
    gone = int(np.sum(motion.tape_time <= time))
    height = height_words(float(above_ground(ground, now.foot[None])[0]), measures)
    forces = dict(zip(("leash", "main", "backup") if on_leash else ("main", "backup"), row, strict=True))
    return Shot(
        main=now.main[0] if now.main else None,
        stub=now.main[1] if len(now.main) > 1 else None,
        backup=now.backup,
        tapes=now.tapes,
        focus=0.5 * (now.ring + now.foot),
        foot=now.foot,
        head=now.foot + rig.walker.height * moving.UP,
        surfaces=(*strips, *surfaces),
        wires=(*wires, *(leash if on_leash else ())),
        symbols=(tapes,) if len(now.tapes) else (),
        caption=say("motion-film-at", time=Quantity(time, "time")),
        figures=(
            *((say(f"motion-film-in-{name}"), measures.force(float(force))) for name, force in forces.items()),
            *(((say("film-ring-chord"), _below(rig, now.ring, measures)),) if on_leash else ()),
            (say("film-foot-chord"), _below(rig, now.foot, measures)),
            (say("film-foot-ground"), height),
            (say("motion-film-gone"), say("count-of", count=gone, total=len(motion.tape_time))),
        ),
        at=time,
        values=tuple(float(force) for force in row),
    )
