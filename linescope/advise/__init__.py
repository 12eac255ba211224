"""What to change for a line to be as it is wished: plans that were solved exactly, or what stands in their way."""

from linescope.advise.advice import Advice, Ask, Gives, Kept, More, Option, Quality, Set, Verdict, Why, advise

__all__ = [
    "Advice", "Ask", "Gives", "Kept", "More", "Option", "Quality", "Set", "Verdict", "Why", "advise",
]  # fmt: skip
