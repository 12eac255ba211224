"""The briefing sheet: one PDF that a crew carries, in the order in which it is briefed.  Reads in black and white."""

from __future__ import annotations

import datetime
import io
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, Literal, get_args

from linescope import __version__
from linescope.atomic import write_bytes
from linescope.errors import InputError
from linescope.export import sheet_parts as parts
from linescope.export.ink import registered
from linescope.export.sheet_sections import SECTIONS, Sheet, SheetPicture, annex, picture_of
from linescope.notes import Term
from linescope.stage.ground import Ground, Site, site
from linescope.study import Study
from linescope.units import System
from linescope.words import Words

__all__ = ["SheetPicture", "picture_of", "write_sheet"]

Paper = Literal["A4", "Letter"]

EDGE, TOP, FOOT = 36.0, 40.0, 34.0  # Margins of a page.  [points]
PAD = 6.0  # What reportlab keeps free inside them.  [points]


def check_paper(paper: object) -> None:
    """Refuse a paper that is not known (InputError)."""
    if paper not in get_args(Paper):
        raise InputError("no such paper", key="paper", found=paper, allowed=", ".join(get_args(Paper)))


def write_sheet(
    path: str | Path,
    study: Study,
    pictures: Sequence[SheetPicture | str | Path] = (),
    *,
    ground: Ground | Site | None = None,
    paper: Paper = "A4",
    units: System = "metric",
    date: datetime.date | None = None,
    author: str = "",
    progress: Callable[[float, str], None] | None = None,
) -> Path:
    """Write the briefing sheet as PDF, whole or not at all.

    Parameters
    ----------
    path : str or Path
    study : Study
        What it leaves out is said to be unknown.
    pictures : sequence of SheetPicture or path
        Files of the brief; see `picture_of`.
    ground : Ground or Site, optional
        For heights straight down.
    paper : {"A4", "Letter"}
    units : {"metric", "feet"}
    date : datetime.date, optional
        Default today.
    author : str
        Who made the plan; left to be filled in by hand when empty.
    progress : callable, optional
        Told the share done, 0 to 1, and what is being written.

    Raises
    ------
    InputError
        Unknown paper.
    OutputError
        An unreadable picture, or a file that cannot be written.
    SolveError
        When a state that is shown does not converge.
    """
    from reportlab.lib.pagesizes import A4, letter
    from reportlab.platypus import SimpleDocTemplate

    sizes = {"A4": A4, "Letter": letter}
    check_paper(paper)
    tell = progress or (lambda share, what: None)
    tell(0.0, "tables")
    width, height = sizes[paper]
    sheet = Sheet(
        study=study,
        ground=ground.near if isinstance(ground, Site) else None if ground is None else site(ground, study.rig).near,
        pictures=tuple(one if isinstance(one, SheetPicture) else picture_of(one) for one in pictures),
        measures=Words(system=units),
        width=width - 2 * EDGE - 2 * PAD,
        height=height - TOP - FOOT,
        date=date or datetime.date.today(),
        author=author,
        version=__version__,
    )
    flow: list[Any] = [piece for section in SECTIONS for piece in parts.headed(section(sheet))]
    flow += annex(sheet)
    tell(0.3, "pages")
    words = sheet.measures
    title = words.say("sheet", name=words.verbatim(study.rig.name))
    paper_file = io.BytesIO()
    document = SimpleDocTemplate(
        paper_file,
        pagesize=(width, height),
        leftMargin=EDGE,
        rightMargin=EDGE,
        topMargin=TOP,
        bottomMargin=FOOT,
        title=title,
        author=author or "linescope",
        subject=words.say("frame-plan"),
        lang=words.tag,
    )
    with parts.binary():
        document.build(flow, canvasmaker=_numbered(study.rig.name, sheet))
    tell(0.95, "file")
    written = write_bytes(path, paper_file.getvalue())
    tell(1.0, written.name)
    return written


def _numbered(title: str, sheet: Sheet) -> Any:
    """A canvas that knows how many pages there are, for "page 3 of 9" on each."""
    from reportlab.pdfgen.canvas import Canvas

    words = sheet.measures
    foot = words.say("sheet-foot", version=sheet.version, date=sheet.date, plan=Term("frame-plan"))

    class Numbered(Canvas):  # type: ignore[misc]
        def __init__(self, *args: Any, **kwargs: Any) -> None:
            super().__init__(*args, **kwargs)
            self.pages: list[dict[str, Any]] = []
            self.headings: list[str] = []

        def showPage(self) -> None:  # reportlab's name
            self.pages.append(dict(self.__dict__))
            self._startPage()
            self.headings = []

        def save(self) -> None:
            for number, page in enumerate(self.pages, 1):
                self.__dict__.update(page)
                for k, heading in enumerate(page["headings"]):
                    key = f"{number}.{k}"
                    self.bookmarkPage(key)
                    self.addOutlineEntry(heading, key)
                self._furniture(number)
                super().showPage()
            super().save()

        def _furniture(self, number: int) -> None:
            wide, high = self._pagesize
            name = "".join(letter if letter.isprintable() else " " for letter in title)
            self.setFont(registered(name, True), 8)
            self.drawString(EDGE + PAD, high - 30, name if len(name) <= 70 else f"{name[:69]}…")
            self.setFont(registered(), 7)
            page = words.say("sheet-page", plan=Term("frame-plan"), number=number, total=len(self.pages))
            self.drawRightString(wide - EDGE - PAD, high - 30, page)
            self.setLineWidth(0.6)
            self.line(EDGE + PAD, high - 35, wide - EDGE - PAD, high - 35)
            self.drawString(EDGE + PAD, 24, foot)

    return Numbered
