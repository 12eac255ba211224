"""The sixteen sections of the briefing sheet, in the order in which a crew is briefed."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PIL import Image

from linescope.errors import OutputError
from linescope.export import sheet_events as events
from linescope.export import sheet_parts as parts
from linescope.export import sheet_tables as tables
from linescope.export import sheet_text as text
from linescope.export import tape_sheet
from linescope.notes import Quantity, Term
from linescope.stage.ground import Ground
from linescope.stage.views import PICTURES
from linescope.study import Study
from linescope.topics import TOPICS
from linescope.topics.clearance import CLEARANCE, IN_DRAWS, NO_FALLS, PLACES, RUNS, ZONES
from linescope.topics.clearance.text import unknown_falls
from linescope.topics.tapes import messages
from linescope.topics.tapes.tables import tape_rows
from linescope.words import Words, frame
from linescope.words.table import Table

SECTION_OF: dict[str, int] = {picture.name: picture.section for picture in PICTURES}
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
    measures: Words
    width: float
    height: float
    date: datetime.date
    author: str
    version: str


def _heading(sheet: Sheet, number: int) -> Any:
    words = sheet.measures
    return parts.heading(words.say("sheet-head", number=number, title=words.say(f"sheet-head-{number}")))


def _pictures(sheet: Sheet, section: int) -> list[Any]:
    return [
        parts.picture(one.path, one.caption, 0.94 * sheet.width) for one in sheet.pictures if one.section == section
    ]


def _table(sheet: Sheet, table: Table | None, missing: str, shares: Sequence[float] | None = None) -> list[Any]:
    if table is None:
        return [parts.alarm(missing)]
    return parts.grid(table, sheet.width, shares)


def _parts(sheet: Sheet, table: Table | None) -> list[Any]:
    """A table, or nothing where it was not computed."""
    return [] if table is None else parts.grid(table, sheet.width)


def _topic(sheet: Sheet, name: str, more: int | None = None) -> list[Any]:
    return _parts(sheet, events.topic(name, sheet.study, sheet.measures, more))


def _said(sheet: Sheet) -> list[str]:
    """What must be read first, of every event, each sentence once."""
    found = sheet.study
    notes = (note for topic in TOPICS.values() for note in topic.notes(found))
    said = [each.text for each in sheet.measures.sentences(notes) if each.leads]
    if not sheet.study.clearance:
        said.append(sheet.measures.say("sheet-unknown-clearance"))
    return list(dict.fromkeys(said))


def _first(sheet: Sheet) -> list[Any]:
    rig, measures = sheet.study.rig, sheet.measures
    taped = sheet.study.taped
    state, summary = frame.state_label(taped, measures), frame.summary(taped, measures)
    about = measures.verbatim(rig.description) if rig.description else measures.say("sheet-no-description")
    made = measures.verbatim(sheet.author) if sheet.author else "____________________"
    flow = [
        parts.words(measures.verbatim(rig.name), 20, strong=True, spaceAfter=2),
        parts.words(
            measures.say(
                "sheet-plan", plan=Term("frame-plan"), date=sheet.date, version=sheet.version, author=made
            ),
            9,
            strong=True,
            spaceAfter=4,
        ),
        _heading(sheet, 1),
        parts.words(about),
        parts.words(
            measures.say("sheet-summary", state=state, summary=summary), strong=True, spaceBefore=3, spaceAfter=3
        ),
    ]
    flow += [parts.alarm(line) for line in _said(sheet)[:8]]
    return flow


def _people(sheet: Sheet) -> list[Any]:
    say = sheet.measures.say
    columns = (say("sheet-role"), say("sheet-name"), say("sheet-phone"))
    who = Table(title="", columns=columns, rows=tuple((say(f"sheet-role-{role}"), "", "") for role in text.ROLES))
    flow = [_heading(sheet, 2), *parts.grid(who, sheet.width, (2, 3, 2))]
    rows = tuple((say(f"sheet-comms-{word}"), say(f"sheet-comms-{word}", "means")) for word in text.COMMS)
    said = Table(title=say("sheet-comms"), columns=(say("sheet-comms-word"), say("sheet-comms-means")), rows=rows)
    return [*flow, *parts.grid(said, sheet.width, (1, 5)), *_blanks(sheet, text.RESCUE, 2)]


def _site(sheet: Sheet) -> list[Any]:
    found, say = _pictures(sheet, 3), sheet.measures.say
    return [
        _heading(sheet, 3),
        *found,
        parts.frame(say("sheet-site"), say("sheet-north"), sheet.width, 150 if found else 230),
    ]


def _elevation(sheet: Sheet) -> list[Any]:
    missing = [] if sheet.ground is not None else [parts.alarm(sheet.measures.say("frame-no-ground"))]
    return [_heading(sheet, 4), *missing, *_pictures(sheet, 4)]


def _gear(sheet: Sheet) -> list[Any]:
    return [
        _heading(sheet, 5),
        *parts.grid(tables.gear(sheet.study, sheet.measures), sheet.width),
        parts.note(sheet.measures.say("sheet-gear-note")),
    ]


def _tension(sheet: Sheet) -> list[Any]:
    measures = sheet.measures
    flow = [
        _heading(sheet, 6),
        *parts.grid(tables.lengths(sheet.study, measures), sheet.width, (4, 1.3, 3)),
    ]
    walked = events.topic("tension", sheet.study, measures, 0)
    if walked is not None:
        flow += parts.grid(walked, sheet.width)
    else:
        flow.append(parts.note(measures.say("sheet-no-walker")))
    meter = events.meter(sheet.study, measures)
    if meter is not None:
        flow += parts.grid(meter, sheet.width)
    flow += _pictures(sheet, 6)
    bands = events.bands(sheet.study, measures)
    if bands is not None:
        return [*flow, *parts.grid(bands, sheet.width)]
    if meter is None:
        return [*flow, parts.alarm(measures.say("sheet-no-ranges", ranges=Term("sheet-ranges")))]
    return [*flow, parts.note(measures.say("sheet-meter-ranges", ranges=Term("sheet-ranges")))]


def _loops(sheet: Sheet) -> list[Any]:
    return [
        _heading(sheet, 7),
        *(piece for name in ("state", "loops") for piece in _topic(sheet, name)),
        *_pictures(sheet, 7),
        *_topic(sheet, "sliding"), *_topic(sheet, "sliding", 0),
        *_parts(sheet, events.bays(sheet.study, sheet.measures)),
        *parts.grid(tables.marks(sheet.study, sheet.measures), sheet.width),
    ]


def _tapes(sheet: Sheet) -> list[Any]:
    rows = tape_rows(sheet.study.cuts, sheet.measures)
    return [
        _heading(sheet, 8),
        *_pictures(sheet, 8),
        *parts.grid(rows["totals"], 0.7 * sheet.width, (2, 2)),
        *parts.grid(rows["kinds"], sheet.width, (2, 1.1, 0.9, 1.2, 1.2, 0.9, 2, 3.3, 2, 2)),
        *parts.grid(rows["tapes"], sheet.width),
        parts.note(sheet.measures.say("sheet-tape-plan")),
    ]


def _steps(sheet: Sheet) -> list[Any]:
    steps = [(hold, sheet.measures.say(f"sheet-step-{k}")) for k, hold in enumerate(text.HOLDS, 1)]
    return [
        _heading(sheet, 9), parts.note(sheet.measures.say("sheet-practice")),
        parts.ticks(steps, sheet.width),
    ]  # fmt: skip


def _views(sheet: Sheet) -> list[Any]:
    return [
        _heading(sheet, 10),
        *parts.grid(tables.acceptance(sheet.study, sheet.measures), sheet.width),
        *_pictures(sheet, 10),
        *(piece for more in (None, 0) for piece in _topic(sheet, "readings", more)),
    ]


def _falls(sheet: Sheet) -> list[Any]:
    study, measures = sheet.study, sheet.measures
    flow = [_heading(sheet, 11)]
    flow += _table(
        sheet, events.of_ground(NO_FALLS, study, measures),
        measures.say("sheet-no-fall-unknown"),
    )  # fmt: skip
    flow += [parts.alarm(text) for text in unknown_falls(study, measures)]
    runs = events.of_ground(RUNS, study, measures)
    if runs is not None:
        flow += parts.grid(runs, sheet.width)
    flow += _pictures(sheet, 11)
    missing = measures.say("study-no-walker")
    fall = events.topic("falls", study, measures)
    flow += _table(sheet, fall, missing)
    gone = events.topic("main_gone", study, measures)
    if gone is not None:
        flow += parts.grid(gone, sheet.width)
    if study.in_time:  # Bouncing, and by amplitude.
        flow += [*_topic(sheet, "motion", 1), *_topic(sheet, "motion", 2)]
    told = (("falls", study.fall_places), ("main_gone", study.gone_places))
    said = [measures.note(n) for name, event in told if event for n in TOPICS[name].notes(study)]
    flow += [parts.note(line) for line in dict.fromkeys(said)]
    missing = measures.say("sheet-clearance-unknown")
    flow += _table(sheet, events.of_ground(PLACES, study, measures), missing)
    if study.knows("drawn_needs"):
        flow += _table(sheet, events.of_ground(IN_DRAWS, study, measures), missing)
    return [*flow, *_beside(sheet)]


def _beside(sheet: Sheet) -> list[Any]:
    """What is near the anchors."""
    table = events.of_ground(ZONES, sheet.study, sheet.measures) if sheet.study.clearance else None
    return [] if table is None else parts.grid(table, sheet.width)


def _wind(sheet: Sheet) -> list[Any]:
    flow = [_heading(sheet, 12)]
    unknown = sheet.measures.say("study-no-wind")
    flow += _table(sheet, events.topic("wind", sheet.study, sheet.measures), unknown)
    flow += _pictures(sheet, 12)
    wind = sheet.study.wind
    if wind:
        words = sheet.measures
        flow += [parts.words(words.note(n), strong=True) for n in wind.notes if n.kind == "wind-level"]
        flow += [parts.note(line) for line in words.notes(wind.assumed)]
    return [*flow, *_blanks(sheet, text.WIND_RULE)]


def _inspect(sheet: Sheet) -> list[Any]:
    table = events.inspection(sheet.study, sheet.measures)
    return [
        _heading(sheet, 13), *_pictures(sheet, 13),
        *parts.grid(table, sheet.width, (2, 1.6, 5, 1.6)),
    ]  # fmt: skip


def _notice(sheet: Sheet) -> list[Any]:
    return [_heading(sheet, 14), *_blanks(sheet, text.NOTICE)]


def _assumed(sheet: Sheet) -> list[Any]:
    rig, measures = sheet.study.rig, sheet.measures
    flow = [_heading(sheet, 15)]
    given = sheet.study.inputs
    guesses = measures.say("sheet-guesses", assumed=len(given.assumed), guessed=len(given.guessed))
    flow.append(parts.words(guesses, strong=True))
    if rig.needs is not None:
        flow.append(
            parts.words(
                measures.say(
                    "sheet-needs", line=Quantity(rig.needs.line, "length", "up"),
                    loop=Quantity(rig.needs.loop, "length", "up"), body=Quantity(rig.needs.body, "length", "up"),
                    survey=Quantity(rig.needs.survey_error, "length", "up"),
                    margin=Quantity(rig.needs.margin, "length", "up"),
                )
            )
        )
    flow += parts.grid(tables.inputs(sheet.study, measures), sheet.width, (3, 4, 2.4))
    flow.append(parts.note(measures.say("sheet-limits")))
    flow.append(parts.note(frame.balance(sheet.study.taped, measures)))
    if sheet.study.clearance:
        quiet = sheet.measures.sentences(note for note in CLEARANCE.notes(sheet.study) if not note.leads)
        flow += [parts.note(said.text) for said in quiet]
    return flow


def _sign(sheet: Sheet) -> list[Any]:
    say = sheet.measures.say
    who = (say("sheet-role-lead"), say("sheet-role-eyes"), say("sheet-sign-closed"))
    columns = ("", say("sheet-name"), say("sheet-sign-when"), say("sheet-sign"))
    signed = Table(title="", columns=columns, rows=tuple((name, "", "", "") for name in who))
    cautions = [parts.words(f"•  {line}", TEXT_SIZE) for line in frame.all_cautions(sheet.measures)]
    return [
        _heading(sheet, 16),
        *cautions,
        *parts.grid(signed, sheet.width, (2.2, 3, 2, 3)),
        *_blanks(sheet, text.BUILT, 2),
    ]


def _blanks(sheet: Sheet, questions: Sequence[str], lines: int = 1) -> list[Any]:
    """Questions to be answered by hand."""
    words = sheet.measures
    usual = {"low": Quantity(8.0, "speed"), "high": Quantity(12.0, "speed"), "speed": Quantity(15.0, "speed")}
    return parts.blanks([words.say(f"sheet-{name}", **usual) for name in questions], sheet.width, lines)


def annex(sheet: Sheet) -> list[Any]:
    """How each kind of tape of the rig is made, a page each."""
    from reportlab.platypus import PageBreak

    words, found = sheet.measures, list[Any]()
    tape_sheet.fonts()
    for tape in sheet.study.cuts.tapes.values():
        title = words.say("sheet-annex", tape=words.verbatim(messages.card_title(tape, words)))
        found += [
            PageBreak(), parts.heading(title), parts.words(messages.under(tape, words), strong=True),
            parts.note(f"{words.say('tapes-terms')} {messages.drawn(words)}"),
            tape_sheet.steps(tape, sheet.width, words, grey=True),
        ]
    return found


TEXT_SIZE = 8.6
SECTIONS: tuple[Callable[[Sheet], list[Any]], ...] = (
    _first, _people, _site, _elevation, _gear, _tension, _loops, _tapes, _steps, _views, _falls, _wind, _inspect,
    _notice, _assumed, _sign,
)  # fmt: skip
