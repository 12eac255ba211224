"""The ground in a container: light in its corners, its own picture where a scan has one, and how near things come."""

from __future__ import annotations

import io
import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.export.space.container import BAKED, Container
from linescope.export.space.shapes import StateShapes
from linescope.stage import feet, relief
from linescope.stage import ground as stage_ground
from linescope.stage.ground import Site
from linescope.stage.items import Wire
from linescope.stage.relief import LineFrame, Swept
from linescope.study import Study
from linescope.terrain.model import Terrain, Texture
from linescope.words import Words

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])

HALF = 128  # The byte that stands for just as near as counts.
SIDE = 1024  # Longest side of a scan's own picture [px].
BODY = 2.0  # Height over feet on which a body counts where only the feet are known [m].
CHANNELS = ("all", "fall", "gone", "rest")
"""What comes near to the ground, in the order of the four bytes of each corner."""


def put(
    container: Container, shapes: StateShapes, study: Study, site: Site, words: Words, *, triangles: int, fine: float,
    opaque: bool = False,
) -> dict[str, Any]:
    """The ground as nodes, and what the JSON says of it.

    Parameters
    ----------
    container : Container
    shapes : StateShapes
    study : Study
    site : Site
    words : Words
    triangles : int
        At most, of what is no profile.
    fine : float
        Points of a profile in a span.  [-]
    opaque : bool
        What fades to paper does so by its colour, for programs without transparency; else by its
        opacity.
    """
    rig, theme = study.rig, container.theme
    land = relief.lay(site, rig, theme, most=triangles, fine=fine)
    unit = words.long_metres
    step = relief.contour_step(float(np.ptp(land.points[:, 2])), unit)
    textured = _whole_texture(study, site)
    colours = land.colours
    if textured is None:
        own = _own_colours(study, land.points)
        if own is not None:
            colours = own
    attributes = {
        "POSITION": container.positions(land.points),
        "COLOR_0": _faded(container, np.clip(colours, 0.0, 255.0), land.fade, opaque),
    }
    found = _near(study, land.points)
    painted: list[str] = []
    if found:
        for name, field in (("_NEAR", "near"), ("_HIT", "reached")):
            table = np.full((len(land.points), len(CHANNELS)), 255, dtype=np.uint8)
            for column, channel in enumerate(CHANNELS):
                if channel in found:
                    table[:, column] = bytes_of(getattr(found[channel].paint(land.points), field))
            attributes[name] = container.accessor(table, "VEC4", 34962, shares=True)
            if (table[:, 0] < HALF).any():
                painted.append("ground_near" if name == "_NEAR" else "ground_hit")
    if textured is None:
        container.node("ground", [container.triangles(attributes, land.faces, container.material(BAKED))])
    else:
        container.node("ground", [_pictured(container, site, textured, land, attributes)])
    for face, edge in relief.cut(site, rig, theme, fine):
        baked = face.baked
        assert baked is not None
        rows = len(face.points) // len(edge)
        fade = np.tile(np.linspace(0.0, 1.0, rows), len(edge)) ** 0.75
        container.node("cut face", [container.triangles(
            {"POSITION": container.positions(face.points), "COLOR_0": _faded(container, baked, fade, opaque)},
            face.triangles, container.material(BAKED),
        )])
        container.wire(Wire(name="ground edge", points=edge, colour="ground_edge", width=3.5))
    for water in relief.water(site, theme, land.points, land.faces, land.fade):
        container.surface(water)
    for wire in relief.borders(site, rig):
        container.wire(wire)
    for wire in relief.contours(land.points, land.faces, step, float(rig.main_a[2]), keep=land.fade < relief.FADED):
        container.wire(_named(wire, "contours bold" if wire.width > 2.0 else "contours"))
    _swept_space(container, study)
    return {
        "kind": getattr(site.near, "kind", "mesh"), "source": words.verbatim(site.source),
        "profile": _profile(shapes, study, site), "step": words.of(step, "length"), "textured": textured is not None,
        "painted": painted, "channels": list(CHANNELS),
    }


def _faded(container: Container, colours: NDArray[Any], fade: Floats, opaque: bool) -> int:
    if not opaque:
        return container.colours(colours, 1.0 - fade)
    paper = np.array(container.theme.rgb("paper"), dtype=float)
    return container.colours(colours * (1.0 - fade[:, None]) + paper * fade[:, None])


