"""The pen: lines, symbols and text on a page, in pixels.

Lines and symbols are drawn on the oversized page and shrink with it, which smooths them; text is drawn
afterwards at the final size, so that it stays crisp and its rectangle is exact.
"""

from __future__ import annotations

import functools
import importlib.util
import re
from collections.abc import Iterable, Sequence
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont

from linescope.errors import SystemPackageError
from linescope.stage.theme import SHAPES, Pattern, Symbol
from linescope.viewer import letters

Colour = tuple[int, int, int]
PagePoint = tuple[float, float]

_WHOLE = re.compile(r"(?<![0-9])\s+")

_PERSON: tuple[tuple[PagePoint, ...], ...] = (
    # Arms and trunk, and two legs, on the same square; the head is a disc.
    ((-0.60, -0.62), (-0.13, -0.27), (0.15, -0.27), (0.72, -0.20), (0.72, -0.04), (0.15, -0.06), (0.15, 0.22),
     (-0.15, 0.22), (-0.15, -0.06), (-0.72, -0.50)),
    ((-0.15, 0.20), (0.05, 0.20), (-0.22, 0.80), (-0.42, 0.80)),
    ((-0.05, 0.20), (0.15, 0.20), (0.42, 0.80), (0.22, 0.80)),
)  # fmt: skip


@functools.cache
def _usual_folder() -> Path:
    """DejaVu fonts come with matplotlib, which pyvista brings; it is found without importing it."""
    spec = importlib.util.find_spec("matplotlib")
    for place in (spec.submodule_search_locations or []) if spec else []:
        folder = Path(place) / "mpl-data" / "fonts" / "ttf"
        if (folder / "DejaVuSans.ttf").is_file():
            return folder
    raise SystemPackageError("no font for pictures was found. Install the Python package matplotlib.")


def usual(strong: bool = False) -> Path:
    """The file of DejaVu Sans, which has the letters of most names."""
    return _usual_folder() / ("DejaVuSans-Bold.ttf" if strong else "DejaVuSans.ttf")


def face(text: str = "", strong: bool = False) -> Path:
    """The file of the face a text is set in: our own where it was built and has all the letters, else the usual one."""
    own = letters.built()
    return own[:2][strong] if own is not None and own[2].issuperset(text) else usual(strong)


@functools.lru_cache(maxsize=64)
def _opened(path: Path, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(path), size, layout_engine=ImageFont.Layout.BASIC)


def font(size: float, strong: bool = False, text: str = "") -> ImageFont.FreeTypeFont:
    """What a text is set in, at a size in pixels."""
    return _opened(face(text, strong), max(round(size), 4))


def text_size(text: str, size: float, strong: bool = False) -> tuple[float, float]:
    """Width and height of one line of text.  [px]"""
    return _measured(face(text, strong), max(round(size), 4), text)


def narrowed(
    text: str, size: float, width: float, least: float, strong: bool = False, *, by: float = 0.97
) -> float:
    """The size at which one line of text is no wider than `width`, in steps of `by`; hardly under `least`.  [px]"""
    while text_size(text, size, strong)[0] > width and size > least:
        size *= by
    return size


@functools.lru_cache(maxsize=8192)  # The same lines are broken and placed again and again.
def _measured(path: Path, size: int, text: str) -> tuple[float, float]:
    chosen = _opened(path, size)
    ascent, descent = chosen.getmetrics()
    return float(chosen.getlength(text)), float(ascent + descent)


def rise(text: str, strong: bool = False) -> float:
    """From the top of a line to what its letters stand on.  [em]"""
    return float(font(1000.0, strong, text).getmetrics()[0]) / 1000.0


def wrap(text: str, size: float, width: float, strong: bool = False, *, whole: bool = False) -> list[str]:
    """Text in lines no wider than `width`; a word that is wider alone is cut with an ellipsis.

    `whole` keeps figures with what follows them, such as their unit.
    """
    lines: list[str] = []
    line = ""
    for word in _WHOLE.split(text) if whole else text.split():
        trial = f"{line} {word}".strip()
        if text_size(trial, size, strong)[0] <= width:
            line = trial
            continue
        if line:
            lines.append(line)
        while len(word) > 1 and text_size(word, size, strong)[0] > width:
            word = f"{word[:-2]}…"
        line = word
    return [*lines, line] if line else lines


