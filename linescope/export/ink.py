"""Ink into files: as PNG, as SVG, and on a page of a PDF, with the same lines broken at the same words."""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from PIL import Image, ImageChops, ImageDraw

from linescope import atomic
from linescope.export.pen import face, font, rise, text_size, wrap
from linescope.export.tags import Tags
from linescope.stage.ink import LEADING, Area, Bitmap, Disc, Drawing, Ink, Line, Point, Text, Window
from linescope.viewer import letters

OVERSIZE = 2
PRINTED = 1.4  # Pixels of a bitmap in a PDF for one of a page 2000 px wide: 240 to the inch on A4.
JPEG = 80  # Quality of bitmaps in a PDF.
FAMILY = f"{letters.NAME}, DejaVu Sans, Verdana, sans-serif"


def lines_of(text: Text) -> list[tuple[str, Point]]:
    """The lines of a text, each with its top left corner.  [px]"""
    broken = [text.text]
    if text.width:  # Figures stay with their unit, unless both together are wider than the column.
        broken = wrap(text.text, text.size, text.width, text.strong, whole=True)
        if any(line.endswith("…") for line in broken):
            broken = wrap(text.text, text.size, text.width, text.strong)
    pitch = LEADING * text.size
    top = text.at[1] - pitch * len(broken) * (0.5 if text.centred else 1.0 if text.risen else 0.0)
    found = []
    for k, line in enumerate(broken):
        width = text_size(line, text.size, text.strong)[0]
        left = text.at[0] - {"left": 0.0, "middle": 0.5 * width, "right": width}[text.align]
        found.append((line, (left, top + k * pitch)))
    return found


def _plate(text: Text, lines: list[tuple[str, Point]]) -> tuple[float, float, float, float]:
    """The box behind a text."""
    left = min(at[0] for _, at in lines) - 4.0
    right = max(at[0] + text_size(line, text.size, text.strong)[0] for line, at in lines) + 4.0
    return left, lines[0][1][1] - 2.0, right, lines[-1][1][1] + LEADING * text.size + 1.0


# PNG


def image(drawing: Drawing, width: int) -> Image.Image:
    """A drawing as a picture so many pixels wide."""
    scale = width / drawing.size[0] * OVERSIZE
    size = (width * OVERSIZE, round(drawing.size[1] * scale))
    picture = Image.new("RGB", size, drawing.paper)
    _put(picture, drawing.ink, scale)
    return picture.reduce(OVERSIZE)


def _put(picture: Image.Image, ink: tuple[Ink, ...], scale: float, corner: Point = (0.0, 0.0)) -> None:
    """Draw on a picture whose upper left corner is a point of the page."""
    pen = ImageDraw.Draw(picture)

    def at(points: tuple[Point, ...]) -> list[tuple[float, float]]:
        return [((x - corner[0]) * scale, (y - corner[1]) * scale) for x, y in points]

    for item in ink:
        if isinstance(item, Area):
            corners = at(item.points)
            pen.polygon(corners, fill=item.colour)
            if item.edge:
                pen.line([*corners, corners[0]], fill=item.edge, width=max(1, round(item.width * scale)), joint="curve")
        elif isinstance(item, Line):
            for piece in dashes(item):
                pen.line(at(piece), fill=item.colour, width=max(1, round(item.width * scale)), joint="curve")
        elif isinstance(item, Bitmap):
            edges = [round(edge) for edge in (*at((item.frame[:2],))[0], *at((item.frame[2:],))[0])]
            shown = Image.fromarray(item.pixels)
            wide = (edges[2] - edges[0], edges[3] - edges[1])
            picture.paste(shown if shown.size == wide else shown.resize(wide), (edges[0], edges[1]))
        elif isinstance(item, Disc):
            (x, y), r = at((item.at,))[0], item.radius * scale
            pen.ellipse([x - r, y - r, x + r, y + r], fill=item.colour)
        elif isinstance(item, Text):
            lines = lines_of(item)
            if item.plate and lines:
                left, top, right, bottom = _plate(item, lines)
                pen.rectangle([*at(((left, top),))[0], *at(((right, bottom),))[0]], fill=item.plate)
            rim = max(1, round(0.12 * item.size * scale)) if item.halo else 0
            for line, place in lines:
                pen.text(
                    at((place,))[0], line, font=font(item.size * scale, item.strong, line), fill=item.colour,
                    stroke_width=rim, stroke_fill=item.halo or None,
                )
        elif isinstance(item, Window):
            box = tuple(round(edge) for edge in (*at((item.frame[:2],))[0], *at((item.frame[2:],))[0]))
            seen = picture.crop(box)
            _put(seen, item.ink, scale, (corner[0] + box[0] / scale, corner[1] + box[1] / scale))
            mask = Image.new("L", seen.size, 0 if item.disc else 255)
            if item.disc:
                ImageDraw.Draw(mask).ellipse([0, 0, seen.size[0] - 1, seen.size[1] - 1], fill=255)
            picture.paste(seen, box[:2], mask)


