"""A lesson as a film: the question, the states as they were solved, the answer."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from PIL import Image

from linescope.atomic import refuse_early, whole_file
from linescope.errors import OutputError
from linescope.export.film import _encoder, _gif, _mp4
from linescope.export.ink import image
from linescope.export.lesson import FILMS
from linescope.lessons.takes import Play, telling
from linescope.stage.ink import Drawing
from linescope.stage.lesson_rows import film_frame
from linescope.stage.theme import LIGHT
from linescope.words import Words

ASKED, SHOWN, ANSWERED = 3.0, 12.0, 5.0
"""How long the question stands, the states pass, the answer stands. [s]"""
FPS = 12.0
SIZE = (1280, 720)


def write_lesson_film(
    path: str | Path, play: Play, words: Words, *, progress: Callable[[float, str], None] | None = None
) -> Path:
    """Write the film, whole or not at all.

    Parameters
    ----------
    path : str or Path
        Ends in .mp4 (needs the extra "film") or .gif.
    play : Play
    words : Words
    progress : callable, optional
        Told the share done, 0 to 1, and what is being done.

    Raises
    ------
    OutputError
        When the file cannot be written, or is of another kind.
    """
    return write_frames(path, timeline(play), lambda part, count: drawing(play, part, count, words), progress)


def write_frames(
    path: str | Path, order: Sequence[tuple[str, int]], draw: Callable[[str, int], Drawing],
    progress: Callable[[float, str], None] | None = None,
) -> Path:
    """Write a lesson's frames one after the other, whole or not at all.

    Parameters
    ----------
    path : str or Path
        Ends in .mp4 (needs the extra "film") or .gif.
    order : sequence of (str, int)
        Of every frame, its part of the lesson and its picture; see `timed`.
    draw : callable
        From these to the drawing.
    progress : callable, optional
        Told the share done, 0 to 1, and what is being done.

    Raises
    ------
    OutputError
        When the file cannot be written, or is of another kind.
    """
    path = refuse_early(path, [])
    if path.suffix.lower() not in FILMS:
        raise OutputError("no film can be written to such a file", file=path, allowed=", ".join(FILMS))
    if path.suffix.lower() == ".mp4":
        _encoder(path)
    tell = progress or (lambda share, what: None)

    def pictures() -> Iterator[Image.Image]:
        last: tuple[tuple[str, int], Image.Image] | None = None
        for count, which in enumerate(order):
            if last is None or last[0] != which:
                last = which, image(draw(*which), SIZE[0])
            tell(count / len(order), "drawing")
            yield last[1]

    with whole_file(path) as draft:
        if path.suffix.lower() == ".gif":
            _gif(draft, pictures(), FPS, LIGHT)
        else:
            _mp4(draft, path, pictures(), len(order), FPS, SIZE)
    tell(1.0, path.name)
    return path


def timeline(play: Play) -> list[tuple[str, int]]:
    """Of every frame, which part of the lesson it belongs to ("ask", "show", "answer") and its state."""
    last = max(len(track.shots) for track in play.take.tracks) - 1
    return timed(last, telling(play.name, play.take.tracks))


def timed(last: int, answer: int) -> list[tuple[str, int]]:
    """The question on picture 0, then all pictures to the last, then the answer on its own; see `timeline`."""
    shown = round(SHOWN * FPS)
    passing = [("show", round(last * k / (shown - 1))) for k in range(shown)]
    return [("ask", 0)] * round(ASKED * FPS) + passing + [("answer", answer)] * round(ANSWERED * FPS)


def drawing(play: Play, part: str, count: int, words: Words) -> Drawing:
    """One frame."""
    return film_frame(play, count, words, told=part != "ask", answered=part == "answer")
