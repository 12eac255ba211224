"""What is said in space: verdicts, worst places with their bodies, stretches where nobody may fall, the curve."""

from __future__ import annotations

import datetime
import math
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.clearance import Cause, Chords, Finding, minima
from linescope.clearance.finding import Verdict, anchor_zone
from linescope.clearance.layers import layers_of
from linescope.clearance.ranked import places
from linescope.clearance.why import CauseKind
from linescope.export.space.shapes import DEPTH, StateShapes, loops_of
from linescope.notes import Quantity, Spot, Stretches, Term
from linescope.stage import worst as stage_worst
from linescope.stage.ground import Site
from linescope.stage.page import Brief
from linescope.stage.theme import LIGHT
from linescope.statics import Solution
from linescope.study import Study
from linescope.topics.advise.text import mend_text
from linescope.topics.clearance.leading import verdict
from linescope.topics.falls.picture_zones import HIT, NEAR, UNKNOWN, left_over, zones_of
from linescope.words import Words

Floats = NDArray[np.float64]

CAPPED = 2.0
"""What is left over is drawn up to that many times what is asked for: more of it changes nothing."""
TICKS = 8  # Of the curve's metres, about.
LYING = 8  # Pieces of each segment of a line that is compared with the ground.


class Grade(StrEnum):
    """How loud a sentence is."""

    REACHED = "reached"
    NEAR = "near"
    KEPT = "kept"
    UNKNOWN = "unknown"


STATES = {
    CauseKind.FALL: "fall", CauseKind.FALL_IN_TIME: "fall", CauseKind.FALL_LINE: "fall",
    CauseKind.FALL_LINE_SLID: "fall", CauseKind.RUNS: "fall",
    CauseKind.GONE_REST: "gone", CauseKind.GONE_FLOOR: "gone", CauseKind.GONE_LINE: "gone",
    CauseKind.STANDING: "walker", CauseKind.STANDING_SLID: "walker", CauseKind.HANGING: "walker",
}
"""The state that shows a cause; lines at rest are shown by the empty rig or the walker."""


def brief(study: Study, site: Site | None, words: Words, date: datetime.date | None = None) -> Brief:
    """What pictures are built from, for sentences that are made there."""
    return Brief(
        solution=study.taped, ground=site, theme=LIGHT, measures=words, study=study, page=(2000, 1414),
        date=date or datetime.date.today(),
    )


def kept(study: Study, words: Words, solution: Solution, title: str) -> dict[str, str]:
    """What the clearance comes to without any fall or loss: of lines as they lie, and of people who stand.

    The lines of the state itself are always compared, since a clearance tells of each place only what is nearest.

    Parameters
    ----------
    study : Study
    words : Words
    solution : Solution
        The state; with nobody on it only what concerns the rig alone counts.
    title : str
        Said where nothing was compared.
    """
    clearance, empty = study.clearance or None, solution.walker_point is None
    causes = [] if clearance is None else [cause for finding in clearance.findings for cause in finding.causes]
    if clearance is not None:
        causes += [cause for zone in clearance.zones for cause in (*zone.in_rock, *zone.border)]
    lie = [(cause.kind, cause.distance, cause.needed, cause.station) for cause in causes if cause.is_at_rest and not (
        empty and (cause.why.loaded or cause.kind in ("body", "leash")))]
    lie += _lying(study, solution)
    if not lie:
        return {"grade": Grade.UNKNOWN, "text": title}
    kind, distance, needed, station = min(lie, key=lambda each: each[1] - each[2])
    if distance <= 0.0:
        grade, name = Grade.REACHED, "reached"
    elif distance < needed:
        grade, name = Grade.NEAR, "near"
    else:
        kind, distance, needed, station = min(lie, key=lambda each: each[1])
        known = clearance is not None and not len(clearance.unknown) and clearance.verdict is not Verdict.UNKNOWN
        grade, name = Grade.KEPT if known else Grade.UNKNOWN, "kept"
    return {"grade": grade, "text": words.say(
        f"space-{'empty' if empty else 'rest'}-{name}", what=Term(f"overview-what-{kind}"), place=Spot(station),
        left=Quantity(max(distance, 0.0), "length", "down"), needed=Quantity(needed, "length", "up"),
    )}


