"""The lesson of a main that is gone: what ties keep out of the fall."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from linescope.contact.styles import with_style
from linescope.events.main_gone import main_gone
from linescope.lessons.shots import LessonRow, LessonShot, Take, flat, ranges_of, shot
from linescope.lessons.takes import STYLES, Play, Told, needs_bays, needs_walker
from linescope.rig import Rig
from linescope.statics import Plan, plan, solve
from linescope.taping import Holds

TIES = (1, 3, 7)
"""Evenly along the line; every number between is a position of the knob. [-]"""


def tied(rig: Rig, count: int) -> Rig:
    """The same rig with so many ties, evenly along the line, and no others."""
    return replace(rig, ties=tuple(float(rig.span * k / (count + 1)) for k in range(1, count + 1)))


def gone_shot(rig: Rig, planned: Plan) -> tuple[LessonShot, LessonShot]:
    """The walker on the line, and as low as energy lets him fall once the main has gone where he stands.

    Both lines of the second one are the backup and what holds together with it; tapes hold nothing there.
    """
    state = solve(rig, planned=planned)
    standing = shot(state)
    lost = main_gone(rig, planned=planned, most=False, run=False).ties_hold
    line = flat(lost.lowest.line[0], rig.main_a, rig.main_b)
    section = lost.section[0]
    ring, foot = (flat(points, rig.main_a, rig.main_b)[0] for points in (lost.lowest.ring, lost.lowest.foot))
    none = np.zeros(0)
    low = LessonShot(
        main=np.empty((0, 2)),
        main_at=section,
        backup=line,
        backup_at=np.linspace(0.0, 1.0, len(line)),
        tapes=np.empty((0, 2)),
        tape_main=none,
        tape_backup=none,
        feet=np.array([ring[0], foot[1]]),
        own=-1,
        depth=lost.lowest.foot_depth[:1],
        pull=lost.lowest.tension[:1],
        slid=none,
        ran=0.0,
    )
    return standing, low


def _gone_row(name: str, holds: Holds | None, rig: Rig, planned: Plan) -> LessonRow:
    shots = gone_shot(rig, planned)
    low = ranges_of([(-1, shots[1].depth)])
    return LessonRow(name=name, holds=holds, planned=planned, shots=shots, ranges=low)


def ties(rig: Rig, told: Told, most: int) -> Play:
    """Tape alone in three styles, and the rig's own style with ties."""
    needs_walker(rig)
    needs_bays(rig)
    tape = []
    for count, (family, holds) in enumerate(STYLES):
        styled = with_style(tied(rig, 0), family, holds)
        planned = plan(styled)
        tape.append(_gone_row(holds.value, holds, styled, planned))
        told((count + 1) / 9, "falling")
    takes = []
    counts = TIES if not most else tuple(range(TIES[0], TIES[-1] + 1))
    for count, many in enumerate(counts):
        held_by = tied(rig, many)
        planned = plan(held_by)
        row = _gone_row("ties", None, held_by, planned)
        takes.append(Take(value=float(many), own=False, tracks=(*tape, row)))
        told((count + 4) / (3 + len(counts)), "falling")
    lows = [float(take.tracks[-1].shots[-1].depth[0]) for take in takes]
    deepest = max(float(track.shots[-1].depth[0]) for track in tape)
    shows, first = deepest - min(lows) > 1.0, len(takes) - 1
    return Play(name="ties", rig=rig, knob="count", takes=tuple(takes), first=first, shows=shows)
