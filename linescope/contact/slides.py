"""Slide: what a day of crossings rubs, face by face, walked one after the other.

A loop hangs in its tape.  Where the loops' resultant p at a tape points away from the main (p < 0), the strip carries
it and the lines are not pressed on each other: the outer face of the line that slides rubs on the strip, half of the
work on either.  Only where p > 0 are the lines pressed together; then what lies between them decides.  Line on line
takes half of that work on either facing side; strip between them takes half, and the inner face of the line that
slides the other half.  Drag is the strip's own and rubs like p < 0.

The first crossing beds the tapes in; later ones find them where they now are.  So they are walked, each from where
the last one left off, until those that are left can be told from them, or `MOST` are walked.  Their work still falls
from one to the next, w_(k-1) to w_k, by a share r of what it fell by before; then the j-th one further on does

    w_inf + (w_k - w_inf) r^j,    w_inf = w_k + (w_k - w_(k-1)) r / (1 - r)                       (1)

(Aitken).  Those left count as so many of the last one as (1) sums to; where work does not fall so, as so many as there
are.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.contact.ledger import BIN, Book, Face, LineName, Tracks
from linescope.contact.pacing import EXACT, Lap, Pacer
from linescope.errors import SolveError
from linescope.events.fine_crossing import REFINED
from linescope.events.friction import HoldLevel
from linescope.rig import Rig
from linescope.rig.layout import Layout
from linescope.shown import Outlined
from linescope.statics import Plan
from linescope.statics.minimise import Settings
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


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class History(Outlined):
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
    times : float
        As how many of the last one walked those that were not walked are counted.  [-]
    spread : float
        What counting each of them as the last one would change, of work or any face's peak: an upper bound.  [-]
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
    times: float
    spread: float

    @property
    def first(self) -> Lap:
        """The first crossing."""
        return self.laps[0]

    @property
    def walked(self) -> int:
        """Crossings that were walked; those that follow are told from them."""
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
        total = total.times(0.0) if self.crossings == 0 else total.plus(each[-1], self.times)
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


def counted_as(work: Floats, left: int) -> float:
    """As how many of the last crossing those that were not walked count, by equation (1); at most as so many.

    Parameters
    ----------
    work : (k,) array
        Of those walked.  [J]
    left : int
        How many were not walked.
    """
    if len(work) < 4 or left <= 0 or work[-1] <= NOTHING:  # The first one beds in, and tells nothing of the others.
        return float(max(left, 0))
    before, last = float(work[-2] - work[-3]), float(work[-1] - work[-2])
    if not (before < 0.0 and last < 0.0 and last > before):
        return float(left)
    share = last / before
    rest = max(work[-1] + last * share / (1.0 - share), 0.0)
    total = left * rest + (work[-1] - rest) * share * (1.0 - share**left) / (1.0 - share)
    return float(total / work[-1])


def walk_history(
    rig: Rig, level: HoldLevel, *, planned: Plan, between: tuple[Between, ...], crossings: int,
    per_bay: int | None = None, most_steps: int = STEPS[-1], most_walked: int = MOST, widest: float = BIN,
    settings: Settings = EXACT, progress: Progress | None = None,
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
    most_walked : int
        Crossings walked, at the most.
    widest : float
        Widest bin of the ledger.  [m]
    settings : Settings
        Of the search, for every step.
    progress : callable, optional
        Told the share done; may raise to stop.

    Raises
    ------
    NoEquilibrium

    Notes
    -----
    They are walked until what one more of them told changes neither the work of all that are asked for nor any face's
    peak by more than 2 %, and counting those left by equation (1) or as the last one each does not either; or until
    `most_walked` are walked.
    """
    layout = planned.layout
    nothing_slides = all(tape.holds is Holds.BOTH for tape in layout.tapes)
    choice = (per_bay,) if per_bay else tuple(steps for steps in STEPS if steps <= most_steps) or (most_steps,)
    wanted = max(1, min(crossings, most_walked))

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

    pacer = Pacer(rig, level, planned, settings)
    empty_strain = pacer.empty_strain
    count = min(CHECKED, wanted)
    part = 0.5 / len(choice)
    laps, steps = walk(pacer, choice[0], count, (0.0, part)), choice[0]
    changed = 0.0 if laps[0][0].total_work <= NOTHING or nothing_slides else math.inf
    for number, finer in enumerate(choice[1:], 1):
        if changed == 0.0:
            break
        try:
            again = Pacer(rig, level, planned, settings)
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
    foretold: Floats | None = None
    slip, last_slip = sum((lap.total_slip for lap, _ in laps), np.zeros(len(layout.tapes))), lap.total_slip
    reach = np.abs(np.concatenate([lap.slide for lap, _ in laps]) - pacer.taped).max(axis=0, initial=0.0)
    strain = np.concatenate([lap.strain for lap, _ in laps]).max(axis=0)
    over = float(np.abs(first.over_tape).max(initial=0.0))
    pressed = float((first.work * (first.pressed > 0.0)).sum())
    share = pressed / first.total_work if first.total_work > NOTHING else math.nan
    while len(work) < wanted and work[-1] > NOTHING:
        left = crossings - len(work)
        told_now, most = (
            _summary(total.plus(last, times)) for times in (counted_as(np.array(work), left), float(left))
        )
        spread = _change(told_now, most)
        if foretold is not None and max(_change(told_now, foretold), spread) < REFINED:
            break
        foretold = told_now
        done = len(work)
        lap = pacer.lap(steps, told(0.5 + 0.5 * done / wanted, 0.5 + 0.5 * (done + 1) / wanted))
        last = slide_tracks(layout, between, lap, widest)
        found.append(lap)
        total = total.plus(last)
        work.append(lap.total_work)
        places.append(lap.slide[-1])
        last_slip = lap.total_slip
        slip = slip + last_slip
        reach = np.maximum(reach, np.abs(lap.slide - pacer.taped).max(axis=0, initial=0.0))
        strain = np.maximum(strain, lap.strain.max(axis=0))
    left = max(crossings - len(work), 0)
    times = counted_as(np.array(work), left)
    whole = total.plus(last, times)
    spread = 0.0 if left == 0 or whole.total <= NOTHING else _change(_summary(whole), _summary(total.plus(last, left)))
    if crossings == 0:
        total, slip = total.times(0.0), 0.0 * slip
    if progress is not None:
        progress(1.0)
    return History(
        level=level, crossings=crossings, per_bay=steps, changed=changed,
        laps=tuple(found), work=np.array(work), places=np.array(places), one=one, last=last,
        tracks=total.plus(last, times), slip=slip + times * last_slip, stroke=last_slip, reach=reach, times=times,
        spread=spread,
        strain=np.maximum(strain - empty_strain, 0.0), over_tape=over, lines_pressed=share,
    )
