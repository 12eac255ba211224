"""Crew pictures as they are written: text large enough, on nothing else, all of it there; two sheets of vectors."""

from __future__ import annotations

import dataclasses
import datetime
import functools
import re
import shutil
import subprocess
import zlib
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from linescope.events.accepted import odd_bays, usual_depth
from linescope.export import crew as files
from linescope.export import driver, ink, layout, pen
from linescope.rig import Inputs
from linescope.stage import brief_of
from linescope.stage.board import Board
from linescope.stage.crew import CREW, SHEETS, boards, fitted
from linescope.stage.ink import Bitmap, Disc, Drawing, Line, Text, View
from linescope.stage.labels import Box
from linescope.stage.page import Brief
from linescope.statics import solve
from linescope.study import Study
from linescope.topics.falls.picture_zones import HIT, zones_of
from tests.export import gathered
from tests.long import rest_is_long
from tests.stage import rigs

DATE = datetime.date(2026, 5, 1)
POINT = 2000 / 297 * 25.4 / 72  # Pixels of a point on A4 lying down.
CASES = (
    ("heron", "light", "metric"), ("trap", "light", "feet"), ("incline", "dark", "metric"), ("long", "light", "metric"),
    ("short", "grey", "metric"),
)
ALWAYS = rest_is_long(CASES, CASES[1], CASES[3])


@pytest.fixture(autouse=True, scope="module")
def _driver() -> None:
    driver.probe()


@functools.cache
def study(name: str) -> Study:
    """What the pictures of a rig show, computed once for every theme and both systems of units."""
    made = rigs.study(name)
    leave = set(made.leave) - {"meter", "wind"}
    known = {key: value for key, value in made._known.items() if key not in ("meter", "wind")}
    if name == "incline":
        known["clearance"] = gathered.clearance()
    return Study(made.scene, places=12, leave=leave, given=known)


@functools.cache
def brief(name: str, theme: str = "light", system: str = "metric", ground: bool = True) -> Brief:
    solution = rigs.solved(name)
    land = rigs.gorge(solution.rig) if ground else None
    found = study(name)
    return brief_of(solution, ground=land, study=found, theme=theme, system=system, date=DATE)  # type: ignore[arg-type]


@functools.cache
def drawings(
    name: str, theme: str = "light", system: str = "metric"
) -> tuple[tuple[Drawing, ...], tuple[Drawing, ...]]:
    return files.laid_out(brief(name, theme, system))


def texts(drawing: Drawing) -> list[tuple[Text, Box]]:
    return layout.boxes(drawing.ink)


@pytest.mark.parametrize("case", ALWAYS, ids="-".join)
def test_no_text_is_under_ten_points_on_a4(case: tuple[str, str, str]) -> None:
    for drawing in (*drawings(*case)[0], *drawings(*case)[1]):
        assert drawing.size[0] == 2000
        assert min(text.size for text, _ in texts(drawing)) >= 10 * POINT - 0.3, drawing.name


@pytest.mark.parametrize("case", ALWAYS, ids="-".join)
def test_texts_stand_inside_the_page_and_on_no_other_text(case: tuple[str, str, str]) -> None:
    for drawing in (*drawings(*case)[0], *drawings(*case)[1]):
        page = Box(left=0.0, top=0.0, right=drawing.size[0], bottom=drawing.size[1])
        found = texts(drawing)
        for text, box in found:
            assert box.within(page), (drawing.name, text.text)
        for (one, a), (other, b) in combinations(found, 2):
            tight = [dataclasses.replace(box, top=box.top + 5.0, bottom=box.bottom - 5.0) for box in (a, b)]
            assert not tight[0].overlaps(tight[1]), (drawing.name, one.text, other.text)


