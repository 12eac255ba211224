"""Distances to the ground: worst places, what lies beside the anchors, where nobody may fall, and the verdict."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from linescope.clearance.finding import (
    NARROWEST_HOLE,
    AnchorZone,
    Cause,
    Clearance,
    Finding,
    NoFallZone,
    Verdict,
)
from linescope.clearance.notes import KIND, ClearanceNote
from linescope.clearance.ranked import at_rest, places
from linescope.figures import Figure, Group, Record
from linescope.notes import (
    Kind,
    Missing,
    Note,
    Place,
    Quantity,
    Severity,
    Spot,
    Stretches,
    Term,
    Value,
    Verbatim,
)
from linescope.study import Study
from linescope.topics.topic import Topic

LISTED = 20
"""Worst places that people read."""
FOLDED = 3
"""Other causes of a place that people read."""


class Left(Kind):
    """What is left over at a place, or why that is not known."""

    SHORT = "clearance-short-by"
    UNKNOWN_BELOW = "clearance-unknown-below"
    OTHER = "clearance-other"
    OTHERS = "clearance-others"
    AT = "clearance-at"
    IN_ROCK = "clearance-in-rock"
    TOO_DEEP = "clearance-too-deep"


def _said(said: Kind, severity: Severity = Severity.BASIS, /, **values: Value) -> Note:
    return Note(kind=said, severity=severity, values=values)


def _known(finding: Finding, study: Study) -> bool:
    found = study.clearance
    return not found or found.is_known_at(finding.station)


def _left(finding: Finding, study: Study) -> Value:
    """Left over, or short; never "left" over ground that nobody knows."""
    left = finding.remainder
    if not finding.is_met:
        return _said(Left.SHORT, Severity.CHECK, depth=Quantity(max(-left, 0.0), "length", "up"))
    if not _known(finding, study):
        return _said(Left.UNKNOWN_BELOW, Severity.CHECK)
    return Quantity(left, "length", "down")


def near(cause: Cause) -> Value:
    """How near a cause comes, or how deep it is in rock and over how many metres."""
    if cause.is_in_rock and math.isnan(cause.inside):
        return _said(Left.TOO_DEEP, Severity.CHECK, depth=Quantity(-cause.distance, "length", "up"))
    if cause.is_in_rock:
        return _said(
            Left.IN_ROCK, Severity.CHECK, depth=Quantity(-cause.distance, "length", "up"),
            inside=Quantity(cause.inside, "length", "up"),
        )
    return Quantity(max(cause.distance, 0.0), "length", "down")


def _others(finding: Finding, study: Study) -> Value:
    """What else is short there."""
    others = [cause for cause in finding.causes[1:] if not cause.is_met]
    others.sort(key=lambda cause: cause is not at_rest(finding))  # What needs no fall first.
    if not others:
        return Term("clearance-nothing")
    told = tuple(
        _said(Left.OTHER, kind=KIND[cause.kind], cause=cause.why.note, near=near(cause)) for cause in others[:FOLDED]
    )
    return _said(Left.OTHERS, list=told, more=len(others) - len(told)) if len(others) > len(told) else told


def _walker(cause: Cause) -> Value:
    return Term("clearance-nobody") if cause.walker is None else Spot(cause.walker)


def _vertical(cause: Cause) -> Value:
    if math.isnan(cause.vertical):
        return Term("unknown")
    if cause.vertical < 0.0:
        return Note(
            kind=Left.AT, severity=Severity.CHECK, values={"depth": Quantity(-cause.vertical, "length", "up")}
        )
    return Quantity(cause.vertical, "length", "down")


def _ground(cause: Cause, study: Study) -> Value | None:
    """What it comes near to; None while there is but one ground without a name."""
    found = study.clearance
    if not found or not any(each.ground or each.role != "ground" for each in found.causes):
        return None
    return Verbatim(cause.ground) if cause.ground else Term(f"ground-role-{cause.role}")


def _length(key: str, meaning: str, **more: Any) -> Figure:
    return Figure(key=key, dimension="length", meaning=meaning, **more)


def _of_cause(key: str, meaning: str, dimension: str = "", **more: Any) -> Figure:
    """An attribute of the cause that a row is of."""
    return Figure(key=key, dimension=dimension, meaning=meaning, get=lambda row, _: getattr(row[0], key), **more)


PLACE: tuple[Figure, ...] = (
    Figure(key="rank", brief=True, meaning="1 is the worst place, by harm to a person."),
    Figure(key="is_met", meaning="Whether every requirement is met here."),
    Figure(key="zone", meaning="Anchor right outside whose zone it lies; empty elsewhere."),
    _length("remainder", "Distance less what is needed, of the worst cause."),
    Figure(key="kind", brief=True, data=False, meaning="Of the worst cause.", get=lambda one, _: KIND[one.kind]),
    Figure(key="ground", brief=True, data=False, meaning="What it comes near to, where there are several.",
           get=lambda one, study: _ground(one.worst, study)),
    Figure(key="station", brief=True, data=False, meaning="Place from A.", get=lambda one, _: Spot(one.station)),
    Figure(key="walker", brief=True, data=False, meaning="Walker from A.", get=lambda one, _: _walker(one.worst)),
    Figure(key="distance", brief=True, data=False, meaning="Distance, or depth in rock.",
           get=lambda one, _: near(one.worst)),
    Figure(key="vertical", brief=True, data=False, meaning="Straight down.",
           get=lambda one, _: _vertical(one.worst)),
    Figure(key="needed", brief=True, data=False, meaning="With survey error and margin.",
           get=lambda one, _: Quantity(one.needed, "length", "up")),
    Figure(key="left", brief=True, data=False, meaning="Left over.", get=_left),
    Figure(key="cause", brief=True, data=False, meaning="Why.", get=lambda one, _: one.why.note),
    Figure(key="others", brief=True, data=False, meaning="What else is short there.", get=_others),
)

CAUSE: tuple[Figure, ...] = (
    Figure(key="rank", meaning="Rank of its place; null for what is in none.",
           get=lambda one, _: one[1]),
    Figure(key="zone", meaning="Anchor whose zone it belongs to.", get=lambda one, _: one[2]),
    Figure(key="where", meaning="place; border, within or beside of an anchor zone.", get=lambda one, _: one[3]),
    *(
        _of_cause(key, meaning)
        for key, meaning in (
            ("kind", "line, loop, leash or body."), ("is_met", "Whether it is met."),
            ("ground", "Name of what it comes near to."), ("role", "ground, vegetation, water or area."),
        )
    ),
    _of_cause("distance", "Smallest distance; negative: depth in rock (bound).", "length", bound="down"),
    _of_cause("remainder", "distance less needed.", "length", bound="down"),
    *(
        _of_cause(key, meaning, "length")
        for key, meaning in (
            ("inside", "Metres of it in rock."), ("vertical", "Straight down."), ("required", "Asked for."),
            ("needed", "With survey error and margin."), ("station", "Place from A."),
            ("walker", "Walker from A; null: nobody."),
            ("vertical_station", "Place of the smallest vertical distance, from A."),
            ("vertical_walker", "Walker then."),
        )
    ),
    *(
        _of_cause(key, meaning, "length", axes=("xyz",))
        for key, meaning in (
            ("point", "Place in space."), ("nearest", "Nearest point of the ground."),
            ("vertical_point", "Place of the smallest vertical distance in space."),
            ("vertical_ground", "Ground straight below it."),
        )
    ),
    Figure(key="cause", meaning="Why, as parts in a fixed order: rig/walker/gust/left/taped.",
           get=lambda one, _: one[0].why.id),
    Figure(key="also", dimension="notes", meaning="Other causes and distances at the same place.",
           get=lambda one, _: [{"cause": why.id, "distance": distance} for why, distance in one[0].also]),
)


def _least(causes: Sequence[Cause]) -> Value:
    """Of each kind the nearest."""
    found: dict[str, Cause] = {}
    for cause in sorted(causes, key=lambda one: one.distance):
        found.setdefault(cause.kind, cause)
    if not found:
        return Term("clearance-nothing")
    return tuple(_said(Left.OTHER, kind=KIND[one.kind], cause=one.why.note, near=near(one)) for one in found.values())


ZONE: tuple[Figure, ...] = (
    Figure(key="anchor", brief=True, meaning="A or B."),
    _length("length", "Along the line: nothing is compared within.", brief=True),
    _length("asked", "Asked for."),
    Figure(key="is_met", meaning="Nothing in rock at rest within, nothing short at the border."),
    Figure(key="within_least", brief=True, data=False, meaning="Nearest within.", get=lambda z, _: _least(z.within)),
    Figure(key="border_least", brief=True, data=False, meaning="Nearest at the border.",
           get=lambda z, _: _least(z.border)),
    Figure(key="beside_least", brief=True, data=False, meaning="Nearest to rock beside.",
           get=lambda z, _: _least([one for one in z.beside if not one.is_met])),
)


def _stretch(key: str, meaning: str, name: str = "") -> tuple[Figure, Figure]:
    name = name or key
    return (
        Figure(key=key, dimension="length", axes=("ends",), meaning=meaning, get=lambda one, _: getattr(one, name)),
        Figure(
            key=f"{key}_told", brief=True, data=False, meaning=meaning,
            get=lambda one, _: Stretches((getattr(one, name),)),
        ),
    )


def _within(kind: str) -> Callable[[NoFallZone, Study], Value]:
    """What of a zone is in the clearance's `strikes` or `drags`."""
    def stretches(zone: NoFallZone, study: Study) -> Value:
        low, high = zone.from_a
        found = getattr(study.clearance, kind) if study.clearance else ()
        return _listed([each.from_a for each in found if low <= each.worst_at <= high])

    return stretches


