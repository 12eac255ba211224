"""A stage becomes a picture: panels drawn oversized, symbols and measures over them, shrunk, then text."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from PIL import Image

from linescope.export import driver, furniture, panels
from linescope.export.furniture import Furnished, Word
from linescope.export.pen import Pen, text_size, wrap
from linescope.export.picture_size import check_size
from linescope.export.png import write_png
from linescope.stage import PAGE
from linescope.stage.items import DimensionLine, Label, Panel, Stage, Surface
from linescope.stage.labels import Box, Placed, Request, place
from linescope.words import Words

OVERSIZE = 2


@dataclass(frozen=True, eq=False, kw_only=True)
class Composition:
    """A finished picture with the rectangle of every text on it.

    Attributes
    ----------
    image : PIL.Image.Image
    words : tuple of Word
    left_out : tuple of str
        Labels for which there was no room.
    """

    image: Image.Image
    words: tuple[Word, ...]
    left_out: tuple[str, ...]


def render(stage: Stage, size: tuple[int, int], path: str | Path, dpi: float | None = None) -> Path:
    """Draw a stage into a PNG file, written whole or not at all.

    Parameters
    ----------
    stage : Stage
    size : (width, height)
        [px]
    path : str or Path
    dpi : float, optional
        Dots per inch noted in the file; default makes the picture 297 mm (A4) wide.  [1/inch]

    Raises
    ------
    InputError
        When the size is out of range.
    SystemPackageError
        When this system cannot draw.
    OutputError
        When the file cannot be written.
    """
    driver.probe()
    return write(compose(stage, size), stage, path, dpi)


def write(drawing: Composition, stage: Stage, path: str | Path, dpi: float | None = None) -> Path:
    """Write a finished picture of a stage with its metadata, whole or not at all.  See `render`."""
    return write_png(drawing.image, stage.metadata, path, dpi)


def compose(stage: Stage, size: tuple[int, int]) -> Composition:
    """Draw a stage in memory.  See `render`; `driver.probe` should have been called once."""
    check_size(size)
    width, height = size
    theme = stage.theme
    image = Image.new("RGB", (width * OVERSIZE, height * OVERSIZE), theme.rgb("paper"))
    unit = min(width / PAGE[0], height / PAGE[1])
    sheet = Furnished(width=width, height=height, unit=unit, theme=theme, pen=Pen(image, OVERSIZE))
    left_out: list[str] = []
    for panel in stage.panels:
        left_out += _panel(sheet, image, panel, stage.measures)
    top = furniture.header(sheet, stage)
    furniture.key(sheet, stage)
    if stage.panels:
        highest = min(panel.frame[1] for panel in stage.panels) * height
        furniture.alarms(sheet, stage, top, highest - 6 * unit)
    for box in stage.boxes:
        furniture.text_box(sheet, box)
    furniture.footer(sheet, stage)
    final = image.reduce(OVERSIZE)
    pen = Pen(final, 1)
    for word in sheet.words:
        pen.text(
            (word.box.left, word.box.top),
            word.text,
            word.size,
            theme.rgb(word.colour),
            strong=word.strong,
            halo=theme.rgb(word.halo) if word.halo else None,
        )
    return Composition(image=final, words=tuple(sheet.words), left_out=tuple(left_out))


def _panel(sheet: Furnished, image: Image.Image, panel: Panel, measures: Words) -> list[str]:
    """Draw one panel and place its labels; returns the labels left out."""
    frame = sheet.frame(panel.frame)
    left, top = round(frame.left), round(frame.top)
    size = (round(frame.right) - left, round(frame.bottom) - top)
    large = (size[0] * OVERSIZE, size[1] * OVERSIZE)
    pixels = panels.draw(panel, large, sheet.theme, OVERSIZE * sheet.unit)
    base = Image.fromarray(pixels)
    _front_wires(panel, Pen(base, OVERSIZE), size, sheet)
    image.paste(base, (left * OVERSIZE, top * OVERSIZE))
    frame = Box(left=left, top=top, right=left + size[0], bottom=top + size[1])
    view = _View(sheet=sheet, panel=panel, measures=measures, frame=frame, size=size)
    figures = view.dimensions()  # Before the symbols, which stand on their ends.
    taken = view.symbols() + view.caption()
    taken += view.scale_bar(taken)
    return view.texts(figures, taken)


def _front_wires(panel: Panel, pen: Pen, size: tuple[int, int], sheet: Furnished) -> None:
    """Lines that nothing hides, drawn on the panel's own picture so that its edge cuts them."""
    for wire in panel.wires:
        if not wire.front:
            continue
        dashed = panels.dashes(wire, panel, size, 12 * sheet.unit) if wire.dashed else [wire.points]
        for piece in dashed:
            page = panel.camera.project(piece, size)[:, :2]
            page = page[np.isfinite(page).all(axis=1)]
            pen.line([(x, y) for x, y in page], sheet.theme.rgb(wire.colour), wire.width * sheet.unit)


