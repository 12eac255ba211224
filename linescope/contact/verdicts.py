"""What styles differ in, which of them wins what, and at what price."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from linescope.contact.ledger import Face
from linescope.contact.parting import Parting
from linescope.contact.wear import LEVELS
from linescope.events.friction import HoldLevel
from linescope.notes import Kind, Note, Quantity, Range, Severity, Term, Value, Verbatim
from linescope.statics.assemble import G
from linescope.taping import Holds

if TYPE_CHECKING:
    from linescope.contact.styles import Behaviour, Style

SAME = 1.05
"""What differs by less than this factor is not told apart. [-]"""
CLOSE = 1.25
"""Sliders that part within this factor are told together, by the larger. [-]"""
MANY = 0.05
"""A hold at which half of the tapes slip is told from this share of that of the first on. [-]"""
NO_SLIP = 1e-6
"""Less is no slip. [m]"""
LEAST = {"length": 0.005, "line energy": 0.5, "energy": 0.05, "force": 1.0, "time": 60.0}
"""Nor what differs by less than this. [SI]"""


class StyleNote(Kind):
    """What a comparison comes to."""

    FAILED = "styles-failed"
    NOTHING_SLIPS = "styles-nothing-slips"
    ONLY_LOW = "styles-only-low"
    ALIKE = "styles-alike"
    VERDICT = "styles-verdict"
    NEITHER = "styles-neither"
    WIN = "styles-win"
    PAY = "styles-pay"
    PARTS = "styles-parts"
    HOLDS = "styles-holds-still"
    NEVER_PARTS = "styles-never-parts"
    BAND = "styles-band"
    WRAPPED = "styles-wrapped"
    SAME_HOLD = "styles-same-hold"
    CHALK = "styles-chalk"


@dataclass(frozen=True, kw_only=True)
class ComparedRow:
    """What is compared: from a style's behaviour and the family shown to low, value and high, or to least and most.

    Attributes
    ----------
    key : str
        Its title is the message "styles-row-<key>".
    dimension : str
    get : callable
        From a style to (low, value, high), or to (least, most).  [SI]
    """

    key: str
    dimension: str
    get: Callable[[Style], tuple[float, ...]]


def _banded(at: Callable[[Behaviour, HoldLevel], float]) -> Callable[[Style], tuple[float, ...]]:
    """At the hold's value, and the least and most that any hold walked gives."""
    def get(style: Style) -> tuple[float, ...]:
        found = style.behaviour
        assert found is not None
        all_ = [at(found, level) for level in LEVELS if level in found.walked]
        return min(all_), at(found, "value"), max(all_)

    return get


def _one(of: Callable[[Style], float]) -> Callable[[Style], tuple[float, ...]]:
    return lambda style: (of(style),) * 3


def _known(style: Style) -> Behaviour:
    assert style.behaviour is not None
    return style.behaviour


def _rubbed(face: Face) -> Callable[[Style], tuple[float, ...]]:
    return _one(lambda style: _known(style).wear.peak(face))


def _cuts(style: Style, key: str) -> float:
    cuts = style.made[0].cut_list
    return float("nan") if cuts is None else float(getattr(cuts, key))


ROWS: tuple[ComparedRow, ...] = (
    ComparedRow(key="taped", dimension="length", get=lambda s: (_known(s).taped.least, _known(s).taped.most)),
    ComparedRow(key="shallowest", dimension="length", get=_banded(lambda found, level: found.walked[level].least)),
    ComparedRow(key="deepest", dimension="length", get=_banded(lambda found, level: found.walked[level].most)),
    ComparedRow(key="shaken", dimension="length", get=lambda s: (_known(s).shaken.least, _known(s).shaken.most)),
    ComparedRow(key="settled", dimension="length", get=lambda s: (_known(s).settled.least, _known(s).settled.most)),
    ComparedRow(key="hung", dimension="length", get=_one(lambda s: _known(s).hung)),
    ComparedRow(key="slip", dimension="length", get=_banded(lambda found, level: found.slip[level])),
    ComparedRow(key="reach", dimension="length", get=_one(lambda s: _known(s).reach)),
    *(ComparedRow(key=face.value.replace(" ", "-"), dimension="line energy", get=_rubbed(face)) for face in Face),
    ComparedRow(key="strip", dimension="energy", get=_one(lambda s: _known(s).wear.tape_peak())),
    ComparedRow(key="force", dimension="force", get=_one(lambda s: _known(s).force)),
    ComparedRow(key="tape", dimension="length", get=_one(lambda s: _cuts(s, "tape_total"))),
    ComparedRow(key="time", dimension="time", get=_one(lambda s: _cuts(s, "time"))),
)


@dataclass(frozen=True, kw_only=True)
class Criterion:
    """What a crew wants little of.

    Attributes
    ----------
    key : str
        Of the messages "styles-win-<key>" and "styles-pay-<key>".
    dimension : str
    get : callable
        From a style to a figure.  [SI]
    """

    key: str
    dimension: str
    get: Callable[[Style], float]


def _loops_changed(style: Style) -> float:
    found = _known(style)
    walked = found.walked["value"]
    return max(abs(walked.least - found.taped.least), abs(walked.most - found.taped.most))


CRITERIA: tuple[Criterion, ...] = (
    Criterion(key="loops", dimension="length", get=_loops_changed),
    Criterion(key="main", dimension="line energy",
              get=lambda s: max(_known(s).wear.peak(face) for face in (Face.MAIN_TOP, Face.MAIN_UNDER))),
    Criterion(key="backup", dimension="line energy",
              get=lambda s: max(_known(s).wear.peak(face) for face in (Face.BACKUP_TOP, Face.BACKUP_UNDER))),
    Criterion(key="force", dimension="force", get=lambda s: _known(s).force),
    Criterion(key="time", dimension="time", get=lambda s: _cuts(s, "time")),
)