NO_FALL: tuple[Figure, ...] = (
    *_stretch("from_a", "Start and end, from A."),
    *_stretch("from_b", "Nearer and farther end, from B."),
    _length("worst", "Smallest remainder within (negative)."),
    _length("short", "Short by so much.", bound="up", brief=True, data=False, get=lambda one, _: max(-one.worst, 0.0)),
    _length("worst_at", "Walker there, from A."),
    Figure(key="worst_told", brief=True, data=False, meaning="Walker there.", get=lambda one, _: Spot(one.worst_at)),
    _length("in_time", "Where motion in time comes nearer than the energy balance.", axes=("stretch", "ends")),
    Figure(
        key="in_time_told", brief=True, data=False, meaning="Where motion in time decides.",
        get=lambda one, _: _listed(one.in_time),
    ),
    Figure(key="struck", brief=True, data=False, meaning="From where a fall touches the ground.",
           get=_within("strikes")),
    Figure(key="dragged", brief=True, data=False, meaning="From where a fall drags the main onto the ground.",
           get=_within("drags")),
)
STRIKE: tuple[Figure, ...] = tuple(figure for figure in NO_FALL if figure.data)
DRAG: tuple[Figure, ...] = (*STRIKE, _length("meets", "Where the main lies on the ground then.", axes=("ends",)))


