"""Answers that take longer than a picture: excess in four states, catches, wind, clearances, rub; part by part.

Every part is plain data for the page: headed rows of text rounded for people, notes, worst places with the bay they
lie in, and depths by bay in full precision for the chart.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.app.engine import State
from linescope.errors import LinescopeError
from linescope.events.excess import FourStates, four_states
from linescope.events.fall import LeashFall, leash_fall
from linescope.events.wind import WindNote
from linescope.report import grids
from linescope.report.clearance import clearance_alarms
from linescope.report.text import is_loud
from linescope.rig import Rig
from linescope.stage.words import Measures
from linescope.statics import Plan, plan
from linescope.study import Study
from linescope.topics import FALLS, MAIN_GONE, WIND

Json = dict[str, Any]
Floats = NDArray[np.float64]

PARTS = ("excess", "catches", "wind", "clearance", "rub")
"""In the order in which they arrive."""

SWEEP = 20
"""Places of the walker that the sweep of clearances begins with."""

SHOWN = 6
"""Shortfalls of clearance among the worst places."""

TITLES = {"slack": "slack, as marked", "standing": "standing", "walker": "with walker", "fall": "leash fall (bound)"}


@dataclass(frozen=True, eq=False, kw_only=True)
class _Desk:
    """What every part works with."""

    rig: Rig
    planned: Plan
    state: State
    measures: Measures
    fall: LeashFall | None

    def span(self, values: Floats, kind: str) -> str:
        """Least and most as text."""
        show = getattr(self.measures, kind)
        low, high = show(float(np.min(values))), show(float(np.max(values)))
        return str(low) if low == high else f"{low} to {high}"

    def bay_at(self, at: float) -> int:
        """The bay (from 0) at a distance along the straight line."""
        edges = self.planned.layout.tape_main
        share = at / self.rig.span * self.planned.layout.main_length
        return int(np.searchsorted(edges, share))


def study(rig: Rig, state: State, measures: Measures) -> Iterator[tuple[str, Json]]:
    """All parts, one after the other; a part that fails says why instead.

    Parameters
    ----------
    rig : Rig
    state : {"as taped", "settled"}
        Of the sliders, for excess and wind.
    measures : Measures

    Yields
    ------
    name, part
        Name as in `PARTS`, and plain data with `rows`, `notes`, `places` and what is particular to the part.
    """
    planned = plan(rig)
    fall = leash_fall(rig, planned=planned) if rig.walker is not None else None
    desk = _Desk(rig=rig, planned=planned, state=state, measures=measures, fall=fall)
    for name, part in zip(PARTS, (_excess, _catches, _wind, _clearance, _rub), strict=True):
        try:
            yield name, part(desk)
        except LinescopeError as error:
            yield name, {"rows": [], "notes": [f"Not known: {error}"], "places": []}


def _excess(desk: _Desk) -> Json:
    found: FourStates = four_states(
        desk.rig, desk.fall.bottom if desk.fall is not None else None, state=desk.state, planned=desk.planned
    )
    rows, depths = [], {}
    for each in found.states:
        tight = f"{len(each.tight)} of {len(each.excess)}" if each.tight else "none"
        tension = "0" if each.name == "slack" else desk.span(each.main_tension, "force")
        rows.append([
            TITLES[each.name], desk.span(each.loop_depth, "loop"), desk.span(each.excess, "share"), tight, tension,
        ])
        depths[each.name] = each.loop_depth.tolist()
    excess = {each.name: each.excess.tolist() for each in found.states}
    worst = found.states[-1]
    bay = int(np.argmin(worst.excess))
    least = desk.measures.share(float(worst.excess[bay]))
    places = [{"bay": bay, "text": f"Least excess {TITLES[worst.name]}: {least} in bay {bay + 1}"}]
    return {
        "head": ["State", "Loop depth", "Excess", "Bays without slack", "Main tension"],
        "rows": rows, "notes": list(found.notes), "places": places, "depths": depths, "excess": excess,
        "titles": {name: TITLES[name] for name in depths},
    }


def _catches(desk: _Desk) -> Json:
    show = desk.measures
    if desk.fall is None:
        return {"rows": [], "notes": ["Nobody is on the line: no falls."], "places": []}
    known = Study(desk.rig, given={"planned": desk.planned, "fall": desk.fall})
    rows, notes = [], []
    for topic, short in ((FALLS, "falls-short"), (MAIN_GONE, "main-gone-short")):
        rows += [list(pair) for pair in grids.pairs(topic, known, show.words, short=short)]
        first, rest = grids.said(topic, known, show.words)
        notes += [*first, *rest]
    return {"rows": rows, "notes": list(dict.fromkeys(notes)), "places": []}


def _wind(desk: _Desk) -> Json:
    known, words = Study(desk.rig, state=desk.state, given={"planned": desk.planned}), desk.measures.words
    table, (first, rest) = grids.across(WIND, WIND.here, known, words), grids.said(WIND, known, words)
    if table is None:
        return {"rows": [], "notes": [*first, *rest], "places": []}
    places = []
    for note in WIND.notes(known):
        if note.kind is WindNote.WRAP and note.place is not None and note.place.bay is not None:
            text = words.say("wind-place", bays=note.values["bays"])
            places.append({"bay": note.place.bay - 1, "text": text, "alarm": True})
    return {
        "head": table.columns, "rows": [list(row) for row in table.rows], "notes": rest, "alarms": first,
        "places": places,
    }


def _clearance(desk: _Desk) -> Json:
    from linescope.clearance import find_clearance

    rig, show, needs = desk.rig, desk.measures, desk.rig.needs
    if rig.ground is None:
        return {"rows": [], "notes": ["No ground in this scene: clearances are unknown."], "places": []}
    found = find_clearance(rig, planned=desk.planned, positions=SWEEP)
    rows, worst = [], []
    for finding in found.findings:
        short = needs is not None and not finding.is_met
        rows.append([
            f"{finding.kind}: {finding.cause}", show.at_least(finding.distance), show.at_least(finding.vertical),
            show.at_most(finding.needed) if needs else "none asked", show.place(finding.station),
            "" if finding.walker is None else show.place(finding.walker),
        ])
        if finding.rank <= (SHOWN if short else 1):
            text = f"{'TOO NEAR' if short else 'Nearest'}: {finding.kind}, {finding.cause}, " \
                f"{show.at_least(finding.distance)} from the ground at {show.place(finding.station)}"
            worst.append({"bay": desk.bay_at(finding.station), "text": text, "alarm": short})
    zones = [
        f"NO FALL between {show.place(zone.from_a[0])} and {show.place(zone.from_a[1])} from A"
        for zone in found.no_fall_zones
    ] if needs else []
    zones += [
        f"IF THE RING RUNS, feet too near over {show.place(reach.from_a[0])} to {show.place(reach.from_a[1])} from A "
        "(bound, no friction)"
        for reach in found.runs or ()
    ] if needs else []
    zones = [*clearance_alarms(found, show.system), *zones]
    quiet = [note for note in found.notes if not is_loud(note)]
    notes = [
        *quiet,
        f"Walker at {SWEEP} places along the line and beside both anchors to begin with, more around the worst ones.",
    ]
    if needs is None:
        notes.insert(0, "No clearance is asked for in this scene: distances are shown, nothing is compared.")
    return {
        "head": ["What and why", "Distance", "Straight down", "Needed", "Place from A", "Walker"],
        "rows": rows, "notes": notes, "places": worst, "alarms": zones,
    }


def _rub(desk: _Desk) -> Json:
    from linescope.contact.find import find_rub

    if desk.rig.walker is None:
        return {"rows": [], "notes": ["Nobody is on the line: no rub of a crossing."], "places": []}
    found = find_rub(desk.rig, levels=("value",), most=1, worst=6, planned=desk.planned)
    rows, places = [], []
    for place in found.places:
        rows.append([
            f"{place.line}, tape {place.tape}", f"{place.peak:.2g} J/m", f"{place.work:.2g} J", place.cause,
        ])
    if found.places:
        first = found.places[0]
        places.append({
            "bay": first.tape - 1, "tape": first.tape,
            "text": f"Most rub: {first.line} at tape {first.tape}, {first.peak:.2g} J/m ({first.cause})",
        })
    return {
        "head": ["Where", "Work per metre", "Work", "Why"],
        "rows": rows, "notes": [*found.notes, *found.assumed, "Ranks places on this rig; predicts no life."],
        "places": places,
    }
