"""A figure reads the same in text and on the page, and a bound never stands on the careless side of its value."""

from __future__ import annotations

import functools
import re

import numpy as np
import pytest

from linescope.export import sheet_events
from linescope.figures import worst
from linescope.report import grids
from linescope.stage import brief_of
from linescope.stage.ink import Text
from linescope.study import Study
from linescope.topics import TOPICS
from linescope.topics.tension import picture_stop
from linescope.words import Loud, Words
from tests.export import gathered
from tests.long import rest_is_long
from tests.texts import collect
from tests.words.test_numbers import NOISE, read

# Computed by commands of their own, not in this study.
ON_THEIR_OWN = {"clearance", "motion", "touch", "wear", "styles", "readings"}
NAMES = [
    name for name, topic in TOPICS.items()
    if name not in ON_THEIR_OWN and any(figure.brief for figure in topic.here.figures)
]


def told(figure, record, study):
    """The value of a figure at the walker's own place; None where it is no single number."""
    value = figure.value(record.result, study)
    if not figure.dimension or figure.ruled or value is None or isinstance(value, str):
        return None
    if figure.axes[:1] == ("place",):
        value = value[0]
    values = np.atleast_1d(np.asarray(value, dtype=float))
    if figure.axes[-1:] in (("end",), ("xyz",)) or not np.isfinite(values).any():
        return None
    if len(values) > 1 and not figure.bound:
        return None
    return worst(figure, values) if len(values) > 1 else float(values[0])


@pytest.mark.parametrize("system", ["metric", "feet"])
@pytest.mark.parametrize("name", NAMES)
def test_text_and_page_say_one_thing_of_every_figure(name, system):
    topic, study, words = TOPICS[name], gathered.study("windy"), Words(system, "en")
    table = grids.down(topic, study, words)
    assert table is not None
    group = topic.here
    records = list(group.records(study))
    pairs = {record.id: grids.pairs(topic, study, words, only=record.id) for record in records}
    rows = {row[0]: row[1:] for row in table.rows}
    compared = 0
    for figure in group.figures:
        if not figure.brief:
            continue
        title = grids.title(group, figure, words, topic.values(study))
        for k, record in enumerate(records):
            value = told(figure, record, study)
            on_page = [text for heading, text in pairs[record.id] if heading.endswith(title)]
            place = 0 if record.id else k
            if value is None or title not in rows or len(on_page) <= place:
                continue
            cells = {rows[title][k], on_page[place]}
            texts = {cell.partition(" (")[0].lstrip("≤≥ ") for cell in cells if not isinstance(cell, Loud)}
            for text in texts:
                number = read(text, figure.dimension)
                slack = abs(value) * NOISE + 1e-9
                assert number >= value - slack if figure.bound == "up" else True
                assert number <= value + slack if figure.bound == "down" else True
                assert number == pytest.approx(value, rel=0.12, abs=1e-6)
            units = {text.partition(" ")[2] for text in texts}
            assert len(texts) == len(units), (title, texts)  # In one unit, one text.
            compared += 1
    single = [told(figure, record, study) for figure in group.figures if figure.brief for record in records]
    assert compared or all(value is None for value in single)  # Ranges alone have no one figure to compare.


@functools.cache
def metered(name: str) -> Study:
    """A shipped scene; of its clearance the picture takes places alone, so that is the one that all texts share."""
    return Study(collect.scene_of(name), given=collect.swept(name))


@pytest.mark.parametrize("system", ["metric", "feet"])
@pytest.mark.parametrize("name", rest_is_long(collect.NAMES, "heron_gap", "larkspur_ledge"))
def test_crew_picture_page_and_sheet_give_a_meter_one_range(name, system):
    study = metered(name)
    brief = brief_of(study.taped, study=study, system=system)
    words, strip = brief.measures, study.meter
    form = re.compile(r"[\d.,]+ to [\d.,]+ \S+")
    said = [item.text for item in picture_stop.board(brief).ink if isinstance(item, Text)]
    drawn = [text for text in said if form.fullmatch(text)]
    ends = list(zip(strip.low.ravel(), strip.high.ravel(), strict=True))
    written = [words.band(low, high, "force") for low, high in ends]
    assert drawn == [text for text in written if form.fullmatch(text)] and len(drawn) >= len(strip.states)
    page, sheet = grids.down(TOPICS["tension"], study, words), sheet_events.meter(study, words)
    at_a, at_b = (row[1:] for row in page.rows if row[0].startswith("range"))
    assert [cell for both in zip(at_a, at_b, strict=True) for cell in both] == written
    assert [cell for row in sheet.rows for cell in (row[2], row[4])] == written
    for text, (low, high) in zip(written, ends, strict=True):
        if form.fullmatch(text):
            least, most = (read(f"{end} {text.split()[-1]}", "force") for end in text.split()[::2][:2])
            assert least <= low and most >= high  # Moved outward: nobody stops for a reading that was foreseen.
