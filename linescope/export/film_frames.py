"""Frames of a film: the whole line over its ground, a near view, figures running along, and a graph.

The ground does not move, so it is drawn once, as a block that is cut in front of the line, and what happens is drawn
over it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from linescope.export import panels
from linescope.export.film_shots import UP, Reel, Shot, bounds, way
from linescope.export.pen import Pen, narrowed, text_size, wrap
from linescope.export.sheet_walk import above_ground
from linescope.rig import Rig
from linescope.stage import relief
from linescope.stage.camera import Camera, parallel_fit
from linescope.stage.ground import Site, plan_direction, section
from linescope.stage.items import Panel
from linescope.stage.theme import Theme
from linescope.words import Loud, Words

Floats = NDArray[np.float64]

OVER = 2  # Lines are drawn so many times too large and shrunk.
ANGLE = math.radians(24)
DOWN = math.radians(9.0)  # The whole line is seen from so much above level: heights come out 1 % short.
EDGES = (50.0, 46.0, 50.0, 30.0)  # Free beside all that happens: left, top, right, bottom, of a picture 720 px high.
STROKES = {
    "length": ((3.4, "main"), (1.6, "green")), "time": ((2.6, "leash"), (3.4, "main"), (1.8, "backup")),
}
"""Width and colour of the graph's curves; of fewer the last.  [px]"""
HEAD, GRAPH, COLUMN = 62.0, 118.0, 330.0  # Of a picture 720 px high.  [px]


@dataclass(frozen=True, eq=False, kw_only=True)
class _Set:
    """What stays the same in all frames."""

    reel: Reel
    rig: Rig
    theme: Theme
    measures: Words
    size: tuple[int, int]
    unit: float
    camera: Camera
    backdrop: Image.Image | None
    profile: tuple[Floats, ...]
    trail: tuple[Floats, ...]
    heights: Floats

    @property
    def split(self) -> float:
        """Where the near view begins.  [px]"""
        return HEAD * self.unit + _tall(self.size, self.unit)

    @property
    def scale(self) -> float:
        """Of the view of the whole line.  [px/m]"""
        return 1.0 / self.camera.metres_per_pixel((self.size[0], _tall(self.size, self.unit)))

    def page(self, points: Floats) -> list[tuple[float, float]]:
        """Points in the view of the whole line.  [px]"""
        seen = self.camera.project(points, (self.size[0], _tall(self.size, self.unit)))
        return [(float(x), float(y) + HEAD * self.unit) for x, y in seen[:, :2]]


def _tall(size: tuple[int, int], unit: float) -> float:
    """Height of the view of the whole line.  [px]"""
    return 0.42 * (size[1] - (HEAD + GRAPH) * unit)


def frames(
    reel: Reel, rig: Rig, *, theme: Theme, measures: Words, size: tuple[int, int], ground: Site | None
) -> Iterator[Image.Image]:
    """The pictures of a film, one after the other.

    Parameters
    ----------
    reel : Reel
    rig : Rig
    theme : Theme
    measures : Words
    size : (width, height)
        [px]
    ground : Site, optional
    """
    unit = size[1] / 720
    camera = _side(reel, rig, size, unit)
    profile: tuple[Floats, ...] = ()
    if ground is not None:
        beyond = 0.5 * size[0] * camera.metres_per_pixel((size[0], _tall(size, unit)))
        profile = section(ground.near, rig, -beyond, rig.span + beyond, 700)
    stage = _Set(
        reel=reel, rig=rig, theme=theme, measures=measures, size=size, unit=unit, camera=camera,
        backdrop=None if ground is None else _backdrop(ground, rig, theme, measures, camera, size, unit),
        profile=profile, trail=way(reel),
        heights=above_ground(None if ground is None else ground.near, np.array([shot.foot for shot in reel.shots])),
    )  # fmt: skip
    for number in range(len(reel.shots)):
        yield _frame(stage, number)


def _side(reel: Reel, rig: Rig, size: tuple[int, int], unit: float) -> Camera:
    """Square on the line from a little above, anchor A on the left: holds all that happens."""
    points = np.concatenate([*bounds(reel), [rig.main_a, rig.main_b]])
    width, height = size[0], _tall(size, unit)
    look = math.cos(DOWN) * np.cross(UP, plan_direction(rig)) - math.sin(DOWN) * UP
    left, top, right, bottom = (edge * unit / side for edge, side in zip(
        EDGES, (width, height, width, height), strict=True))
    return parallel_fit(points, look=look, up=UP, aspect=width / height, margin=(left, top, right, bottom))


