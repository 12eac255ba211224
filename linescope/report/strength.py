"""Tensions against the strengths that the user gave: a comparison, never a verdict."""

from __future__ import annotations

from linescope.units import System, at_most, format_si
from linescope.webbing import Webbing


def share_of_strength(tension: float, line: Webbing, *, system: System = "metric") -> str:
    """Such as "71 % of its aged strength, 26 kN"; rounded up.

    Parameters
    ----------
    tension : float
        [N]
    line : Webbing
        Its aged strength counts when that is given, else the one as new.
    system : {"metric", "feet"}
    """
    return (
        f"{at_most(tension / line.strength, 'ratio')} of its {strength_name(line)}, "
        f"{format_si(line.strength, 'force', system=system)}"
    )


def strength_name(line: Webbing) -> str:
    """Which strength tensions are compared with: "aged strength" or "strength as new"."""
    return "strength as new" if line.aged_strength is None else "aged strength"