@dataclass(frozen=True, eq=False, kw_only=True)
class _View:
    """A panel while things are drawn over it."""

    sheet: Furnished
    panel: Panel
    measures: Words
    frame: Box
    size: tuple[int, int]

    def _page(self, points: np.ndarray[tuple[int, int], np.dtype[np.float64]]) -> list[tuple[float, float]]:
        """Points in the world as points on the page (nan behind the eye)."""
        seen = self.panel.camera.project(points, self.size)
        return [(float(x) + self.frame.left, float(y) + self.frame.top) for x, y, _ in seen]

    def _inside(self, at: tuple[float, float], reach: float = 0.0) -> bool:
        return (
            self.frame.left + reach <= at[0] <= self.frame.right - reach
            and self.frame.top + reach <= at[1] <= self.frame.bottom - reach
        )

    def _background(self) -> str:
        return "sky_low" if self.panel.sky else "paper"

    def caption(self) -> list[Box]:
        """The sentence in the panel's upper left corner, on a plate that parts it from what is drawn there."""
        if not self.panel.caption:
            return []
        unit = self.sheet.unit
        size = self.sheet.theme.body * unit
        at = (self.frame.left + 14 * unit, self.frame.top + 8 * unit)
        lines = wrap(self.panel.caption, size, self.frame.right - self.frame.left - 28 * unit, True)
        pitch = furniture.line_height(size)
        boxes = []
        ground = self.sheet.theme.rgb("sky_top" if self.panel.sky else "paper")
        for k, line in enumerate(lines[:3]):
            width, height = text_size(line, size, True)
            y = at[1] + k * pitch
            plate = (self.frame.left, y - 4 * unit, at[0] + width + 10 * unit, y + height + 2 * unit)
            self.sheet.pen.box(plate, ground)
            boxes.append(self.sheet.write((at[0], y), line, size, "ink", strong=True, halo=self._background()))
        return boxes

    def scale_bar(self, taken: list[Box]) -> list[Box]:
        """A bar of a round length in the lower left corner, or beside what stands there; true for the whole panel."""
        if not self.panel.scale_bar or not self.panel.camera.parallel:
            return []
        unit, theme, pen = self.sheet.unit, self.sheet.theme, self.sheet.pen
        per_pixel = self.panel.camera.metres_per_pixel(self.size)
        length, text = self.measures.round_length(0.14 * self.size[0] * per_pixel)
        ink = theme.rgb("ink")
        if self.panel.stretch != 1.0:
            text = self.measures.say("frame-scale-tall", length=text, times=self.measures.tick(self.panel.stretch))
        size = theme.small * unit
        room = length / per_pixel + 12 * unit + text_size(text, size, True)[0]
        x, y = self._free_corner(room, taken), self.frame.bottom - 18 * unit
        end = x + length / per_pixel
        pen.line([(x, y), (end, y)], ink, 3 * unit)
        for tick in (x, end):
            pen.line([(tick, y - 8 * unit), (tick, y + 8 * unit)], ink, 3 * unit)
        box = self.sheet.write(
            (end + 12 * unit, y - 0.62 * size), text, size, "ink", strong=True, halo=self._background()
        )
        return [box, Box(left=x, top=y - 10 * unit, right=end, bottom=y + 10 * unit)]

    def _free_corner(self, room: float, taken: list[Box]) -> float:
        """The left end of a scale bar `room` pixels long, where it crosses no measuring line and no symbol."""
        unit = self.sheet.unit
        lines = [
            box
            for dimension in self.panel.dimensions
            if all(self._inside(at) for at in self._page(np.array([dimension.start, dimension.end])))
            for box in self._along(np.array([dimension.start, dimension.end]), 14 * unit)
        ]
        for label in self.panel.labels:  # Most texts stand to the right of their points.
            x, y = self._page(label.at[None])[0]
            width, height = self._request(label, (x, y)).size
            lines.append(Box(left=x, top=y - height, right=x + width, bottom=y + height))
        first, last = self.frame.left + 24 * unit, self.frame.right - 24 * unit - room
        places = np.linspace(first, max(first, last), 9)

        def covered(x: float) -> int:
            bar = Box(left=x, top=self.frame.bottom - 30 * unit, right=x + room, bottom=self.frame.bottom - 6 * unit)
            return sum(bar.overlaps(box, 8 * unit) for box in (*lines, *taken))

        return float(min(places, key=covered))

    def symbols(self) -> list[Box]:
        """Symbols; returns the room they take."""
        theme, taken = self.sheet.theme, []
        for group in self.panel.symbols:
            size = group.size * self.sheet.unit
            for at in self._page(group.points):
                if not self._inside(at, 0.7 * size):
                    continue
                colour = theme.rgb(group.colour)
                self.sheet.pen.symbol(
                    group.symbol,
                    at,
                    size,
                    colour,
                    colour if group.text else theme.rgb("outline"),
                    theme.rgb(self._background()),
                )
                reach = 0.7 * size
                taken.append(Box(left=at[0] - reach, top=at[1] - reach, right=at[0] + reach, bottom=at[1] + reach))
                if group.text:
                    letter = 0.7 * size
                    # Light text on light ground cannot be read: several numbers shrink to stay on their disc.
                    letter *= min(1.0, 0.92 * size / text_size(group.text, letter, True)[0])
                    width, height = text_size(group.text, letter, True)
                    self.sheet.write(
                        (at[0] - width / 2, at[1] - height / 2), group.text, letter, "on_state", strong=True
                    )
        return taken

    def dimensions(self) -> list[tuple[Request, Label]]:
        """Measuring lines; returns their figures, which still want a place."""
        drawn = (self._dimension(dimension, 6 * self.sheet.unit) for dimension in self.panel.dimensions)
        return [figure for figure in drawn if figure is not None]

    def texts(self, figures: list[tuple[Request, Label]], taken: list[Box]) -> list[str]:
        """Figures of dimensions, and labels; returns what found no room."""
        unit = self.sheet.unit
        wanted = list(figures)
        for label in self.panel.labels:
            at = self._page(label.at[None])[0]
            if math.isfinite(at[0]) and self._inside(at):
                wanted.append((self._request(label, at), label))
        side, edge = 12 * unit, 3 * unit
        room = Box(
            left=self.frame.left + side,
            top=self.frame.top + edge,
            right=self.frame.right - side,
            bottom=self.frame.bottom - edge,
        )
        placed = place([request for request, _ in wanted], room, taken, self._drawn(), gap=5 * unit)
        for spot in placed:
            self._write(spot, *wanted[spot.index])
        done = {spot.index for spot in placed}
        return [request.text for k, (request, _) in enumerate(wanted) if k not in done]

    def _drawn(self) -> list[Box]:
        """Small boxes along all lines and round bodies: where text would cover what the picture shows."""
        unit = self.sheet.unit
        boxes: list[Box] = []
        for wire in self.panel.wires:
            if wire.quiet:
                continue
            boxes += self._along(wire.points, (0.6 * wire.width + 3.0) * unit)
        for dimension in self.panel.dimensions:
            boxes += self._along(np.array([dimension.start, dimension.end]), 2 * unit)
        named = {wire.name for wire in self.panel.wires}
        for surface in self.panel.surfaces:
            if surface.name in ("main", "backup") and surface.name not in named:
                boxes += self._sections(surface)
            if surface.name != "walker":
                continue
            page = [at for at in self._page(surface.points) if self._inside(at)]
            if page:  # In slices, so that a text over a body counts as much as one along a line.
                xs, ys = zip(*page, strict=True)
                edges = np.linspace(min(ys), max(ys), max(2, int((max(ys) - min(ys)) / (6 * unit))))
                slices = pairwise(edges.tolist())
                boxes += [Box(left=min(xs), top=top, right=max(xs), bottom=bottom) for top, bottom in slices]
        return boxes

    def _sections(self, surface: Surface) -> list[Box]:
        """Boxes round the cross-sections of a ribbon that are on the picture."""
        page = np.array(self._page(surface.points)).reshape(-1, 4, 2)
        low, high = page.min(axis=1), page.max(axis=1)
        boxes = (
            Box(left=float(a[0]), top=float(a[1]), right=float(b[0]), bottom=float(b[1]))
            for a, b in zip(low, high, strict=True)
        )
        return [box for box in boxes if math.isfinite(box.left) and self._inside(box.centre)]

    def _along(self, points: np.ndarray[tuple[int, int], np.dtype[np.float64]], reach: float) -> list[Box]:
        """Small boxes along a polyline, close enough together that no text fits between, where it is on the panel."""
        step = 9 * self.sheet.unit
        page = np.array(self._page(points))
        page = page[np.isfinite(page).all(axis=1)]
        low, high = np.minimum(page[:-1], page[1:]), np.maximum(page[:-1], page[1:])
        # Pieces beside the panel are left out first: a line that passes the eye is endless on the page.
        seen = (high > (self.frame.left, self.frame.top)) & (low < (self.frame.right, self.frame.bottom))
        boxes = []
        for start, end in zip(page[:-1][seen.all(axis=1)], page[1:][seen.all(axis=1)], strict=True):
            count = min(4000, int(np.linalg.norm(end - start) / step) + 2)
            for x, y in np.linspace(start, end, count).tolist():
                if self._inside((x, y)):
                    boxes.append(Box(left=x - reach, top=y - reach, right=x + reach, bottom=y + reach))
        return boxes

    def _request(self, label: Label, at: tuple[float, float]) -> Request:
        size = self._text_size(label)
        return Request(
            text=label.text,
            at=at,
            size=text_size(label.text, size, label.strong),
            towards=label.towards,
            offset=label.offset * self.sheet.unit,
            rank=label.rank,
            must=label.must,
        )

    def _text_size(self, label: Label) -> float:
        theme = self.sheet.theme
        return {"small": theme.small, "body": theme.body, "figure": theme.figure}[label.size] * self.sheet.unit

    def _write(self, spot: Placed, request: Request, label: Label) -> None:
        box = spot.box
        near = (min(max(request.at[0], box.left), box.right), min(max(request.at[1], box.top), box.bottom))
        if spot.leader or math.dist(near, request.at) > 30 * self.sheet.unit:
            self.sheet.pen.line([request.at, near], self.sheet.theme.rgb(label.colour), 1.4 * self.sheet.unit)
        self.sheet.write(
            (spot.box.left, spot.box.top),
            label.text,
            self._text_size(label),
            label.colour,
            strong=label.strong,
            halo=self._background(),
        )

    def _dimension(self, dimension: DimensionLine, bar: float) -> tuple[Request, Label] | None:
        """Draw the measuring line with its ticks and return the request for its figure."""
        (x0, y0), (x1, y1) = self._page(np.array([dimension.start, dimension.end]))
        if not (math.isfinite(x0 + x1) and self._inside((x0, y0)) and self._inside((x1, y1))):
            return None
        colour = self.sheet.theme.rgb("ink")
        length = math.hypot(x1 - x0, y1 - y0)
        across = (-(y1 - y0) / length, (x1 - x0) / length) if length > 0 else (1.0, 0.0)
        pen = self.sheet.pen
        # The halo stops short of the ends, which stand on what is measured.
        short = min(0.5, 5.0 * self.sheet.unit / length) if length > 0 else 0.5
        inner = [(x0 + (x1 - x0) * share, y0 + (y1 - y0) * share) for share in (short, 1.0 - short)]
        pen.line(inner, self.sheet.theme.rgb(self._background()), 5.0 * self.sheet.unit)
        strokes = [[(x0, y0), (x1, y1)]]
        for x, y in ((x0, y0), (x1, y1)):
            strokes.append([(x - across[0] * bar, y - across[1] * bar), (x + across[0] * bar, y + across[1] * bar)])
        for stroke in strokes:
            pen.line(stroke, colour, 2.2 * self.sheet.unit)
        label = Label(
            text=dimension.text,
            at=(dimension.start + dimension.end) / 2,
            size="figure",
            strong=True,
            must=True,
            towards=dimension.towards,
            rank=dimension.rank,
            offset=10.0,
        )
        return self._request(label, ((x0 + x1) / 2, (y0 + y1) / 2)), label
