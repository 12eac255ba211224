"""From straight above: ground, line, where nobody falls, the worst places, north, and the anchors' coordinates."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.clearance import Cause, Finding
from linescope.clearance.ranked import places
from linescope.notes import Quantity, Spot, Stretches, Verbatim
from linescope.stage import ground, relief, worst
from linescope.stage.board import (
    BODY,
    EDGE,
    FOOT,
    HEAD,
    NOTE,
    WIDE,
    Board,
    Frame,
    cased,
    disc,
    measured,
    patterned,
    stroke,
)
from linescope.stage.camera import Camera, parallel_fit
from linescope.stage.ink import Area, Disc, Ink, Keep, Line, Point, Row, Tag, Text, View
from linescope.stage.items import Panel
from linescope.stage.page import Brief
from linescope.terrain.located import Located, located
from linescope.topics.clearance.leading import verdict
from linescope.topics.falls.picture_zones import HIT, KEPT, NEAR, Zone, left_over, zones_of
from linescope.topics.state import picture_overview as overview
from linescope.words.frame import state_label

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])

TALL, LIST = 1340.0, 600.0  # Of the picture, and width of the list at the right [px].
FRAME: Frame = (0.0, HEAD, WIDE - LIST, TALL - 2.0 * FOOT - 8.0)
ROOM: Frame = (0.6 * EDGE, HEAD + 4.0, WIDE - LIST - 0.3 * EDGE, FRAME[3] - 4.0)
MARGIN = (0.06, 0.08, 0.06, 0.08)
STRIP = 22.0  # Width of the zones along the line [px].
MARK = 41.0  # A numbered place [px].
OFF = 46.0  # Of the middle of a numbered disc from the line, at least: it hides no zone [px].
APART = 47.0  # Between the middles of two discs, at least [px].
ARROW = 92.0  # Length of the arrow to the north [px].
PLATE = 150.0  # What it stands on [px].
TOLD = 4  # Stretches of a kind that are named beside the line, at most.
LABELLED = 6  # Contours with their height, at most.


@dataclass(frozen=True, eq=False, kw_only=True)
class Above:
    """Places of the rig's frame on the page, seen from straight above with the line lying from left to right.

    Attributes
    ----------
    camera : Camera
    """

    camera: Camera

    def page(self, points: Floats) -> Floats:
        """(n, 2) points of the page.  [px]

        Parameters
        ----------
        points : (n, 3) array
            [m]
        """
        left, top, right, bottom = FRAME
        seen = self.camera.project(points, (right - left, bottom - top))
        return np.asarray(seen[:, :2] + np.array([left, top]))

    def way(self, direction: Floats) -> Floats:
        """(2,) unit vector on the page, y down, of a horizontal direction.  [-]"""
        right, up, _ = self.camera.axes()
        seen = np.array([direction @ right, -(direction @ up)])
        return np.asarray(seen / np.linalg.norm(seen))

    @property
    def scale(self) -> float:
        """[px/m]"""
        return (FRAME[3] - FRAME[1]) / (2.0 * self.camera.half_height)


def board(brief: Brief) -> Board:
    """The plan at the left, coordinates and worst places as a list beside it.

    Parameters
    ----------
    brief : Brief
    """
    words, rig, clearance = brief.measures, brief.study.rig, brief.study.clearance or None
    title, message = verdict(brief.study, brief.solution, places(clearance), brief.measures)
    found = worst.places(clearance)
    here = located(rig.ground, rig.origin)
    above = seen(brief, tuple(each.worst for each in found))
    land = None
    if brief.ground is not None:
        land = relief.relief(
            brief.ground, rig, brief.theme, relief.swept(brief.study), words.long_metres, level=_level(brief, here),
            above=True,
        )
    view = View(frame=FRAME, panel=Panel(
        name="above", frame=(0.0, 0.0, 1.0, 1.0), camera=above.camera, surfaces=land.surfaces if land else (),
        wires=land.wires if land else (),
    ))  # fmt: skip
    zones = along(brief)
    return Board(
        name="from-above", title=title, loud=message == "alarm", height=TALL,
        under=words.say(
            "clearance-above-under", name=Verbatim(rig.name), span=Quantity(rig.span, "length"),
            state=Verbatim(state_label(brief.solution, words)),
        ),
        ink=(
            view, *_areas(brief, above), *_line(brief, above, zones), *_worst(brief, above, found),
            *(_heights(brief, above, land, here) if land else ()), *_north(brief, above, here), *_scale(brief, above),
            *_list(brief, found, here), _key(brief, zones),
        ),
        key=overview.land_key(brief, land, blank=True),
    )


def seen(brief: Brief, causes: tuple[Cause, ...] = ()) -> Above:
    """From where the whole line and the places that are told fill the frame.

    Parameters
    ----------
    brief : Brief
    causes : tuple of Cause
    """
    rig = brief.study.rig
    forwards = ground.plan_direction(rig)
    shown = [np.array([rig.main_a, rig.main_b]), brief.solution.main.sample(8).points]
    shown += [np.array([cause.point, cause.nearest]) for cause in causes]
    if brief.ground is not None:  # The eye is above all of it.
        tall = np.asarray(brief.ground.picture.vertices)[:, 2]
        middle = 0.5 * (rig.main_a + rig.main_b)
        shown.append(np.array([[*middle[:2], tall.min()], [*middle[:2], tall.max()]]))
    left, top, right, bottom = FRAME
    return Above(camera=parallel_fit(
        np.concatenate(shown), look=-UP, up=np.cross(UP, forwards), aspect=(right - left) / (bottom - top),
        margin=MARGIN,
    ))  # fmt: skip


def _level(brief: Brief, here: Located | None) -> float:
    """Where the rig's frame has height zero of the datum; without one, that of the scene.  [m]"""
    rig = brief.study.rig
    if here is None:
        return -float(rig.origin[2])
    return float(rig.main_a[2] - here.degrees(np.asarray(rig.main_a)[None])[0, 2])


