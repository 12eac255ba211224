"""What was measured on a first strip corrects the lines' sizes, and with them every strip.

Webbing squeezes, its edges are round, and every crew pulls the tape differently: a strip's end moves by 2 mm for 0.1
mm of webbing's thickness and by 3 mm for 1 % of pull, and it has 4.5 mm of room.  All of this changes the way round,
so both lines are taken smaller or larger by one factor k.  A strip wound once round the bare pair is

    T = k P + pi tt,    so    k = (T - pi tt) / P                                        (1)

long.  A first tape that was cut to L and ends a length x beyond the middle of the underside would have ended in it at
L - x.  Of what the strip takes up to there by the lines' sizes, L0, the part B that lies along them bare grows with
k, and what its corners take, short end, tab, lead and cross piece do not:

    k = 1 + (L - x - L0) / B                                                             (2)

The turn is the one in which it ends nearest without a correction.  While the end of a cross piece's layer lies at a
corner the strip grows more slowly with the lines than by B, so there the strip is wound on larger and smaller lines
until one is as long as was measured (Brent's method).
"""

from __future__ import annotations

import functools
import math

from linescope.errors import InputError
from linescope.taping.beginnings import Enclosing, Patch
from linescope.taping.families import FAMILIES
from linescope.taping.outline import Outline
from linescope.taping.section import Section, lines_of
from linescope.taping.stock import FirstStrip, TapeStock
from linescope.taping.winding import wind

LEAST, MOST = 0.75, 1.25
"""What a factor can be; beyond that something else was measured.  Assumed. [-]"""
NEAR = 2e-5
"""How near to the measured length a strip by the formula must be, else it is searched for. [m]"""


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


@functools.lru_cache(maxsize=64)
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


def _matched(outline: Outline, other: Outline, place: float) -> float:
    """The place, any number of turns on, that corresponds to one of another outline.  [m, see `Outline`]"""
    turns, rest = divmod(place, other.round)
    return outline.matched(other, rest) + turns * outline.round


def _from_first(section: Section, stock: TapeStock, first: FirstStrip) -> float:
    """Factor with which a first strip ends where it was found, by equation (2)."""
    family = FAMILIES[first.family]
    tape, wanted = family.tape(stock), first.length - first.past
    beginning = family.recipe(section, tape, stock, first.holds)
    wound = wind(section, tape.thickness, first.holds, beginning)
    held, sliding = lines_of(first.holds)
    # A cross piece keeps its place under the sliding line; all else is laid from where the strip begins or comes out.
    begin = wound.passing(section.middle(sliding), wound.start) if isinstance(beginning, Patch) else wound.start
    passings = [wound.passing(0.0, begin) + k * wound.turn for k in range(24)]
    nearest = min(passings[not isinstance(beginning, Enclosing):], key=lambda u: abs(float(wound.used(u)) - wanted))
    around = 2.0 * (section.width_of(held) + section.thickness_of(held)) if isinstance(beginning, Enclosing) else 0.0
    plain = section.outline  # Without the strip between the lines, which does not grow with them.
    first_place, last_place = (_matched(plain, wound.section.outline, u) for u in (begin, nearest))
    bare = around + wound.over + plain.length(first_place, last_place)
    turn = round((nearest - passings[0]) / wound.turn)

    def length(k: float) -> float:
        """Of the strip on lines so much larger, up to the same passing."""
        again = wind(section.scaled(k), tape.thickness, first.holds, beginning)
        start = again.passing(section.scaled(k).middle(sliding), again.start) if isinstance(beginning, Patch) else (
            again.start)
        return float(again.used(again.passing(0.0, start) + turn * again.turn))

    found = 1.0 + (wanted - float(wound.used(nearest))) / bare
    if LEAST < found < MOST and abs(length(found) - wanted) > NEAR and length(LEAST) < wanted < length(MOST):
        from scipy.optimize import brentq  # Slow to import.

        found = float(brentq(lambda k: length(k) - wanted, LEAST, MOST, xtol=1e-9))
    if not LEAST <= found <= MOST:
        raise InputError(
            "no such strip of this family ends there on these lines", key="first.strip",
            found=f"{1e3 * first.length:.0f} mm",
            allowed=f"about {1e3 * float(wound.used(nearest)):.0f} mm, and what it ends beyond",
        )
    return found
