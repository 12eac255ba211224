"""One HTML file that opens offline: the rig to be turned by finger, and its figures in drawers beside it.

Everything is inside the file; its own content policy forbids it to load anything else or to run any other script.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from linescope import __version__
from linescope.atomic import write_text
from linescope.errors import MissingViewerError
from linescope.export import sheet_events as events
from linescope.export import sheet_tables as tables
from linescope.export.ink import svg
from linescope.export.page_frame import drawer, held, json_text, opening, picture, roles, running, safe
from linescope.export.readings_form import readings_form
from linescope.export.space import Space, space
from linescope.stage.ground import Ground, Site, site
from linescope.stage.tape_card import card
from linescope.stage.tape_slips import slip_drawing
from linescope.stage.theme import tape_look
from linescope.study import Study
from linescope.topics import TOPICS
from linescope.topics.clearance import IN_DRAWS, NO_FALLS, PLACES, RUNS
from linescope.topics.tapes import messages
from linescope.units import System
from linescope.viewer import bundle
from linescope.words import Words, frame
from linescope.words.table import Table

DRAWERS = ("rig", "answers", "tapes", "measured")
BARE = "body{max-width:900px;margin:0 auto;padding:20px;font-family:sans-serif}.close{display:none}"
"""The style of a page without a viewer."""


def write_page(
    path: str | Path,
    study: Study,
    *,
    ground: Ground | Site | None = None,
    units: System = "metric",
    date: datetime.date | None = None,
    progress: Callable[[float, str], None] | None = None,
) -> Path:
    """Write the page, whole or not at all.

    Parameters
    ----------
    path : str or Path
    study : Study
        What it leaves out is not shown.
    ground : Ground or Site, optional
        Thinned for the picture; heights are taken from all of it.
    units : {"metric", "feet"}
    date : datetime.date, optional
        Default today.
    progress : callable, optional
        Told the share done, 0 to 1, and what is being made.

    Raises
    ------
    OutputError
        When the file cannot be written.
    SolveError
        When a state that is shown does not converge.
    """
    tell = progress or (lambda share, what: None)
    tell(0.0, "page")
    written = write_text(path, page_text(study, ground=ground, units=units, date=date))
    tell(1.0, written.name)
    return written


def page_text(
    study: Study, *, ground: Ground | Site | None = None, units: System = "metric", date: datetime.date | None = None,
    more: Mapping[str, str] | None = None,
) -> str:
    """The page itself, as `write_page` writes it, for those who show or send it themselves.

    Parameters
    ----------
    study, ground, units, date
        See `write_page`.
    more : mapping of str to str, optional
        Further drawers: their HTML by their names, which the message `viewer-<name>` says.

    Raises
    ------
    SolveError
        When a state that is shown does not converge.
    """
    place = ground if isinstance(ground, Site) or ground is None else site(ground, study.rig)
    return _page(study, place, Words(system=units), date or datetime.date.today(), more or {})


def json_for_html(data: Any) -> str:
    """JSON that cannot end the element it stands in, whatever the texts in it are."""
    return json_text(data).replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _page(
    study: Study, ground: Site | None, measures: Words, date: datetime.date, more: Mapping[str, str]
) -> str:
    """The page. Without a viewer it holds everything but the picture, and says so."""
    say = measures.say
    try:
        built = bundle()
    except MissingViewerError:
        built = None
    style = roles() + (built.style if built else BARE)
    script = built.script if built else ""
    found = space(study, measures, ground=ground) if built else None
    alarms = _alarms(study, measures)
    alarms += [] if ground is not None else [say("frame-no-ground")]
    alarms += [] if built else [say("viewer-missing")]
    name = measures.verbatim(study.rig.name)
    plan = say("page-plan", plan=say("frame-plan"), date=date, version=__version__, sign=say("bound-sign"))
    first = _first(found.data if found else None, measures)
    return f"""{opening(say("page-title", name=name, plan=say("frame-plan")), style, script, measures)}
