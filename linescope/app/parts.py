"""Answers that take longer than a picture: excess in four states, catches, wind, clearances, rub, and the picture with
all of it; part by part.

Every part is plain data for the page: headed rows of text rounded for people, notes, worst places with the bay they
lie in, and depths by bay in full precision for the chart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from linescope.app.live import packed
from linescope.clearance.notes import KIND
from linescope.contact.wear import WearNote
from linescope.errors import LinescopeError
from linescope.events.excess import ExcessState
from linescope.events.fitted import told_as
from linescope.events.wind import WindNote
from linescope.export.space import space
from linescope.export.space.part import place
from linescope.notes import Missing, Quantity, Spot, Term, Verbatim
from linescope.report import bands as band_rows
from linescope.report import grids
from linescope.rig import Rig, RigSource
from linescope.stage.ground import Site
from linescope.stage.ground import site as site_of
from linescope.stage.worst import places, sentence
from linescope.stage.worst import rest as rest_of
from linescope.study import State, Study
from linescope.topics import CLEARANCE, FALLS, LOOPS, MAIN_GONE, MOTION, READINGS, WEAR, WIND
from linescope.topics.clearance import NO_FALLS, PLACES, RUNS
from linescope.topics.clearance.text import alarms
from linescope.topics.wear import PLACES as WORN
from linescope.topics.wear import place_values
from linescope.words import Words

Json = dict[str, Any]

PARTS = ("rub", "clearance", "excess", "catches", "wind", "readings", "bands")
"""In the order in which they first arrive; rub and clearance come again, if their first answer was one."""

FIRST = ("first rub", "first clearance", "excess", "catches", "wind", "readings")
ALL = (*FIRST, "bands", "rub", "clearance")

LISTED = 6
"""Places of rub in the list."""


SHOWN_IN_SPACE = frozenset({
    "fall_sweep", "fall_gaps", "deeper", "running", "place_gaps", "main_gone_sweep", "clearance",
})
"""What takes longer and is drawn: how low falls come, all along the line."""

ANSWERED = frozenset({"clearance", "first_clearance", "wear", "first_wear"})
"""What takes longer and is told in rows."""

FILMS = frozenset({"fall_course", "gone_course", "gust_course", "crossing_value"})


def study_of(scene: Rig | RigSource, state: State, wanted: frozenset[str] = ANSWERED, **more: Any) -> Study:
    """What the page asks: clearance as every other surface has it, and rub with the hold as given in few steps.

    Parameters
    ----------
    scene : RigSource or Rig
    state : {"as taped", "settled"}
        Of the sliders, for excess and wind.
    wanted : frozenset of str
        Of what takes longer.
    **more : object
        For the study.
    """
    leave = (Study.SLOW | {"bands"}) - wanted
    return Study(scene, state=state, leave=leave, rub_levels=("value",), rub_steps=3, **more)


def answers(
    scene: Rig | RigSource, state: State, words: Words, tell: Callable[[float, str], None]
) -> Iterator[tuple[str, Any]]:
    """All that takes longer than a picture, in the order in which somebody wants to know it.

    Parameters
    ----------
    scene : RigSource or Rig
    state : {"as taped", "settled"}
    words : Words
    tell : callable
        Told the share done of what is under way, 0 to 1, and what it is.

    Yields
    ------
    name, content
        A part's name as in `PARTS` with its data, or "space" with the picture as bytes.
    """
    lines = study_of(scene, state, frozenset())
    site = _site(lines)
    yield "space", packed(place(lines, words, site), {"kind": "whole", "stage": "ground"})
    yield "space", packed(space(lines, words, ground=site, films=False), {"kind": "whole", "stage": "first"})
    first = study_of(scene, state, frozenset({"first_clearance", "first_wear"}), given=_known(lines))
    yield from parts(first, words, FIRST)
    drawn = study_of(scene, state, SHOWN_IN_SPACE, given=_known(first), progress=tell)
    drawn.run(sorted(SHOWN_IN_SPACE))
    yield "space", packed(space(drawn, words, ground=site, films=False), {"kind": "whole", "stage": "exact"})
    yield from parts(drawn, words, ("clearance",))
    banded = study_of(scene, state, frozenset({"bands"}), given=_known(first), progress=tell)
    banded.run(["bands"])
    yield from parts(banded, words, ("bands",))
    whole = study_of(scene, state, SHOWN_IN_SPACE | FILMS | {"wear"}, given=_known(drawn), progress=tell)
    whole.run(["wear"])
    yield from parts(whole, words, ("rub",))
    yield "space", packed(space(whole, words, ground=site), {"kind": "whole", "stage": "all"})


def _known(study: Study) -> dict[str, Any]:
    """Results that need not be computed again by a study of more."""
    found = {name: study.get(name) for name in Study.RESULTS if study.knows(name)}
    return {name: each for name, each in found.items() if not isinstance(each, Missing)}


def _site(study: Study) -> Site | None:
    return None if isinstance(study.ground, Missing) else site_of(study.ground, study.rig)


def parts(study: Study, measures: Words, names: tuple[str, ...] = ALL) -> Iterator[tuple[str, Json]]:
    """Parts, one after the other; a part that fails says why instead.  Rub and clearance may come twice: the first
    time they say that it is a first answer.

    Parameters
    ----------
    study : Study
    measures : Words
    names : tuple of str
        Of `ALL`.

    Yields
    ------
    name, part
        Name as in `PARTS`, and plain data with `rows`, `notes`, `places` and what is particular to the part.
    """
    made = {
        "first rub": _first_rub, "first clearance": _first_clearance, "excess": _excess, "catches": _catches,
        "wind": _wind, "readings": _readings, "bands": _bands, "rub": rub, "clearance": _clearance,
    }
    for each in names:
        name = each.removeprefix("first ")
        try:
            yield name, made[each](study, measures)
        except LinescopeError as error:
            said = measures.say("page-not-known", error=Verbatim(str(error)))
            yield name, {"rows": [], "notes": [said], "places": []}


def _bay_at(study: Study, at: float) -> int:
    """The bay (from 0) at a distance along the straight line."""
    layout = study.planned.layout
    return int(np.searchsorted(layout.tape_main, at / study.rig.span * layout.main_length))


def _excess(study: Study, measures: Words) -> Json:
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
        "told": {each.name: _told(each, measures) for each in found.states}, "titles": titles,
    }


def _told(state: ExcessState, words: Words) -> list[list[str]]:
    """Depth and excess of every bay."""
    return [
        [words.say("frame-tight") if excess < 0.0 else words.length(float(depth)), words.share(float(excess))]
        for depth, excess in zip(state.loop_depth, state.excess, strict=True)
    ]


def _catches(study: Study, measures: Words) -> Json:
    found = study.fall
    if isinstance(found, Missing):
        return {"rows": [], "notes": [measures.note(found.note)], "places": []}
    rows, notes = [], []
    for topic, short in ((FALLS, "falls-short"), (MAIN_GONE, "main-gone-short")):
        rows += [list(pair) for pair in grids.pairs(topic, study, measures, short=short)]
        first, rest = grids.lines_of_notes(topic, study, measures)
        notes += [*first, *rest]
    return {"rows": rows, "notes": list(dict.fromkeys(notes)), "places": []}


def in_time(study: Study, measures: Words) -> Json:
    """What motion in time makes of a fall, a loss of the main, a bounce and a gust where the walker is; on demand.

    Parameters
    ----------
    study : Study
        With `in_time`.
    measures : Words
    """
    rows = []
    for group in (MOTION.here, *MOTION.more):
        table = grids.across(MOTION, group, study, measures)
        if table is not None and table.rows:
            rows.append([table.title, ""])
            if group.along or len(table.rows) == 1:  # Of several places the walker's own is the only one here.
                rows += [list(pair) for pair in zip(table.columns, table.rows[0], strict=True)]
                continue
            for row in table.rows:
                head, *told = (f"{column} {entry}" for column, entry in zip(table.columns, row, strict=True))
                rows.append([head, ", ".join(told)])
    first, rest = grids.lines_of_notes(MOTION, study, measures)
    return {"rows": rows, "alarms": first, "notes": rest, "places": []}


def _wind(study: Study, measures: Words) -> Json:
    words = measures
    table, (first, rest) = grids.across(WIND, WIND.here, study, words), grids.lines_of_notes(WIND, study, words)
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


def _readings(study: Study, measures: Words) -> Json:
    """What readings tell; without any, that there are none."""
    found, table = study.readings, grids.across(READINGS, READINGS.here, study, measures)
    if isinstance(found, Missing) or table is None:
        return {"rows": [], "notes": [measures.note(found.note)] if isinstance(found, Missing) else [], "places": []}
    first, rest = grids.lines_of_notes(READINGS, study, measures)
    odd = [each.reading for each in found.readings if not each.used and each.reading.what in ("loop", "bay")]
    places = [
        {"bay": each.number - 1, "text": measures.say("readings-place", what=told_as(each)), "alarm": True}
        for each in odd
    ]
    return {
        "head": table.columns, "rows": [list(row) for row in table.rows], "notes": rest, "alarms": first,
        "places": places,
    }


def _bands(study: Study, measures: Words) -> Json:
    """5, 50 and 95 % of the main figures in draws of all uncertain inputs; without any, what they are as given."""
    bands, table = study.bands, band_rows.table(study, measures)
    if isinstance(bands, Missing) or table is None or not bands.draws:
        return {"rows": [], "notes": [measures.say("stage-no-bands")], "places": []}
    leads = [each.text for each in measures.sentences(note for note in bands.notes if note.leads)]
    rest = [line for line in band_rows.band_lines(study, measures) if line not in leads]
    rows = [list(row) for row in table.rows]
    return {"head": table.columns, "rows": rows, "notes": rest, "alarms": leads, "places": []}


def _clearance(study: Study, measures: Words) -> Json:
    found = study.clearance
    table = grids.across(CLEARANCE, PLACES, study, measures)
    first = alarms(study, measures)
    rest = [said.text for said in measures.sentences(note for note in CLEARANCE.notes(study) if not note.leads)]
    if not found or table is None:
        return {"rows": [], "notes": rest, "places": [], "alarms": first}
    worst = [
        {"bay": _bay_at(study, place.station), "text": sentence(place, measures), "alarm": not place.is_met}
        for place in places(found)
    ]
    if more := rest_of(found, measures):
        rest.insert(0, more)
    for group in (NO_FALLS, RUNS):
        told = grids.across(CLEARANCE, group, study, measures) if found.is_asked else None
        if told is not None:
            for row in told.rows:
                cells = (f"{head} {each}" for head, each in zip(told.columns, row, strict=True))
                first.append(f"{told.title}: {'; '.join(cells)}.")
    return {
        "head": table.columns, "rows": [list(row) for row in table.rows], "notes": rest, "places": worst,
        "alarms": first,
    }


def _first_clearance(study: Study, measures: Words) -> Json:
    """A first answer, or why there is none."""
    found = study.first_clearance
    if isinstance(found, Missing):
        return _clearance(study, measures)
    rows, short = [], []
    for one in found.answers:
        kind, role = KIND[one.kind], Term(f"clearance-first-{one.role}")
        needed = Quantity(one.needed, "length", "up")
        least, most = Quantity(one.at_least, "length", "down"), Quantity(one.found, "length", "up")
        rows.append([
            measures.value(kind), measures.value(role),
            measures.quantity(least) if one.at_least > 0.0 else measures.say("clearance-first-open"),
            measures.quantity(most) if one.found > 0.0 else measures.say("clearance-first-touches"),
            measures.quantity(needed),
        ])
        if one.found < one.needed:
            short.append(measures.say(
                "clearance-first-short", kind=kind, role=role, touches="yes" if one.found <= 0.0 else "no", found=most,
                needed=needed, at=Spot(one.station),
            ))
    said = measures.say(
        "clearance-first", places=found.places, step=Quantity(found.step, "length", "up")
    ) if found.places else measures.say("clearance-first-nobody")
    head = [measures.say(f"clearance-first-{name}") for name in ("kind", "role", "least", "found", "needed")]
    return {"head": head, "rows": rows, "notes": [said], "places": [], "alarms": short, "first": True}


def _first_rub(study: Study, measures: Words) -> Json:
    """A first answer."""
    known = {"planned": study.planned, "wear": study.first_wear}
    return rub(Study(study.scene, state=study.state, leave=study.leave, given=known), measures)


def rub(study: Study, measures: Words) -> Json:
    """What the day of the scene rubs.

    Parameters
    ----------
    study : Study
    measures : Words

    Returns
    -------
    dict
        A part; "first" tells whether it is a first answer.
    """
    words, wear = measures, study.wear
    early = not isinstance(wear, Missing) and any(note.kind is WearNote.FIRST for note in wear.notes)
    first, rest = grids.lines_of_notes(WEAR, study, words)
    table = grids.across(WEAR, WORN, study, words)
    places = []
    if wear and wear.places:
        worst = wear.places[0]
        places.append({
            "bay": worst.tape - 1, "tape": worst.tape,
            "text": words.say("wear-place-first" if early else "wear-place", **place_values(worst)),
        })
    return {
        "head": [] if table is None else table.columns,
        "rows": [] if table is None else [list(row) for row in table.rows[:LISTED]], "notes": rest, "alarms": first,
        "places": places, "first": early,
    }
