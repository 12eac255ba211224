"""Rub on the faces of both lines as bars that stand on each face, and the classes of rub that colour ribbons."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from linescope.contact.ledger import Face, RubCause
from linescope.contact.wear import Wear
from linescope.notes import Quantity, Term
from linescope.rig.layout import Layout
from linescope.stage import paper
from linescope.stage.items import Frame, Label, LegendEntry, Panel, Surface, Symbols, Wire
from linescope.stage.page import Brief
from linescope.stage.theme import Theme, tape_look
from linescope.statics.solution import LineShape
from linescope.topics.wear import face_term
from linescope.units import from_si
from linescope.words import Words

Floats = NDArray[np.float64]

STEPS = (0.0, 0.03, 0.1, 0.25, 0.5)
"""Lower ends of the classes of rub, as shares of the largest rub on any face."""
_SHADES = {
    "light": ("#c9d0d4", "#ffe08a", "#f5b041", "#dd6b16", "#a81c14", "#4a0606"),
    "dark": ("#3a444c", "#6b4a12", "#a86a13", "#e09020", "#ffc25c", "#fff3cf"),
}
ROLES = tuple(f"rub_{k}" for k in range(len(STEPS) + 1))
_CAUSES = {
    "light": ("#c2410c", "#1d6fa5", "#7b3fa0", "#8a9499", "#1a1a1a", "#0f766e"),
    "dark": ("#ff9d5c", "#6cc4f5", "#cf9ef0", "#8d989f", "#f4f4f4", "#5eead4"),
}
CAUSE_ROLES = {cause: f"rub_{cause.value}" for cause in RubCause}
TOUCHING = "touching"
"""Role of what touches."""
_TOUCHING = {"light": "#a8006d", "dark": "#ff7ad1"}
COLUMN = 4.0  # Narrowest bar [px].
LEFT, RIGHT = 232.0, 345.0  # Beside the bars, for the names of the faces and their worst [px].
RIBBON, TAPES = 7.0, 30.0  # Height of a line seen from the side, and of the row of tapes between the lines [px].
AXIS = 34.0  # Room for the metres under a strip [px].
LEAST = 18.0  # Height of a face on which next to nothing rubs [px].


def shaded(theme: Theme) -> Theme:
    """The theme with the colours of touch, of rub and of its causes added."""
    shades, causes = (table.get(theme.name, table["light"]) for table in (_SHADES, _CAUSES))
    more = dict(zip(ROLES, shades, strict=True)) | dict(zip(CAUSE_ROLES.values(), causes, strict=True))
    more[TOUCHING] = _TOUCHING.get(theme.name, _TOUCHING["light"])
    return replace(theme, colours=MappingProxyType({**theme.colours, **more}))


def classes(density: Floats, most: float) -> NDArray[np.int64]:
    """Class of every value [J/m]: 0 for none, then by its share of the largest."""
    share = density / most if most > 0.0 else np.zeros_like(density)
    found = np.searchsorted(np.array(STEPS), share, side="right")
    return np.asarray(np.where(share <= 1e-9, 0, found), dtype=np.int64)


def class_words(most: float, words: Words) -> list[str]:
    """What each class stands for."""
    bounds = [step * most for step in (*STEPS, 1.0)]
    return [
        words.say("wear-picture-none"),
        words.say("wear-picture-up-to", most=Quantity(bounds[1], "line energy", "up")),
        *(words.range(a, b, "line energy") for a, b in pairwise(bounds[1:])),
    ]


def points_at(shape: LineShape, coordinate: Floats) -> Floats:
    """(n, 3) places of material coordinates on a line.  [m]"""
    piece = np.clip(np.searchsorted(shape.coordinate, coordinate, side="right") - 1, 0, len(shape.bay) - 1)
    s = np.clip(coordinate - shape.coordinate[piece], 0.0, shape.segments.length[piece])
    x, z, _ = shape.segments.flat.part(piece).at(s[:, None])
    return np.asarray(shape.nodes[piece] + x * shape.segments.across[piece] + z * shape.segments.up[piece])


def columns(wear: Wear, face: Face, place: Floats, tapes: Floats) -> tuple[Floats, dict[RubCause, Floats]]:
    """Largest rub in every bar: left edges [px], and its parts by cause [J/m]; bars without rub left out.

    Bars are counted from the nearest tape, so that what rubs beside it is one bar with the tape in its middle.
    """
    ledger = wear.day.value.faces[face]
    rubbed = np.flatnonzero(ledger.work > 0.0)
    marks = tapes if len(tapes) else np.zeros(1)
    nearest = np.searchsorted(0.5 * (marks[:-1] + marks[1:]), place[rubbed])
    edges = marks[nearest] + COLUMN * (np.round((place[rubbed] - marks[nearest]) / COLUMN) - 0.5)
    order = np.lexsort((ledger.work[rubbed], edges))
    last = np.flatnonzero(np.diff(np.append(edges[order], np.inf)) != 0.0)
    chosen = rubbed[order[last]]
    parts = {cause: ends.value.faces[face].per_metre[chosen] for cause, ends in wear.causes.items()}
    return edges[order[last]], parts


def stations_of(wear: Wear) -> dict[str, tuple[Floats, Floats]]:
    """Marks on each line and where the tapes they belong to stand, from A along the straight line.  [m]"""
    layout, solution = wear.layout, wear.standing
    along = (wear.rig.main_b - wear.rig.main_a) / wear.rig.span
    stand = np.concatenate(([0.0], (solution.tape_points - wear.rig.main_a) @ along, [wear.rig.span]))
    return {
        "main": (np.concatenate(([0.0], layout.tape_main, [layout.main_length])), stand),
        "backup": (np.concatenate(([0.0], layout.tape_backup, [layout.backup_length])), stand),
    }


def strips(
    brief: Brief, wear: Wear, frame: Frame, *, peaks: Mapping[Face, float], name: str, caption: str, axis: bool = True,
    least: float = LEAST,
) -> Panel:
    """Both lines seen from the side, rub as bars that stand on each of the four faces, tapes between them.

    Parameters
    ----------
    brief : Brief
    wear : Wear
    frame : (4,) tuple
    peaks : mapping of Face to float
        Largest rub of each face on the page: one scale for all, and room on each face for its longest bar.  [J/m]
    name, caption : str
    axis : bool
        Whether metres stand under it.
    least : float
        Height of a face on which next to nothing rubs.  [px]
    """
    size = width, height = brief.panel_size(frame)
    words = brief.measures
    left, right = LEFT, width - RIGHT
    top, bottom = 40.0, height - max(10.0, 0.5 * least) - (AXIS if axis else 0.0)
    room, scale = heights(peaks, bottom - top - 2.0 * RIBBON - TAPES, least)
    per_metre = (right - left) / wear.rig.span
    main = top + room[Face.MAIN_TOP]
    tapes = main + RIBBON + room[Face.MAIN_UNDER]
    backup = tapes + TAPES + room[Face.BACKUP_TOP]
    most = max(peaks.values())
    grounds = {
        Face.MAIN_TOP: (main, -1.0), Face.MAIN_UNDER: (main + RIBBON, 1.0), Face.BACKUP_TOP: (backup, -1.0),
        Face.BACKUP_UNDER: (backup + RIBBON, 1.0),
    }
    stations = stations_of(wear)
    surfaces: list[Surface] = [
        paper.box("main line", left, main, right, main + RIBBON, "main", 2.0),
        paper.box("backup line", left, backup, right, backup + RIBBON, "backup", 2.0),
    ]
    wires: list[Wire] = []
    labels: list[Label] = []
    for face, (ground, sign) in grounds.items():
        ledger = wear.day.value.faces[face]
        place = np.interp(ledger.middles, *stations[face.line]) * per_metre
        edges, parts = columns(wear, face, place, stations[face.line][1][1:-1] * per_metre)
        base = np.zeros(len(edges))
        for cause, values in parts.items():
            for k in np.flatnonzero(values > 0.0):
                a, b = ground + sign * base[k] * scale, ground + sign * (base[k] + values[k]) * scale
                if abs(b - a) >= 0.4:
                    surfaces.append(paper.box(
                        f"{face.value}: {cause.value}", max(left + float(edges[k]), left), min(a, b),
                        min(left + float(edges[k]) + COLUMN, right), max(a, b), CAUSE_ROLES[cause], 1.0,
                    ))
            base += values
        far = ground + sign * room[face]
        wires.append(paper.line("level", [(left, far), (right, far)], "rule", 1.0, nearer=0.2, quiet=True))
        middle = ground + sign * 0.5 * room[face]
        labels.append(Label(
            text=words.value(face_term(face)), at=paper.xy(left, middle), towards=(-1.0, 0.0), rank=0, must=True,
            strong=True, offset=10.0, size="small",
        ))
        labels.append(Label(
            text=worst_words(wear, face, words), at=paper.xy(right, middle), towards=(1.0, 0.0), rank=0, must=True,
            offset=10.0, size="small", strong=ledger.peak >= 0.5 * most > 0.0,
        ))
    if axis:
        labels += metres(brief, wear.rig.span, left, per_metre, bottom + 8.0)
    return Panel(
        name=name, frame=frame, camera=paper.camera(size), surfaces=tuple(surfaces), wires=tuple(wires),
        symbols=moved_tapes(wear, left, per_metre, tapes + 0.5 * TAPES), labels=tuple(labels), caption=caption,
    )


def heights(peaks: Mapping[Face, float], whole: float, least: float = LEAST) -> tuple[dict[Face, float], float]:
    """Room for each face [px], and the one scale [px m/J]: as long as it can be with at least so much for each."""
    free = [face for face in Face if peaks[face] > 0.0]
    while free:
        scale = (whole - least * (len(Face) - len(free))) / sum(peaks[face] for face in free)
        small = [face for face in free if scale * peaks[face] < least]
        if not small:
            return {face: scale * peaks[face] if face in free else least for face in Face}, 0.96 * scale
        free = [face for face in free if face not in small]
    most = max(peaks.values())
    return dict.fromkeys(Face, 0.25 * whole), 0.24 * whole / most if most > 0.0 else 0.0


def worst_words(wear: Wear, face: Face, words: Words) -> str:
    """The worst of a face with what it may be."""
    peaks = [wear.peak(face, level) for level in ("low", "value", "high")]
    if peaks[2] <= 0.0:
        return words.say("wear-picture-none")
    value = words.of(peaks[1], "line energy")
    low, high = min(peaks), max(peaks)
    if high <= 1.02 * low:
        return value
    unit = words.unit(peaks, "line energy")
    return words.say("with-band", value=words.of(peaks[1], "line energy", unit=unit),
                     band=words.band(low, high, "line energy", unit=unit))


def metres(brief: Brief, span: float, left: float, per_metre: float, y: float) -> list[Label]:
    """Figures of an axis along the line."""
    words = brief.measures
    length = from_si(span, words.long_unit, "length")
    labels, ticks = [], paper.ticks(0.0, length, 10)
    for tick in ticks:
        # At the last: the names of the faces stand beside the first.
        last = tick == ticks[-1]
        text = words.tick(tick, words.long_unit) + " " + words.say("from-anchor-a") if last else words.tick(tick)
        x = left + span * per_metre * tick / length
        labels.append(Label(text=text, at=paper.xy(x, y), size="small", rank=0, must=True, offset=4.0))
    return labels


def moved_tapes(wear: Wear, left: float, per_metre: float, y: float) -> tuple[Symbols, ...]:
    """Tapes where on the line that slides they are, over pale ones where they were."""
    size = float(np.clip(0.5 * per_metre * np.median(wear.layout.bays_main), 4.0, 14.0))
    groups = []
    for family in dict.fromkeys(tape.family for tape in wear.layout.tapes):
        chosen = [tape for tape in wear.tapes if tape.family == family]
        look = tape_look(family)
        moved = [tape for tape in chosen if abs(tape.places[-1] - tape.places[0]) * per_metre > 1.0]
        if moved:
            ghosts = np.array([paper.xy(left + tape.places[0] * per_metre, y, 2.0) for tape in moved])
            before = f"{family}, before"
            groups.append(Symbols(name=before, points=ghosts, symbol=look.symbol, colour="rule", size=size))
        points = np.array([paper.xy(left + tape.places[-1] * per_metre, y, 3.0) for tape in chosen])
        groups.append(Symbols(name=family, points=points, symbol=look.symbol, colour=look.colour, size=size))
    return tuple(groups)


def tape_row(layout: Layout, left: float, per_metre: float, y: float) -> tuple[Symbols, ...]:
    """Symbols of the tapes in a row as taped, smaller where they would grow together."""
    size = float(np.clip(0.5 * per_metre * np.median(layout.bays_main), 4.0, 14.0))
    groups = []
    for family in dict.fromkeys(tape.family for tape in layout.tapes):
        chosen = [k for k, tape in enumerate(layout.tapes) if tape.family == family]
        points = np.array([paper.xy(left + float(layout.tape_main[k]) * per_metre, y, 3.0) for k in chosen])
        look = tape_look(family)
        groups.append(Symbols(name=family, points=points, symbol=look.symbol, colour=look.colour, size=size))
    return tuple(groups)


def key(words: Words, wears: list[Wear]) -> tuple[LegendEntry, ...]:
    """Causes that there are, and the tapes."""
    there = [cause for cause in RubCause if any(wear.causes[cause].value.total > 0.0 for wear in wears)]
    families = dict.fromkeys(tape.family for wear in wears for tape in wear.layout.tapes)
    return (
        *(LegendEntry(text=words.value(Term(f"wear-cause-{cause.value}")), colour=CAUSE_ROLES[cause], width=14.0)
          for cause in there),
        *(LegendEntry(text=words.named("tapes-family", family), colour=tape_look(family).colour,
                      symbol=tape_look(family).symbol) for family in families),
    )


def legend(words: Words, wears: list[Wear], most: float) -> tuple[LegendEntry, ...]:
    """The same with the scale, and what is pale."""
    return (
        *key(words, wears),
        LegendEntry(
            text=words.say("wear-picture-scale", most=Quantity(most, "line energy")), colour="rule", width=2.0
        ),
        LegendEntry(text=words.say("wear-picture-tapes"), colour="rule", symbol="up"),
    )
