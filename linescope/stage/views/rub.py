"""Rub on the lines themselves and along them: one scale for main and backup, and the places to look at first."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from linescope.contact.find import Rub
from linescope.contact.ledger import Ledger, LineName
from linescope.contact.rub import Pairs
from linescope.rig.layout import Layout
from linescope.stage import paper, ribbon
from linescope.stage.camera import perspective_fit
from linescope.stage.items import Frame, Label, LegendEntry, Panel, Stage, Surface, Symbols, TextBox
from linescope.stage.theme import Theme, tape_look
from linescope.stage.views.overview import UP, direction
from linescope.stage.views.page import LOW, Brief, furnish
from linescope.stage.words import Measures
from linescope.statics.solution import LineShape
from linescope.units import format_si, from_si

Floats = NDArray[np.float64]
QUESTION = "Where does rub collect on main and backup, and where to look first?"

STEPS = (0.0, 0.03, 0.1, 0.25, 0.5)
"""Lower ends of the classes of rub, as shares of the largest rub on either line."""
_SHADES = {
    "light": ("#c9d0d4", "#ffe08a", "#f5b041", "#dd6b16", "#a81c14", "#4a0606"),
    "dark": ("#3a444c", "#6b4a12", "#a86a13", "#e09020", "#ffc25c", "#fff3cf"),
}
ROLES = tuple(f"rub_{k}" for k in range(len(STEPS) + 1))
APART = 0.10  # How far below the main the backup is drawn, so that both are seen [m].
REACH = 0.22  # Of the near view, on either side of the tape [m].
COLUMN = 3.0  # Narrowest bar of a chart [px].
ROWS = 10


def shaded(theme: Theme) -> Theme:
    """The theme with the colours of rub added."""
    shades = _SHADES.get(theme.name, _SHADES["light"])
    return replace(theme, colours=MappingProxyType({**theme.colours, **dict(zip(ROLES, shades, strict=True))}))


def classes(density: Floats, most: float) -> NDArray[np.int64]:
    """Class of every value [J/m]: 0 for none, then by its share of the largest."""
    share = density / most if most > 0.0 else np.zeros_like(density)
    found = np.searchsorted(np.array(STEPS), share, side="right")
    return np.asarray(np.where(share <= 1e-9, 0, found), dtype=np.int64)


def class_words(most: float, measures: Measures) -> list[str]:
    """What each class stands for."""
    bounds = [format_si(step * most, "line energy", system=measures.system) for step in (*STEPS, 1.0)]
    return ["no rub", f"up to {bounds[1]}", *(f"{a} to {b}" for a, b in pairwise(bounds[1:]))]


def painted(
    shape: LineShape, ledger: Ledger, most: float, *, low: float, high: float, width: float, thickness: float,
    shift: Floats,
) -> Surface:
    """A stretch of one line as a ribbon of true width, every bin in the colour of its rub.

    Parameters
    ----------
    shape : LineShape
    ledger : Ledger
    most : float
        Largest rub of the scale.  [J/m]
    low, high : float
        Material coordinates of the stretch.  [m]
    width, thickness : float
        [m]
    shift : (3,) array
        Drawn moved by this.  [m]
    """
    inner = ledger.edges[(ledger.edges > low) & (ledger.edges < high)]
    at = np.concatenate(([low], inner, [high]))
    points = points_at(shape, at) + shift
    strip = ribbon.strip(points, width=width, thickness=thickness, name=ledger.line, top=ROLES[0], under=ROLES[0])
    middle = 0.5 * (at[:-1] + at[1:])
    index = np.clip((middle / ledger.bin).astype(np.int64), 0, len(ledger.work) - 1)
    kind = classes(ledger.per_metre, most)[index]
    # The skin has four sides a piece, two triangles each, first triangles first; then the two ends.
    sides = np.repeat(kind, 4)
    colour = np.concatenate([sides, sides, np.full(4, kind[-1])])
    return replace(strip, colours=ROLES, colour=colour, lit=False)


def points_at(shape: LineShape, coordinate: Floats) -> Floats:
    """(n, 3) places of material coordinates on a line.  [m]"""
    piece = np.clip(np.searchsorted(shape.coordinate, coordinate, side="right") - 1, 0, len(shape.bay) - 1)
    s = np.clip(coordinate - shape.coordinate[piece], 0.0, shape.segments.length[piece])
    x, z, _ = shape.segments.flat.at(np.broadcast_to(s, (len(shape.bay), len(s))))
    rows = np.arange(len(s))
    return np.asarray(
        shape.nodes[piece]
        + x[piece, rows][:, None] * shape.segments.across[piece]
        + z[piece, rows][:, None] * shape.segments.up[piece]
    )


def build(brief: Brief, rub: Rub) -> Stage:
    """The worst tape from near by, the strip charts of a crossing and of a gust cycle, the inspection list."""
    brief = replace(brief, theme=shaded(brief.theme))
    counted = rub.counted()
    most = max(counted.main.peak, counted.backup.peak)
    split = brief.top + 0.44 * (LOW - brief.top)
    charts = np.linspace(split + 0.004, LOW - 0.008, 3)
    panels = (
        near_view(brief, rub, counted, most, (0.0, brief.top, 0.47, split)),
        chart(brief, rub.slide(), rub.layout, (0.0, float(charts[0]), 1.0, float(charts[1]) - 0.003),
              name="crossing", caption=f"Rub of ONE CROSSING there and back, hold at its value. {_band(rub, brief)}"),
        chart(brief, rub.swing, rub.layout, (0.0, float(charts[1]), 1.0, float(charts[2])), name="gust",
              caption="Rub of ONE GUST CYCLE: loops swing beside their tapes (bound, friction taken as 1)"),
    )
    table = TextBox(
        name="places", frame=(0.475, brief.top, 0.985, split - 0.004),
        heading=f"Look here first ({rub.crossings:g} crossing and {rub.gusts:g} gust cycle counted)",
        table=_places(brief, rub), lines=(*rub.notes, f"Assumed: {'; '.join(rub.assumed)}."),
    )
    legend = [LegendEntry(text=f"tape style: {text}", colour=tape_look(text).colour, symbol=tape_look(text).symbol)
              for text in dict.fromkeys(tape.family for tape in rub.layout.tapes)]
    legend += [
        LegendEntry(text=f"rub {text}" if k else text, colour=role, width=14.0)
        for k, (role, text) in enumerate(zip(ROLES, class_words(most, brief.measures), strict=True))
    ]
    return furnish(
        brief, view="rub", question=QUESTION, panels=panels, boxes=(table,), legend=tuple(legend),
        state="rub per metre of slack line, ranks places on this rig", base=False,
    )


def _band(rub: Rub, brief: Brief) -> str:
    totals = [rub.slides[level].ledgers.total for level in rub.slides]
    low, high = (format_si(value, "energy", system=brief.measures.system) for value in (min(totals), max(totals)))
    value = format_si(rub.slide().total, "energy", system=brief.measures.system)
    return f"Work {value}" + (f" ({low} to {high} with the hold's ends)" if low != high else "")


def near_view(brief: Brief, rub: Rub, counted: Pairs, most: float, frame: Frame) -> Panel:
    """Both ribbons at the worst tape, the backup drawn some way below the main."""
    solution = brief.solution
    rig, layout = solution.rig, solution.layout
    number = rub.places[0].tape if rub.places else max(len(layout.tapes) // 2, 1)
    centre = solution.tape_points[number - 1]
    along = (rig.main_b - rig.main_a) / rig.span
    down = -APART * UP
    corners = np.array([centre + along * x * REACH * 0.9 + UP * z for x in (-1, 1) for z in (0.03, -APART - 0.09)])
    surfaces = []
    lines: tuple[tuple[LineName, LineShape, Floats, Floats, float, float], ...] = (
        ("main", solution.main, solution.tape_main, 0.0 * down, rig.main.width, rig.main.thickness),
        ("backup", solution.backup, solution.tape_backup, down, rig.backup.width, rig.backup.thickness),
    )
    labels = []
    look = direction(brief, turn=math.radians(8), tilt=math.radians(34))
    for line, shape, marks, shift, width, thickness in lines:
        at = float(marks[number - 1])
        low, high = max(at - 1.3 * REACH, 0.0), min(at + 1.3 * REACH, float(shape.coordinate[-1]))
        ledger = counted.of(line)
        surfaces.append(
            painted(shape, ledger, most, low=low, high=high, width=width, thickness=thickness, shift=shift)
        )
        near = (ledger.middles > low) & (ledger.middles < high)
        top = float(ledger.per_metre[near].max())
        spot = points_at(shape, np.array([at - 0.55 * REACH]))[0] + shift
        worst = format_si(top, "line energy", system=brief.measures.system)
        labels.append(
            Label(text=f"{line}: up to {worst}", at=spot, towards=(0.0, 1.0 if line == "main" else -1.0), rank=1,
                  must=True, strong=True, offset=26.0)
        )
    apart = format_si(APART, "length", system=brief.measures.system)
    return Panel(
        name="near", frame=frame,
        camera=perspective_fit(corners, look=look, up=UP, angle=math.radians(22), aspect=brief.aspect(frame),
                               margin=(0.02, 0.24, 0.02, 0.12)),
        surfaces=tuple(surfaces), labels=tuple(labels),
        caption=f"Tape {number}, true size, wrap left out; the backup is drawn {apart} below the main",
    )


def _places(brief: Brief, rub: Rub) -> tuple[tuple[str, ...], ...]:
    measures = brief.measures
    rows = [("", "line", "from A", "tape", "rub", "why")]
    for rank, place in enumerate(rub.places[:ROWS], 1):
        at = format_si(place.at, "length", system=measures.system, digits=4, unit=measures.long_unit)
        rows.append(
            (str(rank), place.line, at, str(place.tape),
             format_si(place.peak, "line energy", system=measures.system), place.cause)
        )
    return tuple(rows)


def columns(ledger: Ledger, place: Floats, width: float) -> tuple[Floats, Floats]:
    """Largest rub in every bar of a chart: left edges [px] and values [J/m], bars without rub left out."""
    rubbed = np.flatnonzero(ledger.work > 0.0)
    column = (place[rubbed] / COLUMN).astype(np.int64)
    most = np.zeros(int(width / COLUMN) + 2)
    np.maximum.at(most, column, ledger.per_metre[rubbed])
    found = np.flatnonzero(most > 0.0)
    return np.asarray(found * COLUMN, dtype=np.float64), most[found]


def chart(
    brief: Brief, pairs: Pairs, layout: Layout, frame: Frame, *, name: str, caption: str
) -> Panel:
    """Metre along the line against rub: the main upwards, the backup downwards, one scale for both.

    The backup is drawn at the tapes it belongs to, so that both lines of a place stand over each other.
    """
    size = width, height = brief.panel_size(frame)
    measures = brief.measures
    left, right, top, bottom = 118.0, width - 40.0, 40.0, height - 30.0
    middle = 0.5 * (top + bottom - 18.0)
    peak = max(pairs.main.peak, pairs.backup.peak)
    scale = (middle - top - 6.0) / peak if peak > 0.0 else 0.0
    unit = "J/m" if measures.system == "metric" else "ft*lbf/ft"
    main_marks = np.concatenate(([0.0], layout.tape_main, [layout.main_length]))
    backup_marks = np.concatenate(([0.0], layout.tape_backup, [layout.backup_length]))
    per_metre = (right - left) / layout.main_length
    surfaces, wires, labels = [], [], []
    for line, sign, place in (
        ("main", -1.0, pairs.main.middles),
        ("backup", 1.0, np.interp(pairs.backup.middles, backup_marks, main_marks)),
    ):
        ledger = pairs.main if line == "main" else pairs.backup
        for x, value in zip(*columns(ledger, place * per_metre, right - left), strict=True):
            y = middle + sign * max(float(value) * scale, 1.0)
            surfaces.append(
                paper.box(line, left + float(x), min(y, middle), left + float(x) + COLUMN, max(y, middle), line, 1.0)
            )
        labels.append(
            Label(text=line, at=paper.at(left, middle + sign * 0.5 * (middle - top)), towards=(-1.0, 0.0), rank=0,
                  must=True, strong=True, offset=10.0, colour=line, size="small")
        )
    if peak > 0.0:
        for tick in paper.ticks(0.0, from_si(peak, unit, "line energy"), 2)[1:]:
            for sign in (-1.0, 1.0):
                y = middle + sign * tick * _factor(unit) * scale
                wires.append(paper.line("grid", [(left, y), (right, y)], "rule", 1.2, nearer=0.5, quiet=True))
                labels.append(
                    Label(text=f"{tick:g} {unit}", at=paper.at(left, y), towards=(1.0, 1.0), rank=1,
                          must=True, size="small", offset=4.0)
                )
    else:
        labels.append(Label(text="no rub", at=paper.at(0.5 * (left + right), middle), rank=1, must=True, offset=10.0))
    wires.append(paper.line("line", [(left, middle), (right, middle)], "ink", 2.0))
    length = from_si(layout.main_length, measures.long_unit, "length")
    for tick in paper.ticks(0.0, length, 10):
        x = left + (right - left) * tick / length
        wires.append(paper.line("tick", [(x, bottom), (x, bottom - 8)], "quiet", 1.6, quiet=True))
        text = f"{tick:g} {measures.long_unit} from A" if tick == 0.0 else f"{tick:g}"
        labels.append(Label(text=text, at=paper.at(x, bottom), size="small", rank=0, must=True, offset=4.0))
    return Panel(
        name=name, frame=frame, camera=paper.camera(size), surfaces=tuple(surfaces), wires=tuple(wires),
        symbols=tape_row(layout, left, per_metre, bottom - 14.0), labels=tuple(labels), caption=caption,
    )


def tape_row(layout: Layout, left: float, per_metre: float, y: float) -> tuple[Symbols, ...]:
    """Symbols of the tapes in a row, smaller where they would grow together."""
    size = float(np.clip(0.5 * per_metre * np.median(layout.bays_main), 4.0, 14.0))
    groups = []
    for family in dict.fromkeys(tape.family for tape in layout.tapes):
        chosen = [k for k, tape in enumerate(layout.tapes) if tape.family == family]
        points = np.array([paper.at(left + float(layout.tape_main[k]) * per_metre, y, 3.0) for k in chosen])
        look = tape_look(family)
        groups.append(Symbols(name=family, points=points, symbol=look.symbol, colour=look.colour, size=size))
    return tuple(groups)


def _factor(unit: str) -> float:
    """Size of a unit of rub.  [J/m]"""
    return 1.0 / from_si(1.0, unit, "line energy")
