"""A lesson as a file: a page to print, or a picture for a projector."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING

from linescope.atomic import named, write_bytes
from linescope.errors import OutputError
from linescope.export.ink import on_canvas, write_png
from linescope.stage.ink import Drawing

if TYPE_CHECKING:
    from linescope.export.sheet import Paper

PAGES = (".html", ".htm")
PRINTED = (".pdf", ".png")
FILMS = (".mp4", ".gif")
SUFFIXES = (*PRINTED, *PAGES, *FILMS)
WIDTH = 2000
"""Of a picture. [px]"""
MARGIN = 28.0
"""Of a page. [points]"""


def write_lesson(path: str | Path, drawing: Drawing, *, paper: Paper = "A4") -> Path:
    """Write a lesson, whole or not at all.

    Parameters
    ----------
    path : str or Path
        Ends in .pdf or .png.
    drawing : Drawing
    paper : {"A4", "Letter"}
        Of a PDF, lying.

    Raises
    ------
    OutputError
        When the file cannot be written, or is of another kind.
    """
    path = named(path)
    if path.suffix.lower() not in PRINTED:
        raise OutputError("no lesson can be written to such a file", file=path, allowed=", ".join(PRINTED))
    if path.suffix.lower() == ".png":
        return write_png(drawing, path, WIDTH)
    from reportlab.lib.pagesizes import A4, landscape, letter
    from reportlab.pdfgen.canvas import Canvas

    size = landscape(A4 if paper == "A4" else letter)
    wide = min(size[0] - 2 * MARGIN, (size[1] - 2 * MARGIN) * drawing.size[0] / drawing.size[1])
    high = wide * drawing.size[1] / drawing.size[0]
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=size)
    canvas.setTitle(drawing.title)
    canvas.setAuthor("linescope")
    on_canvas(canvas, drawing, (size[0] - wide) / 2, (size[1] - high) / 2, wide)
    canvas.showPage()
    canvas.save()
    return write_bytes(path, buffer.getvalue())