# The line


def along(brief: Brief) -> tuple[Zone, ...]:
    """Stretches of the line by what a fall there leaves, as in the section of falls; without falls, the clearance's.

    Parameters
    ----------
    brief : Brief
    """
    study = brief.study
    if brief.ground is None:
        return ()
    if study.fall_sweep and study.rig.walker is not None:
        sweep = study.lower(study.fall_sweep)
        return zones_of(brief, sweep.at, left_over(brief, sweep))
    clearance = study.clearance or None
    return () if clearance is None else tuple(
        Zone(kind=NEAR, start=zone.from_a[0], end=zone.from_a[1]) for zone in clearance.no_fall_zones
    )


def _line(brief: Brief, above: Above, zones: tuple[Zone, ...]) -> list[Ink]:
    """The zones on the straight line, the main over them, both anchors, and the stretches in words."""
    theme, rig = brief.theme, brief.study.rig
    chord = (rig.main_b - rig.main_a) / rig.span
    ends = above.page(np.array([rig.main_a, rig.main_b]))
    (left, level), (right, _) = ends.tolist()
    ink: list[Ink] = [Keep(frame=(left, level - 0.5 * STRIP, right, level + 0.5 * STRIP), firm=True)]
    for zone in zones:
        (x0, y), (x1, _) = above.page(rig.main_a + np.array([[zone.start], [zone.end]]) * chord)
        ink += patterned((float(x0), float(y) - 0.5 * STRIP, float(x1), float(y) + 0.5 * STRIP), zone.kind, theme)
    ink += [
        stroke(ends, theme.colours["quiet"], theme.thin, dash=10.0, quiet=True),
        *cased(above.page(brief.solution.main.sample(24).points), "main", 5.0, theme),
        *disc((float(ends[0, 0]), float(ends[0, 1])), "A", theme),
        *disc((float(ends[1, 0]), float(ends[1, 1])), "B", theme),
    ]
    for kind in (HIT, NEAR):
        longest = sorted((zone for zone in zones if zone.kind == kind), key=lambda zone: zone.start - zone.end)[:TOLD]
        for zone in longest:
            (x, y), = above.page(rig.main_a + 0.5 * (zone.start + zone.end) * chord[None])
            ink.append(Tag(
                text=brief.measures.say("clearance-above-stretch", stretches=Stretches(((zone.start, zone.end),))),
                at=(float(x), float(y)), size=BODY, room=ROOM, towards=(0.0, 1.0), offset=STRIP,
                strong=kind == HIT, rank=2 if kind == HIT else 3, must=kind == HIT,
                colour=theme.colours["ink"], halo=theme.colours["paper"],
            ))
    return ink


