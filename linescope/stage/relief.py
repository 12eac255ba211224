"""Ground to look at: light baked once into the colours of its corners, contours, and danger painted where it is.

The same colours serve every kind of file.  A profile becomes a block cut open in front of the line, whose width fades
to paper where nobody surveyed it; all other ground is drawn as it was surveyed and no farther.  For the eye only:
figures come from exact distances on the whole ground.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.rig import Rig
from linescope.stage import ground
from linescope.stage.ground import Site
from linescope.stage.items import Surface, Wire
from linescope.stage.theme import Theme
from linescope.study import Study

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SUN = np.array([-0.42, -0.75, 0.95]) / math.sqrt(0.42**2 + 0.75**2 + 0.95**2)
"""Direction to the sun: from the upper left, as on relief maps, in a frame along the line and to its left."""
LUMINANCE = np.array([[0.2126], [0.7152], [0.0722]])
WARM, COOL = np.array([1.0, 0.97, 0.91]), np.array([0.62, 0.69, 0.80])  # Light of the sun and of the sky.
STEEP = (28.0, 46.0)  # From grass to rock [degrees].
FRONT = 0.035  # How far before the line a block is cut, over the span.
FADE = 0.16  # How deep the cut face reaches before it is paper, over the span.
MOST = 140_000  # Triangles of a picture.
TONES = 20  # Contours that a picture has at most, bold ones among them.
BRIDGED = 12  # Planes of the envelope over which what hangs lowest is joined.
DOWNWARDS = (0, 1, 7)  # Of the envelope's eight directions.
PALER = 0.45  # Share of paper in ground that is seen from above.
FADED = 0.6  # Ground that has faded so far to paper has no contours and no borders.
RAISED = 0.05  # Borders over the ground [m].
HATCHES = 70.0  # Strokes of a hatch along the span.


@dataclass(frozen=True, eq=False, kw_only=True)
class Paint:
    """How near something comes to each corner of the ground: what decides its colour.

    Attributes
    ----------
    reached, near : (n,) arrays
        Distance to what reaches the ground, and to what comes nearer than asked for, less the distance that counts;
        negative where it counts.  [m]
    """

    reached: Floats
    near: Floats


@dataclass(frozen=True, eq=False, kw_only=True)
class Relief:
    """Ground ready to be drawn.

    Attributes
    ----------
    surfaces : tuple of Surface
        With baked colours.
    wires : tuple of Wire
        Contours, the inked edge of a cut block, hatching and rims of what is painted.
    step : float
        Between two contours; each fifth is bold.  [m]
    painted : frozenset of str
        Roles of danger that are painted somewhere.
    """

    surfaces: tuple[Surface, ...]
    wires: tuple[Wire, ...]
    step: float
    painted: frozenset[str]


def lit(site: Site, rig: Rig, theme: Theme) -> tuple[Surface, ...]:
    """The ground as it was given, whole on all sides, with its light baked: for files that are turned by hand.

    Parameters
    ----------
    site : Site
    rig : Rig
    theme : Theme
    """
    points, faces = np.asarray(site.picture.vertices), np.asarray(site.picture.faces)
    frame, normals = LineFrame.of(rig), corner_normals(points, faces)
    colours = _albedo(points, normals, theme, frame, rough=False) * _light(points, normals, frame)
    return (baked("ground", points, faces, _without_colour(colours, theme)), *water(site, theme, points, faces))


def relief(
    site: Site, rig: Rig, theme: Theme, swept: Swept | None = None, unit: float = 1.0, *, level: float | None = None,
    above: bool = False,
) -> Relief:
    """The ground of a rig as a picture shows it.

    Parameters
    ----------
    site : Site
    rig : Rig
    theme : Theme
    swept : Swept, optional
        What is painted on it.
    unit : float
        Contours are at round multiples of it.  [m]
    level : float, optional
        From which they count; default anchor A.  [m]
    above : bool
        For a view from above: a profile is drawn out to both sides of the line and not cut, and all ground is paler, so
        that lines and text stand out on slopes in the shade.
    """
    frame, land = LineFrame.of(rig), lay(site, rig, theme, both=above)
    points, faces, fade, light = land.points, land.faces, land.fade.copy(), land.light
    paper = np.array(theme.rgb("paper"), dtype=float)
    colours = land.colours + (PALER if above else 0.0) * (paper - land.colours)
    paint = swept.paint(points) if swept is not None else None
    painted: set[str] = set()
    tinted = np.zeros((len(points), 4))
    wires: list[Wire] = []
    step = contour_step(float(np.ptp(points[:, 2])), unit)
    level = float(rig.main_a[2]) if level is None else level
    if paint is not None:
        for role, field in (("ground_near", paint.near), ("ground_hit", paint.reached)):
            where = field < 0.0
            if not where.any():
                continue
            painted.add(role)
            flat = 0.80 + 0.20 * np.clip(light[where].mean(axis=1, keepdims=True), 0.4, 1.1)
            colours[where] = np.array(theme.rgb(role)) * np.clip(flat, 0.0, 1.0)
            tinted[where] = [*theme.rgb(role), 1.0]
            fade[where] = 0.0
    wires += contours(points, faces, step, level, keep=fade < FADED)
    if paint is not None:  # On the water where there is some: what lies under it is not seen.
        shown = points.copy()
        shown[:, 2] = np.maximum(shown[:, 2], max(site.water_levels, default=-np.inf))
        wires += _marks(shown, faces, paint, rig, frame)
    mixed = _without_colour(colours, theme) * (1.0 - fade[:, None]) + paper * fade[:, None]
    surfaces = [baked("ground", points, faces, mixed), *water(site, theme, points, faces, land.fade, tinted)]
    wires += borders(site, rig, both=above)
    for face, run in () if above else cut(site, rig, theme):
        surfaces.append(face)
        wires.append(Wire(name="ground edge", points=run, colour="ground_edge", width=3.5, quiet=True))
    return Relief(surfaces=tuple(surfaces), wires=tuple(wires), step=step, painted=frozenset(painted))


@dataclass(frozen=True, eq=False, kw_only=True)
class Land:
    """Ground as triangles with its light, before anything is painted on it.

    Attributes
    ----------
    points : (n, 3) array
        [m]
    faces : (t, 3) array
        Corners of each triangle.  [-]
    colours : (n, 3) array
        With their light, 0 to 255 and a little beyond.  [-]
    light : (n, 3) array
        Over full light.  [-]
    fade : (n,) array
        How far each corner has faded to paper: nobody surveyed it.  [-]
    """

    points: Floats
    faces: Ints
    colours: Floats
    light: Floats
    fade: Floats


def lay(
    site: Site, rig: Rig, theme: Theme, *, most: int = MOST, fine: float = 700.0, both: bool = False
) -> Land:
    """The ground of a rig: a profile as a block that is cut in front of the line, all else as it was surveyed.

    Parameters
    ----------
    site : Site
    rig : Rig
    theme : Theme
    most : int
        Triangles of what is no profile.
    fine : float
        Points of a profile in a span.  [-]
    both : bool
        A profile is drawn out to both sides.
    """
    frame = LineFrame.of(rig)
    if getattr(site.near, "kind", "") == "profile":
        points, faces, fade = _block(site, rig, frame, fine, both=both)
    else:
        points, faces = refined(
            np.asarray(site.picture.vertices), np.asarray(site.picture.faces), rig.span / 110.0, most
        )
        fade = np.zeros(len(points))
    normals = corner_normals(points, faces)
    light = _light(points, normals, frame)
    colours = _albedo(points, normals, theme, frame, rough=bool(fade.any())) * light
    return Land(points=points, faces=faces, colours=_without_colour(colours, theme), light=light, fade=fade)


def cut(site: Site, rig: Rig, theme: Theme, fine: float = 700.0) -> tuple[tuple[Surface, Floats], ...]:
    """The face in front of a profile's block, run by run, each with its upper edge; nothing of other ground.

    Parameters
    ----------
    site : Site
    rig : Rig
    theme : Theme
    fine : float
        Points in a span.  [-]

    Returns
    -------
    tuple of (Surface, (n, 3) array)
        [m]
    """
    if getattr(site.near, "kind", "") != "profile":
        return ()
    return tuple((_face(run, rig, theme), run) for run in _cut(site, rig, LineFrame.of(rig), fine))


def water(
    site: Site, theme: Theme, points: Floats, faces: Ints, fade: Floats | None = None, tinted: Floats | None = None
) -> list[Surface]:
    """Levels of water where ground lies below them, flat and without light.

    Parameters
    ----------
    site : Site
    theme : Theme
    points : (n, 3) array
        Corners of the ground as it is drawn. [m]
    faces : (t, 3) array
        Corners of each triangle.  [-]
    fade : (n,) array, optional
        How far each corner has faded to paper: the water does with it.  [-]
    tinted : (n, 4) array, optional
        Colour of what is painted on the ground there, which is seen on the water, and 1 where something is.  [-]
    """
    paper, colour = (np.array(theme.rgb(role), dtype=float) for role in ("paper", "water"))
    corners = np.column_stack([
        points, np.zeros(len(points)) if fade is None else fade,
        np.zeros((len(points), 4)) if tinted is None else tinted,
    ])
    found = []
    for level in site.water_levels:
        shown = _flooded(corners[faces], level)
        if not len(shown):
            continue
        own, index = np.unique(shown.reshape(-1, corners.shape[1]), axis=0, return_inverse=True)
        mixed = colour + own[:, 3:4] * (paper - colour)
        over = own[:, 7] > 0.5
        mixed[over] = own[over, 4:7] / own[over, 7:]
        found.append(baked("water", own[:, :3], index.reshape(-1, 3), mixed))
    return found


def _flooded(triangles: Floats, level: float) -> Floats:
    """(k, 3, m) the parts of triangles (t, 3, m) that lie below a level, lifted to it, with all other columns."""
    below = triangles[..., 2] < level
    count = below.sum(axis=1)
    found = [triangles[count == 3]]
    for some in (1, 2):
        mine = triangles[count == some]
        # The corner that is alone among the others comes first: the only one below, or the only one above.
        alone = np.argmax(below[count == some] == (some == 1), axis=1)
        a, b, c = (mine[np.arange(len(mine)), (alone + k) % 3] for k in range(3))
        ab, ac = (a + ((level - a[:, 2:3]) / (far[:, 2:3] - a[:, 2:3])) * (far - a) for far in (b, c))
        parts = ((a, ab, ac),) if some == 1 else ((ab, b, c), (ab, c, ac))
        found += [np.stack(part, axis=1) for part in parts]
    shown = np.concatenate(found)
    shown[..., 2] = level
    return shown


def borders(site: Site, rig: Rig, *, both: bool = False) -> list[Wire]:
    """Borders of named areas, a little over the ground and no farther than that is drawn.

    Parameters
    ----------
    site : Site
    rig : Rig
    both : bool
        A profile is drawn out to both sides, as for `lay`.
    """
    low, high = -math.inf, math.inf
    frame = LineFrame.of(rig)
    if getattr(site.near, "kind", "") == "profile":
        back = float(frame.local(np.asarray(site.near.vertices))[:, 1].max())
        high = (0.25 + 0.75 * FADED ** (1.0 / 0.8)) * back
        low = -high if both else -FRONT * rig.span
    found = []
    for each in site.areas:
        if each.rim is None or len(each.rim) == 0:
            continue
        start, end = each.rim[:, 0], each.rim[:, 1]
        from_y, to_y = frame.local(start)[:, 1], frame.local(end)[:, 1]
        step = np.where(to_y == from_y, 1e-300, to_y - from_y)
        shares = np.sort(np.stack([(low - from_y) / step, (high - from_y) / step]), axis=0)
        first, last = np.clip(shares[0], 0.0, 1.0), np.clip(shares[1], 0.0, 1.0)
        seen = last > first
        way = (end - start)[seen]
        strokes = np.stack([start[seen] + first[seen, None] * way, start[seen] + last[seen, None] * way], axis=1)
        found.append(Wire(
            name="area", points=strokes.reshape(-1, 3) + np.array([0.0, 0.0, RAISED]), colour="ink", width=3.0,
            quiet=True, pairs=True,
        ))
    return found


def _without_colour(colours: Floats, theme: Theme) -> Floats:
    """Colours as they are, or, in a theme without colour, their luminance."""
    return np.repeat(colours @ LUMINANCE, 3, axis=1) if theme.name == "grey" else colours


def baked(name: str, points: Floats, faces: Ints, colours: Floats) -> Surface:
    """A surface whose light is in the colours of its corners.

    Parameters
    ----------
    name : str
    points : (n, 3) array
        [m]
    faces : (t, 3) array
        Corners of each triangle.  [-]
    colours : (n, 3) array
        Red, green and blue, 0 to 255.  [-]
    """
    return Surface(
        name=name, points=points, triangles=faces, colours=("ground",), colour=np.zeros(len(faces), dtype=np.int64),
        lit=False, baked=np.clip(np.rint(colours), 0, 255).astype(np.uint8),
    )


@dataclass(frozen=True, eq=False, kw_only=True)
class LineFrame:
    """Along the line in plan, to its left, and up, from anchor A.

    Attributes
    ----------
    origin : (3,) array
        Anchor A of the main.  [m]
    along, left : (3,) array
        Horizontal unit vectors.  [-]
    """

    origin: Floats
    along: Floats
    left: Floats

    @classmethod
    def of(cls, rig: Rig) -> LineFrame:
        """That of a rig."""
        along = ground.plan_direction(rig)
        return cls(origin=np.asarray(rig.main_a), along=along, left=np.array([-along[1], along[0], 0.0]))

    def local(self, points: Floats) -> Floats:
        """(n, 3) station, offset to the left and height of points.  [m]"""
        moved = points - self.origin
        return np.column_stack([moved @ self.along, moved @ self.left, moved[:, 2]])

    def world(self, local: Floats) -> Floats:
        """The points of stations, offsets and heights.  [m]"""
        up = np.array([0.0, 0.0, 1.0])
        return np.asarray(self.origin + local @ np.array([self.along, self.left, up]))


# The shape


def _profile(site: Site, rig: Rig, frame: LineFrame, fine: float) -> list[Floats]:
    """(n, 2) stations and heights of a profile's runs, as far as it was surveyed."""
    at = frame.local(np.asarray(site.near.vertices))[:, 0]
    low, high = float(at.min()), float(at.max())
    count = int(np.clip((high - low) / (rig.span / fine), 300, 1600))
    return [frame.local(run)[:, [0, 2]] for run in ground.section(site.near, rig, low + 1e-6, high - 1e-6, count)]


