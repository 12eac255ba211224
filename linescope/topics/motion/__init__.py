"""Motion in time: what is expected of a leash fall and of the loss of the main, with its range, and of bouncing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from linescope.figures import Figure, Get, Group, Record
from linescope.notes import Bays, Missing, Note, Spot, Term, Value
from linescope.study import Study
from linescope.ties import nearest
from linescope.topics.topic import Picture, Topic

if TYPE_CHECKING:
    from linescope.motion.expected import Expected

PLACE = ("place",)
BREAKS = {
    "anchor A": "motion-parts-a", "anchor B": "motion-parts-b", "beside him, to A": "motion-parts-beside-a",
    "beside him, to B": "motion-parts-beside-b",
}


def _objects(values: Iterable[Value]) -> Any:
    """One a place."""
    found = list(values)
    array = np.empty(len(found), dtype=object)
    array[:] = found
    return array


def _part(key: str, end: str) -> Get:
    return lambda found, study: getattr(getattr(found, key), end)


def _ranged(key: str, dimension: str, meaning: str, brief: tuple[str, ...] = ()) -> tuple[Figure, ...]:
    """A figure with the middle of all inputs, and the least and the most of all choices."""
    return tuple(
        Figure(
            key=f"{key}{tail}", dimension=dimension, axes=PLACE, brief=end in brief, get=_part(key, end),
            meaning=meaning if end == "value" else f"The {word} of that over the ranges of the inputs.",
        )
        for end, tail, word in (("value", "", ""), ("low", "_low", "least"), ("high", "_high", "most"))
    )


def _range(key: str) -> Figure:
    """Least and most of a force over all choices, in one cell."""
    return Figure(
        key=f"{key}_range", dimension="force", axes=("place", "range"), over="band", brief=True, data=False,
        meaning=f"From {key}_low to {key}_high.",
        get=lambda found, study: np.column_stack(found.ends_of(key)),
    )


def _depth(end: str) -> Get:
    """Depth of the lowest foot below the straight line between the anchors."""

    def get(found: Expected, study: Study) -> Any:
        if end == "high":
            return found.foot_depths[1]
        return study.rig.below_anchors(np.array([happened.outcome.foot_lowest for happened in found.happened]))

    return get


def _raw(column: int) -> Get:
    return lambda found, study: np.array([each.outcome.tension_raw[column] for each in found.happened])


def _gone(end: str) -> Get:
    return lambda found, study: getattr(found.tapes_gone, end).astype(int)


def _roof(key: str) -> Get:
    """The same figure of the energy balance, at the same places."""

    def get(found: Expected, study: Study) -> Any:
        roof = study.fall_places
        if isinstance(roof, Missing):
            return np.full(len(found.at), np.nan)
        same = [nearest(roof.at, at) for at in found.at]
        return roof.low.peak_force[same] if key == "force" else study.rig.below_anchors(roof.low.foot[same])

    return get


def _trust() -> Figure:
    """What figures of a single run cannot be trusted for."""

    def get(found: Any, study: Study) -> tuple[Note, ...]:
        from linescope.motion.notes import trust

        return (trust(),)

    return Figure(key="notes", dimension="notes", meaning="What these figures cannot be trusted for.", get=get)


HAPPENING: tuple[Figure, ...] = (
    Figure(key="at", dimension="length", axes=PLACE, meaning="Place along the straight line from A."),
    *_ranged("leash_force", "force", "Largest force of the leash on the ring, mean of 10 ms.", ("value",)),
    _range("leash_force"),
    *_ranged("raw_leash_force", "force", "The same at any step: of the mesh as much as of the rig."),
    Figure(
        key="foot_depth", dimension="length", axes=PLACE, brief=True, get=_depth("value"),
        meaning="Lowest foot below the straight line between the anchors.",
    ),
    Figure(
        key="foot_depth_high", dimension="length", axes=PLACE, brief=True, get=_depth("high"),
        meaning="The most of that over the ranges of the inputs.",
    ),
    *_ranged("ring_lowest", "length", "Height of the ring's lowest place while the leash pulls."),
    *_ranged("dip", "length", "How far the ring comes below where he stood."),
    *_ranged("rebound", "length", "How far he rises again in the time computed."),
    *_ranged("main_a", "force", "Largest tension of the main at anchor A, mean of 10 ms."),
    _range("main_a"),
    *_ranged("main_b", "force", "The same at anchor B."),
    _range("main_b"),
    *_ranged("backup_a", "force", "Largest tension of the backup at anchor A, mean of 10 ms."),
    _range("backup_a"),
    *_ranged("backup_b", "force", "The same at anchor B."),
    _range("backup_b"),
    *(
        Figure(
            key=f"raw_{line}_{end}", dimension="force", axes=PLACE, get=_raw(2 * row + column),
            meaning=f"{line.capitalize()} at anchor {end.upper()} at any step: of the mesh as much as of the rig.",
        )
        for row, line in enumerate(("main", "backup")) for column, end in enumerate("ab")
    ),
    *_ranged("leash_time", "time", "When the leash pulls hardest."),
    *_ranged("main_time", "time", "When the main is pulled hardest at an anchor."),
    *_ranged("backup_time", "time", "When the backup is."),
    *_ranged("ring_time", "time", "When the ring is lowest."),
    *_ranged("foot_time", "time", "When the feet are lowest."),
    Figure(
        key="tight", axes=PLACE, brief=True, meaning="Bays whose loop snaps tight.",
        get=lambda found, study: _objects(Bays(each.outcome.tight) for each in found.happened),
    ),
    Figure(
        key="tight_force", dimension="force", axes=PLACE, brief=True,
        meaning="Largest tension anywhere in the backup then, mean of 10 ms.",
        get=lambda found, study: np.array([each.outcome.along_backup for each in found.happened]),
    ),
    Figure(
        key="gone", axes=PLACE, meaning="Tapes that go, counted from 1 at A, in their order.",
        get=lambda found, study: [list(each.outcome.gone) for each in found.happened],
    ),
    Figure(
        key="gone_time", dimension="time", axes=PLACE, meaning="When each of them goes.",
        get=lambda found, study: [each.outcome.gone_time.tolist() for each in found.happened],
    ),
    Figure(key="tapes_gone", axes=PLACE, get=_gone("value"), meaning="Tapes that go."),
    Figure(
        key="tapes_gone_high", axes=PLACE, brief=True, get=_gone("high"),
        meaning="The most of that over the ranges of the inputs.",
    ),
    *_ranged("tape_force", "force", "Largest force of a tape, mean of 1 ms."),
    Figure(
        key="holds_from", dimension="force", axes=PLACE, brief=True,
        meaning="Strength of tapes from which none of them goes.",
    ),
    Figure(
        key="choices", meaning="What each run of a place took of the inputs' ranges.",
        get=lambda found, study: list(found.choices),
    ),
    Figure(key="failed", meaning="Runs whose account of energy did not close; they are in no range."),
    Figure(
        key="notes", dimension="notes", get=lambda found, study: _said(found, study),
        meaning="What must be said beside these figures, and what they cannot be trusted for.",
    ),
)
ROOF: tuple[Figure, ...] = (
    Figure(
        key="roof_force", dimension="force", axes=PLACE, brief=True, get=_roof("force"),
        meaning="Force on the ring by the energy balance at the same place.",
    ),
    Figure(
        key="roof_foot_depth", dimension="length", bound="up", axes=PLACE, brief=True, get=_roof("depth"),
        meaning="Depth of the lowest foot by the energy balance there.",
    ),
)
THROWN: tuple[Figure, ...] = (
    Figure(
        key="thrown", axes=PLACE, brief=True,
        meaning="Bays whose loop is thrown above the main as the line springs back.",
        get=lambda found, study: _objects(Bays(each.outcome.thrown) for each in found.happened),
    ),
    Figure(
        key="thrown_height", dimension="length", axes=PLACE, brief=True,
        meaning="How far the highest of them comes above it.",
        get=lambda found, study: np.array([each.outcome.thrown_height for each in found.happened]),
    ),
)


def _ring_run(found: Expected, study: Study) -> Any:
    """(n, 2) nearest to A and nearest to B."""
    rig, ends = study.rig, []
    for each in found.happened:
        points = each.motion.points[:, each.motion.mesh.model.slots]
        along = rig.along_chord(points)
        ends.append((along.min(), along.max()))
    return np.array(ends)


LOSS: tuple[Figure, ...] = (
    Figure(
        key="parts_at", brief=True, axes=PLACE, meaning="Where the main parts: m from A, or the id of a word.",
        get=lambda found, study: _objects(
            Term(BREAKS[each]) if isinstance(each, str) else Spot(float(each)) for each in found.parts_at
        ),
    ),
    Figure(
        key="stops_from", dimension="force", axes=PLACE, brief=True,
        meaning="Strength of tapes from which a chain of them that go leaves one at least.",
    ),
    Figure(
        key="reach_depth", dimension="length", axes=PLACE, brief=True,
        meaning="Lowest place of a free end of the main, below the straight line between the anchors.",
        get=lambda found, study: study.rig.below_anchors(
            np.array([each.outcome.reach[0] for each in found.happened])
        ),
    ),
    *_ranged("reach", "length", "Height of that place."),
    Figure(
        key="ring_run", dimension="length", axes=("place", "range"), over="band", brief=True, get=_ring_run,
        meaning="Between which places along the straight line from A the ring was, in the time computed.",
    ),
)
BOUNCE: tuple[Figure, ...] = (
    Figure(key="at", dimension="length", meaning="Place along the straight line from A."),
    Figure(key="period", dimension="time", brief=True, meaning="Of small bounces."),
    Figure(
        key="standing", dimension="force", brief=True, meaning="Largest tension of the main at an anchor as he stands.",
        get=lambda found, study: float(found.standing.max()),
    ),
    Figure(
        key="amplitude", dimension="length", axes=("point",),
        meaning="Half of the way between turning points, one a half cycle.",
    ),
    Figure(
        key="most", dimension="force", axes=("point",), meaning="Largest tension at either anchor in each half cycle.",
        get=lambda found, study: found.most.max(axis=1),
    ),
    Figure(
        key="least", dimension="force", axes=("point",),
        meaning="Smallest tension at either anchor in each half cycle.",
        get=lambda found, study: found.least.min(axis=1),
    ),
    Figure(
        key="factor", dimension="ratio", axes=("point",),
        meaning="Largest tension at either anchor in each half cycle over that of standing there.",
        get=lambda found, study: (found.most / found.standing).max(axis=1),
    ),
    Figure(
        key="largest", dimension="length", brief=True, meaning="Largest amplitude computed.",
        get=lambda found, study: float(found.amplitude.max()),
    ),
    Figure(
        key="largest_force", dimension="force", brief=True, meaning="Largest tension of the main at it.",
        get=lambda found, study: float(found.most.max()),
    ),
    Figure(
        key="largest_factor", dimension="number", brief=True, meaning="That tension over that of standing.",
        get=lambda found, study: float((found.most / found.standing).max()),
    ),
    Figure(
        key="tight_from", dimension="length", brief=True,
        meaning="Amplitude at which a loop first snaps tight; 0: loops are tight as he stands.",
    ),
    Figure(key="leaves_from", dimension="length", brief=True, meaning="Amplitude at which his feet leave the line."),
    _trust(),
)
BOUNCE_AT: tuple[Figure, ...] = (
    Figure(
        key="amplitude", dimension="length", brief=True, meaning="Half of the way between turning points of his feet.",
    ),
    Figure(key="factor", dimension="number", brief=True, meaning="Largest tension over that of standing there."),
    Figure(key="most", dimension="force", brief=True, meaning="Largest tension at either anchor, mean of 10 ms."),
    Figure(key="least", dimension="force", brief=True, meaning="Smallest tension at either anchor."),
)


GUST: tuple[Figure, ...] = (
    Figure(key="speed", dimension="speed", brief=True, meaning="That the air comes to, from calm."),
    Figure(key="rise", dimension="time", brief=True, meaning="Time over which it does."),
    Figure(
        key="swing", dimension="angle", axes=("bay",), over="most", brief=True,
        meaning="Largest angle of each loop about its chord, from straight down.",
    ),
    Figure(
        key="swing_edge_on", dimension="angle", axes=("bay",), over="most", brief=True,
        meaning="The same where strips stand edge-on to the wind.",
    ),
    Figure(
        key="swing_broadside", dimension="angle", axes=("bay",), over="most", brief=True,
        meaning="The same where they stand broadside.",
    ),
    Figure(
        key="above", dimension="length", axes=("bay",), over="most", brief=True,
        meaning="Largest height of the loop above the main.",
    ),
    Figure(key="aside", dimension="length", brief=True, meaning="Farthest sideways travel of the main."),
    Figure(
        key="tension", dimension="force", axes=("point",), over="most", brief=True,
        meaning="Largest at anchor A and B of the main, A and B of the backup, means of 10 ms.",
    ),
    _trust(),
)


def _of(name: str) -> Any:
    def records(study: Study) -> Sequence[Record]:
        found = study.get(name)
        if not found:
            return ()
        at = found.at if name in ("fall_in_time", "main_gone_in_time") else None
        return (Record(result=found, at=at, pick=None if at is None else range(len(at))),)

    return records


def _here(study: Study) -> Sequence[Record]:
    """Of a fall where the scene puts the walker."""
    found, walker = study.get("fall_in_time"), study.rig.walker
    if not found or walker is None:
        return ()
    one = found.only(walker.at)
    return (Record(result=one, at=one.at, pick=(0,)),)


def _values(study: Study) -> Mapping[str, Value]:
    return {"at": Spot(study.rig.walker.at if study.rig.walker is not None else float("nan"))}


def _bounced(study: Study) -> Sequence[Record]:
    found = study.get("bounce_in_time")
    return tuple(Record(result=each) for each in found.stated) if found else ()


def _said(found: Expected, study: Study) -> tuple[Note, ...]:
    """Beside what is expected of a happening."""
    from linescope.motion.notes import notes_of, without_ground
    from linescope.topics.landing import falls_landing, gone_landing

    if study.rig.ground is None:
        return notes_of(found)
    landing = gone_landing if found.parts_at else falls_landing
    return (*notes_of(found), *landing(study, found.at), without_ground())


def _notes(study: Study) -> tuple[Note, ...]:
    from linescope.motion.notes import trust

    found = [each for name in ("fall_in_time", "main_gone_in_time") if (each := study.get(name))]
    told = [note for each in found for note in _said(each, study)]
    if not told and (study.get("bounce_in_time") or study.get("gust_in_time")):
        return (trust(),)
    return tuple(dict.fromkeys(told))


FALL = Group(
    name="motion-fall", path="in_time.leash_fall", figures=(*HAPPENING, *THROWN, *ROOF), along="place",
    records=_of("fall_in_time"),
)
GONE = Group(
    name="motion-gone", path="in_time.main_gone", figures=(*HAPPENING, *LOSS), along="place",
    records=_of("main_gone_in_time"),
)
BOUNCING = Group(
    name="motion-bounce", path="in_time.bounce", figures=BOUNCE, records=_of("bounce_in_time")
)
BOUNCING_AT = Group(
    name="motion-bounce-at", path="in_time.bounce.amplitudes[]", figures=BOUNCE_AT, records=_bounced
)
BLOWING = Group(name="motion-gust", path="in_time.gust", figures=GUST, records=_of("gust_in_time"))
HERE = Group(
    name="motion-fall", path="in_time.leash_fall", figures=(*HAPPENING, *THROWN, *ROOF), along="place",
    head="motion-fall-here", records=_here,
)
MOTION = Topic(
    name="motion", groups=(FALL, GONE, BOUNCING, BOUNCING_AT, BLOWING), here=HERE, along=FALL,
    more=(GONE, BOUNCING, BOUNCING_AT, BLOWING),
    csv={}, values=_values, notes=_notes,
    pictures=(
        Picture(
            name="first-seconds", module="linescope.topics.motion.picture", needs=("fall_in_time", "fall_course"),
            after="main-gone", section=11,
        ),
    ),
)
