"""Tapes and anchors: a symbol that reads at any distance, and the wrap at its true size for near views."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.notes import Term
from linescope.stage import ribbon
from linescope.stage.items import LegendEntry, Surface, Symbols
from linescope.stage.theme import Theme, tape_look
from linescope.statics.solution import Solution
from linescope.taping import Holds
from linescope.words import Words

Floats = NDArray[np.float64]

def symbols(solution: Solution, theme: Theme, *, scale: float = 1.0, every: int = 1) -> tuple[Symbols, ...]:
    """One group of symbols for each tape family on the line, where the tapes are.

    Parameters
    ----------
    solution : Solution
    theme : Theme
    scale : float
        Of the symbols.  [-]
    every : int
        Draw each so manieth tape only, but all ties, and the first tape of every zone.
    """
    tapes = solution.layout.tapes
    first = {tape.zone: tape.number for tape in reversed(tapes)}
    shown = [t.number % every == 0 or t.kind == "tie" or first[t.zone] == t.number for t in tapes]
    groups = []
    for family in dict.fromkeys(tape.family for tape in tapes):
        chosen = np.array([tape.family == family and seen for tape, seen in zip(tapes, shown, strict=True)])
        look = tape_look(family)
        groups.append(
            Symbols(
                name=family,
                points=solution.tape_points[chosen],
                symbol=look.symbol,
                colour=look.colour,
                size=theme.symbol * scale,
            )
        )
    return tuple(groups)


CLOSEST = 10.0  # Tape symbols on a whole line stand at least so far apart [px].


def crowded(
    solution: Solution, pixels: float, theme: Theme, words: Words
) -> tuple[tuple[Symbols, ...], tuple[LegendEntry, ...]]:
    """Symbols on a whole line `pixels` long, smaller or fewer where they would grow together.

    Returns
    -------
    symbols : tuple of Symbols
    legend : tuple of LegendEntry
        Says so when not every tape is drawn.
    """
    spacing = pixels / (len(solution.layout.tapes) + 1)
    every = max(1, math.ceil(CLOSEST / spacing))
    scale = float(np.clip(0.55 * spacing * every / theme.symbol, 0.4, 1.0))
    said = words.say("frame-legend-some-tapes", every=every)
    note = (LegendEntry(text=said, colour="quiet"),) if every > 1 else ()
    return symbols(solution, theme, scale=scale, every=every), note


def legend(solution: Solution, words: Words) -> tuple[LegendEntry, ...]:
    """What the symbols mean, for the styles that occur, with how many there are."""
    counts: dict[tuple[str, str, Holds], int] = {}
    for tape in solution.layout.tapes:
        key = (tape.kind, tape.family, tape.holds)
        counts[key] = counts.get(key, 0) + 1
    entries = []
    for (kind, family, holds), count in counts.items():
        look = tape_look(family)
        style, line = words.named("tapes-family", family), Term(f"frame-holds-{holds.value}")
        name = "frame-legend-tie" if kind == "tie" else "frame-legend-tape"
        text = words.say(name, style=style, line=line, count=count)
        entries.append(LegendEntry(text=text, symbol=look.symbol, colour=look.colour))
    return tuple(entries)


def anchors(solution: Solution) -> tuple[Symbols, ...]:
    """Badges A and B at the main's anchors, and small ones where the backup has its own."""
    rig = solution.rig
    groups = []
    for name, main, backup in (("A", rig.main_a, rig.backup_a), ("B", rig.main_b, rig.backup_b)):
        if np.linalg.norm(main - backup) > 0.05:
            groups.append(
                Symbols(
                    name=f"backup anchor {name}",
                    points=backup[None],
                    symbol="disc",
                    colour="backup",
                    size=14.0,
                )
            )
    groups += [
        Symbols(name=f"anchor {name}", points=point[None], symbol="disc", colour="state", size=34.0, text=name)
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