def _backdrop(
    ground: Site, rig: Rig, theme: Theme, measures: Words, camera: Camera, size: tuple[int, int], unit: float
) -> Image.Image:
    """The ground along the line, as many times too large as lines are drawn."""
    land = relief.relief(ground.as_profile(), rig, theme, None, measures.long_metres)
    panel = Panel(name="whole", frame=(0, 0, 1, 1), camera=camera, surfaces=land.surfaces, wires=land.wires)
    pixels = (size[0] * OVER, round(_tall(size, unit) * OVER))
    return Image.fromarray(panels.draw(panel, pixels, theme, OVER * unit))


@dataclass
class _Text:
    """Words to be written when the picture has its final size."""

    at: tuple[float, float]
    text: str
    size: float
    colour: str
    strong: bool = False
    halo: str | None = None


def _frame(stage: _Set, number: int) -> Image.Image:
    theme, (width, height), unit = stage.theme, stage.size, stage.unit
    shot = stage.reel.shots[number]
    image = Image.new("RGB", (width * OVER, height * OVER), theme.rgb("paper"))
    pen = Pen(image, OVER)
    texts: list[_Text] = []
    if stage.backdrop is not None:
        image.paste(stage.backdrop, (0, round(HEAD * unit * OVER)))
    _whole(stage, number, pen, texts)
    pen.box((0, stage.split, width, height), theme.rgb("paper"))
    _near(stage, shot, image, pen, texts)
    _column(stage, shot, pen, texts)
    _graph(stage, number, pen, texts)
    pen.box((0, 0, width, HEAD * unit), theme.rgb("paper"))
    texts.append(_Text((20 * unit, 6 * unit), _cut(stage.rig.name, 24 * unit, 0.45 * width), 24 * unit, "ink", True))
    texts.append(_Text((20 * unit, 37 * unit), stage.reel.title, 16 * unit, "quiet"))
    said = text_size(shot.caption, 19 * unit, True)[0]
    pen.pill((width - said - 52 * unit, 12 * unit, width - 18 * unit, 48 * unit), theme.rgb("state"), 10 * unit)
    texts.append(_Text((width - said - 35 * unit, 18 * unit), shot.caption, 19 * unit, "on_state", True))
    final = image.reduce(OVER)
    pen = Pen(final, 1)
    for one in texts:
        halo = theme.rgb(one.halo) if one.halo else None
        pen.text(one.at, one.text, one.size, theme.rgb(one.colour), strong=one.strong, halo=halo)
    return final


def _cut(text: str, size: float, room: float) -> str:
    lines = wrap("".join(letter if letter.isprintable() else " " for letter in text), size, room, True)
    return (f"{lines[0]} …" if len(lines) > 1 else lines[0]) if lines else ""


