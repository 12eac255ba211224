"""The lesson of winding a tape as a film: the question, the strip on its way from beginning to end, where it ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from linescope.export.lesson_film import timed, write_frames
from linescope.rig import Rig
from linescope.stage import lesson_parts as parts
from linescope.stage import lesson_turns as turns
from linescope.stage.ink import Drawing, Ink, Line, Text
from linescope.stage.lesson_parts import EDGE, LEAST, RED
from linescope.stage.lesson_rows import FILM, FOOT
from linescope.stage.lesson_turns import WoundTape, wound_tapes
from linescope.stage.tape_card import HEAD, PAPER, QUIET, Mirror, panel, strip_parts
from linescope.stage.tape_steps import TapeStep
from linescope.topics.tapes import messages
from linescope.words import Words

PICTURES = 48
"""Of the strip on its way. [-]"""
TAIL = 46.0
"""Drawn of what is not laid yet. [mm]"""
NAME = "lessons-wind-a-tape"


def write_wind_film(
    path: str | Path, rig: Rig, words: Words, *, progress: Callable[[float, str], None] | None = None
) -> Path:
    """Write the film of the rig's first family, whole or not at all.

    Parameters
    ----------
    path : str or Path
        Ends in .mp4 (needs the extra "film") or .gif.
    rig : Rig
    words : Words
    progress : callable, optional
        Told the share done, 0 to 1, and what is being done.

    Raises
    ------
    InputError
        When the rig cannot be laid out.
    OutputError
        When the file cannot be written, or is of another kind.
    """
    tape = wound_tapes(rig)[0]
    return write_frames(path, timeline(), lambda part, count: wind_frame(tape, part, count, words), progress)


def timeline() -> list[tuple[str, int]]:
    """Of every frame, its part of the lesson ("ask", "show", "answer") and its picture, 0 to `PICTURES`."""
    return timed(PICTURES, PICTURES)


def wind_frame(each: WoundTape, part: str, count: int, words: Words) -> Drawing:
    """One frame: the tape in perspective with so much of the strip laid, its parts below."""
    tape, laid = each.tape, 1e3 * each.tape.cut_length * count / PICTURES
    phase = next((one for one in each.phases if laid < one.strip[-1] - 1e-6), each.phases[-1])
    point = int(np.searchsorted(phase.strip, laid, side="right")) - 1
    way = phase.way[: point + 1]
    if point < len(phase.way) - 1:
        a, b = phase.way[point], phase.way[point + 1]
        share = (laid - phase.strip[point]) / max(phase.strip[point + 1] - phase.strip[point], 1e-9)
        here, along = a + share * (b - a), (b - a) / np.hypot(*(b - a))
        way = np.concatenate([way, [here, here + min(TAIL, 1e3 * tape.cut_length - laid) * along]])
        way = way[np.concatenate([[True], np.hypot(*np.diff(way, axis=0).T) > 1e-6])]
    scene = TapeStep(
        lines=((True, 0.0), (False, -phase.apart)), strips=(way,), plain=each.pieces, mirrored=each.sticky_right,
        wide=1e3 * tape.tape.width, inset=None, focus=(-8.0, 3.0, -4.0), zoom=0.82,
    )  # fmt: skip
    if part == "answer" and each.phases[-1].way[-1, 1] < 0.0:  # Where it ends is seen from there.
        x, y, z = scene.eye
        scene = replace(scene, eye=(x, -y, z), focus=(-8.0, -3.0, -4.0))
    frame = (EDGE, 104.0, FILM[0] - EDGE, 560.0)
    ink: list[Ink] = [
        parts.question(f"{NAME}-question", words),
        *panel(each.shapes, scene, frame, words, Mirror(), messages.USUAL),
        *strip_parts(tape, (EDGE, 548.0, FILM[0] - EDGE, 660.0), words),
    ]
    ink = [replace(item, size=max(item.size, LEAST)) if isinstance(item, Text) else item for item in ink]
    x = EDGE + (FILM[0] - 2 * EDGE) * count / PICTURES
    ink.append(Line(points=((x, 600.0), (x, 650.0)), colour=RED, width=4.0))
    if part == "answer":
        text = words.say(f"{NAME}-ends", lies=messages.where_it_ends(tape, words))
        ink.append(Text(text=words.say(f"{NAME}-say"), at=(EDGE, 92.0), size=26.0, strong=True, colour=HEAD))
        ink.append(Text(text=f"{words.say(f'{tape.family.message}-slides')} {text}", at=(EDGE, 128.0), size=18.0,
                        width=FILM[0] - 2 * EDGE, halo=PAPER))  # fmt: skip
    elif part == "show":
        name = messages.part_name(tape, tape.segments[turns.part_at(tape, laid)].kind, words)
        side = words.say(f"{NAME}-sticky-{turns.sticky_side(each, phase, point)}")
        ink.append(Text(text=f"{name}: {side}", at=(EDGE, 92.0), size=24.0, strong=True))
    else:
        ink.append(Text(text=words.say(f"{NAME}-ask-text"), at=(EDGE, 92.0), size=20.0))
    basis = f"{words.say(f'{NAME}-basis')} {words.say('lessons-basis')}"
    ink.append(Text(text=basis, at=(EDGE, FOOT), size=LEAST, colour=QUIET, width=FILM[0] - 2 * EDGE))
    return Drawing(name="wind-a-tape", title=words.say(f"{NAME}-question"), size=FILM, paper=PAPER, ink=tuple(ink))