def _listed(stretches: Sequence[tuple[float, float]]) -> Value:
    return Stretches(tuple(stretches)) if stretches else Term("none")


RUN: tuple[Figure, ...] = (
    *_stretch("from_a", "Start and end of where the body is then, from A."),
    _length("from_b", "The same from B.", axes=("ends",)),
    _length("worst", "Smallest remainder within (negative)."),
    _length("short", "Short by so much.", bound="up", brief=True, data=False, get=lambda one, _: max(-one.worst, 0.0)),
    _length("worst_at", "Place of the feet there, from A."),
    _length("distance", "Smallest distance there; negative below ground (bound)."),
    _length("falls", "Stretches from where falls get too near.", axes=("stretch", "ends")),
    Figure(key="falls_told", brief=True, data=False, meaning="In falls from.", get=lambda one, _: _listed(one.falls)),
    _length("strikes", "Stretches from where they reach the ground.", axes=("stretch", "ends")),
    Figure(key="strikes_told", brief=True, data=False, meaning="To the ground.",
           get=lambda one, _: _listed(one.strikes)),
)

WHOLE: tuple[Figure, ...] = (
    Figure(key="verdict", meaning="kept, short, unknown or not asked.", get=lambda one, _: one.verdict.value),
    Figure(key="is_met", meaning="Whether nothing is short, in rock or unknown."),
    Figure(key="exit_status", meaning="0, or 3 where something is short or unknown."),
    Figure(key="source", meaning="The ground."),
    Figure(key="is_asked", meaning="Whether distances are asked for."),
    _length("survey_error", "Added to every required distance."),
    _length("margin", "Added to every required distance."),
    _length("anchor_zone", "Length of the anchor zones."),
    Figure(key="compared", meaning="Kinds of which something was compared."),
    _length("holes", "Stretches in plan from A without known ground below.", axes=("stretch", "ends")),
    _length("unknown", "Those that count, along the straight line.", axes=("stretch", "ends")),
    _length("walkers", "Walker positions tried, from A.", axes=("place",)),
    Figure(key="notes", dimension="notes", meaning="What must be said beside these figures.",
           get=lambda one, study: list(notes(study))),
)


