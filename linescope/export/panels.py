"""Stage items to pixels: the only file that hands meshes to the drawing library."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from linescope.export import driver
from linescope.stage.items import Panel, Surface, Wire
from linescope.stage.theme import ROLES, Theme

if TYPE_CHECKING:
    import pyvista

Pixels = NDArray[np.uint8]
CASED = 2.5  # Lines from this width on have a casing [px].


def draw(panel: Panel, size: tuple[int, int], theme: Theme, oversize: float) -> Pixels:
    """The surfaces and wires of a panel as a picture.

    Parameters
    ----------
    panel : Panel
    size : (width, height)
        Of the picture to make, already oversized.  [px]
    theme : Theme
    oversize : float
        Pixels drawn for one pixel of a page 2000 px wide.  [-]

    Returns
    -------
    (height, width, 3) array
        Colours from 0 to 255.
    """
    return _drawn(panel, size, theme, oversize, deep=False)[0]


def draw_deep(
    panel: Panel, size: tuple[int, int], theme: Theme, oversize: float
) -> tuple[Pixels, NDArray[np.float64]]:
    """The same, and how far from the eye what is seen in each pixel is.

    Parameters
    ----------
    panel, size, theme, oversize
        See `draw`.

    Returns
    -------
    pixels : (height, width, 3) array
        Colours from 0 to 255.
    depth : (height, width) array
        Along the direction of view; infinite where there is nothing.  [m]
    """
    return _drawn(panel, size, theme, oversize, deep=True)


def _drawn(
    panel: Panel, size: tuple[int, int], theme: Theme, oversize: float, *, deep: bool
) -> tuple[Pixels, NDArray[np.float64]]:
    driver.choose_window()
    import pyvista

    depth = np.zeros((0, 0))

    plotter = pyvista.Plotter(off_screen=True, window_size=list(size), lighting="none")
    try:
        plotter.render_window.SetMultiSamples(0)
        if panel.sky:
            plotter.set_background(theme.colours["sky_low"], top=theme.colours["sky_top"])
        else:
            plotter.set_background(theme.colours["paper"])
        _set_camera(plotter, panel)
        _light(plotter, pyvista)
        for surface in panel.surfaces:
            _add_surface(plotter, surface, theme)
        for wire in panel.wires:
            if not wire.front:
                _add_wire(plotter, pyvista, wire, panel, size, theme, oversize)
        plotter.renderer.ResetCameraClippingRange()
        picture = plotter.screenshot(return_img=True)
        if deep:
            depth = np.nan_to_num(-np.asarray(plotter.get_image_depth(fill_value=np.nan), dtype=float), nan=np.inf)
    finally:
        plotter.close()
    return np.ascontiguousarray(picture[:, :, :3]), depth


def _set_camera(plotter: pyvista.Plotter, panel: Panel) -> None:
    camera = panel.camera
    plotter.camera.position = tuple(camera.eye)
    plotter.camera.focal_point = tuple(camera.target)
    plotter.camera.up = tuple(camera.up)
    if camera.parallel:
        plotter.camera.parallel_projection = True
        plotter.camera.parallel_scale = camera.half_height
    else:
        plotter.camera.view_angle = float(np.degrees(camera.angle))


def _light(plotter: pyvista.Plotter, pyvista: Any) -> None:
    """A high sun from behind the viewer's left and a weak fill, fixed to the camera: no glare, no shadows."""
    for place, strength in (((-0.6, 1.2, 0.9), 0.80), ((0.9, 0.3, 0.8), 0.30)):
        light = pyvista.Light(light_type="camera light", intensity=strength)
        light.position = place
        light.focal_point = (0.0, 0.0, 0.0)
        plotter.add_light(light)


def mesh_of(surface: Surface) -> pyvista.PolyData:
    """A surface as pyvista has them, without colours."""
    import pyvista

    faces = np.column_stack([np.full(len(surface.triangles), 3), surface.triangles]).ravel()
    return pyvista.PolyData(np.asarray(surface.points, dtype=float), faces)


