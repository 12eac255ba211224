"""Pieces of the sheet for reportlab: paragraphs, tables that break over pages, pictures, lines to write on."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from PIL import Image

from linescope.errors import OutputError
from linescope.export.ink import registered
from linescope.words import Loud
from linescope.words.table import Table

TEXT, SMALL, CELL = 8.2, 7.2, 6.8
_BLOCK = 24  # A table with more rows may break over pages; a shorter one stays together.


@contextmanager
def binary() -> Iterator[None]:
    """Streams enter a file as they are: reportlab would spell them in letters, slowly and a quarter larger."""
    from reportlab import rl_config

    before, rl_config.useA85 = rl_config.useA85, 0
    try:
        yield
    finally:
        rl_config.useA85 = before


def style(size: float, *, strong: bool = False, **more: Any) -> Any:
    """A paragraph style.  [points]"""
    from reportlab.lib.styles import ParagraphStyle

    face = registered(strong=strong)
    return ParagraphStyle(f"{face}{size}", fontName=face, fontSize=size, leading=1.28 * size, splitLongWords=1, **more)


def clean(text: str, *, strong: bool = False) -> str:
    """Text as it may stand in a paragraph: markup escaped, no control characters, rare letters in the usual face."""
    said = "".join(letter if letter.isprintable() or letter == "\u00a0" else " " for letter in text)
    own = registered(strong=strong)
    parts = []
    for name, run in itertools.groupby(said, key=lambda letter: registered(letter, strong)):
        piece = escape("".join(run))
        parts.append(piece if name == own else f'<font name="{name}">{piece}</font>')
    return "".join(parts)


def words(text: str, size: float = TEXT, *, strong: bool = False, **more: Any) -> Any:
    """A paragraph of plain text."""
    from reportlab.platypus import Paragraph

    return Paragraph(clean(text, strong=strong), style(size, strong=strong, **more))


def heading(text: str) -> Any:
    """The title of one of the sixteen sections, told to a canvas that keeps `headings` of its page."""
    from reportlab.platypus import Paragraph

    class Heading(Paragraph):  # type: ignore[misc]
        def draw(self) -> None:
            if hasattr(self.canv, "headings"):
                self.canv.headings.append(text)
            super().draw()

    look = style(11.5, strong=True, spaceBefore=10, spaceAfter=3, keepWithNext=1)
    return Heading(clean(text, strong=True), look)


def note(text: str) -> Any:
    """Small words under a table or picture."""
    return words(text, SMALL, spaceBefore=1, spaceAfter=3)


def alarm(text: str) -> Any:
    """What must be read: a black bar at its left, strong, so that it reads without colour."""
    from reportlab.platypus import Paragraph
    from reportlab.platypus import Table as Grid

    line = Paragraph(clean(text, strong=True), style(TEXT, strong=True))
    return Grid(
        [[line]],
        colWidths=["100%"],
        hAlign="LEFT",
        spaceBefore=2,
        spaceAfter=2,
        style=[
            ("LINEBEFORE", (0, 0), (0, -1), 4, "black"),
            ("BOX", (0, 0), (-1, -1), 0.6, "black"),
            ("LEFTPADDING", (0, 0), (-1, -1), 8),
            ("TOPPADDING", (0, 0), (-1, -1), 2),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
        ],
    )


def _widths(table: Table, width: float, empty: Sequence[int]) -> list[float]:
    """Columns as wide as their longest word at least, and up to their longest text where there is room.  [points]"""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    least, most, bold = [], [], registered(strong=True)
    for k, name in enumerate(table.columns):
        cells = [row[k] for row in table.rows]
        longest = max(stringWidth(word, bold, CELL) for text in (name, *cells) for word in (text.split() or [""]))
        whole = max(stringWidth(text, bold, CELL) for text in cells)
        least.append(max(longest + 6.0, 44.0 if k in empty else 0.0))
        most.append(max(least[-1], min(whole + 6.0, 0.3 * width)))
    if sum(least) >= width:
        return [width * one / sum(least) for one in least]
    spare = sum(most) - sum(least)
    share = min(1.0, (width - sum(least)) / spare) if spare > 0.0 else 0.0
    wide = [low + share * (high - low) for low, high in zip(least, most, strict=True)]
    return [one * width / sum(wide) for one in wide]


def grid(table: Table, width: float, shares: Sequence[float] | None = None, *, head: bool = True) -> list[Any]:
    """A title and a table over the given width [points]; the head repeats on every page.

    Parameters
    ----------
    table : Table
    width : float
        [points]
    shares : sequence of float, optional
        Of the columns; default by the longest words in them.  [-]
    head : bool
        Whether the columns have names.
    """
    from reportlab.platypus import CondPageBreak, Paragraph
    from reportlab.platypus import Table as Grid

    title = [words(table.title, 8.8, strong=True, spaceBefore=5, spaceAfter=2)] if table.title else []
    if not table.rows:
        return title
    strong = style(CELL, strong=True)
    empty = [k for k in range(len(table.columns)) if all(not row[k] for row in table.rows)]
    widths = _widths(table, width, empty) if shares is None else [width * share / sum(shares) for share in shares]
    first = [[Paragraph(clean(name, strong=True), strong) for name in table.columns]] if head else []
    loud = ("TIGHT", "SHORT", "GUESS", "ASSUMED", "INTO THE GROUND", "NOT ", "MARK", "stop")
    rows = [
        [_cell(text, isinstance(text, Loud) or any(word in text for word in loud)) for text in row]
        for row in table.rows
    ]
    look = [
        ("LINEBELOW", (0, 0), (-1, -1), 0.25, "#888888"),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("TOPPADDING", (0, 0), (-1, -1), 1.2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.8),
        ("LEFTPADDING", (0, 0), (-1, -1), 2.5),
        ("RIGHTPADDING", (0, 0), (-1, -1), 2.5),
    ]
    if head:
        look += [("BACKGROUND", (0, 0), (-1, 0), "#dddddd"), ("LINEABOVE", (0, 0), (-1, 0), 0.8, "black")]
    if empty:
        look += [("BOX", (k, 0), (k, -1), 0.4, "black") for k in empty]
        look += [("TOPPADDING", (0, len(first)), (-1, -1), 4.5), ("BOTTOMPADDING", (0, len(first)), (-1, -1), 4.5)]
    whole = Grid([*first, *rows], colWidths=widths, repeatRows=len(first), hAlign="LEFT", spaceAfter=4, style=look)
    if len(rows) > _BLOCK:
        return [CondPageBreak(90.0), *title, whole]
    return [_together([*title, whole])]


def _cell(text: str, loud: bool) -> Any:
    from reportlab.platypus import Paragraph

    return Paragraph(clean(text, strong=loud), style(CELL, strong=loud))


def _together(parts: list[Any]) -> Any:
    from reportlab.platypus import KeepTogether

    return KeepTogether(parts)


def headed(pieces: list[Any]) -> list[Any]:
    """A section whose heading never stands alone at the foot of a page."""
    from reportlab.platypus import KeepTogether

    first, rest = pieces[:1], pieces[1:]
    while rest and len(first) < 4:
        piece = rest.pop(0)
        inner = list(piece._content) if isinstance(piece, KeepTogether) else [piece]
        first += inner
        if not getattr(piece, "style", None):  # words may be followed by what they announce
            break
    return [KeepTogether(first), *rest]


def picture(path: Path, caption: str, width: float) -> Any:
    """A picture over the given width [points] with its caption.

    Raises
    ------
    OutputError
        When the picture cannot be read.
    """
    from reportlab.platypus import Image as Picture

    try:
        with Image.open(path) as image:
            image.load()
            tall = width * image.height / image.width
    except (OSError, ValueError) as error:
        raise OutputError(
            f"a picture for the sheet cannot be read ({error})", file=path, allowed="a PNG written by the brief"
        ) from error
    return _together([Picture(str(path), width=width, height=tall), note(caption)])


def blanks(questions: Sequence[str], width: float, lines: int = 1) -> list[Any]:
    """Questions with ruled lines to write on."""
    from reportlab.platypus import Table as Grid

    rows: list[list[Any]] = []
    look: list[Any] = [("TOPPADDING", (0, 0), (-1, -1), 3), ("BOTTOMPADDING", (0, 0), (-1, -1), 1)]
    for question in questions:
        rows.append([words(question, SMALL)])
        rows += [[""]] * lines
        for k in range(lines):
            look.append(("LINEBELOW", (0, len(rows) - 1 - k), (-1, len(rows) - 1 - k), 0.4, "#555555"))
    heights = [None if row != [""] else 14.0 for row in rows]
    return [Grid(rows, colWidths=[width], rowHeights=heights, hAlign="LEFT", style=look)]


def frame(text: str, north: str, width: float, height: float) -> Any:
    """An empty box to draw in, with a north arrow to be set."""
    from reportlab.platypus import Table as Grid

    box = Grid(
        [[words(text, SMALL), words(north, SMALL)]], colWidths=[0.86 * width, 0.14 * width], rowHeights=[height]
    )
    box.setStyle([("BOX", (0, 0), (-1, -1), 0.8, "black"), ("VALIGN", (0, 0), (-1, -1), "TOP")])
    return box


def ticks(rows: Sequence[tuple[bool, str]], width: float) -> Any:
    """Numbered steps with a box to tick; hold points are framed and strong."""
    from reportlab.platypus import Table as Grid

    cells = []
    look: list[Any] = [
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"), ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3), ("LEFTPADDING", (0, 0), (-1, -1), 3),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
    ]  # fmt: skip
    for k, (hold, text) in enumerate(rows):
        cells.append([words("☐", 10), words(str(k + 1), TEXT), words(text, TEXT, strong=hold)])
        if hold:
            look += [("BOX", (0, k), (-1, k), 1.2, "black"), ("BACKGROUND", (0, k), (-1, k), "#eeeeee")]
    return Grid(cells, colWidths=[18, 22, width - 40], hAlign="LEFT", style=look)
