"""A lesson as computed: rows at the positions of one knob, and what every lesson is made with."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.contact.stepper import Stepper
from linescope.contact.styles import with_style
from linescope.errors import InputError
from linescope.lessons.shots import LessonRow, LessonShot, Take, ranges_of, shot
from linescope.rig import Band, Hold, Rig
from linescope.statics import Plan, plan
from linescope.taping import Holds

STYLES = (("fixed wrap", Holds.BOTH), ("main-held slider", Holds.MAIN), ("backup-held slider", Holds.BACKUP))
PER_BAY = 9
"""Steps of a walk in each bay; three leave the work of sliders that hold the backup 12 % low. [-]"""
MOST_SHOTS = 48
"""States shown of a row; a walk has more steps, of which some are left out. [-]"""
POSITIONS = 40
"""Of a knob on a page, at the least: turned from end to end in a second and a third, it shows thirty states a second.
Those between two of its stops are solved as well, and show one state. [-]"""
FEWEST_BAYS = 4
SEEN = 0.02
"""Less that loops or tapes move is hardly seen. [m]"""
NOTHING = 5e-4
"""Less that runs is told as nothing. [m]"""
GROWN = 1.25
"""Loops of one style are seen to be deeper than those of another from so many times on. [-]"""

Told = Callable[[float, str], None]
Tracks = tuple[LessonRow, ...]
Walked = tuple[tuple[LessonShot, ...], NDArray[np.float64]]
"""States shown, and the least and most depth of each loop (n, 2) [m] over all of them, those left out included."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Play:
    """A lesson as computed on one rig.

    Attributes
    ----------
    name : str
    rig : Rig
        The rig as given.
    knob : str
        Dimension of the knob's value.
    takes : tuple of Take
        In order of the knob.
    first : int
        Which of them is shown first.
    bay : int
        The one bay that is shown, levelled; -1: the whole line.
    window : (float, float)
        What is shown of the line, as shares of the span.  [-]
    shows : bool
        Whether what the lesson is about can be seen on this rig.
    runs : bool
        Of a walk, whether slack runs at all.
    """

    name: str
    rig: Rig
    knob: str
    takes: tuple[Take, ...]
    first: int
    bay: int = -1
    window: tuple[float, float] = (0.0, 1.0)
    shows: bool = True
    runs: bool = True

    @property
    def take(self) -> Take:
        """The one shown first."""
        return self.takes[self.first]

    @property
    def stops(self) -> tuple[Take, ...]:
        """Those with all their states."""
        return tuple(take for take in self.takes if take.whole)

    def track(self, holds: Holds, take: int | None = None) -> LessonRow:
        """The row of a style."""
        tracks = self.takes[self.first if take is None else take].tracks
        return next(track for track in tracks if track.holds is holds)


def needs_walker(rig: Rig) -> None:
    """Refuse a rig on which nobody walks."""
    if rig.walker is None:
        raise InputError(
            "this lesson walks over the line, and nobody is there", key="walker", found="no walker",
            allowed='a walker, such as mass = "75 kg"',
        )


def needs_bays(rig: Rig) -> None:
    """Refuse a rig with too few tapes."""
    bays = len(plan(rig).layout.bays_main)
    if bays < FEWEST_BAYS:
        raise InputError(
            "this lesson needs more tapes", key="taping.zones", found=f"{bays} bays", allowed=f"at least {FEWEST_BAYS}"
        )


def held(rig: Rig, drag: float | None = None, friction: float | None = None) -> Rig:
    """The same rig, all of whose sliders hold alike.

    Parameters
    ----------
    rig : Rig
    drag : float, optional
        [N]
    friction : float, optional
        [-]
    """

    def same(hold: Hold) -> Hold:
        found = hold
        if drag is not None:
            found = replace(found, drag=Band(low=drag, value=drag, high=drag))
        if friction is not None:
            found = replace(found, friction=Band(low=friction, value=friction, high=friction))
        return found

    zones = tuple(zone if zone.hold is None else replace(zone, hold=same(zone.hold)) for zone in rig.taping.zones)
    return replace(rig, hold=same(rig.hold), taping=replace(rig.taping, zones=zones))


