"""What to change for a line to be as it is wished: plans that were solved exactly, or what stands in their way."""

from linescope.advise.advice import advise
from linescope.advise.foretell import Foreteller, WishEstimate
from linescope.advise.results import (
    Advice,
    AdviceVerdict,
    Ask,
    Gives,
    Kept,
    More,
    Option,
    PlanReason,
    Quality,
    Set,
)

__all__ = [
    "Advice",
    "AdviceVerdict",
    "Ask",
    "Foreteller",
    "Gives",
    "Kept",
    "More",
    "Option",
    "PlanReason",
    "Quality",
    "Set",
    "WishEstimate",
    "advise",
]  # fmt: skip