def bytes_of(distance: Floats) -> NDArray[np.uint8]:
    """Distances over what counts as bytes: `HALF` and less is nearer than that, one step is 1/127 m.

    Parameters
    ----------
    distance : (n,) array
        Negative where it is nearer.  [m]
    """
    # Rounded towards the careful side: what is nearer stays below `HALF`.
    return np.asarray(np.clip(np.ceil(HALF + 127.0 * distance) - 1.0, 0, 255), dtype=np.uint8)


def _named(wire: Wire, name: str) -> Wire:
    return Wire(name=name, points=wire.points, colour=wire.colour, width=wire.width, pairs=wire.pairs)


def _profile(shapes: StateShapes, study: Study, site: Site) -> list[list[list[float]]]:
    """Stations and heights of the ground in the plane of the line, run by run.  [m]"""
    span = float(np.hypot(*(study.rig.main_b - study.rig.main_a)[:2]))
    beyond = 0.08 * span
    runs = stage_ground.section(site.near, study.rig, -beyond, span + beyond, 480)
    return [np.round(shapes.frame.local(run)[:, [0, 2]], 2).tolist() for run in runs]


# How near things come


def _near(study: Study, points: Floats) -> Mapping[str, Swept]:
    """What comes near to the ground, by event: from the sweep of the clearance, the rest only where that is known."""
    whole = relief.swept(study)
    if whole is None:
        return {}
    found = {"all": whole}

    def only(bodies: Floats, lines: Floats) -> Swept:
        return Swept(
            bodies=bodies, lines=lines, body=whole.body, line=whole.line, reaches=whole.reaches, beside=whole.beside
        )

    none = np.zeros((0, 3))
    inside = _within(study, whole)
    step = 0.8 * whole.reaches
    sweep, gone, walked = study.fall_sweep, study.main_gone_sweep, study.walked
    sweep = study.lower(sweep) if sweep else sweep
    if sweep:
        found["fall"] = only(inside(_between(sweep.low.head, sweep.low.foot, step)), none)
    if gone:
        edge = feet.lower_edge(gone.nothing_holds.floor.most_foot)
        found["gone"] = only(inside(_between(edge + BODY * UP, edge, step)), none)
    if walked:
        standing = np.array([each.walker_point for each in walked])
        height = study.rig.walker.height if study.rig.walker is not None else 0.0
        lines = np.concatenate([each.backup.sample(8).points for each in walked])
        found["rest"] = only(inside(_between(standing + height * UP, standing, step)), inside(lines))
    return found


def _within(study: Study, whole: Swept) -> Any:
    """Points outside the anchor zones, as the whole sweep has them."""
    frame, beside = LineFrame.of(study.rig), whole.beside
    low, high = (0.0, study.rig.span) if beside is None else (beside.low, beside.high)

    def inside(points: Floats) -> Floats:
        station = frame.local(points)[:, 0]
        return points[(station >= low) & (station <= high)]

    return inside


def _between(top: Floats, foot: Floats, step: float) -> Floats:
    """Points of upright bodies, and of bodies between neighbours, no farther apart than about a step.  [m]"""
    gap = float(np.linalg.norm(np.diff(foot, axis=0), axis=1).max(initial=0.0))
    tall = float(np.linalg.norm(top - foot, axis=1).max(initial=0.0))
    at = np.linspace(0.0, len(foot) - 1.0, max(1, math.ceil(gap / step)) * (len(foot) - 1) + 1)
    first = np.minimum(at.astype(int), max(len(foot) - 2, 0))
    last = np.minimum(first + 1, len(foot) - 1)
    share = (at - first)[:, None]
    upper, lower = ((1.0 - share) * part[first] + share * part[last] for part in (top, foot))
    shares = np.linspace(0.0, 1.0, max(2, min(80, math.ceil(tall / step))))
    return np.concatenate([lower + part * (upper - lower) for part in shares])


