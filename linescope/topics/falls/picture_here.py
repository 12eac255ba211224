"""Nobody falls here: a section true to scale with all its ground, how low feet get, and the line in zones under it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.clearance import NoFallZone
from linescope.notes import Quantity, Spot, Stretches, Term, Verbatim
from linescope.stage import feet, ground, paper, person, side
from linescope.stage.board import (
    BODY,
    EDGE,
    FOOT,
    HEAD,
    NOTE,
    WIDE,
    Board,
    Flat,
    Frame,
    cased,
    disc,
    measured,
    patterned,
    stroke,
)
from linescope.stage.camera import Camera
from linescope.stage.ink import Area, Ink, Keep, Line, Row, Tag, Text, View, Window
from linescope.stage.items import LegendEntry, Panel, Surface
from linescope.stage.page import Brief
from linescope.ties import first_most
from linescope.topics.clearance.leading import ground_or_water
from linescope.topics.falls import picture_near as near
from linescope.topics.falls.picture_zones import (
    HIT,
    KEPT,
    NEAR,
    UNKNOWN,
    Zone,
    left_over,
    needed,
    zones_of,
    zones_running,
    zones_under,
)

Floats = NDArray[np.float64]

TALL = 768.0  # [px]
NAMES, LIST = 226.0, 470.0  # Room for the names of the strips at the left, and for the list at the right [px].
ROW, STRIP, AXIS = 40.0, 28.0, 34.0  # Pitch and height of the strips, and room of the metres under them [px].
ROWS = 6  # Stretches in the list, at most.
MANY = 2  # Stretches in one sentence, at most.
BEYOND = 0.035  # Of the ground shown behind each anchor, of the span.
BANDS = 9  # Of the ground's cut face, paler downwards.
BARB = 22.0  # Between two strokes across what reaches the ground [px].
NARROW = 0.5  # Of the section's room: a line that takes less has the names of its curves beside it.
HANG = ("walker", 2.5, 9.0)
LOOKS = {"worst": ("ink", 5.0, 0.0), "runs": ("ink", 2.5, 4.0), "gone": ("ink", 4.0, 14.0)}
"""Role, width and dash of what feet reach hanging, and of the curves; no line of the rig has their colour.  [px]"""
SEEN = 20.0  # A body less tall on the page is not drawn [px].
BETWEEN = 18.0  # Falls in time that would lie nearer to each other are not all drawn [px].


@dataclass(frozen=True, eq=False, kw_only=True)
class _Curve:
    """How low feet get along the line, what that leaves of the ground, and where they reach it.  [m]"""

    name: str
    points: Floats
    zones: tuple[Zone, ...]
    reached: tuple[tuple[float, float], ...]


def board(brief: Brief) -> Board:
    """The section above, the zones below, the stretches as a list beside them."""
    words, study, rig = brief.measures, brief.study, brief.study.rig
    sweep, stated, gone = study.fall_sweep, study.fall_places, study.main_gone_sweep
    if not sweep or not stated or rig.walker is None:
        return _nobody(brief)
    sweep = study.lower(sweep)
    zones = zones_of(brief, sweep.at, left_over(brief, sweep))
    curves = [_Curve(name="worst", points=sweep.low.foot, zones=zones, reached=_by_feet(brief, zones))]
    if study.running:
        runs = feet.lower_edge(study.running.floor_foot)
        zones = zones_running(brief, runs)
        curves.append(_Curve(name="runs", points=runs, zones=zones, reached=_of(zones, HIT)))
    if gone:
        edge = feet.lower_edge(gone.nothing_holds.floor.most_foot)
        zones = zones_under(brief, edge)
        curves.append(_Curve(name="gone", points=edge, zones=zones, reached=_of(zones, HIT)))
    strips = TALL - FOOT - AXIS - ROW * len(curves)
    frame = (NAMES, HEAD, WIDE - LIST, strips - 14.0)
    flat = _scale(brief, curves, frame)
    ink: list[Ink] = [
        Window(frame=(EDGE, HEAD - 6.0, WIDE - LIST + 20.0, strips - 4.0), ink=tuple(_ground(brief, flat, strips))),
        *_bodies(brief, flat, frame),
        *_curves(brief, curves, flat),
        *_expected(brief, flat),
        *_line(brief, flat),
        *_met(brief, flat, frame),
        *_words(brief, curves, flat, frame),
        *_strips(brief, curves, flat, strips),
        *_list(brief, curves),
    ]
    title, loud = _message(brief, curves)
    return Board(
        name="nobody-falls-here", title=title, loud=loud, under=words.say(
            "falls-here-under", name=Verbatim(rig.name), height=Quantity(sweep.free_fall, "length"),
            mass=Quantity(rig.walker.mass, "mass"), needed=Quantity(needed(brief), "length", "up"),
            asked="yes" if needed(brief) else "no", ways="both" if study.deeper else "one",
        ),
        height=TALL, ink=tuple(ink), key=_key(brief, curves),
    )


def _nobody(brief: Brief) -> Board:
    words = brief.measures
    return Board(
        name="nobody-falls-here", title=words.say("falls-here-none"), loud=False, under="", height=TALL,
        ink=(Text(text=words.say("study-no-walker"), at=(EDGE, HEAD + 20.0), size=BODY, width=1200.0,
                  colour=brief.theme.colours["ink"]),),
    )  # fmt: skip


def _of(zones: tuple[Zone, ...], *kinds: str) -> tuple[tuple[float, float], ...]:
    """Stretches of these kinds, neighbours joined.  [m]"""
    found: list[tuple[float, float]] = []
    for zone in zones:
        if zone.kind in kinds:
            if found and abs(found[-1][1] - zone.start) < 1e-9:
                found[-1] = (found[-1][0], zone.end)
            else:
                found.append((zone.start, zone.end))
    return tuple(found)


def _without(
    stretches: Iterable[tuple[float, float]], taken: Iterable[tuple[float, float]]
) -> tuple[tuple[float, float], ...]:
    """What is left of stretches beside others, all in their order.  [m]"""
    left = list(stretches)
    for a, b in taken:
        parts = [part for start, end in left for part in ((start, min(end, a)), (max(start, b), end))]
        left = [(start, end) for start, end in parts if end > start]
    return tuple(left)


def _onto(brief: Brief, stretches: Iterable[tuple[float, float]]) -> Term:
    """What lies straight under these stretches of the line: ground, water that stands over it, or either."""
    rig, site, land = brief.study.rig, brief.ground, brief.study.ground or None
    under_water: list[bool] = []
    for start, end in stretches:
        if site is None or land is None:
            break
        shares = np.linspace(start, end, 41) / rig.span
        line = rig.main_a + shares[:, None] * (rig.main_b - rig.main_a)
        line[:, 2] = ground.height_below(site.near, line)
        under_water += [land.is_under_water(point) for point in line[np.isfinite(line[:, 2])]]
    return ground_or_water(under_water)


def _message(brief: Brief, curves: list[_Curve]) -> tuple[str, bool]:
    """Where a fall reaches the ground, else where it comes too near; then what the loss of the main does."""
    words, span = brief.measures, brief.study.rig.span
    if brief.ground is None:
        return words.say("falls-here-unknown"), False
    worst = curves[0].zones
    gone = curves[-1].zones if curves[-1].name == "gone" else ()
    hit, close = _of(worst, HIT), _of(worst, HIT, NEAR)
    share = sum(end - start for start, end in _of(gone, HIT)) / span
    also = "all" if share > 0.98 else "part" if share > 0.0 else "none"
    if hit:
        how = "many" if len(hit) > 4 else "all" if sum(b - a for a, b in hit) > 0.98 * span else "some"
        if also == "part" and not _without(_of(gone, HIT), hit):
            also = "within"
        by = "main" if _dragged(brief, curves[0]) else "feet"
        onto, lost = _onto(brief, hit), _onto(brief, _of(gone, HIT))
        return words.say(
            "falls-here-hit", stretches=Stretches(hit), how=how, also=also, by=by,
            onto=onto, lost=Term("falls-here-it") if lost == onto else lost,
        ), True
    if also != "none":
        stretches = _of(gone, HIT)
        return words.say(
            "falls-here-lost", how=also, stretches=Stretches(stretches), onto=_onto(brief, stretches)
        ), True
    if close:
        how = "many" if len(close) > 4 else "all" if sum(b - a for a, b in close) > 0.98 * span else "some"
        return words.say("falls-here-near", stretches=Stretches(close), how=how), False
    if _of(worst, UNKNOWN):
        return words.say("falls-here-part", stretches=Stretches(_of(worst, UNKNOWN))), False
    least = np.nanmin(left_over(brief, brief.study.fall_places or brief.study.fall_sweep))  # type: ignore[arg-type]
    return words.say("falls-here-kept", left=Quantity(float(least), "length", "down"),
                     asked="yes" if needed(brief) else "no"), False  # fmt: skip


def _plane(brief: Brief, points: Floats) -> tuple[Floats, Floats]:
    """Horizontal metres along the line from anchor A, and height over it."""
    rig = brief.study.rig
    moved = np.atleast_2d(points) - rig.main_a
    return moved @ ground.plan_direction(rig), moved[:, 2]


def _scale(brief: Brief, curves: list[_Curve], frame: tuple[float, float, float, float]) -> Flat:
    """As large as shows the line, all curves and all the ground in the frame."""
    left, top, right, bottom = frame
    shown = [side.chord_of(brief), *(curve.points for curve in curves), *_section(brief)]
    at, height = _plane(brief, np.concatenate(shown))
    low, high = float(height.min()), max(float(height.max()), 0.0)
    head = 44.0
    scale = min((right - left) / float(np.ptp(at)), (bottom - top - head - 6.0) / (high - low))
    spare = (right - left) - scale * float(np.ptp(at))
    return Flat(scale=scale, left=left + 0.5 * spare - scale * float(at.min()), top=top + head + scale * high)


def _section(brief: Brief) -> tuple[Floats, ...]:
    """The ground under the line and a little beyond both anchors.  [m]"""
    if brief.ground is None:
        return ()
    run = float(np.linalg.norm((brief.study.rig.main_b - brief.study.rig.main_a)[:2]))
    return ground.section(brief.ground.near, brief.study.rig, -BEYOND * run, (1.0 + BEYOND) * run)


def _ground(brief: Brief, flat: Flat, bottom: float) -> list[Ink]:
    """The cut face, paler downwards, with its edge; water where there is some."""
    theme, ink = brief.theme, list[Ink]()
    runs = _section(brief)
    if not runs:
        return ink
    rgb, paper_ = np.array(theme.rgb("ground"), float), np.array(theme.rgb("paper"), float)
    step = 20.0
    for band in range(BANDS, -1, -1):
        mixed = rgb + (paper_ - rgb) * (band / BANDS) ** 0.8
        colour = "#" + "".join(f"{round(c):02x}" for c in mixed)
        for run in runs:
            page = flat.page(*_plane(brief, run))
            upper = page + np.array([0.0, band * step])
            lower = page + np.array([0.0, (band + 1) * step + 1.0])
            outline = np.concatenate([upper, lower[::-1]])
            ink.append(Area(points=tuple((float(x), float(y)) for x, y in outline), colour=colour))
    for run in runs:
        ink.append(stroke(flat.page(*_plane(brief, run)), theme.colours["ground_edge"], 4.5))
    for height in brief.ground.water_levels if brief.ground is not None else ():
        for pool in (pool for run in runs for pool in ground.pools(run, height)):
            ink.append(stroke(flat.page(*_plane(brief, pool)), theme.colours["water"], 9.0, quiet=True))
    return ink


def _line(brief: Brief, flat: Flat) -> list[Ink]:
    """The main with the walker at each place in turn, and the anchors."""
    theme, sweep = brief.theme, brief.study.fall_sweep
    assert sweep
    chord = side.chord_of(brief)
    ends = flat.page(*_plane(brief, chord))
    stood = np.concatenate([chord[:1], sweep.ring_standing, chord[1:]])
    return [
        *cased(flat.page(*_plane(brief, stood)), "main", theme.main_width * 0.8, theme),
        *disc((float(ends[0, 0]), float(ends[0, 1])), "A", theme, 40.0),
        *disc((float(ends[1, 0]), float(ends[1, 1])), "B", theme, 40.0),
    ]


def _curves(brief: Brief, curves: list[_Curve], flat: Flat) -> list[Ink]:
    """Feet hanging, in the worst fall, with a ring that runs, with the main lost.

    The worst fall is red where it reaches the ground.  A dashed curve has one colour from end to end, or its parts
    would be taken for two things: where those reach the ground the strips say.
    """
    theme, sweep = brief.theme, brief.study.fall_sweep
    assert sweep
    role, width, dash = HANG
    ink: list[Ink] = [stroke(flat.page(*_plane(brief, sweep.hang.foot)), theme.colours[role], width, dash=dash)]
    for curve in reversed(curves):
        role, width, dash = LOOKS[curve.name]
        page = flat.page(*_plane(brief, curve.points))
        ink += cased(page, role, width, theme, dash=dash)
        if dash:
            continue
        rig = brief.study.rig
        along = (curve.points - rig.main_a)[:, :2] @ (rig.main_b - rig.main_a)[:2]
        station = along / float((rig.main_b - rig.main_a)[:2] @ (rig.main_b - rig.main_a)[:2]) * rig.span
        for start, end in curve.reached:
            inside = (station > start) & (station < end)
            places = np.concatenate([[start], station[inside], [end]])
            x = np.interp(places, station, page[:, 0])
            y = np.interp(places, station, page[:, 1])
            if len(places) > 1:
                ink.append(stroke(np.column_stack([x, y]), theme.colours["alarm"], width + 2.0))
                ink += _barbs(np.column_stack([x, y]), theme.colours["alarm"])
    return ink


def _met(brief: Brief, flat: Flat, frame: Frame) -> list[Ink]:
    """Where the main can come down on the ground, in falls whose feet do not: told, for no curve of feet shows it."""
    words, theme, rig, site = brief.measures, brief.theme, brief.study.rig, brief.ground
    clearance, colour, ink = brief.study.clearance or None, brief.theme.colours["alarm"], list[Ink]()
    for zone in _drags(brief):
        if site is None or clearance is None or zone.meets is None or zone.is_within(clearance.strikes):
            continue
        low, high = zone.meets
        shares = np.linspace(low - 0.002 * rig.span, high + 0.002 * rig.span, 41) / rig.span
        line = rig.main_a + shares[:, None] * (rig.main_b - rig.main_a)
        line[:, 2] = ground.height_below(site.near, line)
        line = line[np.isfinite(line[:, 2])]
        line = line[line[:, 2] > line[:, 2].max() - 0.01 * rig.span] if len(line) else line  # No wall beside it.
        page = flat.page(*_plane(brief, line))
        if len(page) < 2:
            continue
        ink += [stroke(page, theme.colours["casing"], 13.0), stroke(page, colour, 8.0), *_barbs(page, colour)]
        at, *others = ((float(x), float(y)) for x, y in page[[len(page) // 2, 0, -1]])
        ink.append(Tag(
            text=words.say("falls-here-meets"), at=at, others=tuple(others), size=NOTE, room=frame, towards=(0.4, 1.0),
            rank=0, strong=True, colour=colour, halo=theme.colours["paper"], offset=10.0,
        ))
    return ink


def _barbs(page: Floats, colour: str) -> list[Ink]:
    """Short strokes across a curve, which tell it from another part of it without colour."""
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(page, axis=0).T))])
    found: list[Ink] = []
    for at in np.arange(0.5 * BARB, float(run[-1]), BARB).tolist():
        x, y = (float(np.interp(at, run, page[:, axis])) for axis in (0, 1))
        found.append(Line(points=((x - 5.0, y + 10.0), (x + 5.0, y - 10.0)), colour=colour, width=3.0, quiet=True))
    return found


def _expected(brief: Brief, flat: Flat) -> list[Ink]:
    """What is expected in time at stated places, from the highest feet to the lowest; nothing where it is not known."""
    found = brief.study.fall_in_time if brief.study.in_time else None
    if not found:
        return []
    colour, ink, level = brief.theme.colours["leash"], list[Ink](), brief.study.rig.main_a[2]
    middle = np.array([each.outcome.foot_lowest for each in found.happened])
    at, depth = _plane(brief, middle)
    shown = flat.page(at, depth)
    highest = flat.page(at, found.foot_lowest.high - level)
    lowest = flat.page(*_plane(brief, found.foot_point))  # Where tapes go the ring runs on: that may lie far off.
    drawn: list[float] = []
    for (x, y), up, down in zip(shown.tolist(), highest.tolist(), lowest.tolist(), strict=True):
        if all(abs(x - other) >= BETWEEN for other in drawn):
            drawn.append(x)
            ink.append(Line(points=(tuple(up), (x, y), tuple(down)), colour=colour, width=3.0))
            ink.append(Line(points=((x - 8.0, y), (x + 8.0, y)), colour=colour, width=6.0))
    return ink


def _bodies(brief: Brief, flat: Flat, frame: tuple[float, float, float, float]) -> list[Ink]:
    """Who hangs where the worst falls end, where he is tall enough on the page."""
    stated, rig = brief.study.fall_places, brief.study.rig
    assert stated
    assert rig.walker is not None
    stated = brief.study.lower(stated)
    if rig.walker.height * flat.scale < SEEN:
        return []
    forwards = ground.plan_direction(rig)
    surfaces: list[Surface] = []
    ink: list[Ink] = []
    for place in near.places(stated, left_over(brief, stated)):
        body, wires = person.hanging(
            rig.walker.stretched(float(stated.low.stretch[place])), stated.low.ring[place], forwards, rig.main,
        )
        surfaces.append(body[0])
        for wire in wires:
            ink.append(stroke(flat.page(*_plane(brief, wire.points)), brief.theme.colours["leash"], 2.5))
    left, top, right, bottom = frame
    middle = np.array([0.5 * (left + right) - flat.left, flat.top - 0.5 * (top + bottom)]) / flat.scale
    target = rig.main_a + middle[0] * forwards + middle[1] * side.UP
    look = np.cross(side.UP, forwards)
    camera = Camera(eye=target - 200.0 * look, target=target, up=side.UP, half_height=0.5 * (bottom - top) / flat.scale)
    return [*ink, View(frame=frame, panel=Panel(name="bodies", frame=(0, 0, 1, 1), camera=camera,
                                                surfaces=tuple(surfaces)))]  # fmt: skip


def _words(brief: Brief, curves: list[_Curve], flat: Flat, frame: tuple[float, float, float, float]) -> list[Ink]:
    """What each curve is, on it; and the lowest foot."""
    words, theme, study = brief.measures, brief.theme, brief.study
    sweep, stated, rig = study.fall_sweep, study.fall_places, study.rig
    assert sweep
    assert stated
    stated = study.lower(stated)
    room = (frame[0], frame[1], frame[2], frame[3])
    ink: list[Ink] = []
    wide = min(420.0, max(230.0, 0.6 * flat.scale * rig.span))  # Between the walls of a narrow gorge.

    def tag(text: str, points: Floats, colour: str, towards: tuple[float, float], *, strong: bool = False,
            rank: int = 3, offset: float = 10.0) -> None:  # fmt: skip
        at, *others = ((x, y) for x, y in flat.page(*_plane(brief, points)).tolist())
        ink.append(Tag(
            text=text, at=at, others=tuple(others), size=BODY if strong else NOTE, room=room, towards=towards,
            rank=rank, strong=strong, colour=theme.colours[colour], halo=theme.colours["paper"], offset=offset,
            width=wide,
        ))

    below = rig.below_anchors(stated.low.foot)
    k = first_most(below)
    deep = Quantity(float(below[k]), "length", "up")
    tag(
        words.say(
            "falls-here-lowest", depth=deep, place=Spot(float(stated.at[k])),
            zoned="yes" if any(a <= stated.at[k] <= b for a, b in _of(curves[0].zones, HIT)) else "no",
        ), stated.low.foot[k], "ink",
        (0.5, -1.0), strong=True, rank=1,
    )
    if flat.scale * rig.span < NARROW * (frame[2] - frame[0]):
        ink.append(_beside(brief, curves, flat, frame))
    else:
        tag(words.say("falls-here-hang"), _spots(sweep.hang.foot, 0.33), "walker", (0.3, 1.0), rank=4)
        tag(words.say("falls-here-main"), _spots(sweep.ring_standing, 0.7), "main", (0.3, 1.0), rank=5)
        for curve in curves[1:]:
            spots = _spots(curve.points, 0.62 if curve.name == "gone" else 0.30)
            tag(words.say(f"falls-here-{curve.name}"), spots, "ink", (0.4, -1.0), rank=2)
    length, text = words.round_length(0.16 * (frame[2] - frame[0]) / flat.scale)
    x, y = frame[2] - length * flat.scale - 8.0, HEAD + 16.0
    ink += measured((x, y), (x + length * flat.scale, y), theme.colours["ink"])
    ink.append(Text(text=text, at=(x - 12.0, y), size=NOTE, align="right", centred=True, colour=theme.colours["ink"]))
    return ink


def _spots(points: Floats, share: float) -> Floats:
    """(n, 3) places along a curve that its name may stand at, that share of the way first.  [m]"""
    shares = np.concatenate([[share], np.linspace(0.15, 0.85, 15)])
    return np.asarray(points[(shares * (len(points) - 1)).astype(int)])


def _beside(brief: Brief, curves: list[_Curve], flat: Flat, frame: tuple[float, float, float, float]) -> Row:
    """The curves' names at the right of a section between whose walls they have no room, each behind a piece of it."""
    words, theme = brief.measures, brief.theme
    names = [("hang", *HANG), *((curve.name, *LOOKS[curve.name]) for curve in curves[1:])]
    entries = []
    for name, role, width, dash in names:
        piece = Line(points=((0.0, 15.0), (64.0, 15.0)), colour=theme.colours[role], width=width, dash=dash, quiet=True)
        text = Text(text=words.say(f"falls-here-{name}"), at=(0.0, 0.0), size=NOTE, colour=theme.colours["ink"])
        entries.append(((piece,), 78.0, text))
    edge = float(flat.page(*_plane(brief, np.concatenate(_section(brief) or (side.chord_of(brief),))))[:, 0].max())
    return Row(frame=(edge + 40.0, HEAD + 64.0, frame[2], frame[3]), entries=tuple(entries), down=True, gap=12.0)


