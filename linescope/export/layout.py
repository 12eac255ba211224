"""Crew pictures laid out: views become bitmaps and strokes, and tags find their places.

What comes out holds areas, lines, discs, text and bitmaps only, so that every kind of file shows the same, and tests
can ask where each text stands.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from linescope.export import panels
from linescope.export.ink import lines_of
from linescope.export.pen import text_size, wrap
from linescope.stage import people
from linescope.stage.board import glyph, moved
from linescope.stage.ink import LEADING, Area, Bitmap, Disc, Drawing, Ink, Keep, Line, Row, Tag, Text, View, Window
from linescope.stage.items import Panel, Surface, Symbols, Wire
from linescope.stage.labels import Box, Request, places
from linescope.stage.theme import ROLES, Theme

Floats = NDArray[np.float64]

OVERSIZE = 2
STEP = 9.0  # Between the boxes that stand for a stroke [px].
LED = 36.0  # A text farther from its point than this is led to it [px].
FIGURE = 46.0  # Of a person that stands for a walker too small to be seen [px].
CROSSING = 3  # A leader over a stroke is as bad as a text that covers so much of one [STEP].
FAR = 60.0  # A leader so long is as bad as a text that touches one stroke [px].
SAMPLES = 4.0  # Between two points of a stroke that are looked for behind the ground [px].
NARROW = 300.0  # Least width of a label's lines [px].
FADE = 48.0  # Of a bitmap's edges [px].
BEHIND = 0.004  # Share of the depth by which a stroke must lie behind the ground to be hidden.  [-]
MORE = "…"  # Where a column has no more room.
LEAST = 24.0  # Of any text: ten points on A4, lying, 2000 px wide [px].


def laid_out(drawing: Drawing, theme: Theme) -> Drawing:
    """A drawing whose views and tags have become strokes, bitmaps and text.

    Parameters
    ----------
    drawing : Drawing
    theme : Theme
    """
    return replace(drawing, ink=placed(drawing.ink, theme))


def placed(ink: Iterable[Ink], theme: Theme) -> tuple[Ink, ...]:
    """Ink whose views and tags have become strokes, bitmaps and text; what was laid out before stays as it is."""
    flat: list[Ink] = []
    for item in visible(ink, theme):
        flat += _row(item) if isinstance(item, Row) else [item]
    flat = [_fitted(item) if isinstance(item, Text) and item.most else item for item in flat]
    tags = [item for item in flat if isinstance(item, Tag)]
    rest: list[Ink] = [item for item in flat if not isinstance(item, Tag)]
    drawn = [item for item in rest if not isinstance(item, Keep)]
    return (*drawn, *_with_leaders(tags, rest))


def visible(ink: Iterable[Ink], theme: Theme) -> tuple[Ink, ...]:
    """Ink with its views drawn."""
    found: list[Ink] = []
    for item in ink:
        if isinstance(item, View):
            found += _view(item, theme)
        elif isinstance(item, Window):
            inner = tuple(each for each in visible(item.ink, theme) if not isinstance(each, (Tag, Keep)))
            found.append(replace(item, ink=inner))
        else:
            found.append(item)
    return tuple(found)


def boxes(ink: Iterable[Ink]) -> list[tuple[Text, Box]]:
    """The rectangle of every text.  [px]"""
    return [(item, _box(item)) for item in ink if isinstance(item, Text) and item.text.strip()]


def _box(text: Text) -> Box:
    lines = lines_of(text)
    wide = [text_size(line, text.size, text.strong) for line, _ in lines]
    return Box(
        left=min(at[0] for _, at in lines), top=lines[0][1][1],
        right=max(at[0] + size[0] for size, (_, at) in zip(wide, lines, strict=True)),
        bottom=lines[-1][1][1] + 1.18 * text.size,
    )


def _fitted(text: Text) -> Text:
    """A text that needs no more lines than it may have; what is too long even in the smallest letters is cut short.

    What comes out has no `most`, and is not fitted again.
    """
    while len(lines_of(text)) > text.most and text.size > LEAST:
        text = replace(text, size=max(LEAST, 0.95 * text.size))
    lines = [line for line, _ in lines_of(text)]
    if len(lines) <= text.most:
        return replace(_even(text, len(lines)), most=0)
    return replace(text, text=" ".join(lines[: text.most])[:-2].rstrip() + MORE, most=0)


def _even(text: Text, lines: int) -> Text:
    """The same lines, about as long as each other: no word stands alone."""
    if lines < 2:
        return text
    low, high = text.width / lines, text.width
    while high - low > 4.0:
        middle = 0.5 * (low + high)
        found = [line for line, _ in lines_of(replace(text, width=middle))]
        if len(found) > lines or any(line.endswith(MORE) for line in found):
            low = middle
        else:
            high = middle
    return replace(text, width=high)


def _row(row: Row) -> list[Ink]:
    """Swatches and texts as far apart as the row is wide for."""
    left, top, right, bottom = row.frame
    if row.down:
        return _column(row)
    wide = [before + text_size(text.text, text.size, text.strong)[0] for _, before, text in row.entries]
    gap = min(row.gap, max(16.0, (right - left - sum(wide)) / max(1, len(wide) - 1)))
    x, y, ink = left, 0.5 * (top + bottom), list[Ink]()
    for (swatch, before, text), size in zip(row.entries, wide, strict=True):
        ink += [*moved(swatch, x, y), replace(text, at=(x + before, y))]
        x += size + gap
    return ink


def _column(row: Row) -> list[Ink]:
    """Swatches and texts one below the other; what does not fit any more is told by `MORE`."""
    left, y, right, bottom = row.frame
    placed = [replace(text, at=(left + before, 0.0), width=right - left - before) for _, before, text in row.entries]
    tall = [LEADING * text.size * len(lines_of(text)) for text in placed]
    gap = min(row.gap, max(2.0, (bottom - y - sum(tall)) / max(1, len(tall) - 1)))
    ink: list[Ink] = []
    for (swatch, _, _), text, high in zip(row.entries, placed, tall, strict=True):
        if y + high > bottom + 1.0:
            ink.append(replace(text, text=MORE, at=(text.at[0], y - gap)))
            break
        ink += [*moved(swatch, left, y), replace(text, at=(text.at[0], y))]
        y += high + gap
    return ink


# Tags


def _with_leaders(tags: list[Tag], drawn: list[Ink]) -> list[Ink]:
    """Texts and leaders of tags; those without room are left out."""
    taken = [_grown(box, 3.0) for _, box in boxes(drawn)]
    avoid: list[Box] = []
    for item in drawn:
        if isinstance(item, Disc) and item.radius > 4.0:
            (x, y), r = item.at, item.radius
            taken.append(Box(left=x - r, top=y - r, right=x + r, bottom=y + r))
        elif isinstance(item, Line) and not item.quiet:
            avoid += _along(item)
        elif isinstance(item, Keep):
            left, top, right, bottom = item.frame
            if item.firm:
                taken.append(Box(left=left, top=top, right=right, bottom=bottom))
            else:  # In slices, so that a text over a body counts as much as one along a stroke.
                avoid += [
                    Box(left=left, top=y, right=right, bottom=min(y + STEP, bottom))
                    for y in np.arange(top, bottom, STEP).tolist()
                ]
    found: list[Ink] = []
    for tag in sorted(tags, key=lambda tag: tag.rank):
        block = wrap(tag.text, tag.size, tag.width, tag.strong, whole=True) if tag.width else [tag.text]
        wide = max(text_size(line, tag.size, tag.strong)[0] for line in block)
        size, best = (wide, LEADING * tag.size * len(block)), None
        for at in (tag.at, *tag.others):
            found_at = _spot(replace(tag, at=at), size, taken, avoid)
            if found_at is not None and (best is None or found_at[0] < best[0]):
                best = (*found_at, at)
            if best is not None and best[0] == 0:
                break
        if best is None:
            continue
        _, box, at = best
        taken.append(_grown(box, 9.0))
        near = _nearest(box, at)
        if math.dist(near, at) > LED:
            leader = Line(points=(at, near), colour=tag.colour, width=2.0, quiet=True)
            found.append(leader)
            avoid += 5 * _along(leader)  # Worse to cross than a curve.
        for k, line in enumerate(block):
            found.append(Text(
                text=line, at=(box.left, box.top + LEADING * tag.size * k), size=tag.size, strong=tag.strong,
                colour=tag.colour, halo=tag.halo,
            ))
    return sorted(found, key=lambda item: isinstance(item, Text))


def _nearest(box: Box, at: tuple[float, float]) -> tuple[float, float]:
    """The point of a box that is nearest to a point."""
    return min(max(at[0], box.left), box.right), min(max(at[1], box.top), box.bottom)


def _spot(
    tag: Tag, size: tuple[float, float], taken: list[Box], avoid: list[Box]
) -> tuple[int, Box] | None:
    """Where a text goes, and what it costs: on nothing that is taken, over as little as can be, led to its point past
    all of that."""
    request = Request(text=tag.text, at=tag.at, size=size, towards=tag.towards, offset=tag.offset, must=tag.must)
    room = Box(left=tag.room[0], top=tag.room[1], right=tag.room[2], bottom=tag.room[3])
    strokes, firm = (
        np.array([(b.left, b.top, b.right, b.bottom) for b in each]).reshape(-1, 4) for each in (avoid, taken)
    )
    others = firm[~_crossed(np.array([tag.at]), firm)[0]]  # Not the symbol it belongs to.
    best: tuple[int, Box] | None = None
    for box, _ in places(request, room):
        if not box.within(room) or _covered(box, firm, 3.0):
            continue
        cost = _covered(box, strokes)
        near = _nearest(box, tag.at)
        led = math.dist(near, tag.at)
        cost += int(led / FAR) if led > LED else 0
        if best is not None and cost >= best[0]:  # No leader makes it better.
            continue
        if led > LED:
            way = np.linspace(tag.at, near, max(3, int(led / 6.0)))
            cost += 40 * _met(way, others)
            cost += CROSSING * _met(way, strokes, np.hypot(*(way - tag.at).T) >= STEP + 6.0)  # Not what it points at.
        if best is None or cost < best[0]:
            best = (cost, box)
        if cost == 0:
            break
    return best


def _met(way: Floats, others: Floats, counted: NDArray[np.bool_] | None = None) -> int:
    """How many of m boxes hold any of n points, or any of those that are counted."""
    (left, top), (right, bottom) = way.min(axis=0), way.max(axis=0)
    near = (others[:, 0] < right) & (others[:, 2] > left) & (others[:, 1] < bottom) & (others[:, 3] > top)
    crossed = _crossed(way if counted is None else way[counted], others[near])
    return int(np.count_nonzero(crossed.any(axis=0)))


def _crossed(way: Floats, others: Floats) -> NDArray[np.bool_]:
    """(n, m) which of n points lie in which of m boxes."""
    x, y = way[:, :1], way[:, 1:]
    return np.asarray((x > others[:, 0]) & (x < others[:, 2]) & (y > others[:, 1]) & (y < others[:, 3]))


def _covered(box: Box, others: Floats, gap: float = 0.0) -> int:
    """How many boxes one lies over."""
    left, top, right, bottom = others.T
    over = (left < box.right + gap) & (box.left < right + gap) & (top < box.bottom + gap) & (box.top < bottom + gap)
    return int(np.count_nonzero(over))


def _grown(box: Box, by: float) -> Box:
    return Box(left=box.left - by, top=box.top - by, right=box.right + by, bottom=box.bottom + by)


def _along(line: Line) -> list[Box]:
    """Small boxes along a stroke."""
    points, reach = np.array(line.points), 0.5 * line.width + 3.0
    found = []
    for start, end in itertools.pairwise(points):
        count = min(4000, int(np.linalg.norm(end - start) / STEP) + 2)
        for x, y in np.linspace(start, end, count).tolist():
            found.append(Box(left=x - reach, top=y - reach, right=x + reach, bottom=y + reach))
    return found


# Views


@dataclass(frozen=True, eq=False, kw_only=True)
class _Eye:
    """A view's camera with the frame it fills, and how far the ground is in each pixel."""

    panel: Panel
    frame: tuple[float, float, float, float]
    depth: Floats | None

    @property
    def size(self) -> tuple[float, float]:
        return self.frame[2] - self.frame[0], self.frame[3] - self.frame[1]

    def page(self, points: Floats) -> Floats:
        """(n, 3) points of the page and their depth.  [px, m]"""
        seen = self.panel.camera.project(points, self.size)
        return np.asarray(seen + np.array([self.frame[0], self.frame[1], 0.0]), dtype=float)

    def visible(self, seen: Floats) -> NDArray[np.bool_]:
        """Which points of the page, with their depth, no ground hides and the frame holds."""
        left, top, right, bottom = self.frame
        inside = (seen[:, 0] >= left) & (seen[:, 0] <= right) & (seen[:, 1] >= top) & (seen[:, 1] <= bottom)
        if self.depth is None:
            return np.asarray(inside)
        high, wide = self.depth.shape
        column = np.clip(((seen[:, 0] - left) / (right - left) * wide).astype(int), 0, wide - 1)
        row = np.clip(((seen[:, 1] - top) / (bottom - top) * high).astype(int), 0, high - 1)
        return np.asarray(inside & (seen[:, 2] <= self.depth[row, column] * (1.0 + BEHIND)))


