"""What takes long and does not change is computed once in a run of the tests, whichever process asks.

A dozen files draw, print and brief the same few lines, and each makes studies of its own.  What these take longest
over are falls in time near the anchors (`linescope.events.deeper`): of one line up to a minute.  They are a function of
the plan and the inputs alone and are handed out frozen, so they are kept under a digest of both.  The tests of these
falls themselves, in `tests/events/test_deeper.py`, compute them.  Lessons are kept in the same way under their name and
their rig.

What else several files want of one and the same thing is kept under a name (`kept`): they ask for it by that name.
"""

from __future__ import annotations

import hashlib
import os
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from linescope.events import deeper
from linescope.events.deeper import Deeper
from linescope.lessons import plays
from linescope.lessons.takes import Play, Told
from linescope.motion.inputs import MotionInputs
from linescope.rig import Rig
from linescope.statics import Plan
from linescope.statics.solution import freeze

T = TypeVar("T")


def falls_in_time(folder: Path, compute: Callable[..., Deeper] = deeper.find_deeper) -> Callable[..., Deeper]:
    """`find_deeper` that keeps in a folder what it found."""

    def find_deeper(planned: Plan, *, inputs: MotionInputs | None = None, **more: Any) -> Deeper:
        name = hashlib.sha256(pickle.dumps((planned, inputs))).hexdigest()
        found = _kept(folder / name, lambda: compute(planned, inputs=inputs, **more))
        freeze(found)
        return found

    return find_deeper


def lessons(folder: Path, compute: Callable[..., Play] = plays.play) -> Callable[..., Play]:
    """`play` that keeps in a folder what it found."""

    def play(name: str, rig: Rig, told: Told | None = None, *, positions: int = 0) -> Play:
        of = hashlib.sha256(pickle.dumps((name, rig, positions))).hexdigest()
        return _kept(folder / f"lesson-{of}", lambda: compute(name, rig, told, positions=positions))

    return play


folder: Path | None = None
"""Where this run keeps what has a name; None outside of a run."""


def kept(name: str, compute: Callable[[], T]) -> T:
    """What is computed by the first process that asks for it by this name; the others read it."""
    return compute() if folder is None else _kept(folder / name, compute)


def _kept(file: Path, compute: Callable[[], T]) -> T:
    if file.exists():
        found: T = pickle.loads(file.read_bytes())
        return found
    found = compute()
    unfinished = file.with_name(f"{file.name}.{os.getpid()}")
    unfinished.write_bytes(pickle.dumps(found))
    unfinished.replace(file)
    return found
