"""Rows of a lesson as ink: the same line in each style, painted by the bay every piece was taped in."""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from linescope.events.excess import depth_for_loop_length
from linescope.lessons.hung import UNEVEN
from linescope.lessons.shots import LessonRow, LessonShot, Take
from linescope.lessons.takes import GROWN, NOTHING, SEEN, STYLES, Play, telling
from linescope.lessons.walked import holding
from linescope.notes import Quantity, Verbatim
from linescope.stage import lesson_parts as parts
from linescope.stage.ink import Area, Disc, Drawing, Ink, Line, Point, Text
from linescope.stage.lesson_parts import EDGE, LEAST, RED, SIZE
from linescope.stage.lesson_rub import most_of, rough, rub_ink, worst
from linescope.stage.tape_card import HEAD, INK, PAPER, QUIET
from linescope.statics import plan
from linescope.taping import TIE, Holds
from linescope.words import Words

Floats = NDArray[np.float64]

PAINT = {"main": ("#00395c", "#6f95c4"), "backup": ("#c94f00", "#f0a460")}
"""Pieces taped in one bay, and in the next."""
FAINT, MARKED = "#eccfb2", "#d99a5b"
CLOTH = "#2c7f86"
LEFT, RIGHT = 330.0, SIZE[0] - EDGE
TOP, LOW = 116.0, 664.0
PERSON = 30.0
"""Least height of a person. [px]"""
LEAST_ARROW = 7.0
"""A shorter one is a triangle only. [px]"""
GONE = 0.15
"""A loop that is left with less than this share of its slack depth is told as gone. [-]"""
LENS = 0.42
"""Less than half of what a lens sees, which is 1.1 m across. [m]"""
LETTER = 5.5
"""Half the width of a letter of a figure. [px]"""
LONG_NAME = 30
"""A longer one takes two lines. [letters]"""
ROOM = 34.0
"""Above a row, for arrows, and below it, for figures. [px]"""
DEEPENED = ("where-slack-goes", "slack-walks", "uneven-spacing", "ten-grams")
"""Lessons about loops of a whole line, which are small on a page: drawn deeper than they are, where there is room."""
DEEPER, KEPT = (3, 2), 0.85
"""How many times, and how much of a row's length it may cost at most. [-]"""
SMOOTH = 24
"""Pieces of a loop that is drawn deeper. [-]"""
ON_PAGE = (950.0, 470.0)
"""Of the rows on a page 1280 wide and 800 high, of which `ROOM` is taken as well. [px]"""


@dataclass(frozen=True, kw_only=True)
class RowPlace:
    """Where a row stands on the page.

    Attributes
    ----------
    left, top : float
        Where anchor A is.  [px]
    scale : float
        [px/m]
    begin, end : float
        What is shown of the line, from A.  [m]
    named : float
        Beside what its name stands.  [px]
    """

    left: float
    top: float
    scale: float
    begin: float
    end: float
    named: float

    @property
    def right(self) -> float:
        """Where what is shown ends.  [px]"""
        return self.left + self.scale * (self.end - self.begin)

    def at(self, points: Floats) -> tuple[Point, ...]:
        """Points (n, 2) of the line on the page.  [px]"""
        return tuple(
            (self.left + self.scale * (float(x) - self.begin), self.top - self.scale * float(z)) for x, z in points
        )

    def seen(self, points: Floats) -> Floats:
        """What of a line (n, 2) that runs from A to B is shown; fewer than two points: nothing.  [m]"""
        if len(points) < 2 or (points[0, 0] >= self.begin and points[-1, 0] <= self.end):
            return points
        low, high = max(self.begin, float(points[0, 0])), min(self.end, float(points[-1, 0]))
        if low >= high:
            return points[:0]
        inside = (points[:, 0] > low) & (points[:, 0] < high)
        where = np.concatenate(([low], points[inside, 0], [high]))
        return np.column_stack((where, np.interp(where, points[:, 0], points[:, 1])))


def painted(points: Floats, at: Floats, edges: Floats) -> list[tuple[int, Floats]]:
    """A line cut where the bays it was taped in meet.

    Parameters
    ----------
    points : (n, 2) array
        [m]
    at : (n,) array
        Material under them, rising.  [m]
    edges : (t,) array
        Material where tapes were made.  [m]

    Returns
    -------
    list of (bay, (k, 2) array)
        From A to B.
    """
    found = []
    cuts = [at[0], *[edge for edge in edges if at[0] < edge < at[-1]], at[-1]]
    for low, high in itertools.pairwise(cuts):
        inside = (at > low) & (at < high)
        where = np.concatenate(([low], at[inside], [high]))
        run = np.column_stack([np.interp(where, at, points[:, k]) for k in (0, 1)])
        found.append((int(np.searchsorted(edges, 0.5 * (low + high))), run))
    return found


