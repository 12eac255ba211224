"""Ink in files: SVG that needs nothing else, PNG of the size asked for, covered ink left out without a trace."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import linescope
from linescope.errors import OutputError
from linescope.export.ink import image, lines_of, pruned, svg, write_png
from linescope.export.tape_cards import write_cards
from linescope.stage.ink import Area, Drawing, Line, Text, Window
from linescope.stage.tape_card import card
from linescope.taping import FAMILIES, lay
from linescope.words import Words, frame
from tests.taping.kinds import one_of_every_kind
from tests.taping.test_winding import PAIR, STOCK

SCENES = Path(__file__).parents[2] / "scenes"


def made() -> Drawing:
    return card(lay(FAMILIES["main-held slider"], PAIR, STOCK), Words())


def test_svg_is_whole_and_needs_nothing_from_outside() -> None:
    text = svg(made())
    root = ET.fromstring(text)
    assert root.attrib["role"] == "img" and root.attrib["aria-label"]
    names = {element.tag.rpartition("}")[2] for element in root.iter()}
    assert names == {"svg", "g", "rect", "path", "circle", "text"}
    assert "href" not in text and "style" not in text and len(text) < 250_000


def test_every_text_of_a_card_is_in_its_svg() -> None:
    drawing = made()
    root = ET.fromstring(svg(drawing))
    told = " ".join(element.text or "" for element in root.iter() if element.tag.endswith("text"))
    for item in drawing.ink:
        if isinstance(item, Text):
            for line, _ in lines_of(item):
                assert line in told


def test_what_is_left_out_was_covered() -> None:
    """The picture with and without: the same but for a few pixels at rims."""
    drawing = made()
    less = Drawing(name="", title="", size=drawing.size, paper=drawing.paper, ink=pruned(drawing.ink))

    def count(ink: tuple) -> int:
        return sum(len(item.ink) if isinstance(item, Window) else 1 for item in ink)

    assert count(less.ink) < 0.6 * count(drawing.ink)
    one, other = (np.asarray(image(each, 1000), dtype=int) for each in (drawing, less))
    different = np.abs(one - other).max(axis=2) > 40
    assert different.mean() < 5e-4


def test_only_what_is_covered_whole_is_left_out() -> None:
    below = Area(points=((10.0, 10.0), (40.0, 10.0), (40.0, 40.0), (10.0, 40.0)), colour="#ff0000")
    over = Area(points=((5.0, 5.0), (60.0, 5.0), (60.0, 60.0), (5.0, 60.0)), colour="#00ff00")
    part = Area(points=((5.0, 5.0), (39.0, 5.0), (39.0, 60.0), (5.0, 60.0)), colour="#00ff00")
    line = Line(points=((10.0, 20.0), (90.0, 20.0)), colour="#0000ff", width=1.0)
    frame = (0.0, 0.0, 100.0, 100.0)
    (whole,), (partly,) = (pruned((Window(frame=frame, ink=(below, line, top)),)) for top in (over, part))
    assert whole.ink == (line, over)  # type: ignore[union-attr]
    assert partly.ink == (below, line, part)  # type: ignore[union-attr]


def test_cards_are_written_for_each_kind_once(tmp_path: Path) -> None:
    files = write_cards(tmp_path / "cards", one_of_every_kind(), width=400)
    assert sorted(file.name for file in files) == sorted(file.name for file in (tmp_path / "cards").iterdir())
    names = {file.name for file in files}
    cards = {name for name in names if not name.endswith("-slips.png")}
    assert len(files) == len(names) and len(cards) == 7 and "tape-tucked-tab-slider-backup.png" in cards
    assert {name.removesuffix("-slips.png") + ".png" for name in names - cards} <= cards
    with Image.open(files[0]) as picture:
        assert picture.size[0] == 400


def test_a_card_says_what_was_tried_of_its_tape_and_of_nothing_else() -> None:
    scene, words = linescope.load(SCENES / "heron_gap.toml"), Words()
    for key, value, told in (("tape.width", "30 mm", True), ("main.tension", "2 kN", False)):
        tried = scene.what_if(key, value)
        said = frame.tried(tried.inputs, words, of=frame.OF_TAPES)
        (tape,) = linescope.Study(tried).cuts.tapes.values()
        texts = [item.text for item in card(tape, words, tried=said).ink if isinstance(item, Text)]
        assert any(key in text for text in texts) == told


def test_a_card_that_cannot_be_written_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(OutputError):
        write_png(made(), tmp_path / "missing" / "card.png", 200)
    assert list(tmp_path.iterdir()) == []
