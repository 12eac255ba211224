"""One HTML file that opens offline: the rig to be turned by finger, and its figures below.

Everything is inside the file; its own content policy forbids it to load anything else or to run any other script.
"""

from __future__ import annotations

import base64
import datetime
import hashlib
import importlib.resources
import json
from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import Any

from linescope import __version__
from linescope.atomic import write_text
from linescope.export import sheet_events as events
from linescope.export import sheet_tables as tables
from linescope.export.ink import svg
from linescope.export.page_scene import scene_data
from linescope.stage.ground import Ground, Site, site
from linescope.stage.tape_card import card
from linescope.stage.tape_slips import slip_drawing
from linescope.stage.theme import tape_look
from linescope.statics import Solution
from linescope.study import Study
from linescope.topics import TOPICS
from linescope.topics.clearance import NO_FALLS, PLACES, RUNS
from linescope.topics.tapes import said
from linescope.units import System
from linescope.words import Words, frame
from linescope.words.table import Table

LOOKS = ("whole", "side", "a", "b", "above", "loops")
STATES = ("taped", "standing", "settled", "wind", "back", "fall", "gone")
SCRIPTS = ("painter.js", "viewer.js")
"""Put into the page one after the other, as one script."""


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
    tell(0.0, "walker along the line")
    measures = Words(system=units)
    place = ground if isinstance(ground, Site) or ground is None else site(ground, study.rig)
    tell(0.4, "page")
    data = scene_data(study, measures, place)
    text = _page(study, place, data, measures, date or datetime.date.today())
    written = write_text(path, text)
    tell(1.0, written.name)
    return written


