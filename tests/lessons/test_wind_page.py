"""The page and the film of winding a tape: ways and lengths are those of the winding, and every family is there."""

from __future__ import annotations

import html
import itertools
import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import linescope
from linescope.cli import main
from linescope.contact.styles import all_families
from linescope.export.lesson_film import FPS
from linescope.export.lesson_wind_film import PICTURES, timeline, wind_frame
from linescope.export.lesson_wind_page import wind_data
from linescope.scenefile.shipped import lesson_file
from linescope.stage import tape_shapes, tape_steps
from linescope.stage.ink import Area, Text, Window
from linescope.stage.lesson_turns import SLIPPED, WoundTape, laid, sticky_side, wound_tapes
from linescope.stage.tape_card import STICKY
from linescope.taping import Holds
from linescope.taping.slips import SlipKind
from linescope.words import Words
from tests.long import rest_is_long

LARGEST = 1.5e6
"""Of a page. [bytes]"""
RIG = linescope.load(lesson_file("wind-a-tape")).rig


@cache
def tapes() -> dict[tuple[str, Holds], WoundTape]:
    return {(each.tape.family.key, each.tape.holds): each for each in wound_tapes(RIG)}


def test_every_family_is_there_and_the_rig_s_own_leads() -> None:
    assert set(tapes()) == set(all_families())
    assert next(iter(tapes())) == ("main-held slider", Holds.MAIN)


@pytest.mark.parametrize("which", all_families(), ids=str)
def test_strip_is_used_from_its_beginning_to_its_end(which: tuple[str, Holds]) -> None:
    """Lengths along a drawn way rise from nothing to the length that is cut, and part after part."""
    each = tapes()[which]
    whole = 1e3 * each.tape.cut_length
    last = each.phases[-1]
    assert last.strip[0] == 0.0 and last.strip[-1] == pytest.approx(whole)
    for phase in each.phases:
        assert len(phase.strip) == len(phase.way) and np.all(np.diff(phase.strip) >= -1e-9)
    if len(each.phases) == 2:
        assert each.phases[0].apart > 0.0 == last.apart
        assert each.phases[0].strip[-1] == pytest.approx(1e3 * each.tape.winding.before)
    assert each.tape.segments[-1].end == pytest.approx(each.tape.cut_length)


@pytest.mark.parametrize("which", all_families(), ids=str)
def test_its_end_lies_where_the_winding_says(which: tuple[str, Holds]) -> None:
    """On the backup's outer face, as far from its edges as `Finish` has it: widths are drawn true."""
    each = tapes()[which]
    finish, end = each.tape.finish, each.phases[-1].way[-1]
    assert finish.face == "underside"
    on_top = each.tape.holds is Holds.BACKUP  # The held line is drawn on top.
    level = each.shapes.levels(on_top)[1]
    assert end[1] > level - 0.3 if on_top else end[1] < level + 0.3
    half = 500.0 * each.tape.section.width_of("backup")
    assert half - abs(end[0]) == pytest.approx(1e3 * finish.to_edge, abs=1.0)


@pytest.mark.parametrize("which", all_families(), ids=str)
def test_glue_meets_the_line_that_is_held(which: tuple[str, Holds]) -> None:
    """Round both, the sticky face looks in: on top of the pair it looks down, below it up."""
    each = tapes()[which]
    phase = each.phases[-1]
    begins = 1e3 * each.tape.winding.before + 5.0
    for k, (point, used) in enumerate(zip(phase.way, phase.strip, strict=True)):
        straight = 0 < k < len(phase.way) - 1 and abs(point[0]) < 6.0
        if straight and used > begins and not each.pieces:
            # Where it climbs over a tip it may look along the lines' faces, never out.
            assert sticky_side(each, phase, k) != ("up" if point[1] > 0.0 else "down")


@pytest.mark.parametrize(
    "which", rest_is_long(all_families(), ("main-held slider", Holds.MAIN), ("cloth-patch slider", Holds.BACKUP)),
    ids=str,
)
def test_finer_steps_of_a_way(which: tuple[str, Holds], monkeypatch: pytest.MonkeyPatch) -> None:
    """Lengths, ends and slips are sums of straights and arcs, and take no steps (closed forms: `tests/taping`).  The
    way that is followed is drawn through points: of half as far apart it runs within a third of a drawn layer, of a
    quarter as far apart nearer still; it ends where it ended."""
    each, ways = tapes()[which], []
    for factor in (1.0, 0.5, 0.25):
        monkeypatch.setattr(tape_shapes, "STEP", factor * 2.5e-4)
        tape_steps.scenes.cache_clear()
        found = laid(each.tape, each.slips)
        strip = np.linspace(0.0, 1e3 * each.tape.cut_length, 800)
        last = found.phases[-1]
        assert last.strip[-1] == each.phases[-1].strip[-1]
        ways.append(np.column_stack([np.interp(strip, last.strip, last.way[:, k]) for k in (0, 1)]))
    tape_steps.scenes.cache_clear()
    first, second = (float(np.hypot(*(one - other).T).max()) for one, other in itertools.pairwise(ways))
    assert 0.0 < second < first < tape_shapes.LAYER / 3.0
    assert ways[0][-1] == pytest.approx(ways[2][-1], abs=0.05)


