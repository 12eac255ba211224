"""What lets go by itself: slides that the hold cannot keep as taped, before any walk, and the loops that come of it.

Slope is not the only thing that starts a slider.  A deep loop beside a shallow one pulls more on their tape from its
side, and where the difference exceeds the tape's hold, backup runs into the deeper loop until the hold suffices.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import get_args

import numpy as np

from linescope.errors import SolveError
from linescope.events.crossing import cross
from linescope.events.friction import HoldLevel
from linescope.notes import Bays, Kind, Note, Quantity, Range, Severity, Value
from linescope.rig import Rig
from linescope.shown import Outlined
from linescope.statics import Plan, Solution, plan
from linescope.statics.pair import FIXED
from linescope.taping import Holds

SEEN = 1e-3  # A slip that counts [m].
MOST_NAMED = 12  # Runs of tape numbers in a sentence.


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class LetGo(Outlined):
    """A rig with its tapes holding as much as they do: as taped, but for those that cannot.

    Attributes
    ----------
    level : {"low", "value", "high"}
        Which end of the hold bands.
    empty : Solution
        Nobody on the line.
    walker : Solution or None
        The walker then put where he stands, without the way there.
    """

    level: HoldLevel
    empty: Solution
    walker: Solution | None

    @property
    def gone_empty(self) -> tuple[int, ...]:
        """Numbers of the tapes that have let go before anyone steps on."""
        return slipped(self.empty)

    @property
    def gone_walker(self) -> tuple[int, ...]:
        """Numbers of the tapes that have let go with the walker where he stands."""
        return () if self.walker is None else slipped(self.walker)


def slipped(solution: Solution) -> tuple[int, ...]:
    """Numbers of the tapes through which a line has slid by a millimetre or more since taped."""
    return tuple(
        tape.number for tape, slip in zip(solution.layout.tapes, solution.tape_slip, strict=True) if abs(slip) >= SEEN
    )


def find_let_go(
    rig: Rig, *, planned: Plan | None = None, progress: Callable[[float], None] | None = None
) -> dict[HoldLevel, LetGo]:
    """The rig with low hold, with the hold as given, and with high hold.

    Parameters
    ----------
    rig : Rig
    planned : Plan, optional
        Of the same rig.
    progress : callable, optional
        Told the share done.

    Returns
    -------
    dict of {"low", "value", "high"} to LetGo
        Empty where nothing slides; a level at which no state was reached is missing.
    """
    planned = plan(rig) if planned is None else planned
    found: dict[HoldLevel, LetGo] = {}
    if not bool((planned.pair.slide != FIXED).any()):
        return found
    route = [] if rig.walker is None else [planned.walker_coordinate(rig.walker.at)]
    for count, level in enumerate(get_args(HoldLevel)):
        if progress is not None:
            progress(count / len(get_args(HoldLevel)))
        try:
            walk = cross(rig, level=level, route=route, planned=planned)
        except SolveError:
            continue
        found[level] = LetGo(level=level, empty=walk.before, walker=walk.solution_at(0) if route else None)
    return found


class SlidingNote(Kind):
    """What is said of tapes that let go, and of slopes that start them."""

    UNKNOWN = "sliding-unknown"
    LET_GO = "sliding-let-go"
    LET_GO_THEN = "sliding-let-go-then"
    LET_GO_WALKER = "sliding-let-go-walker"
    NONE = "sliding-none"
    LEVEL = "sliding-level"
    LEVEL_NONE = "sliding-level-none"
    LEVEL_UNKNOWN = "sliding-level-unknown"


def let_go_notes(found: Mapping[HoldLevel, LetGo], *, standing: Solution, taped: Solution) -> tuple[Note, ...]:
    """What lets go with the hold as given, then with low and with high hold.

    Parameters
    ----------
    found : mapping of {"low", "value", "high"} to LetGo
        Of a rig in which something slides.
    standing, taped : Solution
        As taped, without and with the walker.
    """
    held = found.get("value")
    if held is None:
        notes = [Note(kind=SlidingNote.UNKNOWN, severity=Severity.CHECK)]
    elif held.gone_empty:
        notes = [_note(SlidingNote.LET_GO, Severity.CHECK, held.empty, standing)]
        if held.walker is not None:
            notes.append(_note(SlidingNote.LET_GO_THEN, Severity.LIMIT, held.walker, taped))
    elif held.walker is not None and held.gone_walker:
        notes = [_note(SlidingNote.LET_GO_WALKER, Severity.CHECK, held.walker, taped)]
    else:
        values: dict[str, Value] = {"walker": "no" if held.walker is None else "yes"}
        notes = [Note(kind=SlidingNote.NONE, severity=Severity.BASIS, values=values)]
    levels: tuple[HoldLevel, ...] = ("low", "high")
    for level in levels:
        other = found.get(level)
        values = {"hold": level, "walker": "yes" if other is not None and not other.gone_empty else "no"}
        if other is None:
            notes.append(Note(kind=SlidingNote.LEVEL_UNKNOWN, severity=Severity.LIMIT, values=values))
        elif other.gone_empty or other.gone_walker:
            state = other.empty if other.gone_empty or other.walker is None else other.walker
            notes.append(_note(SlidingNote.LEVEL, Severity.LIMIT, state, None, values))
        else:
            notes.append(Note(kind=SlidingNote.LEVEL_NONE, severity=Severity.BASIS, values=values))
    return tuple(notes)


def _note(
    kind: SlidingNote, severity: Severity, state: Solution, before: Solution | None,
    more: Mapping[str, Value] | None = None,
) -> Note:
    gone, slip = slipped(state), float(np.max(np.abs(state.tape_slip), initial=0.0))
    few = sum(b - a > 1 for a, b in itertools.pairwise((-1, *gone))) <= MOST_NAMED
    values: dict[str, Value] = {
        **(more or {}), "count": len(gone), "tapes": Bays(gone), "few": "yes" if few else "no",
        "total": sum(tape.holds is not Holds.BOTH for tape in state.layout.tapes),
        "slip": Quantity(slip, "length", "up"), "loops": _depths(state),
    }
    if before is not None:
        values["before"] = _depths(before)
    return Note(kind=kind, severity=severity, values=values, weight=slip)


def _depths(state: Solution) -> Range:
    depths = state.bays.loop_depth
    return Range(low=float(depths.min()), high=float(depths.max()), dimension="length")
