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
from linescope.events.main_gone import MainGone, main_gone
from linescope.events.wind import find_wind
from linescope.events.words import listed
from linescope.report.clearance import clearance_alarms
from linescope.report.strength import strength_name
from linescope.report.text import is_loud
from linescope.rig import Rig
from linescope.stage.words import Measures
from linescope.statics import Plan, plan

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
    fall = desk.fall.figures
    gone: MainGone = main_gone(desk.rig, planned=desk.planned)
    rows = [
        ["Leash fall: lowest foot below the feet before", show.at_most(
            float(fall.ring_standing[0, 2] - fall.low_foot[0, 2]))],
        ["Leash fall: force on the ring (leash and body rigid)", show.at_most(float(fall.peak_force[0]), "force")],
        ["Leash fall: main tension", show.at_most(float(fall.peak_main_tension[0]), "force")],
        [f"Leash fall: that is, of its {strength_name(desk.rig.main)}", show.at_most(
            float(fall.peak_main_tension[0]) / desk.rig.main.strength, "ratio")],
    ]
    for side in (gone.nothing_holds, gone.ties_hold) if gone.tied else (gone.nothing_holds,):
        foot = float(gone.ring_standing[0, 2] - side.lowest_foot[0, 2])
        rows.append([f"Main gone, {side.name}: lowest foot below the feet before", show.at_most(foot)])
        rows.append([
            f"Main gone, {side.name}: tension in the backup", show.at_most(float(side.peak_tension[0]), "force"),
        ])
        rows.append([
            f"Main gone, {side.name}: that is, of its {strength_name(desk.rig.backup)}",
            show.at_most(float(side.backup_share[0]), "ratio"),
        ])
        rows.append([
            f"Main gone, {side.name}: at most, with the lost main's energy and weight (bound)",
            show.at_most(float(side.most_tension[0]), "force"),
        ])
    notes = ["Bounds: no damping, no inertia of the lines.", *dict.fromkeys((*gone.notes[:2], *fall.notes[:1]))]
    return {"rows": rows, "notes": notes, "places": []}


def _wind(desk: _Desk) -> Json:
    if desk.rig.wind is None:
        return {"rows": [], "notes": ["No wind in this scene."], "places": []}
    found = find_wind(desk.rig, state=desk.state, planned=desk.planned)
    show = desk.measures
    rows, places = [], []
    for case in found.cases:
        who = "empty" if case.loaded == "empty" else "with walker"
        rows.append([
            f"{who}, {case.side} side", _degrees(case.steady_swing), _degrees(case.gust_swing),
            show.length(case.offset_gust), listed(case.wrap) or "none",
        ])
    wrap = sorted({bay for case in found.cases for bay in case.wrap})
    if wrap:
        places.append({"bay": wrap[0] - 1, "text": f"Loops can wrap the main: bays {listed(wrap)}"})
    return {
        "head": ["Case", "Loops swing, steady", "Swing, gust", "Main sideways, gust", "Bays that can wrap"],
        "rows": rows, "notes": list(found.notes), "places": places,
    }


def _degrees(angles: Floats) -> str:
    low, high = (f"{np.degrees(value):.2g}" for value in (np.min(angles), np.max(angles)))
    return f"{low}°" if low == high else f"{low} to {high}°"


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
