"""Pictures for a workshop as laid out: the verdict above, text large enough, on nothing else, all of it there."""

from __future__ import annotations

import functools
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from linescope.contact import Face
from linescope.export import crew as files
from linescope.export import driver, layout
from linescope.rig import Wind
from linescope.stage import brief_of, workshop
from linescope.stage.ink import Bitmap, Drawing, Text
from linescope.stage.page import Brief
from linescope.study import Study
from linescope.topics.wear import face_term
from linescope.words import Words
from tests.export.test_crew import POINT
from tests.stage import rigs
from tests.stage.test_wear_views import brief as worn
from tests.stage.test_wear_views import compared, comparison, found

WORDS = Words()


@pytest.fixture(autouse=True, scope="module")
def _driver() -> None:
    driver.probe()


@functools.cache
def told(name: str) -> Brief:
    """What a picture is made from."""
    if name == "wear":
        return worn()
    if name == "styles":
        return compared()
    solution = rigs.solved("incline")
    rig = replace(solution.rig, wind=Wind(speed=6.0, towards=(0.0, 1.0)))
    return brief_of(solution, study=Study(rig, leave=Study.SLOW | {"bands"}))


@functools.cache
def drawing(name: str) -> Drawing:
    brief = workshop.fitted(told(name))
    return layout.laid_out(workshop.picture(name, brief), brief.theme)


def said(name: str) -> str:
    return " ".join(item.text for item in drawing(name).ink if isinstance(item, Text))


@pytest.mark.parametrize("name", workshop.WORKSHOP)
def test_texts_are_large_enough_and_stand_in_the_page_on_no_other_text(name: str) -> None:
    """Ten points on A4, lying, as on the crew's pictures."""
    texts = [(item, box) for item, box in layout.boxes(drawing(name).ink)]
    assert min(item.size for item, _ in texts) / POINT >= 10.0
    wide, high = drawing(name).size
    for item, box in texts:
        assert box.left >= 0.0 and box.right <= wide + 1.0 and box.top >= 0.0 and box.bottom <= high, item.text
    for (one, box), (other, over) in combinations(texts, 2):
        wide_ = min(box.right, over.right) - max(box.left, over.left)
        high_ = min(box.bottom, over.bottom) - max(box.top, over.top)
        assert wide_ <= 2.0 or high_ <= 2.0, (one.text, other.text)


@pytest.mark.parametrize("name", workshop.WORKSHOP)
def test_no_sentence_is_cut_short(name: str) -> None:
    assert layout.MORE not in said(name)


def test_the_message_of_friction_is_what_becomes_of_the_loops() -> None:
    study = told("friction").study
    for state in (study.taped, study.settled):
        depth = state.bays.loop_depth
        assert WORDS.range(float(depth.min()), float(depth.max()), "length") in drawing("friction").title


def test_the_message_of_wear_is_where_to_look_and_why() -> None:
    place = found().places[0]
    assert place.peak == max(found().peak(face) for face in Face)
    assert WORDS.value(face_term(place.face)) in drawing("wear").title
    for each in found().places[:3]:
        assert WORDS.of(each.peak, "line energy") in said("wear")


def test_the_message_of_wind_is_what_a_gust_does() -> None:
    wind = told("wind").study.wind
    assert wind
    above = {bay for case in wind.cases for bay in case.above}
    highest = max(float(case.sudden_swing.max()) for case in wind.cases)
    assert bool(above) == (highest > 0.5 * np.pi) == ("lift no loop" not in drawing("wind").title)


def test_every_style_has_its_strip_of_bars() -> None:
    styles = [style for style in comparison().styles if style.behaviour is not None]
    names = [WORDS.say(f"styles-picture-{style.name}") for style in styles]
    shown = [item.text for item in drawing("styles").ink if isinstance(item, Text)]
    assert [text for text in shown if any(text.startswith(name) for name in names)]
    assert all(any(text.startswith(name) for text in shown) for name in names)
    assert sum(isinstance(item, Bitmap) for item in drawing("styles").ink) == len(styles)


def test_each_picture_has_a_file_and_what_it_needs_is_that_of_the_record() -> None:
    from linescope.stage import VIEWS

    assert set(files.SHOWN) == set(workshop.WORKSHOP) <= set(VIEWS)
