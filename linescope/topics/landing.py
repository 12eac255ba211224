"""Where feet are in the ground before a fall, or the loss of the main, is over.

Figures of both go on as if there were no ground: they say what would be reached, as clearances, no-fall zones and
pictures do.  Where it would be reached, what is told of later is of a fall that nothing stopped.
"""

from __future__ import annotations

import warnings

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.finding import anchor_zone
from linescope.notes import Kind, Note, Severity, Spot, Value
from linescope.study import Study
from linescope.ties import nearest

Floats = NDArray[np.float64]
SAME = 1e-6  # [m]


class LandingNote(Kind):
    """What is said where feet come to the ground."""

    FALL = "falls-ground"
    GONE = "main-gone-ground"
    FALL_GOES_ON = "falls-limit-ground"
    GONE_GOES_ON = "main-gone-limit-ground"


def falls_landing(study: Study, at: Floats | None = None) -> tuple[Note, ...]:
    """Of leash falls at the stated places: by the energy balance and, where it was computed, in time.

    At the anchors, where lines come down to the rock, nothing is compared and nothing is an alarm; the clearance lists
    that stretch apart.  That figures go on is said of those places too.

    Parameters
    ----------
    study : Study
    at : (n,) array, optional
        Those of the places that are told of; default all.  [m]
    """
    falls = study.fall_places
    if not falls:
        return ()
    left = _over(study, falls.low.foot, _error(study))
    left = np.fmin(left, _in_time(study, "fall_in_time", falls.at))
    left, places = _told(falls.at, left, at)
    return _notes(study, places, left, _away(study, places), LandingNote.FALL, LandingNote.FALL_GOES_ON)


def gone_landing(study: Study, at: Floats | None = None) -> tuple[Note, ...]:
    """Of the loss of the main with the walker at the stated places: anywhere that energy lets feet come, and in time.

    Parameters
    ----------
    study : Study
    at : (n,) array, optional
        Those of the places that are told of; default all.  [m]
    """
    gone = study.gone_places
    if not gone:
        return ()
    left = np.full(len(gone.at), np.nan)
    for side in (gone.nothing_holds, gone.ties_hold):
        feet = side.floor.most_foot
        over = np.where(_away(study, study.rig.along_chord(feet)), _over(study, feet, _error(study)), np.nan)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", RuntimeWarning)  # No ground is known under any of them.
            left = np.fmin(left, np.nanmin(over, axis=1))
    left = np.fmin(left, _in_time(study, "main_gone_in_time", gone.at))
    left, places = _told(gone.at, left, at)
    return _notes(study, places, left, np.ones(len(places), dtype=bool), LandingNote.GONE, LandingNote.GONE_GOES_ON)


def _told(at: Floats, left: Floats, some: Floats | None) -> tuple[Floats, Floats]:
    """Heights and places of those of n places that are told of.  [m]"""
    if some is None:
        return left, at
    here = np.array([np.min(np.abs(some - place)) < SAME for place in at], dtype=bool)
    return left[here], at[here]


def _error(study: Study) -> float:
    """Of the survey.  [m]"""
    return 0.0 if study.rig.needs is None else study.rig.needs.survey_error


def _over(study: Study, feet: Floats, error: float) -> Floats:
    """Heights of (..., 3) feet above the ground straight below, less an error; nan where none is known.  [m]"""
    return np.asarray(study.above_ground(feet), dtype=float) - error


def _away(study: Study, at: Floats) -> NDArray[np.bool_]:
    """Which places are not beside an anchor."""
    zone, span = anchor_zone(study.rig), study.rig.span
    return np.asarray((at >= zone) & (at <= span - zone))


def _in_time(study: Study, event: str, at: Floats) -> Floats:
    """(n,) the same at the lowest foot of all runs in time at n places; nan where nothing was computed.  [m]"""
    left = np.full(len(at), np.nan)
    found = study.get(event) if study.in_time else None
    if found:
        over = _over(study, found.foot_point, _error(study))
        for k, place in enumerate(at):
            near = nearest(found.at, place)
            if abs(found.at[near] - place) < SAME:
                left[k] = over[near]
    return left


def _notes(
    study: Study, at: Floats, left: Floats, compared: NDArray[np.bool_], comes: LandingNote, goes_on: LandingNote
) -> tuple[Note, ...]:
    """Where clearances are computed they alarm, with distances in any direction: it is not said twice."""
    told = []
    alarm = compared & ("clearance" in study.leave)
    for kind, severity, where in (
        (comes, Severity.DANGER, (left <= 0.0) & alarm), (goes_on, Severity.LIMIT, left + _error(study) <= 0.0),
    ):
        if where.any():
            values: dict[str, Value] = {
                "places": tuple(Spot(float(place)) for place in at[where]), "every": "yes" if where.all() else "no",
            }
            told.append(Note(kind=kind, severity=severity, values=values, weight=float(-np.nanmin(left[where]))))
    return tuple(told)
