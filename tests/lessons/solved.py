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
def _solved(name: str, between: int) -> Play:
    return plays.play(name, rig_of(name), between=between)


def shipped(name: str, between: int = 0) -> Play:
    """With so many positions of the knob between two of its stops."""
    return _solved(name, between)
