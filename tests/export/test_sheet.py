"""The briefing sheet: its order, its figures, its looks without colour, written whole."""

from __future__ import annotations

import dataclasses
import re
import resource
import shutil
import signal
import subprocess
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, PngImagePlugin

from linescope.errors import InputError, OutputError
from linescope.events.meter import TensionStrip
from linescope.export import sheet_events, sheet_tables
from linescope.export.sheet import picture_of, write_sheet
from linescope.export.sheet_walk import below_chord
from linescope.notes import Verbatim
from linescope.rig import InputNote, Inputs
from linescope.statics import solve
from linescope.statics.cut_list import cut_list as make_cut_list
from linescope.terrain import Terrain
from linescope.topics.tapes import messages
from linescope.words import Loud, Words
from tests.export import gathered
from tests.stage import rigs

METRIC, FEET = Words(), Words(system="feet")
HEADINGS = (
    "What this is", "People", "Site plan", "Elevation", "Gear", "Length and tension", "Loops", "Tapes",
    "Order of rigging", "What you should see", "Falls and loss", "Wind", "What to look at", "Airspace", "Assumptions",
    "Before you use it",
)  # fmt: skip


def text_of(path: Path) -> str:
    """The words of a PDF, by poppler."""
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext (poppler-utils) is not installed")
    run = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True)
    return run.stdout


def picture(path: Path, view: str, state: str, size: tuple[int, int] = (300, 212)) -> Path:
    note = PngImagePlugin.PngInfo()
    note.add_text("View", view)
    note.add_text("State", state)
    Image.new("RGB", size, "white").save(path, pnginfo=note)
    return path


def test_sixteen_sections_in_the_order_of_a_briefing(tmp_path: Path) -> None:
    """Order as crews are briefed; common practice, no source."""
    text = text_of(write_sheet(tmp_path / "s.pdf", gathered.study("windy")))
    places = []
    for number, words in enumerate(HEADINGS, 1):
        found = re.search(rf"^\s*{number}\s+{words}", text, re.MULTILINE)
        assert found, (number, words)
        places.append(found.start())
    assert places == sorted(places)
    pages = text.count("Page ")
    assert f"Page 1 of {pages}" in text
    assert f"Page {pages} of {pages}" in text
    assert text.count("Plan, not permission") >= 2 * pages
    for words in ("Hold: backup closed", "Signature", "checked by a second person", "no damping", "Tension read at A"):
        assert words in text
    assert not re.search(r"\bsafe\b", text, re.IGNORECASE)


def test_inputs_stand_with_how_each_is_known(tmp_path: Path) -> None:
    text = text_of(write_sheet(tmp_path / "s.pdf", gathered.study("trap")))
    for key, value, known in (
        ("walker.leash", "1.6 m", "assumed"),
        ("backup.excess", "3 ?%", "guessed"),
        ("main.tension", "1.8 kN", "measured"),
    ):
        assert re.search(rf"{re.escape(key)}\s+{value}\s+{known}", text), key
    assert "Inputs assumed because nobody gave them: 3. Inputs that are guesses: 1." in text


def test_what_is_not_known_says_so(tmp_path: Path) -> None:
    study = rigs.changed(gathered.study("short"), leave={"meter"})
    text = text_of(write_sheet(tmp_path / "s.pdf", study))
    assert "No ground in this scene" in text
    assert "clearance is unknown" in text
    assert "No-fall zones were not computed" in text
    assert "No walker in this scene" in text
    assert "No wind is given in this scene" in " ".join(text.split())
    assert "No ranges were computed" in text


def test_what_is_known_is_shown(tmp_path: Path) -> None:
    found = gathered.study("windy")
    empty = solve(found.rig.without_walker())
    band = np.array([[2500.0, 2600.0]])
    strip = TensionStrip(
        rig=found.rig, at=np.array([np.nan]), states=(empty,), value=band, low=band - 400, high=band + 400, effects=(),
        draws=0, lost=0,
    )  # fmt: skip
    ground = rigs.gorge(found.rig)
    terrain = Terrain(**vars(ground), source="invented")
    known = rigs.changed(found, clearance=gathered.clearance(), meter=strip, ground=terrain)
    text = text_of(write_sheet(tmp_path / "s.pdf", known, ground=ground))
    assert "Where nobody may fall into the leash" in text and "If the ring runs" in text
    assert re.search(r"15\.2 to 34\.6 m\s+57\.1 to 76\.5 m\s+≤ 4\.0 m\s+24\.5 m", text)
    assert "short by 4.0 m" in " ".join(text.split())
    assert "What is asked for is not kept at one place" in text
    assert re.search(r"nobody on the line\s+2\.5 kN\s+2\.1 to 2\.9 kN\s+2\.6 kN\s+2\.2 to 3\.0 kN", text)
    assert "clearance is unknown" not in text
    assert "No ground in this scene" not in text


