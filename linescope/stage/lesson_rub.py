"""Rub on the faces of a row: it glows on the side of the line that wears, more where more is rubbed."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from linescope.contact.ledger import Face
from linescope.lessons.shots import LessonShot, Rub
from linescope.lessons.takes import Play
from linescope.notes import Quantity
from linescope.stage.ink import Area, Disc, Ink, Line, Point, Text
from linescope.stage.lesson_parts import INK_MAIN, QUIET_BACKUP, RED
from linescope.stage.tape_card import INK, PAPER
from linescope.words import Words

GLOW = ("#ffe9b8", "#f7b64a", "#e2631b", "#a81c14")
"""From the rim of a glow to its middle."""
LEAST, MOST = 3.0, 34.0
"""Radius of the smallest and of the largest glow. [px]"""
FAINT = 0.03
"""Less, over the most on the page, does not glow. [-]"""
ALIKE = 0.98
"""Glows that differ by less are one as good as the other. [-]"""
APART = 11.0
"""Of the two lines at a tape. [px]"""


@dataclass(frozen=True, kw_only=True)
class Glow:
    """A place that glows.

    Attributes
    ----------
    face : Face
    tape : int
    at : Point
        On the line's middle.  [px]
    share : float
        Of the most on the page.  [-]
    rub : float
        [J/m]
    """

    face: Face
    tape: int
    at: Point
    share: float
    rub: float


def most_of(play: Play) -> float:
    """The most on any face at any position of the knob.  [J/m]"""
    rubs = [track.shots[-1].rub for take in play.takes for track in take.tracks]
    return max(float(rub.most.max()) for rub in rubs if rub is not None)


def spots(shot: LessonShot, rub: Rub, most: float, place) -> list[Glow]:  # type: ignore[no-untyped-def]
    """Places that glow, those that glow least first.

    Parameters
    ----------
    shot : LessonShot
    rub : Rub
    most : float
        [J/m]
    place : callable
        From points (n, 2) of the line to points of the page; what is not shown is left out by whoever draws.
    """
    found = []
    for row, face in enumerate(Face):
        points, at = (shot.main, shot.main_at) if face.line == "main" else (shot.backup, shot.backup_at)
        for tape, peak in enumerate(rub.peaks[row]):
            if peak < FAINT * most or peak < 1.02 * rub.even[row]:
                continue
            where = np.array([[np.interp(rub.places[row, tape], at, points[:, k]) for k in (0, 1)]])
            share = float(peak / most) if most else 0.0
            found.append(Glow(face=face, tape=tape, at=place(where)[0], share=share, rub=float(peak)))
    return sorted(found, key=lambda spot: spot.rub)


def radius(share: float) -> float:
    """Of a glow.  [px]"""
    return LEAST + (MOST - LEAST) * math.sqrt(share)


def aside(face: Face, half: float) -> float:
    """From the middle of a line down to the side of it that a face is.  [px]"""
    return -half if face in (Face.MAIN_TOP, Face.BACKUP_TOP) else half


def rough(value: float, dimension: str) -> Quantity:
    """A figure that is good to a factor of five: no more of it is told than that."""
    return Quantity(value, dimension, digits=1)


def about(rub: float, words: Words) -> str:
    """What a picture tells of a place.  [J/m]"""
    return words.say("lessons-who-wears-about", rub=rough(rub, "line energy"))


def worst(rub: Rub, words: Words) -> tuple[str, ...]:
    """What all four faces bear, and a strip: short lines."""
    faces = list(Face)

    def most(face: Face) -> Quantity:
        return rough(float(rub.most[faces.index(face)]), "line energy")

    return (
        words.say("lessons-who-wears-main", top=most(Face.MAIN_TOP), under=most(Face.MAIN_UNDER)),
        words.say("lessons-who-wears-backup", top=most(Face.BACKUP_TOP), under=most(Face.BACKUP_UNDER)),
        words.say("lessons-who-wears-strip", work=rough(float(rub.strips.max()), "energy")),
    )


def rub_ink(  # type: ignore[no-untyped-def]
    shot: LessonShot, rub: Rub, most: float, frame, words: Words, *, told: bool
) -> list[Ink]:
    """A row: main, backup under it, tapes, and what glows; the strongest place has its figure."""
    ink: list[Ink] = []
    main, backup = frame.at(frame.seen(shot.main)), _lower(frame.at(frame.seen(shot.backup)))
    found = [spot for spot in spots(shot, rub, most, frame.at) if frame.left - 1.0 <= spot.at[0] <= frame.right + 1.0]
    if told:
        even = rub.even[list(Face).index(Face.MAIN_TOP)] / most
        if even > FAINT:
            band = tuple((x, y - 6.5) for x, y in main)
            ink.append(Line(points=band, colour=GLOW[0] if even < 0.2 else GLOW[1], width=6.0))
        for layer, colour in enumerate(GLOW):
            for spot in found:
                size = radius(spot.share) * (1.0 - 0.26 * layer)
                ink.append(Disc(at=_on(spot), radius=size, colour=colour))
    ink += [Line(points=backup, colour=QUIET_BACKUP, width=6.0), Line(points=main, colour=INK_MAIN, width=8.0)]
    for x, y in frame.at(shot.tapes):
        if frame.left - 1.0 <= x <= frame.right + 1.0:
            corners = ((x - 3.5, y - 7.0), (x + 3.5, y - 7.0), (x + 3.5, y + APART + 6.0), (x - 3.5, y + APART + 6.0))
            ink.append(Area(points=corners, colour=INK))
    if told and found:
        middle = 0.5 * (frame.left + frame.right)  # Of those that are alike the one that has most room.
        spot = min((each for each in found if each.rub >= ALIKE * found[-1].rub), key=lambda each: abs(
            each.at[0] - middle))
        x, y = _on(spot)
        at = min(x, frame.right - 30.0), y + (-58.0 if spot.face is Face.MAIN_TOP else 28.0)
        ink.append(Text(
            text=about(spot.rub, words), at=at, size=19.0, strong=True, align="middle", colour=RED,
            halo=PAPER,
        ))  # fmt: skip
    return ink


def _lower(points: tuple[Point, ...]) -> tuple[Point, ...]:
    return tuple((x, y + APART) for x, y in points)


def _on(spot: Glow) -> Point:
    x, y = spot.at
    return x, y + aside(spot.face, 4.0) + (APART if spot.face.line == "backup" else 0.0)