def _cut(site: Site, rig: Rig, frame: LineFrame, fine: float) -> list[Floats]:
    """The upper edge of a block's cut face, run by run."""
    front = FRONT * rig.span
    return [
        frame.world(np.column_stack([run[:, 0], np.full(len(run), -front), run[:, 1]]))
        for run in _profile(site, rig, frame, fine)
    ]


def _block(site: Site, rig: Rig, frame: LineFrame, fine: float, *, both: bool) -> tuple[Floats, Ints, Floats]:
    """A profile drawn out behind its cut, or to both sides, and how far each corner has faded to paper: its width is
    assumed.
    """
    offsets = frame.local(np.asarray(site.near.vertices))[:, 1]
    back, front = float(offsets.max()), FRONT * rig.span
    far = np.linspace(0.27 * back, back, 40) if both else np.linspace(0.36 * back, back, 9)
    near = np.linspace(-0.25 * back, 0.25 * back, 26) if both else np.linspace(-0.5 * front, 0.25 * back, 5)
    rows = np.concatenate([-far[::-1] if both else [-front], near, far])
    faded = np.clip(((np.abs(rows) if both else rows) - 0.25 * back) / (0.75 * back), 0.0, 1.0) ** 0.8
    points, faces, fade, first = [], [], [], 0
    for run in _profile(site, rig, frame, fine):
        n, m = len(run), len(rows)
        local = np.column_stack([np.repeat(run[:, 0], m), np.tile(rows, n), np.repeat(run[:, 1], m)])
        points.append(frame.world(local))
        fade.append(np.tile(faded, n))
        index = first + np.arange(n * m).reshape(n, m)
        a, b, c, d = (part.ravel() for part in (index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]))
        faces += [np.column_stack([a, b, c]), np.column_stack([a, c, d])]
        first += n * m
    return np.concatenate(points), np.concatenate(faces).astype(np.int64), np.concatenate(fade)