def levelled(shot: LessonShot, bay: int) -> LessonShot:
    """A state turned and moved so that one bay begins at 0 and its tapes are level."""
    begin, along = shot.tapes[bay - 1], shot.tapes[bay] - shot.tapes[bay - 1]
    along = along / np.linalg.norm(along)
    turn = np.array([along, [-along[1], along[0]]])

    def moved(points: Floats) -> Floats:
        return (points - begin) @ turn.T if len(points) else points

    low, high = shot.tape_backup[bay - 1], shot.tape_backup[bay]
    loop = (shot.backup_at >= low - 1e-9) & (shot.backup_at <= high + 1e-9)
    first, last = shot.tape_main[bay - 1], shot.tape_main[bay]
    piece = (shot.main_at >= first - 1e-9) & (shot.main_at <= last + 1e-9)
    return LessonShot(
        main=moved(shot.main[piece]),
        main_at=shot.main_at[piece],
        backup=moved(shot.backup[loop]),
        backup_at=shot.backup_at[loop],
        tapes=moved(shot.tapes[bay - 1 : bay + 1]),
        tape_main=shot.tape_main[bay - 1 : bay + 1],
        tape_backup=shot.tape_backup[bay - 1 : bay + 1],
        feet=None,
        own=-1,
        depth=shot.depth[bay : bay + 1],
        pull=shot.pull[bay : bay + 1],
        slid=shot.slid[bay - 1 : bay + 1],
        ran=shot.ran,
    )


def rows_of(play: Play, take: Take) -> tuple[LessonRow, ...]:
    """The rows that are drawn: tapes alone are one row where all three styles come out alike."""
    return (take.tracks[0], take.tracks[-1]) if play.name == "ties" else take.tracks


def shown(play: Play, shot: LessonShot) -> LessonShot:
    """A state as a row shows it: the one bay, or the whole line."""
    return levelled(shot, play.bay) if play.bay > 0 else shot


@functools.lru_cache(maxsize=4096)
def deepened(shot: LessonShot, times: int) -> LessonShot:
    """A state whose backup hangs so many times as deep below the main [-]; once, however many pictures show it."""
    if times == 1 or len(shot.main) < 2:
        return shot
    backup, at = _smooth(shot)
    main = np.interp(backup[:, 0], shot.main[:, 0], shot.main[:, 1])
    return replace(shot, backup_at=at, backup=np.column_stack((backup[:, 0], main + times * (backup[:, 1] - main))))


def _smooth(shot: LessonShot) -> tuple[Floats, Floats]:
    """More points (n, 2) on each loop and the material under them: drawn deeper, a loop shows its corners.  [m]"""
    edges = [shot.backup_at[0], *shot.tape_backup, shot.backup_at[-1]]
    points, at = [shot.backup[:1]], [shot.backup_at[:1]]
    for low, high in itertools.pairwise(edges):
        inside = (shot.backup_at >= low - 1e-9) & (shot.backup_at <= high + 1e-9)
        if inside.sum() < 2:
            continue
        material = np.linspace(low, high, SMOOTH + 1)[1:]
        points.append(CubicSpline(shot.backup_at[inside], shot.backup[inside])(material))
        at.append(material)
    return np.concatenate(points), np.concatenate(at)


@functools.lru_cache(maxsize=8)
def deepening(play: Play) -> int:
    """How many times as deep as they are loops are drawn, on every surface.  [-]"""
    if play.name not in DEEPENED:
        return 1

    def scale(times: int) -> float:
        sizes = extents(play, rows_of(play, play.take), times)
        wide = (play.window[1] - play.window[0]) * max(size[0] for size in sizes)
        high = sum(up + down for _, up, down in sizes)
        return min(ON_PAGE[0] / wide, (ON_PAGE[1] - 2.0 * ROOM * len(sizes)) / max(high, 1e-9))

    return next((times for times in DEEPER if scale(times) >= KEPT * scale(1)), 1)


def drawn(play: Play, shot: LessonShot) -> LessonShot:
    """A state as a row draws it."""
    return deepened(shown(play, shot), deepening(play))


def extents(play: Play, tracks: Sequence[LessonRow], times: int) -> list[tuple[float, float, float]]:
    """Of every row over all its states, loops so many times as deep: how long it is, and how far above and below
    anchor A what is shown of it reaches.  [m]"""
    seen = [[deepened(shown(play, each), times) for each in track.shots] for track in tracks]
    rows = [np.vstack([np.vstack((each.main, each.backup)) for each in row]) for row in seen]
    longest = max(float(points[:, 0].max()) for points in rows)
    begin, end = (share * longest for share in play.window)
    found = []
    for row, points in zip(seen, rows, strict=True):
        heights = points[(points[:, 0] >= begin) & (points[:, 0] <= end), 1]
        feet = [float(each.feet[1]) for each in row if each.feet is not None and begin <= each.feet[0] <= end]
        low, high = min([float(heights.min()), *feet]), float(heights.max())
        found.append((float(points[:, 0].max()), high if play.window[0] > 0.0 else max(0.0, high), -low))
    return found


def frames_of(
    play: Play, take: Take, left: float = LEFT, right: float = RIGHT, top: float = TOP, low: float = LOW
) -> list[RowPlace]:
    """Where the rows stand: one scale for all, both ways."""
    sizes = extents(play, rows_of(play, take), deepening(play))
    longest = max(size[0] for size in sizes)
    begin, end = (share * longest for share in play.window)
    wide = end - begin
    high = sum(up + down for _, up, down in sizes)
    scale = min((right - left) / wide, (low - top - 2.0 * ROOM * len(sizes)) / max(high, 1e-9))
    spare = (low - top - 2.0 * ROOM * len(sizes) - scale * high) / len(sizes)
    found, y = [], top
    for _, up, down in sizes:
        shown_from = y + ROOM + 0.5 * spare
        top = shown_from + scale * up
        found.append(RowPlace(
            left=left, top=top, scale=scale, begin=begin, end=end, named=shown_from if play.window[0] > 0.0 else top,
        ))
        y += 2.0 * ROOM + spare + scale * (up + down)
    return found


