"""Main and backup on the stage: ribbons of true size, and centre lines that stay visible from afar."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.stage import dimensions, ribbon
from linescope.stage.items import LegendEntry, Surface, Wire
from linescope.stage.ring import backup, backup_by_bay
from linescope.stage.theme import Theme
from linescope.statics.solution import Solution
from linescope.words import Words

Floats = NDArray[np.float64]


def ribbons(
    solution: Solution, bays: range | None = None, per_segment: int = 24, *, ring: bool = False
) -> tuple[Surface, ...]:
    """Main and backup at their true width and thickness, stacked: the main on top, touching at the tapes.

    Parameters
    ----------
    solution : Solution
    bays : range, optional
        Only these bays, counted from 0; default the whole line.
    per_segment : int
        Pieces for each catenary.
    ring : bool
        The backup as the walker's ring lifts it, for pictures that show the ring.
    """
    rig = solution.rig
    result = []
    hung = backup_by_bay(solution, per_segment) if ring else dimensions.by_bay(solution.backup, per_segment)
    for name, pieces, kind, side in (
        ("main", dimensions.by_bay(solution.main, per_segment), rig.main, 1.0),
        ("backup", hung, rig.backup, -1.0),
    ):
        chosen = pieces if bays is None else [pieces[k] for k in bays]
        points = np.concatenate([chosen[0], *(piece[1:] for piece in chosen[1:])])
        _, out = ribbon.frames(points)
        points = points + out * side * kind.thickness / 2
        result.append(ribbon.webbing(points, kind, name=name, top=name, under=f"{name}_under"))
    return tuple(result)


def centre_lines(
    solution: Solution, theme: Theme, *, scale: float = 1.0, per_segment: int = 24, ring: bool = False
) -> tuple[Wire, ...]:
    """Backup and main as lines of constant width on the page, the main last so that it is drawn on top.

    Parameters
    ----------
    solution : Solution
    theme : Theme
    scale : float
        Times the theme's widths.  [-]
    per_segment : int
        Pieces for each catenary.
    ring : bool
        The backup as the walker's ring lifts it, for pictures that show the ring.
    """
    hung = backup(solution, per_segment) if ring else solution.backup.sample(per_segment).points
    return tuple(
        Wire(name=name, points=points, colour=name, width=width * scale)
        for name, points, width in (
            ("backup", hung, theme.backup_width),
            ("main", solution.main.sample(per_segment).points, theme.main_width),
        )
    )


def legend(solution: Solution, theme: Theme, words: Words) -> tuple[LegendEntry, ...]:
    """What the two lines and the chord look like."""
    backup = words.say("frame-legend-backup-rope" if solution.rig.backup.is_rope else "frame-legend-backup")
    return (
        LegendEntry(text=words.say("frame-legend-main"), colour="main", width=theme.main_width * 1.3),
        LegendEntry(text=backup, colour="backup", width=theme.backup_width * 1.2),
    )
