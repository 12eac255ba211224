"""A state as pyvista blocks, to show beside a user's own meshes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from linescope.export.panels import colours_of, mesh_of
from linescope.notes import Missing
from linescope.stage import lines, relief
from linescope.stage.ground import site
from linescope.stage.rig import rig_surfaces
from linescope.stage.theme import theme_named
from linescope.statics import Solution
from linescope.study import Study

if TYPE_CHECKING:
    import pyvista


def mesh(solution: Solution, *, ground: bool = False) -> pyvista.MultiBlock:
    """Lines, tapes, ring and walker to scale, as blocks of their names; red, green and blue as "colour".  [m]

    Parameters
    ----------
    solution : Solution
    ground : bool
        The ground of its rig as well, as far as it is known.

    Raises
    ------
    InputError
        When the ground cannot be read.
    """
    import pyvista

    look, blocks = theme_named("light"), pyvista.MultiBlock()
    surfaces = rig_surfaces(solution)[0]
    if ground:
        known = Study(solution.rig).ground
        if not isinstance(known, Missing):
            surfaces += relief.lit(site(known, solution.rig), solution.rig, look)
    for surface in surfaces:
        block = mesh_of(surface)
        if surface.baked is None:
            block.cell_data["colour"] = colours_of(surface, look)
        else:
            block.point_data["colour"] = surface.baked
        blocks.append(block, surface.name)
    return blocks


def plotter(solution: Solution, *, ground: bool = False, **options: Any) -> pyvista.Plotter:
    """A pyvista plotter with the state in it, seen from the side.

    Parameters
    ----------
    solution : Solution
    ground : bool
        The ground of its rig as well, as far as it is known.
    **options
        Handed to `pyvista.Plotter`.

    Raises
    ------
    InputError
        When the ground cannot be read.
    """
    import pyvista

    made, look = pyvista.Plotter(**options), theme_named("light")
    made.set_background(look.colours["paper"])
    for block in mesh(solution, ground=ground):
        made.add_mesh(block, scalars="colour", rgb=True, show_scalar_bar=False)
    # Webbing is 2 cm wide on 50 m: as a line of constant width on the screen it is seen from anywhere.
    for wire in (*lines.centre_lines(solution, look, ring=True), *rig_surfaces(solution)[1]):
        made.add_mesh(
            pyvista.lines_from_points(wire.points), color=look.colours[wire.colour], line_width=0.4 * wire.width,
            lighting=False,
        )
    rig = solution.rig
    along, middle = rig.main_b - rig.main_a, 0.5 * (rig.main_a + rig.main_b)
    side = np.array([along[1], -along[0], 0.0]) / np.hypot(along[0], along[1])
    # Seen from the side and a little from above, the whole span in the picture.
    made.camera_position = [middle + rig.span * (1.6 * side + np.array([0.0, 0.0, 0.15])), middle, (0.0, 0.0, 1.0)]
    return made
