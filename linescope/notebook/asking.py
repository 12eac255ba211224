"""A scene and a walker's place as they are typed, to a solved state."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from linescope.errors import InputError
from linescope.rig import Rig, RigSource
from linescope.scene import load
from linescope.statics import Solution
from linescope.statics import solve as solve_rig
from linescope.units import to_si

Given = str | Path | RigSource | Rig


def source(scene: Given) -> RigSource | Rig:
    """A scene, read where it is given by the name of its file.

    Raises
    ------
    SceneError, InputError
    """
    if isinstance(scene, (str, Path)):
        return load(scene)
    if isinstance(scene, (Rig, RigSource)):
        return scene
    raise InputError("a scene, a rig or the name of a scene file is needed", key="scene", found=type(scene).__name__)


def solve(
    scene: Given, state: Literal["as taped", "settled"] = "as taped", *, walker: str | float | bool | None = None
) -> Solution:
    """Equilibrium of a scene.

    Parameters
    ----------
    scene : Scene, Rig, or the name of a scene file
    state : {"as taped", "settled"}
        "as taped": no slip has happened.  "settled": shaken until the sliding lines have no friction left.
    walker : str or float, optional
        Where the walker stands, along the straight line from anchor A: text such as "30 m" or "25 %", or metres;
        False for nobody; default as the scene says.

    Returns
    -------
    Solution

    Raises
    ------
    InputError, SceneError
        Naming what cannot be used.
    NoEquilibrium, TensionNotReached, SegmentNotSolved
        Named failures with advice; never a result.

    Examples
    --------
    >>> import linescope
    >>> state = linescope.solve("scenes/heron_gap.toml", walker="12 m")
    >>> state.plot_side()
    <Axes: ...>
    """
    given = source(scene)
    if walker is None:
        return solve_rig(given, state)
    rig = given if isinstance(given, Rig) else given.rig
    if walker is False:
        return solve_rig(rig.without_walker(), state)
    return solve_rig(rig.with_walker_at(_place(walker, rig.span)), state)


def _place(walker: object, span: float) -> float:
    """[m]"""
    if isinstance(walker, str):
        if walker.strip().endswith("%"):
            return to_si(walker, "ratio", key="walker") * span
        return to_si(walker, "length", key="walker")
    try:
        at = float(walker)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        at = float("nan")
    if isinstance(walker, bool) or not 0.0 <= at <= span:
        raise InputError(
            "this is no place on the line", key="walker", found=walker,
            allowed=f"0 to {span:.4g} metres from anchor A, or text such as \"30 m\" or \"25 %\"; False for nobody",
        )
    return at