def _strips(brief: Brief, curves: list[_Curve], flat: Flat, top: float) -> list[Ink]:
    """The line as a strip for each curve, on the metres of the section, with metres from anchor A under them."""
    words, theme, rig = brief.measures, brief.theme, brief.study.rig
    run = float(np.linalg.norm((rig.main_b - rig.main_a)[:2]))

    def x(place: float) -> float:
        return flat.left + flat.scale * run * place / rig.span

    ink: list[Ink] = [Keep(frame=(EDGE, top - 4.0, WIDE - LIST + 24.0, TALL - FOOT), firm=True)]
    for row, curve in enumerate(curves):
        y = top + row * ROW
        ink.append(Text(
            text=words.say(f"falls-here-strip-{curve.name}"), at=(x(0.0) - 14.0, y + 0.5 * STRIP), size=NOTE,
            align="right", centred=True, colour=theme.colours["ink"], width=x(0.0) - 14.0 - EDGE, most=1,
        ))
        for zone in curve.zones:
            ink += patterned((x(zone.start), y, x(zone.end), y + STRIP), zone.kind, theme)
    bottom = top + ROW * len(curves) - ROW + STRIP
    unit = words.long_metres
    colour = theme.colours["ink"]
    ink.append(Text(text=words.say("falls-here-axis", unit=words.long_unit), at=(x(0.0) - 14.0, bottom + 20.0),
                    size=NOTE, align="right", centred=True, colour=colour))  # fmt: skip
    for value in paper.ticks(0.0, rig.span / unit, 10):
        place = value * unit
        ink.append(Line(points=((x(place), bottom), (x(place), bottom + 7.0)), colour=colour, width=2.0, quiet=True))
        ink.append(Text(text=words.tick(value), at=(x(place), bottom + 21.0), size=NOTE, align="middle", centred=True,
                        colour=colour))  # fmt: skip
    return ink