def _lying(study: Study, solution: Solution) -> list[tuple[str, float, float, float]]:
    """Kind, distance to the ground, distance asked for and place of both lines, outside the anchor zones.  [m]"""
    index, rig = study.index, study.rig
    if not index:
        return []
    zone, found = anchor_zone(rig), []
    surroundings = layers_of(rig, index, zone)
    for kind, curve in (("line", solution.main), ("loop", solution.backup)):
        drawn = curve.sample(LYING)
        at = np.asarray(rig.along_chord(drawn.points))
        inside = np.flatnonzero((at > zone) & (at < rig.span - zone))
        if not len(inside):
            continue
        first, last = max(int(inside[0]) - 1, 0), min(int(inside[-1]) + 1, len(at) - 1)
        points = drawn.points[first : last + 1].copy()
        for end, other, border in ((0, 1, zone), (-1, -2, rig.span - zone)):  # Up to the border of the zone itself.
            a, b = at[first : last + 1][[end, other]]
            points[end] += (points[other] - points[end]) * np.clip((border - a) / (b - a), 0.0, 1.0)
        if not np.isfinite(np.asarray(study.above_ground(points))).any():
            continue
        chords = Chords.of([points], [drawn.sagitta[first:last]])
        for layer in surroundings:
            (near,) = minima(layer.index, chords, np.zeros(1, dtype=np.int64))
            found.append((kind, float(near.distance), layer.needed(kind), float(rig.along_chord(near.point))))
    return found


def overall(study: Study, site: Site | None, words: Words) -> dict[str, str]:
    """The sentence over the whole, as the overview has it."""
    seen = brief(study, site, words)
    clearance = study.clearance or None
    told = places(clearance)
    text, role = verdict(study, seen.solution, told, words)
    short = any(not place.is_met for place in told)
    known = clearance is not None and clearance.verdict is Verdict.KEPT
    grade = Grade.REACHED if role == "alarm" else Grade.NEAR if short else Grade.KEPT if known else Grade.UNKNOWN
    return {"grade": grade, "text": text}


def worst(shapes: StateShapes, study: Study, site: Site | None) -> list[dict[str, Any]]:
    """The places that are numbered, each with what is to be seen there.

    Parameters
    ----------
    shapes : StateShapes
    study : Study
    site : Site or None
    """
    ground = None if site is None else site.near
    return [
        _worst(shapes, study, place, np.asarray(place.point) if place.distance > 0.0
               else stage_worst.marked(place.worst, study.rig, ground))
        for place in stage_worst.places(study.clearance or None)
    ]


def _worst(shapes: StateShapes, study: Study, finding: Finding, seen: Floats) -> dict[str, Any]:
    words, cause = shapes.words, finding.worst
    state = STATES.get(cause.why.kind, "walker" if cause.walker is not None else "empty")
    grade = Grade.REACHED if cause.distance <= 0.0 else Grade.KEPT if cause.is_met else Grade.NEAR
    gap = "space-gap-left" if cause.distance > 0.0 else "space-gap-into"
    told = words.say(
        f"space-worst-{grade}", what=Term(f"overview-what-{cause.kind}"), at=Spot(cause.station),
        left=Quantity(abs(cause.distance), "length", "down" if cause.distance > 0.0 else "up"),
        needed=Quantity(cause.needed, "length", "up"), cause=cause.why.note,
        walker="nobody" if cause.walker is None else "somebody", place=Spot(cause.walker or 0.0),
    )
    mended = mend_text(study, cause, words)
    return {
        "rank": finding.rank, "kind": cause.kind, "grade": grade, "met": cause.is_met,
        "head": words.say("space-worst-head", place=Spot(cause.station), what=Term(f"overview-what-{cause.kind}")),
        "text": words.say("space-worst-mend", text=told, mend=mended) if mended else told,
        "gap": words.say(gap, left=Quantity(
            abs(cause.distance), "length", "down" if cause.distance > 0.0 else "up")),
        "distance": round(cause.distance, 4), "needed": round(cause.needed, 4), "state": state,
        "at": None if cause.walker is None else round(cause.walker, 3), "station": round(cause.station, 3),
        "p": shapes.place(seen), "point": shapes.place(cause.point), "nearest": shapes.place(cause.nearest),
        "body": body_of(shapes, study, cause), "ground": words.verbatim(cause.ground) if cause.ground else "",
        "cause": cause.why.id,
    }


