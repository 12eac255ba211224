"""What a command does as a process: its streams, the signals that end it, and its last words.

Exit status 0: done.  1: a fault of linescope itself.  2: something given cannot be used, or nothing can be written
where it should go.  3: a required clearance is not met, or not known to be.  4: no equilibrium was reached.  5: the
system lacks something that drawing needs.  130: interrupted (129 and 143: told to end by the system).
"""

from __future__ import annotations

import contextlib
import os
import select
import signal
import sys
import threading
import time
import traceback
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from types import FrameType

from linescope.errors import LinescopeError, OutputError, printable

ENDING = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))
GRACE = 2.0  # What a second signal leaves for clearing away, before the process is ended from outside.  [s]
LEAST_MEMORY = 400 * 2**20
"""Address space without which numerical libraries cannot start: they then wait for memory, deaf to every signal.

Measured: with two threads 320 MiB are too little and 390 MiB enough.  [bytes]
"""
LATER = 0.05  # A signal is seen to again so much later, until the command has ended.  [s]
TOO_LITTLE = "linescope: this needs more memory than there is; give it less, or give the process more"
REDRAWN = 0.1  # A terminal is drawn on no more often than this.  [s]
EVERY = 20.0  # Where no terminal watches, a long command says how far it is so often.  [s]
SHOW_TRACEBACK = "LINESCOPE_TRACEBACK"  # Environment variable: a fault of linescope's own is shown where it arose.


class Ended(KeyboardInterrupt):
    """A signal told the process to end; half-written files are removed on the way out.

    Not plain KeyboardInterrupt: once one has passed through an import, Python ends by the signal whatever it is told.
    """

    def __init__(self, number: int) -> None:
        self.number = number
        super().__init__(number)


_WIPED: list[Callable[[], None]] = []  # What takes a line of progress off the terminal before it is written on.
_WATCHED: list[threading.Event] = []  # Set when what a thread watches has ended.


def _wipe() -> None:
    while _WIPED:
        with contextlib.suppress(OSError, ValueError):
            _WIPED.pop()()


def say(text: str) -> None:
    """Write a line, or lines, to standard output.

    Raises
    ------
    OutputError
        When there is no standard output, or no room where it leads.
    BrokenPipeError
        When its reader has gone.
    """
    if sys.stdout is None:
        raise OutputError("there is no standard output to write to", allowed="a terminal, a pipe or a file")
    _wipe()
    with _refused():
        sys.stdout.write(text if text.endswith("\n") else text + "\n")


def complain(text: str) -> None:
    """Write a line to standard error, if there is one."""
    if sys.stderr is not None:
        _wipe()
        with contextlib.suppress(OSError):
            sys.stderr.write(text + "\n")
            sys.stderr.flush()


def progress() -> Callable[[float, str], None] | None:
    """Says what is being done: on a terminal in one line that changes, else in a line now and then."""
    if sys.stderr is None:
        return None
    from linescope.words import Words

    words = Words()
    if sys.stderr.isatty():
        return _bar(lambda what: words.named("doing", what))
    return _Lines(lambda what: words.named("doing", what)).tell


class _Lines:
    """How far a command is, in a line every `EVERY` seconds, also while what it waits for tells nothing of itself."""

    def __init__(self, named: Callable[[str], str]) -> None:
        self.named, self.begin = named, time.monotonic()
        self.said, self.last = self.begin, (0.0, "")
        self.lock, self.over = threading.Lock(), threading.Event()

    def tell(self, share: float, what: str) -> None:
        """Called from where the work is done."""
        started, self.last = bool(self.last[1]), (share, what)
        if share >= 1.0:
            self.over.set()
        elif not started:  # Begun by the first word: a command that computes nothing needs no thread.
            _WATCHED.append(self.over)
            with contextlib.suppress(RuntimeError):  # Without a thread to spare it is only less often told.
                threading.Thread(target=self._watch, daemon=True).start()
        else:
            self._say()

    def _watch(self) -> None:
        while not self.over.wait(0.25 * EVERY):
            self._say()

    def _say(self) -> None:
        with self.lock:
            now = time.monotonic()
            if now - self.said < EVERY or self.over.is_set():
                return
            self.said = now
        share, what = self.last
        complain(f"linescope: {100.0 * share:.0f} % after {now - self.begin:.0f} s: {self.named(what)}")