def _view(view: View, theme: Theme) -> list[Ink]:
    """Ground as a bitmap; strokes, bodies, symbols and tags in ink over it.  Lines are strokes, not ribbons."""
    panel = view.panel
    size = (round(view.frame[2] - view.frame[0]), round(view.frame[3] - view.frame[1]))
    bodies = [surface for surface in panel.surfaces if people.pose_of(surface)]
    ground = replace(
        panel, surfaces=tuple(s for s in panel.surfaces if not s.lit), wires=tuple(w for w in panel.wires if w.quiet)
    )
    ink: list[Ink] = []
    depth = None
    if ground.surfaces or ground.wires:
        pixels, depth = panels.draw_deep(ground, (size[0] * OVERSIZE, size[1] * OVERSIZE), theme, OVERSIZE)
        ink.append(Bitmap(frame=view.frame, pixels=_faded(pixels, theme) if view.faded else pixels))
    eye = _Eye(panel=panel, frame=view.frame, depth=depth)
    loud = [_strokes(wire, eye, theme) for wire in panel.wires if not wire.quiet]
    ink += [item for strokes in loud for item in strokes if item.quiet]  # Casings of all, so that none hides a line.
    ink += [item for strokes in loud for item in strokes if not item.quiet]
    for surface in bodies:
        ink += _body(surface, eye, theme)
    for group in panel.symbols:
        ink += _symbols(group, eye, theme)
    for label in panel.labels:
        at = eye.page(np.asarray(label.at)[None])[0]
        if np.isfinite(at).all():
            ink.append(Tag(
                text=label.text, at=(float(at[0]), float(at[1])), room=view.frame, towards=label.towards,
                size={"small": theme.small, "body": theme.body, "figure": theme.figure}[label.size], rank=label.rank,
                must=label.must, strong=label.strong, offset=label.offset, colour=theme.colours[label.colour],
                halo=theme.colours["paper"], width=max(NARROW, 0.27 * (view.frame[2] - view.frame[0])),
            ))
    return ink


