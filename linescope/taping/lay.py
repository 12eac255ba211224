"""Lay a strip round a section as a family's recipe says: how long it is, where its end comes to lie, what it covers."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from linescope.errors import InputError
from linescope.taping.between import Between, of_both
from linescope.taping.families import FAMILIES
from linescope.taping.family import DryBy, TapeFamily, Wrapping
from linescope.taping.holds import Holds
from linescope.taping.laid import Coverage, Finish, LaidTape, Segment, StripMark
from linescope.taping.section import Section, lines_of
from linescope.taping.stock import TIE, TapeStock
from linescope.taping.turns import lengths_to


def lay(family: TapeFamily, section: Section, stock: TapeStock, holds: Holds | None = None) -> LaidTape:
    """One tape of a family, cut as `stock.finish` asks.

    Parameters
    ----------
    family : TapeFamily
    section : Section
    stock : TapeStock
    holds : Holds, optional
        Which line it grips; the family's usual one when left out.

    Raises
    ------
    InputError
        When the family cannot be made to hold that line, or a strip is longer than a roll.
    """
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
        As `lay`, or when so few wraps end on the dry zone.
    """
    holds = holds or family.can_hold[0]
    if holds not in family.can_hold:
        raise InputError(
            f"a {family.key} cannot hold {holds.value}", key="holds", found=holds.value,
            allowed=", ".join(repr(h.value) for h in family.can_hold),
        )
    wrapping = family.recipe(section, stock, holds)
    needed = _first_turn(section, wrapping) - wrapping.start
    if wrapping.turns * section.outline.round < needed - 1e-9:
        more = needed / section.outline.round - wrapping.turns
        raise InputError(
            f"so few wraps of a {family.key} end on its dry zone", key="wraps", found=f"{stock.wraps:g}",
            allowed=f"at least {math.ceil(10.0 * (stock.wraps + more)) / 10.0:g}",
        )
    return _laid(family, section, stock, holds, wrapping)


