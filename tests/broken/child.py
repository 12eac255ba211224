"""linescope as a process of its own, for what cannot be tried inside another: signals, limits, streams, users."""

from __future__ import annotations

import ctypes
import os
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

COMMAND = (sys.executable, "-W", "error", "-m", "linescope")
LONGEST = 120  # Seconds; a hang is a failure.


def environment(**more: str) -> dict[str, str]:
    """That of the tests, with the package on the path wherever the child runs."""
    root = str(Path(__file__).parents[2])
    return {**os.environ, "PYTHONPATH": root, "OMP_NUM_THREADS": "1", **more}


def run(
    *arguments: str, before: Callable[[], None] | None = None, stdout: int = subprocess.PIPE, **more: str
) -> subprocess.CompletedProcess[str]:
    """The command to its end; `before` runs in the child, such as to set limits."""
    return python(*COMMAND[1:], *arguments, before=before, stdout=stdout, **more)


def python(
    *arguments: str, before: Callable[[], None] | None = None, stdout: int = subprocess.PIPE, **more: str
) -> subprocess.CompletedProcess[str]:
    """Python to its end, with the package on its path."""

    def first() -> None:
        _hearing()
        if before is not None:
            before()

    return subprocess.run(
        [sys.executable, *arguments], stdout=stdout, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL,
        encoding="utf-8", errors="replace", check=False, timeout=LONGEST, preexec_fn=first, env=environment(**more),
    )


@contextmanager
def started(*arguments: str) -> Iterator[subprocess.Popen[str]]:
    """Python begun, with the package on its path; killed at the end if it has not ended."""
    process = subprocess.Popen(
        [sys.executable, *arguments], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, env=environment(),
        preexec_fn=_hearing,
    )
    try:
        yield process
    finally:
        process.kill()
        process.communicate()


def stopped(arguments: list[str], number: signal.Signals, after: float) -> tuple[int, str, bool]:
    """Send a signal so many seconds after the command took charge of its signals.

    Returns
    -------
    status : int
    said : str
        On standard error.
    early : bool
        Whether the command was still running when the signal came.
    """
    process = subprocess.Popen(
        [*COMMAND, *arguments], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, env=environment(),
        preexec_fn=_hearing,
    )
    bit = 1 << (signal.SIGTERM - 1)
    while process.poll() is None and not _caught(process.pid) & bit:
        time.sleep(0.01)
    try:
        process.wait(after)
    except subprocess.TimeoutExpired:
        process.send_signal(number)
        early = True
    else:
        early = False
    try:
        _, said = process.communicate(timeout=LONGEST)
    except subprocess.TimeoutExpired:
        process.kill()
        process.communicate()
        raise
    return process.returncode, said, early


def _hearing() -> None:
    """Tests that run in the background may have been started deaf to signals, and their children with them."""
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_DFL)


def _caught(process: int) -> int:
    """The signals a process has handlers for, as bits."""
    try:
        text = Path(f"/proc/{process}/status").read_text(encoding="ascii", errors="replace")
    except OSError:
        return 0
    return next((int(line.split()[1], 16) for line in text.splitlines() if line.startswith("SigCgt")), 0)


def limit(kind: int, amount: int) -> Callable[[], None]:
    """A limit to set in the child."""
    return lambda: resource.setrlimit(kind, (amount, amount))


def without_rights() -> None:
    """Take from root the rights that go beyond a file's permissions: it then reads and writes as its owner."""
    library = ctypes.CDLL(None, use_errno=True)
    for right in (1, 2):  # CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH
        if library.prctl(24, right, 0, 0, 0) != 0:  # PR_CAPBSET_DROP
            raise OSError(ctypes.get_errno(), "the right cannot be dropped")