def differ(values: Sequence[float], dimension: str) -> bool:
    """Whether figures are told apart."""
    found = [value for value in values if value == value]
    if len(found) < 2:
        return False
    low, high = min(found), max(found)
    return high - low > LEAST.get(dimension, 0.0) and high > SAME * low


def rows_of(styles: Sequence[Style]) -> tuple[tuple[ComparedRow, ...], tuple[ComparedRow, ...]]:
    """Rows in which styles differ, and those in which they are alike.

    Parameters
    ----------
    styles : sequence of Style
        With results.
    """
    found: tuple[list[ComparedRow], list[ComparedRow]] = ([], [])
    done = [style for style in styles if style.behaviour is not None]
    for row in ROWS:
        columns = zip(*(row.get(style) for style in done), strict=True)
        apart = any(differ(column, row.dimension) for column in columns)
        found[0 if apart else 1].append(row)
    return tuple(found[0]), tuple(found[1])


def entry(row: ComparedRow, style: Style) -> Value:
    """What stands in a row for a style: a figure, with its band where the hold makes one; or from least to most."""
    figures = row.get(style)
    if len(figures) == 2:
        return Range(figures[0], figures[1], row.dimension)
    low, value, high = figures
    if not differ((low, high), row.dimension):
        return Quantity(value, row.dimension)
    return Note(
        kind=StyleNote.BAND, severity=Severity.BASIS,
        values={"value": Quantity(value, row.dimension), "band": Range(low, high, row.dimension, band=True)},
    )


def style_notes(styles: Sequence[Style], parting: Sequence[Parting]) -> tuple[Note, ...]:
    """What a comparison comes to, in order.

    Parameters
    ----------
    styles : sequence of Style
    parting : sequence of Parting
    """
    notes: list[Note] = []

    def say(kind: StyleNote, severity: Severity = Severity.LIMIT, **values: Value) -> None:
        notes.append(Note(kind=kind, severity=severity, values=values, weight=1.0 - 0.01 * len(notes)))

    done = [style for style in styles if style.behaviour is not None]
    failed = [Term(f"styles-named-{style.name}") for style in styles if style.behaviour is None]
    unlaid = [Verbatim(made.name) for style in styles for made in style.made if made.failed is not None]
    if failed or unlaid:
        say(StyleNote.FAILED, names=(*failed, *unlaid))
    sliders = [style.behaviour for style in done if style.holds is not Holds.BOTH and style.behaviour is not None]
    if sliders and max(max(each.slip.values()) for each in sliders) <= NO_SLIP:
        say(StyleNote.NOTHING_SLIPS)
    elif sliders and max(each.slip["value"] for each in sliders) <= NO_SLIP:
        say(StyleNote.ONLY_LOW)
    if len(parting) == 2 and max(each.drag for each in parting) <= CLOSE * min(each.drag for each in parting):
        _say_parting(max(parting, key=lambda each: each.drag), "sliders", say)
    else:
        for each in parting:
            _say_parting(each, each.holds.value, say)
    for style in done:
        wins, pays = _verdict(style, done)
        named, why = Term(f"styles-named-{style.name}"), Term(f"styles-why-{style.name}")
        if wins or pays:
            say(
                StyleNote.VERDICT, style=named, why=why, won=len(wins), paid=len(pays), wins=tuple(wins),
                pays=tuple(pays),
            )
        elif len(done) > 1:
            say(StyleNote.NEITHER, style=named, why=why)
    _, alike = rows_of(done)
    if len(done) > 1 and alike:
        say(StyleNote.ALIKE, rows=tuple(Term(f"styles-row-{row.key}") for row in alike))
    if any(style.holds is Holds.BACKUP for style in done):
        say(StyleNote.WRAPPED)
    say(StyleNote.SAME_HOLD)
    say(StyleNote.CHALK, Severity.BASIS)
    return tuple(notes)


def _say_parting(each: Parting, name: str, say: Callable[..., None]) -> None:
    style = Term(f"styles-named-{name}")
    if each.drag <= 0.0:
        say(StyleNote.NEVER_PARTS, style=style)
        return
    say(
        StyleNote.PARTS if each.parts else StyleNote.HOLDS, style=style, drag=Quantity(each.drag, "force", "up"),
        mass=Quantity(each.drag / G, "mass", "up"), half=Quantity(each.half, "force"),
        many="yes" if each.half > MANY * each.drag else "no", tape=each.tape,
        given=Range(*each.given, "force", band=True) if each.given[0] < each.given[1]
        else Quantity(each.given[0], "force"),
    )


def _verdict(style: Style, done: Sequence[Style]) -> tuple[list[Note], list[Note]]:
    """What a style has least of, and what it has most of, with both figures."""
    wins, pays = [], []
    for criterion in CRITERIA:
        values = [criterion.get(each) for each in done]
        mine = criterion.get(style)
        if not differ(values, criterion.dimension) or mine != mine:
            continue
        best, worst = min(values), max(values)
        told: dict[str, Value] = {
            "what": Term(f"styles-want-{criterion.key}"), "value": Quantity(mine, criterion.dimension),
        }
        if not differ((best, mine), criterion.dimension):
            values_ = {**told, "other": Quantity(worst, criterion.dimension)}
            wins.append(Note(kind=StyleNote.WIN, severity=Severity.LIMIT, values=values_))
        elif not differ((mine, worst), criterion.dimension):
            values_ = {**told, "other": Quantity(best, criterion.dimension)}
            pays.append(Note(kind=StyleNote.PAY, severity=Severity.LIMIT, values=values_))
    return wins, pays
