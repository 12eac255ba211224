"""An advice as data: what was asked, plans with what they make of each wish, or what stands in their way."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from linescope.advise.explain import LeverShare
from linescope.advise.foretell import Foreteller
from linescope.advise.levers import Lever
from linescope.advise.price import Price
from linescope.clearance import Cause, Clearance
from linescope.clearance.finding import Verdict
from linescope.errors import InputError
from linescope.rig import Rig, Wish
from linescope.units import System

DRAWS = 32
ENOUGH = 0.9
"""Share of draws in which a plan keeps all its wishes before it is said to be held.  [-]"""
MOST_PLANS = 4


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
    system : {"metric", "feet"}
        Units in which hands set lengths.
    """

    wishes: tuple[Wish, ...] = ()
    draws: int = DRAWS
    check: bool = True
    most: int = MOST_PLANS
    seed: int = 0
    system: System = "metric"


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
    draws : int
        In how many it was looked at: fewer than of the plan where it was kept by far in the first ones.
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
    draws: int = 0
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
    zone : int or None
        The tape zone of that style, counted from 1; None for the whole line.
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
    zone: int | None = None

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
    explained : float
        The least share of variance explained at any of its places.  [-]
    error : float
        The largest root mean square of what is missed.  [of what the surface is laid through]
    """

    wish: Wish
    explained: float
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
    foreteller : Foreteller or None
        What any other setting of the levers would give, as surfaces say; None where none were laid.
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
    foreteller: Foreteller | None = None

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