def body_of(shapes: StateShapes, study: Study, cause: Cause) -> dict[str, Any] | None:
    """Where the body is that a cause speaks of: upright, through the place that is nearest to the ground.

    Parameters
    ----------
    shapes : StateShapes
    study : Study
    cause : Cause
    """
    walker = study.rig.walker
    if walker is None or cause.kind not in ("body", "leash"):
        return None
    up, sweep = np.array([0.0, 0.0, 1.0]), study.fall_sweep
    if cause.why.kind in (CauseKind.FALL, CauseKind.FALL_IN_TIME) and sweep and cause.walker is not None:
        sweep = study.lower(sweep)
        k = int(np.argmin(np.abs(sweep.at - cause.walker)))
        if abs(float(sweep.at[k]) - cause.walker) < 1e-6:
            top, foot, ring = sweep.low.head[k], sweep.low.foot[k], sweep.low.ring[k]
            return {
                "pose": "hanging", "top": shapes.place(top), "foot": shapes.place(foot), "ring": shapes.place(ring),
                "tie": shapes.place(foot + walker.hang * up),
            }
    standing = cause.why.kind in (CauseKind.STANDING, CauseKind.STANDING_SLID)
    foot = np.asarray(cause.point, dtype=float)  # What comes nearest of an upright body over ground is its feet.
    tie = foot + (walker.tie_in_height if standing else walker.hang) * up
    top = foot + walker.height * up
    return {
        "pose": "standing" if standing else "hanging", "top": shapes.place(top), "foot": shapes.place(foot),
        "ring": None, "tie": shapes.place(tie),
    }


def no_fall(shapes: StateShapes, study: Study, site: Site | None) -> list[dict[str, Any]]:
    """Stretches of the line by what a fall there leaves: reached, nearer than asked, not known.

    Parameters
    ----------
    shapes : StateShapes
    study : Study
    site : Site or None
    """
    sweep, words = study.fall_sweep, shapes.words
    if not sweep or not study.index:
        return []
    seen, found = brief(study, site, words), []
    for zone in zones_of(seen, sweep.at, left_over(seen, sweep)):
        grade = {HIT: Grade.REACHED, NEAR: Grade.NEAR, UNKNOWN: Grade.UNKNOWN}.get(zone.kind)
        if grade is None:
            continue
        found.append({
            "from": round(zone.start, 3), "to": round(zone.end, 3), "grade": grade, "role": zone.kind,
            "text": words.say(f"space-zone-{grade}", stretch=Stretches(((zone.start, zone.end),))),
            "short": words.say(f"space-zone-short-{grade}", stretch=Stretches(((zone.start, zone.end),))),
        })
    return found


def runs(shapes: StateShapes, study: Study) -> list[dict[str, Any]]:
    """Stretches over which feet come too near if the ring runs, with the falls that lead there.

    Parameters
    ----------
    shapes : StateShapes
    study : Study
    """
    clearance = study.clearance or None
    if clearance is None:
        return []
    return [
        {
            "from": round(reach.from_a[0], 3), "to": round(reach.from_a[1], 3),
            "grade": Grade.REACHED if reach.strikes else Grade.NEAR,
            "falls": [[round(a, 3), round(b, 3)] for a, b in reach.falls],
            "text": shapes.words.say(
                "space-run", stretch=Stretches((reach.from_a,)), falls=Stretches(reach.falls),
            ),
        }
        for reach in clearance.runs or ()
    ]


