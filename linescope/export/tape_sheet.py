"""The tape plan on paper, and as CSV: cut list, one page of drawings at 1:1 for each kind of tape, family
notes."""

from __future__ import annotations

import io
import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

from linescope.atomic import write_bytes, write_text
from linescope.errors import OutputError
from linescope.export.tape_drawings import BOLD, FONT, draw_section, draw_strip_row, points, ruler, strip_rows
from linescope.report.tapes import (
    PRACTICE,
    Table,
    dry_words,
    finish_words,
    short_length,
    tape_csv,
    tape_rows,
    whole_wraps_words,
)
from linescope.taping import CutList, LaidTape
from linescope.units import System

if TYPE_CHECKING:
    from linescope.export.sheet import Paper

_EDGE = 42.0  # Page margin. [points]
_FOOT = 54.0  # Kept free below for ruler and cautions. [points]
_CAUTION = (
    "Plan, not permission. Tapes position the backup; they are no load path. Geometry assumes lines that "
    "do not squeeze: soft webbing takes 5 to 15 % less (common practice, no source). Make one and measure it "
    "before cutting all."
)


def write_csv(path: str | Path, cut_list: CutList) -> Path:
    """Write the cut list as CSV, whole or not at all.

    Raises
    ------
    OutputError
        When the file cannot be written.
    """
    return write_text(path, tape_csv(cut_list))


def write_pdf(
    path: str | Path,
    cut_list: CutList,
    *,
    title: str = "Tape plan",
    units: System = "metric",
    paper: Paper = "A4",
) -> Path:
    """Write the tape plan for printing at 100 %.

    Parameters
    ----------
    path : str or Path
        Where to; the file appears whole or not at all.
    cut_list : CutList
    title : str
        Name of the rig, on every page and in the file's properties.
    units : {"metric", "feet"}
    paper : {"A4", "Letter"}

    Raises
    ------
    OutputError
        When the file cannot be written or the paper is unknown.
    """
    from reportlab.lib.pagesizes import A4, letter
    from reportlab.platypus import PageBreak, SimpleDocTemplate

    sizes = {"A4": A4, "Letter": letter}
    if paper not in sizes:
        raise OutputError("no such paper", file=path, key="paper", found=paper, allowed=", ".join(sizes))
    _fonts()
    size = sizes[paper]
    tables = tape_rows(cut_list, units)
    width = size[0] - 2 * _EDGE
    story: list[Any] = [*_table(tables["kinds"], width, (2, 1.1, 0.9, 1.2, 1.4, 0.9, 2.2, 3.3, 3))]
    story += _table(tables["totals"], 0.8 * width, (1.5, 2))
    for order in (cut_list, cut_list.reversed()):
        table = tape_rows(order, units)["tapes"]
        marks = len(table.columns) - 5
        story += _table(table, width, (0.6, 2, 1.1, 1.4, *[1.25] * marks, 1.2))
    for tape in cut_list.tapes.values():
        story += [PageBreak(), *_family_page(tape, width, units)]

    def furniture(canvas: Any, document: Any) -> None:
        canvas.saveState()
        canvas.setFont(BOLD, 8)
        canvas.drawString(_EDGE, size[1] - 28, title[:90])
        canvas.setFont(FONT, 7)
        canvas.drawRightString(size[0] - _EDGE, size[1] - 28, f"Tape plan, page {document.page}")
        ruler(canvas, _EDGE, 44, units)
        for k, line in enumerate(_wrapped(canvas, _CAUTION, width)):
            canvas.drawString(_EDGE, 26 - 8 * k, line)
        canvas.restoreState()

    buffer = io.BytesIO()
    document = SimpleDocTemplate(
        buffer,
        pagesize=size,
        leftMargin=_EDGE,
        rightMargin=_EDGE,
        topMargin=40,
        bottomMargin=_FOOT + 12,
        title=f"{title}: tape plan",
        author="linescope",
        subject="Tapes: cut list, marks, sections at 1:1",
    )
    document.build(story, onFirstPage=furniture, onLaterPages=furniture)
    return write_bytes(path, buffer.getvalue())