def _faded(pixels: NDArray[np.uint8], theme: Theme) -> NDArray[np.uint8]:
    """A picture whose edges fade to paper: no edge of the frame cuts what it shows."""
    high, wide = pixels.shape[:2]

    def ramp(count: int, start: float, end: float) -> Floats:
        at = np.arange(count) / OVERSIZE
        near = np.minimum((at + 0.5) / start, (at[-1] - at + 0.5) / end)
        return np.asarray(np.clip(near, 0.0, 1.0), dtype=float)

    share = np.minimum(ramp(high, 8.0, FADE)[:, None], ramp(wide, FADE, FADE)[None, :])
    mask = Image.fromarray(np.rint(255.0 * share).astype(np.uint8))
    paper = Image.new("RGB", (wide, high), theme.rgb("paper"))
    return np.asarray(Image.composite(Image.fromarray(pixels), paper, mask))


def _strokes(wire: Wire, eye: _Eye, theme: Theme) -> list[Line]:
    """The parts of a wire that are seen, with their casing first."""
    ways = np.asarray(wire.points).reshape(-1, 2, 3) if wire.pairs else [np.asarray(wire.points)]
    dash = 12.0 if wire.dashed else 0.0
    cased = ROLES[wire.colour].casing == "casing" and not wire.dashed and wire.width >= panels.CASED
    found: list[Line] = []
    runs = [run for way in ways for run in _seen(way, eye, wire.front)]
    if cased:
        wide = wire.width + 2 * theme.casing_width
        found += [Line(points=run, colour=theme.colours["casing"], width=wide, quiet=True) for run in runs]
    colour = theme.colours[wire.colour]
    return [*found, *(Line(points=run, colour=colour, width=wire.width, dash=dash, quiet=wire.dashed) for run in runs)]


