"""The tape plan on paper, and as CSV: cut list, one page of drawings at 1:1 for each kind of tape, family
notes."""

from __future__ import annotations

import io
import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

from linescope.atomic import write_bytes, write_text
from linescope.errors import OutputError
from linescope.export.ink import on_canvas
from linescope.export.tape_drawings import BOLD, FONT, draw_section, draw_strip_row, points, ruler, strip_rows
from linescope.notes import Quantity, Ruled, Verbatim, ranked
from linescope.stage.ink import Drawing as Ink
from linescope.stage.tape_card import step_drawings
from linescope.stage.tape_slips import slip_drawing
from linescope.stage.theme import LIGHT
from linescope.taping import CutList, Holds, LaidTape
from linescope.taping.remarks import notes_on
from linescope.topics.tapes import messages
from linescope.topics.tapes.data import tape_csv
from linescope.topics.tapes.tables import tape_rows
from linescope.words import Words
from linescope.words.table import Table

if TYPE_CHECKING:
    from linescope.export.sheet import Paper

_EDGE = 42.0  # Page margin. [points]
_FOOT = 54.0  # Kept free below for ruler and cautions. [points]


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
    title: str = "",
    words: Words | None = None,
    paper: Paper = "A4",
    manner: messages.Manner = messages.USUAL,
    tried: str = "",
) -> Path:
    """Write the tape plan for printing at 100 %.

    Parameters
    ----------
    path : str or Path
        Where to; the file appears whole or not at all.
    cut_list : CutList
    title : str
        Name of the rig, on every page and in the file's properties.
    words : Words, optional
        Metric and English when left out.
    paper : {"A4", "Letter"}
    manner : Manner
        How they are taped.
    tried : str
        What was tried in place of the file's values, as `frame.tried` says it; on every page.

    Raises
    ------
    OutputError
        When the file cannot be written or the paper is unknown.
    """
    from reportlab.lib.pagesizes import A4, letter
    from reportlab.lib.utils import simpleSplit
    from reportlab.platypus import PageBreak, SimpleDocTemplate

    sizes = {"A4": A4, "Letter": letter}
    if paper not in sizes:
        raise OutputError("no such paper", file=path, key="paper", found=paper, allowed=", ".join(sizes))
    fonts()
    words = words or Words()
    size, title = sizes[paper], title or words.say("tapes-plan")
    tables = tape_rows(cut_list, words)
    width = size[0] - 2 * _EDGE
    story: list[Any] = [*_table(tables["kinds"], width, (2, 1.1, 0.9, 1.2, 1.2, 0.9, 2, 3.3, 2, 2))]
    story += _table(tables["totals"], 0.8 * width, (1.5, 2))
    story += [_paragraph(line, _style("text", 7.5)) for line in words.notes(ranked(notes_on(cut_list)))]
    kinds = list(cut_list.tapes.values())
    if any(tape.coverage is not None for tape in kinds):
        held = "main" if any(tape.holds is Holds.MAIN for tape in kinds) else "backup"
        story.append(_paragraph(messages.one_go(held, words), _style("text", 7.5)))
    story += [_paragraph(messages.first_strip(tape, words), _style("text", 7.5)) for tape in kinds[:1]]
    for order in (cut_list, cut_list.reversed()):
        table = tape_rows(order, words)["tapes"]
        marks = len(table.columns) - 5
        story += _table(table, width, (0.6, 2, 1.1, 1.4, *[1.25] * marks, 1.2))
    for tape in kinds:
        story += [PageBreak(), *_family_page(tape, cut_list, width, words, manner, size is A4)]

    above = simpleSplit(tried, BOLD, 7, width)

    def furniture(canvas: Any, document: Any) -> None:
        canvas.saveState()
        canvas.setFont(BOLD, 8)
        canvas.drawString(_EDGE, size[1] - 28, title[:90])
        canvas.setFont(FONT, 7)
        canvas.drawRightString(size[0] - _EDGE, size[1] - 28, words.say("tapes-plan-page", page=document.page))
        canvas.setFont(BOLD, 7)
        canvas.setFillColor(LIGHT.colours["alarm"])
        for k, line in enumerate(above):
            canvas.drawString(_EDGE, size[1] - 38 - 9 * k, line)
        canvas.setFillColor("black")
        ruler(canvas, _EDGE, 44, words)
        for k, line in enumerate(_wrapped(canvas, words.say("tapes-plan-caution"), width)):
            canvas.drawString(_EDGE, 26 - 8 * k, line)
        canvas.restoreState()

    buffer = io.BytesIO()
    document = SimpleDocTemplate(
        buffer,
        pagesize=size,
        leftMargin=_EDGE,
        rightMargin=_EDGE,
        topMargin=40 + 9 * len(above),
        bottomMargin=_FOOT + 12,
        title=words.say("tapes-plan-title", name=Verbatim(title)),
        author="linescope",
        subject=words.say("tapes-plan-subject"),
    )
    document.build(story, onFirstPage=furniture, onLaterPages=furniture)
    return write_bytes(path, buffer.getvalue())


def fonts() -> None:
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