def curve(shapes: StateShapes, study: Study, at: Floats, stood: tuple[Solution, ...]) -> dict[str, Any] | None:
    """Curves over the metres of the line, which are the slider too.

    Parameters
    ----------
    shapes : StateShapes
    study : Study
    at : (n,) array
        Places of the walker.  [m]
    stood : tuple of Solution
        The rig with him there.
    """
    if not len(at):
        return None
    words, gaps, needs, rig = shapes.words, study.fall_gaps, study.rig.needs, study.rig
    series = []
    asked = 0.0 if needs is None else needs.needed("body")
    if gaps:
        # What is near to known ground says nothing of ground that is not known straight below.
        under = np.asarray(study.above_ground(rig.main_a + gaps.at[:, None] / rig.span * (rig.main_b - rig.main_a)))
        left = _series(shapes, "left", gaps.at, np.where(np.isfinite(under), gaps.lowest, np.nan), "down")
        left["other"] = words.say("space-curve-left-other")
        if asked:
            most = Quantity(CAPPED * asked, "length")
            left["most"] = round(CAPPED * asked, 4)
            left["ticks"] = [
                [0.0, words.say("space-curve-ground")], [round(asked, 4), words.of(asked, "length")],
                [round(CAPPED * asked, 4), words.of(CAPPED * asked, "length")],
            ]
            if left["highest"] > CAPPED * asked:
                for name, message in (("title", "space-curve-left"), ("other", "space-curve-left-other")):
                    left[name] = words.say("space-curve-capped", title=Term(message), most=most)
        series.append(left)
    sweep = study.fall_sweep
    if sweep:
        lowest = study.lower(sweep).low.foot
        series.append(_series(shapes, "feet", sweep.at, rig.below_anchors(lowest), "up"))
    series.append(_series(shapes, "loops", at, np.array([float(loops_of(each).max()) for each in stood]), ""))
    series.append(_series(shapes, "sag", at, rig.below_anchors(
        np.array([each.walker_point for each in stood])), ""))
    heights = np.asarray(study.above_ground(np.array([each.walker_point for each in stood])))
    series.append(_series(shapes, "height", at, heights, "down"))
    step, _ = words.round_length(rig.span / TICKS * 1.6)
    marks = np.arange(0.0, rig.span + 1e-9, step)
    return {
        "title": words.say("space-curve-title"), "span": round(rig.span, 4),
        "xTicks": [[round(float(m), 4), words.place(float(m))] for m in marks], "series": series,
        "need": None if not asked else {
            "value": round(asked, 4), "text": words.say("space-curve-asked", needed=Quantity(asked, "length", "up")),
        },
    }


def _series(shapes: StateShapes, key: str, at: Floats, values: Any, bound: str) -> dict[str, Any]:
    words, values = shapes.words, np.asarray(values, dtype=float)
    known = values[np.isfinite(values)]
    low, high = (float(known.min()), float(known.max())) if len(known) else (0.0, 1.0)
    unit = words.unit([low, high], "length")
    step, _ = words.round_length(max((high - low) / 3.0, 1e-3))
    first = math.ceil(low / step) * step
    ticks = np.arange(first, high + 1e-9, step)
    unknown = words.say("unknown")
    return {
        "key": key, "title": words.say(f"space-curve-{key}"), "x": np.round(at, 3).tolist(),
        "values": shapes.file.packed(values[:, None], DEPTH / 5.0),
        "text": shapes.texts([[_said(float(value), words, bound, unknown)] for value in values]),
        "lowest": round(low, 4), "highest": round(high, 4),
        "ticks": [[round(float(tick), 4), words.of(float(tick), "length", unit=unit)] for tick in ticks],
    }


def _said(value: float, words: Words, bound: Any, unknown: str) -> str:
    if not math.isfinite(value):
        return unknown
    if bound == "down" and value < 0.0:
        return words.say("ground-into", depth=Quantity(-value, "length", "up"))
    return words.length(value, bound)


def ledges(shapes: StateShapes, study: Study) -> list[dict[str, Any]]:
    """Places beside ledges under the line.

    Parameters
    ----------
    shapes : StateShapes
    study : Study
    """
    return [
        {"at": round(at, 3), "text": shapes.words.say("space-ledge", place=Spot(at))} for at in study.ledges
    ]


def holes(shapes: StateShapes, study: Study) -> list[dict[str, Any]]:
    """Stretches below which no ground is known.

    Parameters
    ----------
    shapes : StateShapes
    study : Study
    """
    clearance = study.clearance or None
    if clearance is None:
        return []
    return [
        {
            "from": round(float(a), 3), "to": round(float(b), 3),
            "text": shapes.words.say("space-hole", stretch=Stretches(((float(a), float(b)),))),
        }
        for a, b in np.asarray(clearance.unknown).reshape(-1, 2)
    ]
