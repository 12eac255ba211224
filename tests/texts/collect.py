"""Every text that a user sees, as data: pictures, sheet, page, films, the served page and the commands' results."""

from __future__ import annotations

import base64
import datetime
import functools
import gzip
import html
import json
import re
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from linescope.rig import Rig
from linescope.scene import Scene
from linescope.stage import VIEWS, brief_of
from linescope.stage.ground import Site, site
from linescope.stage.items import Stage
from linescope.stage.theme import theme_named
from linescope.statics import plan
from linescope.study import Study
from linescope.words import Words
from tests import once

SCENES = Path(__file__).parents[2] / "scenes"
NAMES = tuple(sorted(path.stem for path in SCENES.glob("*.toml")))
WINDY = "larkspur_ledge"
Text = tuple[str, str]
"""Where it stands, and what it says."""


@functools.cache
def scene_of(name: str) -> Scene:
    return Scene.read(SCENES / f"{name}.toml")


def rig_of(name: str) -> Rig:
    return scene_of(name).rig


@functools.cache
def swept(name: str) -> dict[str, Any]:
    """The plan of a shipped scene with its clearance in few steps, for all that looks at words and not at numbers."""

    def compute() -> dict[str, Any]:
        study = Study(scene_of(name), positions=5)
        return {each: study.get(each) for each in ("planned", "deeper", "clearance")}

    return once.kept(f"swept-{name}", compute)


@functools.cache
def study_of(name: str) -> Study:
    """All results of a shipped scene, in few steps: the words are looked at, not the numbers."""
    leave = {"compare", "crossing_low", "crossing_high"}
    if len(plan(rig_of(name)).layout.tapes) > 40:
        leave |= {"crossing_value", "meter"}
    return Study(
        scene_of(name), places=5, positions=5, rub_steps=3, rub_levels=("value",), per_bay=1, leave=leave,
        given=swept(name),
    )


@functools.cache
def site_of(name: str) -> Site | None:
    ground = study_of(name).ground
    return site(ground, rig_of(name)) if ground else None


def stage_texts(stage: Stage) -> Iterator[Text]:
    """Everything written on a picture."""
    view = stage.view
    for text in (stage.title, stage.question, stage.state, *stage.alarms, stage.footer):
        yield view, text
    for box in stage.boxes:
        for text in (box.heading, *box.lines, *(entry.text for entry in box.legend)):
            yield f"{view}, {box.name}", text
        for row in box.table:
            for cell in row:
                yield f"{view}, {box.name}", cell
    for panel in stage.panels:
        yield f"{view}, {panel.name}", panel.caption
        for one in (*panel.labels, *panel.dimensions):
            yield f"{view}, {panel.name}", one.text
        for symbols in panel.symbols:
            for text in symbols.text or ():
                yield f"{view}, {panel.name}", text


def pictures(name: str, system: Any) -> Iterator[Text]:
    """Of every view that can be drawn."""
    study, ground = study_of(name), site_of(name)
    for solution in (study.taped, study.settled):
        brief = brief_of(solution, ground=ground, system=system, study=study)
        for kind in VIEWS.values():
            if (kind.per_state or solution is study.taped) and not kind.missing(brief):
                yield from stage_texts(kind.build(brief))


def _flow(pieces: Any) -> Iterator[str]:
    from reportlab.platypus import Paragraph, Table
    from reportlab.platypus.flowables import Flowable

    if isinstance(pieces, str):
        yield pieces
    elif isinstance(pieces, Paragraph):
        yield pieces.getPlainText(identify=True) or pieces.text
    elif isinstance(pieces, Table):
        yield from _flow(pieces._cellvalues)
    elif isinstance(pieces, (list, tuple)):
        for piece in pieces:
            yield from _flow(piece)
    elif isinstance(pieces, Flowable):
        for key in ("_content", "_flowables", "content"):
            yield from _flow(getattr(pieces, key, ()))


def sheet(name: str, system: Any) -> Iterator[Text]:
    """Of the briefing sheet, without its pictures."""
    from linescope.export.sheet_sections import SECTIONS, Sheet

    study, ground = study_of(name), site_of(name)
    made = Sheet(
        study=study, ground=None if ground is None else ground.near, pictures=(), measures=Words(system),
        width=500.0, height=700.0, date=datetime.date(2026, 3, 1), author="", version="0",
    )
    for section in SECTIONS:
        for text in _flow(section(made)):
            yield f"sheet {section.__name__}", text


def page(name: str, system: Any) -> Iterator[Text]:
    """Of the offline page, with the data of its viewer."""
    from linescope.export.page_file import write_page

    with tempfile.TemporaryDirectory() as folder:
        file = write_page(Path(folder) / "page.html", study_of(name), ground=site_of(name), units=system)
        text = file.read_text(encoding="utf-8")
    words = re.search(r'<script type="application/json" id="words">(.*?)</script>', text, re.S)
    scene = re.search(r'<script type="application/octet-stream" id="scene">(.*?)</script>', text, re.S)
    assert words is not None and scene is not None
    for found in re.findall(r'aria-label="([^"]*)"', text):
        yield "page, label", html.unescape(found)
    body = re.sub(r"<(script|style)\b.*?</\1>", "", text, flags=re.S)
    for piece in re.split(r'(<details class="card">.*?</details>)', body[body.index("<title") :], flags=re.S):
        parts = [html.unescape(part.strip()) for part in re.split(r"<[^>]+>", piece) if part.strip()]
        if piece.startswith("<details"):  # A drawing, in which a sentence goes over several lines.
            parts = [" ".join(parts)]
        yield from (("page", part) for part in parts)
    yield from (("page, script", re.sub(r"\{ \$\w+ \}", "", said)) for said in json.loads(words[1]).values())
    data = json.loads(gzip.decompress(base64.b64decode(scene[1])))
    yield from ((f"page {where}", said) for where, said in told(data))


