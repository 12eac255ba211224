"""The place: line, ground and danger in one block, and the verdict above it in one sentence."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
from numpy.typing import NDArray

from linescope import __version__
from linescope.clearance import Finding
from linescope.clearance.ranked import event_of, is_only_run, places
from linescope.notes import Quantity, Spot, Term, Verbatim
from linescope.stage import ground, lines, person, relief, worst
from linescope.stage.camera import Camera, perspective_fit
from linescope.stage.items import Frame, Label, LegendEntry, Panel, Stage, Symbols, Wire
from linescope.stage.page import Brief
from linescope.stage.theme import Theme
from linescope.topics.clearance.leading import named, onto, verdict
from linescope.words.frame import state_label

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])
FRAME: Frame = (0.0, 0.125, 1.0, 0.905)
APART = 22.0  # Between two ticks, at least [px].
TICK = 8.0  # Half height of a tape's tick [px].
TITLE, FIGURE, BODY, NOTE = 46.0, 34.0, 28.0, 24.0
"""Sizes of text [px of a page 2000 px wide]: the smallest is 10 points on A4."""
BESIDE = 0.03  # Of the span: nearer to a place that is told, a plumb line goes without its height.
SEEN = 20.0  # A walker less tall on the page gets a sign [px].


def look(theme: Theme) -> Theme:
    """The theme with the sizes of a picture that is read from afar."""
    return dataclasses.replace(theme, heading=TITLE, figure=FIGURE, body=BODY, small=NOTE)


def build(brief: Brief) -> Stage:
    """The rig from beside anchor A, over its ground, with at most three red places in words."""
    brief = dataclasses.replace(brief, theme=look(brief.theme))
    measures, rig = brief.measures, brief.solution.rig
    told = places(brief.study.clearance or None)
    title, message = verdict(brief.study, brief.solution, told, brief.measures)
    land = None
    if brief.ground is not None:
        land = relief.relief(brief.ground, rig, brief.theme, relief.swept(brief.study), measures.long_metres)
    block = panel(brief, named(told), land, brief.panel_size(FRAME))
    state = state_label(brief.solution, measures)
    return Stage(
        view="overview",
        title=title,
        question=measures.say(
            "overview-under", name=Verbatim(rig.name), span=Quantity(rig.span, "length"), state=Verbatim(state),
        ),
        state=state,
        alarms=(),
        panels=(block,),
        boxes=(),
        footer=measures.say("overview-footer", version=__version__, date=brief.date),
        theme=brief.theme,
        measures=measures,
        metadata={
            "Software": f"linescope {__version__}",
            "Title": rig.name,
            "Scene": rig.name,
            "State": state,
            "View": "overview",
            "Date": brief.date.isoformat(),
            "Version": __version__,
        },
        message=message,
        key=key(brief, land, every(brief, block.camera, brief.panel_size(FRAME))),
    )


MARGIN = (0.04, 0.06, 0.04, 0.12)


def panel(
    brief: Brief,
    red: tuple[Finding, ...],
    land: relief.Relief | None,
    size: tuple[float, float],
    margin: tuple[float, float, float, float] = MARGIN,
    more: tuple[Label, ...] = (),
    seen: float = SEEN,
    others: tuple[Finding, ...] = (),
) -> Panel:
    """The block with line, track, plumb lines and red places.

    Parameters
    ----------
    brief : Brief
    red : tuple of Finding
        The places told in words.
    land : Relief or None
    size : (width, height)
        Of the panel.  [px]
    margin : (left, top, right, bottom)
        Shares of it to keep free.
    more : tuple of Label
    seen : float
        A walker less tall on the page gets a sign.  [px]
    others : tuple of Finding
        Places that are marked with where they are and what happens there, in a few words.
    """
    solution, theme = brief.solution, brief.theme
    rig = solution.rig
    body, leash = person.walker(solution)
    curve, backup = solution.main.sample(24).points, solution.backup.sample(12).points
    chord = np.array([rig.main_a, rig.main_b])
    plumbs = _plumbs(brief)
    block = brief.ground is not None and getattr(brief.ground.near, "kind", "") == "profile"
    shown = [curve, backup, *(surface.points for surface in body), plumbs.reshape(-1, 3)]
    near = brief.ground.near if brief.ground else None
    spots, besides = ([worst.marked(place.worst, rig, near) for place in some] for some in (red, others))
    shown += [spot[None] for spot in (*spots, *besides)]
    if land is not None:
        shown.append(_corners(land, brief))
    camera = perspective_fit(
        np.concatenate(shown),
        look=ground.direction(rig, turn=math.radians(7 if block else 20), tilt=math.radians(16 if block else 15)),
        up=UP,
        angle=math.radians(24),
        aspect=size[0] / size[1],
        margin=margin,
    )
    wires = [
        Wire(name="chord", points=chord, colour="quiet", width=theme.thin, dashed=True),
        *lines.centre_lines(solution, theme, ring=True),
        *leash,
        *_ticks(brief, camera, size),
        *(Wire(name="plumb", points=pair, colour="quiet", width=theme.thin, dashed=True) for pair in plumbs),
    ]
    told = [float((each - rig.main_a) @ (rig.main_b - rig.main_a)) / rig.span for each in (*spots, *besides)]
    away = [float((pair[0] - rig.main_a) @ (rig.main_b - rig.main_a)) / rig.span for pair in plumbs]
    free = [all(abs(at - place) > BESIDE * rig.span for place in told) for at in away]  # Else its room is the place's.
    labels = [*_anchor_labels(brief)]
    labels += [_plumb_label(brief, camera, size, pair) for pair, alone in zip(plumbs, free, strict=True) if alone]
    labels += area_labels(brief)
    sign: tuple[Symbols, ...] = ()
    if solution.walker_point is not None and rig.walker is not None:
        per_pixel = camera.metres_per_pixel(size, solution.walker_point)
        stalk, sign = person.sign(solution, per_pixel, seen)
        wires += stalk
        head = sign[0].points[0] if sign else solution.walker_point + UP * rig.walker.height
        labels.append(_walker_label(brief, head, bool(sign)))
    if brief.ground is not None:
        wires += [
            Wire(name="track", points=run + 0.03 * UP, colour="quiet", width=2.2, dashed=True, quiet=True)
            for run in ground.section(brief.ground.near, rig, 0.0, float(np.linalg.norm(chord[1, :2] - chord[0, :2])))
        ]
    feet = np.array([pair[1] for pair in plumbs]).reshape(-1, 3)
    symbols = [
        Symbols(name=f"anchor {name}", points=point[None], symbol="disc", colour="state", size=46.0, text=name)
        for name, point in (("A", rig.main_a), ("B", rig.main_b))
    ]
    if len(feet):
        symbols.insert(0, Symbols(name="plumb feet", points=feet, symbol="disc", colour="quiet", size=11.0))
    marks = [
        Symbols(name="place", points=spot[None], symbol="disc", colour=_loud(place), size=20.0)
        for place, spot in zip(red, spots, strict=True)
    ]
    page, ends, aside = (
        camera.project(np.array(some).reshape(-1, 3), size)[:, :2] for some in (spots, chord, besides)
    )
    for place, spot, at in zip(others, besides, aside, strict=True):
        mark = Symbols(name="place besides", points=spot[None], symbol="disc", colour=_loud(place), size=13.0)
        if np.linalg.norm(at - ends, axis=1).min() > 40.0:  # Else it would stand on an anchor's letter.
            marks.append(mark)
        labels.append(Label(
            text=told_briefly(brief, place), at=spot, strong=True, rank=2, must=True, towards=(0.0, -1.0),
            colour=_written(place), offset=9.0,
        ))
    labels += [
        _red_label(brief, each, spot, -0.5 if x < size[0] / 2 else 0.5)
        for each, spot, x in zip(red, spots, page[:, 0], strict=True)
    ]
    return Panel(
        name="rig",
        frame=FRAME,
        camera=camera,
        surfaces=(*(land.surfaces if land is not None else ()), *lines.ribbons(solution, ring=True), *body),
        wires=(*(land.wires if land is not None else ()), *wires),
        symbols=(*symbols, *marks, *sign),
        labels=(*labels, *more),
    )


def _corners(land: relief.Relief, brief: Brief) -> Floats:
    """Points of the ground that the picture should hold: below the line and some way beyond both anchors."""
    rig = brief.solution.rig
    along = ground.plan_direction(rig)
    points = land.surfaces[0].points
    station = (points - rig.main_a) @ along
    side = np.abs((points - rig.main_a) @ np.array([-along[1], along[0], 0.0]))
    run = float(np.linalg.norm((rig.main_b - rig.main_a)[:2]))
    wide = 0.08 if getattr(brief.ground.near if brief.ground else None, "kind", "") == "profile" else 0.12
    near = (station > -0.05 * run) & (station < 1.05 * run) & (side < wide * run)
    kept = points[near]
    return np.asarray(kept[:: max(1, len(kept) // 3000)])


def every(brief: Brief, camera: Camera, size: tuple[float, float]) -> int:
    """Of how many tapes one has a tick: all of them, or a fifth or tenth, so that ticks do not hide the line."""
    points = brief.solution.tape_points
    if len(points) < 2:
        return 1
    page = camera.project(points, size)[:, :2]
    apart = float(np.median(np.linalg.norm(np.diff(page, axis=0), axis=1)))
    return next((step for step in (1, 5, 10, 20) if step * apart >= APART), 50)


def _ticks(brief: Brief, camera: Camera, size: tuple[float, float]) -> list[Wire]:
    """A tick for every tape, or for every fifth or tenth."""
    step = every(brief, camera, size)
    points = brief.solution.tape_points[step - 1 :: step]
    if not len(points):
        return []
    half = np.array([TICK * camera.metres_per_pixel(size, point) for point in points])[:, None] * UP
    pairs = np.stack([points - half, points + half], axis=1).reshape(-1, 3)
    return [Wire(name="tapes", points=pairs, colour="ink", width=3.5, pairs=True)]


def _plumbs(brief: Brief) -> Floats:
    """(k, 2, 3) upper and lower ends of plumb lines from main to ground at quarters of the line.  [m]"""
    if brief.ground is None:
        return np.zeros((0, 2, 3))
    curve = brief.solution.main.sample(24).points
    share = np.linspace(0.0, 1.0, len(curve))
    tops = np.column_stack([np.interp((0.25, 0.5, 0.75), share, curve[:, axis]) for axis in range(3)])
    bottoms = tops.copy()
    bottoms[:, 2] = ground.height_below(brief.ground.near, tops)
    return np.stack([tops, bottoms], axis=1)[np.isfinite(bottoms[:, 2])]


def _plumb_label(brief: Brief, camera: Camera, size: tuple[float, float], pair: Floats) -> Label:
    """How high the line is there, beside the middle of its plumb line."""
    return Label(
        text=brief.measures.say("overview-plumb", height=Quantity(float(pair[0, 2] - pair[1, 2]), "length", "down")),
        at=pair[0] + 0.55 * (pair[1] - pair[0]),
        size="body",
        strong=True,
        towards=(1.0, 0.0),
        rank=3,
        must=True,
        offset=12.0,
    )


def _anchor_labels(brief: Brief) -> list[Label]:
    solution, measures = brief.solution, brief.measures
    pulls = (("A", solution.rig.main_a, solution.tension_a), ("B", solution.rig.main_b, solution.tension_b))
    return [
        Label(
            text=measures.force(pull), at=point, size="body", strong=True, towards=(0.0, 1.0), rank=1, must=True,
            offset=30.0,
        )
        for _, point, pull in pulls
    ]


def area_labels(brief: Brief) -> list[Label]:
    """Names of the named areas, on their ground.

    Parameters
    ----------
    brief : Brief
    """
    if brief.ground is None:
        return []
    say, rig = brief.measures.say, brief.solution.rig
    return [
        Label(
            text=say("overview-area", name=Verbatim(each.name), kind=ground.area_kind(rig, each.name)),
            at=ground.area_spot(each), towards=(0.0, 1.0), rank=4, offset=4.0,
        )
        for each in brief.ground.areas
    ]


def _walker_label(brief: Brief, head: Floats, sign: bool) -> Label:
    rig, feet = brief.solution.rig, brief.solution.walker_point
    assert feet is not None
    assert rig.walker is not None
    sag = float(rig.below_anchors(feet[None])[0])
    return Label(
        text=brief.measures.say(
            "overview-walker-sag", mass=Quantity(rig.walker.mass, "mass"), sag=Quantity(sag, "length")
        ),
        at=head, size="body", strong=True, towards=(0.0, 1.0), rank=2, must=True,
        offset=0.75 * person.SIGN if sign else 8.0,
    )


def _loud(place: Finding) -> str:
    """Red only where the ground is reached."""
    return "alarm" if place.distance <= 0.0 else "ground_near"


def _written(place: Finding) -> str:
    """The same of words."""
    return "alarm" if place.distance <= 0.0 else "ink"


def told_in_words(brief: Brief, place: Finding, *alike: Finding) -> str:
    """A place that falls short, what comes too near there, and when; with others where the same happens."""
    cause, runs = place.worst, "yes" if is_only_run(place) else "no"
    return brief.measures.say(
        "overview-place-reached" if cause.distance <= 0.0 else "overview-place-near",
        place=tuple(Spot(each.worst.station) for each in (place, *alike)), event=event_of(place),
        what=Term(f"overview-what-{cause.kind}"),
        left=Quantity(max(cause.distance, 0.0), "length", "down"), needed=Quantity(cause.needed, "length", "up"),
        onto=onto(brief.study, [place, *alike]), runs=runs,
    )


def told_briefly(brief: Brief, place: Finding) -> str:
    """The same where there is no room for a sentence."""
    return brief.measures.say(
        "overview-place-besides", place=Spot(place.worst.station), event=event_of(place),
        what=Term(f"overview-what-{place.worst.kind}"), runs="yes" if is_only_run(place) else "no",
        reached="yes" if place.distance <= 0.0 else "no",
    )


def _red_label(brief: Brief, place: Finding, spot: Floats, lean: float) -> Label:
    return Label(
        text=told_in_words(brief, place),
        at=spot,
        size="body",
        colour=_written(place),
        strong=True,
        towards=(lean, -1.0),
        rank=0,
        must=True,
        offset=80.0,
    )


def key(brief: Brief, land: relief.Relief | None, step: int = 1) -> tuple[LegendEntry, ...]:
    """What is not labelled."""
    say, theme = brief.measures.say, brief.theme
    entries = [
        LegendEntry(text=say("overview-key-main"), colour="main", width=theme.main_width),
        LegendEntry(text=say("overview-key-backup"), colour="backup", width=theme.backup_width),
    ]
    if len(brief.solution.tape_points):
        entries.append(LegendEntry(text=say("overview-key-tapes", step=step), colour="ink", width=3.5, upright=True))
    return (*entries, *land_key(brief, land))


def land_key(brief: Brief, land: relief.Relief | None, *, blank: bool = False) -> tuple[LegendEntry, ...]:
    """What is not labelled of the ground; with `blank`, also that it is not known everywhere."""
    if land is None:
        return ()
    say = brief.measures.say
    names = {"ground_hit": "overview-key-hit", "ground_near": "overview-key-near"}
    entries = [
        LegendEntry(text=say(names[role]), colour=role, symbol="block")
        for role in ("ground_hit", "ground_near")
        if role in land.painted
    ]
    apart, bold = (Quantity(k * land.step, "length", digits=digits) for k, digits in ((1, 1), (5, 2)))
    text = say("overview-key-contours", step=apart, bold=bold)
    entries.append(LegendEntry(text=text, colour="contour", width=2.2))
    if getattr(brief.ground.near if brief.ground else None, "kind", "") == "profile":
        entries.append(LegendEntry(text=say("overview-key-assumed"), colour="quiet"))
    if blank:
        entries.append(LegendEntry(text=say("overview-key-blank"), colour="quiet"))
    return tuple(entries)