@pytest.mark.parametrize("case", ALWAYS, ids="-".join)
def test_nothing_is_left_out_for_want_of_room(case: tuple[str, str, str]) -> None:
    theme = fitted(brief(*case)).theme
    for board, drawing in zip(boards(brief(*case)), drawings(*case)[0], strict=True):
        said = " ".join(text.text for text, _ in texts(drawing))
        assert not [text.text for text, _ in texts(drawing) if text.text.endswith(layout.MORE)
                    and not text.text.startswith("A model's plan")]  # fmt: skip
        wanted = [label.text for item in board.ink if isinstance(item, View) for label in item.panel.labels]
        wanted += [item.text for item in layout.visible(board.ink, theme) if isinstance(item, layout.Tag)]
        joined = re.sub(r"\s", "", said)
        for each in wanted:
            assert re.sub(r"\s", "", each) in joined, (drawing.name, each)


@pytest.mark.parametrize("case", ALWAYS, ids="-".join)
def test_few_labels_and_three_red_ones(case: tuple[str, str, str]) -> None:
    board = boards(brief(*case))[0]
    labels = [label for item in board.ink if isinstance(item, View) for label in item.panel.labels]
    assert len(labels) <= 12
    assert sum(label.colour == "alarm" for label in labels) <= 4  # Three places, and a tight backup.


@pytest.mark.parametrize("case", ALWAYS, ids="-".join)
def test_every_numbered_and_red_place_is_inside_its_picture(case: tuple[str, str, str]) -> None:
    for drawing in drawings(*case)[0]:
        for item in drawing.ink:
            if isinstance(item, Disc):
                assert 0.0 < item.at[0] < drawing.size[0] and 0.0 < item.at[1] < drawing.size[1]


@pytest.mark.parametrize("name", rest_is_long(["heron", "trap", "incline", "long"], "incline", "long"))
def test_no_stroke_of_the_ground_runs_along_an_edge(name: str) -> None:
    """An outline held inside its frame is a floor that is not there: ground fades before its frame ends."""
    for drawing in drawings(name)[0]:
        for item in drawing.ink:
            if isinstance(item, Bitmap):
                rim = [item.pixels[-2:], item.pixels[:2], item.pixels[:, :2], item.pixels[:, -2:]]
                assert all(int(edge.min()) > 235 for edge in rim)


def test_a_message_of_two_lines_leaves_no_word_alone_and_one_of_none_stays() -> None:
    said = "Without any fall, a loop reaches the ground at 9.3 m from A; in falls or loss of the main, at 24.6 m too"
    whole = pen.text_size(said, 40.0, True)[0]
    text = Text(text=said, at=(0.0, 0.0), size=40.0, width=0.9 * whole, strong=True, most=2)
    wide = [pen.text_size(line, 40.0, True)[0] for line, _ in ink.lines_of(layout._fitted(text))]
    assert len(wide) == 2 and min(wide) > 0.7 * max(wide)
    for short in ("", "kept"):
        alone = dataclasses.replace(text, text=short)
        assert layout._fitted(alone) == dataclasses.replace(alone, most=0)


def test_what_is_red_is_a_message_of_something_reached_or_tight() -> None:
    for name in ("heron", "trap", "incline", "long", "short"):
        made = {board.name: board for board in boards(brief(name))}
        tight = bool((rigs.solved(name).bays.excess < 0.0).any())
        assert made["what-you-must-see"].loud == tight
        assert not made["meter-and-stop-rules"].loud
        for board in made.values():
            assert "safe" not in f"{board.title} {board.under}".lower()


def test_a_tight_backup_is_told_beside_what_else_is_short() -> None:
    """The verdict names one alarm; a backup that carries load must not vanish behind it."""
    told, tight = brief("heron"), solve(rigs.heron(excess=0.0))
    assert (tight.bays.excess < 0.0).all()
    study = rigs.changed(told.study, clearance=gathered.clearance())
    board = boards(dataclasses.replace(told, study=study, solution=tight))[0]
    assert "tight" not in board.title
    labels = [label for item in board.ink if isinstance(item, View) for label in item.panel.labels]
    assert sum("tight" in label.text and label.colour == "alarm" for label in labels) == 1