def lay_length(
    family: TapeFamily, section: Section, stock: TapeStock, cut_length: float, holds: Holds | None = None
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

    Raises
    ------
    InputError
        As `lay`, or when the strip does not go round once beyond its dry zone.
    """
    nominal = lay_whole_wraps(family, section, stock, holds)
    wrapping, turn = nominal.wrapping, section.outline.round
    wanted = nominal.path_length + cut_length - nominal.cut_length - wrapping.tucked
    stop = wrapping.start + turn * (max(wrapping.turns, wanted / section.perimeter) + 1.0)
    places, lengths = lengths_to(section, stock, wrapping, stop)
    least = float(np.interp(_first_turn(section, wrapping), places, lengths))
    if not least - 1e-6 <= wanted <= lengths[-1]:
        raise InputError(
            "the strip is too short to go round once beyond its dry zone", key="length",
            found=f"{cut_length:.3f} m",
            allowed=f"at least {cut_length - wanted + least:.3f} m",
        )
    turns = (float(np.interp(wanted, lengths, places)) - wrapping.start) / turn
    return _laid(family, section, stock, nominal.holds, replace(wrapping, turns=turns))


def _first_turn(section: Section, wrapping: Wrapping) -> float:
    """The place where a strip has gone round once and has left its dry zone: it ends there or further on."""
    once = wrapping.start + section.outline.round
    return once if wrapping.dry is None else max(once, wrapping.dry[1])


def _laid(
    family: TapeFamily, section: Section, stock: TapeStock, holds: Holds, wrapping: Wrapping
) -> LaidTape:
    """Everything that follows from how a strip goes round."""
    turn = section.outline.round
    stop = wrapping.start + wrapping.turns * turn
    places, lengths = lengths_to(section, stock, wrapping, stop + 1.5 * turn)

    def at(u: float) -> float:
        return wrapping.tucked + float(np.interp(u, places, lengths))

    path = at(stop)
    dry = (at(wrapping.dry[0]), at(wrapping.dry[1])) if wrapping.dry is not None else (0.0, 0.0)
    segments, marks, shift = _strip(wrapping, path, dry)
    marks += [
        StripMark(kind="turn", at=shift + at(wrapping.start + k * turn), label=str(k))
        for k in range(1, math.floor(wrapping.turns + 1e-9) + 1)
        if shift + at(wrapping.start + k * turn) < shift + path - 0.001
    ]
    cut_length = max(segment.end for segment in segments)
    if cut_length > stock.roll:
        raise InputError(
            f"one strip of a {family.key} is longer than a roll of tape", key="roll",
            found=f"{stock.roll:g} m", allowed=f"at least {cut_length:.3f} m",
        )
    after, before = math.ceil(stop / turn - 1e-9) * turn, math.floor(stop / turn + 1e-9) * turn
    spare = _first_turn(section, wrapping) - 1e-9
    layer = (math.floor(wrapping.turns - 1e-9) + 0.5) * stock.thickness
    finish = Finish(
        face=section.face_at(stop), to_edge=section.to_edge(stop, layer), add=max(0.0, at(after) - path),
        cut=path - at(before) if before >= spare else math.nan,
    )
    return LaidTape(
        family=family, holds=holds, section=section, stock=stock, wrapping=wrapping, cut_length=cut_length,
        path_length=path, segments=tuple(segments),
        marks=tuple(sorted(marks, key=lambda m: m.at)), finish=finish,
        coverage=_coverage(section, stock, holds, wrapping, dry[1] - dry[0]),
        patch_length=stock.width + 2.0 * stock.margin if wrapping.patches else 0.0,
    )


def _strip(
    wrapping: Wrapping, path: float, dry: tuple[float, float]
) -> tuple[list[Segment], list[StripMark], float]:
    """The flat strip: its parts, its lines, and where on it the path begins."""
    length = dry[1] - dry[0]
    if wrapping.dry_by is DryBy.FOLD:
        length = dry[1]
        return [
            Segment(kind="fold", start=0.0, end=length),
            Segment(kind="dry", start=length, end=2.0 * length),
            Segment(kind="sticky", start=2.0 * length, end=length + path),
        ], [StripMark(kind="fold", at=length, label="fold")], length
    if wrapping.dry_by is DryBy.NOTHING:
        lead = StripMark(kind="lead", at=wrapping.lead, label="lead")
        return [Segment(kind="sticky", start=0.0, end=path)], [lead], 0.0
    segments = [
        Segment(kind="sticky", start=0.0, end=dry[0]),
        Segment(kind="dry", start=dry[0], end=dry[1]),
        Segment(kind="sticky", start=dry[1], end=path),
    ]
    marks = [StripMark(kind="lead", at=dry[0], label="lead")]
    if wrapping.dry_by is DryBy.PIECE:
        segments.append(Segment(kind="piece", start=path, end=path + length))
        marks.append(StripMark(kind="cut", at=path, label="cut off"))
    return segments, marks, 0.0


def _coverage(
    section: Section, stock: TapeStock, holds: Holds, wrapping: Wrapping, zone: float
) -> Coverage | None:
    """What the dry zone leaves over round the sliding line on the first turn."""
    if wrapping.dry is None:
        return None
    outline, turn = section.outline, section.outline.round
    _, sliding = lines_of(holds)
    height = 1.5 * stock.thickness
    first, last = section.contact(sliding)
    while first < wrapping.start - 1e-12:
        first, last = first + turn, last + turn
    while first - turn >= wrapping.start - 1e-12:
        first, last = first - turn, last - turn
    dry_end = min(wrapping.dry[1], wrapping.start + turn)
    before = outline.length(wrapping.dry[0], first, height) + wrapping.tucked
    return Coverage(
        needed=outline.length(first, last, height), zone=zone + wrapping.tucked, before=before,
        after=outline.length(last, dry_end, height), margin=stock.margin,
    )
