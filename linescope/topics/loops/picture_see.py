"""What you must see: the walker between three loops, the ring right and wrong, one range to accept, the odd bays."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from linescope.events.accepted import odd_bays, usual_depth
from linescope.notes import Bays, Range, Spot, Verbatim
from linescope.stage import dimensions, ground, person, ring, side
from linescope.stage.board import BODY, EDGE, FIGURE, FOOT, HEAD, NOTE, WIDE, Board, Flat, cased, disc, measured, stroke
from linescope.stage.camera import Camera
from linescope.stage.ink import Area, Ink, Line, Row, Tag, Text, View, Window
from linescope.stage.items import LegendEntry, Panel
from linescope.stage.page import Brief
from linescope.statics.solution import Solution

Floats = NDArray[np.float64]

TALL = 690.0  # [px]
PHOTO, LOWER = 1290.0, 462.0  # Right end of the walker's part, and its lower one [px].
MANY = 4  # Runs of odd bays, above which they are counted.
SHOWN = 3  # Bays round the walker.


def board(brief: Brief) -> Board:
    """Three parts, each with one thing to see."""
    words, solution = brief.measures, brief.solution
    seen = brief.study.to_see.bays
    accepted = usual_depth(seen.loop_depth, seen.excess)
    odd = odd_bays(seen.loop_depth, seen.excess)
    loops = seen.loop_depth[seen.excess >= 0.0]
    uneven = len(loops) > 0 and 2 * len(odd) > len(seen.excess)
    if uneven:  # No depth is usual: what hangs anywhere, and each bay by itself.
        accepted, odd = (float(loops.min()), float(loops.max())), tuple(each for each in odd if each[1] is None)
    tight = tuple(int(k) + 1 for k in np.flatnonzero(solution.bays.excess < 0.0))
    count = len(solution.bays.excess)
    if tight:
        title = words.say(
            "loops-see-tight", count=len(tight), total=count, bays=Bays(tight),
            walked="yes" if solution.rig.walker is not None else "no",
        )
    else:
        every = accepted is not None and not odd and not uneven
        hung = loops if len(loops) else solution.bays.loop_depth
        low, high = accepted if every and accepted is not None else (float(hung.min()), float(hung.max()))
        title = words.say(
            "loops-see-title", depth=Range(low, high, "length"), seen="yes" if every else "no",
        )
    rule = brief.theme.colours["rule"]
    first, last = shown_bays(solution)
    rig, walked = solution.rig, solution.walker_point is not None
    ink: list[Ink] = [
        _named(brief, words.say("loops-see-walked", at=Spot(rig.walker.at)) if walked and rig.walker is not None
               else words.say("loops-see-empty"), EDGE, HEAD),
        *near(brief, (EDGE, HEAD, PHOTO - 20.0, LOWER), first, last),
        Line(points=((PHOTO, HEAD + 6.0), (PHOTO, TALL - FOOT)), colour=rule, width=1.5, quiet=True),
        Line(points=((EDGE, LOWER), (PHOTO - 24.0, LOWER)), colour=rule, width=1.5, quiet=True),
        *_rings(brief, PHOTO + 30.0, WIDE - EDGE),
        *_accept(brief, accepted, odd, uneven),
    ]
    stations = np.concatenate([[0.0], np.cumsum(solution.bays.length)])
    under = words.say(
        "loops-see-under", name=Verbatim(solution.rig.name), first=first + 1, last=last,
        start=Spot(float(stations[first])), end=Spot(float(stations[last])),
    )
    return Board(
        name="what-you-must-see", title=title, loud=bool(tight), under=under, height=TALL, ink=tuple(ink),
        key=(
            LegendEntry(text=words.say("overview-key-main"), colour="main", width=brief.theme.main_width),
            LegendEntry(text=words.say("overview-key-backup"), colour="backup", width=brief.theme.backup_width),
            LegendEntry(text=words.say("loops-see-key-leash"), colour="leash", width=4.0),
        ),
    )


def _named(brief: Brief, text: str, left: float, top: float) -> Text:
    """Which line a part of the picture shows: the loaded or the empty one."""
    return Text(text=text, at=(left, top), size=BODY, strong=True, colour=brief.theme.colours["main"])


def shown_bays(solution: Solution, most: int = SHOWN) -> tuple[int, int]:
    """The bays round the walker, or in the middle: first (from 0), and one past the last."""
    count = len(solution.bays.excess)
    middle = dimensions.walker_bay(solution)
    first = int(np.clip(middle - most // 2, 0, max(0, count - most)))
    return first, min(first + most, count)


def near(
    brief: Brief, frame: tuple[float, float, float, float], first: int, last: int, *, named: bool = True
) -> list[Ink]:
    """Some bays with the walker from the side, true to scale.

    Parameters
    ----------
    brief : Brief
    frame : (left, top, right, bottom)
        [px]
    first, last : int
        The first bay, counted from 0, and one past the last.
    named : bool
        With labels.
    """
    solution, theme, words = brief.solution, brief.theme, brief.measures
    rig = solution.rig
    mains = dimensions.by_bay(solution.main, 40)
    hung = ring.backup_by_bay(solution, 40)
    free = dimensions.loops(solution, 40)
    shown = np.concatenate([*mains[first:last], *(loop.points for loop in free[first:last])])
    forwards = ground.plan_direction(rig)
    at = (shown - rig.main_a) @ forwards
    height = shown[:, 2] - rig.main_a[2]
    man = rig.walker.height * 1.12 if rig.walker is not None and solution.walker_point is not None else 0.0
    top = float(height.max()) if not man else max(
        float(height.max()), float(solution.walker_point[2] - rig.main_a[2]) + man,  # type: ignore[index]
    )
    left, upper, right, lower = frame
    scale = min((right - left - 20.0) / float(np.ptp(at)), (lower - upper - 74.0) / (top - float(height.min())))
    spare = (right - left) - scale * float(np.ptp(at))
    flat = Flat(scale=scale, left=left + 0.5 * spare - scale * float(at.min()), top=upper + 14.0 + scale * top)

    def page(points: Floats) -> Floats:
        moved = np.atleast_2d(points) - rig.main_a
        return flat.page(moved @ forwards, moved[:, 2])

    ink: list[Ink] = []
    reach = range(max(0, first - 1), min(len(mains), last + 1))
    for k in reach:
        ink += cased(page(hung[k]), "backup", theme.backup_width * 1.25, theme)
    found = ring.ring_of(solution)
    for k in reach:
        ink += cased(page(mains[k]), "main", theme.main_width * 1.2, theme)
    if found is not None and found.gathers and found.bay in reach:
        ink.append(stroke(page(free[found.bay].points), theme.colours["backup"], 2.0, dash=8.0))
    nodes = dimensions.nodes(solution, "main")
    half = 0.5 * 26.0
    for mark, point in zip(solution.layout.tapes, solution.tape_points, strict=True):
        if reach.start <= mark.number <= reach.stop:
            x, y = (float(c) for c in page(point)[0])
            ink.append(Line(points=((x, y - half), (x, y + half)), colour=theme.colours["ink"], width=9.0))
            if first <= mark.number <= last:
                ink.append(Tag(
                    text=words.say("frame-tape", number=mark.number), at=(x, y), size=NOTE, room=frame, rank=4,
                    towards=(0.0, 1.0), offset=half + 6.0, colour=theme.colours["ink"], halo=theme.colours["paper"],
                ))
    for k in range(first, last):
        loop = free[k]
        ends = page(np.array([loop.top, loop.bottom]))
        middle = (float(ends[:, 0].mean()), float(ends[1, 1]))
        tight = bool(solution.bays.excess[k] < 0.0)
        if tight:
            text, colour = words.say("loops-see-no-loop"), theme.colours["alarm"]
        else:
            text, colour = words.length(loop.depth), theme.colours["ink"]
            ink += measured((float(ends[0, 0]), float(ends[0, 1])), (float(ends[1, 0]), float(ends[1, 1])), colour)
        ink.append(Tag(
            text=text, at=middle, size=BODY, room=frame, strong=tight, colour=colour, halo=theme.colours["paper"],
            towards=(0.0, -1.0), rank=1, offset=14.0,
        ))
    for letter, k in (("A", 0), ("B", len(nodes) - 1)):
        if k in (first, last):
            x, y = (float(c) for c in page(nodes[k])[0])
            ink += disc((x, y), letter, theme)
    ink += _man(brief, flat, frame)
    if not named:
        return [item for item in ink if not isinstance(item, Tag)]
    lines = tuple(item for item in ink if isinstance(item, (Area, Line)))
    return [Window(frame=frame, ink=lines), *(item for item in ink if not isinstance(item, (Area, Line)))]


def _man(brief: Brief, flat: Flat, frame: tuple[float, float, float, float]) -> list[Ink]:
    """The walker, his leash and the ring, at their true size."""
    solution, theme = brief.solution, brief.theme
    bodies, leash = person.walker(solution)
    if not bodies:
        return []
    rig = solution.rig
    forwards = ground.plan_direction(rig)
    left, top, right, bottom = frame
    middle = np.array([0.5 * (left + right) - flat.left, flat.top - 0.5 * (top + bottom)]) / flat.scale
    target = rig.main_a + middle[0] * forwards + middle[1] * side.UP
    look = np.cross(side.UP, forwards)
    camera = Camera(eye=target - 60.0 * look, target=target, up=side.UP, half_height=0.5 * (bottom - top) / flat.scale)
    found = ring.ring_of(solution)
    assert found is not None
    panel = Panel(name="walker", frame=(0, 0, 1, 1), camera=camera, surfaces=bodies[:1])
    ink: list[Ink] = [View(frame=frame, panel=panel)]
    for wire in leash:
        moved = wire.points - rig.main_a
        ink += cased(flat.page(moved @ forwards, moved[:, 2]), "leash", 4.0, theme)
    moved = found.centre - rig.main_a
    x, y = (float(c) for c in flat.page(np.array([moved @ forwards]), np.array([moved[2]]))[0])
    r = max(9.0, found.radius * flat.scale)
    ink.append(Line(points=_round(x, y, 0.45 * r, r), colour=theme.colours["leash"], width=4.0))
    ink.append(Tag(
        text=brief.measures.say("loops-see-ring"), at=(x, y), size=NOTE, room=frame, towards=(-0.5, 1.0), offset=20.0,
        colour=theme.colours["leash"], halo=theme.colours["paper"], strong=True, rank=2,
    ))
    return ink


def _round(
    x: float, y: float, a: float, b: float, start: float = 0.0, end: float = 2 * math.pi
) -> tuple[tuple[float, float], ...]:
    """An ellipse, or a part of it."""
    return tuple((x + a * math.cos(t), y + b * math.sin(t)) for t in np.linspace(start, end, 49).tolist())


def _rings(brief: Brief, left: float, right: float) -> list[Ink]:
    """Right above wrong: the ring round both lines, and round the main alone."""
    tall = 0.5 * (TALL - FOOT - HEAD)
    ink: list[Ink] = []
    for k, name in enumerate(("right", "wrong")):
        top = HEAD + 6.0 + k * tall
        ink += _ring_card(brief, name, (left, top, right, top + tall - 14.0))
    return ink


def _ring_card(brief: Brief, name: str, frame: tuple[float, float, float, float]) -> list[Ink]:
    """A strip of both lines with a ring, drawn from near; the wrong one is crossed out."""
    theme, words = brief.theme, brief.measures
    left, top, right, bottom = frame
    good = name == "right"
    colour = theme.colours["state" if good else "alarm"]
    x, y = 0.5 * (left + right), top + 66.0
    main = ((left + 20.0, y - 22.0), (right - 20.0, y + 2.0))
    r, middle = (62.0, (x, y + 30.0)) if good else (34.0, (x, y + 2.0))
    if good:  # The loop hangs in the ring's lower end.
        low = _hang((left + 20.0, y + 62.0), (x, y + 82.0), 26.0) + _hang((x, y + 82.0), (right - 20.0, y + 76.0), 26.0)
    else:
        low = _hang((left + 20.0, y + 32.0), (right - 20.0, y + 46.0), 66.0)
    leash = theme.colours["leash"]
    back = _round(*middle, 0.42 * r, r, 0.5 * math.pi, 1.5 * math.pi)
    front = _round(*middle, 0.42 * r, r, -0.5 * math.pi, 0.5 * math.pi)
    start, end = (middle[0], middle[1] + r), (x + 150.0, bottom - 46.0)
    tail = [(start[0] + t * (end[0] - start[0]), start[1] + (end[1] - start[1]) * t**0.55)
            for t in np.linspace(0.0, 1.0, 24).tolist()]  # fmt: skip
    ink: list[Ink] = [Line(points=back, colour=leash, width=9.0)]
    ink += cased(np.array(low), "backup", 10.0, theme)
    ink += cased(np.array(main), "main", 16.0, theme)
    ink += [Line(points=front, colour=leash, width=9.0), Line(points=tuple(tail), colour=leash, width=7.0)]
    if not good:
        for a, b in (((x - 150.0, top + 14.0), (x + 150.0, bottom - 52.0)),
                     ((x - 150.0, bottom - 52.0), (x + 150.0, top + 14.0))):  # fmt: skip
            ink.append(Line(points=(a, b), colour=theme.colours["casing"], width=13.0))
            ink.append(Line(points=(a, b), colour=colour, width=8.0))
    corners = ((left, top), (right, top), (right, bottom), (left, bottom), (left, top))
    ink.append(Line(points=corners, colour=colour, width=4.0))
    ink.append(Text(
        text=words.say(f"loops-see-ring-{name}"), at=(x, bottom - 24.0), size=BODY, align="middle", centred=True,
        strong=True, colour=colour, width=right - left - 16.0, most=1,
    ))
    return ink


def _hang(start: tuple[float, float], end: tuple[float, float], deep: float) -> list[tuple[float, float]]:
    """A loop for a sign, not to scale."""
    share = np.linspace(0.0, 1.0, 21).tolist()
    return [(start[0] + t * (end[0] - start[0]), start[1] + t * (end[1] - start[1]) + 4.0 * t * (1.0 - t) * deep)
            for t in share]  # fmt: skip


def _accept(
    brief: Brief, accepted: tuple[float, float] | None, odd: tuple[tuple[int, float | None], ...], uneven: bool
) -> list[Ink]:
    """One loop of the empty line with the range its depth may have, and the bays that are otherwise."""
    theme, words = brief.theme, brief.measures
    ink_, top = theme.colours["ink"], LOWER + 10.0
    left, right, bottom = EDGE, PHOTO - 30.0, TALL - FOOT
    ink: list[Ink] = []
    entries: list[tuple[tuple[Ink, ...], float, Text]] = []

    def add(text: str, size: float, colour: str, *, strong: bool = False) -> None:
        entries.append(((), 0.0, Text(text=text, at=(0.0, 0.0), size=size, strong=strong, colour=colour)))

    add(words.say("loops-see-before", uneven="yes" if uneven else "no"), BODY, theme.colours["main"], strong=True)
    if accepted is not None:
        low, high = accepted
        x0, x1, y = left + 6.0, left + 380.0, top + 20.0
        scale = (bottom - y - 8.0) / high
        share = np.linspace(0.0, 1.0, 41)
        bow = 4.0 * share * (1.0 - share)
        xs = x0 + share * (x1 - x0)
        edge = [np.column_stack([xs, y + depth * scale * bow]) for depth in (low, high)]
        band = np.concatenate([edge[0], edge[1][::-1]])
        ink.append(Area(points=tuple((float(a), float(b)) for a, b in band), colour=theme.colours["zone_kept"]))
        ink += cased(np.column_stack([xs, y + 0.5 * (low + high) * scale * bow]), "backup", 5.0, theme)
        ink += cased(np.array([[x0, y], [x1, y]]), "main", 8.0, theme)
        for x in (x0, x1):
            ink.append(Line(points=((x, y - 13.0), (x, y + 13.0)), colour=ink_, width=9.0))
        left = x1 + 50.0
        add(words.say("loops-see-accept", depth=Range(low, high, "length")), FIGURE, ink_, strong=True)
    for text in (words.say("loops-see-uneven"),) if uneven and not odd else _odd(brief, odd):
        add(text, NOTE, ink_)
    stop = words.say("loops-see-stop" if accepted is not None else "loops-see-none")
    add(stop, NOTE, theme.colours["alarm"], strong=True)
    return [*ink, Row(frame=(left, top, right, bottom), entries=tuple(entries), down=True, gap=4.0)]


def _odd(brief: Brief, odd: tuple[tuple[int, float | None], ...]) -> list[str]:
    """What the bays that are otherwise must show."""
    words = brief.measures
    tight = tuple(bay for bay, depth in odd if depth is None)
    if sum(after[0] - before[0] > 1 for before, after in pairwise(odd)) > MANY:
        depths = [0.0 if depth is None else depth for _, depth in odd]
        return [words.say("loops-see-odd-many", count=len(odd), total=len(brief.solution.bays.excess),
                          depth=Range(min(depths), max(depths), "length"))]  # fmt: skip
    other = {bay: depth for bay, depth in odd if depth is not None}
    said = []
    if tight:
        said.append(words.say("loops-see-odd-tight", bays=Bays(tight), count=len(tight)))
    if other:
        depths = list(other.values())
        said.append(words.say("loops-see-odd", bays=Bays(tuple(other)), count=len(other),
                              depth=Range(min(depths), max(depths), "length")))  # fmt: skip
    if not odd:
        said.append(words.say("loops-see-odd-none"))
    return said
