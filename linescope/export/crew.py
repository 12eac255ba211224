"""Crew pictures as files, a PNG each and one PDF of two sheets drawn as vectors; and pictures for a workshop."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from linescope import __version__, atomic
from linescope.export import driver, ink, layout
from linescope.export import sheet_parts as parts
from linescope.export.png import write_png
from linescope.export.tags import Tags
from linescope.notes import Verbatim
from linescope.stage import crew, workshop
from linescope.stage.board import Board
from linescope.stage.ink import Drawing, Text
from linescope.stage.page import Brief
from linescope.stage.theme import GREY
from linescope.words import Words

PDF = "crew.pdf"
ABOVE = f"crew-{len(crew.CREW) + 1}-from-above.png"
"""The plan view of a record, behind the pictures of every briefing."""
SHOWN = {name: f"workshop-{name}.png" for name in workshop.WORKSHOP}
"""Files of pictures for a workshop, by name."""
A4 = (841.8898, 595.2756)  # Lying [points].


def names() -> tuple[str, ...]:
    """The files that `write_crew` writes, pictures first."""
    return (*(f"crew-{k}-{name}.png" for k, name in enumerate(crew.CREW, 1)), PDF)


def laid_out(brief: Brief, *, sheets: bool = True) -> tuple[tuple[Drawing, ...], tuple[Drawing, ...]]:
    """The four pictures, and the two sheets, with every text in its place.

    Parameters
    ----------
    brief : Brief
        Its solution is the rig as taped, with its walker.
    sheets : bool
        Also the sheets; without, there are none.
    """
    boards = tuple(_placed(board, brief) for board in crew.boards(brief))
    pictures = _on_pages(crew.pictures(boards, brief), brief)
    return pictures, _on_pages(crew.sheets(boards, brief), brief) if sheets else ()


def _placed(board: Board, brief: Brief) -> Board:
    """Its ground drawn and its texts placed once, so that picture and sheet show the same."""
    return replace(board, ink=layout.placed(board.ink, crew.fitted(brief).theme))


def _on_pages(pages: Sequence[Drawing], brief: Brief) -> tuple[Drawing, ...]:
    """What pages add to their boards, placed as well."""
    return tuple(layout.laid_out(page, crew.fitted(brief).theme) for page in pages)


def write_crew(folder: Path, brief: Brief, *, dpi: float | None = None, sheets: bool = True) -> list[Path]:
    """Write the crew pictures and their two sheets, each file whole or not at all.

    Parameters
    ----------
    folder : Path
    brief : Brief
        Its solution is the rig as taped, with its walker; its page tells how wide the pictures are.
    dpi : float, optional
        Noted in the pictures; default makes them 297 mm (A4) wide.  [1/inch]
    sheets : bool
        Also the PDF.

    Raises
    ------
    SystemPackageError
        When this system cannot draw.
    OutputError
        When a file cannot be written.
    """
    driver.probe()
    pictures, pages = laid_out(brief, sheets=sheets)
    files = [
        _png(folder / name, drawing, brief, dpi) for name, drawing in zip(names(), pictures, strict=False)
    ]
    return [*files, write_pdf(folder / PDF, pages, brief)] if sheets else files


def write_workshop(folder: Path, brief: Brief, names: Iterable[str], *, dpi: float | None = None) -> list[Path]:
    """Write pictures for a workshop, each whole or not at all.

    Parameters
    ----------
    folder : Path
    brief : Brief
        As for `write_crew`.
    names : iterable of str
        Of `workshop.WORKSHOP`, those whose results there are.
    dpi : float, optional
        Noted in the pictures.  [1/inch]

    Raises
    ------
    SystemPackageError
        When this system cannot draw.
    OutputError
        When a file cannot be written; those written before are complete.
    """
    driver.probe()
    told = workshop.fitted(brief)
    made = (layout.laid_out(workshop.picture(name, told), told.theme) for name in names)
    return [_png(folder / SHOWN[drawing.name], drawing, brief, dpi) for drawing in made]


def write_above(folder: Path, brief: Brief, *, dpi: float | None = None) -> Path:
    """Write the plan view, whole or not at all.

    Parameters
    ----------
    folder : Path
    brief : Brief
        As for `write_crew`.
    dpi : float, optional
        Noted in the picture.  [1/inch]

    Raises
    ------
    SystemPackageError
        When this system cannot draw.
    OutputError
        When the file cannot be written.
    """
    driver.probe()
    (drawing,) = _on_pages(crew.pictures((crew.from_above(brief),), brief), brief)
    return _png(folder / ABOVE, drawing, brief, dpi)


def _png(path: Path, drawing: Drawing, brief: Brief, dpi: float | None) -> Path:
    metadata = {
        "Software": f"linescope {__version__}", "Title": drawing.title, "Scene": brief.study.rig.name,
        "View": drawing.name, "Date": brief.date.isoformat(),
    }
    return write_png(ink.image(drawing, brief.page[0]), metadata, path, dpi)


def write_pdf(path: Path, sheets: Sequence[Drawing], brief: Brief) -> Path:
    """One page of A4, lying, for each sheet: strokes and letters, ground as a picture within.

    Parameters
    ----------
    path : Path
    sheets : sequence of Drawing
        Laid out.
    brief : Brief

    Raises
    ------
    OutputError
        When the file cannot be written.
    """
    words = brief.measures
    title = words.say("crew", name=Verbatim(brief.study.rig.name))
    return write_pages(path, sheets, title, words, grey=brief.theme.name == GREY.name)


def write_pages(path: Path, pages: Sequence[Drawing], title: str, words: Words, *, grey: bool = False) -> Path:
    """Drawings as pages of A4, lying or standing as they are, whole or not at all.

    Parameters
    ----------
    path : Path
    pages : sequence of Drawing
        Laid out.
    title : str
        Of the document.
    words : Words
    grey : bool
        Every colour as a grey as bright as it is.

    Raises
    ------
    OutputError
        When the file cannot be written.
    """
    from reportlab.pdfgen.canvas import Canvas

    packed = io.BytesIO()
    canvas = Canvas(packed, pageCompression=1, invariant=1, lang=words.tag)
    canvas.setTitle(title)
    canvas.setAuthor("linescope")
    canvas.setCreator(f"linescope {__version__}")
    canvas.setSubject(words.say("frame-plan"))
    canvas.setViewerPreference("DisplayDocTitle", "true")
    tags = Tags(canvas)
    for number, drawing in enumerate(pages, 1):
        size = A4 if drawing.size[0] > drawing.size[1] else A4[::-1]
        canvas.setPageSize(size)
        key = f"page {number}"
        canvas.bookmarkPage(key)
        said = [item.text for item in drawing.ink if isinstance(item, Text) and item.risen] or [drawing.title]
        for each in said:
            canvas.addOutlineEntry(each, key)
        tags.begin("; ".join(said))
        if drawing.paper != "#ffffff":
            with tags.ornament():
                canvas.setFillColor(drawing.paper)
                canvas.rect(0, 0, *size, stroke=0, fill=1)
        with parts.binary():
            ink.on_canvas(canvas, drawing, 0.0, 0.0, size[0], grey=grey, tags=tags)
            canvas.showPage()
    tags.finish()
    with parts.binary():
        canvas.save()
    return atomic.write_bytes(path, packed.getvalue())
