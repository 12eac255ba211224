"""Slide: what a day of crossings rubs, face by face, walked one after the other.

A loop hangs in its tape.  Where the loops' resultant p at a tape points away from the main (p < 0), the strip carries
it and the lines are not pressed on each other: the outer face of the line that slides rubs on the strip, half of the
work on either.  Only where p > 0 are the lines pressed together; then what lies between them decides.  Line on line
takes half of that work on either facing side; strip between them takes half, and the inner face of the line that
slides the other half.  Drag is the strip's own and rubs like p < 0.

The first crossing beds the tapes in; later ones find them where they now are.  So they are walked, each from where
the last one left off, until repeating the last one would do, or `MOST` are walked.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.contact.ledger import BIN, Book, Face, LineName, Tracks
from linescope.contact.pacing import Lap, Pacer
from linescope.errors import SolveError
from linescope.events.friction import HoldLevel
from linescope.events.refined import REFINED
from linescope.rig import Rig
from linescope.rig.layout import Layout
from linescope.statics import Plan
from linescope.taping import Between, Holds, find_between

Floats = NDArray[np.float64]
Progress = Callable[[float], None]

MOST = 20  # Crossings walked, at the most; the last is then repeated.
STEPS = (3, 5, 9, 17, 33)  # Steps in each bay: beside its tapes and in between, halved until that stops mattering.
CHECKED = 2  # Crossings by which that is judged: the one that beds in, and one that repeats.
NOTHING = 1e-9  # A crossing that does less work rubs nothing [J].


def betweens(rig: Rig, layout: Layout) -> tuple[Between, ...]:
    """What every tape of a rig puts between the lines and round them.

    Parameters
    ----------
    rig : Rig
    layout : Layout

    Raises
    ------
    InputError
        As `linescope.taping.lay`.
    """
    kinds = {(tape.family, tape.holds) for tape in layout.tapes}
    found = {each: find_between(each[0], rig.section, rig.taping.stock, each[1]) for each in kinds}
    return tuple(found[tape.family, tape.holds] for tape in layout.tapes)


def slide_tracks(layout: Layout, between: tuple[Between, ...], lap: Lap, widest: float = BIN) -> Tracks:
    """What one crossing rubs.

    Parameters
    ----------
    layout : Layout
    between : tuple of Between
        Of every tape.
    lap : Lap
    widest : float
        Widest bin.  [m]

    Returns
    -------
    Tracks
        They sum to the crossing's friction work.
    """
    book = Book(layout, widest)
    start, end, work = lap.slide[:-1], lap.slide[1:], lap.work
    on_lines = work * (1.0 - lap.drag_share) * (lap.pressed > 0.0)
    width = np.array([each.width for each in between])
    bare = np.array([0.0 if each.sliding is None else each.sliding.line_on_line for each in between])
    outer = work - on_lines
    inner, line = on_lines * (1.0 - bare), on_lines * bare
    sides: tuple[tuple[LineName, LineName, Holds, Floats], ...] = (
        ("main", "backup", Holds.BACKUP, layout.tape_backup), ("backup", "main", Holds.MAIN, layout.tape_main),
    )
    for slides, held, holds, held_at in sides:
        which = np.array([tape.holds is holds for tape in layout.tapes], dtype=bool)
        wide = np.broadcast_to(width[which], start[:, which].shape).reshape(-1)
        for face, part in ((Face.outer(slides), outer), (Face.inner(slides), inner + line)):
            book.moving(
                face, start[:, which].reshape(-1), end[:, which].reshape(-1), wide, 0.5 * part[:, which].reshape(-1)
            )
        book.spread(Face.inner(held), held_at[which], width[which], 0.5 * line[:, which].sum(axis=0))
        book.tapes[which] += 0.5 * (outer + inner)[:, which].sum(axis=0)
    return book.close()


@dataclass(frozen=True, eq=False, kw_only=True)
class History:
    """Crossings one after the other at one end of the hold.  k walked, t tapes.

    Attributes
    ----------
    level : {"low", "value", "high"}
    crossings : int
        How many were asked for.
    per_bay : int
        Steps in each bay.
    changed : float
        Largest change of work and of any face's peak when the steps were halved once more; inf where they were not.
        [-]
    laps : tuple of Lap
        Those walked.
    work : (k,) array
        Of each crossing walked.  [J]
    places : (k+1, t) array
        Material coordinate of the sliding line at each tape before the first and after each crossing.  [m]
    one, last, tracks : Tracks
        Of the first crossing, of the last one walked, and of all that were asked for.
    slip : (t,) array
        Stretched length through each tape in all crossings asked for.  [m]
    stroke : (t,) array
        The same of the last one walked alone.  [m]
    reach : (t,) array
        Farthest that the sliding line has been from where it was taped.  [m]
    strain : (t,) array
        Largest strain of the main less that of the backup at each tape, over that of the empty rig.  [-]
    over_tape : float
        Largest force along the line over any tape.  [N]
    lines_pressed : float
        Share of the first crossing's work done where the lines were pressed on each other.  [-]
    """

    level: HoldLevel
    crossings: int
    per_bay: int
    changed: float
    laps: tuple[Lap, ...]
    work: Floats
    places: Floats
    one: Tracks
    last: Tracks
    tracks: Tracks
    slip: Floats
    stroke: Floats
    reach: Floats
    strain: Floats
    over_tape: float
    lines_pressed: float

    @property
    def first(self) -> Lap:
        """The first crossing."""
        return self.laps[0]

    @property
    def walked(self) -> int:
        """Crossings that were walked; the last one stands for those that follow."""
        return len(self.work)

    @property
    def refined(self) -> bool:
        """Whether halving the steps had stopped mattering (under 2 %)."""
        return self.changed < REFINED

    def booked(self, layout: Layout, between: tuple[Between, ...]) -> History:
        """The same crossings with other things between the lines: they move alike and rub differently."""
        each = [slide_tracks(layout, between, lap) for lap in self.laps]
        total = each[0]
        for tracks in each[1:]:
            total = total.plus(tracks)
        total = total.times(0.0) if self.crossings == 0 else total.plus(each[-1], max(self.crossings - len(each), 0))
        return replace(self, one=each[0], last=each[-1], tracks=total)

    def after(self, crossings: int) -> Floats:
        """(t,) where the sliding line is at each tape after so many crossings; where they ended, after more.  [m]"""
        return np.asarray(self.places[min(crossings, self.walked)])


def _summary(tracks: Tracks) -> Floats:
    """Total [J] and the peak of every face [J/m]."""
    return np.array([tracks.total, *(ledger.peak for ledger in tracks.faces.values())])


def _change(now: Floats, before: Floats) -> float:
    """Largest change of total or peak, over the total or the largest peak.  [-]"""
    scale = np.maximum(np.array([now[0], *[now[1:].max()] * (len(now) - 1)]), NOTHING)
    return float(np.max(np.abs(now - before) / scale))


def _together(laps: list[tuple[Lap, Tracks]]) -> Floats:
    """Summary of several crossings."""
    total = laps[0][1]
    for _, tracks in laps[1:]:
        total = total.plus(tracks)
    return _summary(total)


def walk_history(
    rig: Rig, level: HoldLevel, *, planned: Plan, between: tuple[Between, ...], crossings: int,
    per_bay: int | None = None, most_steps: int = STEPS[-1], widest: float = BIN, progress: Progress | None = None,
) -> History:
    """Walk crossing after crossing.

    Parameters
    ----------
    rig : Rig
        With a walker.
    level : {"low", "value", "high"}
        Of drag and friction.
    planned : Plan
    between : tuple of Between
        See `betweens`.
    crossings : int
        There and back each.
    per_bay : int, optional
        Steps in each bay; default they are halved until neither the work nor any face's peak changes by more than
        2 %, judged by the first two crossings.
    most_steps : int
        At which halving stops in any case.
    widest : float
        Widest bin of the ledger.  [m]
    progress : callable, optional
        Told the share done; may raise to stop.

    Raises
    ------
    NoEquilibrium

    Notes
    -----
    They are walked until repeating the last one for all that are left, instead of the one before it, would change
    neither the work nor any face's peak by more than 2 %; or until `MOST` are walked.
    """
    layout = planned.layout
    nothing_slides = all(tape.holds is Holds.BOTH for tape in layout.tapes)
    choice = (per_bay,) if per_bay else tuple(steps for steps in STEPS if steps <= most_steps) or (most_steps,)
    wanted = max(1, min(crossings, MOST))

    def told(start: float, end: float) -> Progress | None:
        return None if progress is None else lambda share: progress(start + share * (end - start))

    def walk(pacer: Pacer, steps: int, count: int, share: tuple[float, float]) -> list[tuple[Lap, Tracks]]:
        part, done = (share[1] - share[0]) / count, []
        for k in range(count):
            lap = pacer.lap(steps, told(share[0] + k * part, share[0] + (k + 1) * part))
            done.append((lap, slide_tracks(layout, between, lap, widest)))
            if lap.total_work <= NOTHING:
                break
        return done

    pacer = Pacer(rig, level, planned)
    empty_strain = pacer.empty_strain
    count = min(CHECKED, wanted)
    part = 0.5 / len(choice)
    laps, steps = walk(pacer, choice[0], count, (0.0, part)), choice[0]
    changed = 0.0 if laps[0][0].total_work <= NOTHING or nothing_slides else math.inf
    for number, finer in enumerate(choice[1:], 1):
        if changed == 0.0:
            break
        try:
            again = Pacer(rig, level, planned)
            closer = walk(again, finer, count, (number * part, (number + 1) * part))
        except SolveError:
            break  # The coarser walk stands, with what its own halving changed.
        changed = _change(_together(closer), _together(laps))
        if changed < REFINED:
            break  # The coarser steps will do.
        pacer, laps, steps = again, closer, finer
    first, one = laps[0]
    work, places = [lap.total_work for lap, _ in laps], [first.slide[0], *(lap.slide[-1] for lap, _ in laps)]
    total = one
    for _, tracks in laps[1:]:
        total = total.plus(tracks)
    lap, last = laps[-1]
    found = [lap for lap, _ in laps]
    before = laps[-2][1] if len(laps) > 1 else last
    slip, last_slip = sum((lap.total_slip for lap, _ in laps), np.zeros(len(layout.tapes))), lap.total_slip
    reach = np.abs(np.concatenate([lap.slide for lap, _ in laps]) - pacer.taped).max(axis=0, initial=0.0)
    strain = np.concatenate([lap.strain for lap, _ in laps]).max(axis=0)
    over = float(np.abs(first.over_tape).max(initial=0.0))
    pressed = float((first.work * (first.pressed > 0.0)).sum())
    share = pressed / first.total_work if first.total_work > NOTHING else math.nan
    while len(work) < wanted and work[-1] > NOTHING:
        left = crossings - len(work)
        if len(work) > 1 and _change(_summary(total.plus(last, left)), _summary(total.plus(before, left))) < REFINED:
            break
        done = len(work)
        lap = pacer.lap(steps, told(0.5 + 0.5 * done / wanted, 0.5 + 0.5 * (done + 1) / wanted))
        before, last = last, slide_tracks(layout, between, lap, widest)
        found.append(lap)
        total = total.plus(last)
        work.append(lap.total_work)
        places.append(lap.slide[-1])
        last_slip = lap.total_slip
        slip = slip + last_slip
        reach = np.maximum(reach, np.abs(lap.slide - pacer.taped).max(axis=0, initial=0.0))
        strain = np.maximum(strain, lap.strain.max(axis=0))
    left = max(crossings - len(work), 0)
    if crossings == 0:
        total, slip = total.times(0.0), 0.0 * slip
    if progress is not None:
        progress(1.0)
    return History(
        level=level, crossings=crossings, per_bay=steps, changed=changed,
        laps=tuple(found), work=np.array(work), places=np.array(places), one=one, last=last,
        tracks=total.plus(last, left), slip=slip + left * last_slip, stroke=last_slip, reach=reach,
        strain=np.maximum(strain - empty_strain, 0.0), over_tape=over, lines_pressed=share,
    )
