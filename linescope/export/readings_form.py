"""The form of a page in which a crew types what it measures; it computes nothing and keeps what is typed on the device.

What it gives out is the table that `linescope readings SCENE --csv FILE` takes.
"""

from __future__ import annotations

import hashlib

from linescope.export.page_frame import safe
from linescope.rig.readings import DIMENSION
from linescope.study import Study
from linescope.words import Words

OF = {"end": "tension", "number": "loop bay tape"}
"""Fields that only some kinds have."""


def readings_form(study: Study, measures: Words) -> str:
    """HTML of the form; hidden until the page's script runs, which says so without it.

    Parameters
    ----------
    study : Study
    measures : Words
    """
    def say(name: str) -> str:
        return safe(measures.say(f"viewer-measured-{name}"))

    rig, tapes = study.rig, len(study.planned.layout.tapes)
    # Readings of one line are kept apart from those of another, and of the same name elsewhere.
    ends = " ".join(f"{place:.3f}" for place in (*rig.main_a, *rig.main_b))
    line = hashlib.sha256(f"{rig.name} {ends}".encode()).hexdigest()[:16]
    kinds = "".join(f'<option value="{kind}">{say(kind)}</option>' for kind in DIMENSION)
    number = 'inputmode="decimal" autocomplete="off"'

    def field(name: str, inside: str) -> str:
        shown = f' data-of="{OF[name]}"' if name in OF else ""
        return f"<label{shown}><span>{say(name)}</span>{inside}</label>"

    def measure(name: str, unit: str, options: str = "") -> str:
        return field(name, (
            f'<span class="measure"><input type="text" name="{name}" {number}>'
            f'<select name="{unit}" aria-label="{say("unit")}">{options}</select></span>'
        ))

    def units(*names: str) -> str:
        ordered = names if measures.system == "metric" else names[::-1]
        return "".join(f'<option value="{name}">{name}</option>' for name in ordered)

    buttons = "".join(
        f'<button type="button" data-give="{give}">{say(give)}</button>' for give in ("send", "csv", "toml", "save")
    )
    return f"""<p class="small">{say("what-for")}</p>
<form id="reading" hidden data-line="{line}" data-bays="{tapes + 1}" data-tapes="{tapes}" data-span="{rig.span:.3f}"
data-system="{measures.system}" autocomplete="off">
{field("what", f'<select name="what">{kinds}</select>')}
{field("number", '<input type="text" name="number" inputmode="numeric">')}
{measure("value", "unit")}
{field("end", '<select name="end"><option>A</option><option>B</option></select>')}
{measure("weight", "weightUnit", units("kg", "lb"))}
{measure("at", "atUnit", units("m", "ft"))}
<details><summary>{say("more")}</summary>
{measure("error", "errorUnit")}
{field("taken", '<input type="text" name="taken" maxlength="40">')}
{field("note", '<input type="text" name="note" maxlength="200">')}
</details>
<button type="submit">{say("keep")}</button>
</form>
<p id="told" class="small" role="status"></p>
<ol id="taken"></ol>
<div id="give" hidden><p class="row">{buttons}</p>
<textarea id="given" rows="5" readonly aria-label="{say("given")}"></textarea>
<p class="small">{say("where-to")}</p></div>"""
