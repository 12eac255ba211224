"""One broken input, and what must be true of the program's answer to it."""

from __future__ import annotations

import contextlib
import io
import signal
import stat
import threading
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

from linescope.cli import main

LONGEST = 60  # Seconds after which a case counts as hung; none should need one.
LONGEST_MESSAGE = 900  # Characters besides the file's name; more is not read.


@dataclass(frozen=True, kw_only=True)
class Case:
    """A command on something broken.

    Attributes
    ----------
    kind, name : str
    make : callable
        Writes the broken thing into the folder it is given; returns the arguments of the command.
    file : str
        What of a file's name the message must hold.
    key : str
        Beginning of the key the message must name; "" where no key is at fault.
    words : tuple of str
        What else the message must say.
    """

    kind: str
    name: str
    make: Callable[[Path], list[str]]
    file: str = ""
    key: str = ""
    words: tuple[str, ...] = ()

    def __str__(self) -> str:
        return f"{self.kind}: {self.name}".encode("ascii", "backslashreplace").decode()


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What the program did."""

    status: object
    out: str
    err: str


@contextlib.contextmanager
def within(seconds: int) -> Iterator[None]:
    """A hang is a failure, not an endless test."""

    def ring(number: int, frame: FrameType | None) -> None:
        raise TimeoutError(f"still running after {seconds} s")

    if threading.current_thread() is not threading.main_thread():
        yield
        return
    old = signal.signal(signal.SIGALRM, ring)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, old)


def run(arguments: list[str]) -> Answer:
    """The command in this process, warnings as errors; a traceback would surface as the exception it is."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), warnings.catch_warnings(), within(LONGEST):
        warnings.simplefilter("error")
        try:
            status: object = main(arguments)
        except SystemExit as stop:
            status = stop.code
    return Answer(status=status, out=out.getvalue(), err=err.getvalue())


def contents(folder: Path) -> dict[str, object]:
    """Every name under a folder, and what ordinary files hold."""
    found: dict[str, object] = {}
    for path in sorted(folder.rglob("*")):
        status = path.lstat()
        small = stat.S_ISREG(status.st_mode) and status.st_size < 10_000_000
        found[str(path.relative_to(folder))] = path.read_bytes() if small else (status.st_mode, status.st_size)
    return found


def check(case: Case, folder: Path) -> None:
    """Run a case in a folder of its own and assert everything that must hold."""
    arguments = case.make(folder)
    before = contents(folder)
    answer = run(arguments)
    assert answer.status == 2, f"{case}: exit status {answer.status!r}; said {answer.err!r}"
    assert contents(folder) == before, f"{case}: files appeared or changed"
    assert "Traceback" not in answer.err
    assert "Warning" not in answer.err
    assert "linescope" in answer.err
    assert case.file in answer.err, f"{case}: no file {case.file!r} in {answer.err!r}"
    assert f"key '{case.key}" in answer.err or not case.key, f"{case}: no key {case.key!r} in {answer.err!r}"
    for word in case.words:
        assert word in answer.err, f"{case}: no {word!r} in {answer.err!r}"
    said = answer.err.replace(str(folder), "")
    assert len(said) <= LONGEST_MESSAGE or "usage:" in said, f"{case}: {len(said)} characters: {said!r}"
    assert all(letter.isprintable() or letter == "\n" for letter in said), f"{case}: raw control characters: {said!r}"