def _whole(stage: _Set, number: int, pen: Pen, texts: list[_Text]) -> None:
    """The line over its ground, with the way of the feet so far and how far it is down from them."""
    theme, unit, shot = stage.theme, stage.unit, stage.reel.shots[number]
    for run in stage.profile:
        texts += _below(stage, run)
    _plumb(stage, number, pen, texts)
    chord = stage.page(np.array([stage.rig.main_a, stage.rig.main_b]))
    _dashed(pen, chord[0], chord[1], theme.rgb("quiet"), 1.2 * unit, 8 * unit)
    trail = stage.page(stage.trail[number])
    pen.line(trail, theme.rgb("quiet"), 1.4 * unit)
    paper = theme.rgb("paper")
    drawn = [(shot.backup, "backup", 2.0), (shot.main, "main", 3.0), (shot.stub, "main", 3.0)]
    for part, role, wide in drawn:  # Each with its casing, so that it stands out on any ground.
        if part is not None:
            pen.line(stage.page(part), paper, (wide + 2.4) * unit)
            pen.line(stage.page(part), theme.rgb(role), wide * unit)
    spots = stage.page(shot.tapes) if len(shot.tapes) else []
    for k, (x, y) in enumerate(spots):
        if k == 0 or x - spots[k - 1][0] > 3 * unit:
            pen.line([(x, y - 3.5 * unit), (x, y + 3.5 * unit)], theme.rgb("ink"), 2 * unit)
    foot, head = stage.page(np.array([shot.foot, shot.head]))
    tall = max(foot[1] - head[1], 16 * unit)
    pen.line([foot, (foot[0], foot[1] - tall)], theme.rgb("walker"), 3.5 * unit)
    pen.symbol("disc", (foot[0], foot[1] - tall), 7 * unit, theme.rgb("walker"), theme.rgb("walker"), paper)
    for name, (x, y) in zip("AB", chord, strict=True):
        pen.symbol("disc", (x, y), 20 * unit, theme.rgb("state"), theme.rgb("state"), paper)
        wide, tall = text_size(name, 14 * unit, True)
        texts.append(_Text((x - wide / 2, y - tall / 2), name, 14 * unit, "on_state", True))
    length, text = stage.measures.round_length(120 * unit / stage.scale)
    x, y = 18 * unit, (HEAD + 28) * unit  # Over all that happens, and over all ground that is lower.
    pen.line([(x, y), (x + length * stage.scale, y)], theme.rgb("ink"), 2.5 * unit)
    said = stage.measures.say("film-scale-side", length=text)
    texts.append(_Text((x, y - 20 * unit), said, 13 * unit, "ink", True, "paper"))


def _plumb(stage: _Set, number: int, pen: Pen, texts: list[_Text]) -> None:
    """From the lowest foot straight down to the ground, where some is known there and is below; ends above texts."""
    foot, height, unit, ink = stage.reel.shots[number].foot, stage.heights[number], stage.unit, stage.theme.rgb("ink")
    if not height > 0.0:
        return
    start, (x, y) = stage.page(np.array([foot, foot - height * UP]))
    met = [text.at[1] for text in texts if text.at[0] < x < text.at[0] + text_size(text.text, text.size)[0]]
    end = min([y, stage.split, *[top for top in met if top > start[1]]])
    _dashed(pen, start, (x, end), ink, 1.2 * unit, 4 * unit)
    if y < stage.split:
        pen.symbol("disc", (x, y), 6 * unit, ink, ink, stage.theme.rgb("paper"))


def _below(stage: _Set, run: Floats) -> list[_Text]:
    """How far the ground is below the chord at its deepest, where it goes on below this part of the picture."""
    rig, unit, size = stage.rig, stage.unit, 13 * stage.unit
    page = np.array(stage.page(run))
    left, right = sorted(x for x, _ in stage.page(np.array([rig.main_a, rig.main_b])))
    off = (page[:, 1] > stage.split) & (page[:, 0] > left) & (page[:, 0] < right)
    found = []
    for part in np.split(np.arange(len(run)), np.flatnonzero(np.diff(off)) + 1):
        if not off[part[0]]:
            continue
        deepest = run[part[np.argmin(run[part, 2])]]
        station = float(np.linalg.norm((deepest - rig.main_a)[:2]))
        share = station / float(np.linalg.norm((rig.main_b - rig.main_a)[:2]))
        down = float(rig.main_a[2] + share * (rig.main_b - rig.main_a)[2] - deepest[2])
        text = stage.measures.say("film-ground-off", depth=stage.measures.length(down, "down"))
        wide = text_size(text, size)[0]
        if wide < np.ptp(page[part, 0]):
            at = (float(page[part, 0].mean() - wide / 2), stage.split - 22 * unit)
            found.append(_Text(at, text, size, "ink", False, "paper"))
    return found


def _dashed(
    pen: Pen, a: tuple[float, float], b: tuple[float, float], colour: tuple[int, int, int], width: float, step: float
) -> None:
    count = max(1, int(math.dist(a, b) / (2 * step)))
    for k in range(count):
        ends = [(k + part) / count for part in (0.0, 0.5)]
        pen.line([(a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])) for s in ends], colour, width)


