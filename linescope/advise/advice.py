"""From what is wished to plans that give it: the smallest set of changes first, then plans unlike it, each solved
exactly as it would be loaded from its file, and checked by the clearance.

"Impossible" is a statement about levers, their ranges and surfaces.  It is made only past a gate: surfaces that
foretell well, an exact solve that agrees, and a second method that finds nothing either.  Else a plan was *not found*.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from linescope.advise.case import AdvisedRig, Watched, counted_of, watched_of
from linescope.advise.explain import LeverShare, parts_of
from linescope.advise.hands import DrawnPlan, drawn_of
from linescope.advise.levers import Lever, instead, levers_of
from linescope.advise.price import Price, price_of
from linescope.advise.search import PlanSearch, Tried
from linescope.clearance import Cause, Clearance, GroundIndex, find_clearance
from linescope.clearance.finding import Verdict
from linescope.errors import InputError, LinescopeError
from linescope.events.deeper import find_deeper
from linescope.motion.inputs import inputs_of_rig
from linescope.rig import ClearanceNeeds, Rig, Wish
from linescope.scene import Scene
from linescope.terrain import load_ground

Floats = NDArray[np.float64]
Tell = Callable[..., None]

DRAWS = 32
ENOUGH = 0.9
"""Share of draws in which a plan keeps all its wishes before it is said to be held.  [-]"""
MOST_PLANS = 4
UNLIKE = 0.12
"""Two plans count as different if at least one lever differs by more than this share of its range.  [-]"""
PASSES = 3
"""How often a worst place is handed back to the search."""
TOLD = 0.9
"""What surfaces must foretell before anything is called impossible.  [-]"""
LISTED = 6


class AdviceVerdict(StrEnum):
    """What an advice comes to."""

    KEPT = "kept"  # The scene has what is wished already.
    FOUND = "found"
    NOT_FOUND = "not found"
    IMPOSSIBLE = "impossible"
    NOTHING = "nothing wished"


class PlanReason(StrEnum):
    """What a plan is for."""

    NOW = "now"
    FEWEST = "fewest changes"
    RESERVE = "with a reserve"
    TAPES = "fewest tapes"
    PULL = "softest pull"
    REACH = "least drop if the main goes"
    NEAREST = "nearest"


@dataclass(frozen=True, kw_only=True)
class Ask:
    """How an advice is sought.

    Attributes
    ----------
    wishes : tuple of Wish
        Besides those of the scene.
    draws : int
        Of what hands and inputs may be, in which each plan is solved; 0 for none.
    check : bool
        Whether plans are checked by the clearance where there is a ground.
    most : int
        Plans.
    seed : int
        Another one samples other points.
    """

    wishes: tuple[Wish, ...] = ()
    draws: int = DRAWS
    check: bool = True
    most: int = MOST_PLANS
    seed: int = 0


@dataclass(frozen=True, eq=False, kw_only=True)
class Kept:
    """What a plan makes of one wish.

    Attributes
    ----------
    wish : Wish
    least, most : float
        The figure, over all places looked at.  [SI]
    left : float
        The smallest of what is left over what is asked; negative where it is short, nan where it is not known.  [SI]
    at : float
        Where that is, from A along the straight line; nan for figures of bays and the rig.  [m]
    low, high : float
        Between which the figure lay in 90 % of the draws; nan where none were made.  [SI]
    share : float
        Of the draws that kept it; nan where none were made.  [-]
    parts : tuple of LeverShare
        Which lever moved it how far from what it is now.
    """

    wish: Wish
    least: float
    most: float
    left: float
    at: float
    low: float = math.nan
    high: float = math.nan
    share: float = math.nan
    parts: tuple[LeverShare, ...] = ()

    @property
    def is_met(self) -> bool:
        """Whether it is kept as solved."""
        return self.left >= 0.0


@dataclass(frozen=True, kw_only=True)
class Set:
    """A lever of a plan.

    Attributes
    ----------
    lever : Lever
    value : float
        [N, -, count or m]
    """

    lever: Lever
    value: float

    @property
    def moved(self) -> bool:
        """Whether it is not as in the scene."""
        return self.value != self.lever.now


@dataclass(frozen=True, eq=False, kw_only=True)
class Option:
    """A plan.

    Attributes
    ----------
    why : PlanReason
    instead : str
        Another style or webbing; "" for the scene's own.
    tried : dict of str to str
        Keys of the scene and their values: what is kept when it is adopted.
    levers : tuple of Set
    wishes : tuple of Kept
    price : Price
    share : float
        Of the draws in which all wishes are kept; nan where none were made.  [-]
    clearance : Clearance or None
        None where it was not checked.
    short : tuple of Cause
        What its clearance finds short, which no wish of these asks for.
    verdict : Verdict or None
        Of that clearance, by what its own scene asks for: as its variant would be told.
    is_worse : bool
        Whether its clearance is worse than that of the scene as it is.
    """

    why: PlanReason
    instead: str
    tried: dict[str, str]
    levers: tuple[Set, ...]
    wishes: tuple[Kept, ...]
    price: Price
    share: float = math.nan
    clearance: Clearance | None = None
    short: tuple[Cause, ...] = ()
    verdict: Verdict | None = None
    is_worse: bool = False

    @property
    def is_clear(self) -> bool:
        """Whether its clearance found nothing short or unknown, or none was computed."""
        return self.verdict in (None, Verdict.KEPT, Verdict.NOT_ASKED)

    @property
    def is_met(self) -> bool:
        """Whether every wish is kept as solved."""
        return all(kept.is_met for kept in self.wishes)

    @property
    def is_held(self) -> bool:
        """Whether they are in enough of the draws."""
        return self.share >= ENOUGH


@dataclass(frozen=True, eq=False, kw_only=True)
class Gives:
    """What one wish has to give for the others to be kept.

    Attributes
    ----------
    wish : Wish
    by : float
        How far it is short then; nan where giving it up alone does not help.  [SI]
    """

    wish: Wish
    by: float


@dataclass(frozen=True, kw_only=True)
class More:
    """What a little more of a limit would give.

    Attributes
    ----------
    lever : Lever
    step : float
        Beyond the limit, with its sign.  [N, -, count or m]
    gain : float
        Of the wish that is missed most.  [SI]
    """

    lever: Lever
    step: float
    gain: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Quality:
    """How well the surfaces foretell a wish.

    Attributes
    ----------
    wish : Wish
    told : float
        The least share of variance foretold at any of its places.  [-]
    error : float
        The largest root mean square of what is missed.  [of what the surface is laid through]
    """

    wish: Wish
    told: float
    error: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Advice:
    """What was found.

    Attributes
    ----------
    rig : Rig
    verdict : AdviceVerdict
    wishes : tuple of Wish
    now : Option or None
        The scene as it is; None where nothing is wished.
    options : tuple of Option
    nearest : Option or None
        Where no plan was found: the one that comes nearest.
    gives : tuple of Gives
        Where none was found.
    conflict : tuple of Wish
        The smallest set of wishes that cannot be had together, as the surfaces say.
    more : tuple of More
    quality : tuple of Quality
    solves : int
        Candidates solved exactly.
    draws : int
        Of each plan.
    """

    rig: Rig
    verdict: AdviceVerdict
    wishes: tuple[Wish, ...]
    now: Option | None = None
    options: tuple[Option, ...] = ()
    nearest: Option | None = None
    gives: tuple[Gives, ...] = ()
    conflict: tuple[Wish, ...] = ()
    more: tuple[More, ...] = ()
    quality: tuple[Quality, ...] = ()
    solves: int = 0
    draws: int = 0

    @property
    def exit_status(self) -> int:
        """0 if there is what is wished, 3 if there is not, or the clearance of any plan is not kept or not known."""
        if self.verdict not in (AdviceVerdict.KEPT, AdviceVerdict.FOUND):
            return 3
        told = self.options or ((self.now,) if self.now is not None else ())
        return 0 if all(option.is_clear for option in told) else 3

    def option(self, letter: str) -> Option:
        """A plan by its letter, "a" for the first.

        Raises
        ------
        InputError
        """
        number = ord(letter) - ord("a") if len(letter) == 1 else -1
        if not 0 <= number < len(self.options):
            raise InputError(
                "there is no such plan", key="plan", found=letter,
                allowed=", ".join(chr(ord("a") + k) for k in range(len(self.options))) or "none was found",
            )
        return self.options[number]


def wishes_of(rig: Rig, more: Sequence[Wish] = ()) -> tuple[Wish, ...]:
    """All that is wished of a rig: by its scene, by required clearances, and of itself.

    A wish of the scene for a figure stands in place of the one that a required clearance makes.

    Parameters
    ----------
    rig : Rig
    more : sequence of Wish
    """
    given = [*rig.wishes, *more]
    named = {wish.figure for wish in given}
    made: list[Wish] = []
    needs = rig.needs
    if needs is not None and rig.ground is not None:
        added = needs.survey_error + needs.margin
        asked = {"line over ground": needs.line, "loops over ground": needs.loop}
        if rig.walker is not None:
            asked |= {
                "feet over ground in a leash fall": needs.body, "feet over ground if the main goes": needs.body,
            }
        made += [
            Wish(figure=figure, at_least=least + added, origin="clearance") for figure, least in asked.items()
            if figure not in named
        ]
    if rig.walker is not None and "excess with the walker" not in named:
        made.append(Wish(figure="excess with the walker", at_least=0.0, origin="itself"))
    limits = rig.limits
    if math.isfinite(limits.backup):
        made.append(Wish(figure="backup length", at_most=limits.backup))
    if math.isfinite(limits.taping):
        made.append(Wish(figure="taping time", at_most=limits.taping))
    found = [*given, *made]
    if rig.walker is None:
        found = [wish for wish in found if wish.wished.of in ("bays", "rig")]
    return tuple(found)


def advise(
    scene: Scene, ask: Ask | None = None, *, index: GroundIndex | None = None, ledges: Sequence[float] = (),
    progress: Tell | None = None,
) -> Advice:
    """Plans that give what is wished of a scene.

    Parameters
    ----------
    scene : Scene
    ask : Ask, optional
    index : GroundIndex, optional
        Of the scene's ground, where it was ordered before.
    ledges : sequence of float
        Places beside ledges, from A along the straight line.  [m]
    progress : callable, optional
        Told the share done, and what is done; may raise to stop.

    Raises
    ------
    InputError
        When a wish is for distances to a ground that there is not, or a figure that needs a walker without one.
    SolveError
        When the scene as it is cannot be solved.
    """
    rig = scene.rig
    if index is None and rig.ground is not None:
        index = GroundIndex(load_ground(rig.ground, rig.main_a, rig.main_b))
    return _Advising(scene, ask or Ask(), index, ledges, progress or _silent).run()


def _part(tell: Tell, begin: float, width: float, what: str) -> Callable[[float], None]:
    """Progress of a part of the whole."""
    return lambda share: tell(begin + width * share, what)


def _silent(share: float, what: str = "") -> None:
    """Nobody watches."""


@dataclass(eq=False)
class _Advising:
    scene: Scene
    ask: Ask
    index: GroundIndex | None
    ledges: Sequence[float]
    tell: Tell
    options: list[Option] = field(default_factory=list)
    found: list[tuple[PlanSearch, Tried]] = field(default_factory=list)
    checked_now: Clearance | None = None

    def run(self) -> Advice:
        rig = self.scene.rig
        wishes = wishes_of(rig, self.ask.wishes)
        self._refuse(rig, (*rig.wishes, *self.ask.wishes))
        if not wishes:
            return Advice(rig=rig, verdict=AdviceVerdict.NOTHING, wishes=())
        self.wishes = wishes
        watched = [watched_of(rig, wish, self.ledges) for wish in wishes]
        if rig.walker is not None:  # Only looked at: what a plan costs when the main goes.
            reach = Wish(figure="ring if the main goes")
            watched.append(Watched(wish=reach, places=(rig.walker.at,)))
        searches = []
        alternatives = instead(self.scene)
        for number, (name, keys) in enumerate(alternatives):
            scene = self.scene.what_if(keys) if keys else self.scene
            search = PlanSearch(scene, watched, levers_of(scene, wishes), self.index, seed=self.ask.seed)
            searches.append((name, keys, search))
            first = search.solve(np.array([lever.now for lever in search.levers]))
            if first is None:
                _ = search.terms.values(AdvisedRig(scene.rig, self.index))  # Raises what is wrong.
                raise LinescopeError("the scene as it is cannot be solved")
            if number == 0:
                self.now = first
                self._measure(search, first)
                kept = self._kept_now(search)
                if kept is not None:
                    return kept
            search.sample(_part(self.tell, 0.4 * number / len(alternatives), 0.4 / len(alternatives), "sampling"))
        own = searches[0][2]
        quality = self._quality(own)
        for name, keys, search in searches:
            self._plans(name, keys, search)
        again = own.solve(self.now.values)  # With every place that was handed back.
        self.now = self.now if again is None else again
        self._look_at_now(own)
        now = self._option(own, self.now, PlanReason.NOW, "", {}, self._share(own, self.now), self.checked_now)
        self._rank(now)
        solves = sum(search.solved for _, _, search in searches)
        base = Advice(
            rig=rig, verdict=AdviceVerdict.FOUND, wishes=wishes, now=now, options=tuple(self.options), quality=quality,
            solves=solves, draws=self.ask.draws,
        )
        self.tell(1.0, "done")
        if now.is_met and not self.options:
            return replace(base, verdict=AdviceVerdict.KEPT)
        return base if self.options else self._not_found(base, own)

    def _kept_now(self, search: PlanSearch) -> Advice | None:
        """The scene as it is, where it has all that is wished and is held: nothing is sought then."""
        self.own = search
        if self.now.least < 0.0:
            return None
        tried, self.checked_now = self._checked(search, self.now, search.least_change, None, None, passes=1)
        drawn = None if tried is None else self._drawn(search, tried)
        if tried is None or (drawn is not None and drawn.share < ENOUGH):
            return None
        now = self._option(search, tried, PlanReason.NOW, "", {}, drawn, self.checked_now)
        return Advice(
            rig=self.scene.rig, verdict=AdviceVerdict.KEPT, wishes=self.wishes, now=now, solves=search.solved,
            draws=self.ask.draws,
        )

    def _look_at_now(self, search: PlanSearch) -> None:
        """The clearance of the scene as it is, where that of a plan is to be compared with it."""
        if self.checked_now is None and any(not option.is_clear for option in self.options):
            self.checked_now = self._clearance(search, self.now)

    def _rank(self, now: Option) -> None:
        """Plans whose clearance is worse than now come last, and are marked."""
        marked = [replace(option, is_worse=is_worse(option, now)) for option in self.options]
        self.options = sorted(marked, key=lambda option: option.is_worse)

    def _clearance(self, search: PlanSearch, tried: Tried) -> Clearance:
        assert self.index is not None
        rig = with_needs(tried.case.rig, self.wishes)
        done = min(0.95, 0.55 + 0.1 * len(self.options))
        scene = search.scene.what_if(tried.keys) if tried.keys else search.scene
        deeper = None
        if rig.walker is not None:
            deeper = find_deeper(tried.case.planned, inputs=inputs_of_rig(tried.case.rig, scene.inputs))
        return find_clearance(
            rig, planned=replace(tried.case.planned, rig=rig), terrain=self.index, deeper=deeper,
            progress=_part(self.tell, done, 0.09, "checking"),
        )

    def _refuse(self, rig: Rig, given: Sequence[Wish]) -> None:
        for number, wish in enumerate(given, 1):
            if wish.wished.ground and self.index is None:
                raise InputError(
                    "this is wished of the ground, and there is none", key=f"wishes[{number}].figure",
                    found=wish.figure, allowed="a table [ground]",
                )
            if rig.walker is None and wish.wished.of not in ("bays", "rig"):
                raise InputError(
                    "this is wished with a walker, and there is none", key=f"wishes[{number}].figure",
                    found=wish.figure, allowed="a table [walker]",
                )

    # Plans

    def _plans(self, name: str, keys: dict[str, str], search: PlanSearch) -> None:
        """Options of one search: fewest levers, with a reserve, and unlike ones."""
        before = len(self.options)
        first = self._fewest(search)
        if first is None:
            return
        begun, free = first
        tried, check = self._checked(search, begun, search.least_change, free, None)
        if tried is None:
            tried, check = self._checked(search, None, search.least_change, None, None)
            free = None
        if tried is None:
            return
        drawn = self._drawn(search, tried)
        why = PlanReason.FEWEST
        reserve = None if drawn is None else drawn.reserve(tried.margins)
        if drawn is not None and drawn.share < ENOUGH and reserve is not None:
            again = search.seek(search.least_change, free=free, reserve=reserve)
            if again is not None and again.least >= 0.0 and again.keys != tried.keys:
                better, newer = self._checked(search, again, search.least_change, free, reserve)
                if better is not None:
                    redrawn = self._drawn(search, better)
                    if redrawn is not None and redrawn.share > drawn.share:
                        tried, check, drawn = better, newer, redrawn
        self._add(search, tried, why, name, keys, drawn, check)
        room = len(self.options) - before < self.ask.most
        if room and self.options and not self.options[-1].is_held and reserve is not None:
            self._more(search, PlanReason.RESERVE, search.least_change, reserve, name, keys)
        for why, aim in self._aims(search):
            if len(self.options) - before >= self.ask.most:
                break
            self._more(search, why, aim, reserve, name, keys)

    def _aims(self, search: PlanSearch) -> list[tuple[PlanReason, Callable[[Floats], tuple[float, Floats]]]]:
        names = [lever.name for lever in search.levers]
        found = []
        for why, name in ((PlanReason.TAPES, "bays"), (PlanReason.PULL, "pull")):
            axis = np.array([float(each == name) for each in names])
            if axis.any():
                found.append((why, _along(search, axis)))
        last = len(search.terms.owner) - 1
        if not search.terms.asked[last]:
            def reach(u: Floats) -> tuple[float, Floats]:
                z, slopes = search.told(u)
                k = int(np.flatnonzero(~search.terms.asked)[-1])
                change, up = search.least_change(u)
                return float(z[k]) / 5.0 + 0.05 * change, slopes[k] / 5.0 + 0.05 * up

            found.append((PlanReason.REACH, reach))
        return found

    def _more(
        self, search: PlanSearch, why: PlanReason, aim: Callable[[Floats], tuple[float, Floats]],
        reserve: Floats | None, name: str, keys: dict[str, str],
    ) -> None:
        """One option more, where it is unlike those that there are."""
        tried = search.seek(aim, reserve=reserve) if reserve is not None else None
        if why is PlanReason.RESERVE and reserve is not None and (tried is None or tried.least < 0.0):
            tried = search.nearest(reserve)
        if tried is None or tried.least < 0.0:
            tried, reserve = search.seek(aim), None
        if tried is None or tried.least < 0.0 or not self._unlike(search, tried):
            return
        got, check = self._checked(search, tried, aim, None, reserve)
        if got is None or not self._unlike(search, got):
            return
        self._add(search, got, why, name, keys, self._drawn(search, got), check)

    def _unlike(self, search: PlanSearch, tried: Tried) -> bool:
        u = search.shares(tried.values)
        return all(
            other is not search or bool(np.max(np.abs(u - search.shares(each.values))) > UNLIKE)
            for other, each in self.found
        )

    def _fewest(self, search: PlanSearch) -> tuple[Tried, Sequence[int] | None] | None:
        """The least change of the fewest levers that keeps all wishes; None where no set of them was found to."""
        if self.now.least >= 0.0 and search is self.own:
            return self.now, None
        d = len(search.levers)
        best: tuple[float, Tried, Sequence[int] | None] | None = None
        for size in range(1, min(d, 3) + 1):
            for free in itertools.combinations(range(d), size):
                tried = search.seek(search.least_change, free=free, starts=3, rounds=4)
                if tried is None or tried.least < 0.0:
                    continue
                change = search.least_change(search.shares(tried.values))[0]
                if best is None or change < best[0]:
                    best = change, tried, free
            self.tell(0.4 + 0.05 * size, "seeking")
            if best is not None:
                return best[1], best[2]
        tried = search.seek(search.least_change)
        return None if tried is None or tried.least < 0.0 else (tried, None)

    def _checked(
        self, search: PlanSearch, tried: Tried | None, aim: Callable[[Floats], tuple[float, Floats]],
        free: Sequence[int] | None, reserve: Floats | None, *, passes: int = PASSES,
    ) -> tuple[Tried | None, Clearance | None]:
        """A plan that its clearance agrees with: what comes too near is handed back to the search."""
        if tried is None:
            tried = search.seek(aim, free=free, reserve=reserve)
        check: Clearance | None = None
        for turn in range(passes):
            if tried is None or tried.least < 0.0:
                return None, check
            if self.index is None or not self.ask.check:
                return tried, None
            check = self._clearance(search, tried)
            handed = places_from(check, search.terms.watched, tried.case.rig)
            if not handed:
                return tried, check
            search.watch(handed)
            again = search.solve(tried.values)
            if again is not None and again.least >= 0.0:
                return again, check  # What clearance found is kept by a hair as solved again.
            if turn + 1 < passes:
                tried = search.seek(aim, free=free, reserve=reserve)
        return None, check

    # What is known of a plan

    def _drawn(self, search: PlanSearch, tried: Tried) -> DrawnPlan | None:
        if not self.ask.draws:
            return None
        scene = search.scene.what_if(tried.keys) if tried.keys else search.scene
        done = min(0.95, 0.5 + 0.1 * len(self.options))
        return drawn_of(
            scene, tried.case, search.terms, search.levers, self.ask.draws,
            _part(self.tell, done, 0.05, "drawing"),
        )

    def _share(self, search: PlanSearch, tried: Tried) -> DrawnPlan | None:
        """Draws of the scene as it is, where it has what is wished."""
        again = search.solve(tried.values)
        return self._drawn(search, tried) if again is not None and again.least >= 0.0 else None

    def _add(
        self, search: PlanSearch, tried: Tried, why: PlanReason, name: str, keys: dict[str, str],
        drawn: DrawnPlan | None, check: Clearance | None,
    ) -> None:
        if not tried.keys and not keys:
            return
        again = search.solve(tried.values)  # With every place that was handed back meanwhile.
        assert again is not None
        self.options.append(self._option(search, again, why, name, keys, drawn, check))
        self.found.append((search, again))

    def _measure(self, search: PlanSearch, now: Tried) -> None:
        if not np.isfinite(now.margins[search.terms.asked]).all():
            k = int(np.flatnonzero(search.terms.asked & ~np.isfinite(now.margins))[0])
            figure = search.terms.watched[int(search.terms.owner[k])].wish.figure
            raise InputError("this figure is not known on this line", key="wishes", found=figure)

    def _option(
        self, search: PlanSearch, tried: Tried, why: PlanReason, name: str, keys: dict[str, str],
        drawn: DrawnPlan | None, check: Clearance | None,
    ) -> Option:
        levers = tuple(
            Set(lever=lever, value=float(value)) for lever, value in zip(search.levers, tried.values, strict=True)
        )
        kept = self._kept(search, tried, drawn)
        return Option(
            why=why, instead=name, tried={**keys, **tried.keys}, levers=levers, wishes=kept,
            price=price_of(tried.case, self.now.case),
            share=math.nan if drawn is None else drawn.share, clearance=check,
            short=() if check is None else others_short(check, tried.case.rig)[:LISTED],
            verdict=None if check is None else verdict_of(check, tried.case.rig),
        )

    def _kept(self, search: PlanSearch, tried: Tried, drawn: DrawnPlan | None) -> tuple[Kept, ...]:
        terms = search.terms
        found = []
        old = search.terms.values(self.now.case)
        for number, wish in enumerate(self.wishes):
            mine = np.flatnonzero(terms.owner == number)
            worst = int(mine[np.argmin(tried.margins[mine])])
            values = tried.case.values(terms.watched[number])
            places = terms.watched[number].every
            row = int(terms.row[worst]) - (terms.watched[number].count - len(places))
            at = places[row] if places and row >= 0 else math.nan
            low, high, share = drawn.band(number) if drawn is not None else (math.nan,) * 3
            parts = parts_of(search, tried, worst, float(old[worst])) if tried is not self.now else ()
            found.append(Kept(
                wish=wish, least=float(np.nanmin(values)), most=float(np.nanmax(values)),
                left=float(tried.margins[worst] * terms.notice[worst]), at=float(at), low=low, high=high,
                share=share, parts=parts,
            ))
        return tuple(found)

    def _quality(self, search: PlanSearch) -> tuple[Quality, ...]:
        surfaces, terms = search.surfaces, search.sampled
        if surfaces is None:
            return ()
        return tuple(
            Quality(
                wish=wish, told=float(surfaces.told[terms.owner == number].min()),
                error=float(surfaces.error[terms.owner == number].max()),
            )
            for number, wish in enumerate(self.wishes)
        )

    # None found

    def _not_found(self, base: Advice, search: PlanSearch) -> Advice:
        nearest = search.nearest()
        if nearest is None or search.surfaces is None:
            return replace(base, verdict=AdviceVerdict.NOT_FOUND)
        terms = search.terms
        owners = range(len(self.wishes))
        gives = []
        for number in owners:
            mine = terms.owner == number
            if nearest.margins[mine].min() >= 0.0 and len(self.wishes) > 1:
                continue
            one = search.nearest(only=mine)
            by = math.nan
            if one is not None and np.min(one.margins[~mine & terms.asked], initial=0.0) >= 0.0:
                worst = int(np.flatnonzero(mine)[np.argmin(one.margins[mine])])
                by = max(0.0, -float(one.margins[worst] * terms.notice[worst]))
            gives.append(Gives(wish=self.wishes[number], by=by))
        known = [each for each in gives if math.isfinite(each.by)]
        conflict = self._conflict(search)
        worst = int(np.argmin(nearest.margins))
        more = self._little_more(search, nearest, worst)
        verdict, second, check = self._gate(search, nearest, conflict)
        option = self._option(search, nearest, PlanReason.NEAREST, "", {}, None, None)
        if second is not None:
            self._add(search, second, PlanReason.FEWEST, "", {}, self._drawn(search, second), check)
            self._look_at_now(search)
            now = self._option(search, self.now, PlanReason.NOW, "", {}, None, self.checked_now)
            self._rank(now)
            return replace(base, now=now, options=tuple(self.options), solves=search.solved)
        return replace(
            base, verdict=verdict, nearest=option, gives=tuple(known or gives), conflict=conflict, more=more,
            solves=search.solved,
        )

    def _conflict(self, search: PlanSearch) -> tuple[Wish, ...]:
        """A smallest set of conflicting wishes: each is dropped in turn if the surfaces still predict no plan without
        it."""
        terms, left = search.terms, list(range(len(self.wishes)))
        shift, bare = np.zeros(len(terms.owner)), np.zeros(len(terms.owner))
        for number in list(left):
            rest = [each for each in left if each != number]
            if rest:
                wanted = np.isin(terms.owner, rest) & terms.asked
                if not search.propose(search.least_change, None, bare, wanted, shift)[1]:
                    left = rest
        return tuple(self.wishes[each] for each in left)

    def _little_more(self, search: PlanSearch, nearest: Tried, worst: int) -> tuple[More, ...]:
        found = []
        for k, lever in enumerate(search.levers):
            share = lever.share(float(nearest.values[k]))
            if min(share, 1.0 - share) > 1e-6 + 0.5 * lever.step / max(lever.high - lever.low, lever.step):
                continue
            step = {"leash": 0.1, "excess": 0.005}.get(lever.name, lever.step) * (1.0 if share > 0.5 else -1.0)
            values = nearest.values.copy()
            values[k] += step
            beyond = search.solve(values)
            if beyond is not None:
                gain = float((beyond.margins[worst] - nearest.margins[worst]) * search.terms.notice[worst])
                found.append(More(lever=lever, step=step, gain=gain))
        return tuple(found)

    def _gate(
        self, search: PlanSearch, nearest: Tried, conflict: Sequence[Wish]
    ) -> tuple[AdviceVerdict, Tried | None, Clearance | None]:
        """Whether it may be called impossible; and a plan with its clearance, where the second method finds one."""
        surfaces, terms = search.surfaces, search.terms
        assert surfaces is not None
        short = -nearest.margins
        concerned = np.isin(terms.owner, [k for k, wish in enumerate(self.wishes) if wish in conflict]) & terms.asked
        told, _ = search.told(search.shares(nearest.values))
        missed = np.where(terms.asked, np.abs(terms.sign * (told - nearest.found) / terms.notice), 0.0)
        like = search.like
        middling = search.unbent(surfaces.middling[like], search.shares(nearest.values), nearest.found) / terms.notice
        deep = concerned & (short > 0.0)
        near = concerned & (short > -1.0)
        good = bool(
            deep.any() and np.all(surfaces.told[like][near] > TOLD)
            and np.all((middling < short / 3.0)[deep]) and np.all((missed < short / 3.0)[deep])
        )
        second = search.corners()
        if second is not None and second.least >= 0.0:
            checked, check = self._checked(search, second, search.least_change, None, None)
            if checked is not None:
                return AdviceVerdict.FOUND, checked, check
            return AdviceVerdict.NOT_FOUND, None, None
        # What comes nearer than the surfaces thought anything could speaks against them.
        if second is not None and second.least > nearest.least + max(0.05, abs(nearest.least) / 3.0):
            good = False
        return (AdviceVerdict.IMPOSSIBLE if good else AdviceVerdict.NOT_FOUND), None, None


def _along(search: PlanSearch, axis: Floats) -> Callable[[Floats], tuple[float, Floats]]:
    def aim(u: Floats) -> tuple[float, Floats]:
        change, up = search.least_change(u)
        return float(axis @ u) + 0.05 * change, axis + 0.05 * up

    return aim


_NO_NEEDS = ClearanceNeeds(line=0.0, loop=0.0, body=0.0, survey_error=0.0, margin=0.0)


def with_needs(rig: Rig, wishes: Sequence[Wish]) -> Rig:
    """A rig that asks its clearance for what is wished as well, so that it looks for the worst places of that.

    Parameters
    ----------
    rig : Rig
    wishes : sequence of Wish
    """
    needs = _NO_NEEDS if rig.needs is None else rig.needs
    added = needs.survey_error + needs.margin
    more = {"line": needs.line, "loop": needs.loop, "body": needs.body}
    for wish in wishes:
        for kind, figure in ASKED.items():
            if wish.figure == figure and math.isfinite(wish.at_least):
                more[kind] = max(more[kind], wish.at_least - added)
    return replace(rig, needs=replace(needs, **more))


FEET = "feet over ground in a leash fall"
LINES = {"line": "line over ground", "loop": "loops over ground"}
ASKED = {**LINES, "body": FEET}


def _figure_of(cause: Cause) -> str:
    if cause.family == "rig":
        return LINES.get(cause.kind, "")
    return FEET if cause.family == "fall" and cause.kind == "body" else ""


def places_from(check: Clearance, watched: Sequence[Watched], rig: Rig) -> tuple[Watched, ...]:
    """Wishes with the places at which a clearance finds less than they ask for; empty where there are none.

    Parameters
    ----------
    check : Clearance
    watched : sequence of Watched
    rig : Rig
    """
    handed, out = False, []
    causes = [*check.causes, *(cause for zone in check.zones for cause in zone.border)]
    for each in watched:
        wish, new = each.wish, []
        if math.isfinite(wish.at_least) and wish.wished.ground:
            start, end = counted_of(rig, wish)
            for cause in causes:
                at = cause.walker
                if _figure_of(cause) != wish.figure or at is None or cause.distance >= wish.at_least:
                    continue
                where = at if wish.figure == FEET else cause.station
                if start <= where <= end and all(abs(at - other) > 0.02 for other in each.handed):
                    new.append(at)
        handed |= bool(new)
        out.append(replace(each, handed=(*each.handed, *dict.fromkeys(new))) if new else each)
    return tuple(out) if handed else ()


def others_short(check: Clearance, rig: Rig) -> tuple[Cause, ...]:
    """What falls short of the required clearances all the same, each thing that comes near once; worst first.

    Parameters
    ----------
    check : Clearance
        With needs of `with_needs`.
    rig : Rig
        With its own.
    """
    found: dict[tuple[str, str], Cause] = {}
    needs = _NO_NEEDS if rig.needs is None else rig.needs
    for cause in check.short:
        needed = getattr(needs, cause.kind) + needs.survey_error + needs.margin
        if cause.role != "ground" or cause.distance < needed or cause.is_in_rock:
            needed = needed if cause.role == "ground" else cause.needed
            found.setdefault((cause.kind, cause.why.id), replace(cause, needed=needed))
    return tuple(found.values())


def verdict_of(check: Clearance, rig: Rig) -> Verdict:
    """What a clearance with needs of `with_needs` comes to by those of the rig's own scene.

    Parameters
    ----------
    check : Clearance
    rig : Rig
        With its own needs.
    """
    if others_short(check, rig):
        return Verdict.SHORT
    if rig.needs is None:
        return Verdict.NOT_ASKED
    return Verdict.UNKNOWN if check.verdict is Verdict.UNKNOWN or check.leaves_unknown else Verdict.KEPT


BETTER = (Verdict.KEPT, Verdict.NOT_ASKED, Verdict.UNKNOWN, Verdict.SHORT)
BY_A_HAIR = 0.01
"""By so much more a plan is short before it counts as worse than now.  [m]"""


def is_worse(option: Option, now: Option) -> bool:
    """Whether the clearance of a plan is worse than that of the scene as it is; never where either is not known.

    Parameters
    ----------
    option, now : Option
    """
    if option.verdict is None or now.verdict is None:
        return False
    if option.verdict is not now.verdict:
        return BETTER.index(option.verdict) > BETTER.index(now.verdict)
    ends = [min((cause.remainder for cause in each.short), default=0.0) for each in (option, now)]
    return ends[0] < ends[1] - BY_A_HAIR