def test_the_tension_table_is_that_of_the_solved_states() -> None:
    found = gathered.study("incline")
    table = sheet_events.topic("tension", found, METRIC, 0)
    assert table is not None
    assert [row[0] for row in table.rows[:4]] == ["5.0 %", "10 %", "20 %", "25 %"]
    row = next(row for row in table.rows if row[0] == "50 %")
    state = solve(found.rig.with_walker_at(0.5 * found.rig.span))
    assert row[2:4] == (METRIC.force(state.tension_a), METRIC.force(state.tension_b))
    # Depth below the straight line, by hand: A (5, 8, 60), B (91, 58, 70).
    x, y, z = state.walker_point
    share = ((x - 5) * 86 + (y - 8) * 50) / (86**2 + 50**2)
    assert below_chord(state, state.walker_point) == pytest.approx(60 + 10 * share - z, abs=1e-9)
    assert row[5] == METRIC.length(60 + 10 * share - z)


def test_tight_bays_are_named_in_every_table() -> None:
    found = gathered.study("trap")
    loops = sheet_events.bays(found, METRIC)
    assert loops is not None
    column = loops.columns.index(METRIC.say("loops-state-walker"))
    assert all(isinstance(row[column], Loud) for row in loops.rows)
    numbers = [row[0] for row in loops.rows]
    assert numbers[0] == "1"
    assert numbers[-1] == str(len(found.taped.bays.length))
    look = sheet_events.inspection(found, METRIC)
    assert any("backup without slack" in row[2] and row[1].startswith("bays 1–") for row in look.rows)


def test_equal_neighbours_share_a_row_and_no_bay_is_lost() -> None:
    table = sheet_events.bays(gathered.study("incline"), METRIC)
    assert table is not None
    seen: list[int] = []
    for row in table.rows:
        first, _, last = row[0].partition("–")
        seen += range(int(first), int(last or first) + 1)
    assert seen == list(range(1, len(gathered.study("incline").taped.bays.length) + 1))


def test_feet_are_feet() -> None:
    """1 ft is 0.3048 m, 1 lbf is 4.4482 N (NIST SP 811, appendix B)."""
    found = gathered.study("trap")
    rows = {row[0]: row[1] for row in sheet_tables.lengths(found, FEET).rows}
    marks = next(value for name, value in rows.items() if "the mark that sits at B" in name)
    assert float(marks.removesuffix(" ft")) == pytest.approx(found.planned.layout.backup_length / 0.3048, abs=0.005)
    assert rows[FEET.say("sheet-lengths-main-a")] == f"{round(1800 / 4.4482216 / 10) * 10} lbf"


def test_the_cut_list_is_that_of_the_layout() -> None:
    found = gathered.study("incline")
    cuts = make_cut_list(found.planned)
    layout = found.planned.layout
    assert cuts.main_mark == pytest.approx(layout.tape_main)
    assert cuts.backup_mark == pytest.approx(layout.tape_backup)
    assert cuts.rigged_length == pytest.approx(float(found.standing.main.stretched_length.sum()))
    assert cuts.family.count("tie") == 1


