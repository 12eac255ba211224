"""Commands and functions run in processes of their own: seconds, and peak memory.

Linux hands a parent's peak memory on to its children until they have grown beyond it, so a child is started by a
launcher that holds next to nothing: this very file, run without site packages.
"""

from __future__ import annotations

import json
import os
import pickle
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

ROOT = Path(__file__).parents[2]


class Ran:
    """One run: wall-clock and processor seconds, peak memory of its largest process [MB], and what it wrote."""

    def __init__(self, seconds: float, busy: float, memory: float, output: bytes) -> None:
        self.seconds, self.busy, self.memory, self.output = seconds, busy, memory, output


def run(command: Sequence[str], *, path: Path = ROOT, allowed: tuple[int, ...] = (0,)) -> Ran:
    """Run a command to its end.

    Parameters
    ----------
    command : sequence of str
    path : Path
        First on the path of Python modules.
    allowed : tuple of int
        Exit statuses that do not raise.

    Raises
    ------
    RuntimeError
        When the command ends otherwise.
    """
    environment = {**os.environ, "PYTHONPATH": str(path)}
    with tempfile.TemporaryDirectory() as folder:
        out, told = Path(folder) / "out", Path(folder) / "told"
        launcher = [sys.executable, "-I", "-S", __file__, str(out), str(told)]
        subprocess.run([*launcher, *command], env=environment, cwd=folder, check=True)
        status, seconds, busy, memory = json.loads(told.read_text())
        if status not in allowed:
            said = Path(f"{out}.errors").read_text(encoding="utf-8", errors="replace")[-2000:]
            raise RuntimeError(f"exit status {status}: {' '.join(command)}\n{said}")
        return Ran(seconds, busy, memory, out.read_bytes())


def called(function: Callable[..., object], *arguments: object) -> tuple[object, Ran]:
    """Call a function of a benchmark module in a process of its own; its result, and the run."""
    script = (
        "import importlib, pickle, sys; module, name, arguments = pickle.loads(bytes.fromhex(sys.argv[1]));"
        "result = getattr(importlib.import_module(module), name)(*arguments);"
        "sys.stdout.buffer.write(pickle.dumps(result))"
    )
    call = pickle.dumps((function.__module__, function.__name__, arguments)).hex()
    ran = run([sys.executable, "-c", script, call])
    return pickle.loads(ran.output), ran


def _launch(out: str, told: str, command: list[str]) -> None:
    with open(out, "wb") as sink, open(f"{out}.errors", "wb") as errors:
        begun = time.perf_counter()
        child = subprocess.Popen(command, stdout=sink, stderr=errors, stdin=subprocess.DEVNULL)
        _, status, used = os.wait4(child.pid, 0)
        seconds = time.perf_counter() - begun
    with open(told, "w", encoding="utf-8") as report:
        busy = used.ru_utime + used.ru_stime
        json.dump([os.waitstatus_to_exitcode(status), seconds, busy, used.ru_maxrss * 1024 / 1e6], report)


if __name__ == "__main__":
    _launch(sys.argv[1], sys.argv[2], sys.argv[3:])