def _bar(named: Callable[[str], str]) -> Callable[[float, str], None]:
    """A line on a terminal with the share done, what is being done and the time left; gone when all is done.

    It is drawn when told, by no thread of its own, and without colour where `NO_COLOR` is set.
    """
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeRemainingColumn

    class Terminal(Console):
        """One whose cursor is never hidden: a process that is killed could not bring it back."""

        def show_cursor(self, show: bool = True) -> bool:
            return False

    said = TextColumn("{task.description}", markup=False)
    bar = Progress(
        TaskProgressColumn(), BarColumn(bar_width=24), TimeRemainingColumn(), said,
        console=Terminal(file=sys.stderr), transient=True, auto_refresh=False,
    )
    task = bar.add_task("", total=1.0)
    shown = [0.0]

    def tell(share: float, what: str) -> None:
        now = time.monotonic()
        if share >= 1.0:
            bar.stop()
        elif now - shown[0] >= REDRAWN:
            shown[0] = now
            bar.start()
            _WIPED.append(bar.stop)
            bar.update(task, completed=share, description=named(what), refresh=True)

    return tell


def run(command: Callable[[], int], *, as_process: bool) -> int:
    """Run a command, and turn however it ends into words and an exit status.

    Parameters
    ----------
    command : callable
        Returns its exit status.
    as_process : bool
        Whether streams and signals are the command's own, as in a process started for it.

    Returns
    -------
    int
    """
    ended: list[int] = []
    try:
        if as_process:
            _prepare_streams()
            _refuse_too_little_memory()
        with _endings_as_errors(ended) if as_process else contextlib.nullcontext():
            try:
                status = command()
            except SystemExit:
                _flush()
                raise
            finally:
                while _WATCHED:
                    _WATCHED.pop().set()
            _flush()
            return status
    except LinescopeError as error:
        complain(f"linescope: {error}")
        status = error.exit_status
    except KeyboardInterrupt:
        status = _interrupted(ended)
    except BrokenPipeError:
        status = 0  # Whoever read our output has gone; nothing is wrong on this side.
    except MemoryError:
        complain(TOO_LITTLE)
        status = 2
    except Exception as error:
        if ended:  # An interrupt may come back as another error.
            status = _interrupted(ended)
        elif os.environ.get(SHOW_TRACEBACK):
            raise
        elif _lacks_memory(error):
            complain(TOO_LITTLE)
            status = 2
        else:
            complain(_fault(error))
            status = 1
    if as_process:
        _drop_output()
        if ended:
            os._exit(status)  # Tearing down what was being drawn may crash; nothing is left to be done.
    return status


def _interrupted(ended: list[int]) -> int:
    complain("linescope: interrupted; files written before are complete")
    return 128 + (ended[0] if ended else signal.SIGINT)


def _fault(error: Exception) -> str:
    """A sentence about a fault that is not the user's."""
    own = [each for each in traceback.extract_tb(error.__traceback__) if "linescope" in Path(each.filename).parts]
    place = f" in {Path(own[-1].filename).name}, line {own[-1].lineno}" if own else ""
    text = printable(f"{type(error).__name__}: {error}"[:300])
    return (
        f"linescope: this is a fault of linescope, not yours ({text}{place}). Please report it with the scene; "
        f"{SHOW_TRACEBACK}=1 in the environment shows where it arose"
    )


def _end_at_the_next() -> None:
    """Have a second process wait for one more signal, and end this one `GRACE` after it, whatever holds it up.

    A library that computes, or waits, without a line of Python in between keeps every handler from running; the
    system's own part of handling a signal still writes its number into a pipe.
    """
    read, write = os.pipe()
    os.set_blocking(write, False)
    watched = os.getpid()
    if os.fork():
        os.close(read)
        signal.set_wakeup_fd(write, warn_on_full_buffer=False)
        return
    try:
        os.setsid()  # What the terminal sends is not for this one.
        for kept in range(256):  # Whoever reads what the command writes must see its end.
            if kept != read:
                with contextlib.suppress(OSError):
                    os.close(kept)
        while (numbers := os.read(read, 64)) and not set(numbers) & set(ENDING):
            pass
        end = time.monotonic() + GRACE
        while numbers and (left := end - time.monotonic()) > 0.0:
            if select.select([read], [], [], left)[0]:
                numbers = os.read(read, 64)
        if numbers:
            os.kill(watched, signal.SIGKILL)
    finally:
        os._exit(0)