def row_ink(
    play: Play, track: LessonRow, count: int, frame: RowPlace, words: Words, *, figures_told: bool = True
) -> list[Ink]:
    """One row in one state, without its name."""
    now, taped = drawn(play, track.shots[count]), drawn(play, track.shots[0])
    layout = track.planned.layout
    ink: list[Ink] = []
    if now.rub is not None:
        return rub_ink(now, now.rub, most_of(play), frame, words, told=figures_told)
    if not len(now.main):
        return _gone(play, track, count, frame, words, figures_told)
    if play.bay > 0 or (now.feet is None and taped.feet is None and track.holds is not Holds.BOTH):
        ghost = frame.at(frame.seen(_as_taped(play, track, now)))
        if play.bay > 0:
            ink += [Line(points=ghost[k : k + 2], colour=MARKED, width=2.0) for k in range(0, len(ghost) - 1, 2)]
        else:
            ink.append(Line(points=ghost, colour=FAINT, width=1.8))
    for line, points, at, edges, width in (
        ("backup", now.backup, now.backup_at, layout.tape_backup, 4.0),
        ("main", now.main, now.main_at, layout.tape_main, 6.5),
    ):
        for bay, run in painted(points, at, edges):
            piece = frame.seen(run)
            if len(piece) > 1:
                ink.append(Line(points=frame.at(piece), colour=PAINT[line][bay % 2], width=width))
    ink += _slips(track, now, taped, frame)
    half = 3.2 if play.bay < 0 else 5.0
    for k in np.flatnonzero(_inside(now.tapes, frame)).tolist():
        [(x, y)] = frame.at(now.tapes[k : k + 1])
        if play.bay < 0 and layout.tapes[k].kind == "tie":
            ink += parts.mark(TIE, (x, y))
            continue
        corners = (
            (x - half, y - 2.2 * half),
            (x + half, y - 2.2 * half),
            (x + half, y + 2.2 * half),
            (x - half, y + 2.2 * half),
        )
        ink.append(Area(points=corners, colour=INK))
    if play.bay < 0:
        ends = now.main[[0, -1]]
        ink += anchors_ink(ends, frame)
    if now.feet is not None:
        feet, high = frame.at(now.feet[None])[0], max(PERSON, 1.75 * frame.scale)
        ink += person(feet, high)
        ink += _way(track, count, feet, high)
    if figures_told:
        taken: list[tuple[float, float]] = []
        for bay, text, gone in figures(play, track, count, words):
            colour = RED if gone else INK
            under = _below(now, bay, frame)
            half = LETTER * len(text)
            if any(under[0] + half > low and under[0] - half < high for low, high in taken):
                continue
            taken.append((under[0] - half, under[0] + half))
            ink.append(Text(text=text, at=under, size=19.0, strong=True, align="middle", colour=colour, halo=PAPER))
    return ink


def anchors_ink(ends: Floats, frame: RowPlace) -> list[Ink]:
    """Both ends (2, 2) of a line and their names; those that are shown.  [m]"""
    ink: list[Ink] = []
    sides: tuple[tuple[str, float, Literal["left", "right"]], ...] = (("A", -11.0, "right"), ("B", 11.0, "left"))
    for (name, out, align), end in zip(sides, ends, strict=True):
        if _inside(end[None], frame)[0]:
            x, y = frame.at(end[None])[0]
            ink.append(Disc(at=(x, y), radius=6.5, colour=QUIET))
            ink.append(Text(text=name, at=(x + out, y - 11.0), size=LEAST, strong=True, align=align, colour=QUIET))
    return ink


def _heading(track: LessonRow, count: int) -> float:
    """Which way the walker goes: 1 to B, -1 to A, 0 neither."""
    other = track.shots[count - 1 if count else min(1, len(track.shots) - 1)].feet
    now = track.shots[count].feet
    if other is None or now is None:
        return 0.0
    return float(np.sign(now[0] - other[0])) * (1.0 if count else -1.0)


def _way(track: LessonRow, count: int, feet: Point, high: float) -> list[Ink]:
    """An arrow over the walker's head, the way he goes; none where he stands until the main has gone."""
    way = _heading(track, count) if len(track.shots[-1].main) else 0.0
    if way == 0.0:
        return []
    return arrow((feet[0] - way * 17.0, feet[1] - high - 9.0), way * 34.0, CLOTH)


def _inside(points: Floats, frame: RowPlace) -> NDArray[np.bool_]:
    return np.asarray((points[:, 0] >= frame.begin - 1e-9) & (points[:, 0] <= frame.end + 1e-9))