def found_in(study: Study) -> Clearance | None:
    """The clearance, where it was computed."""
    return study.clearance or None


def _causes(study: Study) -> tuple[Record, ...]:
    found = found_in(study)
    if found is None:
        return ()
    ranked = places(found)
    rank = {id(cause): place.rank for place in ranked for cause in place.causes}
    zoned = {id(cause) for zone in found.zones for cause in (*zone.border, *zone.within)}
    rows: list[tuple[Cause, int | None, str, str]] = [
        (cause, place.rank, "", "place") for place in ranked for cause in place.causes if id(cause) not in zoned
    ]
    for zone in found.zones:
        for where in ("border", "within", "beside"):
            rows += [(cause, rank.get(id(cause)), zone.anchor, where) for cause in getattr(zone, where)]
    return tuple(Record(result=row) for row in rows)


def _records(name: str) -> Any:
    def records(study: Study) -> tuple[Record, ...]:
        found = found_in(study)
        return tuple(Record(result=each) for each in (getattr(found, name) or ())) if found is not None else ()

    return records


def _placed(study: Study) -> tuple[Record, ...]:
    return tuple(Record(result=place) for place in places(found_in(study)))


def _shown_zones(study: Study) -> tuple[Record, ...]:
    return tuple(
        record for record in _records("zones")(study)
        if record.result.within or record.result.border or record.result.beside
    )


def _whole(study: Study) -> tuple[Record, ...]:
    found = found_in(study)
    return () if found is None else (Record(result=found),)


def _values(study: Study) -> Mapping[str, Value]:
    found = found_in(study)
    if found is None:
        return {}
    from linescope.terrain import PROFILE  # Reads files: loaded where there is ground.

    source = Term("ground-scene-profile") if found.source == PROFILE else Verbatim(found.source)
    return {"source": source, "length": Quantity(found.anchor_zone, "length")}