def _fonts() -> None:
    """Register the fonts that come with reportlab, so that the file carries what it shows."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for name in (FONT, BOLD):
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, f"{name}.ttf"))


def _wrapped(canvas: Any, text: str, width: float) -> list[str]:
    from reportlab.lib.utils import simpleSplit

    canvas.setFont(FONT, 6)
    return list(simpleSplit(text, FONT, 6, width))


def _style(name: str, size: float, **more: Any) -> Any:
    from reportlab.lib.styles import ParagraphStyle

    return ParagraphStyle(name, fontName=more.pop("font", FONT), fontSize=size, leading=1.25 * size, **more)


def _paragraph(text: str, style: Any) -> Any:
    from xml.sax.saxutils import escape

    from reportlab.platypus import Paragraph

    return Paragraph(escape(text), style)


def _table(table: Table, width: float, shares: tuple[float, ...]) -> list[Any]:
    """A heading and a table whose columns share `width` [points]."""
    from reportlab.platypus import Spacer
    from reportlab.platypus import Table as Grid

    small, strong = _style("cell", 6.5), _style("head", 6.5, font=BOLD)
    cells = [[_paragraph(text, strong) for text in table.columns]]
    cells += [[_paragraph(text, small) for text in row] for row in table.rows]
    grid = Grid(
        cells,
        colWidths=[width * share / sum(shares) for share in shares],
        repeatRows=1,
        hAlign="LEFT",
        style=[
            ("GRID", (0, 0), (-1, -1), 0.25, "black"),
            ("BACKGROUND", (0, 0), (-1, 0), "#dddddd"),
            ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
            ("TOPPADDING", (0, 0), (-1, -1), 1.5),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
            ("LEFTPADDING", (0, 0), (-1, -1), 2.5),
            ("RIGHTPADDING", (0, 0), (-1, -1), 2.5),
        ],
    )
    return [
        _paragraph(table.title, _style("title", 10, font=BOLD, spaceBefore=8, spaceAfter=4)),
        grid,
        Spacer(1, 6),
    ]


def _family_page(tape: LaidTape, width: float, units: System) -> list[Any]:
    """Heading, figures, section, strip and notes of one kind of tape."""
    from reportlab.platypus import KeepTogether, Spacer

    def short(value: float) -> str:
        return short_length(value, units)

    text, head = _style("text", 7.5), _style("head2", 8.5, font=BOLD, spaceBefore=5, spaceAfter=1)
    stock, section = tape.stock, tape.section
    patches = tape.wrapping.patches
    pieces = f", and {patches} cross piece{'s' * (patches > 1)} of {short(tape.patch_length)}" if patches else ""
    tape_words = f"from tape {short(stock.width)} wide and {stock.thickness * 1000:.2g} mm thick"
    turns, end = f"{tape.wrapping.turns:.1f} turns", finish_words(tape.finish, units)
    round_words = f"Way round the bare lines: {short(section.perimeter)}; lead {short(tape.wrapping.lead)}."
    figures = [
        f"Cut {short(tape.cut_length)}{pieces}, {tape_words}.",
        f"It goes {turns} round the lines and ends here: {end}.",
        f"Cut for {stock.wraps:g} wraps it would be {whole_wraps_words(tape, units)}.",
        f"Dry zone: {dry_words(tape, units)}. {round_words}",
    ]
    story = [
        _paragraph(f"{tape.family.key}: holds {tape.holds.value}", _style("h1", 13, font=BOLD, spaceAfter=3)),
        *[_paragraph(line, text) for line in figures],
        _paragraph("Section: ring, beginning; triangle, end; thick, dry zone; grey, held line", head),
        _drawing(_SectionPair(tape, width)),
        _paragraph("Strip at 1:1, sticky side towards you; millimetres along the strip", head),
        *[_drawing(_StripRow(tape, row, width, units)) for row in strip_rows(tape, width * 0.0254 / 72.0 - 0.004)],
    ]
    notes = (
        ("How", tape.family.steps),
        ("What slides", tape.family.slides),
        ("What it costs", tape.family.costs),
        ("What goes wrong", tape.family.goes_wrong),
    )
    block = [_paragraph(f"Notes ({PRACTICE[0].lower()}{PRACTICE[1:-1]})", head)]
    block += [_paragraph(f"{name}: {' '.join(lines)}", text) for name, lines in notes]
    return [*story, Spacer(1, 4), KeepTogether(block)]


class _SectionPair:
    """The section at 1:1 and enlarged, side by side."""

    def __init__(self, tape: LaidTape, width: float) -> None:
        self.tape, self.width = tape, width
        self.wide = points(max(tape.section.main_width, tape.section.backup_width))
        self.tall = points(tape.section.height)
        self.scale = max(1, min(5, math.floor((width - 2.0 * self.wide - 140) / self.wide)))
        self.height = self.tall * self.scale + 56

    def draw(self, canvas: Any) -> None:
        section = self.tape.section
        up = points(section.main_thickness)
        middle = 0.5 * self.height + 4
        canvas.setFont(FONT, 7)
        left = 0.5 * self.wide + 10
        draw_section(canvas, self.tape, 1.0, left, middle + 0.5 * self.tall - up)
        canvas.drawCentredString(left, middle - 0.5 * self.tall - 24, "1:1")
        right = self.wide + 50 + 0.5 * self.wide * self.scale
        draw_section(canvas, self.tape, float(self.scale), right, middle + (0.5 * self.tall - up) * self.scale)
        canvas.setFont(FONT, 7)
        canvas.drawString(right - 0.5 * self.wide * self.scale, 1, f"{self.scale}:1")


class _StripRow:
    """One row of the strip at 1:1."""

    def __init__(self, tape: LaidTape, row: tuple[float, float], width: float, units: System) -> None:
        self.tape, self.row, self.width, self.units = tape, row, width, units
        self.over = points(0.5 * max(0.0, tape.patch_length - tape.stock.width))
        self.height = points(tape.stock.width) + 2 * self.over + 26

    def draw(self, canvas: Any) -> None:
        draw_strip_row(canvas, self.tape, self.row, 2.0, 12.0 + self.over, self.units)


def _drawing(drawing: _SectionPair | _StripRow) -> Any:
    """A drawing as something that flows between paragraphs."""
    from reportlab.platypus import Flowable

    class Drawing(Flowable):  # type: ignore[misc]
        def wrap(self, width: float, height: float) -> tuple[float, float]:
            return drawing.width, drawing.height

        def draw(self) -> None:
            drawing.draw(self.canv)

    return Drawing()
