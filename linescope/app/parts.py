"""Answers that take longer than a picture: excess in four states, catches, wind, clearances, rub; part by part.

Every part is plain data for the page: headed rows of text rounded for people, notes, worst places with the bay they
lie in, and depths by bay in full precision for the chart.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from linescope.app.engine import State
from linescope.errors import LinescopeError
from linescope.events.wind import WindNote
from linescope.notes import Quantity, Term
from linescope.report import grids
from linescope.report.clearance import clearance_alarms
from linescope.report.text import is_loud
from linescope.rig import Rig, RigSource
from linescope.stage.words import Measures
from linescope.study import Study
from linescope.topics import FALLS, LOOPS, MAIN_GONE, WEAR, WIND
from linescope.topics.wear import PLACES, cause_term, face_term

Json = dict[str, Any]

PARTS = ("excess", "catches", "wind", "clearance", "rub")
"""In the order in which they arrive."""

SWEEP = 20
"""Places of the walker that the sweep of clearances begins with."""

LISTED = 6
"""Places of rub in the list."""

SHOWN = 6
"""Shortfalls of clearance among the worst places."""


def study_of(scene: Rig | RigSource, state: State) -> Study:
    """What the page asks: quick sweeps, and rub with the hold as given in few steps.

    Parameters
    ----------
    scene : RigSource or Rig
    state : {"as taped", "settled"}
        Of the sliders, for excess and wind.
    """
    leave = Study.SLOW - {"clearance", "wear"} | {"bands"}
    return Study(scene, state=state, leave=leave, positions=SWEEP, rub_levels=("value",), rub_steps=3)


def parts(study: Study, measures: Measures) -> Iterator[tuple[str, Json]]:
    """All parts, one after the other; a part that fails says why instead.

    Parameters
    ----------
    study : Study
    measures : Measures

    Yields
    ------
    name, part
        Name as in `PARTS`, and plain data with `rows`, `notes`, `places` and what is particular to the part.
    """
    for name, part in zip(PARTS, (_excess, _catches, _wind, _clearance, _rub), strict=True):
        try:
            yield name, part(study, measures)
        except LinescopeError as error:
            yield name, {"rows": [], "notes": [f"Not known: {error}"], "places": []}


def _bay_at(study: Study, at: float) -> int:
    """The bay (from 0) at a distance along the straight line."""
    layout = study.planned.layout
    return int(np.searchsorted(layout.tape_main, at / study.rig.span * layout.main_length))


def _excess(study: Study, measures: Measures) -> Json:
    found, table = study.excess, grids.across(LOOPS, LOOPS.here, study, measures)
    titles = {each.name: measures.say(f"loops-state-{each.name}") for each in found.states}
    worst = found.states[-1]
    bay = int(np.argmin(worst.excess))
    least = measures.say(
        "loops-least", state=Term(f"loops-state-{worst.name}"), excess=Quantity(float(worst.excess[bay]), "ratio"),
        bay=bay + 1,
    )
    return {
        "head": table.columns if table else [], "rows": [list(row) for row in table.rows] if table else [],
        "notes": measures.notes(found.notes), "places": [{"bay": bay, "text": least}],
        "depths": {each.name: each.loop_depth.tolist() for each in found.states},
        "excess": {each.name: each.excess.tolist() for each in found.states}, "titles": titles,
    }


def _catches(study: Study, measures: Measures) -> Json:
    show, found = measures, study.fall
    if not found:
        return {"rows": [], "notes": ["Nobody is on the line: no falls."], "places": []}
    rows, notes = [], []
    for topic, short in ((FALLS, "falls-short"), (MAIN_GONE, "main-gone-short")):
        rows += [list(pair) for pair in grids.pairs(topic, study, show.words, short=short)]
        first, rest = grids.said(topic, study, show.words)
        notes += [*first, *rest]
    return {"rows": rows, "notes": list(dict.fromkeys(notes)), "places": []}


def _wind(study: Study, measures: Measures) -> Json:
    words = measures.words
    table, (first, rest) = grids.across(WIND, WIND.here, study, words), grids.said(WIND, study, words)
    if table is None:
        return {"rows": [], "notes": [*first, *rest], "places": []}
    places = []
    for note in WIND.notes(study):
        if note.kind is WindNote.WRAP and note.place is not None and note.place.bay is not None:
            text = words.say("wind-place", bays=note.values["bays"])
            places.append({"bay": note.place.bay - 1, "text": text, "alarm": True})
    return {
        "head": table.columns, "rows": [list(row) for row in table.rows], "notes": rest, "alarms": first,
        "places": places,
    }


def _clearance(study: Study, measures: Measures) -> Json:
    show, needs, found = measures, study.rig.needs, study.clearance
    if not found:
        return {"rows": [], "notes": ["No ground in this scene: clearances are unknown."], "places": []}
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
            worst.append({"bay": _bay_at(study, finding.station), "text": text, "alarm": short})
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


def _rub(study: Study, measures: Measures) -> Json:
    words, wear = measures.words, study.wear
    first, rest = grids.said(WEAR, study, words)
    table = grids.across(WEAR, PLACES, study, words)
    places = []
    if wear and wear.places:
        worst = wear.places[0]
        places.append({
            "bay": worst.tape - 1, "tape": worst.tape,
            "text": words.say(
                "wear-place", face=face_term(worst.face), tape=worst.tape,
                peak=Quantity(worst.peak, "line energy"), cause=cause_term(worst.cause),
            ),
        })
    return {
        "head": [] if table is None else table.columns,
        "rows": [] if table is None else [list(row) for row in table.rows[:LISTED]], "notes": rest, "alarms": first,
        "places": places,
    }
