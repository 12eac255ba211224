"""Events and distances as tables for people: falls, loss of the main, wind, clearance, what to look at."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.clearance import Clearance, Finding
from linescope.events.excess import TITLES
from linescope.export.sheet_walk import main_stations
from linescope.report import bands as band_rows
from linescope.report import grids
from linescope.report.tapes import Table
from linescope.stage.words import Measures
from linescope.study import Study
from linescope.topics import TOPICS

Floats = NDArray[np.float64]


def topic(name: str, study: Study, measures: Measures) -> Table | None:
    """Any topic along the line; None when it was not computed."""
    found = TOPICS[name]
    return grids.across(found, found.along, study, measures.words) or grids.down(found, study, measures.words)


def clearances(clearance: Clearance | None, measures: Measures) -> Table | None:
    """Every finding, worst first; None when clearance was not computed."""
    if clearance is None:
        return None
    found = clearance.findings
    near, down, asked = (
        measures.unit(getattr(finding, name) for finding in found) for name in ("distance", "vertical", "needed")
    )
    rows = [
        (
            str(finding.rank),
            finding.kind,
            finding.cause,
            measures.place(round(finding.station, 1)),
            measures.place(round(finding.walker, 1)) if finding.walker is not None else "-",
            measures.at_least(finding.distance, unit=near),
            measures.at_least(finding.vertical, unit=down) if math.isfinite(finding.vertical) else "unknown",
            measures.at_most(finding.needed, unit=asked),
            _result(finding, clearance, measures),
        )
        for finding in found
    ]
    return Table(
        title="Clearance, worst first (needed: asked for, with survey error and margin)",
        columns=("No.", "what", "cause", "where, from A", "walker at", "distance", "straight down", "needed", "result"),
        rows=tuple(rows),
    )


def _result(finding: Finding, clearance: Clearance, measures: Measures) -> str:
    if not finding.is_met:
        return f"SHORT BY {measures.at_most(-finding.remainder)}"
    return "meets it" if clearance.is_known_at(finding.station) else "NOT KNOWN below"


def no_fall_zones(clearance: Clearance | None, measures: Measures) -> Table | None:
    """Where nobody may fall, from both anchors; None when clearance was not computed."""
    if clearance is None:
        return None
    rows = [
        (
            f"{measures.place(round(zone.from_a[0], 1))} to {measures.place(round(zone.from_a[1], 1))}",
            f"{measures.place(round(zone.from_b[0], 1))} to {measures.place(round(zone.from_b[1], 1))}",
            measures.at_most(-zone.worst),
            measures.place(round(zone.worst_at, 1)),
        )
        for zone in clearance.no_fall_zones
    ]
    rows += [
        (
            f"{measures.place(round(low, 1))} to {measures.place(round(high, 1))}",
            f"{measures.place(round(clearance.span - high, 1))} to {measures.place(round(clearance.span - low, 1))}",
            "ground NOT KNOWN", "-",
        )
        for low, high in clearance.unknown.tolist()
    ]
    return Table(
        title="NO-FALL ZONES (ring stays where he falls)" if rows else "No-fall zones: none, if the ring stays",
        columns=("from A", "from B", "short by up to", "worst at, from A"),
        rows=tuple(rows),
    )


def runs(clearance: Clearance | None, measures: Measures) -> Table | None:
    """Over what a ring that runs can carry feet too near; None when that was not computed."""
    if clearance is None or clearance.runs is None:
        return None

    def stretches(listed: tuple[tuple[float, float], ...]) -> str:
        both = (tuple(measures.place(round(end, 1)) for end in each) for each in listed)
        return ", ".join(f"{low} to {high}" for low, high in both) or "none"

    rows = [
        (stretches((reach.from_a,)), measures.length(-reach.worst), stretches(reach.falls), stretches(reach.strikes))
        for reach in clearance.runs
    ]
    return Table(
        title="IF THE RING RUNS (bound, no friction): feet too near" if rows
        else "If the ring runs (bound, no friction): feet nowhere too near outside the anchor zones",
        columns=("over, from A", "short by up to", "in falls from", "reaching the ground from"),
        rows=tuple(rows),
    )


def bands(study: Study, measures: Measures) -> Table | None:
    """Every main figure with its low and high; None when bands were not computed."""
    return band_rows.table(study, measures.words, 2)


def inspection(study: Study, clearance: Clearance | None, measures: Measures) -> Table:
    """What to look at by metre from A, with its reason."""
    edges = main_stations(study)
    end = float(edges[-1])
    anchor = "lock, closed backup, padding, edge under both lines"
    found: list[tuple[float, float, str, str]] = [(0.0, 0.0, "anchor A", anchor), (end, end, "anchor B", anchor)]
    for joint in study.rig.joints:
        tied = "tied" if joint.tied else "NOT tied to the backup"
        found.append((joint.at, joint.at, "joint", f"{tied}; no tape within 0.3 m (common practice, no source)"))
    for k, tape in enumerate(study.planned.layout.tapes):
        if tape.kind == "tie":
            found.append((float(edges[k + 1]), float(edges[k + 1]), f"tie {tape.number}", "holds both lines"))
    for state in study.excess.states:
        if state.name != "fall":
            found += _runs(state.tight, edges, f"backup without slack, {TITLES[state.name]}")
    deepest = int(np.argmax(study.settled.bays.loop_depth))
    if study.settled.bays.excess[deepest] >= 0.0:
        depth = measures.loop(float(study.settled.bays.loop_depth[deepest]))
        found += _runs((deepest + 1,), edges, f"deepest loop once settled, {depth}")
    if study.wind:
        wrap = tuple(sorted({bay for case in study.wind.cases for bay in case.wrap}))
        found += _runs(wrap, edges, measures.words.say("wind-look"))
    for finding in clearance.findings if clearance is not None else ():
        if not finding.is_met:
            why = f"{finding.kind}, {finding.cause}: short of what is needed"
            found.append((finding.station, finding.station, f"clearance {finding.rank}", why))
    rows = []
    for low, high, what, why in sorted(found):
        start, stop = measures.place(round(low, 1)), measures.place(round(high, 1))
        rows.append((start if start == stop else f"{start} to {stop}", what, why, ""))
    return Table(
        title="Look at, by distance from A on the standing main",
        columns=("from A", "what", "why", "seen by"),
        rows=tuple(rows),
    )


def _runs(bays: tuple[int, ...], edges: Floats, why: str) -> list[tuple[float, float, str, str]]:
    """Neighbouring bays, counted from 1, as one entry each."""
    runs: list[list[int]] = []
    for bay in bays:
        if runs and bay == runs[-1][1] + 1:
            runs[-1][1] = bay
        else:
            runs.append([bay, bay])
    return [
        (
            float(edges[first - 1]),
            float(edges[last]),
            f"bay {first}" if first == last else f"bays {first} to {last}",
            why,
        )
        for first, last in runs
    ]