def _areas(brief: Brief, above: Above) -> list[Ink]:
    """Names of the named areas; their borders are on the ground."""
    theme = brief.theme
    return [
        Tag(
            text=label.text, at=(float(x), float(y)), size=BODY, room=ROOM, towards=(0.0, 1.0), offset=6.0, rank=4,
            must=True, colour=theme.colours["ink"], halo=theme.colours["paper"],
        )
        for label in overview.area_labels(brief) for x, y in above.page(label.at[None])
    ]


def _worst(brief: Brief, above: Above, found: tuple[Finding, ...]) -> list[Ink]:
    """A point at each place, its number on a disc beside it, and a stroke to the ground where that is not below."""
    theme, rig = brief.theme, brief.study.rig
    taken = [(float(x), float(y)) for x, y in above.page(np.array([rig.main_a, rig.main_b]))]
    line = taken[0][1]
    strokes: list[Ink] = []
    marks: list[Ink] = []
    for finding in found:
        role = "state" if finding.is_met else "alarm"
        place, ((x, y),) = spot(above, finding.worst), above.page(np.asarray(finding.worst.nearest)[None])
        at = next((
            each for each in _around(place)
            if abs(each[1] - line) >= OFF and all(math.dist(each, other) >= APART for other in taken)
        ), place)
        taken.append(at)
        strokes += [
            Line(points=(place, (float(x), float(y))), colour=theme.colours[role], width=2.0, dash=6.0),
            Line(points=(place, at), colour=theme.colours[role], width=3.0),
        ]
        marks += [*_dot(place, role, brief), *disc(at, str(finding.rank), theme, MARK, role)]
    return [*strokes, *marks]


def spot(above: Above, cause: Cause) -> Point:
    """Where a place is marked: where it is, or, where it reaches the ground, there.

    Parameters
    ----------
    above : Above
    cause : Cause
    """
    (x, y), = above.page(np.asarray(cause.point if cause.distance > 0.0 else cause.nearest)[None])
    return float(x), float(y)


def _dot(at: Point, role: str, brief: Brief) -> list[Ink]:
    colours = brief.theme.colours
    return [Disc(at=at, radius=9.0, colour=colours["casing"]), Disc(at=at, radius=6.5, colour=colours[role])]


def _around(place: Point) -> list[Point]:
    """A place, and others round it, the nearest first, below before above."""
    found = [place]
    for reach in (56.0, 84.0, 120.0, 160.0):
        for turn in (90, 60, 120, 270, 240, 300, 30, 150, 0, 180):
            x, y = place[0] + reach * math.cos(math.radians(turn)), place[1] + reach * math.sin(math.radians(turn))
            if FRAME[0] + MARK < x < FRAME[2] - MARK and FRAME[1] + MARK < y < FRAME[3] - MARK:
                found.append((x, y))
    return found


# Ground, north and scale


def _heights(brief: Brief, above: Above, land: relief.Relief, here: Located | None) -> list[Ink]:
    """The heights of some bold contours, at places where they do not crowd."""
    level, bold, theme = _level(brief, here), 5.0 * land.step, brief.theme
    points = [wire.points for wire in land.wires if wire.name == "contour bold"]
    if not points:
        return []
    places = np.concatenate(points).reshape(-1, 2, 3)[:, 0]
    page = above.page(places)
    left, top, right, bottom = FRAME
    inside = (page[:, 0] > left + 90) & (page[:, 0] < right - 90) & (page[:, 1] > top + 40) & (page[:, 1] < bottom - 60)
    inside &= (page[:, 0] > left + EDGE + PLATE + 60) | (page[:, 1] > top + PLATE + 40)
    (_, middle), *_ = above.page(np.asarray(brief.study.rig.main_a)[None])
    inside &= np.abs(page[:, 1] - middle) > 110.0
    taken: list[Floats] = []
    ink: list[Ink] = []
    height = np.rint((places[:, 2] - level) / bold)
    for number in np.unique(height[inside]).tolist():
        for at in page[inside & (height == number)]:
            if len(ink) < LABELLED and all(abs(at[0] - x) > 150.0 or abs(at[1] - y) > 60.0 for x, y in taken):
                taken.append(at)
                ink.append(Text(
                    text=brief.measures.place(number * bold), at=(float(at[0]), float(at[1])), size=NOTE,
                    align="middle", centred=True, colour=theme.colours["contour"], halo=theme.colours["paper"],
                ))
                break
    return ink