def _as_taped(play: Play, track: LessonRow, now: LessonShot) -> Floats:
    """The loops as the crew made them, hung from the main as it now is."""
    layout = track.planned.layout
    first = drawn(play, track.shots[0])
    if play.bay > 0:
        main, backup = float(layout.bays_main[play.bay]), float(layout.bays_backup[play.bay])
        return loop_between(np.array([0.0, 0.0]), np.array([float(now.tapes[1, 0]), 0.0]), backup, main)
    return first.backup


def loop_between(begin: Floats, end: Floats, backup: float, main: float) -> Floats:
    """(n, 2) points of the loop as marked on slack lines, hung between two places.  [m]"""
    depth = float(depth_for_loop_length(main, backup))
    share = np.linspace(0.0, 1.0, 42)
    points = begin + share[:, None] * (end - begin)
    points[:, 1] -= 4.0 * depth * share * (1.0 - share)
    return np.asarray(points)


def figures(play: Play, track: LessonRow, count: int, words: Words) -> list[tuple[int, str, bool]]:
    """What is told on the picture of a row in a state: bays of those drawn, texts, and whether that loop is gone."""
    now = track.shots[count]
    if now.rub is not None:
        return []
    if play.name == "ties":
        if count == 0:
            return []
        return [(0, words.say("lessons-ties-feet", depth=Quantity(float(now.depth[0]), "length", bound="up")), False)]
    found = []
    for bay in [play.bay] if play.bay > 0 else _told_bays(play, track, now):
        depth = float(now.depth[bay])
        marked = loop_depth_as_marked(track, bay) if play.bay > 0 else 0.0
        text = words.of(depth, "length")
        if play.name == "slack-walks":
            text = words.say("lessons-rows-loop", number=bay + 1, depth=Quantity(depth, "length"))
        found.append((0 if play.bay > 0 else bay, text, depth < GONE * marked))
    return found


def loop_depth_as_marked(track: LessonRow, bay: int) -> float:
    """Of a loop on slack lines.  [m]"""
    layout = track.planned.layout
    return float(depth_for_loop_length(float(layout.bays_main[bay]), float(layout.bays_backup[bay])))


def _told_bays(play: Play, track: LessonRow, shot: LessonShot) -> list[int]:
    """Whose depth stands on the picture: the deepest loop, and the shallowest where it is much less.

    In a walk it is the deepest one alone; where none stands out, that under the feet, where others have it."""
    depth = shot.depth
    if play.name == "uneven-spacing":
        middle = len(depth) // 2
        return [middle - 1, middle]
    if play.name == "slack-walks":
        bay, where = told_loop(track, track.shots.index(shot))
        return [bay] if where or shot.own < 0 else [shot.own]
    found = [shot.deepest]
    free = np.where(np.arange(len(depth)) == shot.own, np.inf, depth)
    least = int(np.argmin(free))
    if free[least] < 0.75 * depth[found[0]]:
        found.append(least)
    return found


def told_loop(track: LessonRow, count: int) -> tuple[int, str]:
    """Of a walker's state the loop that is told, and where it is as he sees it.

    Returns
    -------
    int
        The bay of the deepest loop, the one under his feet among them.
    str
        "under", "just-behind", "just-ahead", "behind", "ahead"; "" where none stands out.
    """
    shot = track.shots[count]
    best, heading = int(np.argmax(shot.depth)), int(_heading(track, count)) or 1  # Between two stops he goes to B.
    if shot.depth[best] < GROWN * np.median(shot.depth):
        return best, ""
    ahead = (best - shot.own) * heading
    if ahead == 0:
        return best, "under"
    return best, ("just-" if abs(ahead) == 1 else "") + ("ahead" if ahead > 0 else "behind")


def _below(shot: LessonShot, bay: int, frame: RowPlace) -> Point:
    """Under the lowest point of a loop."""
    low = shot.tape_backup[bay - 1] if bay > 0 and len(shot.depth) > 1 else shot.backup_at[0]
    high = shot.tape_backup[bay] if bay < len(shot.tape_backup) and len(shot.depth) > 1 else shot.backup_at[-1]
    inside = (shot.backup_at >= low - 1e-9) & (shot.backup_at <= high + 1e-9)
    loop = shot.backup[inside]
    spot = frame.at(loop[np.argmin(loop[:, 1])][None])[0]
    return spot[0], spot[1] + 6.0


def _slips(track: LessonRow, now: LessonShot, taped: LessonShot, frame: RowPlace) -> list[Ink]:
    """Arrows of what slid, above the line: of the backup from the tape, of a tape from where it was made."""
    ink: list[Ink] = []
    if track.holds not in (Holds.MAIN, Holds.BACKUP):
        return ink
    for k in range(len(now.tapes)):
        slid = float(now.slid[k])
        if abs(slid) < SEEN or not _inside(now.tapes[k : k + 1], frame)[0]:
            continue
        x, y = frame.at(now.tapes[k][None])[0]
        if track.holds is Holds.MAIN:
            ink += arrow((x, y - 20.0), -slid * frame.scale, PAINT["backup"][0])
        else:
            at = float(
                frame.at(
                    np.column_stack(
                        [np.interp(track.planned.layout.tape_main[k], now.main_at, now.main[:, j]) for j in (0, 1)]
                    )
                )[0][0]
            )
            corners = ((at - 3.0, y - 28.0), (at + 3.0, y - 28.0), (at + 3.0, y - 13.0), (at - 3.0, y - 13.0))
            ink += [Line(points=(*corners, corners[0]), colour=INK, width=1.3), *arrow((at, y - 20.0), x - at, INK)]
    return ink


