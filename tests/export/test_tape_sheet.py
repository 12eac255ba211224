"""The printed tape plan: written whole, with the right page size, true to scale."""

from __future__ import annotations

import re
import subprocess
import sys
import zlib
from base64 import a85decode
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from reportlab.pdfgen.canvas import Canvas

from linescope.errors import OutputError
from linescope.export.tape_drawings import draw_strip_row, points, ruler, strip_rows
from linescope.export.tape_sheet import write_csv, write_pdf
from linescope.taping import FAMILIES, Holds, Section
from linescope.words import Words, frame
from tests.stage import rigs
from tests.taping.kinds import one_of_every_kind


def page_contents(pdf: bytes) -> list[str]:
    """The drawing orders of every page, unpacked."""
    streams = re.findall(rb"/Filter \[ /ASCII85Decode /FlateDecode \][^>]*>>\s*stream\s*(.*?)endstream", pdf, re.DOTALL)
    texts = [
        zlib.decompress(
            a85decode(s.strip(), adobe=False) if not s.strip().endswith(b"~>") else a85decode(s.strip()[:-2])
        )
        for s in streams
    ]
    return [t.decode("latin-1") for t in texts if b" re" in t or b" l " in t]


@pytest.fixture(scope="module")
def every_kind(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The plan of every kind of tape, on A4."""
    folder = tmp_path_factory.mktemp("plan")
    return write_pdf(folder / "t.pdf", one_of_every_kind(), title="Invented line").read_bytes()


@pytest.mark.parametrize(("paper", "size"), [("A4", (595.2756, 841.8898)), ("Letter", (612.0, 792.0))])
def test_pages_have_the_paper_asked_for_and_a_title(
    tmp_path: Path, every_kind: bytes, paper: str, size: tuple[float, float]
) -> None:
    """ISO 216: A4 is 210 x 297 mm; Letter is 8.5 x 11 in."""
    pdf = every_kind
    if paper != "A4":
        pdf = write_pdf(tmp_path / "t.pdf", one_of_every_kind(), title="Invented line", paper=paper).read_bytes()  # type: ignore[arg-type]
    boxes = re.findall(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", pdf)
    assert len(boxes) >= 8
    assert [float(v) for v in boxes[0]] == pytest.approx(size, abs=0.01)
    assert b"Invented line: tape plan" in pdf


def test_the_check_ruler_on_every_page_is_100_mm(every_kind: bytes) -> None:
    """100 mm are 283.4646 points (1 point = 1/72 in)."""
    pages = page_contents(every_kind)
    assert len(pages) >= 8
    for page in pages:
        lines = re.findall(r"n ([\d.]+) 44 m ([\d.]+) 44 l S", page)
        assert [round(float(b) - float(a), 2) for a, b in lines] == [283.46]


class _Pen:
    """Collects what is drawn, in place of a page."""

    def __init__(self) -> None:
        self.boxes: list[tuple[float, ...]] = []
        self.lines: list[tuple[float, ...]] = []

    def rect(self, *box: float, **_: object) -> None:
        self.boxes.append(box)

    def line(self, *ends: float) -> None:
        self.lines.append(ends)

    def stringWidth(self, text: str, *_: object) -> float:
        return 4.0 * len(text)

    def __getattr__(self, _: str) -> object:
        return lambda *args, **kwargs: self


@pytest.mark.parametrize(("key", "holds"), [(k, h) for k, f in FAMILIES.items() for h in f.can_hold])
def test_the_rows_of_a_strip_add_up_to_its_length_on_paper(key: str, holds: Holds) -> None:
    tape = one_of_every_kind().tapes[key, holds]
    rows = strip_rows(tape, 0.17)
    outlines = []
    for row in rows:
        pen = _Pen()
        draw_strip_row(pen, tape, row, 5.0, 7.0, Words())
        wide = [box[2] for box in pen.boxes if box[0] == 5.0 and box[3] == points(tape.tape.width)]
        outlines.append(max(wide))
    assert max(outlines) <= points(0.17) + 1e-9
    assert sum(outlines) * 0.0254 / 72 == pytest.approx(tape.cut_length)


def test_strips_in_the_file_measure_what_is_to_be_cut(every_kind: bytes) -> None:
    """Outlines of the strips' rows on the pages: as wide together as the strips are long, as high as the tape is wide.

    Outlines are stroked and not filled, and nothing on the way to them scales: 1 point is 25.4 / 72 mm, to 0.01 mm.
    """
    cuts = one_of_every_kind()
    pages = page_contents(every_kind)
    found = {False: 0.0, True: 0.0}
    for page in pages:
        for _, _, wide, high in re.findall(r"n (\S+) (\S+) (\S+) (\S+) re S", page):
            for cloth, tape in ((False, cuts.stock.strong), (True, cuts.stock.cloth)):
                if abs(float(high) - points(tape.width)) < 0.01 and float(wide) > points(0.06):
                    found[cloth] += float(wide)
    for cloth, total in found.items():
        strips = sum(tape.cut_length for tape in cuts.tapes.values() if tape.tape.is_cloth is cloth)
        assert total * 25.4 / 72 == pytest.approx(1e3 * strips, abs=0.1)


def test_every_kind_has_its_steps_in_pictures(every_kind: bytes) -> None:
    """Perspective is drawn as areas on the page itself; before them nothing but the ruler scales."""
    pages = page_contents(every_kind)
    drawn = [page for page in pages if page.count(" rg") > 300]
    assert len(drawn) == 7


def test_the_ruler_has_a_line_for_every_millimetre() -> None:
    pen = _Pen()
    ruler(pen, 0.0, 0.0, Words())
    ticks = sorted(line[0] for line in pen.lines if line[0] == line[2])
    assert np.diff(ticks) == pytest.approx([72 / 25.4] * 100)


@pytest.mark.parametrize(
    "section",
    [
        Section(
            main_width=0.025,
            main_thickness=0.0028,
            backup_width=0.009,
            backup_thickness=0.009,
            backup_is_rope=True,
        ),
        pytest.param(
            Section(main_width=0.048, main_thickness=0.003, backup_width=0.020, backup_thickness=0.002),
            marks=pytest.mark.long,
        ),
    ],
    ids=["rope", "wide main"],
)
def test_other_stacks_and_narrow_tape_print_too(tmp_path: Path, section: Section) -> None:
    assert write_pdf(tmp_path / "t.pdf", one_of_every_kind(section, 0.019), words=Words("feet")).stat().st_size > 20_000


def test_a_file_that_cannot_be_written_is_an_output_error_and_leaves_nothing(tmp_path: Path) -> None:
    for write in (write_pdf, write_csv):
        with pytest.raises(OutputError):
            write(tmp_path / "missing" / "t.out", one_of_every_kind())
    with pytest.raises(OutputError, match="A4, Letter"):
        write_pdf(tmp_path / "t.pdf", one_of_every_kind(), paper="A9")  # type: ignore[arg-type]
    assert list(tmp_path.iterdir()) == []


def test_csv_is_written_whole(tmp_path: Path) -> None:
    text = write_csv(tmp_path / "t.csv", one_of_every_kind()).read_text()
    assert len(text.splitlines()) == 1 + 7 + 1  # The far anchor has a row too.


def test_importing_the_sheet_does_not_load_reportlab() -> None:
    code = "import linescope.export.tape_sheet, sys; sys.exit('reportlab' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_what_is_tried_stands_on_every_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[tuple[int, str]] = []
    usual = Canvas.drawString

    def noted(self: Any, x: float, y: float, text: str, *more: Any, **named: Any) -> None:
        drawn.append((self.getPageNumber(), text))
        usual(self, x, y, text, *more, **named)

    monkeypatch.setattr(Canvas, "drawString", noted)
    for system, values in (("metric", ("4.5 kN", "3.0 kN")), ("feet", ("1010 lbf", "674 lbf"))):
        told = frame.tried(rigs.TRIED, Words(system))  # type: ignore[arg-type]
        assert all(value in told.replace("\u00a0", " ") for value in values)
        drawn.clear()
        pdf = write_pdf(tmp_path / "t.pdf", one_of_every_kind(most=2), tried=told).read_bytes()
        pages = len(re.findall(rb"/MediaBox", pdf))
        assert pages >= 2
        assert [page for page, text in drawn if text == told] == [*range(1, pages + 1)]
    drawn.clear()
    write_pdf(tmp_path / "t.pdf", one_of_every_kind(most=1))
    assert drawn and not [text for _, text in drawn if "Tried" in text]