def _refuse_too_little_memory() -> None:
    """Say so before a numerical library is loaded that would wait for memory for ever.

    Raises
    ------
    MemoryError
        When the process may have less than `LEAST_MEMORY`.
    """
    try:
        import resource
    except ImportError:  # Only POSIX systems limit a process so.
        return
    limit = resource.getrlimit(resource.RLIMIT_AS)[0]
    if limit != resource.RLIM_INFINITY and limit < LEAST_MEMORY:
        raise MemoryError


def _lacks_memory(error: Exception) -> bool:
    """Whether a library could not be loaded for want of memory, which the loader tells in its own words."""
    return isinstance(error, (ImportError, OSError)) and any(
        sign in str(error).lower() for sign in ("failed to map segment", "cannot allocate memory", "out of memory")
    )


def _prepare_streams() -> None:
    """What a terminal's encoding does not have is written as an escape, never an error."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")


@contextlib.contextmanager
def _endings_as_errors(ended: list[int]) -> Iterator[None]:
    """Let the signals that end a process raise, so that half-written files are removed on the way out.

    Parameters
    ----------
    ended : list of int
        The numbers of signals that came are added to it.
    """

    def end(number: int, frame: FrameType | None) -> None:
        if number in ENDING:
            ended.append(number)
        # What is broken off half way, such as the start of another process, has no more to say at the very end.
        warnings.simplefilter("ignore")
        sys.unraisablehook = lambda _: None
        sys.excepthook = lambda *_: None
        _silence_drawing()
        if not hasattr(signal, "setitimer"):
            raise Ended(ended[0])
        if not watched and number in ENDING:
            watched.append(True)
            _end_at_the_next()
        signal.setitimer(signal.ITIMER_REAL, LATER)  # Where it came it may not have been heard.
        if not (_importing(frame) or _ending()):
            raise Ended(ended[0])

    watched: list[bool] = []
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    old = {number: signal.getsignal(number) for number in ENDING}
    # What nohup ignores stays ignored.
    ours = [number for number, before in old.items() if before in (signal.SIG_DFL, signal.default_int_handler)]
    for number in ours:
        signal.signal(number, end)
    if hasattr(signal, "SIGALRM"):
        signal.signal(signal.SIGALRM, end)
    try:
        yield
    finally:
        if hasattr(signal, "setitimer"):
            signal.signal(signal.SIGALRM, signal.SIG_IGN)
        for number in ours:  # The process is at its end: nothing is left that could be stopped.
            signal.signal(number, signal.SIG_IGN)


@contextlib.contextmanager
def _refused() -> Iterator[None]:
    try:
        yield
    except BrokenPipeError:
        raise
    except OSError as error:
        raise OutputError(
            f"standard output cannot be written ({error.strerror or error})", allowed="a terminal, a pipe or a file "
            "where there is room",
        ) from error


def _silence_drawing() -> None:
    """Let the drawing library not tell, in its own words, that a step of its was broken off."""
    loaded = getattr(sys.modules.get("vtkmodules.vtkCommonCore"), "vtkObject", None)
    if loaded is not None:
        loaded.GlobalWarningDisplayOff()


def _importing(frame: FrameType | None) -> bool:
    """Whether a module is being loaded: drawing libraries crash when that is broken off half way."""
    while frame is not None:
        if frame.f_code.co_filename.startswith("<frozen importlib"):
            return True
        frame = frame.f_back
    return False


def _ending() -> bool:
    """Whether what an ending leaves behind is being cleared away."""
    handled = sys.exc_info()[1]
    while handled is not None:
        if isinstance(handled, Ended):
            return True
        handled = handled.__context__
    return False


def _flush() -> None:
    if sys.stdout is not None:
        with _refused():
            sys.stdout.flush()


def _drop_output() -> None:
    """Let nothing that is still waiting to be written fail once more at the very end."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        sys.stdout.flush()
        return
    with contextlib.suppress(OSError, ValueError, AttributeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
