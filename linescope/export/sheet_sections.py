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
from linescope.report.gather import Results
from linescope.report.tapes import Table, tape_rows
from linescope.rig import unlikely
from linescope.stage import words as stage_words
from linescope.stage.evidence import Evidence
from linescope.stage.ground import Ground
from linescope.stage.words import Measures
from linescope.statics import Solution
from linescope.taping import CutList

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
class Story:
    """What the sections are written from."""

    results: Results
    walked: tuple[Solution, ...]
    cut_list: CutList
    evidence: Evidence
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
        return self.evidence.clearance


def _pictures(story: Story, section: int) -> list[Any]:
    return [
        parts.picture(one.path, one.caption, 0.94 * story.width) for one in story.pictures if one.section == section
    ]


def _table(story: Story, table: Table | None, missing: str, shares: Sequence[float] | None = None) -> list[Any]:
    if table is None:
        return [parts.alarm(missing)]
    return parts.grid(table, story.width, shares)


def _said(story: Story) -> list[str]:
    """What must be read first, of every event, each sentence once."""
    found = story.results
    said = [*unlikely(found.rig), *found.excess.notes]
    for solution in (found.standing, found.taped, found.settled):
        said += list(solution.notes)
    for event in (found.fall_sweep or found.fall, found.gone_sweep or found.gone, found.wind):
        if event is not None:
            said += [story.measures.words.note(n) for n in map(as_note, event.notes) if n.leads]
    if story.clearance is not None:
        said[:0] = clearance_alarms(story.clearance, story.measures.system)
        short = [finding for finding in story.clearance.findings if not finding.is_met]
        said += [
            f"CLEARANCE SHORT: {finding.kind} ({finding.cause}) "
            + (f"is {story.measures.at_least(finding.distance)} from" if finding.distance > 0.0 else "REACHES")
            + f" the ground at {story.measures.place(round(finding.station, 1))} from A, "
            f"{story.measures.at_most(finding.needed)} needed."
            for finding in short[:3]
        ]
    else:
        said.append("Distances to the ground were NOT computed for this sheet: clearance is unknown.")
    return list(dict.fromkeys(said))


def _first(story: Story) -> list[Any]:
    rig, measures = story.results.rig, story.measures
    taped = story.results.taped
    summary = f"{stage_words.state_label(taped, measures)}. {stage_words.summary(taped, measures)}"
    made = story.author or "____________________"
    flow = [
        parts.words(rig.name, 20, strong=True, spaceAfter=2),
        parts.words(
            f"{text.PLAN}   {story.date.isoformat()}, linescope {story.version}, made by {made}",
            9,
            strong=True,
            spaceAfter=4,
        ),
        parts.heading(1, "What this is"),
        parts.words(rig.description) if rig.description else parts.words("No description was given."),
        parts.words(summary, strong=True, spaceBefore=3, spaceAfter=3),
    ]
    flow += [parts.alarm(line) for line in _said(story)[:8]]
    return flow


def _people(story: Story) -> list[Any]:
    who = Table(title="", columns=("Role", "Name", "Phone or radio"), rows=tuple((role, "", "") for role in text.ROLES))
    flow = [parts.heading(2, "People, words, rescue"), *parts.grid(who, story.width, (2, 3, 2))]
    said = Table(title="Words on the line", columns=("Word", "means"), rows=text.COMMS)
    return [*flow, *parts.grid(said, story.width, (1, 5)), *parts.blanks(text.RESCUE, story.width, 2)]


def _site(story: Story) -> list[Any]:
    found = _pictures(story, 3)
    return [
        parts.heading(3, "Site plan, hazards, escape"),
        *found,
        parts.frame(text.SITE, story.width, 150 if found else 230),
    ]


def _elevation(story: Story) -> list[Any]:
    missing = [] if story.ground is not None else [parts.alarm("No ground in this scene: height above it is unknown.")]
    return [parts.heading(4, "Elevation"), *missing, *_pictures(story, 4)]


def _gear(story: Story) -> list[Any]:
    return [
        parts.heading(5, "Gear, ages, days in the sun"),
        *parts.grid(tables.gear(story.results, story.measures), story.width),
        parts.note("Strength new does not hold for aged webbing. Write age and days out before use."),
    ]


def _tension(story: Story) -> list[Any]:
    measures = story.measures
    flow = [
        parts.heading(6, "Length and tension"),
        *parts.grid(tables.lengths(story.results, measures), story.width, (4, 1.3, 3)),
    ]
    if story.walked:
        flow += parts.grid(tables.tensions(story.walked, measures, story.ground), story.width)
    else:
        flow.append(parts.note("No walker in this scene: nothing is known of the loaded line."))
    if story.evidence.tension is not None:
        flow += parts.grid(tables.meter(story.evidence.tension, measures), story.width)
    flow += _pictures(story, 6)
    bands = events.bands(story.results, measures)
    if bands is not None:
        return [*flow, *parts.grid(bands, story.width)]
    if story.evidence.tension is None:
        return [*flow, parts.alarm(f"No ranges were computed for this sheet: {text.BANDS}")]
    more = text.BANDS[0].upper() + text.BANDS[1:]
    return [*flow, parts.note(f"The ranges above are those of the meter's readings. {more}")]