def _camera(stage: _Set, shot: Shot, aspect: float) -> Camera:
    along = plan_direction(stage.rig)
    across = np.cross(UP, along)
    look = along + 0.14 * across - 0.14 * UP if stage.reel.end_on else across + 0.32 * along - 0.10 * UP
    look = look / np.linalg.norm(look)
    reach = stage.reel.reach
    if stage.reel.fixed is None:
        target = shot.focus + 0.35 * UP
        away = max(reach / aspect, stage.reel.tall) / math.tan(ANGLE / 2)
    else:
        target = stage.reel.fixed.mean(axis=0)
        tall = float(np.ptp(stage.reel.fixed[:, 2])) / 2 + 1.0
        away = max(reach / aspect, tall) / math.tan(ANGLE / 2)
    return Camera(eye=target - away * look, target=target, up=UP, angle=ANGLE)


def _near(stage: _Set, shot: Shot, image: Image.Image, pen: Pen, texts: list[_Text]) -> None:
    """A window in space round the walker, at true size."""
    unit, theme = stage.unit, stage.theme
    left, top = 0, round(stage.split + 4 * unit)
    size = (round(stage.size[0] - COLUMN * unit), round(stage.size[1] - GRAPH * unit) - top)
    camera = _camera(stage, shot, size[0] / size[1])
    panel = Panel(name="near", frame=(0, 0, 1, 1), camera=camera, surfaces=shot.surfaces, wires=shot.wires, sky=True)
    pixels = panels.draw(panel, (size[0] * OVER, size[1] * OVER), theme, OVER * unit)
    image.paste(Image.fromarray(pixels), (left * OVER, top * OVER))
    for group in shot.symbols:
        for x, y, depth in camera.project(group.points, size):
            if depth > 0.1 and 8 * unit < x < size[0] - 8 * unit and 8 * unit < y < size[1] - 8 * unit:
                colour, outline = theme.rgb(group.colour), theme.rgb("outline")
                reach = 0.7 * group.size * unit
                if stage.reel.end_on:  # Far along the line they would hide it.
                    reach *= min(1.0, float(np.linalg.norm(camera.target - camera.eye)) / depth)
                pen.symbol(group.symbol, (left + x, top + y), reach, colour, outline, theme.rgb("sky_low"))
    _wind(stage, camera, size, top, pen, texts)
    per = camera.metres_per_pixel(size)
    length, text = stage.measures.round_length(110 * unit * per)
    x, y = 18 * unit, top + size[1] - 12 * unit
    pen.line([(x, y), (x + length / per, y)], theme.rgb("ink"), 2.5 * unit)
    said = stage.measures.say("film-scale-near", length=text)
    texts.append(_Text((x, y - 20 * unit), said, 13 * unit, "ink", True, "sky_low"))


def _wind(stage: _Set, camera: Camera, size: tuple[int, int], top: float, pen: Pen, texts: list[_Text]) -> None:
    """Where the wind blows to, as an arrow in a corner of the near view."""
    unit, blows = stage.unit, stage.reel.blows
    if blows is None:
        return
    (x0, y0, _), (x1, y1, _) = camera.project(np.array([camera.target, camera.target + 0.3 * blows]), size)
    way = np.array([x1 - x0, y1 - y0])
    way = way / max(float(np.linalg.norm(way)), 1e-9)
    across, ink = np.array([-way[1], way[0]]), stage.theme.rgb("state")
    middle = np.array([80 * unit, top + 58 * unit])
    tail, head = middle - 42 * unit * way, middle + 42 * unit * way
    pen.line([(float(tail[0]), float(tail[1])), (float(head[0]), float(head[1]))], ink, 4 * unit)
    for side in (-1.0, 1.0):
        barb = head - 15 * unit * way + side * 9 * unit * across
        pen.line([(float(head[0]), float(head[1])), (float(barb[0]), float(barb[1]))], ink, 4 * unit)
    said = stage.measures.say("motion-film-blows")
    wide = text_size(said, 15 * unit, True)[0]
    texts.append(_Text((80 * unit - wide / 2, top + 8 * unit), said, 15 * unit, "ink", True, "sky_low"))


