"""Seeking: a surface proposes, the solver disposes.

Quadratic surfaces through some dozens of exact solves say which levers might give what is wished.  Each proposal is
rounded to what hands can set and solved exactly; what the surface missed there shifts it, and it proposes again.
Nothing but what was solved exactly is handed out.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from linescope.advise.case import AdvisedRig, walk_together
from linescope.advise.foretell import Bent, Foreteller
from linescope.advise.levers import Lever, counts_of, tried_for
from linescope.advise.surface import Surfaces
from linescope.advise.wished import Watched
from linescope.clearance import GroundIndex
from linescope.errors import LinescopeError
from linescope.events.deeper import Deeper
from linescope.events.sampling import points
from linescope.rig import Rig, Wish
from linescope.scene import Scene

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Tell = Callable[[float], None]
Aim = Callable[[Floats], tuple[float, Floats]]

FEWEST = 24
"""Exact solves that a surface is laid through at least, and so many for each of its terms."""
PER_TERM = 1.8
SCOUTS = 8
"""Candidates, or draws, that are looked at for all terms; what those keep by far is not looked at in the others."""
FAR_TO_SEEK, FAR_TO_DRAW = (1.0, 0.1), (0.5, 1.0)
"""Kept by far is what is kept by more than so many times what would be noticed and, beyond that, this share of what it
ranged over.  Where levers move over all their ranges that is more, and it is asked for again of what is proposed;
draws lie close together, and nothing is asked again.  [-]"""
ROUNDS = 5
STARTS = 6
ALIKE = 1e-4
"""Aims, or smallest margins, that count as the same.  [-]"""
LATTICE = {1: 65, 2: 33, 3: 13}
"""Even settings of each of so many levers, among which seeking with these alone begins."""
FAR_OFF = 2.0
"""What no setting of a lattice misses by less is not sought: between two of them figures change by less.  [-]"""
MOST_ROUNDED = 512
"""Ways to round a proposal, at most."""
BARE = 0.02
"""Margin, as a share of the smallest noticeable difference, by which a proposal must meet its wishes so that rounding
cannot break them.  [-]"""


@dataclass(frozen=True, eq=False, kw_only=True)
class Terms:
    """All that is asked of a candidate, as one list: a figure, at a place, at least or at most.

    Attributes
    ----------
    watched : tuple of Watched
    owner : (m,) int array
        Which of them each term is of.
    row : (m,) int array
        Which of its values.
    side : (m,) int array
        0 where the least counts, 1 where the most does.
    sign, limit, notice : (m,) array
        1 for at least, -1 for at most; what is asked, nan where nothing is; what would be noticed.  [SI]
    """

    watched: tuple[Watched, ...]
    owner: Ints
    row: Ints
    side: Ints
    sign: Floats
    limit: Floats
    notice: Floats

    @classmethod
    def of(cls, watched: Sequence[Watched]) -> Terms:
        """Terms of wishes; what is only watched has one at most that asks for nothing.

        Parameters
        ----------
        watched : sequence of Watched
        """
        rows: list[tuple[int, int, int, float, float, float]] = []
        for number, each in enumerate(watched):
            wish = each.wish
            asked = [
                (side, sign, limit) for side, sign, limit in ((0, 1.0, wish.at_least), (1, -1.0, wish.at_most))
                if math.isfinite(limit)
            ] or [(1, -1.0, math.nan)]
            for side, sign, limit in asked:
                rows += [
                    (number, row, side, sign, limit, notice) for row, notice in enumerate(each.notices)
                ]
        columns = list(zip(*rows, strict=True)) or [()] * 6
        owner, row_, side_ = (np.array(columns[k], dtype=np.int64) for k in (0, 1, 2))
        sign_, limit_, notice_ = (np.array(columns[k], dtype=float) for k in (3, 4, 5))
        return cls(
            watched=tuple(watched), owner=owner, row=row_, side=side_, sign=sign_, limit=limit_, notice=notice_
        )

    @property
    def asked(self) -> NDArray[np.bool_]:
        """(m,) which ask for something."""
        return np.isfinite(self.limit)

    def spread(self, reserve: Floats | None) -> Floats:
        """(m,) reserve of each term, from that of its wish at least and at most; none without.  [-]

        Parameters
        ----------
        reserve : (wishes, 2) array or None
            [-]
        """
        return np.zeros(len(self.owner)) if reserve is None else np.asarray(reserve[self.owner, self.side])

    def values(self, case: AdvisedRig, without: NDArray[np.bool_] | None = None) -> Floats:
        """(m,) exact values of a candidate.  [SI]

        Parameters
        ----------
        case : AdvisedRig
        without : (m,) bool array, optional
            Terms that need not be known: nan, where nothing else of theirs is asked for.
        """
        watched = self.watched if without is None else self.wanted(~without)
        case.prepare(watched)
        found = [case.values(each) for each in watched]
        if without is None:
            return np.array([found[o][r, s] for o, r, s in zip(self.owner, self.row, self.side, strict=True)])
        out = np.full(len(self.owner), np.nan)
        for k in np.flatnonzero(~without).tolist():
            whole, mine, row = self.watched[self.owner[k]], watched[self.owner[k]], int(self.row[k])
            if row >= whole.plain:  # Fewer measurands may be left.
                row = mine.plain + mine.measurands.index(whole.measurands[row - whole.plain])
            out[k] = found[self.owner[k]][row, self.side[k]]
        return out

    def wanted(self, wanted: NDArray[np.bool_]) -> tuple[Watched, ...]:
        """What is watched, with nothing but that of which something is wanted.

        Parameters
        ----------
        wanted : (m,) bool array
        """
        out = []
        for number, each in enumerate(self.watched):
            rows = set(self.row[wanted & (self.owner == number)].tolist())
            measurands = tuple(one for k, one in enumerate(each.measurands) if each.plain + k in rows)
            plain = any(row < each.plain for row in rows)
            mine = replace(each, measurands=measurands)
            out.append(mine if plain else replace(mine, places=(), handed=()))
        return tuple(out)

    def kept_by_far(self, values: Floats, far: tuple[float, float]) -> NDArray[np.bool_]:
        """(m,) terms that nothing is asked of, or that are kept by far.

        Parameters
        ----------
        values : (n, m) array
            Of candidates, or draws.  [SI]
        far : (float, float)
            `FAR_TO_SEEK` or `FAR_TO_DRAW`.  [-]
        """
        margins = np.array([self.margins(each) for each in values])
        with np.errstate(invalid="ignore"):
            low, high = np.min(margins, axis=0), np.max(margins, axis=0)
            return np.asarray(~self.asked | (low > far[0] + far[1] * (high - low)))

    def margins(self, values: Floats) -> Floats:
        """(m,) by how much more than needed is left, over what would be noticed; inf where nothing is asked.  [-]"""
        left = self.sign * (values - self.limit) / self.notice
        return np.where(self.asked, left, np.inf)


@dataclass(frozen=True, eq=False, kw_only=True)
class Tried:
    """A candidate that was solved.

    Attributes
    ----------
    values : (d,) array
        Of the levers.  [N, -, count or m]
    keys : dict of str to str
        What is tried in the scene.
    case : AdvisedRig
    found : (m,) array
        Exact values of the terms.  [SI]
    margins : (m,) array
        [-]
    """

    values: Floats
    keys: dict[str, str]
    case: AdvisedRig
    found: Floats
    margins: Floats

    @property
    def least(self) -> float:
        """Smallest margin.  [-]"""
        return float(np.min(self.margins, initial=np.inf))


class Proposal(NamedTuple):
    """(d,) levers, and whether all that is wanted is kept there by the surfaces.  [-]"""

    u: Floats
    ok: bool


class PlanSearch:
    """All that was solved of one scene, and surfaces through it.

    Parameters
    ----------
    scene : Scene
    watched : sequence of Watched
    levers : sequence of Lever
    index : GroundIndex or None
    seed : int
        Another one takes other points.
    """

    def __init__(
        self, scene: Scene, watched: Sequence[Watched], levers: Sequence[Lever], index: GroundIndex | None, *,
        seed: int = 0,
    ) -> None:
        self.scene, self.levers, self.index, self.seed = scene, tuple(levers), index, seed
        self.terms = Terms.of(watched)
        self.solved = 0
        self.known: dict[tuple[tuple[str, str], ...], AdvisedRig] = {}
        self.u = np.zeros((0, len(levers)))
        self.y = np.zeros((0, len(self.terms.owner)))
        self.idle = np.zeros(len(self.terms.owner), dtype=bool)
        self.cases: list[AdvisedRig] = []
        self.deeper: Deeper | None = None
        self.u0 = np.array([lever.share(lever.now) for lever in levers])
        self.surfaces: Surfaces | None = None

    # Exact

    def values(self, u: Floats) -> Floats:
        """(d,) values of the levers, rounded to what hands can set."""
        return np.array([lever.rounded(lever.value(float(each))) for lever, each in zip(self.levers, u, strict=True)])

    def whole(self, u: Floats) -> Floats:
        """(d,) values of the levers, counted ones whole, others as they come."""
        values = [lever.value(float(each)) for lever, each in zip(self.levers, u, strict=True)]
        return np.array([
            round(value) if lever.whole else value for lever, value in zip(self.levers, values, strict=True)
        ])

    def shares(self, values: Floats) -> Floats:
        """(d,) where values lie in their ranges.  [-]"""
        return np.array([lever.share(float(each)) for lever, each in zip(self.levers, values, strict=True)])

    def rig(self, keys: dict[str, str]) -> Rig:
        """The rig of the scene with keys tried."""
        return (self.scene.what_if(keys) if keys else self.scene).rig

    def solve(self, values: Floats) -> Tried | None:
        """A candidate solved exactly; None where it is none.

        What no surface is laid through is solved where all else is kept: elsewhere its margins are infinite.

        Parameters
        ----------
        values : (d,) array
            Of the levers.  [N, -, count or m]
        """
        try:
            keys, case = self._case(values)
            found = self.terms.values(case, self.idle if self.idle.any() else None)
            margins = self.terms.margins(found)
            if self.idle.any() and np.all(margins[~self.idle] >= 0.0):
                found = self.terms.values(case)
                margins = self.terms.margins(found)
        except LinescopeError:
            return None
        margins = np.where(self.idle & np.isnan(margins), np.inf, margins)
        return Tried(values=values, keys=keys, case=case, found=found, margins=margins)

    def _case(self, values: Floats) -> tuple[dict[str, str], AdvisedRig]:
        """Keys of a candidate, and what is solved of it."""
        keys = tried_for(self.scene, self.levers, values.tolist())
        name = tuple(sorted(keys.items()))
        case = self.known.get(name)
        if case is None:
            self.solved += 1
            case = self.known[name] = AdvisedRig(self.rig(keys), self.index)
            case.see(self.deeper)
        return keys, case

    # Surfaces

    def sample(self, tell: Tell) -> None:
        """Exact solves all over the ranges of the levers.

        Parameters
        ----------
        tell : callable
            Told the share done.
        """
        d = len(self.levers)
        count = max(FEWEST, math.ceil(PER_TERM * (d + 1) * (d + 2) / 2))
        shares = points(d)[:count]
        if self.seed:
            shares = (shares + np.random.default_rng(self.seed).random(d)) % 1.0
        rows = []
        for share in [np.clip(self.u0, 0.0, 1.0), *shares]:
            values = self.whole(share)
            try:
                self.cases.append(self._case(values)[1])
            except LinescopeError:
                continue
            rows.append(self.shares(values))
        self.u = np.array(rows).reshape(-1, d)
        self._lay(tell)

    def watch(self, watched: Sequence[Watched]) -> None:
        """Look at more places: what was sampled is asked for them as well.

        Parameters
        ----------
        watched : sequence of Watched
        """
        self.terms = Terms.of(watched)
        for name in ("loops", "_cut"):
            self.__dict__.pop(name, None)
        for case in self.known.values():
            case.see(self.deeper)
        self._lay(lambda share: None)

    def need(self, which: NDArray[np.bool_]) -> None:
        """Lay surfaces through terms that so far were too far from what is asked to matter.

        Parameters
        ----------
        which : (m,) bool array
        """
        if np.any(which & self.idle):
            self._lay(lambda share: None, self.idle & ~which)

    def _lay(self, tell: Tell, idle: NDArray[np.bool_] | None = None) -> None:
        """Surfaces through what was sampled; of terms that are kept by far wherever it was looked first none are laid.
        """
        count = len(self.terms.owner)
        values, self.idle = np.full((len(self.cases), count), np.nan), np.zeros(count, dtype=bool)
        if idle is not None:
            self.idle = idle
        for k, case in enumerate(self.cases):
            if k == SCOUTS and idle is None:
                self.idle = self.terms.kept_by_far(values[:k], FAR_TO_SEEK)
            if k in (0, SCOUTS):
                some = self.cases[:SCOUTS] if k == 0 else self.cases[SCOUTS:]
                walk_together(some, self.terms.wanted(~self.idle) if self.idle.any() else self.terms.watched)
            try:
                values[k] = self.terms.values(case, self.idle if self.idle.any() else None)
            except LinescopeError:
                continue
            finally:
                tell((k + 1) / len(self.cases))
        values[:, self.idle] = np.nan
        self.y = np.where(np.isfinite(values), values, np.nan)
        if len(self.cases):
            self.surfaces = Surfaces.through(self.u, self.bent(self.u, self.y))

    @property
    def out_of_reach(self) -> NDArray[np.bool_]:
        """(m,) terms that are short wherever it was sampled, by more than they range over there: no levers of these
        ranges keep them, and none are sought to."""
        margins = np.array([self.terms.margins(row) for row in self.y]).reshape(self.y.shape)
        known = np.isfinite(margins)
        low = np.min(np.where(known, margins, np.inf), axis=0, initial=np.inf)
        high = np.max(np.where(known, margins, -np.inf), axis=0, initial=-np.inf)
        enough = np.sum(known, axis=0) >= FEWEST
        return np.asarray(enough & self.terms.asked & (high + (high - low) < 0.0))

    @property
    def guided(self) -> NDArray[np.bool_]:
        """(m,) terms that have a surface."""
        assert self.surfaces is not None
        return np.isfinite(self.surfaces.constant) & ~self.idle

    @cached_property
    def loops(self) -> NDArray[np.bool_]:
        """(m,) which terms are depths of loops."""
        return np.array([self.terms.watched[k].wish.figure.startswith("loops ") and not
                         self.terms.watched[k].wish.wished.ground for k in self.terms.owner], dtype=bool)

    @cached_property
    def _cut(self) -> tuple[Floats, Floats, Floats]:
        """Length, count and more of `Bent`."""
        m = len(self.terms.owner)
        length, count, more = np.ones(m), np.ones(m), np.zeros((m, len(self.levers)))
        known: dict[int | None, tuple[float, float, Floats]] = {}
        for k in np.flatnonzero(self.loops).tolist():
            zone = self.terms.watched[self.terms.owner[k]].wish.zone
            if zone not in known:
                known[zone] = counts_of(self.scene.rig, self.levers, zone)
            length[k], count[k], more[k] = known[zone]
        return length, count, more

    @property
    def laid(self) -> Bent:
        """The surfaces, with bays for those of loops."""
        assert self.surfaces is not None
        length, count, more = self._cut
        return Bent(surfaces=self.surfaces, loops=self.loops, length=length, count=count, more=more)

    def foreteller(self, wishes: Sequence[Wish]) -> Foreteller | None:
        """What foretells wishes, the first of those that are watched; None where no surfaces were laid.

        Parameters
        ----------
        wishes : sequence of Wish
        """
        if self.surfaces is None:
            return None
        return Foreteller(
            levers=self.levers, wishes=tuple(wishes), owner=self.terms.owner, guided=self.guided, bent=self.laid
        )

    def bent(self, u: Floats, y: Floats) -> Floats:
        """(n, m) what surfaces are laid through: a loop's depth over its bay squared goes with its excess, straight.

        Parameters
        ----------
        u : (n, d) array
            Levers.  [-]
        y : (n, m) array
            Values of the terms.  [SI]
        """
        if not self.loops.any():
            return y
        length, count, more = self._cut
        bays = length / np.maximum(count + np.atleast_2d(u) @ more.T, 1.0)
        return np.where(self.loops, (y / bays) ** 2, y)

    def predicted(self, u: Floats, shift: Floats | None = None) -> tuple[Floats, Floats]:
        """(m,) values that the surfaces foretell, and (m, d) their slopes.

        Parameters
        ----------
        u : (d,) array
            Levers.  [-]
        shift : (m,) array, optional
            What is added to the surfaces.  [of what they are laid through]
        """
        return self.laid.at(u, shift)

    # Seeking

    def seek(
        self, aim: Aim, *, free: Sequence[int] | None = None, reserve: Floats | None = None,
        only: NDArray[np.bool_] | None = None, rounds: int = ROUNDS, starts: int = STARTS,
        first: Proposal | None = None,
    ) -> Tried | None:
        """The candidate that keeps its wishes, and serves an aim best, or that comes nearest to it; solved exactly.

        Parameters
        ----------
        aim : callable
            From (d,) levers to what shall be small, and its slopes.
        free : sequence of int, optional
            Levers that may move; default all.
        reserve : (wishes, 2) array, optional
            Margin wanted beyond what is asked at least, and at most.  [-]
        only : (m,) bool array, optional
            Terms that count; default all that ask for something.
        rounds, starts : int
        first : Proposal, optional
            To begin with, where it is known.
        """
        wanted = self.terms.asked if only is None else only & self.terms.asked
        more = np.maximum(self.terms.spread(reserve), BARE)
        shift, extra = np.zeros(len(wanted)), np.zeros(len(wanted))
        best, most = None, -math.inf
        for turn in range(rounds):
            if best is not None:
                self.need(wanted & (best.margins < 0.0))
            u, ok = first if turn == 0 and first is not None else self.propose(
                aim, free, more + extra, wanted, shift, starts if turn == 0 else 3, best
            )
            if not ok and free is not None and not self._hopeful(u, wanted, shift if turn else None):
                break
            found = self.solve(self._set(u, aim, free, more + extra, wanted, shift))
            if found is None:
                break
            sought = more if reserve is not None else 0.0
            left = float(np.min((found.margins - sought)[wanted], initial=np.inf))
            if left > most:
                best, most = found, left
            if left >= 0.0:
                return found
            at = self.shares(found.values)
            z = self.surfaces.at(at) if self.surfaces is not None else np.zeros(len(wanted))
            new = self.bent(at[None], found.found[None])[0] - z
            shift = np.where(np.isfinite(new), new, shift)
            if turn:  # Else it may be no more than what the surfaces missed.
                extra = extra + np.where(wanted, np.clip(sought - found.margins, 0.0, 0.5) + BARE, 0.0)
        return best

    def _set(
        self, u: Floats, aim: Aim, free: Sequence[int] | None, more: Floats, wanted: NDArray[np.bool_], shift: Floats
    ) -> Floats:
        """(d,) values that hands can set beside a proposal: the nearest, where the surfaces say that it keeps what is
        wanted; else of those a step up or down the one that serves the aim best and keeps it, or that misses it least.
        """
        wanted = wanted & self.guided
        nearest = self.values(u)
        options: list[tuple[float, ...]] = []
        for k, (lever, at) in enumerate(zip(self.levers, nearest.tolist(), strict=True)):
            fixed = lever.whole or (free is not None and k not in free)
            beside = lever.value(float(u[k])) / lever.step
            ends = (lever.rounded(lever.step * math.floor(beside)), lever.rounded(lever.step * math.ceil(beside)))
            options.append((at,) if fixed else tuple(dict.fromkeys((at, *ends))))

        def missed(values: Floats) -> float:
            z, _ = self.predicted(self.shares(values), shift)
            return max(0.0, float(np.max((more - self.terms.margins(z))[wanted], initial=0.0)))

        if missed(nearest) <= 0.0:
            return nearest
        every = [np.array(values) for values in itertools.islice(itertools.product(*options), MOST_ROUNDED)]
        return min(every, key=lambda values: (missed(values), aim(self.shares(values))[0]))

    def foretold(self, aim: Aim, free: Sequence[int]) -> Proposal | None:
        """What some levers come to by the surfaces; None where they cannot but break a wish.

        Parameters
        ----------
        aim : callable
        free : sequence of int
            Levers that may move.
        """
        wanted = self.terms.asked
        begun = None
        if len(free) in LATTICE:
            begun, most = self._best_of_lattice(free, wanted)
            if most < -FAR_OFF:
                return None
        bare = np.full(len(wanted), BARE)
        u, ok = self.propose(aim, free, bare, wanted, np.zeros(len(wanted)), begun=begun)
        return Proposal(u, ok) if ok or self._hopeful(u, wanted) else None

    def _best_of_lattice(
        self, free: Sequence[int], wanted: NDArray[np.bool_], shift: Floats | None = None
    ) -> tuple[Floats, float]:
        """Of even settings of a few levers, (d,) the one that misses least by the surfaces, and the largest that the
        smallest margin may be, with what they miss.  [-]"""
        assert self.surfaces is not None
        ends = [np.linspace(0.0, 1.0, LATTICE[len(free)])] * len(free)
        us = np.repeat(np.clip(self.u0, 0.0, 1.0)[None], LATTICE[len(free)] ** len(free), axis=0)
        us[:, list(free)] = np.stack(np.meshgrid(*ends, indexing="ij"), axis=-1).reshape(len(us), -1)
        z = self.laid.values(us, shift)
        margins, mine = self.terms.margins(z), wanted & self.guided
        best = int(np.argmax(np.min(margins[:, mine], axis=1, initial=np.inf)))
        missed = 2.0 * self.laid.missed(self.surfaces.error, us, z) / self.terms.notice
        return us[best], float(np.max(np.min((margins + missed)[:, mine], axis=1, initial=np.inf)))

    def _hopeful(self, u: Floats, wanted: NDArray[np.bool_], shift: Floats | None = None) -> bool:
        """Whether what is short at a proposal may be no more than what the surfaces miss there: twice their error and a
        little; once, where they were shifted to what was solved beside it."""
        assert self.surfaces is not None
        z, _ = self.predicted(u, shift)
        missed = self.laid.missed(self.surfaces.error, u, z) / self.terms.notice
        room = missed if shift is not None else 2.0 * missed + 0.1
        return bool(np.all((self.terms.margins(z) + room)[wanted & self.guided] > 0.0))

    def short(self, u: Floats, wanted: NDArray[np.bool_], shift: Floats) -> float:
        """Smallest margin foretold.  [-]"""
        return float(np.min(self.terms.margins(self.predicted(u, shift)[0])[wanted], initial=np.inf))

    def propose(
        self, aim: Aim, free: Sequence[int] | None, more: Floats, wanted: NDArray[np.bool_], shift: Floats,
        starts: int = STARTS, near: Tried | None = None, begun: Floats | None = None,
    ) -> Proposal:
        """Levers that serve an aim best on the surfaces, counted ones whole; and whether wishes are kept there.

        Parameters
        ----------
        aim : callable
        free : sequence of int or None
        more : (m,) array
            Margins wanted.  [-]
        wanted : (m,) bool array
        shift : (m,) array
            What is added to the surfaces.  [of what they are laid through]
        starts : int
        near : Tried, optional
            Where to begin as well.
        begun : (d,) array, optional
            The best of the lattice of these levers, where it is known.  [-]
        """
        d, wanted = len(self.levers), wanted & self.guided
        at0 = np.clip(self.u0, 0.0, 1.0)
        fixed = {} if free is None else {k: at0[k] for k in range(d) if k not in free}
        begin = [at0] if near is None else [self.shares(near.values), at0]
        if free is not None and len(free) in LATTICE:
            begin.append(self._best_of_lattice(free, wanted, shift)[0] if begun is None else begun)
        else:
            rng = np.random.default_rng(1)
            begin += [self.u[k] for k in rng.choice(len(self.u), min(starts, len(self.u)), replace=False)]
        u, ok = self._smooth(aim, fixed, more, wanted, shift, begin)
        for k in [k for k, lever in enumerate(self.levers) if lever.whole and k not in fixed]:
            lever, options = self.levers[k], []
            value = lever.value(float(u[k]))
            for whole in {math.floor(value + 1e-6), math.ceil(value - 1e-6)}:
                there = {**fixed, k: float(np.clip(lever.share(float(whole)), 0.0, 1.0))}
                got, kept = self._smooth(aim, there, more, wanted, shift, [u])
                options.append((not kept, aim(got)[0] if kept else -self.short(got, wanted, shift), whole, got, there))
            _, _, _, u, fixed = min(options, key=lambda item: item[:3])
            ok = not min(options, key=lambda item: item[:3])[0]
        return Proposal(u, ok)

    def _smooth(
        self, aim: Aim, fixed: dict[int, float], more: Floats, wanted: NDArray[np.bool_], shift: Floats,
        begin: Sequence[Floats],
    ) -> tuple[Floats, bool]:
        which, terms = np.flatnonzero(wanted), self.terms
        sign, notice = terms.sign[which], terms.notice[which]
        memory: dict[bytes, tuple[Floats, Floats]] = {}

        def margins(u: Floats) -> tuple[Floats, Floats]:
            key = u.tobytes()
            if key not in memory:
                memory.clear()
                z, slopes = self.predicted(u, shift)
                left = (sign * (z[which] - terms.limit[which])) / notice - more[which]
                memory[key] = left, (sign / notice)[:, None] * slopes[which]
            return memory[key]

        bounds = [(fixed[k], fixed[k]) if k in fixed else (0.0, 1.0) for k in range(len(self.levers))]
        best: tuple[tuple[bool, float], Floats] | None = None
        for start in begin:
            u = np.clip(np.array([fixed.get(k, float(each)) for k, each in enumerate(start)]), 0.0, 1.0)
            found = minimize(
                lambda at: aim(at), u, jac=True, bounds=bounds, method="SLSQP", options={"maxiter": 60},
                constraints=[{"type": "ineq", "fun": lambda at: margins(at)[0], "jac": lambda at: margins(at)[1]}],
            ).x
            found = np.clip(np.nan_to_num(found), 0.0, 1.0)
            least = float(np.min(margins(found)[0], initial=np.inf))
            key = (least < -1e-6, aim(found)[0] if least >= -1e-6 else -least)
            alike = best is not None and best[0][0] == key[0] and abs(best[0][1] - key[1]) < ALIKE
            if best is None or key < best[0]:
                best = key, found
            if alike:  # From two ways the same: there is hardly another.
                break
        assert best is not None
        return best[1], not best[0][0]

    # Aims

    def least_change(self, u: Floats) -> tuple[float, Floats]:
        """Levers moved by shares of their ranges, squared."""
        away = u - self.u0
        return float(away @ away), 2.0 * away

    def nearest(
        self, reserve: Floats | None = None, only: NDArray[np.bool_] | None = None, *, rounds: int = 3,
        free: Sequence[int] | None = None,
    ) -> Tried | None:
        """The candidate whose worst wish is kept best, or missed least; with a reserve, of which most is had by the
        wish that has the least share of it.

        Parameters
        ----------
        reserve : (wishes, 2) array, optional
            Margin wanted beyond what is asked at least, and at most.  [-]
        only : (m,) bool array, optional
            Terms whose worst counts, while all others are kept; default all.
        rounds : int
        free : sequence of int, optional
            Levers that may move; default all.
        """
        wanted = self.terms.asked if only is None else only & self.terms.asked
        held = self.terms.asked & ~wanted
        shift, best = np.zeros(len(wanted)), None
        for _ in range(rounds):
            if best is not None:
                self.need(self.terms.asked & (best[1].margins < 0.0))
            if not np.any(wanted & self.guided):
                break
            u = self._fairest(wanted & self.guided, held & self.guided, shift, reserve, free)
            found = self.solve(self.values(u))
            if found is None:
                break
            left = found.margins if reserve is None else found.margins / np.maximum(self.terms.spread(reserve), BARE)
            broken = float(np.min(found.margins[held], initial=0.0))
            key = (broken >= 0.0, float(left[wanted].min()) if broken >= 0.0 else broken)
            if best is None or key > best[0]:
                best = key, found
            at = self.shares(found.values)
            assert self.surfaces is not None
            shift = self.bent(at[None], found.found[None])[0] - self.surfaces.at(at)
            shift = np.where(np.isfinite(shift), shift, 0.0)
        return None if best is None else best[1]

    def _fairest(
        self, wanted: NDArray[np.bool_], held: NDArray[np.bool_], shift: Floats, reserve: Floats | None,
        free: Sequence[int] | None,
    ) -> Floats:
        """Levers that maximise the smallest margin t of the wanted terms, or share t of its reserve, while the held
        terms are met; solved for levers and t together."""
        which = np.flatnonzero(wanted | held)
        terms, d, loose = self.terms, len(self.levers), wanted[which].astype(float)
        more = np.where(wanted[which], 0.0, BARE)
        if reserve is not None:
            loose = loose * np.maximum(terms.spread(reserve)[which], BARE)
        at0 = np.clip(self.u0, 0.0, 1.0)
        ends = [(0.0, 1.0) if free is None or k in free else (at0[k], at0[k]) for k in range(d)]

        def left(x: Floats) -> Floats:
            z, _ = self.predicted(x[:d], shift)
            return np.asarray(
                terms.sign[which] * (z[which] - terms.limit[which]) / terms.notice[which] - more - loose * x[d]
            )

        def slopes(x: Floats) -> Floats:
            _, each = self.predicted(x[:d], shift)
            return np.column_stack([(terms.sign / terms.notice)[which, None] * each[which], -loose])

        down = np.append(np.zeros(d), -1.0)
        rng = np.random.default_rng(2)
        some = rng.choice(len(self.u), min(STARTS, len(self.u)), replace=False)
        best: tuple[tuple[bool, float], Floats] | None = None
        for start in [at0, *self.u[some]]:
            start = np.clip(start, *np.array(ends).T)
            worst = float((left(np.append(start, 0.0))[loose > 0.0] / loose[loose > 0.0]).min())
            found = minimize(
                lambda x: (-x[d], down), np.append(start, worst), jac=True, method="SLSQP",
                bounds=[*ends, (None, None)], options={"maxiter": 80},
                constraints=[{"type": "ineq", "fun": left, "jac": slopes}],
            ).x
            u = np.clip(np.nan_to_num(found[:d]), 0.0, 1.0)
            each = left(np.append(u, 0.0))
            broken = float(np.min(each[loose == 0.0], initial=0.0))
            best_left = float((each[loose > 0.0] / loose[loose > 0.0]).min())
            key = (broken > -1e-6, best_left if broken > -1e-6 else broken)
            if best is None or key > best[0]:
                best = key, u
        assert best is not None
        return best[1]

    def corners(self, count: int = 3, most: int = 8) -> Tried | None:
        """A second method, without surfaces: damped Gauss-Newton on what is short, solved exactly, from corners of the
        ranges; the candidate that comes nearest, rounded.

        Parameters
        ----------
        count : int
            Corners.
        most : int
            Steps from each.
        """
        from scipy.optimize import least_squares

        d, asked = len(self.levers), self.terms.asked & ~self.idle
        with np.errstate(invalid="ignore"):
            ever_short = asked & ~np.all(np.array([self.terms.margins(row) for row in self.y]) >= BARE, axis=0)
        asked = ever_short if ever_short.any() else asked  # What all candidates keep is looked at in the end.

        def short(u: Floats) -> Floats:
            try:
                margins = self.terms.margins(self.terms.values(self._case(self.whole(u))[1], ~asked))[asked]
            except LinescopeError:
                return np.full(int(asked.sum()), 10.0)
            return np.nan_to_num(np.maximum(BARE - margins, 0.0), nan=10.0)

        best: Tried | None = None
        for share in points(d)[:count]:
            corner = np.where(share > 0.5, 0.85, 0.15)
            ended = least_squares(short, corner, bounds=(0.0, 1.0), diff_step=0.06, max_nfev=most).x
            found = self.solve(self.values(ended))
            if found is not None and (best is None or found.least > best.least):
                best = found
            if best is not None and best.least >= 0.0:
                break
        return best