def test_zones_lie_on_the_metres_of_the_section() -> None:
    """The strip's red ends where the fall's curve is red: both from one scale, and that of the metres under it."""
    told = fitted(brief("trap"))
    board = boards(brief("trap"))[1]
    ticks = {
        text.text: text.at[0] for text in board.ink if isinstance(text, Text) and text.align == "middle"
        and re.fullmatch(r"[0-9]+", text.text)
    }
    rig = told.study.rig
    places = np.array([float(each) for each in ticks])
    x = np.array(list(ticks.values()))
    scale = float(np.polyfit(places, x, 1)[0])
    assert np.allclose(x - x[0], scale * (places - places[0]), atol=0.01)
    discs = [item.at[0] for item in board.ink if isinstance(item, Disc)]
    assert max(discs) - min(discs) == pytest.approx(scale * rig.span, abs=0.5)
    assert min(discs) == pytest.approx(ticks["0"], abs=0.01)


def test_the_section_is_true_to_scale() -> None:
    """Of the worst fall's curve, height over length on the page is that in space."""
    told = brief("trap")
    sweep = told.study.lower(told.study.fall_sweep)
    board = boards(told)[1]
    ink = fitted(told).theme.colours["ink"]
    curve = next(item for item in board.ink if isinstance(item, Line) and item.colour == ink and item.width == 5.0)
    page = np.array(curve.points)
    space = np.column_stack([np.linalg.norm((sweep.low.foot - told.study.rig.main_a)[:, :2], axis=1),
                             sweep.low.foot[:, 2]])  # fmt: skip
    assert np.ptp(page[:, 0]) / np.ptp(space[:, 0]) == pytest.approx(np.ptp(page[:, 1]) / np.ptp(space[:, 1]), rel=1e-6)


def test_the_title_of_falls_names_the_stretches_that_reach_the_ground() -> None:
    told = brief("trap")
    sweep = told.study.lower(told.study.fall_sweep)
    gaps = np.where(np.abs(sweep.at - 0.5 * told.study.rig.span) < 6.0, -1.0, 20.0)
    found = dataclasses.replace(told.study.fall_gaps, lowest=gaps, at=sweep.at)
    study = rigs.changed(told.study, fall_gaps=found, leave={"clearance"})
    changed = dataclasses.replace(told, study=study)
    hit = [zone for zone in zones_of(changed, sweep.at, gaps) if zone.kind == HIT]
    board = boards(changed)[1]
    assert hit and board.loud
    assert changed.measures.stretch(hit[0].start, hit[0].end) in board.title


def test_the_range_to_accept_and_the_odd_bays() -> None:
    depth, excess = np.array([0.40, 0.41, 0.39, 0.20, 0.0, 0.42]), np.array([0.05, 0.05, 0.05, 0.02, -0.01, 0.05])
    low, high = usual_depth(depth, excess)
    assert (low, high) == pytest.approx((0.8 * 0.40, 1.2 * 0.40))
    assert odd_bays(depth, excess) == ((4, 0.2), (5, None))
    assert usual_depth(depth, -np.ones(6)) is None


def test_without_ground_nothing_is_said_of_it() -> None:
    told = brief("heron", ground=False)
    title = boards(told)[1].title
    assert title == "No ground is given: nobody knows from here where a fall would end"
    assert not any(isinstance(item, Bitmap) for item in layout.visible(boards(told)[1].ink, fitted(told).theme))


def test_feet_are_feet() -> None:
    said = " ".join(text.text for drawing in drawings("trap", "light", "feet")[0] for text, _ in texts(drawing))
    assert " ft" in said and "lbf" in said
    assert not re.search(r"\d (m|cm|kN|kg|m/s)\b", said)


def test_files_are_the_same_when_nothing_changed(tmp_path: Path) -> None:
    told = dataclasses.replace(brief("heron"), page=(1000, 707))
    written = []
    for folder in (tmp_path / "a", tmp_path / "b"):
        folder.mkdir()
        written.append({path.name: path.read_bytes() for path in files.write_crew(folder, told)})
    assert written[0] == written[1]
    assert set(written[0]) == set(files.names())
    with Image.open(tmp_path / "a" / files.names()[0]) as image:
        assert image.width == 1000 and image.info["Scene"] == told.study.rig.name