def verdict(found: Clearance) -> tuple[Note, ...]:
    """What it all comes to, with what is short beside the anchors."""
    notes: list[Note] = []

    def say(kind: ClearanceNote, severity: Severity, weight: float = 0.0, **values: Value) -> None:
        notes.append(Note(kind=kind, severity=severity, values=values, weight=weight))

    short = sum(not place.is_met for place in places(found))
    if short:
        say(ClearanceNote.SHORT, Severity.DANGER, 9.0, places=short)
    for zone in found.zones:
        notes += _of_zone(zone)
    lost = tuple(KIND[kind] for kind in found.expected if kind not in found.compared)
    if not found.compared:
        say(ClearanceNote.NOTHING_COMPARED, Severity.DANGER, 7.0)
    elif lost and found.is_asked:
        say(ClearanceNote.NOT_COMPARED, Severity.CHECK, kinds=lost)
    if found.verdict is Verdict.UNKNOWN and found.compared:
        say(ClearanceNote.NOT_SHOWN, Severity.LIMIT)
    if found.verdict is Verdict.KEPT:
        apart = any(not cause.is_met for zone in found.zones for cause in zone.beside)
        say(ClearanceNote.KEPT, Severity.LIMIT, beside="yes" if apart else "no")
    if len(found.unknown):
        ends = tuple((float(low), float(high)) for low, high in found.unknown)
        notes.append(Note(
            kind=ClearanceNote.UNKNOWN, severity=Severity.DANGER, place=Place(*ends[0]), weight=6.0,
            values={"stretches": Stretches(ends), "asked": "yes" if found.is_asked else "no"},
        ))
    if found.is_asked:
        say(
            ClearanceNote.NEEDED, Severity.BASIS, error=Quantity(found.survey_error, "length", "up"),
            margin=Quantity(found.margin, "length", "up"),
        )
    if len(found.holes):
        say(
            ClearanceNote.HOLES, Severity.LIMIT, narrowest=Quantity(NARROWEST_HOLE, "length"),
            stretches=Stretches(tuple((float(low), float(high)) for low, high in found.holes)),
        )
    return tuple(notes)


def _of_zone(zone: AnchorZone) -> list[Note]:
    notes = []
    for cause in zone.in_rock[:1]:
        notes.append(Note(
            kind=ClearanceNote.IN_ROCK, severity=Severity.DANGER, place=Place(cause.station, cause.station), weight=5.0,
            values={
                "anchor": zone.anchor, "kind": KIND[cause.kind], "inside": Quantity(cause.inside, "length", "up"),
                "depth": Quantity(-cause.distance, "length", "up"), "cause": cause.why.note,
            },
        ))
    return notes


def notes(study: Study) -> tuple[Note, ...]:
    """All that must be said of the clearance."""
    found = study.clearance
    if isinstance(found, Missing):
        return (found.note,)
    return (*verdict(found), *_of_draws(study), *found.notes)


class DrawnNote(Kind):
    """What is said of distances in draws."""

    COUNT = "count-of"
    INTO = "ground-into"
    FEW = "clearance-drawn-few"
    LEFT_OUT = "clearance-drawn-left-out"
    BASIS = "clearance-drawn-basis"
    NONE = "clearance-drawn-none"


FEW = 0.9
"""A share of draws below this is told at the head.  [-]"""


def _of_draws(study: Study) -> tuple[Note, ...]:
    if not study.knows("drawn_needs"):
        return ()
    found = study.drawn_needs
    if isinstance(found, Missing):
        return (Note(kind=DrawnNote.NONE, severity=Severity.LIMIT),)
    few = [
        Note(kind=DrawnNote.FEW, severity=Severity.CHECK, weight=float(found.draws - need.kept), values={
            "figure": _drawn_name(need.figure), "kept": need.kept, "draws": found.draws,
        })
        for need in found.needs if need.value >= need.needed and need.kept < FEW * found.draws
    ]
    few += [
        Note(kind=DrawnNote.LEFT_OUT, severity=Severity.CHECK, values={
            "figure": _drawn_name(figure), "found": _gap(nearest),
        })
        for figure, nearest in found.left_out
    ]
    if not found.needs:
        return tuple(few)
    basis = Note(kind=DrawnNote.BASIS, severity=Severity.BASIS, values={
        "draws": found.draws, "kept": found.kept, "lost": found.lost,
    })
    return (*few, basis)


def _drawn_name(figure: str) -> Term:
    """What is told in draws; of falls those from where somebody may fall."""
    name = figure.replace(" ", "-")
    return Term("clearance-drawn-feet" if name == "feet-over-ground-in-a-leash-fall" else f"advise-figure-{name}")


