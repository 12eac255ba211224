"""What is wished of a line: by its scene, by required clearances and of itself; over which part, looked at where."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from linescope.clearance import Measurand
from linescope.clearance.finding import anchor_zone
from linescope.rig import Rig, Wish
from linescope.rig.wishes import ELSEWHERE

OFF_ANCHORS = 0.06
"""Falls nearer to an anchor than this share of the span tell nothing of the bays: the line is stiff there.  [-]"""
BESIDE = 0.5
"""No stated place is nearer to an anchor zone than this.  [m]"""
SAME = 0.02
"""Places of the walker nearer together than this are one.  [m]"""
LINES = {"line over ground": "line", "loops over ground": "loop"}
"""Figures of lines at rest, and their kinds in the clearance."""
NOTICED = {"line": 0.2, "loop": 0.1, "leash": 0.5, "body": 0.5}
IN_ROCK = 0.05
"""What would be noticed of a distance of each kind, and of one to rock beside an anchor.  [m]"""
OF_A_PART = ("line over ground", "loops over ground", "excess with the walker", "loops with the walker")
"""Figures of the part of the line that is wished for, wherever the walker is."""
WALKED = (0.1, 0.25, 0.5, 0.75, 0.9)
"""Where the walker is put besides his own place while seeking, as shares of the span."""
STEPS = {"walker": 200, "line": 200, "falls": 100, "gone": 100}
"""Into how many steps the whole span is cut where a plan is looked at all along it, with the walker standing, falling
or hanging on the backup."""
FINE = 8
"""Into how many parts the steps beside the worst place are cut again."""


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
        asked = {"line over ground": "line", "loops over ground": "loop"}
        if rig.walker is not None:
            asked |= {
                "feet over ground in a leash fall": "body", "feet over ground if the main goes": "body",
            }
        made += [
            Wish(figure=figure, at_least=needs.needed(kind), origin="clearance") for figure, kind in asked.items()
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


@dataclass(frozen=True, kw_only=True)
class Watched:
    """A wish and the places it is looked at.

    Attributes
    ----------
    wish : Wish
    places : tuple of float
        Of walker, falls or a loss of the main, from A along the straight line; none for figures of bays and the rig.
        [m]
    handed : tuple of float
        Places that a search for the worst handed back, at which the walker stands just there.  [m]
    measurands : tuple of (Measurand, tuple of float)
        What is measured as the clearance measures it, and places of the walker for that, from A.  [m]
    """

    wish: Wish
    places: tuple[float, ...] = ()
    handed: tuple[float, ...] = ()
    measurands: tuple[tuple[Measurand, tuple[float, ...]], ...] = ()

    @property
    def every(self) -> tuple[float, ...]:
        """All places.  [m]"""
        return (*self.places, *self.handed)

    @property
    def count(self) -> int:
        """How many values it has."""
        return self.plain + len(self.measurands)

    @property
    def plain(self) -> int:
        """How many of them are of no measurand."""
        of = self.wish.wished.of
        if of in ("bays", "rig"):
            return 1
        return len(self.every) + (of == "line" and bool(self.every))

    @property
    def notices(self) -> tuple[float, ...]:
        """What would be noticed of each of its values.  [SI]"""
        own = self.wish.wished.notice
        if self.wish.figure != ELSEWHERE:
            return (own,) * self.count
        return tuple(IN_ROCK if measurand.within else NOTICED[measurand.kind] for measurand, _ in self.measurands)

    def with_measurands(self, more: Mapping[Measurand, Collection[float]]) -> Watched:
        """With more measurands, or more places of the same ones.

        Parameters
        ----------
        more : mapping of Measurand to collection of float
            Places of the walker.  [m]
        """
        found = {measurand: list(places) for measurand, places in self.measurands}
        for measurand, places in more.items():
            known = found.setdefault(measurand, [])
            known += [at for at in places if all(abs(at - other) > SAME for other in known)]
        return replace(self, measurands=tuple((one, tuple(sorted(places))) for one, places in found.items()))


def part_of(rig: Rig, wish: Wish) -> tuple[float, float]:
    """Part of the straight line that a wish is for, from A.  [m]

    Parameters
    ----------
    rig : Rig
    wish : Wish
    """
    start, end = wish.start, wish.end
    if wish.zone is not None:
        zone = rig.taping.zones[wish.zone - 1]
        start, end = zone.start, zone.end
    return start, min(end, rig.span)


def counted_of(rig: Rig, wish: Wish) -> tuple[float, float]:
    """Part of the straight line over which a wish is counted, from A: the part it is for, distances to the ground
    outside the anchor zones only, and falls off the stiff ends.  [m]

    Parameters
    ----------
    rig : Rig
    wish : Wish
    """
    start, end = part_of(rig, wish)
    least = 0.0
    if wish.wished.ground and wish.figure != ELSEWHERE:
        least = anchor_zone(rig)
    elif wish.figure == "excess in a leash fall":
        least = OFF_ANCHORS * rig.span
    return max(start, least), min(end, rig.span - least)


def watched_of(rig: Rig, wish: Wish, ledges: Sequence[float] = ()) -> Watched:
    """A wish with the places where it is looked at to begin with.

    Parameters
    ----------
    rig : Rig
    wish : Wish
    ledges : sequence of float
        Places beside ledges, from A.  [m]
    """
    wished, span = wish.wished, rig.span
    if wished.of in ("bays", "rig", "clearance"):
        return Watched(wish=wish)
    own = [rig.walker.at] if rig.walker is not None else []
    start, end = part_of(rig, wish)
    if wished.of == "gone":
        wanted = own if not wished.ground else [*own, 0.25 * span, 0.5 * span, 0.75 * span]
    else:
        wanted = [*own, *(share * span for share in WALKED)]
        if wished.ground:
            wanted += ledges
    low, high = counted_of(rig, wish)
    if wished.ground:
        off = anchor_zone(rig) + BESIDE
        low, high = max(low, off), min(high, span - off)
    inside = sorted({round(at, 3) for at in wanted if low <= at <= high})
    if (start > 0.0 or end < span) and high > low:
        inside += [at for share in (0.1, 0.5, 0.9) if all(
            abs((at := round(low + share * (high - low), 3)) - other) > 0.1 * (high - low) for other in inside)]
    apart = [at for k, at in enumerate(sorted(inside)) if k == 0 or at - sorted(inside)[k - 1] > 0.01 * span]
    places = tuple(apart or [0.5 * span])
    if wish.origin == "clearance" and wished.of == "line":
        return Watched(wish=wish, measurands=((Measurand(kind=LINES[wish.figure], family="rig"), places),))
    return Watched(wish=wish, places=places)


def along_of(rig: Rig, wish: Wish) -> tuple[float, ...]:
    """Places all along the part of the line over which a wish is counted, its ends included, but not nearer to an
    anchor than `BESIDE`; none for what is of no places.  [m]

    Parameters
    ----------
    rig : Rig
    wish : Wish
    """
    low, high = counted_of(rig, wish)
    if wish.figure in OF_A_PART:
        low, high = 0.0, rig.span
    low, high = max(low, BESIDE), min(high, rig.span - BESIDE)
    steps = STEPS.get(wish.wished.of)
    if steps is None or high <= low:
        return ()
    count = math.ceil((high - low) / rig.span * steps)
    return tuple(low + (high - low) * k / count for k in range(count + 1))