def arrow(begin: Point, run: float, colour: str) -> list[Ink]:
    """An arrow along the page; a short one is its head alone.  [px]"""
    way = math.copysign(1.0, run)
    tip = begin[0] + run
    head = ((tip, begin[1]), (tip - way * 9.0, begin[1] - 5.0), (tip - way * 9.0, begin[1] + 5.0))
    ink: list[Ink] = []
    if abs(run) > LEAST_ARROW:
        ink.append(Line(points=(begin, (tip - way * 7.0, begin[1])), colour=colour, width=2.2))
    return [*ink, Area(points=head, colour=colour)]


def person(feet: Point, high: float, *, hung: bool = False) -> list[Ink]:
    """Somebody who stands, arms up, or hangs, arms down."""
    x, y = feet
    skin, cloth, legs = "#a9713f", CLOTH, "#23303a"

    hand = 0.48 if hung else 0.98

    def limb(points: Sequence[Point], width: float, colour: str) -> Line:
        return Line(points=tuple((x + a * high, y - b * high) for a, b in points), colour=colour, width=width * high)

    return [
        limb(((-0.05, 0.0), (0.0, 0.48)), 0.10, legs),
        limb(((0.07, 0.0), (0.0, 0.48)), 0.10, legs),
        limb(((0.0, 0.48), (0.0, 0.78)), 0.17, cloth),
        limb(((0.0, 0.76), (-0.26, hand)), 0.07, cloth),
        limb(((0.0, 0.76), (0.26, hand)), 0.07, cloth),
        Disc(at=(x, y - 0.93 * high), radius=0.085 * high, colour=skin),
    ]


def _gone(play: Play, track: LessonRow, count: int, frame: RowPlace, words: Words, told: bool) -> list[Ink]:
    """The main is gone: the backup as low as energy lets it, over the line as it stood."""
    now, before = track.shots[count], track.shots[0]
    feet = frame.at(np.asarray(now.feet)[None])[0]
    ring = frame.at(now.backup[np.argmin(now.backup[:, 1])][None])[0]
    ink: list[Ink] = [
        Line(points=frame.at(before.main), colour="#b9c6d6", width=2.0),
        Line(points=frame.at(now.backup), colour=PAINT["backup"][0], width=4.0),
        Line(points=(ring, (feet[0], feet[1] - 20.0)), colour="#1f7a3f", width=2.0),
        *person(feet, max(PERSON, 1.75 * frame.scale), hung=True),
    ]
    ink += anchors_ink(before.main[[0, -1]], frame)
    ink += ties_ink(track, before, now, frame)
    if told:
        x = feet[0] + 46.0
        ink += [
            Line(points=((x, frame.top), (x, feet[1])), colour=INK, width=1.4),
            Line(points=((x - 6.0, frame.top), (x + 6.0, frame.top)), colour=INK, width=1.4),
            Line(points=((x - 6.0, feet[1]), (x + 6.0, feet[1])), colour=INK, width=1.4),
            Text(
                text=figures(play, track, count, words)[0][1],
                at=(x + 12.0, feet[1] - 24.0),
                size=19.0,
                strong=True,
                halo=PAPER,
            ),
        ]
    return ink


def ties_ink(track: LessonRow, before: LessonShot, now: LessonShot, frame: RowPlace) -> list[Ink]:
    """Rings on the backup, where they hold it: straight below where they stood."""
    ink: list[Ink] = []
    for k, mark in enumerate(track.planned.layout.tapes):
        if mark.kind == "tie":
            x = float(before.tapes[k, 0])
            low = float(np.interp(x, now.backup[:, 0], now.backup[:, 1]))
            point = frame.at(np.array([[x, low]]))[0]
            ink += [Disc(at=point, radius=7.0, colour=INK), Disc(at=point, radius=3.6, colour=PAPER)]
    return ink


# Words of a row


def name_of(play: Play, track: LessonRow, take: Take, words: Words) -> str:
    """What stands before a row."""
    if track.name == "ties":
        return words.say("lessons-ties-row", count=int(take.value))
    if play.name == "ties":
        return words.say("lessons-ties-tape")
    return words.verbatim(track.name) if track.holds is None else words.say(f"lessons-style-{track.name}")


def family_of(play: Play, track: LessonRow) -> str:
    """The family whose mark stands before a row; "" where it is of no family, or stands for all."""
    if play.name == "ties":
        return TIE if track.name == "ties" else ""
    return next((family for family, holds in STYLES if holds is track.holds), "")


