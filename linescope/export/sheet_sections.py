"""The sixteen sections of the briefing sheet, in the order in which a crew is briefed."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PIL import Image

from linescope.clearance import Clearance
from linescope.errors import OutputError
from linescope.export import sheet_events as events
from linescope.export import sheet_parts as parts
from linescope.export import sheet_tables as tables
from linescope.export import sheet_text as text
from linescope.notes import as_note
from linescope.report.clearance import clearance_alarms
from linescope.report.tapes import Table, tape_rows
from linescope.rig import unlikely
from linescope.stage import words as stage_words
from linescope.stage.ground import Ground
from linescope.stage.words import Measures
from linescope.study import Study

SECTION_OF: dict[str, int] = {
    "overview": 4, "elevation": 4, "tension": 6, "friction": 7, "tape-map": 8, "styles": 8, "loops-from-a": 10,
    "closeup": 10, "no-fall": 11, "main-gone": 11, "wind": 12, "touch": 13, "rub": 13,
}  # fmt: skip
"""View -> section of the sheet its picture stands in; a view not named here goes to `OTHER_SECTION`."""

OTHER_SECTION = 10


@dataclass(frozen=True, kw_only=True)
class SheetPicture:
    """A picture for the sheet.

    Attributes
    ----------
    path : Path
    caption : str
    section : int
        1 to 16, the order of the sheet.
    """

    path: Path
    caption: str
    section: int


def picture_of(path: str | Path) -> SheetPicture:
    """A brief's PNG with its place on the sheet, read from what the file says about itself.

    Parameters
    ----------
    path : str or Path
        Its caption is the view and the state written in the file, else its name.

    Raises
    ------
    OutputError
        When there is no such picture.
    """
    path = Path(path)
    try:
        with Image.open(path) as image:
            said = {key: str(value) for key, value in image.info.items()}
    except (OSError, ValueError) as error:
        raise OutputError(
            f"a picture for the sheet cannot be read ({error})", file=path, allowed="a PNG written by the brief"
        ) from error
    view, state = said.get("View", ""), said.get("State", "")
    caption = f"{view}: {state}" if view and state else path.stem.replace("-", " ")
    return SheetPicture(path=path, caption=caption, section=SECTION_OF.get(view, OTHER_SECTION))


@dataclass(frozen=True, eq=False, kw_only=True)
class Sheet:
    """What the sections are written from."""

    study: Study
    ground: Ground | None
    pictures: tuple[SheetPicture, ...]
    measures: Measures
    width: float
    height: float
    date: datetime.date
    author: str
    version: str

    @property
    def clearance(self) -> Clearance | None:
        """Worst places of every sweep, when they were computed."""
        return self.study.clearance or None


def _pictures(sheet: Sheet, section: int) -> list[Any]:
    return [
        parts.picture(one.path, one.caption, 0.94 * sheet.width) for one in sheet.pictures if one.section == section
    ]


def _table(sheet: Sheet, table: Table | None, missing: str, shares: Sequence[float] | None = None) -> list[Any]:
    if table is None:
        return [parts.alarm(missing)]
    return parts.grid(table, sheet.width, shares)


def _said(sheet: Sheet) -> list[str]:
    """What must be read first, of every event, each sentence once."""
    found = sheet.study
    said = [*unlikely(found.rig), *found.excess.notes]
    for solution in (found.standing, found.taped, found.settled):
        said += list(solution.notes)
    for event in (found.fall_sweep or found.fall, found.main_gone_sweep or found.main_gone, found.wind):
        if event:
            said += [sheet.measures.words.note(n) for n in map(as_note, event.notes) if n.leads]
    if sheet.clearance is not None:
        said[:0] = clearance_alarms(sheet.clearance, sheet.measures.system)
        short = [finding for finding in sheet.clearance.findings if not finding.is_met]
        said += [
            f"CLEARANCE SHORT: {finding.kind} ({finding.cause}) "
            + (f"is {sheet.measures.at_least(finding.distance)} from" if finding.distance > 0.0 else "REACHES")
            + f" the ground at {sheet.measures.place(round(finding.station, 1))} from A, "
            f"{sheet.measures.at_most(finding.needed)} needed."
            for finding in short[:3]
        ]
    else:
        said.append("Distances to the ground were NOT computed for this sheet: clearance is unknown.")
    return list(dict.fromkeys(said))


def _first(sheet: Sheet) -> list[Any]:
    rig, measures = sheet.study.rig, sheet.measures
    taped = sheet.study.taped
    summary = f"{stage_words.state_label(taped, measures)}. {stage_words.summary(taped, measures)}"
    made = sheet.author or "____________________"
    flow = [
        parts.words(rig.name, 20, strong=True, spaceAfter=2),
        parts.words(
            f"{text.PLAN}   {sheet.date.isoformat()}, linescope {sheet.version}, made by {made}",
            9,
            strong=True,
            spaceAfter=4,
        ),
        parts.heading(1, "What this is"),
        parts.words(rig.description) if rig.description else parts.words("No description was given."),
        parts.words(summary, strong=True, spaceBefore=3, spaceAfter=3),
    ]
    flow += [parts.alarm(line) for line in _said(sheet)[:8]]
    return flow


def _people(sheet: Sheet) -> list[Any]:
    who = Table(title="", columns=("Role", "Name", "Phone or radio"), rows=tuple((role, "", "") for role in text.ROLES))
    flow = [parts.heading(2, "People, words, rescue"), *parts.grid(who, sheet.width, (2, 3, 2))]
    said = Table(title="Words on the line", columns=("Word", "means"), rows=text.COMMS)
    return [*flow, *parts.grid(said, sheet.width, (1, 5)), *parts.blanks(text.RESCUE, sheet.width, 2)]


def _site(sheet: Sheet) -> list[Any]:
    found = _pictures(sheet, 3)
    return [
        parts.heading(3, "Site plan, hazards, escape"),
        *found,
        parts.frame(text.SITE, sheet.width, 150 if found else 230),
    ]


def _elevation(sheet: Sheet) -> list[Any]:
    missing = [] if sheet.ground is not None else [parts.alarm("No ground in this scene: height above it is unknown.")]
    return [parts.heading(4, "Elevation"), *missing, *_pictures(sheet, 4)]


def _gear(sheet: Sheet) -> list[Any]:
    return [
        parts.heading(5, "Gear, ages, days in the sun"),
        *parts.grid(tables.gear(sheet.study, sheet.measures), sheet.width),
        parts.note("Strength new does not hold for aged webbing. Write age and days out before use."),
    ]


def _tension(sheet: Sheet) -> list[Any]:
    measures = sheet.measures
    flow = [
        parts.heading(6, "Length and tension"),
        *parts.grid(tables.lengths(sheet.study, measures), sheet.width, (4, 1.3, 3)),
    ]
    if sheet.study.walked:
        flow += parts.grid(tables.tensions(sheet.study.walked, measures, sheet.ground), sheet.width)
    else:
        flow.append(parts.note("No walker in this scene: nothing is known of the loaded line."))
    if sheet.study.meter:
        flow += parts.grid(tables.meter(sheet.study.meter, measures), sheet.width)
    flow += _pictures(sheet, 6)
    bands = events.bands(sheet.study, measures)
    if bands is not None:
        return [*flow, *parts.grid(bands, sheet.width)]
    if not sheet.study.meter:
        return [*flow, parts.alarm(f"No ranges were computed for this sheet: {text.BANDS}")]
    more = text.BANDS[0].upper() + text.BANDS[1:]
    return [*flow, parts.note(f"The ranges above are those of the meter's readings. {more}")]


def _loops(sheet: Sheet) -> list[Any]:
    return [
        parts.heading(7, "Loops and the marks of the backup"),
        *parts.grid(tables.state_summary(sheet.study, sheet.measures), sheet.width),
        *_pictures(sheet, 7),
        *parts.grid(tables.loops(sheet.study, sheet.measures), sheet.width),
        *parts.grid(tables.marks(sheet.study, sheet.measures), sheet.width),
    ]


def _tapes(sheet: Sheet) -> list[Any]:
    rows = tape_rows(sheet.study.cuts, sheet.measures.system)
    return [
        parts.heading(8, "Tapes"),
        *_pictures(sheet, 8),
        *parts.grid(rows["totals"], 0.7 * sheet.width, (2, 2)),
        *parts.grid(rows["kinds"], sheet.width, (2, 1.1, 0.9, 1.2, 1.4, 0.9, 2.2, 3.3, 3)),
        *parts.grid(rows["tapes"], sheet.width),
        parts.note("Sections and strips at 1:1: see the printed tape plan."),
    ]


def _steps(sheet: Sheet) -> list[Any]:
    return [
        parts.heading(9, "Order of rigging, with hold points"), parts.note(text.PRACTICE),
        parts.ticks(text.STEPS, sheet.width),
    ]  # fmt: skip


def _views(sheet: Sheet) -> list[Any]:
    return [
        parts.heading(10, "What you should see, and what to accept"),
        *parts.grid(tables.acceptance(sheet.study, sheet.measures), sheet.width),
        *_pictures(sheet, 10),
    ]


def _falls(sheet: Sheet) -> list[Any]:
    study, measures = sheet.study, sheet.measures
    flow = [parts.heading(11, "Falls and loss of the main")]
    flow += _table(
        sheet, events.no_fall_zones(sheet.clearance, measures),
        "No-fall zones were NOT computed for this sheet. Nobody knows from it where a fall is clear of the ground.",
    )  # fmt: skip
    runs = events.runs(sheet.clearance, measures)
    if runs is not None:
        flow += parts.grid(runs, sheet.width)
    flow += _pictures(sheet, 11)
    missing = "No walker in this scene: nothing is known of falls or of the loss of the main."
    fall = events.topic("falls", study, measures)
    flow += _table(sheet, fall, missing)
    gone = events.topic("main_gone", study, measures)
    if gone is not None:
        flow += parts.grid(gone, sheet.width)
    found = (study.fall_sweep or study.fall, study.main_gone_sweep or study.main_gone)
    said = [measures.words.note(as_note(n)) for event in found if event for n in event.notes]
    flow += [parts.note(line) for line in dict.fromkeys(said)]
    return [*flow, *_table(sheet, events.clearances(sheet.clearance, measures), "Clearance was NOT computed: unknown.")]


def _wind(sheet: Sheet) -> list[Any]:
    flow = [parts.heading(12, "Wind and weather: limits and stop rule")]
    unknown = sheet.measures.words.say("study-no-wind")
    flow += _table(sheet, events.topic("wind", sheet.study, sheet.measures), unknown)
    flow += _pictures(sheet, 12)
    wind = sheet.study.wind
    if wind:
        words = sheet.measures.words
        flow += [parts.words(words.note(n), strong=True) for n in wind.notes if n.kind == "wind-level"]
        flow += [parts.note(line) for line in words.notes(wind.assumed)]
    return [*flow, *parts.blanks(text.WIND_RULE, sheet.width)]


def _inspect(sheet: Sheet) -> list[Any]:
    table = events.inspection(sheet.study, sheet.clearance, sheet.measures)
    return [
        parts.heading(13, "Look at, metre by metre"), *_pictures(sheet, 13),
        *parts.grid(table, sheet.width, (2, 1.6, 5, 1.6)),
    ]  # fmt: skip


def _notice(sheet: Sheet) -> list[Any]:
    return [parts.heading(14, "Airspace notice and markers"), *parts.blanks(text.NOTICE, sheet.width)]


def _assumed(sheet: Sheet) -> list[Any]:
    rig, measures = sheet.study.rig, sheet.measures
    flow = [parts.heading(15, "Assumptions, guesses, margins")]
    given = sheet.study.inputs
    guesses = (
        f"Inputs assumed because nobody gave them: {len(given.assumed)}. Inputs that are guesses: {len(given.guessed)}."
    )
    flow.append(parts.words(guesses, strong=True))
    if rig.needs is not None:
        flow.append(
            parts.words(
                f"Asked for: main {measures.length(rig.needs.line)}, loops {measures.length(rig.needs.loop)}, body "
                f"{measures.length(rig.needs.body)} from the ground; on top of each, survey error "
                f"{measures.length(rig.needs.survey_error)} and margin {measures.length(rig.needs.margin)}."
            )
        )
    flow += parts.grid(tables.inputs(sheet.study), sheet.width, (3, 4, 2.4))
    flow.append(parts.note(text.LIMITS))
    proof = sheet.study.taped.proof
    flow.append(parts.note(f"Forces balance to {proof.relative_residual:.0e} of the weight that hangs on the anchors."))
    if sheet.clearance is not None:
        flow += [parts.note(line) for line in sheet.clearance.notes]
    return flow


def _sign(sheet: Sheet) -> list[Any]:
    who = ("Lead", "Second pair of eyes", "Backup closed, seen by")
    signed = Table(
        title="", columns=("", "Name", "Date, time", "Signature"), rows=tuple((name, "", "", "") for name in who)
    )
    built = (
        "Tension read at A, at B; when; with what:",
        "Tension after one hour, next morning:",
        "Loops seen (bay, depth), where they differ from section 10:",
        "Changes to the plan, by whom:",
        "Falls, wind, what was replaced:",
    )
    cautions = [parts.words(f"•  {line}", TEXT_SIZE) for line in text.CAUTIONS]
    return [
        parts.heading(16, "Before you use it; signatures; as built"),
        *cautions,
        *parts.grid(signed, sheet.width, (2.2, 3, 2, 3)),
        *parts.blanks(built, sheet.width, 2),
    ]


TEXT_SIZE = 8.6
SECTIONS: tuple[Callable[[Sheet], list[Any]], ...] = (
    _first, _people, _site, _elevation, _gear, _tension, _loops, _tapes, _steps, _views, _falls, _wind, _inspect,
    _notice, _assumed, _sign,
)  # fmt: skip
