"""A second process for long jobs, so that they cannot hold up or take down the page; one job at a time.

Parent and child speak through the child's standard input and output: pickled messages behind a length of four bytes.
"""

from __future__ import annotations

import os
import pickle
import struct
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from linescope.errors import InputError, LinescopeError
from linescope.words import Words

if TYPE_CHECKING:
    from linescope.scene import Scene

Tell = Callable[[str, Any], None]


class JobError(LinescopeError):
    """A job in the second process failed, or was stopped."""


class Worker:
    """The parent's end.  Its child starts with the first job and ends with `close`."""

    def __init__(self) -> None:
        self._child: subprocess.Popen[bytes] | None = None
        self._turn = threading.Lock()
        self._stopped = threading.Event()

    def run(self, job: str, arguments: dict[str, Any], tell: Tell) -> Any:
        """Do a job and wait for it.

        Parameters
        ----------
        job : str
            A key of `JOBS`.
        arguments : dict
            What the job takes.
        tell : callable
            Told name and content of every message on the way, from this thread.

        Raises
        ------
        JobError
            When it failed or was stopped.
        """
        with self._turn:
            self._stopped.clear()
            child = self._ready()
            assert child.stdin is not None
            assert child.stdout is not None
            try:
                _send(child.stdin, (job, arguments))
                while True:
                    name, content = _receive(child.stdout)
                    if name == "done":
                        return content
                    if name == "failed":
                        raise JobError(content)
                    tell(name, content)
            except (EOFError, OSError) as error:
                self._end()
                reason = "stopped" if self._stopped.is_set() else f"the second process ended ({error or 'no reason'})"
                raise JobError(reason) from error

    def stop(self) -> None:
        """Stop the job under way by ending the child; the next job starts a new one."""
        self._stopped.set()
        child = self._child
        if child is not None:
            child.kill()

    def close(self) -> None:
        """End the child."""
        self.stop()
        self._end()

    def _ready(self) -> subprocess.Popen[bytes]:
        if self._child is None or self._child.poll() is not None:
            self._end()
            # -P: nothing is imported from the folder the user happens to be in.
            self._child = subprocess.Popen(
                [sys.executable, "-P", "-m", "linescope.app.worker"], stdin=subprocess.PIPE, stdout=subprocess.PIPE
            )
        return self._child

    def _end(self) -> None:
        child, self._child = self._child, None
        if child is None:
            return
        child.kill()
        for pipe in (child.stdin, child.stdout):
            if pipe is not None:
                with suppress(OSError):
                    pipe.close()
        child.wait()


def _send(pipe: BinaryIO | Any, message: object) -> None:
    data = pickle.dumps(message, protocol=pickle.HIGHEST_PROTOCOL)
    left = memoryview(struct.pack("<I", len(data)) + data)
    while left:
        left = left[pipe.write(left) :]
    pipe.flush()


def _receive(pipe: BinaryIO | Any) -> Any:
    head = _exactly(pipe, 4)
    return pickle.loads(_exactly(pipe, struct.unpack("<I", head)[0]))


def _exactly(pipe: BinaryIO | Any, count: int) -> bytes:
    data = b""
    while len(data) < count:
        more = pipe.read(count - len(data))
        if not more:
            raise EOFError
        data += more
    return data


def _scene(arguments: dict[str, Any]) -> Scene:
    from linescope.scene import Scene

    return Scene(
        text=arguments["text"], path=Path(arguments["path"]), tried=arguments["tried"], variant=arguments["variant"]
    )


def _study(arguments: dict[str, Any], tell: Tell) -> None:
    from linescope.app.parts import answers

    words = Words(system=arguments["system"])
    for name, part in answers(_scene(arguments), arguments["state"], words, lambda *told: tell("progress", told)):
        tell(name, part)