def facts(play: Play, track: LessonRow, count: int, words: Words) -> tuple[str, ...]:
    """What is told of a row in a state: a few short lines.

    Where the sentence below tells of another setting of the knob, the setting that is shown is among them.
    """
    now = track.shots[count]

    def long(value: float) -> Quantity:
        return Quantity(value, "length")

    if now.rub is not None:
        return worst(now.rub, words)
    if play.name == "pen-marks":
        if count == 0:
            return ()
        return (
            words.say("lessons-rows-marked", depth=long(loop_depth_as_marked(track, play.bay))),
            words.say("lessons-rows-pull", pull=Quantity(float(now.pull[play.bay]), "force")),
        )
    if play.name == "ties":
        if count == 0:
            return (words.say("lessons-ties-standing"),)
        fallen = fall_of(track)
        fall = words.say("lessons-ties-fall", fall=Quantity(fallen, "length", bound="up"))
        pulls = words.say("lessons-ties-pull", pull=Quantity(float(now.pull[0]), "force"))
        if track.name != "ties":
            return (words.say("lessons-ties-alike-all"), fall, pulls)
        less = fall_of(play.take.tracks[0]) - fallen
        return (fall, words.say("lessons-ties-less", less=Quantity(less, "length", bound="down")), pulls)
    if play.name == "uneven-spacing":
        middle = len(now.depth) // 2
        short, deep = sorted(float(each) for each in now.depth[middle - 1 : middle + 1])
        bays = track.planned.layout.stated_bays[middle - 1 : middle + 1]
        name = "lessons-rows-two" if np.ptp(bays) < SEEN else "lessons-rows-short-long"
        two = (words.say(name, short=long(short), deep=long(deep)), *_moved(track, now, words))
        return (*two, words.say("lessons-rows-drawn-in")) if drawn_into_long(track, now) else two
    if play.name == "slack-walks":
        bay, where = told_loop(track, count)
        least, most = float(now.depth.min()), float(now.depth.max())
        if not where:
            all_ = words.say("lessons-rows-all", low=long(least), high=long(most))
            return (words.say("lessons-rows-none-stands-out"), all_, *_moved(track, now, words))
        loop = words.say("lessons-rows-loop-of", number=bay + 1, depth=long(most), least=long(least))
        return (words.say(f"lessons-rows-{where}"), loop, *_moved(track, now, words))
    if play.name == "where-slack-goes" and count == len(track.shots) - 1 > 1:
        taped, shaken, last = (each.depth[each.deepest] for each in (track.shots[0], track.shots[1], now))
        before = words.say("lessons-rows-taped", taped=long(taped), shaken=long(shaken))
        return (before, words.say("lessons-rows-settled", depth=long(last)), *_moved(track, now, words))
    told = (words.say("lessons-rows-deepest", depth=long(float(now.depth[now.deepest]))), *_moved(track, now, words))
    if play.name == "ten-grams" and track.holds is not Holds.BOTH:
        value = next(take.value for take in play.takes if any(row is track for row in take.tracks))
        return (words.say("lessons-ten-grams-with", mass=knob_of(play, value, words)), *told)
    return told


def fall_of(track: LessonRow) -> float:
    """How far the feet are below where he stood once the main has gone.  [m]"""
    stood, low = track.shots[0].feet, track.shots[-1].feet
    assert stood is not None and low is not None
    return float(stood[1] - low[1])


def drawn_into_long(track: LessonRow, now: LessonShot) -> bool:
    """Whether tapes that slide on the main have made long bays shorter, and short ones longer."""
    if track.holds is not Holds.BACKUP or now.ran < SEEN:
        return False
    before, after = (np.diff(each.tapes[:, 0]) for each in (track.shots[0], now))
    middle = len(before) // 2
    pair = slice(middle - 1, middle + 1)
    longer = int(np.argmax(before[pair]))
    change = (after - before)[pair]
    return bool(change[longer] < 0.0 < change[1 - longer])


def _moved(track: LessonRow, now: LessonShot, words: Words) -> tuple[str, ...]:
    if track.holds is Holds.BOTH:
        return (words.say("lessons-rows-still"),)
    name = "ran" if track.holds is Holds.MAIN else "walked"
    if now.ran < SEEN:
        return (words.say(f"lessons-rows-no-{name}"),)
    return (words.say(f"lessons-rows-{name}", length=Quantity(now.ran, "length")),)


def rows_ink(play: Play, take: Take, count: int, words: Words, *, told: bool = True, **place: float) -> list[Ink]:
    """All rows in one state, with their names and what is told of them."""
    ink: list[Ink] = []
    for track, frame in zip(rows_of(play, take), frames_of(play, take, **place), strict=True):
        nth = min(count, len(track.shots) - 1)
        ink += row_ink(play, track, nth, frame, words, figures_told=told)
        lines = facts(play, track, nth, words) if told else ()
        name = name_of(play, track, take, words)
        left, family = EDGE, family_of(play, track)
        if family:
            ink += parts.mark(family, (EDGE + parts.MARK, frame.named - 4.0))
            left += 2.0 * parts.MARK + 8.0
        wide = LEFT - left - 12.0
        ink.append(Text(text=name, at=(left, frame.named - 16.0), size=19.0, strong=True, colour=HEAD, width=wide))
        y = frame.named + 10.0 + (23.0 if len(name) > LONG_NAME else 0.0)
        for line in lines:
            ink.append(Text(text=line, at=(EDGE, y), size=LEAST, width=LEFT - EDGE - 12.0))
            y += 22.0
    return ink


