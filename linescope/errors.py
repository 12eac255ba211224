"""Every error linescope raises on purpose, in one family with one exit status each.

A user's mistake names the file, the key, what was found and what is allowed.  A computation that did not reach
equilibrium has a name of its own and a sentence of advice; it never returns a picture.
"""

from __future__ import annotations

import reprlib
from pathlib import Path

LONGEST_FOUND = 80  # Characters of what was found that a message shows.
LONGEST_NAME = 240  # Of a file's name and of a key.


def printable(text: str) -> str:
    """The same text with what a terminal would not show as a letter written as an escape, such as a newline in a name.

    Parameters
    ----------
    text : str

    Returns
    -------
    str
        Only characters that can be printed, in any encoding that has them.
    """
    if text.isprintable():
        return text
    return "".join(
        letter if letter.isprintable() else letter.encode("unicode_escape", "backslashreplace").decode("ascii")
        for letter in text
    )


def shortened(text: str, longest: int) -> str:
    """The beginning and the end of a text that is too long to be read."""
    if len(text) <= longest:
        return text
    end = longest // 3
    return f"{text[: longest - end - 3]}...{text[-end:]}"


def _shown(found: object) -> str:
    """What was found as Python writes it, at most `LONGEST_FOUND` characters of it; also of things nested deeply."""
    if isinstance(found, bool):
        text = str(found).lower()  # As TOML writes it.
    elif isinstance(found, str):
        text = repr(found[: LONGEST_FOUND + 1])
    elif isinstance(found, int | float) and abs(found) < 1e300:
        text = repr(found)
    else:
        brief = reprlib.Repr()
        brief.maxlist = brief.maxtuple = brief.maxdict = 12
        brief.maxstring = brief.maxother = brief.maxlong = LONGEST_FOUND
        try:
            text = brief.repr(found)
        except ValueError:  # Python does not write out whole numbers of thousands of digits.
            text = "a number of thousands of digits"
    return text if len(text) <= LONGEST_FOUND else text[: LONGEST_FOUND - 3] + "..."


class LinescopeError(Exception):
    """Base of all deliberate errors.  `exit_status` is what the command line returns for it."""

    exit_status = 2


class InputError(LinescopeError):
    """Something the user gave cannot be used.

    Parameters
    ----------
    problem : str
        What is wrong, one sentence.
    file : str or Path, optional
        The file it stands in.
    key : str, optional
        The key, column or element inside the file, as a dotted path.
    found : object, optional
        What was found there (shortened to 80 characters in the message).
    allowed : str, optional
        What would be accepted.
    """

    def __init__(
        self,
        problem: str,
        *,
        file: str | Path | None = None,
        key: str | None = None,
        found: object = None,
        allowed: str | None = None,
    ) -> None:
        self.problem, self.file, self.key, self.found, self.allowed = problem, file, key, found, allowed
        super().__init__(self._text())

    def _text(self) -> str:
        parts = [shortened(str(self.file), LONGEST_NAME)] if self.file is not None else []
        if self.key:
            place = shortened(self.key, LONGEST_NAME)
            parts.append(place if place.startswith("line ") else f"key '{place}'")
        text = ": ".join([*parts, self.problem])
        if self.found is not None:
            text += f"; found {_shown(self.found)}"
        if self.allowed:
            text += f"; allowed: {self.allowed}"
        return printable(text)

    def within(self, *, file: str | Path | None = None, prefix: str | None = None) -> InputError:
        """The same error with a file, or an outer key, put in front (for callers that know more)."""
        key = ".".join(part for part in (prefix, self.key) if part) or None
        return type(self)(
            self.problem, file=file or self.file, key=key, found=self.found, allowed=self.allowed
        )


class SceneError(InputError):
    """A scene file, or a value in it, cannot be used."""


class TerrainError(InputError):
    """A ground mesh, grid, point cloud or profile cannot be used."""


class OutputError(InputError):
    """A result cannot be written where the user asked for it."""


class SystemPackageError(LinescopeError):
    """Something of the operating system that drawing needs is missing."""

    exit_status = 5


class MissingViewerError(LinescopeError):
    """The 3-D viewer was not built into this copy of linescope: the npm registry could not be reached then."""

    exit_status = 5


class SolveError(LinescopeError):
    """A computation did not reach equilibrium.  It has a name and advice, and no result.

    Parameters
    ----------
    problem : str
        What failed, one sentence with figures.
    advice : str
        What the user can try.
    """

    exit_status = 4

    def __init__(self, problem: str, *, advice: str) -> None:
        self.problem, self.advice = problem, advice
        super().__init__(f"{type(self).__name__}: {problem} Try: {advice}")


class NoEquilibrium(SolveError):
    """The force balance was not met within the allowed number of steps."""


class SegmentNotSolved(SolveError):
    """One piece of line has no catenary solution to the asked accuracy."""


class TensionNotReached(SolveError):
    """No length of main gives the asked standing tension."""


class CrossingNotSettled(SolveError):
    """A stick-slip crossing kept changing when its steps were made smaller."""


class FallNotBounded(SolveError):
    """No lowest point of a fall was found within the range the lines can reach."""


class MotionNotClosed(SolveError):
    """The account of energy of a motion in time does not close."""