def _column(stage: _Set, shot: Shot, pen: Pen, texts: list[_Text]) -> None:
    """Figures that run along."""
    unit, theme = stage.unit, stage.theme
    left, top = stage.size[0] - COLUMN * unit + 8 * unit, stage.split + 4 * unit
    bottom = stage.size[1] - GRAPH * unit
    pen.box((left - 4 * unit, top, stage.size[0], bottom), theme.rgb("panel"))
    step = min((bottom - top - 8 * unit) / len(shot.figures), 46 * unit)
    for k, (name, value) in enumerate(shot.figures):
        y = top + 6 * unit + k * step
        size = min(19 * unit, 0.62 * step)
        loud = isinstance(value, Loud)
        right = stage.size[0] - 14 * unit
        value_size = narrowed(value, size, 0.62 * (right - left), 10 * unit, True, by=0.94)
        wide, tall = text_size(value, value_size, True)
        level = y + 0.12 * size
        if text_size(name, 0.72 * size)[0] + wide > right - left - 16 * unit:  # One under the other, within the step.
            level, y = y - 0.25 * step, y + max(0.0, step - 0.25 * step - tall - 4 * unit) * 0.5
        texts.append(_Text((left + 8 * unit, level), name, 0.72 * size, "quiet"))
        texts.append(_Text((right - wide, y), value, value_size, "alarm" if loud else "ink", True))


def _graph(stage: _Set, number: int, pen: Pen, texts: list[_Text]) -> None:
    """Force or angle against place or time, drawn as far as the film has come; the rest of a finer trace is pale."""
    unit, theme, reel = stage.unit, stage.theme, stage.reel
    width, height = stage.size
    top, bottom, left, right = height - (GRAPH - 24) * unit, height - 30 * unit, 92 * unit, width - 26 * unit
    at, values = np.array([shot.at for shot in reel.shots]), np.array([shot.values for shot in reel.shots])
    done = number + 1
    if reel.trace is not None:
        now, (at, values) = at[number], reel.trace
        done = max(int(np.searchsorted(at, now, side="right")), 1)
    low, high = float(at.min()), float(at.max())
    high = high if high > low else low + 1.0
    peak = float(values.max()) * 1.08

    def place(x: float, y: float) -> tuple[float, float]:
        return left + (x - low) / (high - low) * (right - left), bottom - y / peak * (bottom - top)

    ink = theme.rgb("rule")
    pen.line([(left, top), (left, bottom), (right, bottom)], ink, 1.2 * unit)
    small = 13 * unit
    most = stage.measures.of(peak / 1.08, reel.graphs)
    wide = text_size(most, small)[0]
    level = place(low, peak / 1.08)[1]
    _dashed(pen, (left, level), (right, level), ink, unit, 6 * unit)
    texts.append(_Text((left - wide - 6 * unit, level - 0.6 * small), most, small, "quiet"))
    texts.append(_Text((left - text_size("0", small)[0] - 6 * unit, bottom - 0.8 * small), "0", small, "quiet"))
    strokes = STROKES[reel.dimension][-len(reel.curves) :]
    x = left + 10 * unit
    for k, (name, (stroke, role)) in enumerate(zip(reel.curves, strokes, strict=True)):
        if reel.trace is not None:
            whole = [place(float(a), float(v)) for a, v in zip(at, values[:, k], strict=True)]
            pen.line(whole, ink, unit)
        path = [place(float(a), float(v)) for a, v in zip(at[:done], values[:done, k], strict=True)]
        if len(path) > 1:
            pen.line(path, theme.rgb(role), stroke * unit)
        pen.symbol("disc", path[-1], 8 * unit, theme.rgb(role), theme.rgb(role), theme.rgb("paper"))
        y = top - 12 * unit
        pen.line([(x, y), (x + 26 * unit, y)], theme.rgb(role), stroke * unit)
        texts.append(_Text((x + 32 * unit, y - 0.6 * small), name, small, "ink"))
        x += 52 * unit + text_size(name, small)[0]
    size = narrowed(reel.ranges, small, right - x, 9 * unit)
    wide = text_size(reel.ranges, size)[0]
    texts.append(_Text((right - wide, top - 12 * unit - 0.6 * size), reel.ranges, size, "ink"))
    ends = ("0" if low <= 1e-3 else stage.measures.of(low, reel.dimension), stage.measures.of(high, reel.dimension))
    axis = stage.measures.say("film-axis-ends", axis=reel.axis, low=ends[0], high=ends[1])
    texts.append(_Text((left, bottom + 3 * unit), axis, small, "quiet"))
    wide = text_size(reel.note, small)[0]
    texts.append(_Text((right - wide, bottom + 3 * unit), reel.note, small, "quiet"))