def rows_page(play: Play, words: Words) -> Drawing:
    """A lesson on one page: question, rows as they come out, sentence, script, what it rests on."""
    name = f"lessons-{play.name}"
    take = play.take
    count = telling(play.name, take.tracks)
    said = [why(play, words)]
    said.append(turned(play, words))
    ink: list[Ink] = [
        parts.question(f"{name}-question", words),
        Text(text=setup(play, words), at=(EDGE, 76.0), size=18.0, width=SIZE[0] - 2 * EDGE),
        *rows_ink(play, take, count, words),
        *parts.answer(sentence(play, words), said),
        *parts.script([(each, words.say(f"{name}-{each}-text")) for each in ("ask", "show", "knob")], words),
        parts.basis(words, *key_of(play)),
    ]
    return Drawing(name=play.name, title=words.say(f"{name}-question"), size=SIZE, paper=PAPER, ink=tuple(ink))


FILM = (1400.0, 787.5)
"""Of a frame, 16 : 9. [px]"""
FOOT = 738.0
"""Where what a frame rests on begins: two lines. [px]"""


def film_frame(play: Play, count: int, words: Words, *, told: bool, answered: bool) -> Drawing:
    """A frame of a film: question above, rows, the sentence below once it is answered."""
    name = f"lessons-{play.name}"
    ink: list[Ink] = [
        parts.question(f"{name}-question", words),
        Text(text=setup(play, words), at=(EDGE, 74.0), size=18.0, width=FILM[0] - 2 * EDGE),
        *rows_ink(play, play.take, count, words, told=told, top=118.0, low=622.0),
    ]
    if answered:
        ink.append(Text(text=sentence(play, words), at=(EDGE, 638.0), size=29.0, strong=True, colour=HEAD,
                        width=FILM[0] - 2 * EDGE, most=1))
        ink.append(Text(text=why(play, words), at=(EDGE, 680.0), size=LEAST, width=FILM[0] - 2 * EDGE))
    elif told:
        ink.append(Text(text=moments(play, play.take, words)[count], at=(EDGE, 640.0), size=24.0, strong=True))
    # What it rests on may give the answer away: it comes with the states.
    basis = " ".join(words.say(each) for each in (*(key_of(play) if told else ()), "lessons-basis"))
    ink.append(Text(text=basis, at=(EDGE, FOOT), size=LEAST, colour=QUIET, width=FILM[0] - 2 * EDGE))
    return Drawing(name=play.name, title=words.say(f"{name}-question"), size=FILM, paper=PAPER, ink=tuple(ink))


def moments(play: Play, take: Take, words: Words) -> tuple[str, ...]:
    """What each state is: taped, hung, walked on, or with how little hold."""
    shots = take.tracks[0].shots
    found = []
    for count, each in enumerate(shots):
        if each.rub is not None:
            found.append(words.say("lessons-moment-crossings", count=count))
        elif play.name == "ties":
            found.append(words.say("lessons-moment-lowest" if count else "lessons-moment-standing"))
        elif each.feet is not None:
            before = shots[count - 1].feet if count else None
            back = before is not None and before[0] > each.feet[0]
            name = "lessons-moment-back" if back else "lessons-moment-walker"
            found.append(words.say(name, at=Quantity(float(each.feet[0]), "length")))
        elif count == 0:
            found.append(words.say("lessons-moment-marked" if play.bay > 0 else "lessons-moment-taped"))
        elif play.name == "where-slack-goes" and count == 1 and len(shots) > 2:
            found.append(words.say("lessons-moment-shaken"))
        elif count == len(shots) - 1 and play.name != "ten-grams":
            settled = play.name == "where-slack-goes" and count > 1
            found.append(words.say("lessons-moment-settled" if settled else "lessons-moment-rest"))
        elif count == len(shots) - 1:
            found.append(words.say("lessons-moment-after"))
        else:
            hung = play.name == "ten-grams" or play.bay > 0
            found.append(words.say("lessons-moment-hung" if hung else "lessons-moment-slipping"))
    return tuple(found)


def why(play: Play, words: Words) -> str:
    """Why it is so, or what it would take to see it on this rig."""
    if not play.shows:
        return _would_take(play, words)
    said = words.say(f"lessons-{play.name}-why")
    if play.name == "where-slack-goes" and all(len(each.shots) > 2 and each.shots[1].ran < NOTHING
                                               for each in play.take.tracks):
        return f"{said} {words.say('lessons-where-slack-goes-unshaken')}"
    if play.name == "ten-grams":
        enough, _ = holding(play.takes, Holds.BACKUP)
        if enough:
            return f"{words.say('lessons-ten-grams-backup', enough=Quantity(enough, 'mass'))} {said}"
    return said


def _would_take(play: Play, words: Words) -> str:
    """What would have to change for this line to show it."""
    name = f"lessons-{play.name}-alike"
    if play.name == "uneven-spacing":
        bays = plan(play.rig).layout.stated_bays[1:-1]
        return words.say(f"{name}-{'even' if np.max(bays) <= (1.0 + UNEVEN) * np.mean(bays) else 'held'}")
    if play.name == "where-slack-goes":
        mains = [(take.value, take.tracks[1].shots[-1].depth.max()) for take in play.stops]
        seen = GROWN * play.take.tracks[0].shots[0].depth.max()
        drops = [drop for drop, deepest in mains if deepest > seen and drop > play.take.value]
        drop = min(drops) if drops else max(drop for drop, _ in mains)
        return words.say(f"{name}-{'lower' if drops else 'more'}", drop=Quantity(drop, "length"))
    if play.name == "slack-walks" and play.runs:
        return words.say(f"{name}-runs", which=str(parts.ends_of(play.rig)["lies"]))
    return words.say(name)


