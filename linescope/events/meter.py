"""What the meter at the anchors should read: empty, and with the walker at stated places, with the range to expect."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.events.bands import ENDS, moved_by, scaled
from linescope.events.draw_figures import tensions
from linescope.events.rig_draws import draw
from linescope.events.sampling import FIRST, points
from linescope.events.shares import QuadraticFit, shares_of
from linescope.notes import Kind, Note, Quantity, Severity, Value, Verbatim
from linescope.rig import Rig, RigSource, checked_rig, inputs_of
from linescope.shown import Outlined
from linescope.statics import Plan, Solution, plan, solve
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]

SHARES = (0.0, 0.25, 0.5, 0.75)
"""Places of the walker as shares of the span; 0 stands for nobody on the line."""
NAMED = 4  # Inputs that make most of a range.


class MeterNote(Kind):
    """What is said of a range."""

    EFFECTS = "tension-effects"
    EFFECT = "tension-effect"
    NO_RANGE = "tension-no-range"
    LOST = "tension-lost"


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
        Main tension at A and at B, and below which 5 and 95 % of the draws of all inputs with a band lie.  [N]
    effects : tuple of (str, float)
        Inputs and their shares of the variance at A with the walker at the last place, largest first.
    draws, lost : int
        How many draws, and in how many no state was found.
    """

    rig: Rig
    at: Floats
    states: tuple[Solution, ...]
    value: Floats
    low: Floats
    high: Floats
    effects: tuple[tuple[str, float], ...]
    draws: int
    lost: int

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
        if self.lost:
            values: dict[str, Value] = {"lost": self.lost, "draws": self.draws}
            notes.append(Note(kind=MeterNote.LOST, severity=Severity.LIMIT, values=values))
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
        When the rig as given does not converge; a draw that does not is counted in `lost`.
    """
    given, rig = inputs_of(rig).bands, checked_rig(rig)
    planned = plan(rig) if planned is None else planned
    states, value = _read(rig, planned)
    places = np.array([np.nan if state.rig.walker is None else state.rig.walker.at for state in states])
    groups, _ = moved_by(rig, given)
    groups = tuple(
        group for group in groups if (group.name != "survey" and not group.name.startswith("walker."))
        or (group.name == "walker.mass" and rig.walker is not None)
    )
    low, high, effects, lost, count = value.copy(), value.copy(), {}, 0, 0
    if groups:
        at = points(len(groups), FIRST)
        drawn, count = draw(planned, groups, at), len(at)
        lost = count - len(drawn.rows)
        for row, place in enumerate(places):
            loaded = drawn.loaded(None if np.isnan(place) else float(place), walker=not np.isnan(place))
            ends = np.column_stack(tensions(loaded.stack, loaded.balanced))
            lost = max(lost, count - int(loaded.balanced.done.sum()))
            low[row], high[row] = np.nanquantile(ends, (ENDS[0], ENDS[-1]), axis=0)
            if progress is not None:
                progress((row + 1) / len(places))
        surface = QuadraticFit.through(scaled(groups, at[drawn.rows]), ends[:, 0])
        if surface is not None:
            total = shares_of(surface, lambda share: scaled(groups, share))[1]
            effects = {group.name: float(part / total.sum()) for group, part in zip(groups, total, strict=True)}
    strip = TensionStrip(
        rig=rig,
        at=places,
        states=tuple(states),
        value=value,
        low=low,
        high=high,
        effects=tuple(item for item in sorted(effects.items(), key=lambda item: -item[1]) if item[1] >= 0.01),
        draws=count,
        lost=lost,
    )
    freeze(strip)
    return strip
