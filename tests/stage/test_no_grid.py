"""Nothing that people read depends on how many places were tried along the line."""

from __future__ import annotations

import pytest

from linescope.report.grids import across, data, down
from linescope.report.people import figures_text
from linescope.stage import build
from linescope.study import Study
from linescope.topics import FALLS, MAIN_GONE
from linescope.words import Words
from tests.long import rest_is_long
from tests.stage import rigs


@pytest.fixture(scope="module", params=rest_is_long(["heron", "long"], "heron"))
def both(request: pytest.FixtureRequest) -> tuple[Study, Study]:
    """One study with as many places as the other has, and one with twice as many."""
    few = rigs.study(request.param)
    # And what comes of them: a study that other tests have asked already would hand its own zones on.
    swept = ("fall_sweep", "fall_gaps", "running", "main_gone_sweep")
    many = rigs.changed(few)
    many._known = {name: value for name, value in few._known.items() if name not in swept}
    many.places = 2 * few.places
    return few, many


def test_more_places_change_no_figure_of_falls(both: tuple[Study, Study]) -> None:
    few, many = both
    assert len(many.fall_sweep.at) == 2 * len(few.fall_sweep.at)
    assert len(many.main_gone_sweep.at) == 2 * len(few.main_gone_sweep.at)
    for system in ("metric", "feet"):
        words = Words(system)
        for topic in (FALLS, MAIN_GONE):
            for table in (down, lambda topic, *more: across(topic, topic.along, *more)):
                assert table(topic, few, words) == table(topic, many, words)
            assert [said.text for said in words.sentences(topic.notes(few))] == [
                said.text for said in words.sentences(topic.notes(many))
            ]
    found = [data((FALLS, MAIN_GONE), study, {}) for study in both]
    for name in ("leash_fall", "leash_fall_places", "main_gone", "main_gone_places"):
        assert found[0][name] == found[1][name]


def test_more_places_change_no_line_of_the_figures(both: tuple[Study, Study]) -> None:
    few, many = both
    assert figures_text(few) == figures_text(many)


@pytest.mark.parametrize("view", ["no-fall", "main-gone"])
def test_more_places_change_no_figure_of_the_pictures(both: tuple[Study, Study], view: str) -> None:
    """But for where a strip's colours change, which is told as exactly as places were tried."""
    said = []
    for study in both:
        solution = study.taped
        stage = build(solution, view=view, ground=rigs.gorge(solution.rig), study=study)
        panels = [panel for panel in stage.panels if panel.name != "strip"]
        said.append([
            *(panel.caption for panel in panels), *(label.text for panel in panels for label in panel.labels),
            *(line.text for panel in panels for line in panel.dimensions),
        ])
    assert said[0] == said[1]