def _film(arguments: dict[str, Any], tell: Tell) -> bytes:
    """One film, at the walker's place or at another."""
    from linescope.app.live import packed
    from linescope.export.space.part import film
    from linescope.study import Study

    scene, which, level = _scene(arguments), arguments["which"], arguments["level"]
    rig: Any = scene
    if arguments["at"] is not None and scene.rig.walker is not None:
        rig = scene.rig.with_walker_at(min(max(arguments["at"], 1e-3), scene.rig.span - 1e-3))
    wanted = {"crossing": f"crossing_{level}", "fall": "fall_course", "gone": "gone_course", "gust": "gust_course"}
    needed = {wanted[which], "crossing_value"} if which == "crossing" else {wanted[which]}
    study = Study(rig, leave=Study.SLOW - needed, progress=lambda share, what: tell("progress", (share, what)))
    study.run([wanted[which]])
    made = study.get(wanted[which])
    words = Words(arguments["system"])
    if not made:
        raise InputError(words.note(made.note))
    if which == "crossing" and level != "value":
        study = Study(rig, leave=Study.SLOW - needed, given={"planned": study.planned, "crossing_value": made})
    return packed(film(study, words, which), {"kind": "film", "at": arguments["at"], "level": level})


def _brief(arguments: dict[str, Any], tell: Tell) -> dict[str, list[str]]:
    from linescope.export.briefing import write_briefing

    scene = _scene(arguments)
    said: list[str] = []
    files, missing = write_briefing(
        scene, arguments["out"], theme=arguments["theme"], units=arguments["system"],
        progress=lambda share, what: tell("progress", (share, what)), notice=said.append,
    )
    return {"files": [str(file) for file in files], "left_out": list(missing), "said": said}


def _day(arguments: dict[str, Any], tell: Tell) -> dict[str, Any]:
    from linescope.app.parts import rub
    from linescope.study import Study
    from linescope.words import Words

    study = Study(_scene(arguments), progress=lambda share, what: tell("progress", (share, what)))
    study.run(["wear"])
    return rub(study, Words(arguments["system"]))


def _in_time(arguments: dict[str, Any], tell: Tell) -> dict[str, Any]:
    from linescope.app.parts import in_time
    from linescope.study import Study
    from linescope.words import Words

    study = Study(_scene(arguments), in_time=True, progress=lambda share, what: tell("progress", (share, what)))
    study.run([name for name in Study.RESULTS if name.endswith("_in_time")])
    return in_time(study, Words(arguments["system"]))


def _advice(arguments: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """What would put the rig right; each plan is told as soon as it is there."""
    from linescope.advise import Ask, Option
    from linescope.app.advised import advised, planned
    from linescope.study import Study

    words = Words(arguments["system"])
    study = Study(
        _scene(arguments), advise=Ask(system=arguments["system"]),
        progress=lambda share, what: tell("progress", (share, what)),
    )
    told: list[Option] = []

    def found(option: Option) -> None:
        tell("plan", planned(option, len(told), words))
        told.append(option)

    study.on_plan = found
    study.run(["advice"])
    advice = study.advice
    return {**advised(study, words), "foreteller": advice.foreteller if advice else None}


JOBS: dict[str, Callable[[dict[str, Any], Tell], Any]] = {
    "study": _study, "film": _film, "brief": _brief, "day": _day, "in-time": _in_time, "advice": _advice,
}


def serve_jobs(source: BinaryIO | Any, sink: BinaryIO | Any) -> None:
    """The child's loop: read a job, do it, until the parent is gone."""
    while True:
        try:
            job, arguments = _receive(source)
        except EOFError:
            return
        try:
            result = JOBS[job](arguments, lambda name, content: _send(sink, (name, content)))
            _send(sink, ("done", result))
        except BrokenPipeError:
            raise
        except LinescopeError as error:
            _send(sink, ("failed", str(error)))
        except (ArithmeticError, LookupError, TypeError, ValueError, RuntimeError, OSError) as error:
            _send(sink, ("failed", f"{type(error).__name__}: {error}"))


def main() -> None:
    """Entry of the child: messages get a pipe of their own, whatever else is printed goes to standard error."""
    sink = os.fdopen(os.dup(1), "wb", buffering=0)
    os.dup2(2, 1)
    with suppress(BrokenPipeError, KeyboardInterrupt):  # The parent is gone: nobody waits for an answer.
        serve_jobs(sys.stdin.buffer, sink)


if __name__ == "__main__":
    main()
