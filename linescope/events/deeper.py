"""Where feet come lower in time than by the energy balance of a ring that stays.

Near an anchor the ring runs down the line while leash and line catch, as far as the next tape, and past it if that
tears: there the balance of a ring that stays is no bound.  How much lower feet come than by the balance is largest
right behind a tape, with a whole bay to run, and falls towards the next one; from bay to bay it falls as the line grows
less steep.  So falls are run right behind anchors and tapes, from each anchor on, until they come no lower than the
balance.  Between these places the extra depth is interpolated linearly; that overestimates it, or underestimates it by
a few centimetres.

Each is run with tapes that hold, and where these carry more than the weakest may hold, once more with such tapes: the
lower feet count, while the ring is in the bay where he fell.  Past torn tapes it can run on by tens of metres on a
slack steep line, over other ground: the floor of a ring that runs (`linescope.events.running`), which is looked at by
itself, is below that.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.errors import MotionNotClosed
from linescope.events.catch import walker_of
from linescope.events.fall import LeashFallSweep, leash_fall_sweep
from linescope.motion.expected import choices_of
from linescope.motion.falls import InTime, leash_fall_in_time
from linescope.motion.inputs import MotionInputs, RunInputs
from linescope.motion.outcome import place_of
from linescope.statics import Plan
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]

FIRST = 0.5  # From an anchor [m].
TIMES = 4.0  # In the bay next to an anchor, each place is this many times as far from the anchor as the one before.
BEHIND = 0.3  # A tape [m].
BAYS = 2  # Run at once, from each anchor.
PER_BAY = 4  # Pieces: dips are within 1 % of those of twice as many.
LOWER = 0.01  # What counts [m].


@dataclass(frozen=True, eq=False, kw_only=True)
class Deeper:
    """How much lower feet come in time than by the balance, at n places.

    Attributes
    ----------
    at : (n,) array
        Where falls were run, from A along the straight line to B, rising.  [m]
    ring, foot : (n, 3) array
        As the feet are lowest, in time less by the balance of a ring that stays.  [m]
    choice : RunInputs
        What was run: all that makes a fall soft, with the weakest tapes; and the same with tapes that hold.
    failed : int
        Falls whose account of energy did not close.
    """

    at: Floats
    ring: Floats
    foot: Floats
    choice: RunInputs
    failed: int

    def lowest(self, falls: LeashFallSweep) -> tuple[NDArray[np.bool_], Floats, Floats]:
        """Where falls come lower in time, and ring and feet then.

        Parameters
        ----------
        falls : LeashFallSweep
            At any m places of the same rig.

        Returns
        -------
        deeper : (m,) bool array
        ring, foot : (m, 3) array
            Those of `falls` where they are the lower ones.  [m]
        """
        ring, foot = falls.low.ring.copy(), falls.low.foot.copy()
        if not len(self.at):
            return np.zeros(len(falls.at), dtype=bool), ring, foot
        more = np.column_stack([np.interp(falls.at, self.at, self.foot[:, axis]) for axis in range(3)])
        deeper = more[:, 2] < -LOWER
        foot[deeper] += more[deeper]
        aside = np.column_stack([np.interp(falls.at, self.at, self.ring[:, axis]) for axis in range(3)])
        ring[deeper] += aside[deeper]
        return deeper, ring, foot

    def applied(self, falls: LeashFallSweep) -> LeashFallSweep:
        """The same falls with the lower of both: ring, head, feet and stretch at the lowest point.

        Parameters
        ----------
        falls : LeashFallSweep
        """
        deeper, ring, foot = self.lowest(falls)
        if not deeper.any():
            return falls
        head, stretch = falls.low.head.copy(), falls.low.stretch.copy()
        head[deeper] += foot[deeper] - falls.low.foot[deeper]
        stretch += np.maximum((ring - falls.low.ring - foot + falls.low.foot)[:, 2], -stretch)
        low = replace(falls.low, ring=ring, head=head, foot=foot, stretch=stretch)
        freeze(low)
        return replace(falls, low=low)


def find_deeper(
    planned: Plan, *, inputs: MotionInputs | None = None, progress: Callable[[float], None] | None = None,
    workers: int | None = None,
) -> Deeper:
    """Run falls from both anchors on, as far as they come lower than the balance.

    Parameters
    ----------
    planned : Plan
        Of a rig with a walker.
    inputs : MotionInputs, optional
    progress : callable, optional
        Told the share done, 0 to 1; may raise to stop.
    workers : int, optional
        Runs at once; default one a core.

    Raises
    ------
    FallNotBounded, NoEquilibrium, SegmentNotSolved
    """
    inputs = MotionInputs() if inputs is None else inputs
    choice = replace(choices_of(inputs, "ends")["soft"], tape_strength=inputs.tape_strength.low)
    rows = [_places(planned, at_b) for at_b in (False, True)]
    found: dict[float, tuple[Floats, Floats]] = {}
    failed = done = 0

    def fall(at: float, strength: float) -> InTime | None:
        try:
            return leash_fall_in_time(
                planned, at, choice=replace(choice, tape_strength=strength), per_bay=PER_BAY, to_lowest=True
            )
        except MotionNotClosed:
            return None

    def run(at: float) -> tuple[list[tuple[Floats, Floats]], int]:
        """Ring and feet of one fall or two, and how many others did not close."""
        held = fall(at, math.inf)
        if held is None:
            return [], 1
        lowest = [_lowest(held, math.inf)]
        if held.outcome.tape_force > choice.tape_strength:
            torn = fall(at, choice.tape_strength)
            if torn is None:
                return lowest, 1
            lowest.append(_lowest(torn, _to_next(planned, at)))
        return lowest, 0

    with ThreadPoolExecutor(max_workers=workers or os.cpu_count() or 1) as pool:
        while any(rows):
            batch = [place for row in rows for bay in row[:BAYS] for place in bay]
            roof = leash_fall_sweep(planned.rig, np.array(batch), risen=False, planned=planned)
            for k, (lowest, open_) in enumerate(pool.map(run, batch)):
                done += 1
                failed += open_
                if lowest:
                    ring, foot = min(lowest, key=lambda pair: float(pair[1][2]))
                    found[batch[k]] = (ring - roof.low.ring[k], foot - roof.low.foot[k])
                if progress is not None:
                    try:
                        progress(1.0 - 0.9**done)
                    except BaseException:
                        pool.shutdown(wait=False, cancel_futures=True)
                        raise
            for row in rows:
                last = row[:BAYS][-1][0] if row else None
                over = last is not None and last in found and found[last][1][2] >= -LOWER
                del row[: len(row) if over else BAYS]
    places = sorted(found)
    result = Deeper(
        at=np.array(places), ring=np.array([found[at][0] for at in places]).reshape(-1, 3),
        foot=np.array([found[at][1] for at in places]).reshape(-1, 3), choice=choice, failed=failed,
    )
    freeze(result)
    return result


def _lowest(fall: InTime, within: float) -> tuple[Floats, Floats]:
    """Ring and feet as these are lowest, while the ring is no farther than this from where he fell, along the chord.
    [m]"""
    motion, outcome, rig, slot = fall.motion, fall.outcome, fall.rig, fall.motion.mesh.model.slots
    rings, bodies = motion.points[:, slot], motion.points[:, slot + 1]
    near = np.abs(rig.along_chord(rings) - fall.at) <= within
    if near.all():
        return place_of(motion, outcome.foot_time, slot), outcome.foot_lowest
    k = int(np.argmin(np.where(near, bodies[:, 2], np.inf)))
    return rings[k], bodies[k] - [0.0, 0.0, walker_of(rig).hang]


def _to_next(planned: Plan, at: float) -> float:
    """How far from a place the next tape is, down the line from the nearer anchor, and a little more: places beyond are
    over other ground.  [m]"""
    span = planned.rig.span
    ahead = (_tapes(planned) - at) * (1.0 if at <= 0.5 * span else -1.0)
    return float(ahead[ahead > 0.0].min(initial=span)) + BEHIND


def _tapes(planned: Plan) -> Floats:
    """(t,) places of the tapes with nobody on the line, from A along the straight line to B.  [m]"""
    standing = planned.standing.state
    return np.asarray(planned.rig.along_chord(standing.unknowns[standing.pair.tapes, :3]))


def _places(planned: Plan, at_b: bool) -> list[list[float]]:
    """Places of each bay from an anchor to the middle of the line: the first is right behind where the bay begins."""
    rig, tapes = planned.rig, _tapes(planned)
    tapes = np.sort(rig.span - tapes if at_b else tapes)
    half = 0.5 * rig.span
    edges = [0.0, *tapes[tapes < half].tolist(), half]
    first, place = [], FIRST
    while place < edges[1] - BEHIND:
        first.append(place)
        place *= TIMES
    bays = [first, *([edge + BEHIND] for edge in edges[1:-1] if edge + BEHIND < half)]
    return [[rig.span - place if at_b else place for place in bay] for bay in bays if bay]
