"""A whole rig to scale, for viewers and meshes: ribbons, tapes, ring and walker."""

from __future__ import annotations

from linescope.stage import lines, person, tapes
from linescope.stage.items import Surface, Wire
from linescope.statics import Solution


def rig_surfaces(solution: Solution) -> tuple[list[Surface], list[Wire]]:
    """Both webbings, every tape as it is wound, the ring and the walker; and the leash.

    Returns
    -------
    surfaces : list of Surface
    leash : list of Wire
    """
    surfaces: list[Surface] = [*lines.ribbons(solution, ring=True)]
    surfaces += [tapes.wrap(solution, tape.number) for tape in solution.layout.tapes]
    body, leash = person.walker(solution)
    return [*surfaces, *body], [*leash]
