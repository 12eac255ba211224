"""What the meter at the anchors should read: empty, and with the walker at stated places, with the range to expect."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.errors import SolveError
from linescope.events.bands import with_input
from linescope.notes import Kind, Note, Quantity, Severity, Verbatim
from linescope.rig import Rig, RigSource, checked_rig, inputs_of
from linescope.shown import Outlined
from linescope.statics import Plan, Solution, plan, solve
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]

_IDLE = re.compile(r"hold\.|wind\.|taping\.zones\[\d+\]\.hold|.*strength$|walker\.at$")
"""Inputs that do not act on a rig as taped, in still air, with the walker put at stated places."""
SHARES = (0.0, 0.25, 0.5, 0.75)
"""Places of the walker as shares of the span; 0 stands for nobody on the line."""


NAMED = 4  # Inputs that make most of a range.


class MeterNote(Kind):
    """What is said of a range."""

    EFFECTS = "tension-effects"
    EFFECT = "tension-effect"
    NO_RANGE = "tension-no-range"
    FAILED = "tension-failed"


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class TensionStrip(Outlined):
    """Main tension at both anchors for n loadings.

    Attributes
    ----------
    rig : Rig
    at : (n,) array
        Where the walker stands, from A along the straight line; nan for the empty line.  [m]
    states : tuple of Solution
        The rig as taped in each of them.
    value, low, high : (n, 2) array
        Main tension at A and at B, and the range of it when every input with a band is moved to its ends, one at
        a time and the moves added up: a working band, no certainty.  [N]
    effects : tuple of (str, float)
        Inputs and how much of the widest range at A each makes, as a share, largest first.
    failed : tuple of str
        Inputs at whose ends no state was found; their part of the range is missing.
    """

    rig: Rig
    at: Floats
    states: tuple[Solution, ...]
    value: Floats
    low: Floats
    high: Floats
    effects: tuple[tuple[str, float], ...]
    failed: tuple[str, ...]

    @property
    def notes(self) -> tuple[Note, ...]:
        """Where the range comes from, and what is not in it."""
        if self.effects:
            inputs = tuple(
                Note(kind=MeterNote.EFFECT, severity=Severity.BASIS, values={
                    "input": Verbatim(key), "share": Quantity(share, "ratio"),
                })
                for key, share in self.effects[:NAMED]
            )
            notes = [Note(kind=MeterNote.EFFECTS, severity=Severity.BASIS, values={"inputs": inputs})]
        else:
            notes = [Note(kind=MeterNote.NO_RANGE, severity=Severity.LIMIT)]
        if self.failed:
            keys = tuple(Verbatim(key) for key in self.failed)
            notes.append(Note(kind=MeterNote.FAILED, severity=Severity.LIMIT, values={"inputs": keys}))
        return tuple(notes)


def _loadings(rig: Rig) -> list[Rig]:
    if rig.walker is None:
        return [rig.without_walker()]
    return [rig.with_walker_at(share * rig.span) if share > 0 else rig.without_walker() for share in SHARES]


def _read(rig: Rig, planned: Plan) -> tuple[list[Solution], Floats]:
    states = [solve(replace(loaded), planned=replace(planned, rig=loaded)) for loaded in _loadings(rig)]
    return states, np.array([[state.tension_a, state.tension_b] for state in states])


def tension_strip(
    rig: Rig | RigSource, *, planned: Plan | None = None, progress: Callable[[float], None] | None = None
) -> TensionStrip:
    """Readings of a meter in the main at anchor A and at anchor B.

    Parameters
    ----------
    rig : RigSource or Rig
        A scene, or a rig, of whose inputs no low and high are known.  Without a walker only the empty line is read.
    planned : Plan, optional
        `plan(rig)`, when it was made before.
    progress : callable, optional
        Told the share done.

    Raises
    ------
    SolveError
        When the rig as given does not converge; a low or high input that does not is named in `failed`.
    """
    given, rig = inputs_of(rig).bands, checked_rig(rig)
    planned = plan(rig) if planned is None else planned
    states, value = _read(rig, planned)
    low, high = value.copy(), value.copy()
    effects: dict[str, float] = {}
    failed: list[str] = []
    moves = [(key, (band.low, band.high)) for key, band in given.items() if not _IDLE.match(key)]
    for count, (key, ends) in enumerate(moves):
        if progress is not None:
            progress(count / len(moves))
        found = [value]
        for to in ends:
            changed = with_input(rig, key, to, given[key])
            if changed is None:
                continue
            try:
                found.append(_read(changed, plan(changed))[1])
            except SolveError:
                failed.append(key)
        down, up = np.min(found, axis=0) - value, np.max(found, axis=0) - value
        low, high = low + down, high + up
        effects[key] = float((up - down)[-1, 0])
    total = sum(effects.values())
    shares = sorted(((key, width / total) for key, width in effects.items() if total > 0), key=lambda item: -item[1])
    places = [np.nan if state.rig.walker is None else state.rig.walker.at for state in states]
    strip = TensionStrip(
        rig=rig,
        at=np.array(places),
        states=tuple(states),
        value=value,
        low=low,
        high=high,
        effects=tuple(item for item in shares if item[1] >= 0.01),
        failed=tuple(dict.fromkeys(failed)),
    )
    freeze(strip)
    return strip