def _family_page(
    tape: LaidTape, cut_list: CutList, width: float, words: Words, manner: messages.Manner, tall: bool
) -> list[Any]:
    """Heading, figures, steps, section, strip, slips and notes of one kind of tape."""
    from reportlab.platypus import KeepTogether, PageBreak, Spacer

    text, head = _style("text", 7.5), _style("head2", 8.5, font=BOLD, spaceBefore=5, spaceAfter=1)
    bought, stock = tape.tape, tape.stock
    figures = [
        words.say(
            "tapes-plan-cut", length=Ruled(tape.cut_length), pieces=tape.pieces, piece=Ruled(tape.piece_length),
            width=Ruled(bought.width), thickness=Quantity(bought.thickness, "length"),
        ),
        words.say(
            "tapes-plan-turns", turns=messages.turns_of(tape.turns), end=messages.end_words(tape.finish, words)
        ),
        words.say(
            "tapes-plan-whole", wraps=messages.turns_of(stock.wraps), whole=messages.whole_words(tape, cut_list, words)
        ),
        words.say("tapes-plan-dry", dry=messages.dry_words(tape, words), round=Ruled(tape.section.perimeter)),
    ]
    title = messages.card_title(tape, words)
    return [
        _paragraph(title[:1].upper() + title[1:], _style("h1", 13, font=BOLD, spaceAfter=3)),
        *[_paragraph(line, text) for line in figures],
        _paragraph(words.say("tapes-plan-steps"), head),
        _paragraph(f"{words.say('tapes-terms')} {messages.drawn(words, manner)}", text),
        steps(tape, width, words, manner, beside=26.0 if tall else 54.0),
        PageBreak(),
        _paragraph(words.say("tapes-plan-section"), head),
        _drawing(_SectionPair(tape, width, words)),
        _paragraph(words.say("tapes-plan-strip-heading"), head),
        *[_drawing(_StripRow(tape, row, width, words)) for row in strip_rows(tape, width * 0.0254 / 72.0 - 0.004)],
        Spacer(1, 4),
        KeepTogether([_drawing(_InkPicture(slip_drawing(tape, words, columns=2), width))]),
        KeepTogether([
            _paragraph(words.say("tapes-plan-notes"), head),
            *[_paragraph(f"{name}: {line}", text) for name, line in messages.sides(tape, words)],
        ]),
    ]


def steps(
    tape: LaidTape, width: float, words: Words, manner: messages.Manner = messages.USUAL, *, grey: bool = False,
    beside: float = 26.0,
) -> Any:
    """Pictures of the steps in two columns, each with its words below, and what to try and to heed, as a flowable.

    Parameters
    ----------
    tape : LaidTape
    width : float
        [points]
    words : Words
    manner : Manner
    grey : bool
        Without colour.
    beside : float
        Free beside each picture.  [points]
    """
    from reportlab.platypus import Table as Grid

    wide = 0.5 * width - beside
    drawings = step_drawings(tape, words, manner)
    cells = [
        [_drawing(_InkPicture(drawing, wide, grey)), _paragraph(f"{k}. {drawing.title}", _style("step", 8))]
        for k, drawing in enumerate(drawings, 1)
    ]
    hints = [_paragraph(line, _style("hint", 8, spaceAfter=4)) for line in messages.hints(tape, words)]
    if len(cells) % 2:
        cells.append(hints)
    else:
        cells += [hints[:1], hints[1:]]
    rows = [cells[k : k + 2] for k in range(0, len(cells), 2)]
    return Grid(
        rows, colWidths=[0.5 * width] * 2, hAlign="LEFT",
        style=[
            ("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 2),
            ("TOPPADDING", (0, 0), (-1, -1), 2), ("RIGHTPADDING", (0, 0), (-1, -1), 6),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
        ],
    )


class _InkPicture:
    """A drawing in ink."""

    def __init__(self, drawing: Ink, width: float, grey: bool = False) -> None:
        self.drawing, self.width, self.grey = drawing, width, grey
        self.height = width * drawing.size[1] / drawing.size[0]

    def draw(self, canvas: Any) -> None:
        on_canvas(canvas, self.drawing, 0.0, 0.0, self.width, grey=self.grey)


class _SectionPair:
    """The section at 1:1 and enlarged, side by side."""

    def __init__(self, tape: LaidTape, width: float, words: Words) -> None:
        self.tape, self.width, self.words = tape, width, words
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
        draw_section(canvas, self.tape, 1.0, left, middle + 0.5 * self.tall - up, self.words)
        canvas.drawCentredString(left, middle - 0.5 * self.tall - 24, "1:1")
        right = self.wide + 50 + 0.5 * self.wide * self.scale
        level = middle + (0.5 * self.tall - up) * self.scale
        draw_section(canvas, self.tape, float(self.scale), right, level, self.words)
        canvas.setFont(FONT, 7)
        canvas.drawString(right - 0.5 * self.wide * self.scale, 1, f"{self.scale}:1")


class _StripRow:
    """One row of the strip at 1:1."""

    def __init__(self, tape: LaidTape, row: tuple[float, float], width: float, words: Words) -> None:
        self.tape, self.row, self.width, self.words = tape, row, width, words
        self.over = points(0.5 * max(0.0, tape.piece_length - tape.tape.width))
        self.height = points(tape.tape.width) + 2 * self.over + 26

    def draw(self, canvas: Any) -> None:
        draw_strip_row(canvas, self.tape, self.row, 2.0, 12.0 + self.over, self.words)


def _drawing(drawing: _SectionPair | _StripRow | _InkPicture) -> Any:
    """A drawing as something that flows between paragraphs."""
    from reportlab.platypus import Flowable

    class Drawing(Flowable):  # type: ignore[misc]
        def wrap(self, width: float, height: float) -> tuple[float, float]:
            return drawing.width, drawing.height

        def draw(self) -> None:
            drawing.draw(self.canv)

    return Drawing()