def _drawn(study: Study) -> tuple[Record, ...]:
    """Where it was asked for: that takes as long as the clearance itself."""
    found = study.drawn_needs if study.knows("drawn_needs") else None
    return tuple(
        Record(
            result=(need, found), id=(need.figure,),
            labels=(("clearance-drawn-figure", _drawn_name(need.figure)),),
        )
        for need in found.needs
    ) if found else ()


def _of_need(key: str, meaning: str, **more: Any) -> Figure:
    return Figure(key=key, dimension="length", meaning=meaning, get=lambda one, _: getattr(one[0], key), **more)


def _gap(distance: float) -> Value:
    """A distance, or how deep in the ground."""
    if distance > 0.0:
        return Quantity(distance, "length", "down")
    return _said(DrawnNote.INTO, Severity.CHECK, depth=Quantity(-distance, "length", "up"))


DRAWN: tuple[Figure, ...] = (
    Figure(key="figure", meaning="A figure to wish for.", get=lambda one, _: one[0].figure),
    Figure(key="needed_told", brief=True, data=False, meaning="With survey error and margin.",
           get=lambda one, _: Quantity(one[0].needed, "length", "up")),
    Figure(key="value_told", brief=True, data=False, meaning="The nearest as planned.",
           get=lambda one, _: _gap(one[0].value)),
    Figure(key="low_told", brief=True, data=False, meaning="One draw in twenty comes nearer.",
           get=lambda one, _: _gap(one[0].low)),
    Figure(key="high_told", brief=True, data=False, meaning="One draw in twenty stays further.",
           get=lambda one, _: _gap(one[0].high)),
    _of_need("needed", "With survey error and margin."),
    _of_need("value", "The nearest as planned, at the places looked at, in still air."),
    Figure(
        key="kept_of", brief=True, data=False, meaning="Draws that keep it.",
        get=lambda one, _: _said(DrawnNote.COUNT, count=one[0].kept, total=one[1].draws),
    ),
    _of_need("low", "5 % of the draws lie below."),
    _of_need("middle", "Half of them do."),
    _of_need("high", "95 % of them do."),
    Figure(key="kept", meaning="Draws that keep what is needed.", get=lambda one, _: one[0].kept),
    Figure(key="draws", meaning="Of all inputs with a low and a high.", get=lambda one, _: one[1].draws),
    Figure(key="all_kept", meaning="Draws that keep every one of these.", get=lambda one, _: one[1].kept),
    Figure(key="lost", meaning="Draws in which no state was found; they count as not kept.",
           get=lambda one, _: one[1].lost),
    _of_need("places", "Of the walker, from A.", axes=("place",)),
)


PLACES = Group(
    name="clearance-place", path="clearance.findings[]", figures=PLACE, records=_placed
)
ZONES = Group(name="clearance-zone", path="clearance.zones[]", figures=ZONE, records=_shown_zones)
NO_FALLS = Group(
    name="clearance-no-fall", path="clearance.no_fall_zones[]", figures=NO_FALL,
    records=_records("no_fall_zones"),
)
RUNS = Group(name="clearance-runs", path="clearance.runs[]", figures=RUN, records=_records("runs"))
IN_DRAWS = Group(name="clearance-drawn", path="clearance.drawn[]", figures=DRAWN, records=_drawn)
CAUSES = Group(name="clearance-causes", path="clearance.causes[]", figures=CAUSE, records=_causes)
CLEARANCE = Topic(
    name="clearance",
    groups=(
        PLACES, CAUSES, ZONES, NO_FALLS,
        Group(
            name="clearance-strikes", path="clearance.strikes[]", figures=STRIKE,
            records=_records("strikes"),
        ),
        Group(name="clearance-drags", path="clearance.drags[]", figures=DRAG, records=_records("drags")),
        RUNS, IN_DRAWS, Group(name="clearance", path="clearance", figures=WHOLE, records=_whole),
    ),
    here=PLACES,
    along=PLACES,
    csv={"clearances": CAUSES},
    values=_values,
    notes=notes,
)
