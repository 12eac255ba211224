"""Plans that put a rig right, as the page shows them: what to change, what it costs, what its clearance says."""

from __future__ import annotations

from typing import Any

from linescope.advise import Option
from linescope.notes import Term
from linescope.study import Study
from linescope.topics.advise import TOPIC, letter, slug
from linescope.topics.advise.text import about, changes, clearance_text, in_the_way, lever_name, prices, tables
from linescope.words import Words, frame

Json = dict[str, Any]


def planned(option: Option, number: int, words: Words, now: Option | None = None, draws: int = 0) -> Json:
    """One plan.

    Parameters
    ----------
    option : Option
    number : int
        From 0; gives it its letter.
    words : Words
    now : Option, optional
        The scene as it is, beside which prices stand.
    draws : int
        In how many it was tried.

    Returns
    -------
    dict
        name, why, changes, clearance, prices (rows: what, of the plan, and now where that is known), moved (those that
        differ from now), tried, about.
    """
    rows, moved = [], []
    for name, get in prices(words, draws):
        if name == "checked" or (now is None and name in ("kept", "rub")):
            continue
        row = [words.say(f"advise-price-{name}"), get(option), *([get(now)] if now is not None else [])]
        rows.append(row)
        if now is not None and name != "kept" and row[1] != row[2]:
            moved.append(row)
    return {
        "name": letter(number), "why": words.value(Term(f"advise-why-{slug(option.why.value)}")),
        "changes": list(changes(option, words)), "clearance": clearance_text(option, words), "prices": rows,
        "moved": moved, "tried": option.tried, "about": [],
    }


def advised(study: Study, words: Words) -> Json:
    """A whole advice.

    Parameters
    ----------
    study : Study
        With an advice.
    words : Words

    Returns
    -------
    dict
        A part of the answers: alarms, notes, way (what stands in the way), plans, wished (head and rows), sliders
        (name, low, high, step of each lever, and its values now and in the first plan), whole.
    """
    found = study.advice
    loud, quiet = words.lead(TOPIC.notes(study), most=8)
    part: Json = {
        "alarms": [each.text for each in loud], "notes": [each.text for each in quiet], "way": [], "plans": [],
        "wished": None, "sliders": [], "whole": True,
    }
    if not found:
        return part
    part["notes"] += list(frame.cautions(words, "plan"))
    part["way"] = in_the_way(found, words)
    part["plans"] = [
        {**planned(option, number, words, found.now, found.draws), "about": about(found, option, words)}
        for number, option in enumerate(found.options)
    ]
    if found.foreteller is not None:
        first = next((option for option in found.options if not option.instead), found.nearest)
        for k, lever in enumerate(found.foreteller.levers):
            value = lever.now if first is None else first.levers[k].value
            part["sliders"].append({
                "name": lever_name(lever, words), "low": lever.low, "high": lever.high, "step": lever.step,
                "now": lever.now, "value": value,
            })
    wished = next(iter(tables(found, words)), None)
    if wished is not None:
        rows = [list(row) for row in wished.rows]
        part["wished"] = {"title": wished.title, "head": list(wished.columns), "rows": rows}
    return part