def _seen(way: Floats, eye: _Eye, front: bool) -> list[tuple[tuple[float, float], ...]]:
    """Runs of a polyline on the page that no ground hides."""
    page = eye.page(way)[:, :2]
    length = np.linalg.norm(np.diff(page, axis=0), axis=1)
    counts = np.maximum(1, np.ceil(np.nan_to_num(length) / SAMPLES).astype(int)).clip(max=400)
    share = np.concatenate([k + np.arange(n) / n for k, n in enumerate(counts)] + [np.array([len(way) - 1.0])])
    dense = np.column_stack([np.interp(share, np.arange(len(way)), way[:, axis]) for axis in range(3)])
    seen = eye.page(dense)
    shown = np.isfinite(seen).all(axis=1) & (eye.visible(seen) if not front else True)
    cuts = np.flatnonzero(np.diff(np.concatenate([[0], shown.astype(int), [0]])))
    runs = []
    for start, end in zip(cuts[::2], cuts[1::2], strict=True):
        if end - start > 1:
            runs.append(tuple((float(x), float(y)) for x, y in _thinned(seen[start:end, :2])))
    return runs


def _thinned(points: Floats, off: float = 0.15) -> Floats:
    """Fewer points of a polyline that stay within `off` pixels of it (Ramer, Douglas and Peucker)."""
    keep = np.zeros(len(points), dtype=bool)
    keep[[0, -1]] = True
    stack = [(0, len(points) - 1)]
    while stack:
        a, b = stack.pop()
        if b - a < 2:
            continue
        chord = points[b] - points[a]
        away = points[a + 1 : b] - points[a]
        norm = float(np.hypot(*chord))
        gap = np.abs(chord[0] * away[:, 1] - chord[1] * away[:, 0]) / norm if norm > 0 else np.hypot(*away.T)
        k = int(np.argmax(gap))
        if gap[k] > off:
            keep[a + 1 + k] = True
            stack += [(a, a + 1 + k), (a + 1 + k, b)]
    return np.asarray(points[keep], dtype=float)


