"""A plan as hands make it: pull, excess and leash a little off, and inputs as uncertain as given."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.advise.case import AdvisedRig
from linescope.advise.search import FAR_TO_DRAW, SCOUTS, Terms
from linescope.errors import LinescopeError
from linescope.events.bands import moved_by
from linescope.events.moved import moved
from linescope.events.rig_draws import frozen
from linescope.events.sampling import DrawGroup, points
from linescope.rig import Band
from linescope.scene import Scene

Floats = NDArray[np.float64]

LOW, HIGH = 0.05, 0.95
WANTED = 0.95
"""Share of draws that a reserve is sought for: more than is asked of a plan, which the draws tell to a few percent."""
LOST = ((0.95, 1.0), (0.97, 1.0), (1.0, 1.0), (1.0, 1.1))
"""Shares of the draws that lose less of one wish than its reserve, and how much more than that it is; in turn.  [-]"""
PULL_HELD, EXCESS_HELD, LEASH_HELD = 0.05, 0.003, 0.02
"""How well hands hold a standing tension (share of it), an excess [-] and a length of leash [m], either way; common
practice, no source."""


@dataclass(frozen=True, eq=False, kw_only=True)
class DrawnPlan:
    """A plan in R draws.

    Attributes
    ----------
    terms : Terms
    values : (R, m) array
        Values of the terms; nan where a draw does not stand, or a term was left out.  [SI]
    margins : (R, m) array
        Of what was left out infinite.  [-]
    left_out : (R, m) bool array
        What was not looked at, for it was kept by far in all draws before.
    """

    terms: Terms
    values: Floats
    margins: Floats
    left_out: NDArray[np.bool_]

    @property
    def share(self) -> float:
        """Of the draws in which every wish is kept.  [-]"""
        return float(np.mean(np.all(self.margins >= 0.0, axis=1)))

    def band(self, number: int) -> tuple[float, float, float]:
        """Of one wish: between which its worst places lay in 90 % of the draws, and the share that kept it.

        Parameters
        ----------
        number : int
            Of the wish.
        """
        mine = (self.terms.owner == number) & self.terms.asked
        low = np.min(np.where(np.isfinite(self.values[:, mine]), self.values[:, mine], np.inf), axis=1)
        high = np.max(np.where(np.isfinite(self.values[:, mine]), self.values[:, mine], -np.inf), axis=1)
        some = np.isfinite(low) & np.isfinite(high)
        if not some.any():
            return (float("nan"),) * 3
        looked = ~np.all(self.left_out[:, mine], axis=1)
        kept = float(np.mean(np.all(self.margins[looked][:, mine] >= 0.0, axis=1)))
        return float(np.quantile(low[some], LOW)), float(np.quantile(high[some], HIGH)), kept

    def draws(self, number: int) -> int:
        """In how many draws one wish was looked at.

        Parameters
        ----------
        number : int
            Of the wish.
        """
        mine = (self.terms.owner == number) & self.terms.asked
        return int(np.sum(~np.all(self.left_out[:, mine], axis=1)))

    def reserve(self, margins: Floats) -> Floats:
        """Margin that each wish needs as planned, below and above, for all of them together to be kept in `WANTED` of
        these draws: what each loses in its worst ones, more of it until that holds.

        Wishes that each are kept in nineteen of twenty draws may be kept together in far fewer.

        Parameters
        ----------
        margins : (m,) array
            As planned.  [-]

        Returns
        -------
        (wishes, 2) array
            [-]
        """
        asked = np.flatnonzero(self.terms.asked).tolist()
        with np.errstate(invalid="ignore"):
            lost = np.where(np.isfinite(self.margins), margins - self.margins, -np.inf)
        known = np.isfinite(self.margins)
        out = np.zeros((len(self.terms.watched), 2))
        for share, more in LOST:
            out = np.zeros_like(out)
            for k in asked:
                if known[:, k].any():
                    place = self.terms.owner[k], self.terms.side[k]
                    out[place] = max(out[place], more * float(np.quantile(lost[known[:, k], k], share)))
            kept = np.all((lost <= self.terms.spread(out))[:, asked], axis=1)
            if float(np.mean(kept)) >= WANTED:
                break
        return out


def hand_bands(scene: Scene) -> dict[str, Band]:
    """Low, value and high of what hands hold no better, where the scene does not say how well it is known.

    Parameters
    ----------
    scene : Scene
    """
    rig, found = scene.rig, dict(scene.inputs.bands)

    def add(key: str, value: float | None, by: float) -> None:
        known = found.get(key)
        if value is not None and by > 0.0 and (known is None or known.low == known.high):
            found[key] = Band(low=value - by, value=value, high=value + by)

    add("main.tension", rig.main_plan.tension, PULL_HELD * (rig.main_plan.tension or 0.0))
    if rig.backup_plan.given_by == "excess" and any(zone.excess is None for zone in rig.taping.zones):
        add("backup.excess", rig.backup_plan.value, EXCESS_HELD)
    for number, zone in enumerate(rig.taping.zones, 1):
        add(f"taping.zones[{number}].excess", zone.excess, EXCESS_HELD)
    if rig.walker is not None:
        add("walker.leash", rig.walker.leash, LEASH_HELD)
    return found


def drawn_of(
    scene: Scene, case: AdvisedRig, terms: Terms, count: int, tell: Callable[[float], None]
) -> DrawnPlan:
    """A plan in draws of what hands and inputs may be, tapes where they were laid.

    Parameters
    ----------
    scene : Scene
        With the plan tried.
    case : AdvisedRig
        The plan.
    terms : Terms
    count : int
        Draws.
    tell : callable
        Told the share done.
    """
    drawn_groups, _ = moved_by(scene.rig, hand_bands(scene))
    return in_draws(case, drawn_groups, terms, count, tell)


def in_draws(
    case: AdvisedRig, drawn_groups: Sequence[DrawGroup], terms: Terms, count: int, tell: Callable[[float], None],
    *, thrifty: bool = True,
) -> DrawnPlan:
    """A rig in draws of groups of inputs, tapes where they were laid.

    Parameters
    ----------
    case : AdvisedRig
    drawn_groups : sequence of DrawGroup
    terms : Terms
    count : int
        Draws.
    tell : callable
        Told the share done.
    thrifty : bool
        Whether what is kept by far in the first `SCOUTS` draws is left out of the others.
    """
    bands = {key: band for group in drawn_groups for key, band in group.bands.items()}
    shares, base = points(max(len(drawn_groups), 1))[:count], frozen(case.planned)
    found = np.full((count, len(terms.owner)), np.nan)
    left_out = np.repeat(_beside(terms)[None], count, axis=0)
    for number, share in enumerate(shares):
        values: dict[str, float] = {}
        for group, each in zip(drawn_groups, share, strict=False):
            values |= {key: float(value[0]) for key, value in group.at(np.array([each])).items()}
        if number == SCOUTS and thrifty:
            left_out[number:] |= terms.kept_by_far(found[:number], FAR_TO_DRAW)
        with contextlib.suppress(LinescopeError):
            one = AdvisedRig(moved(base, values, bands), case.index)
            one.see(case.deeper)
            found[number] = terms.values(one, left_out[number] if left_out[number].any() else None)
        tell((number + 1) / count)
    margins = np.array([terms.margins(each) for each in found]).reshape(found.shape)
    stands = np.isfinite(found).any(axis=1) | left_out.all(axis=1)
    lost = np.isnan(margins) & ~(left_out & stands[:, None])
    margins = np.where(lost, -np.inf, np.where(np.isnan(margins), np.inf, margins))
    return DrawnPlan(terms=terms, values=found, margins=margins, left_out=left_out)


def _beside(terms: Terms) -> NDArray[np.bool_]:
    """(m,) what is measured to rock beside anchors: a survey's error moves an anchor along with its own rock, and here
    it would move it over that."""
    found = np.zeros(len(terms.owner), dtype=bool)
    for k, (owner, row) in enumerate(zip(terms.owner.tolist(), terms.row.tolist(), strict=True)):
        watched = terms.watched[owner]
        found[k] = row >= watched.plain and watched.measurands[row - watched.plain][0].within
    return found
