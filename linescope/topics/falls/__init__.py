"""Leash falls: with the walker where the scene puts him and all along the line."""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from linescope.events.fall import SEEN, FallNote, LeashFall, LeashFallSweep
from linescope.figures import Figure, Group, Record
from linescope.notes import Missing, Note, Severity, Spot, Term, Value
from linescope.study import Study
from linescope.topics.landing import falls_landing
from linescope.topics.motion import beside
from linescope.topics.topic import Picture, Topic

PLACE = ("place",)


def _point(key: str, part: str, meaning: str) -> Figure:
    return Figure(key=key, part=part, dimension="length", axes=("place", "xyz"), meaning=meaning)


def _deeper(fall: LeashFallSweep, study: Study) -> Any:
    """The dip with tapes that hold, where that differs from the dip with free ones."""
    return fall.low.dip_held if np.any(fall.low.dip - fall.low.dip_held >= SEEN) else np.full(len(fall.at), np.nan)


def _carried(fall: LeashFallSweep, study: Study) -> Any:
    """Tension of a backup that takes part in the catch; hanging loops, which it says nothing of, carry some newtons."""
    from linescope.motion.outcome import TIGHT

    pull = fall.low.peak_backup_tension
    return np.where(pull > TIGHT, pull, np.nan)


def _gap(fall: LeashFallSweep, study: Study) -> Any:
    gaps = study.place_gaps
    return gaps.lowest if gaps and np.array_equal(gaps.at, fall.at) else np.full(len(fall.at), np.nan)


FALL: tuple[Figure, ...] = (
    Figure(key="at", dimension="length", axes=PLACE, meaning="Place along the straight line from A."),
    _point("ring_standing", "ring_standing", "Feet and ring as he stands."),
    _point("ring_lowest", "low.ring", "The ring as the feet are lowest."),
    Figure(
        key="foot_drop", dimension="length", bound="up", axes=PLACE, brief=True, data=False,
        meaning="Lowest foot below the feet before (bound).",
        get=lambda fall, study: fall.ring_standing[:, 2] - fall.low.foot[:, 2],
    ),
    Figure(
        key="foot_depth", dimension="length", bound="up", axes=PLACE, brief=True, data=False, band="fall_foot",
        meaning="Lowest foot below the straight line between the anchors (bound).",
        get=lambda fall, study: study.rig.below_anchors(fall.low.foot),
    ),
    Figure(
        key="foot_height", dimension="length", bound="down", axes=PLACE, brief=True, signed="ground-into",
        meaning="Lowest foot above the ground straight below (bound).",
        get=lambda fall, study: study.above_ground(fall.low.foot),
    ),
    Figure(
        key="gap", dimension="length", bound="down", axes=PLACE, brief=True, data=False, signed="ground-into",
        meaning="Body at its lowest to the ground, any way (bound).", get=_gap,
    ),
    Figure(
        key="dip", part="low.dip", dimension="length", axes=PLACE, brief=True,
        meaning="How far the ring is then below where he stood.",
    ),
    Figure(
        key="dip_held", part="low.dip_held", dimension="length", axes=PLACE,
        meaning="The same if sliding tapes hold as taped.",
    ),
    Figure(
        key="dip_if_held", dimension="length", axes=PLACE, brief=True, data=False, get=_deeper,
        meaning="dip_held where it differs from dip.",
    ),
    Figure(key="stretch", part="low.stretch", dimension="length", axes=PLACE, meaning="Of leash and body then."),
    Figure(
        key="peak_force", part="low.peak_force", dimension="force", axes=PLACE, brief=True, band="fall_force",
        meaning="Force of the leash on the ring then.",
    ),
    Figure(
        key="peak_force_up", part="up.peak_force", dimension="force", axes=PLACE,
        meaning="peak_force if the line is up as empty before the leash is tight.",
    ),
    Figure(
        key="peak_main_tension", part="low.peak_main_tension", dimension="force", axes=PLACE, brief=True,
        meaning="Largest main tension then.",
    ),
    Figure(
        key="main_share", dimension="ratio", axes=PLACE, brief=True,
        meaning="peak_main_tension over the main's strength (aged when given); no certificate.",
        get=lambda fall, study: fall.low.peak_main_tension / fall.rig.main.strength,
    ),
    Figure(
        key="peak_backup_tension", part="low.peak_backup_tension", dimension="force", axes=PLACE,
        meaning="Largest backup tension then.",
    ),
    Figure(
        key="backup_share", dimension="ratio", axes=PLACE,
        meaning="peak_backup_tension over the backup's strength; likewise.",
        get=lambda fall, study: fall.low.peak_backup_tension / fall.rig.backup.strength,
    ),
    Figure(
        key="backup_carries", dimension="force", axes=PLACE, brief=True, data=False, get=_carried,
        meaning="peak_backup_tension where the backup carries more than its loops.",
    ),
    Figure(
        key="backup_carries_share", dimension="ratio", axes=PLACE, brief=True, data=False,
        meaning="That over the backup's strength; likewise.",
        get=lambda fall, study: _carried(fall, study) / fall.rig.backup.strength,
    ),
    Figure(
        key="least_excess", part="low.least_excess", dimension="ratio", axes=PLACE, brief=True,
        meaning="Least excess of any bay then, tapes held as taped.",
    ),
    *beside.figures("fall_in_time"),
    _point("hang_foot", "hang.foot", "Lowest foot in the quiet hang."),
    _point("low_foot", "low.foot", "Lowest foot (bound)."),
    _point("low_foot_up", "up.foot", "Lowest foot if the line is up as empty before the leash is tight."),
    Figure(key="free_fall", dimension="length", meaning="Tie-in height plus leash."),
    Figure(key="speed", dimension="speed", meaning="When the leash comes tight."),
    Figure(
        key="notes", dimension="notes", meaning="What must be said beside these figures.",
        get=lambda fall, study: (*fall.notes, *falls_landing(study, fall.at)),
    ),
)


