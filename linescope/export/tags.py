"""Tagged PDF: what is text, in the order in which it is read, and what a picture says to whom cannot see it.

reportlab writes no tags. Here its page streams get marked content, its pages a number among structure parents, and its
catalog a structure tree: ISO 32000-1:2008, 14.6 to 14.9.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any


@dataclass(eq=False)
class Tags:
    """Of one document; made before its first page, finished after its last.

    Attributes
    ----------
    canvas : reportlab canvas
    pages : list of list of (str, int)
        Of each page its marked pieces: kind, and number on the page.
    titles : list of str
        Of each page, for whom cannot see its picture.
    """

    canvas: Any
    pages: list[list[tuple[str, int]]] = field(default_factory=list)
    titles: list[str] = field(default_factory=list)

    def begin(self, title: str) -> None:
        """A page.

        Parameters
        ----------
        title : str
            What its picture says.
        """
        self.pages.append([])
        self.titles.append(title)

    @contextmanager
    def piece(self, kind: str) -> Iterator[None]:
        """What is drawn meanwhile is a piece of that kind.

        Parameters
        ----------
        kind : {"H1", "P", "Figure"}
        """
        marked = self.pages[-1]
        marked.append((kind, len(marked)))
        self.canvas._code.append(f"/{kind} <</MCID {len(marked) - 1}>> BDC")
        yield
        self.canvas._code.append("EMC")

    @contextmanager
    def ornament(self) -> Iterator[None]:
        """What is drawn meanwhile says nothing that is not said elsewhere."""
        self.canvas._code.append("/Artifact BMC")
        yield
        self.canvas._code.append("EMC")

    def finish(self) -> None:
        """Write the tree: a section for each page, its texts in their order, all that is drawn as one figure."""
        from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName, PDFString

        document = self.canvas._doc
        root = PDFDictionary({"Type": PDFName("StructTreeRoot")})
        of_root = document.Reference(root)
        whole = PDFDictionary({"Type": PDFName("StructElem"), "S": PDFName("Document"), "P": of_root})
        of_whole, sections, parents = document.Reference(whole), [], []
        for number, (page, marked, title) in enumerate(zip(document.Pages.pages, self.pages, self.titles, strict=True)):
            page.__NoDefault__ = [*page.__NoDefault__, "StructParents", "Tabs"]
            page.StructParents, page.Tabs = number, PDFName("S")
            of_page = document.Reference(page)
            section = PDFDictionary({"Type": PDFName("StructElem"), "S": PDFName("Sect"), "P": of_whole})
            of_section = document.Reference(section)
            owners: dict[int, Any] = {}
            elements = []
            figure = [piece for kind, piece in marked if kind == "Figure"]
            runs = [(kind, [piece]) for kind, piece in marked if kind != "Figure"]
            for kind, pieces in [*runs, *([("Figure", figure)] if figure else [])]:
                made = {
                    "Type": PDFName("StructElem"), "S": PDFName(kind), "P": of_section, "Pg": of_page,
                    "K": PDFArray(pieces),
                }
                if kind == "Figure":
                    made["Alt"] = PDFString(title)
                element = document.Reference(PDFDictionary(made))
                elements.append(element)
                owners.update(dict.fromkeys(pieces, element))
            section["K"] = PDFArray(elements)
            sections.append(of_section)
            parents += [number, document.Reference(PDFArray([owners[piece] for _, piece in marked]))]
        whole["K"] = PDFArray(sections)
        root["K"] = PDFArray([of_whole])
        root["ParentTree"] = document.Reference(PDFDictionary({"Nums": PDFArray(parents)}))
        root["ParentTreeNextKey"] = len(self.pages)
        document.Catalog.StructTreeRoot = root
        document.Catalog.MarkInfo = PDFDictionary({"Marked": "true"})