def _resource(name: str) -> str:
    return (importlib.resources.files("linescope.export") / "data" / name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def json_for_html(data: Any) -> str:
    """JSON that cannot end the element it stands in, whatever the texts in it are."""
    text = json.dumps(data, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _page(
    study: Study,
    ground: Site | None,
    data: dict[str, Any],
    measures: Words,
    date: datetime.date,
) -> str:
    rig = study.rig
    style, script = _resource("viewer.css"), "".join(_resource(name) for name in SCRIPTS)
    policy = (
        f"default-src 'none'; style-src {_hash(style)}; script-src {_hash(script)}; base-uri 'none'; form-action 'none'"
    )
    say = measures.say
    present = {state["key"] for state in data["states"]}
    looks = "".join(_button("look", key, say(f"page-look-{key}")) for key in LOOKS)
    states = "".join(_button("state", key, say(f"page-shape-{key}")) for key in STATES if key in present)
    said = _alarms(study, measures)
    said += [] if ground is not None else [say("frame-no-ground")]
    alarms = [f'<p class="alarm">{_safe(line)}</p>' for line in said]
    plan = say("page-plan", plan=say("frame-plan"), date=date, version=__version__, sign=say("bound-sign"))
    name, loop = measures.verbatim(rig.name), _safe(say("page-loop"))
    description = f"<p>{_safe(measures.verbatim(rig.description))}</p>" if rig.description else ""
    spoken = say("page-spoken", name=name, summary=frame.summary(study.taped, measures))
    return f"""<!doctype html>
<html lang="{measures.tag}">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{escape(policy)}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="generator" content="linescope {escape(__version__)}">
<title>{_safe(say("page-title", name=name, plan=say("frame-plan")))}</title>
<style>{style}</style>
</head>
<body>
<header>
<h1>{_safe(name)}</h1>
<p class="plan">{_safe(plan)}</p>
{"".join(alarms[:1])}
</header>
<main>
<div class="row one" role="group" aria-label="{_safe(say("page-state-group"))}">{states}</div>
<p id="what" aria-live="polite"></p>
<div id="view"><canvas tabindex="0" role="img" aria-label="{_safe(spoken)}"></canvas>
<div id="bar"><span></span><b></b></div></div>
{_slider(study.walked, measures)}
<div class="row one" role="group" aria-label="{_safe(say("page-look-group"))}">{looks}
<button type="button" data-step="-1" aria-label="{_safe(say("page-loop-before"))}">&#9664; {loop}</button>
<button type="button" data-step="1" aria-label="{_safe(say("page-loop-next"))}">{loop} &#9654;</button></div>
<p id="bay" aria-live="polite"></p>
<dl id="figures"></dl>
{"".join(alarms[1:])}
<noscript><p class="alarm">{_safe(say("page-needs-script"))}</p></noscript>
<ul id="legend">{_legend(study, measures)}</ul>
{description}
{_tables(study, measures)}
{_cards(study, measures)}
<h2>{_safe(say("frame-before-use"))}</h2>
<ul>{"".join(f"<li>{_safe(line)}</li>" for line in frame.all_cautions(measures))}</ul>
</main>
<footer><p>{_safe(say("sheet-limits"))}</p></footer>
<script type="application/json" id="scene">{json_for_html(data)}</script>
<script>{script}</script>
</body>
</html>
"""


def _safe(text: str) -> str:
    """Text for HTML: escaped, and without letters that do not print."""
    return escape("".join(letter if letter.isprintable() or letter in "\n\t" else " " for letter in text))


def _button(group: str, key: str, text: str) -> str:
    return f'<button type="button" data-{group}="{key}" aria-pressed="false">{escape(text)}</button>'


def _slider(walked: tuple[Solution, ...], measures: Words) -> str:
    if not walked:
        return ""
    return (
        '<div class="row"><label for="walker">'
        f'{_safe(measures.say("walker"))}</label>'
        f'<input type="range" id="walker" min="0" max="{len(walked) - 1}" step="1" value="{len(walked) // 2}"></div>'
    )


def _alarms(study: Study, measures: Words) -> list[str]:
    notes = (note for topic in TOPICS.values() for note in topic.notes(study))
    said = [each.text for each in measures.lead(notes)[0]]
    if not study.clearance:
        said.append(measures.say("page-unknown-clearance"))
    return list(dict.fromkeys(said))


def _legend(study: Study, measures: Words) -> str:
    items = []
    for name, colour, wide, dashed in (
        ("frame-main", "main", 4, False), ("frame-backup", "backup", 3, False),
        ("frame-legend-chord", "quiet", 2, True),
        ("page-legend-feet", "alarm", 3, False),
    ):  # fmt: skip
        dash = ' data-dash="1"' if dashed else ""
        items.append(
            f'<li><canvas width="28" height="20" data-colour="{colour}" data-wide="{wide}"{dash}></canvas>'
            f'{_safe(measures.say(name))}</li>'
        )
    count: dict[str, int] = {}
    for tape in study.planned.layout.tapes:
        count[tape.family] = count.get(tape.family, 0) + 1
    for family, number in count.items():
        look, style = tape_look(family), measures.named("tapes-family", family)
        text = measures.say("page-legend-tape", style=style, count=number)
        items.append(
            f'<li><canvas width="28" height="20" data-symbol="{look.symbol}" data-colour="{look.colour}"></canvas>'
            f"{_safe(text)}</li>"
        )
    return "".join(items)


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
        told = "".join(f"<p>{_safe(f'{name}: {line}')}</p>" for name, line in said.sides(tape, measures))
        found.append(
            f'<details class="card"><summary>{_safe(drawing.title)}</summary>'
            f"{svg(drawing, inline=True)}{told}</details>"
            f'<details class="card"><summary>{_safe(slips.title)}</summary>{svg(slips, inline=True)}</details>'
        )
    return "".join(found)


def _table(table: Table, open_: bool) -> str:
    used = [k for k in range(len(table.columns)) if any(row[k] for row in table.rows)]
    head = "".join(f"<th>{_safe(table.columns[k])}</th>" for k in used)
    rows = "".join(f"<tr>{''.join(f'<td>{_safe(row[k])}</td>' for k in used)}</tr>" for row in table.rows)
    body = (
        f'<div class="scroll"><table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table></div>' if rows else ""
    )
    return f"<details{' open' if open_ else ''}><summary>{_safe(table.title)}</summary>{body}</details>"