def _falls(study: Study, event: str) -> Sequence[Record]:
    found = study.get(event)
    if not found:
        return ()
    sweep = found.figures if isinstance(found, LeashFall) else found
    return (Record(result=sweep, at=sweep.at, pick=range(len(sweep.at))),)


def _values(study: Study) -> Mapping[str, Value]:
    rig = study.rig
    known = {
        f"known_{line}": Term("strength-new" if kind.aged_strength is None else "strength-aged")
        for line, kind in (("main", rig.main), ("backup", rig.backup))
    }
    return {**known, "at": Spot(rig.walker.at if rig.walker is not None else float("nan"))}


def _notes(study: Study) -> tuple[Note, ...]:
    found = study.fall_places
    if isinstance(found, Missing):
        return (found.note,)
    loops = () if study.in_time else (Note(kind=FallNote.LOOPS, severity=Severity.LIMIT),)
    return (*found.notes, *falls_landing(study), *loops, *beside.notes("fall_in_time", study))


def _group(head: str, path: str, event: str) -> Group:
    return Group(
        name="falls", path=path, figures=FALL, along="place", head=head,
        records=functools.partial(_falls, event=event),
    )


HERE = _group("falls", "leash_fall", "fall")
ALONG = _group("falls-along", "leash_fall_places", "fall_places")
SWEEP = _group("falls-along", "leash_fall_sweep", "fall_sweep")
FALLS = Topic(
    name="falls",
    groups=(HERE, ALONG, SWEEP),
    here=HERE,
    along=ALONG,
    csv={"falls": ALONG},
    values=_values,
    notes=_notes,
    pictures=(
        Picture(
            name="no-fall", module="linescope.topics.falls.picture", needs=("fall_sweep", "fall_places"),
            after="tape-map", section=11,
        ),
    ),
)