class Pen:
    """Draws on one image; all positions are final pixels, `oversize` is how much larger the image is."""

    def __init__(self, image: Image.Image, oversize: float) -> None:
        self.image = image
        self.over = oversize
        self._draw = ImageDraw.Draw(image)

    def line(self, points: Iterable[PagePoint], colour: Colour, width: float) -> None:
        """A polyline with round joints."""
        corners = [(x * self.over, y * self.over) for x, y in points]
        if len(corners) > 1:
            self._draw.line(corners, fill=colour, width=max(1, round(width * self.over)), joint="curve")

    def box(self, corners: Sequence[float], fill: Colour) -> None:
        """A filled rectangle: left, top, right, bottom."""
        self._draw.rectangle([c * self.over for c in corners], fill=fill)

    def pattern(
        self, corners: tuple[float, float, float, float], fill: Colour, stroke: Colour, pattern: Pattern, step: float
    ) -> None:
        """A filled rectangle with slanting strokes, or two sets of them, every `step` pixels."""
        left, top, right, bottom = (c * self.over for c in corners)
        size = (max(1, round(right - left)), max(1, round(bottom - top)))
        swatch = Image.new("RGB", size, fill)
        draw, width = ImageDraw.Draw(swatch), max(1, round(0.16 * step * self.over))
        for start in range(-size[1], size[0], max(2, round(step * self.over))):
            draw.line([(start, size[1]), (start + size[1], 0)], fill=stroke, width=width)
            if pattern == "cross":
                draw.line([(start, 0), (start + size[1], size[1])], fill=stroke, width=width)
        draw.rectangle([0, 0, size[0] - 1, size[1] - 1], outline=stroke, width=width)
        self.image.paste(swatch, (round(left), round(top)))

    def pill(self, corners: Sequence[float], fill: Colour, radius: float) -> None:
        """A rectangle with round corners."""
        self._draw.rounded_rectangle([c * self.over for c in corners], radius=radius * self.over, fill=fill)

    def symbol(self, kind: Symbol, at: PagePoint, size: float, fill: Colour, outline: Colour, halo: Colour) -> None:
        """A symbol `size` pixels wide, outlined, on a thin halo that parts it from what lies under it."""
        x, y = at[0] * self.over, at[1] * self.over
        half = size / 2 * self.over
        rim = max(1.0, 0.09 * size) * self.over
        for grow, colour in ((rim * 1.8, halo), (rim, outline), (0.0, fill)):
            reach = half + grow
            if kind in ("disc", "ring", "walker"):
                self._draw.ellipse([x - reach, y - reach, x + reach, y + reach], fill=colour)
                continue
            for shape in SHAPES[kind]:
                scale = half + grow * 1.25
                self._draw.polygon([(x + px * scale, y + py * scale) for px, py in shape], fill=colour)
        if kind == "walker":
            self._draw.ellipse(
                [x - 0.19 * half, y - 0.74 * half, x + 0.19 * half, y - 0.36 * half], fill=halo
            )
            for shape in _PERSON:
                self._draw.polygon([(x + px * half, y + py * half) for px, py in shape], fill=halo)
        if kind == "ring":
            inner = half * 0.5
            self._draw.ellipse([x - inner, y - inner, x + inner, y + inner], fill=halo)

    def text(
        self,
        at: PagePoint,
        text: str,
        size: float,
        colour: Colour,
        *,
        strong: bool = False,
        halo: Colour | None = None,
    ) -> None:
        """One line of text with its top left corner at a point; only on the page at its final size."""
        self._draw.text(
            (round(at[0]), round(at[1])),
            text,
            font=font(size, strong, text),
            fill=colour,
            stroke_width=max(1, round(0.14 * size)) if halo else 0,
            stroke_fill=halo,
        )