def _plate(frame: Frame, brief: Brief) -> list[Ink]:
    left, top, right, bottom = frame
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    return [
        Keep(frame=frame, firm=True),
        Area(points=corners, colour=brief.theme.colours["paper"], edge=brief.theme.colours["rule"], width=1.5),
    ]


def _north(brief: Brief, above: Above, here: Located | None) -> list[Ink]:
    """An arrow to true north; where that is not known, the axes of the scene."""
    theme, words = brief.theme, brief.measures
    frame = (EDGE, FRAME[1] + 10.0, EDGE + PLATE, FRAME[1] + 10.0 + PLATE)
    middle = np.array([frame[0] + 0.5 * PLATE, frame[1] + 0.5 * PLATE])
    ink = _plate(frame, brief)
    if here is not None:
        way = above.way(np.array([0.0, 1.0, 0.0]))
        across = np.array([-way[1], way[0]])
        tip, tail = middle + (0.5 * ARROW - 14.0) * way, middle - (0.5 * ARROW + 8.0) * way
        for side, role in ((1.0, "ink"), (-1.0, "casing")):
            points = (tip, tail + side * 22.0 * across, tail + 14.0 * way)
            ink.append(Area(
                points=tuple((float(x), float(y)) for x, y in points), colour=theme.colours[role],
                edge=theme.colours["ink"], width=2.0,
            ))
        ink.append(_letter(words.say("clearance-above-n"), tip + 20.0 * way, brief))
        return ink
    corner = middle - 0.5 * (0.62 * ARROW) * (above.way(np.array([1.0, 0, 0])) + above.way(np.array([0, 1.0, 0])))
    for axis, name in ((np.array([1.0, 0.0, 0.0]), "x"), (np.array([0.0, 1.0, 0.0]), "y")):
        way = above.way(axis)
        across, tip = np.array([-way[1], way[0]]), corner + 0.62 * ARROW * way
        ink.append(stroke(np.array([corner, tip]), theme.colours["ink"], 3.0, quiet=True))
        ink.append(stroke(np.array([tip - 12 * way + 7 * across, tip, tip - 12 * way - 7 * across]),
                          theme.colours["ink"], 3.0, quiet=True))  # fmt: skip
        ink.append(_letter(name, tip + 18.0 * way, brief))
    return ink


def _letter(text: str, at: Floats, brief: Brief) -> Text:
    return Text(text=text, at=(float(at[0]), float(at[1])), size=BODY, align="middle", centred=True, strong=True,
                colour=brief.theme.colours["ink"])  # fmt: skip


def _scale(brief: Brief, above: Above) -> list[Ink]:
    """A round length, in a corner of its own."""
    length, text = brief.measures.round_length(300.0 / above.scale)
    wide = length * above.scale
    frame = (EDGE, FRAME[3] - 74.0, EDGE + max(wide, 90.0) + 40.0, FRAME[3] - 4.0)
    x, y = EDGE + 20.0, FRAME[3] - 22.0
    colour = brief.theme.colours["ink"]
    return [
        *_plate(frame, brief), *measured((x, y), (x + wide, y), colour),
        Text(text=text, at=(x, y - 32.0), size=NOTE, centred=True, colour=colour),
    ]


# The list