def _kept(count: int, most: int = MOST_SHOTS) -> set[int]:
    return set(np.linspace(0, count - 1, min(most, count)).round().astype(int).tolist())


def positions(stops: Sequence[float], between: int) -> list[tuple[float, bool]]:
    """Values of a knob in order, and whether each is a stop; between two so many, evenly by ratio or difference."""
    found = []
    for low, high in itertools.pairwise(stops):
        found.append((low, True))
        shares = [k / (between + 1.0) for k in range(1, between + 1)]
        if low > 0.0:
            found += [(low * (high / low) ** share, False) for share in shares]
        else:
            found += [(low + (high - low) * share, False) for share in shares]
    return [*found, (stops[-1], True)]


def telling(name: str, tracks: Tracks) -> int:
    """The state of a lesson that says most: of a walk there and back, the one with the deepest loop on the way there.

    So the walker faces the same way wherever a lesson stands still.
    """
    if name != "slack-walks":
        return max(len(track.shots) for track in tracks) - 1
    main = next(track for track in tracks if track.holds is Holds.MAIN)
    turned = int(np.argmax([-np.inf if each.feet is None else each.feet[0] for each in main.shots]))
    return int(np.argmax([each.depth[each.deepest] for each in main.shots[: turned + 1]]))


def every_take(
    name: str,
    stops: Sequence[float],
    most: int,
    own: Callable[[float], bool],
    told: Told,
    what: str,
    run: Callable[[float, bool], Tracks],
) -> tuple[Take, ...]:
    """Every position of the knob, `most` at the least; one between two stops keeps the state that says most."""
    between = max(0, -(-(most - len(stops)) // (len(stops) - 1)))
    values, takes = positions(stops, between), []
    for count, (value, whole) in enumerate(values):
        tracks = run(value, whole)
        if not whole:
            says = telling(name, tracks)
            tracks = tuple(replace(each, shots=(each.shots[min(says, len(each.shots) - 1)],)) for each in tracks)
        takes.append(Take(value=value, own=whole and own(value), whole=whole, tracks=tracks))
        told((count + 1) / len(values), what)
    return tuple(takes)


def row_of(name: str, holds: Holds | None, planned: Plan, shots: tuple[LessonShot, ...]) -> LessonRow:
    """A row whose states are all shown."""
    ranges = ranges_of([(each.own, each.depth) for each in shots])
    return LessonRow(name=name, holds=holds, planned=planned, shots=shots, ranges=ranges)


def walked(stepper: Stepper, places: Sequence[float | None]) -> Walked:
    """The state it is in and those of a walk, some left out; what ran counts all of them."""
    shots, ran, kept = [shot(stepper.state)], np.zeros(len(stepper.taped)), _kept(len(places) + 1)
    before, depths = stepper.slide, [(shots[0].own, shots[0].depth)]
    for count, at in enumerate(places, 1):
        stepper.move(at)
        depths.append((stepper.own_bay, stepper.depths))
        now = stepper.slide
        ran, before = ran + np.abs(now - before), now
        if count in kept:
            shots.append(shot(stepper.state, float(ran.max(initial=0.0))))
    return tuple(shots), ranges_of(depths)


def in_styles(rig: Rig, run: Callable[[Stepper], Walked], fixed: LessonRow | None = None) -> Tracks:
    """The three styles; fixed wraps as given, where what differs is no matter to them."""
    found = [] if fixed is None else [fixed]
    for family, holds in STYLES[len(found) :]:
        stepper = Stepper(with_style(rig, family, holds))
        shots, ranges = run(stepper)
        row = LessonRow(name=holds.value, holds=holds, planned=stepper.planned, shots=shots, ranges=ranges)
        found.append(row)
    return tuple(found)


def evened(tracks: Tracks) -> Tracks:
    """Rows with the same number of shots: what comes to rest sooner stays."""
    most = max(len(track.shots) for track in tracks)
    return tuple(
        replace(track, shots=(*track.shots, *[track.shots[-1]] * (most - len(track.shots)))) for track in tracks
    )


def there_and_back(stepper: Stepper, per_bay: int) -> list[float]:
    """Places of a walk to B and back to A, as material coordinates of the main.  [m]"""
    places = stepper.stations(per_bay)
    return [*places.tolist(), *places[::-1].tolist()]
