"""What was measured on a first strip corrects the lines' sizes, and with them every strip.

Webbing squeezes, its edges are round, and every crew pulls the tape differently: a strip's end moves by 2 mm for 0.1
mm of webbing's thickness and by 3 mm for 1 % of pull, and it has 4.5 mm of room.  All of this changes the way round,
so both lines are taken smaller or larger by one factor k.  A strip wound once round the bare pair is

    T = k P + pi tt,    so    k = (T - pi tt) / P                                        (1)

long.  Of a first tape that was cut to L and ends a length x beyond the middle of the underside, k is the factor with
which a strip of L - x ends in that middle; the turn is the one in which it ends nearest without a correction.
"""

from __future__ import annotations

import math

from linescope.errors import InputError
from linescope.taping.families import FAMILIES
from linescope.taping.section import Section
from linescope.taping.stock import FirstStrip, TapeStock
from linescope.taping.winding import wind

LEAST, MOST = 0.75, 1.25
"""What a factor can be; beyond that something else was measured.  Assumed. [-]"""


def corrected(section: Section, stock: TapeStock) -> Section:
    """The two lines as tape finds them.

    Parameters
    ----------
    section : Section
        By their given sizes.
    stock : TapeStock

    Raises
    ------
    InputError
        When what was measured belongs to other lines or another tape.
    """
    return section.scaled(factor(section, stock))


def factor(section: Section, stock: TapeStock) -> float:
    """What both lines' sizes are multiplied by, from the measured turn or the first strip; 1 without.  [-]

    Raises
    ------
    InputError
        As `corrected`.
    """
    if stock.first is not None:
        return _from_first(section, stock, stock.first)
    if stock.measured_turn is None:
        return 1.0
    found = (stock.measured_turn - math.pi * stock.thickness) / section.perimeter
    if not LEAST <= found <= MOST:
        low, high = (k * section.perimeter + math.pi * stock.thickness for k in (LEAST, MOST))
        raise InputError(
            "this is not one turn round these two lines", key="measured_turn",
            found=f"{1e3 * stock.measured_turn:.1f} mm", allowed=f"{1e3 * low:.0f} to {1e3 * high:.0f} mm",
        )
    return found


def _from_first(section: Section, stock: TapeStock, first: FirstStrip) -> float:
    """Factor with which a first strip ends where it was found; by secants, the length is almost linear in it."""
    family = FAMILIES[first.family]
    tape, wanted = family.tape(stock), first.length - first.past
    beginning = family.recipe(section, tape, stock, first.holds)
    bare = wind(section, tape.thickness, first.holds, beginning)
    passings = [bare.passing(0.0, bare.start) + k * bare.turn for k in range(24)]
    nearest = min(range(24), key=lambda k: abs(float(bare.used(passings[k])) - wanted))

    def miss(k: float) -> float:
        wound = wind(section.scaled(k), tape.thickness, first.holds, beginning)
        return float(wound.used(wound.passing(0.0, wound.start) + nearest * wound.turn)) - wanted

    low, high = 1.0, 1.01
    for _ in range(30):
        slope = (miss(high) - miss(low)) / (high - low)
        low, high = high, high - miss(high) / slope
        if not LEAST <= high <= MOST:
            raise InputError(
                "no such strip of this family ends there on these lines", key="first.strip",
                found=f"{1e3 * first.length:.0f} mm",
                allowed=f"about {1e3 * float(bare.used(passings[nearest])):.0f} mm, and what it ends beyond",
            )
        if abs(miss(high)) < 1e-9:
            break
    return high