def sentence(play: Play, words: Words) -> str:
    """The one to take home, with the figure that was asked for; where nothing of it is seen, that."""
    if not play.shows:
        return words.say("lessons-rows-nothing")
    name = f"lessons-{play.name}-say"
    if play.name != "ten-grams":
        return words.say(name)
    return holds_from(*holding(play.takes), words)


def holds_from(enough: float | None, short: float | None, words: Words) -> str:
    """From which hold on nothing runs in a walk with the main held, and what is too little.  [kg]"""
    count = (0 if enough is None else 1) + (0 if short is None else 2)
    none = Quantity(0.0, "mass")
    return words.say(
        "lessons-ten-grams-answer", which=("none", "all", "never", "between")[count],
        enough=none if enough is None else Quantity(enough, "mass"),
        short=none if short is None else Quantity(short, "mass"),
    )  # fmt: skip


def setup(play: Play, words: Words) -> str:
    """The line, in one sentence."""
    rig = play.rig
    bays = play.take.tracks[0].planned.layout
    tension = Quantity(
        rig.main_plan.tension or play.take.tracks[0].planned.standing.state.segments.tension_start[0], "force"
    )
    bay = Quantity(float(np.mean(bays.stated_bays[1:-1])), "length")
    away: dict[str, Quantity] = {}
    if play.bay > 0:
        middle = 0.5 * (bays.tape_main[play.bay - 1] + bays.tape_main[play.bay])
        away["away"] = Quantity(abs(float(middle) - 0.5 * bays.main_length), "length")
    return words.say(
        "lessons-rows-setup-any" if play.bay > 0 else "lessons-rows-setup",
        span=Quantity(rig.span, "length"),
        webbing=Verbatim(rig.main.name),
        tension=tension,
        bay=bay,
        even="yes" if np.ptp(bays.stated_bays[1:-1]) < SEEN else "no",
        excess=Quantity(float(np.mean(bays.stated_excess)), "ratio"),
        how=words.say(f"lessons-{play.name}-row-setup", **away),
        **parts.ends_of(rig if play.knob != "length" else None),
        scale=words.say("lessons-rows-scale", times=deepening(play)),
    )


def key_of(play: Play) -> tuple[str, ...]:
    """Messages that say what the signs of a picture are, and what it rests on."""
    if play.name == "ties":
        return ("lessons-ties-key", "lessons-ties-basis")
    if play.name == "who-wears":
        return ("lessons-who-wears-basis",)
    if play.bay > 0:
        return ("lessons-pen-marks-dashed", f"lessons-{play.name}-basis")
    basis = "lessons-ten-grams-row-basis" if play.name == "ten-grams" else f"lessons-{play.name}-basis"
    return ("lessons-rows-key", basis)


def telltale(play: Play) -> int:
    """The tape under the lens: in the state that says most, the one that slid farthest and whose mark is still seen."""
    best, most = 0, -1.0
    take = play.take
    for track in take.tracks:
        end = track.shots[telling(play.name, take.tracks)]
        for k, slid in enumerate(np.abs(end.slid).tolist()):
            if most < slid < LENS:
                best, most = k, slid
    return best


def knob_value(play: Play, take: Take, words: Words) -> str:
    """A setting of the knob as text."""
    return knob_of(play, take.value, words)


def knob_of(play: Play, value: float, words: Words) -> str:
    """A value of the knob as text."""
    if value == 0.0 and play.knob in ("mass", "time"):
        return words.say("lessons-ten-grams-free" if play.knob == "mass" else "lessons-who-wears-none")
    told: Quantity | int = int(value) if play.knob == "count" else Quantity(value, play.knob)
    return words.say(f"lessons-{play.name}-value", value=told)


def _glows(take: Take, words: Words, value: str) -> str:
    """The worst of each style."""
    most = [0.0 if track.shots[-1].rub is None else float(track.shots[-1].rub.most.max()) for track in take.tracks]
    both, main, backup = (rough(each, "line energy") for each in most)
    return words.say("lessons-who-wears-each", value=value, both=both, main=main, backup=backup)


def turned(play: Play, words: Words) -> str:
    """What other settings of the knob come to, in one sentence."""
    each = []
    for take in play.stops:
        track = take.tracks[-1] if play.name == "ties" else take.tracks[min(1, len(take.tracks) - 1)]
        if play.bay > 0:
            track = take.tracks[0]
        end = track.shots[-1]
        if end.rub is not None:
            each.append(_glows(take, words, knob_value(play, take, words)))
            continue
        depth = float(end.depth[play.bay if play.bay > 0 else end.deepest])
        if play.name == "slack-walks":
            depth = float(track.ranges[:, 1].max())
        length = Quantity(depth, "length", bound="up" if play.name == "ties" else "")
        each.append(words.say("lessons-rows-each", value=knob_value(play, take, words), depth=length))
    return words.say(f"lessons-{play.name}-turned", each=words.listed(tuple(each)))