@pytest.mark.parametrize(("paper", "size"), [("A4", (595.2756, 841.8898)), ("Letter", (612.0, 792.0))])
def test_the_paper_is_the_one_asked_for(tmp_path: Path, paper: str, size: tuple[float, float]) -> None:
    """ISO 216: A4 is 210 x 297 mm; Letter is 8.5 x 11 in."""
    pdf = write_sheet(tmp_path / "s.pdf", gathered.study("short"), paper=paper).read_bytes()  # type: ignore[arg-type]
    boxes = re.findall(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", pdf)
    assert len(boxes) >= 5
    assert {tuple(round(float(v), 1) for v in box) for box in boxes} == {tuple(round(v, 1) for v in size)}


def test_it_reads_without_colour(tmp_path: Path) -> None:
    """Every colour that the sheet itself sets is a grey."""
    pdf = write_sheet(tmp_path / "s.pdf", gathered.study("windy")).read_bytes()
    streams = re.findall(rb"/Filter \[ /FlateDecode \][^>]*>>\s*stream\r?\n(.*?)endstream", pdf, re.DOTALL)
    pages = [zlib.decompressobj().decompress(stream).decode("latin-1") for stream in streams]
    colours = [
        found for page in pages if " Tf " in page for found in re.findall(r"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG)", page)
    ]
    assert len(colours) > 100
    assert all(red == green == blue for red, green, blue in colours)


def test_pictures_find_their_section_by_what_they_say_of_themselves(tmp_path: Path) -> None:
    files = [
        picture(tmp_path / "b.png", "closeup", "settled"),
        picture(tmp_path / "a.png", "elevation", "as taped, walker at 24 m"),
        picture(tmp_path / "c.png", "a view of next year", "as taped"),
    ]
    assert [picture_of(file).section for file in files] == [10, 4, 10]
    text = text_of(write_sheet(tmp_path / "s.pdf", gathered.study("trap"), files))
    order = [
        text.index(words)
        for words in ("4 Elevation", "elevation: as taped, walker at 24 m", "10 What", "closeup: settled")
    ]
    assert order == sorted(order)


def test_a_picture_that_is_none_is_refused_by_name(tmp_path: Path) -> None:
    bad = tmp_path / "bad.png"
    bad.write_bytes(b"no picture")
    for file in (bad, tmp_path / "missing.png"):
        with pytest.raises(OutputError, match=file.name):
            write_sheet(tmp_path / "s.pdf", gathered.study("trap"), [file])
    cut = picture(tmp_path / "cut.png", "closeup", "settled", (300, 300))
    cut.write_bytes(cut.read_bytes()[:-30])
    with pytest.raises(OutputError, match=r"cut\.png"):
        write_sheet(tmp_path / "s.pdf", gathered.study("trap"), [cut])
    assert not (tmp_path / "s.pdf").exists()


def test_hostile_words_stay_words(tmp_path: Path) -> None:
    found = gathered.study("trap")
    name = "<b>Heron</b> & \"Gap\" <font color='red'>\x00\x07" + "x" * 300
    odd = InputNote(key="main.<i>x", value=Verbatim("</para><para>" + "y" * 400), known="guess")
    notes = (*found.inputs.notes, odd)
    rig = dataclasses.replace(found.rig, name=name, description="<script>&nbsp; ]]> Ωř \n" * 5)
    named = rigs.changed(found, rig=rig, inputs=Inputs(notes=notes))
    text = text_of(write_sheet(tmp_path / "s.pdf", named, author="<u>Ü"))
    assert "<b>Heron</b> & \"Gap\" <font color='red'>" in text
    assert "<script>&nbsp; ]]> Ωř" in text
    assert "main.<i>x" in text
    assert "made by <u>Ü" in text


def test_a_full_disk_leaves_the_old_sheet(tmp_path: Path) -> None:
    target = tmp_path / "s.pdf"
    target.write_bytes(b"old")
    limit = resource.getrlimit(resource.RLIMIT_FSIZE)
    ignored = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, limit[1]))  # the kernel then refuses as a full disk does
    try:
        with pytest.raises(OutputError, match="cannot be written"):
            write_sheet(target, gathered.study("short"))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limit)
        signal.signal(signal.SIGXFSZ, ignored)
    assert target.read_bytes() == b"old"
    assert [file.name for file in tmp_path.iterdir()] == ["s.pdf"]


def test_refusals_and_progress(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="A4, Letter"):
        write_sheet(tmp_path / "s.pdf", gathered.study("short"), paper="A9")  # type: ignore[arg-type]
    with pytest.raises(OutputError):
        write_sheet(tmp_path / "nowhere" / "s.pdf", gathered.study("short"))
    assert list(tmp_path.iterdir()) == []
    told: list[float] = []
    write_sheet(tmp_path / "s.pdf", gathered.study("short"), progress=lambda share, what: told.append(share))
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_how_each_kind_of_tape_is_made_stands_on_the_last_pages(tmp_path: Path) -> None:
    """A page for each kind in use, with the steps in words and pictures."""
    study = gathered.study("windy")
    text = " ".join(text_of(write_sheet(tmp_path / "s.pdf", study)).split())
    for tape in study.cuts.tapes.values():
        place = text.index(f"How it is made: {messages.card_title(tape, METRIC)}")
        for step in messages.steps(tape, METRIC):
            assert " ".join(step.split()[:4]) in text[place:]