def _body(surface: Surface, eye: _Eye, theme: Theme) -> list[Ink]:
    """A person's facets, and one box that keeps labels off."""
    return body_ink(people.facets(surface, eye.panel.camera, eye.size), theme, eye.frame[:2])


def body_ink(seen: people.Facets, theme: Theme, corner: tuple[float, float] = (0.0, 0.0)) -> list[Ink]:
    """Facets of a person as areas; the whole is kept free of labels."""
    found: list[Ink] = []
    if not len(seen.corners):
        return found
    corners = seen.corners + np.array(corner)
    for points, role, light in zip(corners, seen.role, seen.light, strict=True):
        red, green, blue = (round(c * light) for c in theme.rgb(str(role)))
        colour = f"#{red:02x}{green:02x}{blue:02x}"
        found.append(Area(points=tuple((float(x), float(y)) for x, y in points), colour=colour, edge=colour, width=0.7))
    low, high = corners.min(axis=(0, 1)), corners.max(axis=(0, 1))
    return [Keep(frame=(float(low[0]), float(low[1]), float(high[0]), float(high[1]))), *found]


def _symbols(group: Symbols, eye: _Eye, theme: Theme) -> list[Ink]:
    found: list[Ink] = []
    for x, y, _ in eye.page(np.atleast_2d(group.points)):
        if not (math.isfinite(x) and math.isfinite(y)):
            continue
        at = float(x), float(y)
        if group.symbol == "walker":
            found += sign((at[0], at[1] + 0.5 * FIGURE), theme)
            continue
        found += glyph(group.symbol, at, group.size, group.colour, theme)
        if group.text:
            size = max(LEAST, 0.62 * group.size)
            found.append(Text(
                text=group.text, at=(at[0], at[1] + 0.02 * size), size=size, align="middle", centred=True, strong=True,
                colour=theme.colours["on_state"],
            ))
    return found


def sign(soles: tuple[float, float], theme: Theme, height: float = FIGURE) -> list[Ink]:
    """A person that stands for one too small to be seen: not to scale, soles at a point of the page."""
    from linescope.stage.camera import Camera

    up = np.array([0.0, 0.0, 1.0])
    camera = Camera(eye=np.array([0.0, -5.0, 0.5]), target=np.array([0.0, 0.0, 0.5]), up=up, half_height=0.5)
    forwards = np.array([math.cos(0.9), math.sin(0.9), 0.0])
    body = people.standing("walker", "standing", np.zeros(3), forwards, 1.0)
    seen = people.facets(body, camera, (height, height))
    return body_ink(seen, theme, (soles[0] - 0.5 * height, soles[1] - height))
