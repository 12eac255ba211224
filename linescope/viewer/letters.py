"""The type face of pictures and sheets: the page's own, made into files that Pillow and reportlab read.

It comes from the same package as the page's, while the viewer is built. Figures are made as wide as each other for
good, since neither of the two can ask a face for that; the face's licence, SIL Open Font License 1.1, allows it and
lies beside it.
Where nothing was built there is none, and pictures are set in the usual one (`linescope.export.pen`).
"""

from __future__ import annotations

import functools
from pathlib import Path
from typing import Any

from linescope.viewer import folder

PACKAGE = Path("node_modules", "@fontsource", "barlow-semi-condensed")
NAME = "Barlow Semi Condensed"
PLAIN, STRONG, LETTERS, LICENCE = "letters.ttf", "letters-strong.ttf", "letters.txt", "letters-LICENCE.txt"
FILES = (PLAIN, STRONG, LETTERS, LICENCE)
"""Two cuts, which characters both have, and the licence."""
WEIGHTS = {PLAIN: 500, STRONG: 700}
ASCENT, DESCENT = 0.95, -0.25
"""Above and below the base line: capitals stand in the middle of a line of text.  [em]"""
LIFT = 60  # Between the bar of "at most" and its sign.  [thousandths of an em]


def make(work: Path, target: Path) -> None:
    """Make the files from the package as npm installed it.

    Parameters
    ----------
    work : Path
        Where `node_modules` is.
    target : Path
        A folder.
    """
    from fontTools.ttLib import TTFont

    known: list[set[int]] = []
    for name, weight in WEIGHTS.items():
        face = TTFont(work / PACKAGE / "files" / f"barlow-semi-condensed-latin-{weight}-normal.woff")
        _even_figures(face)
        _bounds(face)
        unit = face["head"].unitsPerEm
        for table, up, down in (("hhea", "ascent", "descent"), ("OS/2", "sTypoAscender", "sTypoDescender")):
            setattr(face[table], up, round(ASCENT * unit))
            setattr(face[table], down, round(DESCENT * unit))
        face["hhea"].lineGap = face["OS/2"].sTypoLineGap = 0
        face.flavor = None
        face.save(target / name)
        known.append(set(face.getBestCmap()))
    letters = "".join(chr(code) for code in sorted(set.intersection(*known)) if code >= ord(" "))
    (target / LETTERS).write_text(letters, encoding="utf-8")
    (target / LICENCE).write_bytes((work / PACKAGE / "LICENSE").read_bytes())


def _even_figures(face: Any) -> None:
    """Let the characters 0 to 9 show the face's figures of one width, its feature `tnum`."""
    table = face["GSUB"].table
    found: dict[str, str] = {}
    for record in table.FeatureList.FeatureRecord:
        if record.FeatureTag == "tnum":
            for index in record.Feature.LookupListIndex:
                for each in table.LookupList.Lookup[index].SubTable:
                    found.update(getattr(each, "ExtSubTable", each).mapping)
    for each in face["cmap"].tables:
        for code in range(ord("0"), ord("9") + 1):
            if each.cmap.get(code) in found:
                each.cmap[code] = found[each.cmap[code]]


def _bounds(face: Any) -> None:
    """Add "at most" and "at least", which the face lacks: "less" and "greater" raised over its minus sign."""
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    names, glyphs = face.getBestCmap(), face.getGlyphSet()
    bar = face["glyf"][names[ord("−")]]
    for code, of in ((ord("≤"), "<"), (ord("≥"), ">")):
        base, name = names[ord(of)], f"uni{code:04X}"
        sign = face["glyf"][base]
        lifted = bar.yMax - bar.yMin + LIFT
        pen = TTGlyphPen(glyphs)
        pen.addComponent(base, (1, 0, 0, 1, 0, lifted - max(0, sign.yMin)))
        across = (sign.xMin + sign.xMax - bar.xMin - bar.xMax) // 2
        pen.addComponent(names[ord("−")], (1, 0, 0, 1, across, -bar.yMin))
        face["glyf"][name] = pen.glyph()
        face["hmtx"][name] = (face["hmtx"][base][0], 0)
        face["glyf"][name].recalcBounds(face["glyf"])
        face["hmtx"][name] = (face["hmtx"][base][0], face["glyf"][name].xMin)
        for table in face["cmap"].tables:
            if table.isUnicode():
                table.cmap[code] = name


@functools.cache
def built() -> tuple[Path, Path, frozenset[str]] | None:
    """The plain cut, the strong one, and the characters they have; None where they were not built."""
    place = folder()
    if not all((place / name).is_file() for name in FILES):
        return None
    letters = frozenset((place / LETTERS).read_text(encoding="utf-8"))
    return place / PLAIN, place / STRONG, letters
