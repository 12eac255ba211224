"""From what is wished to plans that give it: the smallest set of changes first, then plans unlike it, each solved
exactly as it would be loaded from its file, and checked by the clearance.

"Impossible" is a statement about levers, their ranges and surfaces.  It is made only past a gate: surfaces that
foretell well, an exact solve that agrees, and a second method that finds nothing either (`in_the_way.py`).  Else a plan
was *not found*.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from linescope.advise.case import AdvisedRig
from linescope.advise.checked import (
    glanced,
    is_worse,
    nearest_of,
    others_short,
    place_of,
    places_from,
    seeded,
    verdict_of,
    with_needs,
)
from linescope.advise.explain import parts_of
from linescope.advise.hands import DrawnPlan, drawn_of
from linescope.advise.in_the_way import conflict_of, gives_of, is_past_the_gate, little_more
from linescope.advise.levers import Instead, instead, levers_of
from linescope.advise.price import price_of
from linescope.advise.results import ENOUGH, Advice, AdviceVerdict, Ask, Kept, Option, PlanReason, Quality, Set
from linescope.advise.search import BARE, PlanSearch, Terms, Tried
from linescope.advise.whole import along, is_looked_at, keeps_along, missed_along, worst_along
from linescope.advise.wished import Watched, watched_of, wishes_of
from linescope.clearance import Clearance, GroundIndex, find_clearance
from linescope.errors import InputError, LinescopeError
from linescope.events.deeper import Deeper, find_deeper
from linescope.motion.inputs import inputs_of_rig
from linescope.rig import Rig, Wish
from linescope.rig.wishes import ELSEWHERE
from linescope.scene import Scene
from linescope.terrain import load_ground

Floats = NDArray[np.float64]
Tell = Callable[..., None]

UNLIKE = 0.12
"""Two plans count as different if at least one lever differs by more than this share of its range.  [-]"""
PASSES = 3
"""How often a worst place is handed back to the search."""
GLANCES = 3
FEWEST_AGAIN = 3
"""How often the fewest levers are looked for, each time with the places that were handed back."""
LOOKS = 8
"""How often a plan that is missed somewhere along the line, or at a glance, is sought again."""
PUSH = 0.1
"""By so much more of what would be noticed a plan has to keep what its clearance found short all the same.  [-]"""
LISTED = 6
RESERVES = 3
"""How often a plan is sought with the reserve that its draws ask for."""


def advise(
    scene: Scene, ask: Ask | None = None, *, index: GroundIndex | None = None, ledges: Sequence[float] = (),
    progress: Tell | None = None, found: Callable[[Option], None] | None = None,
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
    found : callable, optional
        Handed each plan as soon as it is there, before it was tried in draws.

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
    return _Advising(scene, ask or Ask(), index, ledges, progress or _silent, found).run()


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
    found_one: Callable[[Option], None] | None
    options: list[Option] = field(default_factory=list)
    found: list[tuple[PlanSearch, Tried]] = field(default_factory=list)
    checked_now: Clearance | None = None

    def run(self) -> Advice:
        rig = self.scene.rig
        wishes = wishes_of(rig, self.ask.wishes)
        self._refuse(rig, (*rig.wishes, *self.ask.wishes))
        if not wishes:
            return Advice(rig=rig, verdict=AdviceVerdict.NOTHING, wishes=())
        if self._is_checked:
            wishes = (*wishes, Wish(figure=ELSEWHERE, at_least=0.0, origin="clearance"))
        self.wishes = wishes
        watched = [watched_of(rig, wish, self.ledges) for wish in wishes]
        if rig.walker is not None:  # Only looked at: what a plan costs when the main goes.
            reach = Wish(figure="ring if the main goes")
            watched.append(Watched(wish=reach, places=(rig.walker.at,)))
        searches: list[tuple[Instead, PlanSearch]] = []
        alternatives = self._worth_it(watched)
        for number, other in enumerate(alternatives):
            scene = self.scene.what_if(other.keys) if other.keys else self.scene
            levers = levers_of(scene, wishes, self.ask.system)
            search = PlanSearch(scene, watched, levers, self.index, seed=self.ask.seed)
            searches.append((other, search))
            first = search.solve(np.array([lever.now for lever in search.levers]))
            if first is None:
                _ = search.terms.values(AdvisedRig(scene.rig, self.index))  # Raises what is wrong.
                raise LinescopeError("the scene as it is cannot be solved")
            begun = worst_along(first.case, search.terms.watched)
            search.watch(seeded(first.case, begun) if self._is_checked else begun)
            first = search.solve(first.values)
            assert first is not None
            if number == 0:
                self.now = first
                self._measure(search, first)
                kept = self._kept_now(search)
                if kept is not None:
                    return kept
            search.sample(_part(self.tell, 0.4 * number / len(alternatives), 0.4 / len(alternatives), "sampling"))
        own = searches[0][1]
        quality = self._quality(own)
        for other, search in searches:
            self._plans(other, search)
        again = own.solve(self.now.values)  # With every place that was handed back.
        self.now = self.now if again is None else again
        self._look_at_now(own)
        now = self._option(own, self.now, PlanReason.NOW, Instead(), self._share(own, self.now), self.checked_now)
        self._rank(now)
        solves = sum(search.solved for _, search in searches)
        base = Advice(
            rig=rig, verdict=AdviceVerdict.FOUND, wishes=wishes, now=now, options=tuple(self.options), quality=quality,
            solves=solves, draws=self.ask.draws,
        )
        if now.is_met and not self.options:
            base = replace(base, verdict=AdviceVerdict.KEPT)
        elif not self.options:
            base = self._not_found(base, own)
        self.tell(1.0, "done")
        return replace(base, foreteller=own.foreteller(self.wishes))

    def _worth_it(self, watched: Sequence[Watched]) -> list[Instead]:
        """What may be taken instead: everything that is for the whole line, and the one single zone of another style
        that serves the wishes best with all levers as they are.  Each takes a search of its own."""
        every = instead(self.scene)
        found = [each for each in every if each.zone is None]
        by_zone = [each for each in every if each.zone is not None]
        best: tuple[float, Instead] | None = None
        terms = Terms.of(watched)
        for number, other in enumerate(by_zone):
            try:
                margins = terms.margins(terms.values(AdvisedRig(self.scene.what_if(other.keys).rig, self.index)))
            except LinescopeError:
                continue
            least = float(np.min(np.nan_to_num(margins, nan=-np.inf)))
            if best is None or least > best[0]:
                best = least, other
            self.tell(0.01 * (number + 1) / len(by_zone), "sampling")
        return found if best is None else [*found, best[1]]

    @property
    def _is_checked(self) -> bool:
        """Whether plans have their clearance."""
        return self.index is not None and self.ask.check

    def _kept_now(self, search: PlanSearch) -> Advice | None:
        """The scene as it is, where it has all that is wished and is held: nothing is sought then."""
        self.own = search
        if self.now.least < 0.0:
            return None
        tried, self.checked_now = self._checked(search, self.now, search.least_change, None, None, passes=1)
        drawn = None if tried is None else self._drawn(search, tried)
        if tried is None or (drawn is not None and drawn.share < ENOUGH):
            return None
        now = self._option(search, tried, PlanReason.NOW, Instead(), drawn, self.checked_now)
        return Advice(
            rig=self.scene.rig, verdict=AdviceVerdict.KEPT, wishes=self.wishes, now=now, solves=search.solved,
            draws=self.ask.draws,
        )

    def _look_at_now(self, search: PlanSearch) -> None:
        """The clearance of the scene as it is, beside which those of plans are told."""
        if self.checked_now is None and self._is_checked:
            self.checked_now = self._clearance(search, self.now)[0]

    def _rank(self, now: Option) -> None:
        """Plans whose clearance is worse than now come last, and are marked."""
        marked = [replace(option, is_worse=is_worse(option, now)) for option in self.options]
        self.options = sorted(marked, key=lambda option: option.is_worse)

    def _clearance(self, search: PlanSearch, tried: Tried) -> tuple[Clearance, Deeper | None]:
        """Of a plan, and its falls that come lower in time."""
        assert self.index is not None
        rig = with_needs(tried.case.rig, self.wishes)
        done = min(0.95, 0.55 + 0.1 * len(self.options))
        scene = search.scene.what_if(tried.keys) if tried.keys else search.scene
        deeper = None
        if rig.walker is not None:
            deeper = find_deeper(tried.case.planned, inputs=inputs_of_rig(tried.case.rig, scene.inputs))
        found = find_clearance(
            rig, planned=replace(tried.case.planned, rig=rig), terrain=self.index, deeper=deeper,
            progress=_part(self.tell, done, 0.09, "checking"),
        )
        return found, deeper

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

    def _plans(self, other: Instead, search: PlanSearch) -> None:
        """Options of one search: fewest levers, with a reserve, and unlike ones."""
        before = len(self.options)
        tried, check, free, handed = None, None, None, -1
        for _ in range(FEWEST_AGAIN):
            first = self._fewest(search) if len(search.terms.owner) != handed else None
            if first is None:
                break
            (begun, free), handed = first, len(search.terms.owner)
            tried, check = self._checked(search, begun, search.least_change, free, None)
            if tried is not None:
                break  # Else, with the places that were handed back, it takes more levers, or others.
        if handed < 0:
            return
        if tried is None:
            tried, check = self._checked(search, None, search.least_change, None, None)
            free = None
        if tried is None:
            return
        why = PlanReason.FEWEST
        self._hand_out(search, tried, why, other, check)
        tried, check, drawn, reserve = self._held(search, tried, check, search.least_change, free)
        self._add(search, tried, why, other, drawn, check)
        room = len(self.options) - before < self.ask.most
        if room and self.options and not self.options[-1].is_held and reserve is not None:
            self._more(search, PlanReason.RESERVE, search.least_change, reserve, other)
        for why, aim in self._aims(search):
            if len(self.options) - before >= self.ask.most:
                break
            self._more(search, why, aim, reserve, other)

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
                search.need(~search.terms.asked)
                z, slopes = search.predicted(u)
                k = int(np.flatnonzero(~search.terms.asked)[-1])
                change, up = search.least_change(u)
                return float(z[k]) / 5.0 + 0.05 * change, slopes[k] / 5.0 + 0.05 * up

            found.append((PlanReason.REACH, reach))
        return found

    def _more(
        self, search: PlanSearch, why: PlanReason, aim: Callable[[Floats], tuple[float, Floats]],
        reserve: Floats | None, other: Instead,
    ) -> None:
        """One option more, where it is unlike those that there are."""
        tried = self._reserved(search, aim, None, reserve) if reserve is not None else None
        if tried is None and why is not PlanReason.RESERVE:
            tried, reserve = search.seek(aim), None
        if tried is None or tried.least < 0.0 or not self._unlike(search, tried):
            return
        got, check = self._checked(search, tried, aim, None, reserve)
        if got is None or not self._unlike(search, got):
            return
        if why is PlanReason.RESERVE:
            got, check, drawn, _ = self._held(search, got, check, aim, None)
            assert drawn is not None
            if drawn.share <= max((option.share for option in self.options), default=0.0):
                return  # No reserve then.
        else:
            drawn = None
        self._hand_out(search, got, why, other, check)
        self._add(search, got, why, other, self._drawn(search, got) if drawn is None else drawn, check)

    def _reserved(
        self, search: PlanSearch, aim: Callable[[Floats], tuple[float, Floats]], free: Sequence[int] | None,
        reserve: Floats,
    ) -> Tried | None:
        """A candidate with a reserve, or with as large a share of it as can be had; None where none keeps its wishes.
        """
        tried = search.seek(aim, free=free, reserve=reserve)
        if tried is None or np.any((tried.margins < search.terms.spread(reserve))[search.terms.asked]):
            other = search.nearest(reserve, free=free)
            if other is not None and (tried is None or _had(search, other, reserve) > _had(search, tried, reserve)):
                tried = other
        return tried if tried is not None and tried.least >= 0.0 else None

    def _held(
        self, search: PlanSearch, tried: Tried, check: Clearance | None,
        aim: Callable[[Floats], tuple[float, Floats]], free: Sequence[int] | None,
    ) -> tuple[Tried, Clearance | None, DrawnPlan | None, Floats | None]:
        """A plan in draws; where too few keep its wishes, it is sought with the reserve that these draws ask for, and
        drawn again; the one that most of them keep.  And the last reserve."""
        best = last = tried, check, self._drawn(search, tried)
        reserve, known = None, [tried.keys]
        for _ in range(RESERVES):
            drawn = last[2]
            if drawn is None or drawn.share >= ENOUGH:
                break
            reserve = drawn.reserve(drawn.terms.margins(drawn.terms.values(last[0].case)))
            again = self._reserved(search, aim, free, reserve)
            if again is None or again.keys in known:
                break
            better, newer = self._checked(search, again, aim, free, reserve)
            if better is None or better.keys in known:
                break
            known.append(better.keys)
            last = better, newer, self._drawn(search, better)
            assert last[2] is not None and best[2] is not None
            if last[2].share > best[2].share:
                best = last
        return *best, reserve

    def _unlike(self, search: PlanSearch, tried: Tried) -> bool:
        u = search.shares(tried.values)
        return all(
            other is not search or bool(np.max(np.abs(u - search.shares(each.values))) > UNLIKE)
            for other, each in self.found
        )

    def _fewest(self, search: PlanSearch) -> tuple[Tried, Sequence[int] | None] | None:
        """The least change of the fewest levers that keeps all wishes; None where no set of them was found to."""
        now = search.solve(self.now.values) if search is self.own else None  # With all places that were handed back.
        if now is not None and now.least >= 0.0:
            return now, None
        if search.out_of_reach.any():
            return None
        d = len(search.levers)
        best: tuple[float, Tried, Sequence[int] | None] | None = None
        for size in range(1, min(d, 3) + 1):
            sets = [
                (not told.ok, search.least_change(told.u)[0], free, told)
                for free in itertools.combinations(range(d), size)
                if (told := search.foretold(search.least_change, free)) is not None
            ]
            for _, least, free, told in sorted(sets, key=lambda each: each[:3]):
                if best is not None and least > best[0]:
                    continue  # More change than is needed.
                tried = search.seek(search.least_change, free=free, rounds=4, first=told)
                if tried is None or tried.least < 0.0:
                    continue
                change = search.least_change(search.shares(tried.values))[0]
                if best is None or change < best[0]:
                    best = change, tried, free
            self.tell(0.4 + 0.05 * size, "seeking")
            if best is not None:
                return best[1], best[2]
        for tried in (search.seek(search.least_change), search.nearest()):
            if tried is not None and tried.least >= 0.0:
                return tried, None
        return None

    def _checked(
        self, search: PlanSearch, tried: Tried | None, aim: Callable[[Floats], tuple[float, Floats]],
        free: Sequence[int] | None, reserve: Floats | None, *, passes: int = PASSES,
    ) -> tuple[Tried | None, Clearance | None]:
        """A plan that its clearance agrees with: what comes too near is handed back to the search."""
        if tried is None:
            tried = search.seek(aim, free=free, reserve=reserve)
        check: Clearance | None = None
        pushed = np.zeros((len(search.terms.watched), 2)) if reserve is None else reserve
        by_it = np.array([each.wish.origin == "clearance" for each in search.terms.watched])
        for turn in range(passes):
            if tried is None or tried.least < 0.0:
                return None, check
            tried = self._looked(search, tried, aim, free, pushed)
            if tried is None or not self._is_checked:
                return tried, check
            rig = tried.case.rig
            check, deeper = self._clearance(search, tried)
            handed, bound = places_from(check, search.terms.watched, rig)
            if not handed and not bound:
                return tried, check
            if handed:
                search.deeper = deeper
                search.watch(handed)
            again = search.solve(tried.values)
            if again is not None and again.least >= 0.0:
                if not bound or turn + 1 == passes:
                    return again, check  # What clearance found is kept by a hair as solved again, or not found here.
                pushed = pushed + PUSH * (turn + 1) * by_it[:, None] * np.array([1.0, 0.0])
            if turn + 1 < passes:
                tried = search.seek(aim, free=free, reserve=pushed if pushed.any() else None)
        return None, check

    def _looked(
        self, search: PlanSearch, tried: Tried, aim: Callable[[Floats], tuple[float, Floats]],
        free: Sequence[int] | None, reserve: Floats,
    ) -> Tried | None:
        """A plan that keeps its wishes all along the line, and of which nothing is short at a glance: a clearance takes
        fifty times as long.  Each worst place is handed back to the search."""
        glances = GLANCES if self._is_checked else 0
        for _ in range(LOOKS):
            handed = missed_along(tried.case, search.terms.watched)
            if not handed and glances:
                handed, glances = glanced(tried.case, search.terms.watched), glances - 1
            if not handed:
                return tried if keeps_along(tried.case, search.terms.watched) else None
            search.watch(handed)
            again = search.solve(tried.values)
            if again is None or again.least < 0.0:
                if search.surfaces is None:  # The scene as it is, before anything is sought.
                    return None
                again = search.seek(aim, free=free, reserve=reserve if reserve.any() else None)
            if again is None or again.least < 0.0:
                return None
            tried = again
        return None

    # What is known of a plan

    def _drawn(self, search: PlanSearch, tried: Tried) -> DrawnPlan | None:
        if not self.ask.draws:
            return None
        worst = worst_along(tried.case, search.terms.watched)
        if any(a.handed != b.handed for a, b in zip(worst, search.terms.watched, strict=True)):
            search.watch(worst)
        scene = search.scene.what_if(tried.keys) if tried.keys else search.scene
        done = min(0.95, 0.5 + 0.1 * len(self.options))
        return drawn_of(
            scene, tried.case, search.terms, self.ask.draws,
            _part(self.tell, done, 0.05, "drawing"),
        )

    def _share(self, search: PlanSearch, tried: Tried) -> DrawnPlan | None:
        """Draws of the scene as it is, where it has what is wished."""
        again = search.solve(tried.values)
        return self._drawn(search, tried) if again is not None and again.least >= 0.0 else None

    def _add(
        self, search: PlanSearch, tried: Tried, why: PlanReason, other: Instead,
        drawn: DrawnPlan | None, check: Clearance | None,
    ) -> None:
        if not tried.keys and not other.keys:
            return
        again = search.solve(tried.values)  # With every place that was handed back meanwhile.
        assert again is not None
        self.options.append(self._option(search, again, why, other, drawn, check))
        self.found.append((search, again))

    def _hand_out(
        self, search: PlanSearch, tried: Tried, why: PlanReason, other: Instead,
        check: Clearance | None,
    ) -> None:
        """A plan as soon as it is there, to who waits for it."""
        if self.found_one is not None and (tried.keys or other.keys):
            self.found_one(self._option(search, tried, why, other, None, check, early=True))

    def _measure(self, search: PlanSearch, now: Tried) -> None:
        unknown = search.terms.asked & np.isnan(now.margins)  # Infinite is what nothing comes near to.
        if unknown.any():
            k = int(np.flatnonzero(unknown)[0])
            figure = search.terms.watched[int(search.terms.owner[k])].wish.figure
            raise InputError("this figure is not known on this line", key="wishes", found=figure)

    def _option(
        self, search: PlanSearch, tried: Tried, why: PlanReason, other: Instead,
        drawn: DrawnPlan | None, check: Clearance | None, *, early: bool = False,
    ) -> Option:
        levers = tuple(
            Set(lever=lever, value=float(value)) for lever, value in zip(search.levers, tried.values, strict=True)
        )
        kept = self._kept(search, tried, drawn, check)
        return Option(
            why=why, instead=other.name, zone=other.zone, tried={**other.keys, **tried.keys}, levers=levers,
            wishes=kept, price=price_of(tried.case, self.now.case, rubbed=not early),
            share=math.nan if drawn is None else drawn.share, clearance=check,
            short=() if check is None else others_short(check, tried.case.rig)[:LISTED],
            verdict=None if check is None else verdict_of(check, tried.case.rig),
        )

    def _kept(
        self, search: PlanSearch, tried: Tried, drawn: DrawnPlan | None, check: Clearance | None
    ) -> tuple[Kept, ...]:
        terms = search.terms
        found = []
        old = search.terms.values(self.now.case)
        for number, wish in enumerate(self.wishes):
            mine = np.flatnonzero(terms.owner == number)
            if not len(mine):
                found.append(Kept(wish=wish, least=math.nan, most=math.nan, left=math.inf, at=math.nan))
                continue
            worst = int(mine[np.argmin(tried.margins[mine])])
            watched = terms.watched[number]
            values = tried.case.values(watched)
            row = int(terms.row[worst]) - (watched.plain - len(watched.every))
            at = watched.every[row] if 0 <= row < len(watched.every) else math.nan
            left = float(tried.margins[worst] * terms.notice[worst])
            whole = along(tried.case, watched) if is_looked_at(watched) else None
            if whole is not None:
                values = np.concatenate([values, whole.values])
                if whole.left[whole.worst] < left or math.isinf(left):
                    left, at = float(whole.left[whole.worst]), float(whole.at[whole.worst])
            least, most = _ends(values)
            near = None if check is None else nearest_of(check, wish)
            if near is not None and near.distance < least:  # The sweep looks everywhere.
                least, left, at = near.distance, near.distance - wish.at_least, place_of(near, wish.figure)
            low, high, share = drawn.band(number) if drawn is not None else (math.nan,) * 3
            parts = parts_of(search, tried, worst, float(old[worst])) if tried is not self.now else ()
            found.append(Kept(
                wish=wish, least=least, most=most, left=left, at=float(at), low=low, high=high,
                share=share, draws=0 if drawn is None else drawn.draws(number), parts=parts,
            ))
        return tuple(found)

    def _quality(self, search: PlanSearch) -> tuple[Quality, ...]:
        surfaces, owner = search.surfaces, search.terms.owner
        if surfaces is None:
            return ()
        laid = {number: (owner == number) & search.guided for number in range(len(self.wishes))}
        return tuple(
            Quality(
                wish=wish, explained=float(surfaces.explained[laid[number]].min()),
                error=float(surfaces.error[laid[number]].max()),
            )
            for number, wish in enumerate(self.wishes) if laid[number].any()
        )

    # None found

    def _not_found(self, base: Advice, search: PlanSearch) -> Advice:
        """What stands in the way; or a plan that the second method finds all the same."""
        nearest = search.nearest()
        if nearest is None or search.surfaces is None:
            return replace(base, verdict=AdviceVerdict.NOT_FOUND)
        gives, conflict = gives_of(search, nearest, self.wishes), conflict_of(search, self.wishes)
        more, second = little_more(search, nearest), None
        if not search.out_of_reach.any() or is_past_the_gate(search, nearest, None, self.wishes, conflict):
            second = search.corners()
        check = self._clearance(search, nearest)[0] if self._is_checked else None
        option = self._option(search, nearest, PlanReason.NEAREST, Instead(), None, check)
        verdict = AdviceVerdict.NOT_FOUND
        if second is not None and second.least >= 0.0:
            checked, check = self._checked(search, second, search.least_change, None, None)
            if checked is not None:
                self._add(search, checked, PlanReason.FEWEST, Instead(), self._drawn(search, checked), check)
                self._look_at_now(search)
                now = self._option(search, self.now, PlanReason.NOW, Instead(), None, self.checked_now)
                self._rank(now)
                return replace(base, now=now, options=tuple(self.options), solves=search.solved)
        elif is_past_the_gate(search, nearest, second, self.wishes, conflict):
            verdict = AdviceVerdict.IMPOSSIBLE
        return replace(
            base, verdict=verdict, nearest=option, gives=gives, conflict=conflict, more=more, solves=search.solved,
        )


def _had(search: PlanSearch, tried: Tried, reserve: Floats) -> float:
    """The least share of a reserve that a candidate has of any wish."""
    return float(np.min(tried.margins / np.maximum(search.terms.spread(reserve), BARE), initial=np.inf))


def _ends(values: Floats) -> tuple[float, float]:
    """The least of the first column and the most of the second, of those that are known."""
    known = values[~np.isnan(values).any(axis=1)]
    told = known[known[:, 0] <= known[:, 1]]  # Else there is no such bay.
    told = told if len(told) else known
    return (float(told[:, 0].min()), float(told[:, 1].max())) if len(told) else (math.nan, math.nan)


def _along(search: PlanSearch, axis: Floats) -> Callable[[Floats], tuple[float, Floats]]:
    def aim(u: Floats) -> tuple[float, Floats]:
        change, up = search.least_change(u)
        return float(axis @ u) + 0.05 * change, axis + 0.05 * up

    return aim