def test_the_sheets_are_two_pages_of_vectors(trap_sheets: Path) -> None:
    raw = trap_sheets.read_bytes()
    assert len(raw) < 1_000_000
    assert len(re.findall(rb"/Type /Page\b(?!s)", raw)) == len(SHEETS) == 2
    assert re.search(rb"/Lang \(en\)", raw) and b"/DisplayDocTitle true" in raw and b"/Title" in raw
    assert b"841.88" in raw and b"595.27" in raw  # A4, lying.
    assert raw.count(b"/Subtype /Image") <= 1
    streams = [_unpacked(part) for part in re.findall(rb"stream\r?\n(.*?)\r?\n?endstream", raw, re.S)]
    pages = sorted(streams, key=len)[-2:]
    assert all(len(re.findall(rb"\bl\b", page)) > 300 for page in pages)  # Lines drawn as lines.


@pytest.fixture(scope="module")
def trap_sheets(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sheets of one rig, as a file."""
    written = files.write_crew(tmp_path_factory.mktemp("trap"), brief("trap"))
    return next(path for path in written if path.suffix == ".pdf")


def test_the_sheets_are_read_aloud_in_their_order(trap_sheets: Path) -> None:
    """poppler reads the tags: each message a heading, its line below it, then the rest; the picture has words too."""
    path = trap_sheets
    if shutil.which("pdfinfo") is None:
        pytest.skip("NO PEER READ THE TAGS: poppler-utils is missing")
    told, tree = (
        subprocess.run(["pdfinfo", *option, str(path)], capture_output=True, text=True, check=True).stdout
        for option in ([], ["-struct-text"])
    )
    assert re.search(r"^Tagged:\s+yes", told, re.M)
    heads = [re.sub(r"\s+", " ", text) for text in re.findall(r'H1 \(block\)\s+"(.*?)"\s*\n', tree, re.S)]
    made = boards(brief("trap"))
    assert heads == [board.title.replace("\u00a0", " ") for board in made]
    assert all(board.under[:20].replace("\u00a0", " ") in tree.replace("\u00a0", " ") for board in made)
    raw = path.read_bytes()
    assert raw.count(b"/Alt") == len(SHEETS) and len(re.findall(rb"/Title", raw)) == 1 + len(CREW)


def _unpacked(part: bytes) -> bytes:
    """A stream of reportlab's; nothing where it is no text."""
    try:
        return zlib.decompress(part)
    except zlib.error:
        return b""


def test_each_picture_has_a_module_and_a_place_on_a_sheet() -> None:
    assert sorted(name for pair in SHEETS for name in pair) == sorted(CREW)
    assert all(isinstance(board, Board) for board in boards(brief("short")))


MANY = dataclasses.replace(rigs.TRIED, notes=5 * rigs.TRIED.notes)


@pytest.mark.parametrize(("name", "system", "inputs"), [("trap", "feet", rigs.TRIED), ("heron", "metric", MANY)])
def test_what_is_tried_stands_in_every_picture_and_on_nothing_else(name: str, system: str, inputs: Inputs) -> None:
    told = brief(name, "light", system)
    assert not any("Tried" in text.text for drawing in drawings(name, "light", system)[0] for text, _ in texts(drawing))
    pictures, sheets = files.laid_out(dataclasses.replace(told, study=rigs.changed(told.study, inputs=inputs)))
    values = ("4.5 kN", "3.0 kN") if system == "metric" else ("1010 lbf", "674 lbf")
    for drawing in (*pictures, *sheets):
        found = [text for text, _ in texts(drawing) if text.text.startswith("Tried (variant tight), not the file's")]
        assert len(found) == (2 if drawing in sheets else 1)
        for text in found:
            assert not text.text.endswith(layout.MORE) and text.size >= 10 * POINT - 0.3
            assert all(value in text.text.replace("\u00a0", " ") for value in values)
            assert ("; 3 more" in text.text) == (inputs is MANY)
        page = Box(left=0.0, top=0.0, right=drawing.size[0], bottom=drawing.size[1])
        for (one, a), (other, b) in combinations(texts(drawing), 2):
            tight = [dataclasses.replace(box, top=box.top + 5.0, bottom=box.bottom - 5.0) for box in (a, b)]
            assert a.within(page) and b.within(page), (one.text, other.text)
            assert not tight[0].overlaps(tight[1]), (one.text, other.text)
