"""Events and distances as tables for people: falls, loss of the main, wind, clearance, what to look at."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from linescope.clearance import Clearance, Finding
from linescope.export.sheet_walk import main_stations
from linescope.notes import Bays, Quantity, Term
from linescope.report import bands as band_rows
from linescope.report import grids
from linescope.report.bays import by_bay
from linescope.report.tapes import Table
from linescope.stage.words import Measures
from linescope.study import Study
from linescope.topics import TOPICS
from linescope.words import Loud, Words

Floats = NDArray[np.float64]


def topic(name: str, study: Study, measures: Measures, more: int | None = None) -> Table | None:
    """Any topic along the line, or one of its further tables; None when it was not computed."""
    found = TOPICS[name]
    if more is not None:
        return grids.across(found, found.more[more], study, measures.words)
    return grids.across(found, found.along, study, measures.words) or grids.down(found, study, measures.words)


def bays(study: Study, measures: Measures) -> Table | None:
    """Every loop in every state; None when it was not computed."""
    return by_bay(TOPICS["loops"], study, measures, every=True)


def meter(study: Study, measures: Measures) -> Table | None:
    """What the meter should read, with a column to write down what it reads; None when it was not computed."""
    found = topic("tension", study, measures)
    if found is None:
        return None
    rows = tuple((*row, "") for row in found.rows)
    return replace(found, columns=(*found.columns, measures.say("tension-read")), rows=rows)


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
    edges, words, layout = main_stations(study), measures, study.planned.layout
    end, apart = float(edges[-1]), Quantity(0.3, "length")
    anchor = words.say("sheet-look-anchor")
    found: list[tuple[float, float, str, str]] = [
        (place, place, words.say("frame-anchor", end=name), anchor) for place, name in ((0.0, "A"), (end, "B"))
    ]
    for joint in study.rig.joints:
        why = words.say(f"sheet-look-joint-{'tied' if joint.tied else 'loose'}", distance=apart)
        found.append((joint.at, joint.at, words.say("sheet-look-joint"), why if joint.tied else Loud(why)))
    for k, tape in enumerate(layout.tapes):
        if tape.kind == "tie":
            what = words.say("sheet-look-tie", number=tape.number)
            found.append((float(edges[k + 1]), float(edges[k + 1]), what, words.say("sheet-look-tie-why")))
    for state in study.excess.states:
        if state.name != "fall":
            why = words.say("sheet-look-tight", state=Term(f"loops-state-{state.name}"))
            found += _runs(state.tight, edges, why, words)
    settled = study.settled.bays
    deepest = int(np.argmax(settled.loop_depth))
    if settled.excess[deepest] >= 0.0:
        depth = Quantity(float(settled.loop_depth[deepest]), "length")
        found += _runs((deepest + 1,), edges, words.say("sheet-look-deepest", depth=depth), words)
    wind = study.wind
    if wind:
        wrap = tuple(sorted({bay for case in wind.cases for bay in case.wrap}))
        found += _runs(wrap, edges, words.say("wind-look"), words)
    for finding in clearance.findings if clearance is not None else ():
        if not finding.is_met:
            what = words.say("sheet-look-clearance", rank=finding.rank)
            why = Loud(words.say("sheet-look-clearance-why", what=f"{finding.kind}, {finding.cause}"))
            found.append((finding.station, finding.station, what, why))
    rows = [(words.between(low, high), what, why, "") for low, high, what, why in sorted(found)]
    return Table(
        title=words.say("sheet-look"),
        columns=tuple(words.say(f"sheet-look-{head}") for head in ("from-a", "what", "why", "seen")),
        rows=tuple(rows),
    )


def _runs(bays: tuple[int, ...], edges: Floats, why: str, words: Words) -> list[tuple[float, float, str, str]]:
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
            words.say("sheet-look-bays", count=last - first + 1, bays=Bays(tuple(range(first, last + 1)))),
            why,
        )
        for first, last in runs
    ]