def test_eight_millimetres_off() -> None:
    """Sideways, glue lies open over the whole way round the sliding line: a fixed wrap.  Lengthways a slider still
    slides, its 45 mm short end reaching 8 mm less far, and its end comes 8 mm nearer to an edge."""
    for (family, holds), each in tapes().items():
        slips = {slip.kind: slip for slip in each.slips}
        if holds is Holds.BOTH:
            assert set(slips) == {SlipKind.RIGHT}
            continue
        assert slips[SlipKind.ASIDE].becomes == "glued" and slips[SlipKind.ASIDE].glue == (SLIPPED, SLIPPED)
        right, along = slips[SlipKind.RIGHT], slips[SlipKind.ALONG]
        if family in ("main-held slider", "backup-held slider"):
            assert along.becomes == "slides"
            assert right.left - along.left == pytest.approx(SLIPPED, abs=5e-4)
            assert abs(right.finish.past - along.finish.past) == pytest.approx(SLIPPED, abs=5e-4)
            assert right.finish.is_underneath and not along.finish.is_underneath
        if family == "cloth-patch slider":
            assert along.becomes == "glued"


def test_a_tucked_tab_is_said_to_pull_out() -> None:
    """Common practice, no source: where much slides, the tab of a tucked-tab slider is pulled out in time."""
    words = Words()
    told = wind_data(tuple(tapes().values()), words)["tapes"]
    for (family, _), each in zip(tapes(), told, strict=True):
        assert ("pulls out" in each["notes"]) == (family == "tucked-tab slider")


@pytest.mark.usefixtures("built")
def test_the_page_is_small_and_loads_nothing(tmp_path: Path) -> None:
    out = tmp_path / "wind.html"
    assert main(["teach", "wind-a-tape", "-o", str(out)]) == 0
    text = out.read_text("utf-8")
    assert len(text.encode()) <= LARGEST
    head = html.unescape(text[: text.index("<script")])
    assert "default-src 'none'" in head and "script-src 'sha256-" in head
    assert not re.search(r"(src|href)=|@import|url\((?!\"?data:)", head)


def _seen(each: WoundTape, picture: int) -> tuple[str, float]:
    """The caption of a picture, and how much of the strip's sticky face is seen in space.  [px^2]"""
    ink = wind_frame(each, "show", picture, Words()).ink
    sticky = np.array([int(STICKY[k : k + 2], 16) for k in (1, 3, 5)], dtype=float)
    windows = [item for item in ink if isinstance(item, Window)]
    total, space = 0.0, max(windows, key=lambda item: item.frame[3] - item.frame[1])
    for item in space.ink:
        if isinstance(item, Area):
            colour = np.array([int(item.colour[k : k + 2], 16) for k in (1, 3, 5)], dtype=float)
            if np.abs(colour - (colour @ sticky) / (sticky @ sticky) * sticky).max() < 4.0:
                x, y = np.array(item.points).T
                total += 0.5 * abs(float(x @ np.roll(y, 1) - y @ np.roll(x, 1)))
    return next(item.text for item in ink if isinstance(item, Text) and ": sticky side" in item.text), total


def test_what_is_said_of_the_sticky_side_is_what_is_seen() -> None:
    """Turn after turn more of it is seen where the strip stands with it towards us than before and after that."""
    each = tapes()["main-held slider", Holds.MAIN]
    seen = [pair for pair in (_seen(each, picture) for picture in range(10, PICTURES)) if pair[0].endswith(" you")]
    turns = [
        (caption.endswith("towards you"), max(area for _, area in group))
        for caption, group in itertools.groupby(seen, key=lambda pair: pair[0].rsplit(":", 1)[1])
    ]
    assert len(turns) >= 6
    for (towards, area), (_, other) in itertools.pairwise(turns):
        assert area > other if towards else other > area


def test_the_film_follows_the_strip(tmp_path: Path) -> None:
    order = timeline()
    assert len(order) / FPS == pytest.approx(20.0)
    passing = [picture for part, picture in order if part == "show"]
    assert passing == sorted(passing) and set(passing) == set(range(PICTURES + 1))
    each, words = tapes()["main-held slider", Holds.MAIN], Words()
    texts = [item.text for item in wind_frame(each, "show", 8, words).ink if isinstance(item, Text)]
    assert "between the lines: sticky side up" in texts, "50 mm: past the short end, before the way round the main"
    out = tmp_path / "wind.gif"
    assert main(["teach", "wind-a-tape", "-o", str(out)]) == 0
    with Image.open(out) as film:
        assert film.size == (1280, 720) and film.n_frames > PICTURES  # type: ignore[attr-defined]