def _face(edge: Floats, rig: Rig, theme: Theme) -> Surface:
    """The cut face under an edge: ink above, paper below."""
    rows = np.linspace(0.0, 1.0, 9)
    points = np.repeat(edge, len(rows), axis=0)
    points[:, 2] -= np.tile(rows, len(edge)) * FADE * rig.span
    index = np.arange(len(points)).reshape(len(edge), len(rows))
    a, b, c, d = (part.ravel() for part in (index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]))
    faces = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    ink = 0.62 * np.array(theme.rgb("ground"), dtype=float) + 0.38 * np.array(theme.rgb("ground_edge"), dtype=float)
    share = np.tile(rows, len(edge))[:, None] ** 0.75
    paper = np.array(theme.rgb("paper"), dtype=float)
    return baked("cut face", points, faces, ink * (1.0 - share) + paper * share)


def refined(vertices: Floats, faces: Ints, longest: float, most: int) -> tuple[Floats, Ints]:
    """Triangles split at the middles of their long edges, the same middle on both sides of an edge.

    Parameters
    ----------
    vertices : (n, 3) array
        [m]
    faces : (t, 3) array
        Corners of each triangle.  [-]
    longest : float
        No edge is longer, unless there would be too many triangles.  [m]
    most : int
        Triangles.
    """
    while True:
        ends = np.sort(np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1)
        edges, number = np.unique(ends, axis=0, return_inverse=True)
        long = np.linalg.norm(vertices[edges[:, 0]] - vertices[edges[:, 1]], axis=1) > longest
        cuts = long[number.reshape(3, -1)]
        if not long.any() or len(faces) + int(cuts.sum()) > most:
            return vertices, faces
        middle = np.full(len(edges), -1)
        middle[long] = len(vertices) + np.arange(int(long.sum()))
        vertices = np.concatenate([vertices, vertices[edges[long]].mean(axis=1)])
        mids = middle[number.reshape(3, -1)].T
        count = cuts.sum(axis=0)
        made = [faces[count == 0]]
        for k in range(3):  # Turned so that cases are told by the first corner.
            f, m, c = np.roll(faces, -k, axis=1), np.roll(mids, -k, axis=1), np.roll(cuts.T, -k, axis=1)
            one = (count == 1) & c[:, 0]
            made += [np.column_stack([f[one, 0], m[one, 0], f[one, 2]]),
                     np.column_stack([m[one, 0], f[one, 1], f[one, 2]])]  # fmt: skip
            two = (count == 2) & ~c[:, 2]
            made += [np.column_stack([f[two, 0], m[two, 0], f[two, 2]]),
                     np.column_stack([m[two, 0], f[two, 1], m[two, 1]]),
                     np.column_stack([m[two, 0], m[two, 1], f[two, 2]])]  # fmt: skip
        f, m = faces[count == 3], mids[count == 3]
        made += [np.column_stack([f[:, k], m[:, k], m[:, k - 1]]) for k in range(3)] + [m]
        faces = np.concatenate(made)