def _list(brief: Brief, found: tuple[Finding, ...], here: Located | None) -> list[Ink]:
    """Where the anchors are, and what the numbers mean."""
    words, theme = brief.measures, brief.theme
    left = WIDE - LIST + 30.0
    entries: list[tuple[tuple[Ink, ...], float, Text]] = []

    def add(text: str, size: float = NOTE, *, strong: bool = False, colour: str = "ink") -> None:
        text_ = Text(text=text, at=(0.0, 0.0), size=size, strong=strong, colour=theme.colours[colour])
        entries.append(((), 0.0, text_))

    for text, strong in coordinates(brief, here):
        add(text, BODY if strong else NOTE, strong=strong)
    if found:
        add(words.say("clearance-above-worst"), BODY, strong=True)
    for finding in found:
        add(worst.sentence(finding, words), colour="ink" if finding.is_met else "alarm")
    if more := worst.rest(brief.study.clearance or None, words):
        add(more)
    rule = Line(points=((left - 20.0, HEAD), (left - 20.0, FRAME[3])), colour=theme.colours["rule"], width=1.5,
                quiet=True)  # fmt: skip
    return [rule, Row(frame=(left, HEAD + 2.0, WIDE - EDGE, FRAME[3]), entries=tuple(entries), down=True, gap=5.0)]


def coordinates(brief: Brief, here: Located | None) -> list[tuple[str, bool]]:
    """The anchors' places in words, and whether each line is a heading.

    Parameters
    ----------
    brief : Brief
    here : Located or None
    """
    words, rig = brief.measures, brief.study.rig
    ends = np.array([rig.main_a, rig.main_b])
    said: list[tuple[str, bool]] = []
    if here is None:
        said.append((words.say("clearance-above-unknown"), True))
        for name, point in zip("AB", (ends + np.asarray(rig.origin)).tolist(), strict=True):
            x, y, z = (Spot(value) for value in point)
            said.append((words.say("clearance-above-scene", anchor=name, x=x, y=y, z=z), False))
        said.append((words.say("clearance-above-scene-basis"), False))
        return said
    degrees = here.degrees(ends)
    crs = here.projection()
    plan = None if crs is None else here.projected(ends, crs)
    for k, name in enumerate("AB"):
        longitude, latitude, height = degrees[k].tolist()
        said.append((words.say("map-anchor", anchor=name), True))
        said.append((words.say(
            "clearance-above-degrees", latitude=words.coordinate(abs(latitude), 6),
            longitude=words.coordinate(abs(longitude), 6), north="yes" if latitude >= 0.0 else "no",
            east="yes" if longitude >= 0.0 else "no",
        ), False))
        if plan is not None:
            east, north = (words.coordinate(value, 1) for value in plan[k].tolist())
            said.append((words.say("clearance-above-plan", east=east, north=north), False))
        said.append((words.say("clearance-above-height", height=Spot(height)), False))
    way = ends[1] - ends[0]
    bearing = math.atan2(way[0], way[1]) % (2.0 * math.pi)
    said.append((words.say("clearance-above-bearing", bearing=Quantity(bearing, "angle", digits=3)), False))
    if crs is not None:
        said.append((words.say("clearance-above-system", system=Verbatim(crs.name)), False))
    told = "yes" if here.heights else "no"
    said.append((words.say("clearance-above-datum", told=told, datum=Verbatim(here.heights)), False))
    return said


def _key(brief: Brief, zones: tuple[Zone, ...]) -> Row:
    """What the line and its zones are, above the key of the ground."""
    words, theme = brief.measures, brief.theme
    stroke_ = Line(points=((0.0, 0.0), (50.0, 0.0)), colour=theme.colours["main"], width=5.0, quiet=True)
    entries: list[tuple[tuple[Ink, ...], float, Text]] = []

    def add(swatch: tuple[Ink, ...], text: str) -> None:
        said = Text(text=text, at=(0.0, 0.0), size=NOTE, centred=True, colour=theme.colours["ink"])
        entries.append((swatch, 62.0, said))

    add((stroke_,), words.say("overview-key-main"))
    for kind, name in ((HIT, "hit"), (NEAR, "near"), (KEPT, "kept")):
        if any(zone.kind == kind for zone in zones):
            add(tuple(patterned((0.0, -11.0, 50.0, 11.0), kind, theme)), words.say(f"clearance-above-{name}"))
    bottom = TALL - FOOT
    return Row(frame=(EDGE, bottom - FOOT, WIDE - EDGE, bottom), entries=tuple(entries))