NOT_TOLD = {
    "colours", "rgb", "ribbons", "first", "main", "backup", "feet", "s", "c", "symbol", "colour", "dark", "key", "p",
    "n", "i", "q", "v", "f", "look", "kind", "side", "format", "units", "language", "family", "holds", "pattern",
    "patterns", "grade", "role", "topology", "pose", "under", "top", "cause", "channels", "painted", "state", "face",
    "d",
}  # fmt: skip


def told(data: Any, where: str = "data") -> Iterator[Text]:
    """Texts in plain data; what names colours, symbols and packed numbers is not told to anybody."""
    if isinstance(data, str):
        if not re.fullmatch(r"[A-Za-z0-9+/=]{24,}", data):
            yield where, data
    elif isinstance(data, dict):
        for key, value in data.items():
            if key not in NOT_TOLD:
                yield from told(value, f"{where}.{key}")
    elif isinstance(data, (list, tuple)):
        for value in data:
            yield from told(value, where)


def films(name: str, system: Any) -> Iterator[Text]:
    """Of films of a crossing and in time, three frames each."""
    from linescope.export.film_motion import motion_reel
    from linescope.export.film_shots import crossing_reel

    rig, ground = rig_of(name), site_of(name)
    if rig.walker is None:
        return
    near = None if ground is None else ground.near
    # Motion in time takes long, and says the same of every scene.
    kinds = ("leash-fall", "main-gone", "bounce") if name == NAMES[0] else ()
    if name == WINDY:
        kinds = ("gust",)
    for make in (crossing_reel, *(functools.partial(motion_reel, kind=kind) for kind in kinds)):
        if len(plan(rig).layout.tapes) > 40:
            continue
        reel = make(rig, frames=3, theme=theme_named("light"), measures=Words(system), ground=near)
        for text in (reel.title, reel.note, reel.axis, *reel.curves):
            yield "film", text
        for shot in reel.shots:
            for text in (shot.caption, *(part for pair in shot.figures for part in pair)):
                yield "film", text


def commands(name: str, system: Any) -> Iterator[Text]:
    """Of the commands' results, a line at a time."""
    from linescope.report.people import figures_text
    from linescope.topics.clearance.text import clearance_text
    from linescope.topics.tapes.text import tape_text

    study, words = study_of(name), Words(system)
    texts = {"figures": figures_text(study, system, every_bay=True)}
    if study.clearance:
        texts["clearance"] = clearance_text(study, words)
    texts["tapes"] = tape_text(study.cuts, words.verbatim(rig_of(name).name), words)
    yield from texts.items()


SURFACES = (pictures, sheet, page, films, commands)

SYMBOLS = {
    "metric": {"m", "cm", "mm", "kg", "g", "kN", "N", "m/s", "km/h", "J", "kJ", "J/m", "N/m", "kN/m", "kg/m", "g/m",
               "kg/m³", "MPa", "kPa", "Pa", "m²"},
    "feet": {"ft", "in", "lb", "oz", "lbf", "mph", "ft·lbf", "ft·lbf/ft", "lbf/ft", "lb/(100 ft)", "lb/ft³", "psi",
             "ft²"},
    "both": {"°", "%", "h", "min", "s", "Hz", "A", "B", "x", "y", "z"},
}  # fmt: skip


def bare(text: str) -> str:
    """What stands in no message and was not typed by the user: outside ⟦ ⟧ and ⟪ ⟫."""
    out, depth, typed = [], 0, 0
    for letter in text:
        depth += (letter == "⟦") - (letter == "⟧")
        typed += (letter == "⟪") - (letter == "⟫")
        if depth == 0 and typed == 0 and letter not in "⟦⟧⟪⟫":
            out.append(letter)
        elif letter in "⟦⟪":
            out.append(" ")
    return "".join(out)


def english(text: str) -> str:
    """Bare words that are neither numbers nor units."""
    left = bare(text)
    for unit in sorted(set().union(*SYMBOLS.values()), key=len, reverse=True):
        left = re.sub(rf"(?<![A-Za-z]){re.escape(unit)}(?![A-Za-z])", " ", left)
    return " ".join(re.findall(r"[^\W\d_][^\d]*", left)).strip()


def wrong_units(text: str, system: str) -> list[str]:
    """Quantities in the other system's units, but for what the user typed."""
    shown = re.sub(r"⟪[^⟫]*⟫", " ", text).replace("⟦", "").replace("⟧", "")
    other = SYMBOLS["feet" if system == "metric" else "metric"]
    found = []
    for unit in other:
        found += re.findall(rf"\d[ \u00a0]?{re.escape(unit)}(?![\w/²³·(])", shown)
    return found
