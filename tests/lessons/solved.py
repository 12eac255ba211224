"""Lessons as they are shipped, solved once for all tests that look at them (see `tests.once`)."""

from __future__ import annotations

from functools import cache

import linescope
from linescope.lessons import plays
from linescope.lessons.takes import Play
from linescope.rig import Rig
from linescope.scenefile.shipped import lesson_file


def rig_of(name: str) -> Rig:
    return linescope.load(lesson_file(name)).rig


@cache
def _solved(name: str, positions: int) -> Play:
    return plays.play(name, rig_of(name), positions=positions)


def shipped(name: str, positions: int = 0) -> Play:
    """With so many positions of the knob, at the least."""
    return _solved(name, positions)
