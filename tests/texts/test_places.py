"""Every surface tells one list of worst places: the same numbers, names and figures, in one order."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator
from dataclasses import replace

import pytest

from linescope.app.parts import parts
from linescope.export import sheet_events
from linescope.export.map_file import features
from linescope.export.space import findings
from linescope.export.space.part import _begun
from linescope.stage import brief_of, ground, worst
from linescope.stage.ink import Row, Text
from linescope.study import Study
from linescope.topics.clearance import picture_above
from linescope.topics.clearance.text import clearance_json, clearance_text
from linescope.topics.state import picture_elevation, picture_overview
from linescope.topics.tension import picture_stop
from linescope.words import Words
from tests.long import rest_is_long
from tests.texts import collect

MADE = "slope beside the anchor"
ALWAYS = rest_is_long((*collect.NAMES, MADE), "heron_gap", "larkspur_ledge", MADE)
LENGTH = r"(?:[\d.]+ (?:m|cm|mm))"
Told = tuple[int, str, str, str]
"""Rank, what, place from A, distance or depth: as it stands on the surface."""


@functools.cache
def study_of(name: str) -> Study:
    """A shipped scene; or Heron Gap on a slope that leaves least right outside the zone of anchor A."""
    if name != MADE:
        return collect.study_of(name)
    text = collect.scene_of("heron_gap").text
    cliff = '["1.6 m", "-9 m"], ["6 m", "-22 m"]'
    assert cliff in text
    scene = replace(collect.scene_of("heron_gap"), text=text.replace(cliff, '["1.6 m", "-2.2 m"], ["13 m", "-16 m"]'))
    return Study(scene, places=5, positions=5)


@functools.cache
def brief(name: str):
    study = study_of(name)
    return brief_of(study.taped, study=study, ground=ground.site(study.ground, study.rig))


def listed(study: Study) -> list[Told]:
    """The rows of the text, which are the list that other surfaces cut short."""
    words = Words()
    found = []
    for line in clearance_text(study, words).splitlines():
        row = re.match(rf" +(\d+)  (\w+) +({LENGTH})  +(?:nobody|{LENGTH})  +(\S.*?)  ", line)
        if row:
            deep = re.search(rf"({LENGTH}) deep", row[4])
            found.append((int(row[1]), row[2], row[3], deep[1] if deep else re.search(LENGTH, row[4])[0]))
    return found


def of_data(study: Study) -> list[tuple[int, str, float, float]]:
    """Rank, what, place, distance: of each rank the row of causes that leaves what the place leaves."""
    data = clearance_json(study)
    found = []
    for place in data["findings"]:
        rows = [row for row in data["causes"] if row["rank"] == place["rank"]]
        row = next(row for row in rows if row["remainder"] == place["remainder"])
        found.append((place["rank"], row["kind"], row["station"], row["distance"]))
    return found


def sentence(text: str) -> Told:
    said = re.match(rf"(\d+)  (\w+) at ({LENGTH}) from A: ({LENGTH}) ", text)
    assert said is not None, text
    return int(said[1]), said[2], said[3], said[4]


def texts(ink: tuple) -> Iterator[str]:
    for item in ink:
        if isinstance(item, Text):
            yield item.text
        elif isinstance(item, Row):
            yield from (entry[2].text for entry in item.entries)


@pytest.mark.parametrize("name", ALWAYS)
def test_text_page_live_page_picture_and_map_tell_one_list(name: str) -> None:
    study, words = study_of(name), Words()
    rows, data = listed(study), of_data(study)
    assert [row[0] for row in rows] == list(range(1, len(rows) + 1)) == [rank for rank, *_ in data]
    for (_, what, place, far), (_, kind, station, distance) in zip(rows, data, strict=True):
        assert (what, place) == (kind, words.place(station))
        assert far == words.length(abs(distance), "down" if distance > 0.0 else "up")

    _, shapes = _begun(study, words)
    page = findings.worst(shapes, study, brief(name).ground)
    shown = rows[: len(page)]
    assert [one["rank"] for one in page] == [rank for rank, *_ in shown]
    for one, (_, what, place, far) in zip(page, shown, strict=True):
        assert one["kind"] == what and one["head"].startswith(f"{place}: ") and one["gap"].startswith(far)
        assert place in one["text"] and far in one["text"]
    more = worst.rest(study.clearance, words)
    assert bool(more) == (len(rows) > len(page))

    ((_, part),) = parts(study, words, ("clearance",))
    assert [sentence(each["text"]) for each in part["places"]] == shown
    assert (more in part["notes"]) or not more

    board = picture_above.board(brief(name))
    above = [text for text in texts(board.ink) if re.match(r"\d+  \w+ at ", text)]
    assert [sentence(each) for each in above] == shown
    assert (more in texts(board.ink)) or not more

    stages = picture_elevation.build(brief(name))
    discs = [s.text for panel in stages.panels for s in panel.symbols if s.name.startswith("worst")]
    assert {int(rank) for text in discs for rank in text.split(",")} == {rank for rank, *_ in shown}

    marks = [each for each in features(study, words) if each.kind == "worst"]
    assert [re.match(r"(\d+): (\w+)", each.name).groups() for each in marks] == [(str(r), w) for r, w, *_ in rows]


@pytest.mark.parametrize("name", ALWAYS)
def test_what_is_short_leads_crew_pictures_and_sheet_in_that_order(name: str) -> None:
    study, words = study_of(name), Words()
    short = [place["rank"] for place in clearance_json(study)["findings"] if not place["is_met"]]
    rows = [row for row in listed(study) if row[0] in short]
    drawn = brief(name)
    stage = picture_overview.build(drawn)
    marks = [label.text for label in stage.panel("rig").labels if re.match(rf"{LENGTH}: .*(reach|needed)", label.text)]
    marked = [re.match(LENGTH, text)[0] for text in marks]
    assert len(marks) == min(len(rows), 3) and marked[:1] == [place for _, _, place, _ in rows[:1]]
    stops = [text for _, text in picture_stop._reasons(drawn) if re.match(rf"{LENGTH}: ", text)]
    # What happens without any fall has what to do about it behind it.
    assert [stop.split(". ")[0] for stop in stops[: len(marks)]] == marks
    if not rows:
        return
    # The title's places are marked, the worst ones of what leads, by rank; and what is short without any fall as well.
    of_rank = dict(zip((row[0] for row in listed(study)), of_data(study), strict=True))
    reached = [row for row in rows if of_rank[row[0]][-1] <= 0.0] or rows
    lead, _, rest = stage.title.partition(" at ")[2].partition("; ")
    said = re.findall(LENGTH, lead.partition(" from A")[0])
    assert said == [place for _, _, place, _ in reached[: len(said)]]
    told = said + re.findall(LENGTH, rest.partition(" at ")[2])
    assert sorted(told) == sorted(marked[: len(told)])
    look = sheet_events.inspection(study, words)
    said = {int(found[1]): row[0] for row in look.rows if (found := re.fullmatch(r"worst place (\d+)", row[1]))}
    assert said == {rank: place for rank, _, place, _ in rows}


def test_the_made_scene_has_its_worst_place_beside_the_anchor() -> None:
    first, *_ = clearance_json(study_of(MADE))["findings"]
    (_, _, station, _), *_ = of_data(study_of(MADE))
    assert station < 6.5 and not first["is_met"]  # The zone of anchor A ends at 5 m.
