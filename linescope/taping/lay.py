"""Lay a strip round a section as a family's recipe says: how long it is, where its end comes to lie, what it
covers."""

from __future__ import annotations

import math
from functools import lru_cache

from linescope.errors import InputError
from linescope.taping.beginnings import Beginning, Enclosing, Lead, Patch, Tab
from linescope.taping.between import Between, of_both
from linescope.taping.families import FAMILIES
from linescope.taping.family import TapeFamily
from linescope.taping.holds import Holds
from linescope.taping.laid import CLEAR_OF_EDGE, NARROW, Coverage, Finish, LaidTape, Segment, StripMark
from linescope.taping.measured import corrected
from linescope.taping.section import Section, lines_of
from linescope.taping.stock import TIE, TapeStock
from linescope.taping.winding import Winding, wind


def lay(family: TapeFamily, section: Section, stock: TapeStock, holds: Holds | None = None) -> LaidTape:
    """One tape of a family, cut as `stock.finish` asks.

    Parameters
    ----------
    family : TapeFamily
    section : Section
        By the lines' given sizes; what was measured corrects it here.
    stock : TapeStock
    holds : Holds, optional
        Which line it grips; the family's usual one when left out.

    Raises
    ------
    InputError
        When the family cannot be made to hold that line, or a strip is longer than a roll.
    """
    return _lay_once(family, section, stock, holds)


@lru_cache(maxsize=64)
def _lay_once(family: TapeFamily, section: Section, stock: TapeStock, holds: Holds | None) -> LaidTape:
    """`lay`; what rub, cut list and tables ask of the same tape is wound once."""
    nominal = lay_whole_wraps(family, section, stock, holds)
    if stock.finish == "as wrapped" or nominal.finish.nearest_change == 0.0:
        return nominal
    return lay_length(family, section, stock, nominal.cut_length + nominal.finish.nearest_change, holds)


def find_between(key: str, section: Section, stock: TapeStock, holds: Holds) -> Between:
    """What a tape puts between the lines and round them.

    Parameters
    ----------
    key : str
        Of the family, or "tie".
    section : Section
    stock : TapeStock
    holds : Holds

    Raises
    ------
    InputError
        As `lay`.
    """
    if key == TIE:
        return of_both(stock.width, glued=False)
    return lay(FAMILIES[key], section, stock, holds).between


def lay_whole_wraps(
    family: TapeFamily, section: Section, stock: TapeStock, holds: Holds | None = None
) -> LaidTape:
    """One tape with the stock's number of wraps, wherever its end falls.

    Parameters
    ----------
    family, section, stock, holds
        See `lay`.

    Raises
    ------
    InputError
        As `lay`, or when so few wraps end on the dry part.
    """
    holds = checked(family, holds)
    found = corrected(section, stock)
    winding = _wound(family, found, stock, holds)
    least, stop = _first_turn(winding), winding.stop(stock.wraps)
    if stop < least - 1e-9:
        raise InputError(
            f"so few wraps of a {family.key} end on its dry zone", key="wraps", found=f"{stock.wraps:g}",
            allowed=f"at least {math.ceil(10.0 * winding.turns(least) - 1e-6) / 10.0:g}",
        )
    return _laid(family, section, found, stock, winding, stop)


def lay_length(
    family: TapeFamily, section: Section, stock: TapeStock, cut_length: float, holds: Holds | None = None,
    beginning: Beginning | None = None,
) -> LaidTape:
    """One tape of a strip cut to a given length.

    Parameters
    ----------
    family, section, stock
        See `lay`.
    cut_length : float
        [m]
    holds
        See `lay`.
    beginning : Beginning, optional
        How it was begun; the family's way when left out.

    Raises
    ------
    InputError
        As `lay`, or when the strip does not go round once beyond its dry part.
    """
    holds = checked(family, holds)
    found = corrected(section, stock)
    winding = _wound(family, found, stock, holds, beginning)
    least = float(winding.used(_first_turn(winding)))
    if cut_length < least - 1e-6:
        raise InputError(
            "the strip is too short to go round once beyond its dry zone", key="length",
            found=f"{cut_length:.3f} m", allowed=f"at least {least:.3f} m",
        )
    return _laid(family, section, found, stock, winding, winding.reached(cut_length))


def checked(family: TapeFamily, holds: Holds | None) -> Holds:
    """The line a tape shall grip, the family's usual one for None.

    Raises
    ------
    InputError
        When the family cannot be made to hold it.
    """
    holds = holds or family.can_hold[0]
    if holds not in family.can_hold:
        raise InputError(
            f"a {family.key} cannot hold {holds.value}", key="holds", found=holds.value,
            allowed=", ".join(repr(h.value) for h in family.can_hold),
        )
    return holds


def _wound(
    family: TapeFamily, section: Section, stock: TapeStock, holds: Holds, beginning: Beginning | None = None
) -> Winding:
    tape = family.tape(stock)
    return wind(section, tape.thickness, holds, beginning or family.recipe(section, tape, stock, holds))