def _loops(story: Story) -> list[Any]:
    return [
        parts.heading(7, "Loops and the marks of the backup"),
        *parts.grid(tables.state_summary(story.results, story.measures), story.width),
        *_pictures(story, 7),
        *parts.grid(tables.loops(story.results, story.measures), story.width),
        *parts.grid(tables.marks(story.results, story.measures), story.width),
    ]


def _tapes(story: Story) -> list[Any]:
    rows = tape_rows(story.cut_list, story.measures.system)
    return [
        parts.heading(8, "Tapes"),
        *_pictures(story, 8),
        *parts.grid(rows["totals"], 0.7 * story.width, (2, 2)),
        *parts.grid(rows["kinds"], story.width, (2, 1.1, 0.9, 1.2, 1.4, 0.9, 2.2, 3.3, 3)),
        *parts.grid(rows["tapes"], story.width),
        parts.note("Sections and strips at 1:1: see the printed tape plan."),
    ]


def _steps(story: Story) -> list[Any]:
    return [
        parts.heading(9, "Order of rigging, with hold points"), parts.note(text.PRACTICE),
        parts.ticks(text.STEPS, story.width),
    ]  # fmt: skip


def _views(story: Story) -> list[Any]:
    return [
        parts.heading(10, "What you should see, and what to accept"),
        *parts.grid(tables.acceptance(story.results, story.measures), story.width),
        *_pictures(story, 10),
    ]


def _falls(story: Story) -> list[Any]:
    results, measures = story.results, story.measures
    flow = [parts.heading(11, "Falls and loss of the main")]
    flow += _table(
        story, events.no_fall_zones(story.clearance, measures),
        "No-fall zones were NOT computed for this sheet. Nobody knows from it where a fall is clear of the ground.",
    )  # fmt: skip
    runs = events.runs(story.clearance, measures)
    if runs is not None:
        flow += parts.grid(runs, story.width)
    flow += _pictures(story, 11)
    missing = "No walker in this scene: nothing is known of falls or of the loss of the main."
    fall = events.topic("falls", results, measures, story.ground, story.evidence.falls)
    flow += _table(story, fall, missing)
    gone = events.topic("main_gone", results, measures, story.ground)
    if gone is not None:
        flow += parts.grid(gone, story.width)
    found = (results.fall_sweep or results.fall, results.gone_sweep or results.gone)
    said = [measures.words.note(as_note(n)) for event in found if event is not None for n in event.notes]
    flow += [parts.note(line) for line in dict.fromkeys(said)]
    return [*flow, *_table(story, events.clearances(story.clearance, measures), "Clearance was NOT computed: unknown.")]


def _wind(story: Story) -> list[Any]:
    flow = [parts.heading(12, "Wind and weather: limits and stop rule")]
    unknown = story.measures.words.say("study-no-wind")
    flow += _table(story, events.topic("wind", story.results, story.measures), unknown)
    flow += _pictures(story, 12)
    if story.results.wind is not None:
        words, wind = story.measures.words, story.results.wind
        flow += [parts.words(words.note(n), strong=True) for n in wind.notes if n.kind == "wind-level"]
        flow += [parts.note(line) for line in words.notes(wind.assumed)]
    return [*flow, *parts.blanks(text.WIND_RULE, story.width)]


def _inspect(story: Story) -> list[Any]:
    table = events.inspection(story.results, story.clearance, story.measures)
    return [
        parts.heading(13, "Look at, metre by metre"), *_pictures(story, 13),
        *parts.grid(table, story.width, (2, 1.6, 5, 1.6)),
    ]  # fmt: skip


def _notice(story: Story) -> list[Any]:
    return [parts.heading(14, "Airspace notice and markers"), *parts.blanks(text.NOTICE, story.width)]


def _assumed(story: Story) -> list[Any]:
    rig, measures = story.results.rig, story.measures
    flow = [parts.heading(15, "Assumptions, guesses, margins")]
    given = story.results.inputs
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
    flow += parts.grid(tables.inputs(story.results), story.width, (3, 4, 2.4))
    flow.append(parts.note(text.LIMITS))
    proof = story.results.taped.proof
    flow.append(parts.note(f"Forces balance to {proof.relative_residual:.0e} of the weight that hangs on the anchors."))
    if story.clearance is not None:
        flow += [parts.note(line) for line in story.clearance.notes]
    return flow


def _sign(story: Story) -> list[Any]:
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
        *parts.grid(signed, story.width, (2.2, 3, 2, 3)),
        *parts.blanks(built, story.width, 2),
    ]


TEXT_SIZE = 8.6
SECTIONS: tuple[Callable[[Story], list[Any]], ...] = (
    _first, _people, _site, _elevation, _gear, _tension, _loops, _tapes, _steps, _views, _falls, _wind, _inspect,
    _notice, _assumed, _sign,
)  # fmt: skip