def _swept_space(container: Container, study: Study) -> None:
    """How low bodies and lines can come, as a line each along the rig."""
    clearance = study.clearance or None
    envelope = None if clearance is None else clearance.envelope
    if envelope is None:
        return
    for name, rings in (("swept feet", envelope.bodies), ("swept lines", envelope.lines)):
        if rings is None:
            continue
        low = relief.bridged(rings)[:, 0]  # Between single places where something was tried there is the same space.
        known = np.asarray(np.isfinite(low).all(axis=1))
        both = known[:-1] & known[1:]
        strokes = np.stack([low[:-1][both], low[1:][both]], axis=1).reshape(-1, 3)
        if len(strokes):
            role = "leash" if name == "swept feet" else "backup"
            container.wire(Wire(name=name, points=strokes, colour=role, width=1.2, pairs=True))


# A scan's own picture


def _whole_texture(study: Study, site: Site) -> Texture | None:
    """The picture of a scan that is drawn as it was surveyed, not thinned."""
    ground = study.ground
    return ground.texture if isinstance(ground, Terrain) and site.picture is ground else None


def _pictured(
    container: Container, site: Site, texture: Texture, land: relief.Land, attributes: Mapping[str, int]
) -> dict[str, Any]:
    """Ground under its own picture, the light of this program left out: a photograph has its own."""
    from scipy.spatial import cKDTree

    faces = np.asarray(site.picture.faces)
    points = np.asarray(site.picture.vertices)[faces].reshape(-1, 3)
    nearest = cKDTree(land.points).query(points)[1]
    places = texture.corners.reshape(-1, 2) * np.array([1.0, -1.0]) + np.array([0.0, 1.0])
    image, kind = _small(texture)
    number = container.picture(image, kind)
    material = container.add_material("picture", {"baseColorTexture": {"index": number}})
    more: dict[str, int] = {
        "POSITION": container.positions(points), "TEXCOORD_0": container.accessor(places.astype("<f4"), "VEC2", 34962),
    }
    start = _tables(container, attributes)
    for name, table in start.items():
        more[name] = container.accessor(table[nearest], "VEC4", 34962, shares=True)
    return container.triangles(more, np.arange(len(points)).reshape(-1, 3), material)


def _tables(container: Container, attributes: Mapping[str, int]) -> dict[str, NDArray[np.uint8]]:
    """What was written of how near things come, to be given to other corners."""
    found = {}
    for name in ("_NEAR", "_HIT"):
        if name in attributes:
            accessor = container.accessors[attributes[name]]
            view = container.views[accessor["bufferView"]]
            raw = bytes(container.data[view["byteOffset"] : view["byteOffset"] + view["byteLength"]])
            found[name] = np.frombuffer(raw, np.uint8).reshape(-1, 4)
    return found


def _small(texture: Texture) -> tuple[bytes, str]:
    """The picture, made smaller where it is large."""
    from PIL import Image

    with Image.open(io.BytesIO(texture.image)) as image:
        if max(image.size) <= SIDE:
            return texture.image, texture.kind
        shown = image.convert("RGB")
        shown.thumbnail((SIDE, SIDE))
        stream = io.BytesIO()
        shown.save(stream, "JPEG", quality=82)
    return stream.getvalue(), "image/jpeg"


def _own_colours(study: Study, points: Floats) -> Floats | None:
    """(n, 3) colours of a scan's own pictures at points, white where there is none; None without any picture."""
    ground = study.ground
    pieces = (ground.pieces or (ground,)) if isinstance(ground, Terrain) else ()
    if not any(piece.texture is not None for piece in pieces):
        return None
    from PIL import Image
    from scipy.spatial import cKDTree

    colours = np.full((len(points), 3), 255.0)
    best = np.full(len(points), np.inf)
    for piece in pieces:
        distance, corner = cKDTree(piece.vertices).query(points)
        nearer = distance < best
        best = np.where(nearer, distance, best)
        if piece.texture is None:
            colours[nearer] = 255.0
            continue
        with Image.open(io.BytesIO(piece.texture.image)) as image:
            pixels = np.asarray(image.convert("RGB"))
        place = np.zeros((len(piece.vertices), 2))
        place[np.asarray(piece.faces).ravel()] = piece.texture.corners.reshape(-1, 2)
        column = np.clip((place[:, 0] * pixels.shape[1]).astype(int), 0, pixels.shape[1] - 1)
        row = np.clip(((1.0 - place[:, 1]) * pixels.shape[0]).astype(int), 0, pixels.shape[0] - 1)
        colours[nearer] = pixels[row, column][corner[nearer]]
    return colours