<body>
{_picture(study, measures, first, (*DRAWERS, *more)) if found else f"<h1>{safe(name)}</h1>{_tried(study, measures)}"}
{drawer("answers", _answers(study, found.data if found else None, measures, plan, alarms), measures)}
{drawer("rig", _rig(study, measures), measures)}
{drawer("tapes", _legend(study, measures) + _cards(study, measures), measures)}
{drawer("measured", readings_form(study, measures), measures) if found else ""}
{"".join(drawer(key, inside, measures) for key, inside in more.items())}
{_scripts(found, measures, script) if found else ""}
</body>
</html>
"""


def _first(data: dict[str, Any] | None, measures: Words) -> str:
    """The verdict of the state that is shown first, for a page whose script does not run."""
    if data is None:
        return ""
    state = next((one for one in data["states"] if one["key"] == data["first"]), data["states"][0])
    return str(state["verdict"][len(state["verdict"]) // 2]["text"])


def _picture(study: Study, measures: Words, verdict: str, names: Sequence[str]) -> str:
    """The picture and all that lies round it; the script fills it."""
    name = measures.verbatim(study.rig.name)
    spoken = measures.say("page-spoken", name=name, summary=frame.summary(study.taped, measures))
    return picture(name, spoken, verdict, measures, drawers=names, head=_tried(study, measures))


def _tried(study: Study, measures: Words) -> str:
    """What was tried in place of the file's values, for the first view; nothing where nothing was."""
    told = frame.tried(study.inputs, measures)
    return f'<p id="tried" class="alarm">{safe(told)}</p>' if told else ""


def _answers(
    study: Study, data: dict[str, Any] | None, measures: Words, plan: str, alarms: list[str]
) -> str:
    """What leads, no-fall zones, worst places, the figures of the state that is shown, and every table."""
    say, parts = measures.say, [f'<p class="alarm">{safe(line)}</p>' for line in alarms]
    parts.append(f'<p class="small">{safe(plan)}</p>')
    if data is not None:
        if data["noFall"] or study.clearance:
            zones = "".join(
                f'<p{" class=answer" if zone["grade"] == "reached" else ""}>{safe(zone["text"])}</p>'
                for zone in data["noFall"]
            )
            none = f'<p>{safe(say("viewer-no-fall-none"))}</p>'
            parts.append(f'<h3>{safe(say("viewer-no-fall"))}</h3>{zones or none}')
        if data["worst"]:
            rows = "".join(
                f'<li><button type="button" data-worst="{k}" data-met="{str(one["met"]).lower()}"><i>{one["rank"]}</i>'
                f'<span><b>{safe(one["head"])}</b> {safe(one["text"])}</span></button></li>'
                for k, one in enumerate(data["worst"])
            )
            parts.append(f'<h3>{safe(say("viewer-worst"))}</h3><ol id="worst">{rows}</ol>')
            if data["worstMore"]:
                parts.append(f'<p class="small">{safe(data["worstMore"])}</p>')
        parts.append(f'<h3>{safe(say("viewer-figures"))}</h3><dl id="figures"></dl>')
    parts.append(f'<h3>{safe(say("viewer-all"))}</h3>{_tables(study, measures)}')
    cautions = "".join(f"<li>{safe(line)}</li>" for line in frame.all_cautions(measures))
    parts.append(f'<h3>{safe(say("frame-before-use"))}</h3><ul>{cautions}</ul>')
    parts.append(f'<h3>{safe(say("viewer-keys"))}</h3><p class="small">{safe(say("viewer-keys-all"))}</p>')
    parts.append(f'<footer><p>{safe(say("sheet-limits"))}</p></footer>')
    return "".join(parts)


def _rig(study: Study, measures: Words) -> str:
    """What the line is, and what it was computed with."""
    rig, say = study.rig, measures.say
    parts = [f"<p>{safe(measures.verbatim(rig.name))}</p>"]
    if rig.description:
        parts.append(f"<p>{safe(measures.verbatim(rig.description))}</p>")
    parts += [f"<p>{safe(line)}</p>" for line in frame.inputs(study.taped, measures, study.inputs)]
    parts.append(f'<h3>{safe(say("viewer-inputs"))}</h3>')
    parts += [_table(table, True) for table in (tables.inputs(study, measures), tables.gear(study, measures)) if table]
    return "".join(parts)