def colours_of(surface: Surface, theme: Theme) -> NDArray[np.uint8]:
    """(t, 3) red, green and blue of every triangle."""
    palette = np.array([theme.rgb(role) for role in surface.colours], dtype=np.uint8)
    return np.asarray(palette[surface.colour])


def _add_surface(plotter: pyvista.Plotter, surface: Surface, theme: Theme) -> None:
    mesh = mesh_of(surface)
    look: dict[str, Any] = {"lighting": surface.lit, "ambient": 0.0, "diffuse": 1.0, "specular": 0.0}
    if surface.lit:
        look |= {"ambient": 0.42, "diffuse": 0.68}
    if surface.opacity < 1.0:
        look["opacity"] = surface.opacity
    if surface.baked is not None:
        mesh.point_data["baked"] = surface.baked
        look |= {"scalars": "baked", "rgb": True, "lighting": False}
    elif len(surface.colours) == 1:
        look["color"] = theme.colours[surface.colours[0]]
    else:
        mesh.cell_data["colour"] = colours_of(surface, theme)
        look |= {"scalars": "colour", "rgb": True}
    plotter.add_mesh(mesh, smooth_shading=surface.smooth, show_scalar_bar=False, **look)


def _add_wire(
    plotter: pyvista.Plotter,
    pyvista: Any,
    wire: Wire,
    panel: Panel,
    size: tuple[int, int],
    theme: Theme,
    oversize: float,
) -> None:
    mesh = pyvista.PolyData()
    if wire.pairs:
        count = len(wire.points) // 2
        mesh.points = np.asarray(wire.points, dtype=float)
        mesh.lines = np.column_stack([np.full(count, 2), np.arange(2 * count).reshape(-1, 2)]).ravel()
    else:
        pieces = dashes(wire, panel, size, 12 * oversize) if wire.dashed else [np.asarray(wire.points)]
        if not pieces:
            return
        cells = []
        start = 0
        for piece in pieces:
            cells.append(np.concatenate([[len(piece)], np.arange(start, start + len(piece))]))
            start += len(piece)
        mesh.points = np.concatenate(pieces).astype(float)
        mesh.lines = np.concatenate(cells)
    strokes = [(wire.colour, wire.width, -40.0 if wire.name == "main" else 0.0)]  # Where they meet the main is seen.
    cased = wire.colour in ROLES and ROLES[wire.colour].casing == "casing"
    if cased and not wire.quiet and not wire.dashed and wire.width >= CASED:
        strokes.insert(0, ("casing", wire.width + 2 * theme.casing_width, 40.0))  # Behind the cores of all lines.
    for colour, width, offset in strokes:
        actor = plotter.add_mesh(
            mesh,
            color=theme.colours[colour],
            line_width=max(width * oversize, 1.0),
            lighting=False,
            show_scalar_bar=False,
        )
        if offset:
            actor.mapper.SetResolveCoincidentTopologyToPolygonOffset()
            actor.mapper.SetRelativeCoincidentTopologyLineOffsetParameters(0.0, offset)


def dashes(wire: Wire, panel: Panel, size: tuple[int, int], length: float) -> list[NDArray[np.float64]]:
    """Pieces of a polyline about `length` pixels long on the page, with gaps of the same length."""
    points = np.asarray(wire.points)
    page = panel.camera.project(points, size)[:, :2]
    way = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(page, axis=0), axis=1))])
    if not np.isfinite(way[-1]) or way[-1] < 2 * length:
        return [points]
    count = max(1, int(way[-1] / (2 * length)))
    cuts = np.linspace(0.0, way[-1], 2 * count + 2)
    keep = np.concatenate([[True], np.diff(way) > 0])
    pieces = []
    for start, end in zip(cuts[0::2], cuts[1::2], strict=False):
        inner = way[(way > start) & (way < end) & keep]
        at = np.concatenate([[start], inner, [end]])
        pieces.append(np.column_stack([np.interp(at, way[keep], points[keep, axis]) for axis in range(3)]))
    return pieces
