"""A leash fall on tapes that slide without friction: the other end of what tapes can do in a catch.

Tapes that hold as taped let each bay's backup pull tight for itself.  Tapes that slide let the slack of other bays
come in, and loops run downhill: for the same fall the line gives way further.  Friction, however much, only takes
energy away.  So with the same start (as taped, walker standing) no motion gets below the point where the line with
free slides has stored what the fall gives: of both ends this is the bound on depth.  Forces are taken from both.

References
----------
.. [1] S. P. Timoshenko, *Strength of Materials*, part I, 3rd ed. 1955, section 60, as in `linescope.events.catch`.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from linescope.errors import FallNotBounded, SolveError
from linescope.events.catch import Held, Loaded, lowest, sprung, stored
from linescope.statics import Plan
from linescope.statics.assemble import DOWN
from linescope.statics.minimise import Minimum, Settings
from linescope.statics.pair import Pair
from linescope.statics.search import search
from linescope.statics.settle import settle
from linescope.statics.slide_search import minimise_compiled

Floats = NDArray[np.float64]

# Loops are soft: a hundredth of a newton out of balance hides some tenths of a joule, under a millimetre of fall.
SETTINGS = Settings(tolerance=1e-5, accepted=1e-3)
BALANCE = 1e-4  # Of the energy to be stored; where that is not met, the next state that has stored more is taken.
TRIES = 20
LEAST_PIECE = 0.3  # Of a piece's length as taped, that a start from the fall close by leaves.


@dataclass(frozen=True, eq=False, kw_only=True)
class Slid:
    """The lowest point of one fall, with free slides.

    Attributes
    ----------
    force : float
        On the ring.  [N]
    low : Minimum
        The pair there.
    change : (n, 4) array
        From the lowest point as taped to this one.  [m]
    energy_error : float
        What the balance leaves over, of the energy stored.  [-]
    """

    force: float
    low: Minimum
    change: Floats
    energy_error: float


def with_foot_off(planned: Plan, loaded: Loaded) -> Pair:
    """The pair whose tape under the walker's foot slides as it did before: in a fall he stands on it no more."""
    pair, node = loaded.pair, loaded.node
    if not pair.is_tape[node]:
        return pair
    kind = planned.pair.slide[planned.pair.tapes[int(np.searchsorted(pair.tapes, node))]]
    slide = pair.slide.copy()
    slide[node] = kind
    return replace(pair, slide=slide)


@dataclass(frozen=True, eq=False, kw_only=True)
class _Sliding:
    """The pair with free slides as a line, for `lowest`."""

    loaded: Loaded
    pair: Pair
    held: Minimum
    begin: Floats
    forces: tuple[Floats, Floats]
    compliance: float
    known: list[tuple[float, Minimum]] = field(default_factory=list)

    def rest_under(self, force: float) -> Minimum:
        pull = self.pair.pull.copy()
        pull[self.loaded.node] += (force - self.loaded.weight) * DOWN
        pair, free = replace(self.pair, pull=pull), np.zeros(self.pair.n)
        near = sorted(self.known, key=lambda item: abs(item[0] - force))[:2]
        if near and near[0][0] == force:
            return near[0][1]
        start, forces = (near[0][1].state.unknowns, near[0][1].state.forces) if near else (self.begin, self.forces)
        if len(near) > 1:
            (p0, first), (p1, second) = near
            share = (force - p0) / (p0 - p1)
            if abs(share) < 2.0:
                start = self._checked(start + share * (first.state.unknowns - second.state.unknowns), start)
        try:
            found = minimise_compiled(pair, start, hold=free, forces=forces, settings=SETTINGS)
        except SolveError:
            try:
                found = settle(pair, search(pair, self.held.state.unknowns, settings=SETTINGS))[0]
            except SolveError as error:
                raise FallNotBounded(
                    f"the rig with free slides found no balance under {force:.2g} N at its walker: {error.problem}",
                    advice=error.advice,
                ) from error
        self.known.append((force, found))
        return found

    def _checked(self, start: Floats, other: Floats) -> Floats:
        least = LEAST_PIECE * self.pair.lengths(self.pair.start_slides)
        return start if np.all(self.pair.lengths(start[:, 3]) > least) else other

    def least_storing(self, start: Held, to_store: float) -> Floats:
        """(1,) the least force tried whose state has stored enough: where loops come to settle in another way, energy
        jumps and no force stores just that.  [N]"""
        force = max(max(known for known, _ in self.known), 1.001 * self.loaded.weight)
        for _ in range(TRIES):
            tried = [np.array([one]) for one in sorted({known for known, _ in self.known} | {force})]
            for one in tried:
                if one[0] > self.loaded.weight and stored(self.line(one), start, self.loaded.weight)[0] >= to_store:
                    return one
            force *= 1.5
        raise FallNotBounded(
            f"no force up to {force:.2g} N on the ring stores the energy of the fall with free slides.",
            advice="check the webbings' stretch curves and the walker's mass for a wrong unit.",
        )

    def line(self, force: Floats) -> Held:
        found = self.rest_under(float(force[0]))
        drop = float(DOWN @ found.state.unknowns[self.loaded.node, :3])
        own = Held(drop=np.array([drop]), energy=np.array([self.loaded.rig_energy(found, float(force[0]))]))
        return sprung(own, force, self.compliance)


def slid_fall(
    planned: Plan, loaded: Loaded, *, compliance: float, force: float, low: Minimum, to_store: float, slope: float,
    near: Slid | None = None,
) -> Slid:
    """The same fall with free slides.

    Parameters
    ----------
    planned : Plan
    loaded : Loaded
        The rig with its walker standing, as taped: where the fall starts.
    compliance : float
        Of leash and body.  [m/N]
    force : float
        On the ring at the lowest point of the fall with tapes that hold.  [N]
    low : Minimum
        The pair there.
    to_store : float
        What is to be stored beyond the rest under his weight.  [J]
    slope : float
        Growth of the square root of the energy with the force there.  [J^0.5/N]
    near : Slid, optional
        The fall from a place close by.

    Raises
    ------
    FallNotBounded
    """
    pair = with_foot_off(planned, loaded)
    held = low.state.unknowns.copy()
    held[:, 3] = pair.start_slides
    sliding = _Sliding(loaded=loaded, pair=pair, held=low, begin=held, forces=low.state.forces, compliance=compliance)
    if near is not None:
        sliding = replace(sliding, begin=sliding._checked(held + _carried(pair, near), held))
    weight = np.array([loaded.weight])
    start = sprung(loaded.line(weight), weight, compliance)
    goal = np.array([to_store])
    try:
        found = lowest(
            sliding.line, start, weight=loaded.weight, to_store=goal, guess=np.array([force]), slope=slope,
            tolerance=BALANCE, tries=TRIES,
        )
    except FallNotBounded:
        found = sliding.least_storing(start, to_store)
    low = sliding.rest_under(float(found[0]))
    left = float(stored(sliding.line(found), start, loaded.weight)[0]) - to_store
    return Slid(
        force=float(found[0]), low=low, change=low.state.unknowns - held, energy_error=abs(left) / to_store
    )


def _carried(pair: Pair, near: Slid) -> Floats:
    """(n, 4) change of a fall close by, for this pair: tape by tape, and between them along the main."""
    other = near.low.state.pair
    moved = np.zeros((pair.n, 4))
    for axis in range(3):
        moved[:, axis] = np.interp(pair.main_at, other.main_at, near.change[:, axis])
    moved[pair.tapes] = near.change[other.tapes]
    return moved