def _scripts(found: Space, measures: Words, script: str) -> str:
    """The scene, zipped; its words; and the viewer."""
    words = json_for_html(measures.open("viewer-say-"))
    return (
        f'{held("scene", json_text(found.data).encode())}{held("space", found.glb)}'
        f'<script type="application/json" id="words">{words}</script>'
        f"{running(script)}"
    )


def _alarms(study: Study, measures: Words) -> list[str]:
    notes = (note for topic in TOPICS.values() for note in topic.notes(study))
    said = [each.text for each in measures.lead(notes)[0]]
    if not study.clearance:
        said.append(measures.say("page-unknown-clearance"))
    return list(dict.fromkeys(said))


def _legend(study: Study, measures: Words) -> str:
    """The styles of tape on this line and their signs; the script draws the signs."""
    count: dict[str, int] = {}
    for tape in study.planned.layout.tapes:
        count[tape.family] = count.get(tape.family, 0) + 1
    items = []
    for family, number in count.items():
        look, style = tape_look(family), measures.named("tapes-family", family)
        text = measures.say("page-legend-tape", style=style, count=number)
        items.append(
            f'<li><canvas width="28" height="28" data-symbol="{look.symbol}" data-colour="{look.colour}"></canvas>'
            f"{safe(text)}</li>"
        )
    return f'<ul class="legend">{"".join(items)}</ul>'


def _tables(study: Study, measures: Words) -> str:
    found = (
        (True, events.topic("loops", study, measures)),
        (True, events.topic("state", study, measures)),
        (True, tables.lengths(study, measures)),
        (True, events.meter(study, measures)),
        (False, events.topic("tension", study, measures, 0)),
        (False, events.bays(study, measures)),
        (True, events.topic("readings", study, measures)),
        (True, events.topic("readings", study, measures, 0)),
        (True, events.topic("sliding", study, measures)),
        (False, events.topic("sliding", study, measures, 0)),
        (False, tables.marks(study, measures)),
        (True, events.of_ground(NO_FALLS, study, measures)),
        (True, events.of_ground(RUNS, study, measures)),
        (False, events.topic("falls", study, measures)),
        (False, events.topic("main_gone", study, measures)),
        (False, events.of_ground(PLACES, study, measures)),
        *([(True, events.of_ground(IN_DRAWS, study, measures))] if study.knows("drawn_needs") else []),
        (False, events.topic("wind", study, measures)),
        (False, events.bands(study, measures)),
        (False, events.inspection(study, measures)),
        (False, tables.gear(study, measures)),
        (False, tables.inputs(study, measures)),
    )
    return "".join(_table(table, open_) for open_, table in found if table is not None)


def _cards(study: Study, measures: Words) -> str:
    """How each kind of tape is made, in pictures and words, and what is left of it when it is made a little wrongly."""
    found = []
    for tape in study.cuts.tapes.values():
        drawing, slips = card(tape, measures), slip_drawing(tape, measures)
        told = "".join(f"<p>{safe(f'{name}: {line}')}</p>" for name, line in messages.sides(tape, measures))
        found.append(
            f'<details class="card"><summary>{safe(drawing.title)}</summary>'
            f"{svg(drawing, inline=True)}{told}</details>"
            f'<details class="card"><summary>{safe(slips.title)}</summary>{svg(slips, inline=True)}</details>'
        )
    return "".join(found)


def _table(table: Table, open_: bool) -> str:
    used = [k for k in range(len(table.columns)) if any(row[k] for row in table.rows)]
    head = "".join(f"<th>{safe(table.columns[k])}</th>" for k in used)
    rows = "".join(f"<tr>{''.join(f'<td>{safe(row[k])}</td>' for k in used)}</tr>" for row in table.rows)
    body = ""
    if rows:
        label = f'role="group" tabindex="0" aria-label="{safe(table.title)}"'  # Keys scroll what has the focus.
        body = (
            f'<div class="scroll" {label}><table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table></div>'
        )
    return f"<details{' open' if open_ else ''}><summary>{safe(table.title)}</summary>{body}</details>"