def corner_normals(vertices: Floats, faces: Ints) -> Floats:
    """(n, 3) unit normals, upwards, weighed by the areas of the triangles round a corner."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    across = np.cross(b - a, c - a)
    across *= np.where(across[:, 2:] < 0.0, -1.0, 1.0)
    total = np.zeros_like(vertices)
    for k in range(3):
        for axis in range(3):
            total[:, axis] += np.bincount(faces[:, k], weights=across[:, axis], minlength=len(vertices))
    length = np.linalg.norm(total, axis=1, keepdims=True)
    return np.asarray(np.where(length > 0.0, total / np.where(length > 0.0, length, 1.0), [0.0, 0.0, 1.0]))


# Light and colour


def _light(points: Floats, normals: Floats, frame: LineFrame) -> Floats:
    """(n, 3) what sun and sky give each corner, over full light."""
    sun = SUN[0] * frame.along + SUN[1] * frame.left + np.array([0.0, 0.0, SUN[2]])
    seen, sky = _open(points, frame)
    direct = np.clip(normals @ sun, 0.0, 1.0) * seen
    up = 0.5 + 0.5 * normals[:, 2]
    around = 0.86 * (0.45 + 0.55 * up) * (0.35 + 0.65 * sky)
    return np.asarray(0.66 * direct[:, None] * WARM + around[:, None] * COOL)


def _open(points: Floats, frame: LineFrame, cells: int = 160) -> tuple[Floats, Floats]:
    """How much of the sun (0 to 1) and of the sky (0 to 1) each corner sees, from heights on a grid.

    Horizons are looked for in twelve directions, at distances that grow; an overhang counts as its upper side.
    """
    from scipy.ndimage import map_coordinates, maximum_filter

    local = frame.local(points)
    low, high = local[:, :2].min(axis=0), local[:, :2].max(axis=0)
    cell = float((high - low).max()) / cells
    count = np.maximum(np.ceil((high - low) / cell).astype(int) + 1, 2)
    at = np.clip(np.rint((local[:, :2] - low) / cell).astype(int), 0, count - 1)
    grid = np.full(count, -np.inf)
    np.maximum.at(grid, (at[:, 0], at[:, 1]), local[:, 2])
    for _ in range(6):  # Cells that have no corner take the height beside them.
        grid = np.where(np.isfinite(grid), grid, maximum_filter(grid, size=3))
    grid = np.where(np.isfinite(grid), grid, local[:, 2].min())
    where = ((local[:, :2] - low) / cell).T
    height = local[:, 2]
    elevation = math.asin(SUN[2])
    towards = math.atan2(SUN[1], SUN[0])
    steps = np.unique(np.round(np.geomspace(1.5, 0.7 * cells, 16), 1))

    def horizon(turn: float) -> Floats:
        """Angle above level of what hides the sky in a direction.  [rad]"""
        most = np.zeros(len(points))
        for step in steps:
            x, y = where[0] + step * math.cos(turn), where[1] + step * math.sin(turn)
            other = map_coordinates(grid, [x, y], order=1, mode="nearest")
            most = np.maximum(most, np.arctan2(other - height - 0.02 * step * cell, step * cell))
        return most

    sky = np.mean([1.0 - np.sin(horizon(turn)) for turn in np.arange(12) * math.pi / 6], axis=0)
    hidden = horizon(towards) - elevation
    sun = 1.0 - np.clip((hidden + 0.06) / 0.12, 0.0, 1.0)
    return np.asarray(0.35 + 0.65 * sun), np.asarray(sky)


def _albedo(points: Floats, normals: Floats, theme: Theme, frame: LineFrame, *, rough: bool) -> Floats:
    """(n, 3) rock where it is steep and grass where it is flat; grain only where the surface is assumed anyway."""
    slope = np.degrees(np.arccos(np.clip(normals[:, 2], -1.0, 1.0)))
    grain = _noise(frame.local(points), 3.0) if rough else np.zeros(len(points))
    steep = np.clip((slope - STEEP[0]) / (STEEP[1] - STEEP[0]) + 0.25 * grain, 0.0, 1.0)[:, None]
    colour = steep * np.array(theme.rgb("rock")) + (1.0 - steep) * np.array(theme.rgb("grass"))
    return np.asarray(colour * (1.12 + 0.07 * grain[:, None]))


def _noise(points: Floats, scale: float) -> Floats:
    """Smooth noise in space, about -1 to 1; the same for the same place."""
    from scipy.ndimage import gaussian_filter, map_coordinates

    table = gaussian_filter(np.random.default_rng(5).standard_normal((32, 32, 32)), 0.6, mode="wrap")
    table /= 2.0 * table.std()
    total = np.zeros(len(points))
    for octave in range(4):
        at = (points / scale * 2.0**octave + 7.3 * octave) % 32
        total += 0.55**octave * map_coordinates(table, at.T, order=1, mode="grid-wrap")
    return total


# Lines on the ground


def contour_step(height: float, unit: float) -> float:
    """A round step so that about `TONES` contours lie on so much height.  [m]"""
    wanted = max(height / unit, 1e-9) / TONES
    power = 10.0 ** math.floor(math.log10(wanted))
    return unit * power * next(k for k in (1.0, 2.0, 5.0, 10.0) if k * power >= wanted * (1.0 - 1e-9))


def crossings(
    values: Floats, points: Floats, faces: Ints, level: float, keep: NDArray[np.bool_] | None = None
) -> Floats:
    """Where a field given at corners has a level: pairs of points, one pair for each triangle crossed.

    Parameters
    ----------
    values : (n,) array
        [any]
    points : (n, 3) array
        [m]
    faces : (t, 3) array
        Corners of each triangle.  [-]
    level : float
        [any]
    keep : (t,) array, optional
        Triangles to look at.  [-]

    Returns
    -------
    (2 k, 3) array
        [m]
    """
    chosen = faces if keep is None else faces[keep]
    above = values[chosen] > level
    mixed = above.any(axis=1) & ~above.all(axis=1)
    chosen, above = chosen[mixed], above[mixed]
    if not len(chosen):
        return np.zeros((0, 3))
    # The corner that stands alone, then the two others.
    alone = np.where(above.sum(axis=1) == 1, np.argmax(above, axis=1), np.argmin(above, axis=1))
    rows = np.arange(len(chosen))
    ends = []
    for turn in (1, 2):
        a, b = chosen[rows, alone], chosen[rows, (alone + turn) % 3]
        share = ((level - values[a]) / (values[b] - values[a]))[:, None]
        ends.append(points[a] + share * (points[b] - points[a]))
    return np.stack(ends, axis=1).reshape(-1, 3)


def _strokes(name: str, points: Floats, colour: str, width: float) -> list[Wire]:
    lifted = points + np.array([0.0, 0.0, 0.02])
    return [Wire(name=name, points=lifted, colour=colour, width=width, quiet=True, pairs=True)] if len(points) else []


def contours(points: Floats, faces: Ints, step: float, level: float, keep: NDArray[np.bool_]) -> list[Wire]:
    """Contours at multiples of a step from a level, on triangles all of whose corners are kept.

    Parameters
    ----------
    points : (n, 3) array
        [m]
    faces : (t, 3) array
        Corners of each triangle.  [-]
    step, level : float
        [m]
    keep : (n,) array
        [-]
    """
    height = points[:, 2] - level
    kept = np.asarray(keep[faces].all(axis=1))
    thin, bold = [np.zeros((0, 3))], [np.zeros((0, 3))]
    for k in range(math.ceil(height.min() / step), math.floor(height.max() / step) + 1):
        (bold if k % 5 == 0 else thin).append(crossings(height, points, faces, k * step + 1e-7, kept))
    return [
        *_strokes("contour", np.concatenate(thin), "contour", 1.0),
        *_strokes("contour bold", np.concatenate(bold), "contour", 2.2),
    ]


def _marks(points: Floats, faces: Ints, paint: Paint, rig: Rig, frame: LineFrame) -> list[Wire]:
    """Rims round what is painted, and hatching on it, so that it is told without colour."""
    local = frame.local(points)
    pitch = rig.span / HATCHES
    wires: list[Wire] = []
    reached, near = (field < 0.0 for field in (paint.reached, paint.near))
    only_near = np.asarray((near & ~reached)[faces].all(axis=1))
    only_reached = np.asarray(reached[faces].all(axis=1))
    field = local @ np.array([1.0, 0.7, 0.7])
    for name, kept, colour in (
        ("hatch near", only_near, "near_edge"),
        ("hatch reached", only_reached, "casing"),
    ):
        low, high = math.ceil(float(field.min()) / pitch), math.ceil(float(field.max()) / pitch)
        lines = [crossings(field, points, faces, k * pitch, kept) for k in range(low, high)]
        wires += _strokes(name, np.concatenate([np.zeros((0, 3)), *lines]), colour, 1.3)
    wires += _strokes("rim near", crossings(paint.near, points, faces, 0.0), "near_edge", 2.0)
    wires += _strokes("rim reached", crossings(paint.reached, points, faces, 0.0), "casing", 2.4)
    return wires


# What is painted


def swept(study: Study) -> Swept | None:
    """What a study's sweep found to come near to the ground, outside the anchor zones; None where nothing was swept.

    Parameters
    ----------
    study : Study
    """
    found, needs = study.clearance or None, study.rig.needs
    if found is None or found.envelope is None or needs is None:
        return None
    zone = {each.anchor: each.length for each in found.zones}
    station = found.envelope.station
    inside = (station >= zone.get("A", 0.0)) & (station <= study.rig.span - zone.get("B", 0.0))
    reaches = max(needs.survey_error, 0.008 * study.rig.span)
    bodies, lines = (
        np.zeros((0, 3)) if rings is None else _filled(bridged(rings)[inside], 0.8 * reaches)
        for rings in (found.envelope.bodies, found.envelope.lines)
    )
    return Swept(
        bodies=bodies, lines=lines, body=needs.needed("body"), line=needs.needed("line"), reaches=reaches,
        beside=Beside(
            frame=LineFrame.of(study.rig), low=zone.get("A", 0.0), high=study.rig.span - zone.get("B", 0.0),
            needed=needs.added,
        ),
    )


def bridged(rings: Floats) -> Floats:
    """Rings let down to the straight lines between the low points beside them, and put in where there is none.

    Falls and losses of the main were tried at single places: what is painted must not stop between two of them.

    Parameters
    ----------
    rings : (n, 8, 3) array
        Points in eight directions, the first of them down; nan where nothing passes.  [m]
    """
    rings = rings.copy()
    plane = np.arange(len(rings))
    for direction in range(rings.shape[1]):
        known = np.isfinite(rings[:, direction]).all(axis=1)
        if known.any():
            for axis in range(3):
                rings[:, direction, axis] = np.interp(
                    plane, plane[known], rings[known, direction, axis], left=np.nan, right=np.nan
                )
    for direction in DOWNWARDS:
        z = rings[:, direction, 2]
        low = z.copy()
        for before in range(1, BRIDGED):
            for after in range(1, BRIDGED + 1 - before):
                share = before / (before + after)
                chord = (1.0 - share) * z[: -before - after] + share * z[before + after :]
                low[before:-after] = np.fmin(low[before:-after], chord)
        rings[:, direction, 2] = np.where(np.isfinite(z), low, z)
    return rings


def _filled(rings: Floats, step: float) -> Floats:
    """Points no farther apart than about a step that fill rings and what lies between one ring and the next.

    The rings' points are in eight directions, the first of them down.
    """
    if len(rings) < 2:
        return np.zeros((0, 3))
    gaps = np.linalg.norm(np.diff(rings[:, 4], axis=0), axis=1)
    between = max(1, math.ceil(float(np.nanmax(gaps, initial=0.0)) / step))
    at = np.linspace(0.0, len(rings) - 1.0, between * (len(rings) - 1) + 1)
    first = np.minimum(at.astype(int), len(rings) - 2)
    share = (at - first)[:, None, None]
    dense = (1.0 - share) * rings[first] + share * rings[first + 1]
    tall = float(np.nanmax(np.linalg.norm(dense[:, 0] - dense[:, 4], axis=1), initial=0.0))
    count = int(np.clip(math.ceil(tall / step), 2, 80))
    shares = np.linspace(0.0, 1.0, count)
    points = np.concatenate(
        [dense[:, 4] + part * (dense[:, k] - dense[:, 4]) for k in (0, 1, 2, 6, 7) for part in shares]
    )
    return np.asarray(points[np.isfinite(points).all(axis=1)])


@dataclass(frozen=True, eq=False, kw_only=True)
class Beside:
    """The ground of the anchor zones, which is beside the line rather than below it: less is asked for there.

    Attributes
    ----------
    frame : LineFrame
    low, high : float
        Where the zones of A and of B end, along the line.  [m]
    needed : float
        Survey error and margin.  [m]
    """

    frame: LineFrame
    low: float
    high: float
    needed: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Swept:
    """Where lines and bodies come to, from every cause, as points; and how near to them counts.

    Attributes
    ----------
    bodies, lines : (n, 3) arrays
        [m]
    body, line : float
        What is asked for with survey error and margin.  [m]
    reaches : float
        What counts as reached: the survey error, and no narrower than can be seen.  [m]
    beside : Beside, optional
    """

    bodies: Floats
    lines: Floats
    body: float
    line: float
    reaches: float
    beside: Beside | None = None

    def paint(self, points: Floats) -> Paint:
        """How near all this comes to points of the ground.

        Parameters
        ----------
        points : (n, 3) array
            [m]
        """
        from scipy.spatial import cKDTree

        near, reached = np.full(len(points), np.inf), np.full(len(points), np.inf)
        spared = np.zeros(len(points), dtype=bool)
        if self.beside is not None:
            station = self.beside.frame.local(points)[:, 0]
            spared = (station < self.beside.low) | (station > self.beside.high)
        for swept, needed in ((self.bodies, self.body), (self.lines, self.line)):
            if not len(swept):
                continue
            most = max(2.0 * needed, 4.0 * self.reaches)
            distance, _ = cKDTree(swept).query(points, distance_upper_bound=most)
            distance = np.minimum(distance, most)
            asked = needed if self.beside is None else np.where(spared, min(needed, self.beside.needed), needed)
            near = np.minimum(near, distance - asked)
            reached = np.minimum(reached, distance - self.reaches)
        return Paint(reached=reached, near=near)