def _by_feet(brief: Brief, zones: tuple[Zone, ...]) -> tuple[tuple[float, float], ...]:
    """From where a fall takes who falls to the ground, as the clearance says; else what zones of falls say.  [m]"""
    clearance = brief.study.clearance or None
    if clearance is None or not clearance.drags:
        return _of(zones, HIT)
    return tuple(zone.from_a for zone in clearance.strikes)


def _drags(brief: Brief) -> tuple[NoFallZone, ...]:
    clearance = brief.study.clearance or None
    return () if clearance is None else clearance.drags


def _dragged(brief: Brief, worst: _Curve) -> tuple[tuple[float, float], ...]:
    """From where a fall drags the main, but not feet, onto the ground, beside what is told of feet.  [m]"""
    return _without((zone.from_a for zone in _drags(brief)), _widened(worst.reached, brief.measures.place_step))


def _list(brief: Brief, curves: list[_Curve]) -> list[Ink]:
    """Where nobody must fall, to be read out: from both anchors."""
    words, theme, span = brief.measures, brief.theme, brief.study.rig.span
    left = WIDE - LIST + 46.0
    wide = WIDE - EDGE - left
    entries: list[tuple[tuple[Ink, ...], float, Text]] = []

    def add(text: str, size: float, role: str, *, strong: bool = False, beside: str = "") -> None:
        colour = theme.colours[role]
        second = (Text(text=beside, at=(0.54 * wide, 0.0), size=size, colour=colour),) if beside else ()
        entries.append((second, 0.0, Text(text=text, at=(0.0, 0.0), size=size, strong=strong, colour=colour)))

    room, step = ROWS, words.place_step
    hit, close = _of(curves[0].zones, HIT), _of(curves[0].zones, NEAR)
    # Told widened, what can reach the ground covers the edge of what comes too near beside it, from either anchor.
    wide_hit, wide_from_b = (_widened(each, step) for each in (hit, _from_b(hit, span)))
    meets = Stretches(tuple(zone.meets for zone in _drags(brief) if zone.meets is not None))
    dragged = _dragged(brief, curves[0])
    for role, name, stretches in (
        ("alarm", "hit", hit), ("ink", "near", _without(close, wide_hit)),
        ("ink", "part", _without(_of(curves[0].zones, UNKNOWN), wide_hit)),
    ):
        if not stretches:
            continue
        if dragged and name == "near" and len(hit) + len(stretches) > MANY:  # What is said below is worth the room.
            add(words.say("falls-here-list-near-hatched", stretches=Stretches(tuple(stretches))), NOTE, role)
            continue
        by = "main" if dragged else "feet"
        add(words.say(f"falls-here-list-{name}", by=by, onto=_onto(brief, hit)), BODY, role, strong=True)
        if len(entries) == 1:
            heads = [words.say(f"falls-here-list-from-{end}", unit=words.long_unit) for end in "ab"]
            add(heads[0], NOTE, "quiet", beside=heads[1])
        shown = stretches if len(stretches) <= room else stretches[: max(room - 1, 1)]
        for stretch in shown:
            (far,) = _from_b([stretch], span)
            if name != "hit":
                far = next(iter(_without([far], wide_from_b)), far)
            ends = [words.stretch(*each).removesuffix(words.long_unit) for each in (stretch, far)]
            add(ends[0], NOTE, "ink", beside=ends[1])
        if len(shown) < len(stretches):
            add(words.say("falls-here-list-more", count=len(stretches) - len(shown)), NOTE, "ink")
        if name == "hit":
            add(words.say("falls-here-list-pass"), NOTE, "ink")
        room -= len(shown) + 1
    runs = next((_of(curve.zones, HIT) for curve in curves if curve.name == "runs"), ())
    if _without(runs, wide_hit):
        many = "many" if len(runs) > MANY else "some"
        add(words.say(f"falls-here-list-runs-{many}", stretches=Stretches(runs)), NOTE, "alarm")
    if dragged:
        many = "many" if len(dragged) > MANY else "some"
        add(words.say(f"falls-here-list-dragged-{many}", stretches=Stretches(dragged), meets=meets), NOTE, "alarm")
    gone = next((curve for curve in curves if curve.name == "gone"), None)
    if gone is not None and brief.ground is not None:
        hit = _of(gone.zones, HIT)
        share = sum(b - a for a, b in hit) / span
        most = 2 if dragged else MANY
        name = "all" if share > 0.98 else "some" if 0 < len(hit) <= most else "many" if hit else "none"
        text = words.say(f"falls-here-list-gone-{name}", stretches=Stretches(hit), onto=_onto(brief, hit))
        add(text, BODY if len(hit) < 2 else NOTE, "alarm" if hit else "ink", strong=bool(hit))
    rule = Line(points=((left - 24.0, HEAD), (left - 24.0, TALL - FOOT)), colour=theme.colours["rule"], width=1.5,
                quiet=True)  # fmt: skip
    frame = (left, HEAD + 2.0, left + wide, TALL - FOOT)
    return [rule, Row(frame=frame, entries=tuple(entries), down=True, gap=4.0)]


def _widened(stretches: Sequence[tuple[float, float]], step: float) -> list[tuple[float, float]]:
    """Stretches outward to whole steps.  [m]"""
    return [(math.floor(a / step + 1e-6) * step, math.ceil(b / step - 1e-6) * step) for a, b in stretches]


def _from_b(stretches: Sequence[tuple[float, float]], span: float) -> list[tuple[float, float]]:
    """The same stretches from B, the last one first.  [m]"""
    return [(span - b, span - a) for a, b in reversed(stretches)]


def _key(brief: Brief, curves: list[_Curve]) -> tuple[LegendEntry, ...]:
    words = brief.measures
    entries = []
    for kind, name in ((HIT, "hit"), (NEAR, "near"), (KEPT, "kept")):
        if any(zone.kind == kind for curve in curves for zone in curve.zones):
            entries.append(LegendEntry(text=words.say(f"falls-here-key-{name}"), colour=kind, symbol="block"))
    if brief.study.in_time and bool(brief.study.fall_in_time):
        entries.append(LegendEntry(text=words.say("falls-here-key-expected"), colour="leash", width=6.0))
    return tuple(entries)
