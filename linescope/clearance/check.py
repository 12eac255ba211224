"""Swept curves against the ground: worst place of every kind and cause, where a fall must not happen."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.along import Approach, Chords, minima
from linescope.clearance.distance import GroundIndex
from linescope.clearance.finding import KINDS, Clearance, Finding, NoFallZone, Requirement, SweptCurve
from linescope.clearance.vertical import Drop, lowest
from linescope.errors import InputError
from linescope.terrain.plumb import holes_below

Floats = NDArray[np.float64]


def check(
    curves: Sequence[SweptCurve],
    index: GroundIndex,
    requirements: Sequence[Requirement],
    *,
    survey_error: float,
    margin: float,
    line_length: float | None = None,
    path: Floats | None = None,
) -> Clearance:
    """Clearance of swept curves from the ground, ranked.

    Parameters
    ----------
    curves : sequence of SweptCurve
        Every state, walker position and side of the wind to be looked at.
    index : GroundIndex
    requirements : sequence of Requirement
        One for each kind that occurs in `curves`.
    survey_error, margin : float
        Added to every required distance. [m]
    line_length : float, optional
        Place of anchor B along the line; None takes the largest station. [m]
    path : (n, 2) or (n, 3) float, optional
        Plan path whose ground is looked at for holes, from anchor A to anchor B; None takes the nodes of the
        longest curve. [m]

    Returns
    -------
    Clearance

    Raises
    ------
    InputError
        No curves, a kind without requirement or with two, an error or margin below 0.
    """
    wanted = _wanted(curves, requirements, survey_error, margin)
    chords = Chords.of([curve.points for curve in curves], [_sagitta(curve) for curve in curves])
    names = sorted({(curve.kind, curve.cause) for curve in curves})
    number = {name: i for i, name in enumerate(names)}
    group = np.array([number[curve.kind, curve.cause] for curve in curves])
    near, drops = minima(index, chords, group), lowest(index, chords, group)
    findings = [
        _finding(curves, name, approach, drop, wanted[name[0]], survey_error + margin)
        for name, approach, drop in zip(names, near, drops, strict=True)
    ]
    findings.sort(key=lambda finding: (finding.remainder, finding.kind, finding.cause))
    end = line_length if line_length is not None else max(float(curve.station.max()) for curve in curves)
    if path is None:
        path = max(curves, key=lambda curve: float(np.ptp(curve.station))).points
    return Clearance(
        findings=tuple(replace(finding, rank=i + 1) for i, finding in enumerate(findings)),
        no_fall_zones=_falls(curves, index, wanted, survey_error + margin, end),
        holes=_frozen(holes_below(index.plumb, np.asarray(path)[:, :2])),
        survey_error=survey_error,
        margin=margin,
        source=index.terrain.source,
        notes=_notes(index, findings),
    )


def no_fall_zones(walker: Floats, remainder: Floats, line_length: float) -> tuple[NoFallZone, ...]:
    """Stretches of walker positions from which a fall does not keep what is needed.

    Parameters
    ----------
    walker : (n,) float
        Positions tried, from anchor A, in any order; doubles count with their smallest remainder. [m]
    remainder : (n,) float
        Distance less what is needed. [m]
    line_length : float
        Place of anchor B. [m]

    Returns
    -------
    tuple of NoFallZone
        From anchor A on; each reaches to the next position that meets the requirement, or to the anchor.
    """
    place, owner = np.unique(walker, return_inverse=True)
    least = np.full(len(place), np.inf)
    np.minimum.at(least, owner, remainder)
    bad = np.concatenate([[False], least < 0.0, [False]])
    starts = np.flatnonzero(bad[1:] & ~bad[:-1])
    ends = np.flatnonzero(bad[:-1] & ~bad[1:]) - 1
    zones = []
    for first, last in zip(starts.tolist(), ends.tolist(), strict=True):
        low = float(place[first - 1]) if first > 0 else 0.0
        high = float(place[last + 1]) if last + 1 < len(place) else line_length
        worst = first + int(np.argmin(least[first : last + 1]))
        zones.append(
            NoFallZone(
                from_a=(low, high),
                from_b=(line_length - high, line_length - low),
                worst=float(least[worst]),
                worst_at=float(place[worst]),
            )
        )
    return tuple(zones)


def _wanted(
    curves: Sequence[SweptCurve], requirements: Sequence[Requirement], survey_error: float, margin: float
) -> dict[str, float]:
    if len(curves) == 0:
        raise InputError("nothing to measure", key="curves", allowed="at least one curve")
    for key, value in (("survey_error", survey_error), ("margin", margin)):
        if not (math.isfinite(value) and value >= 0.0):
            raise InputError("an addition to the required distances", key=key, found=value, allowed="0 m and more")
    wanted: dict[str, float] = {}
    for requirement in requirements:
        if requirement.kind in wanted:
            raise InputError("a kind has two requirements", key=requirement.kind, allowed="one each")
        wanted[requirement.kind] = requirement.distance
    for kind in KINDS:
        if kind not in wanted and any(curve.kind == kind for curve in curves):
            raise InputError("no required distance is told", key=kind, allowed="a distance, 0 m and more")
    return wanted


def _sagitta(curve: SweptCurve) -> Floats:
    return np.zeros(len(curve.points) - 1) if curve.sagitta is None else curve.sagitta


def _station(curve: SweptCurve, segment: int, fraction: float) -> float:
    low = float(curve.station[segment])
    return low + fraction * (float(curve.station[min(segment + 1, len(curve.station) - 1)]) - low)


def _finding(
    curves: Sequence[SweptCurve],
    name: tuple[str, str],
    near: Approach,
    drop: Drop,
    required: float,
    added: float,
) -> Finding:
    curve = curves[near.curve]
    below = curves[drop.curve] if drop.curve >= 0 else None
    return Finding(
        rank=0,
        kind=name[0],
        cause=name[1],
        distance=near.distance,
        vertical=drop.gap,
        required=required,
        needed=required + added,
        station=_station(curve, near.segment, near.fraction),
        walker=curve.walker,
        point=near.point,
        nearest=near.nearest,
        vertical_station=_station(below, drop.segment, drop.fraction) if below is not None else math.nan,
        vertical_walker=below.walker if below is not None else None,
        vertical_point=None if below is None else _frozen(_place(below, drop)),
        vertical_ground=None if below is None else _frozen(np.append(_place(below, drop)[:2], drop.z_ground)),
    )


def _place(below: SweptCurve, drop: Drop) -> Floats:
    start = below.points[drop.segment]
    end = below.points[min(drop.segment + 1, len(below.points) - 1)]
    return np.asarray(start + drop.fraction * (end - start))


def _falls(
    curves: Sequence[SweptCurve], index: GroundIndex, required: dict[str, float], added: float, end: float
) -> tuple[NoFallZone, ...]:
    falls = [curve for curve in curves if curve.is_fall]
    if not falls:
        return ()
    chords = Chords.of([curve.points for curve in falls], [_sagitta(curve) for curve in falls])
    near = minima(index, chords, np.arange(len(falls)))
    walker = np.array([curve.walker for curve in falls], dtype=np.float64)
    wanted = np.array([required[curve.kind] for curve in falls]) + added
    return no_fall_zones(walker, np.array([approach.distance for approach in near]) - wanted, end)


def _notes(index: GroundIndex, findings: Sequence[Finding]) -> tuple[str, ...]:
    notes = list(index.terrain.notes)
    if not index.is_signed:
        notes.append(
            "the mesh is neither closed nor known as a height field: what lies inside rock is not told apart,"
            " only what touches it"
        )
    lost = [f"{finding.kind} ({finding.cause})" for finding in findings if math.isnan(finding.vertical)]
    if lost:
        notes.append(f"no ground is known straight below: {', '.join(lost)}")
    return tuple(notes)


def _frozen(values: Floats) -> Floats:
    values.setflags(write=False)
    return values
