"""A state on matplotlib axes: from the side, its loops, and the tension along both lines.

The axes are the user's own, or new ones; nothing else of a figure is touched.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from linescope.stage.theme import Theme, tape_look, theme_named
from linescope.statics import Solution
from linescope.units import from_si
from linescope.words import Words
from linescope.words.frame import state_label

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Floats = NDArray[np.float64]
MARKERS = MappingProxyType({
    "block": "s", "up": "^", "down": "v", "diamond": "D", "disc": "o", "bow": "X", "ring": "o", "star": "*",
})
"""The nearest of matplotlib's markers to every symbol of the pictures."""
OPEN = ("ring",)
SAMPLES = 20  # Of every piece of a line.
LINE, THICK = 1.4, 2.2  # [pt]


def plot_side(solution: Solution, ax: Axes | None = None) -> Axes:
    """Both lines, tapes and walker from the side; heights are drawn larger than lengths.

    Parameters
    ----------
    solution : Solution
    ax : matplotlib Axes, optional
        Drawn on; default a figure of its own.
    """
    axes, words, look = _axes(ax), Words(), theme_named("light")
    for name, line, width in (("main", solution.main, THICK), ("backup", solution.backup, LINE)):
        curve = line.sample(SAMPLES).points
        axes.plot(
            solution.rig.along_chord(curve), _heights(solution, curve), color=look.colours[name], linewidth=width,
            label=words.say(f"frame-{name}"), zorder=3 if name == "main" else 2,
        )
    _tapes(solution, axes, look, words)
    if solution.walker_point is not None:
        feet = solution.walker_point[None]
        axes.plot(
            solution.rig.along_chord(feet), _heights(solution, feet), marker="o", linestyle="", markersize=8,
            color=look.colours["walker"], label=words.say("walker"), zorder=5,
        )
    _named(solution, axes, words, "notebook-height", "m")
    axes.legend(fontsize="small", framealpha=0.9)
    return axes


def plot_loops(solution: Solution, ax: Axes | None = None) -> Axes:
    """Depth of the loop in every bay, as wide as the bay; a bay without slack is hatched to half the height.

    Parameters
    ----------
    solution : Solution
    ax : matplotlib Axes, optional
    """
    axes, words, look = _axes(ax), Words(), theme_named("light")
    bays = solution.bays
    unit = words.unit(bays.loop_depth, "length")
    depth, tight = from_si(bays.loop_depth, unit, "length"), bays.excess < 0.0
    wide = bays.end - bays.start
    axes.bar(
        bays.start[~tight], depth[~tight], width=wide[~tight], align="edge", color=look.colours["backup"],
        edgecolor=look.colours["paper"],
    )
    if tight.any():
        high = 0.5 * float(depth.max())
        axes.bar(
            bays.start[tight], np.full(int(tight.sum()), high), width=wide[tight], align="edge",
            color=look.colours["zone_near"], edgecolor=look.colours["alarm"], hatch="//",
            label=words.say("notebook-tight"),
        )
        axes.legend(fontsize="small", framealpha=0.9)
    axes.invert_yaxis()
    _named(solution, axes, words, "notebook-depth", words.unit_name(unit))
    return axes


def plot_tension(solution: Solution, ax: Axes | None = None) -> Axes:
    """Tension along main and backup.

    Parameters
    ----------
    solution : Solution
    ax : matplotlib Axes, optional
    """
    axes, words, look = _axes(ax), Words(), theme_named("light")
    curves = {name: line.sample(SAMPLES) for name, line in (("main", solution.main), ("backup", solution.backup))}
    unit = words.unit(np.concatenate([curve.tension for curve in curves.values()]), "force")
    for name, curve in curves.items():
        axes.plot(
            solution.rig.along_chord(curve.points), from_si(curve.tension, unit, "force"), color=look.colours[name],
            linewidth=THICK if name == "main" else LINE, label=words.say(f"frame-{name}"),
        )
    axes.set_ylim(bottom=0.0)
    _named(solution, axes, words, "notebook-tension", words.unit_name(unit))
    axes.legend(fontsize="small", framealpha=0.9)
    return axes


def _axes(ax: Axes | None) -> Axes:
    if ax is not None:
        return ax
    from matplotlib import pyplot

    return pyplot.subplots(figsize=(9.0, 3.2), layout="constrained")[1]


def _heights(solution: Solution, points: Floats) -> Floats:
    """(n,) height over the straight line between the anchors.  [m]"""
    return -solution.rig.below_anchors(points)


def _tapes(solution: Solution, axes: Axes, look: Theme, words: Words) -> None:
    tapes = solution.layout.tapes
    for family in dict.fromkeys(tape.family for tape in tapes):
        shape = tape_look(family)
        points = solution.tape_points[[tape.family == family for tape in tapes]]
        colour = look.colours[shape.colour]
        axes.plot(
            solution.rig.along_chord(points), _heights(solution, points), linestyle="", markersize=5, zorder=4,
            marker=MARKERS[shape.symbol], color=colour, markeredgecolor=look.colours["outline"],
            markerfacecolor="none" if shape.symbol in OPEN else colour, label=words.named("tapes-family", family),
        )


def _named(solution: Solution, axes: Axes, words: Words, up: str, unit: str) -> None:
    axes.set_xlabel(words.say("notebook-along", unit="m"))
    axes.set_ylabel(words.say(up, unit=unit))
    axes.set_title(f"{solution.rig.name}: {state_label(solution, words)}", fontsize="medium", loc="left")
