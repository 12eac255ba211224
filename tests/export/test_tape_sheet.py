"""The printed tape plan: written whole, with the right page size, true to scale."""

from __future__ import annotations

import re
import subprocess
import sys
import zlib
from base64 import a85decode
from pathlib import Path

import numpy as np
import pytest

from linescope.errors import OutputError
from linescope.export.tape_drawings import draw_strip_row, points, ruler, strip_rows
from linescope.export.tape_sheet import write_csv, write_pdf
from linescope.taping import FAMILIES, CutList, Holds, Section, TapeStock, tape_plan


def plan(section: Section | None = None, width: float = 0.048) -> CutList:
    """An invented line of 40 m with one tape of every kind."""
    kinds = [(key, holds) for key, family in FAMILIES.items() for holds in family.can_hold]
    marks = np.linspace(0.0, 40.0, len(kinds) + 2)[1:-1]
    return tape_plan(
        section=section
        or Section(main_width=0.025, main_thickness=0.0028, backup_width=0.025, backup_thickness=0.0028),
        stock=TapeStock(width=width, thickness=0.00015),
        main_mark=marks,
        backup_mark=1.05 * marks,
        rigged=1.02 * marks,
        main_length=40.0,
        backup_length=42.0,
        rigged_length=40.8,
        family=[key for key, _ in kinds],
        holds=[holds for _, holds in kinds],
    )


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


@pytest.mark.parametrize(("paper", "size"), [("A4", (595.2756, 841.8898)), ("Letter", (612.0, 792.0))])
def test_pages_have_the_paper_asked_for_and_a_title(tmp_path: Path, paper: str, size: tuple[float, float]) -> None:
    """ISO 216: A4 is 210 x 297 mm; Letter is 8.5 x 11 in."""
    pdf = write_pdf(tmp_path / "t.pdf", plan(), title="Invented line", paper=paper).read_bytes()  # type: ignore[arg-type]
    boxes = re.findall(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", pdf)
    assert len(boxes) >= 8
    assert [float(v) for v in boxes[0]] == pytest.approx(size, abs=0.01)
    assert b"Invented line: tape plan" in pdf


def test_the_check_ruler_on_every_page_is_100_mm(tmp_path: Path) -> None:
    """100 mm are 283.4646 points (1 point = 1/72 in)."""
    pages = page_contents(write_pdf(tmp_path / "t.pdf", plan()).read_bytes())
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
    tape = plan().tapes[key, holds]
    rows = strip_rows(tape, 0.17)
    outlines = []
    for row in rows:
        pen = _Pen()
        draw_strip_row(pen, tape, row, 5.0, 7.0, "metric")
        wide = [box[2] for box in pen.boxes if box[0] == 5.0 and box[3] == points(tape.stock.width)]
        outlines.append(max(wide))
    assert max(outlines) <= points(0.17) + 1e-9
    assert sum(outlines) * 0.0254 / 72 == pytest.approx(tape.cut_length)


def test_the_ruler_has_a_line_for_every_millimetre() -> None:
    pen = _Pen()
    ruler(pen, 0.0, 0.0, "metric")
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
        Section(main_width=0.048, main_thickness=0.003, backup_width=0.020, backup_thickness=0.002),
    ],
    ids=["rope", "wide main"],
)
def test_other_stacks_and_narrow_tape_print_too(tmp_path: Path, section: Section) -> None:
    assert write_pdf(tmp_path / "t.pdf", plan(section, 0.019), units="feet").stat().st_size > 20_000


def test_a_file_that_cannot_be_written_is_an_output_error_and_leaves_nothing(tmp_path: Path) -> None:
    for write in (write_pdf, write_csv):
        with pytest.raises(OutputError):
            write(tmp_path / "missing" / "t.out", plan())
    with pytest.raises(OutputError, match="A4, Letter"):
        write_pdf(tmp_path / "t.pdf", plan(), paper="A9")  # type: ignore[arg-type]
    assert list(tmp_path.iterdir()) == []


def test_csv_is_written_whole(tmp_path: Path) -> None:
    text = write_csv(tmp_path / "t.csv", plan()).read_text()
    assert len(text.splitlines()) == 1 + 7


def test_importing_the_sheet_does_not_load_reportlab() -> None:
    code = "import linescope.export.tape_sheet, sys; sys.exit('reportlab' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
