"""Tapes and anchors: a symbol that reads at any distance, and the wrap at its true size for near views."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.stage import ribbon
from linescope.stage.items import LegendEntry, Marks, Surface
from linescope.stage.theme import Theme, tape_look
from linescope.statics.solution import Solution
from linescope.taping import Holds

Floats = NDArray[np.float64]

_GRIPS = {Holds.BOTH: "holds both lines", Holds.MAIN: "holds the main", Holds.BACKUP: "holds the backup"}


def marks(
    solution: Solution, theme: Theme, at: Floats | None = None, scale: float = 1.0
) -> tuple[Marks, ...]:
    """One group of symbols for each tape family on the line.

    Parameters
    ----------
    solution : Solution
    theme : Theme
    at : (n, 3) array, optional
        Where to draw them; default where the tapes are.  [m]
    scale : float
        Of the symbols.
    """
    points = solution.tape_points if at is None else at
    tapes = solution.layout.tapes
    size = theme.symbol * scale
    groups = []
    for family in dict.fromkeys(tape.family for tape in tapes):
        chosen = np.array([tape.family == family for tape in tapes])
        look = tape_look(family)
        groups.append(
            Marks(name=family, points=points[chosen], symbol=look.symbol, colour=look.colour, size=size)
        )
    return tuple(groups)


def crowding(solution: Solution, pixels: float, theme: Theme) -> float:
    """Scale of tape symbols so that they do not grow together on a line `pixels` long: 0.4 to 1."""
    room = 0.55 * pixels / (len(solution.layout.tapes) + 1)
    return float(np.clip(room / theme.symbol, 0.4, 1.0))


def legend(solution: Solution) -> tuple[LegendEntry, ...]:
    """What the symbols mean, for the styles that occur, with how many there are."""
    counts: dict[tuple[str, str, Holds], int] = {}
    for tape in solution.layout.tapes:
        key = (tape.kind, tape.family, tape.holds)
        counts[key] = counts.get(key, 0) + 1
    entries = []
    for (kind, family, holds), count in counts.items():
        look = tape_look(family)
        what = "tie, holds both lines for good" if kind == "tie" else f"{family}, {_GRIPS[holds]}"
        entries.append(LegendEntry(text=f"{what} ({count})", symbol=look.symbol, colour=look.colour))
    return tuple(entries)


def anchors(solution: Solution, theme: Theme) -> tuple[Marks, ...]:
    """Badges A and B at the main's anchors, and small ones where the backup has its own."""
    rig = solution.rig
    groups = []
    for name, main, backup in (("A", rig.main_a, rig.backup_a), ("B", rig.main_b, rig.backup_b)):
        if np.linalg.norm(main - backup) > 0.05:
            groups.append(
                Marks(
                    name=f"backup anchor {name}",
                    points=backup[None],
                    symbol="disc",
                    colour="backup",
                    size=14.0,
                )
            )
    groups += [
        Marks(name=f"anchor {name}", points=point[None], symbol="disc", colour="state", size=34.0, text=name)
        for name, point in (("A", rig.main_a), ("B", rig.main_b))
    ]
    return tuple(groups)


def wrap(solution: Solution, number: int) -> Surface:
    """The wrap of one tape at its true size: a flat sleeve round the stacked webbings.

    Parameters
    ----------
    solution : Solution
    number : int
        Tape number, 1 for the first from anchor A.
    """
    rig = solution.rig
    stock = rig.taping.stock
    place = solution.tape_points[number - 1]
    along = _direction(solution, number)
    reach = np.array([-0.5, 0.5])[:, None] * stock.width * along
    skin = stock.wraps * stock.thickness
    thick = rig.main.thickness + rig.backup.thickness + 2 * skin
    wide = max(rig.main.width, rig.backup.width) + 2 * skin
    middle = np.array([0.0, 0.0, (rig.main.thickness - rig.backup.thickness) / 2])
    look = tape_look(solution.layout.tapes[number - 1].family)
    return ribbon.strip(
        place + middle + reach,
        width=wide,
        thickness=thick,
        name=f"tape {number}",
        top=look.colour,
        under=look.colour,
    )


def _direction(solution: Solution, number: int) -> Floats:
    """Unit vector along the main at a tape."""
    points = np.vstack([solution.main.nodes[:1], solution.tape_points, solution.main.nodes[-1:]])
    step = points[number + 1] - points[number - 1]
    return np.asarray(step / np.linalg.norm(step))