def dashes(line: Line) -> list[tuple[Point, ...]]:
    """The strokes of a line: itself, or its dashes."""
    if not line.dash:
        return [line.points]
    found: list[tuple[Point, ...]] = []
    left, on, piece = line.dash, True, [line.points[0]]
    for start, end in itertools.pairwise(line.points):
        length, done = math.dist(start, end), 0.0
        while length - done > left:
            done += left
            share = done / length
            at = (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
            if on:
                found.append((*piece, at))
            on, piece, left = not on, [at], line.dash
        left -= length - done
        piece.append(end)
    if on and len(piece) > 1:
        found.append(tuple(piece))
    return found


def write_png(drawing: Drawing, path: str | Path, width: int = 2000) -> Path:
    """Write a drawing as PNG, whole or not at all.

    Parameters
    ----------
    drawing : Drawing
    path : str or Path
    width : int
        [px]

    Raises
    ------
    OutputError
        When the file cannot be written.
    """
    with atomic.whole_file(path) as draft:
        image(drawing, width).save(draft, format="PNG")
    return Path(path)


# SVG


def svg(drawing: Drawing, *, inline: bool = False) -> str:
    """A drawing as SVG text, without style sheets and scripts.

    Parameters
    ----------
    drawing : Drawing
    inline : bool
        To stand in a page of HTML, which needs no name of the format.
    """
    width, height = drawing.size
    name = "" if inline else 'xmlns="http://www.w3.org/2000/svg" '
    return (
        f'<svg {name}viewBox="0 0 {width:.0f} {height:.0f}" role="img" '
        f"aria-label={quoteattr(drawing.title)} font-family={quoteattr(FAMILY)}>"
        f'<rect width="{width:.0f}" height="{height:.0f}" fill="{drawing.paper}"/>'
        f'<g stroke-linejoin="round" stroke-linecap="round">{_svg(pruned(drawing.ink))}</g></svg>'
    )


def pruned(ink: tuple[Ink, ...]) -> tuple[Ink, ...]:
    """Ink without areas and lines in windows that later areas cover whole, to a pixel of the page."""
    return tuple(
        replace(item, ink=_uncovered(item)) if isinstance(item, Window) else item for item in ink
    )


def _uncovered(window: Window) -> tuple[Ink, ...]:
    left, top, right, bottom = window.frame
    size = (math.ceil(right - left) + 2, math.ceil(bottom - top) + 2)
    covered = Image.new("1", size)
    pen, kept = ImageDraw.Draw(covered), []
    for item in reversed(window.ink):
        if isinstance(item, (Area, Line)):
            points = [(x - left, y - top) for x, y in item.points]
            if _hidden(covered, points, item):
                continue
            if isinstance(item, Area):
                pen.polygon(points, fill=1)
        kept.append(item)
    return tuple(reversed(kept))


def _hidden(covered: Image.Image, points: list[Point], item: Area | Line) -> bool:
    """Whether every pixel of an area or a line is covered, or outside."""
    width, height = covered.size
    xs, ys = [x for x, _ in points], [y for _, y in points]
    box = (max(0, math.floor(min(xs)) - 1), max(0, math.floor(min(ys)) - 1), min(width, math.ceil(max(xs)) + 2),
           min(height, math.ceil(max(ys)) + 2))  # fmt: skip
    if box[0] >= box[2] or box[1] >= box[3]:
        return True
    own = Image.new("1", (box[2] - box[0], box[3] - box[1]))
    pen, moved = ImageDraw.Draw(own), [(x - box[0], y - box[1]) for x, y in points]
    if isinstance(item, Area):
        pen.polygon(moved, fill=1, outline=1)
    else:
        pen.line(moved, fill=1, width=max(1, math.ceil(item.width)))
    return ImageChops.subtract(own.convert("L"), covered.crop(box).convert("L")).getbbox() is None


def _svg(ink: tuple[Ink, ...]) -> str:
    """Elements; strokes that follow each other in one colour and width are one path."""
    found: list[str] = []
    for (kind, colour, width), run in itertools.groupby(ink, key=_alike):
        items = list(run)
        if kind is Line:
            path = "".join(_path(item.points) for item in items if isinstance(item, Line))
            found.append(f'<path d="{path}" fill="none" stroke="{colour}" stroke-width="{width:.2g}"/>')
        else:
            found += [_element(item) for item in items]
    return "".join(found)


def _alike(item: Ink) -> tuple[type, str, float]:
    return (Line, item.colour, item.width) if isinstance(item, Line) else (type(item), "", 0.0)


def _element(item: Ink) -> str:
    if isinstance(item, Area):
        edge = f' stroke="{item.edge}" stroke-width="{item.width:.2g}"' if item.edge else ""
        return f'<path d="{_path(item.points)}z" fill="{item.colour}"{edge}/>'
    if isinstance(item, Disc):
        return f'<circle cx="{item.at[0]:.1f}" cy="{item.at[1]:.1f}" r="{item.radius:.1f}" fill="{item.colour}"/>'
    if isinstance(item, Text):
        return _svg_text(item)
    assert isinstance(item, Window)
    left, top, right, bottom = item.frame
    return (
        f'<svg x="{left:.1f}" y="{top:.1f}" width="{right - left:.1f}" height="{bottom - top:.1f}" '
        f'viewBox="{left:.1f} {top:.1f} {right - left:.1f} {bottom - top:.1f}">{_svg(item.ink)}</svg>'
    )


def _path(points: tuple[Point, ...]) -> str:
    """Points in tenths of a pixel, each from the one before."""
    tenths = [(round(10.0 * x), round(10.0 * y)) for x, y in points]
    parts = [f"M{tenths[0][0] / 10:g} {tenths[0][1] / 10:g}"]
    for (x0, y0), (x1, y1) in itertools.pairwise(tenths):
        parts.append(f"l{(x1 - x0) / 10:g} {(y1 - y0) / 10:g}")
    return "".join(parts)


def _svg_text(item: Text) -> str:
    """Lines as wide as they are laid out for, whatever face a browser has."""
    lines = lines_of(item)
    plate = ""
    if item.plate and lines:
        left, top, right, bottom = _plate(item, lines)
        plate = (
            f'<rect x="{left:.1f}" y="{top:.1f}" width="{right - left:.1f}" height="{bottom - top:.1f}" '
            f'fill="{item.plate}"/>'
        )
    weight = ' font-weight="bold"' if item.strong else ""
    anchor = {"left": "start", "middle": "middle", "right": "end"}[item.align]
    spans = "".join(
        f'<text x="{item.at[0]:.1f}" y="{y + rise(line, item.strong) * item.size:.1f}" font-size="{item.size:.1f}" '
        f'fill="{item.colour}" text-anchor="{anchor}"{weight} lengthAdjust="spacingAndGlyphs" '
        f'textLength="{text_size(line, item.size, item.strong)[0]:.1f}">{escape(line)}</text>'
        for line, (_, y) in lines
    )
    return plate + spans


# PDF


def registered(text: str = "", strong: bool = False) -> str:
    """The name by which reportlab knows the face a text is set in; the file carries it."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    path = face(text, strong)
    if path.stem not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(TTFont(path.stem, str(path)))
    return path.stem


def on_canvas(
    canvas: Any, drawing: Drawing, x: float, y: float, width: float, *, grey: bool = False, tags: Tags | None = None,
) -> None:
    """Draw on a reportlab canvas.

    Parameters
    ----------
    canvas : reportlab canvas
    drawing : Drawing
    x, y : float
        Its lower left corner.  [points]
    width : float
        [points]
    grey : bool
        Every colour as a grey as bright as it is.
    tags : Tags, optional
        Told what is text, in the drawing's order, and what is picture.
    """
    scale = width / drawing.size[0]
    canvas.saveState()
    canvas.translate(x, y + drawing.size[1] * scale)
    canvas.scale(scale, -scale)
    canvas.setLineJoin(1)
    canvas.setLineCap(1)
    shade = _as_grey if grey else str
    for text, run in itertools.groupby(pruned(drawing.ink), key=lambda item: isinstance(item, Text)):
        if tags is None or text:
            for item in run:
                _paint(canvas, item, shade, tags)
        else:
            with tags.piece("Figure"):
                for item in run:
                    _paint(canvas, item, shade)
    canvas.restoreState()


def _as_grey(colour: str) -> str:
    """A grey as bright as a colour, by the weights of ITU-R BT.601 (from memory)."""
    red, green, blue = (int(colour[k : k + 2], 16) for k in (1, 3, 5))
    level = round(0.299 * red + 0.587 * green + 0.114 * blue)
    return f"#{level:02x}{level:02x}{level:02x}"


def _paint(canvas: Any, item: Ink, shade: Callable[[str], str], tags: Tags | None = None) -> None:
    if isinstance(item, (Area, Line)):
        path = canvas.beginPath()
        path.moveTo(*item.points[0])
        for point in item.points[1:]:
            path.lineTo(*point)
        canvas.setLineWidth(item.width)
        if isinstance(item, Area):
            path.close()
            canvas.setFillColor(shade(item.colour))
            canvas.setStrokeColor(shade(item.edge or item.colour))
            canvas.drawPath(path, fill=1, stroke=int(bool(item.edge)))
        else:
            canvas.setStrokeColor(shade(item.colour))
            if item.dash:
                canvas.setDash(item.dash, item.dash)
                canvas.setLineCap(0)
            canvas.drawPath(path, fill=0, stroke=1)
            if item.dash:
                canvas.setDash()
                canvas.setLineCap(1)
    elif isinstance(item, Bitmap):
        _paint_bitmap(canvas, item)
    elif isinstance(item, Disc):
        canvas.setFillColor(shade(item.colour))
        canvas.circle(*item.at, item.radius, stroke=0, fill=1)
    elif isinstance(item, Text):
        lines = lines_of(item)
        with tags.ornament() if tags else nullcontext():
            _behind(canvas, item, lines, shade)
        with tags.piece("H1" if item.risen else "P") if tags else nullcontext():
            canvas.setFillColor(shade(item.colour))
            for k, (line, place) in enumerate(lines):
                with _upright(canvas, item, line, place):  # A space parts a line from the next for whom hears it.
                    canvas.drawString(0.0, 0.0, line if k + 1 == len(lines) else f"{line} ")
    elif isinstance(item, Window):
        canvas.saveState()
        left, top, right, bottom = item.frame
        clip = canvas.beginPath()
        if item.disc:
            clip.ellipse(left, top, right - left, bottom - top)
        else:
            clip.rect(left, top, right - left, bottom - top)
        canvas.clipPath(clip, stroke=0, fill=0)
        for each in item.ink:
            _paint(canvas, each, shade)
        canvas.restoreState()


def _behind(canvas: Any, item: Text, lines: list[tuple[str, Point]], shade: Callable[[str], str]) -> None:
    """A text's box, and its rim as strokes of the letters: no text of its own to whom reads it aloud."""
    if item.plate and lines:
        left, top, right, bottom = _plate(item, lines)
        canvas.setFillColor(shade(item.plate))
        canvas.rect(left, top, right - left, bottom - top, stroke=0, fill=1)
    for line, place in lines if item.halo else ():
        with _upright(canvas, item, line, place):
            canvas.setStrokeColor(shade(item.halo))
            canvas.setLineWidth(0.24 * item.size)
            rim = canvas.beginText(0.0, 0.0)
            rim.setTextRenderMode(1)
            rim.textOut(line)
            canvas.drawText(rim)


@contextmanager
def _upright(canvas: Any, item: Text, line: str, place: Point) -> Iterator[None]:
    """Letters the right way up, from the left end of what they stand on."""
    canvas.saveState()
    canvas.translate(place[0], place[1] + rise(line, item.strong) * item.size)
    canvas.scale(1.0, -1.0)
    canvas.setFont(registered(line, item.strong), item.size)
    yield
    canvas.restoreState()


def _paint_bitmap(canvas: Any, item: Bitmap) -> None:
    """Pixels as a JPEG of high quality: smooth ground is a tenth as large so."""
    from reportlab.lib.utils import ImageReader

    left, top, right, bottom = item.frame
    packed = io.BytesIO()
    shown = Image.fromarray(item.pixels)
    share = PRINTED * (right - left) / shown.width
    if share < 1.0:
        shown = shown.resize((round(shown.width * share), round(shown.height * share)), Image.Resampling.LANCZOS)
    shown.save(packed, format="JPEG", quality=JPEG, subsampling=0)
    canvas.saveState()
    canvas.translate(left, bottom)
    canvas.scale(1.0, -1.0)
    canvas.drawImage(ImageReader(packed), 0.0, 0.0, right - left, bottom - top)
    canvas.restoreState()
