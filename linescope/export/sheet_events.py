"""Events and distances as tables for people: falls, loss of the main, wind, clearance, what to look at."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.notes import KIND
from linescope.clearance.ranked import places
from linescope.export.sheet_walk import main_stations
from linescope.figures import Group
from linescope.notes import Bays, Quantity, Term
from linescope.report import bands as band_rows
from linescope.report import grids
from linescope.report.bays import by_bay
from linescope.study import Study
from linescope.topics import CLEARANCE, TOPICS
from linescope.topics.clearance import NO_FALLS, RUNS
from linescope.topics.clearance.text import unknown_falls
from linescope.words import Loud, Words
from linescope.words.table import Table

Floats = NDArray[np.float64]


def topic(name: str, study: Study, measures: Words, more: int | None = None) -> Table | None:
    """Any topic along the line, or one of its further tables; None when it was not computed."""
    found = TOPICS[name]
    if more is not None:
        return grids.across(found, found.more[more], study, measures)
    return grids.across(found, found.along, study, measures) or grids.down(found, study, measures)


def bays(study: Study, measures: Words) -> Table | None:
    """Every loop in every state; None when it was not computed."""
    return by_bay(TOPICS["loops"], study, measures, every=True)


def meter(study: Study, measures: Words) -> Table | None:
    """What the meter should read, with a column to write down what it reads; None when it was not computed."""
    found = topic("tension", study, measures)
    if found is None:
        return None
    rows = tuple((*row, "") for row in found.rows)
    return replace(found, columns=(*found.columns, measures.say("tension-read")), rows=rows)


def of_ground(group: Group, study: Study, measures: Words) -> Table | None:
    """Figures of the clearance; without rows where it was computed and nothing is to be said, None where it was not."""
    if not study.clearance:
        return None
    found = grids.across(CLEARANCE, group, study, measures)
    title = measures.say(group.title, **CLEARANCE.values(study))
    return found or Table(title=title, columns=(measures.say("result"),), rows=((_none(group, study, measures),),))


def _none(group: Group, study: Study, measures: Words) -> str:
    """What is said instead of an empty table."""
    found = study.clearance
    if group is RUNS:
        return measures.say("clearance-runs-none", known="part" if found and len(found.unknown) else "all")
    if group is NO_FALLS and found and not len(found.walkers):
        return measures.say("clearance-no-fall-not-looked")
    if group is NO_FALLS and not unknown_falls(study, measures):
        return measures.say("clearance-no-fall-none")
    return measures.say("none")


def bands(study: Study, measures: Words) -> Table | None:
    """Every main figure with its low and high; None when bands were not computed."""
    return band_rows.table(study, measures, 2)


def inspection(study: Study, measures: Words) -> Table:
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
    for place in places(study.clearance or None):
        if not place.is_met:
            what = words.say("sheet-look-clearance", rank=place.rank)
            why = Loud(words.say("sheet-look-clearance-why", what=KIND[place.kind], cause=place.why.note))
            found.append((place.station, place.station, what, why))
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