def _first_turn(winding: Winding) -> float:
    """The place where a strip has gone round once and has left its dry part: it ends there or further on."""
    return winding.full if winding.dry is None else max(winding.full, winding.dry[1])


def _laid(
    family: TapeFamily, lines: Section, section: Section, stock: TapeStock, winding: Winding, stop: float
) -> LaidTape:
    """Everything that follows from how a strip goes round and where it ends."""
    length = float(winding.used(stop))
    tape = family.tape(stock)
    if length > tape.roll:
        raise InputError(
            f"one strip of a {family.key} is longer than a roll of tape", key="cloth_roll" if tape.is_cloth else
            "roll", found=f"{tape.roll:g} m", allowed=f"at least {length:.3f} m",
        )
    return LaidTape(
        family=family, holds=winding.holds, lines=lines, section=section, stock=stock, winding=winding, stop=stop,
        cut_length=length, segments=_segments(winding, length), marks=_marks(winding, stop), finish=finish_of(winding,
        stop), coverage=coverage_of(winding, stock.margin),
    )


def finish_of(winding: Winding, stop: float) -> Finish:
    """Where a strip that ends at a place comes to lie, and what moves it underneath.

    Parameters
    ----------
    winding : Winding
    stop : float
        [m, see `Outline`]
    """
    section, turn = winding.section, winding.turn
    after, before = math.ceil(stop / turn - 1e-9) * turn, math.floor(stop / turn + 1e-9) * turn
    length = float(winding.used(stop))
    past, rest = section.from_edges(stop)
    return Finish(
        face=section.face_at(stop), past=past, rest=rest,
        add=max(0.0, float(winding.used(after)) - length),
        cut=length - float(winding.used(before)) if before >= _first_turn(winding) - 1e-9 else math.nan,
        clear=min(CLEAR_OF_EDGE, NARROW * section.face_length("backup")),
    )


def coverage_of(winding: Winding, margin: float) -> Coverage | None:
    """What the dry part leaves over round the sliding line; None where nothing slides.

    Parameters
    ----------
    winding : Winding
    margin : float
        What was asked for.  [m]
    """
    if winding.dry is None:
        return None
    section, outline, turn = winding.section, winding.section.outline, winding.turn
    held, sliding = lines_of(winding.holds)
    low, high = winding.dry
    first, last = section.contact(sliding)
    middle = 0.5 * (first + last)
    shift = round((0.5 * (low + high) - middle) / turn) * turn
    first, last = first + shift, last + shift
    face = section.face(held)[0]
    face += round((high - face) / turn) * turn
    if isinstance(winding.beginning, Patch):  # The strip lies on the piece, the piece on the line.
        height = 1.5 * winding.thickness
        before = outline.length(low, first, height)
    else:
        height = 0.5 * winding.thickness
        before = math.nan if isinstance(winding.beginning, Enclosing) else winding.between
        first = max(first, winding.start)
    return Coverage(
        needed=outline.length(first, last, height), zone=outline.length(low, high, height), before=before,
        after=outline.length(last, high, height), on_held=outline.length(face, high, height), margin=margin,
    )


def _segments(winding: Winding, length: float) -> tuple[Segment, ...]:
    """The flat strip in its parts."""
    beginning = winding.beginning
    ends: list[tuple[str, float]]
    if isinstance(beginning, Lead):
        ends = [("lead", beginning.length)]
    elif isinstance(beginning, Patch):
        ends = [("lead", beginning.lead), ("dry", beginning.lead + beginning.zone)]
    elif isinstance(beginning, Tab):
        ends = [("fold", beginning.fold), ("tab", 2.0 * beginning.fold)]
    else:
        assert winding.dry is not None
        inside = beginning.short + winding.between
        tail = float(winding.used(winding.dry[1]))
        ends = [
            ("short", beginning.short), ("between", inside), ("around", winding.before - winding.over), ("tail", tail)
        ]
    found, start = [], 0.0
    for kind, end in [*ends, ("wound", length)]:
        if end > start:
            found.append(Segment(kind=kind, start=start, end=min(end, length)))  # type: ignore[arg-type]
            start = end
    return tuple(found)


def _marks(winding: Winding, stop: float) -> tuple[StripMark, ...]:
    """Lines across the strip: what is measured out first, and where turns are full."""
    beginning, length = winding.beginning, float(winding.used(stop))
    if isinstance(beginning, Enclosing):
        first = StripMark(kind="short", at=beginning.short)
    elif isinstance(beginning, Tab):
        first = StripMark(kind="fold", at=beginning.fold)
    else:
        first = StripMark(kind="lead", at=beginning.lead if isinstance(beginning, Patch) else beginning.length)
    full = [float(winding.used(winding.stop(k))) for k in range(1, math.floor(winding.turns(stop) + 1e-9) + 1)]
    turns = [StripMark(kind="turn", at=at, number=k) for k, at in enumerate(full, 1) if at < length - 0.001]
    return tuple(sorted([first, *turns], key=lambda mark: mark.at))
