"""Timing of repeated calls, and the rows of the table of results."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

TABLE_HEAD = (
    "| what | ours, median (min) | peer, median (min) | ratio | growth exponent | peak memory | target | met |\n"
    "|---|---|---|---|---|---|---|---|"
)


def _time(seconds: float) -> str:
    if seconds >= 1.0:
        return f"{seconds:.3g} s"
    return f"{seconds * 1e3:.3g} ms" if abs(seconds) >= 1e-3 else f"{seconds * 1e6:.3g} µs"


@dataclass(frozen=True)
class Timing:
    """Seconds of each repetition, divided by the number of things done in it."""

    seconds: np.ndarray

    @property
    def median(self) -> float:
        return float(np.median(self.seconds))

    @property
    def best(self) -> float:
        return float(np.min(self.seconds))

    def __str__(self) -> str:
        return f"{_time(self.median)} ({_time(self.best)})"


def timed(
    call: Callable[[], object], *, repeat: int = 5, per: int = 1, clock: Callable[[], float] = time.perf_counter
) -> Timing:
    """Time a call; the first one, which warms caches, is not counted.

    Parameters
    ----------
    call : callable
    repeat : int
    per : int
        Things done in one call.
    clock : callable
        In seconds: `time.process_time` counts what all threads together work, and not what others do meanwhile.
    """
    call()
    seconds = []
    for _ in range(repeat):
        start = clock()
        call()
        seconds.append((clock() - start) / per)
    return Timing(np.array(seconds))


@dataclass(frozen=True, kw_only=True)
class Row:
    """One line of the table: a ratio of medians to a peer, a growth exponent, a time, memory; with its target.

    Attributes
    ----------
    met : bool or None
        None where nothing is asked.
    memory : float, optional
        Peak of the largest process.  [MB]
    """

    what: str
    ours: Timing | str
    target: str = "-"
    met: bool | None = None
    peer: Timing | str = "-"
    ratio: float | None = None
    growth: float | None = None
    memory: float | None = None

    def markdown(self) -> str:
        ratio = "-" if self.ratio is None else f"{self.ratio:.3g}"
        growth = "-" if self.growth is None else f"{self.growth:.2f}"
        memory = "-" if self.memory is None else f"{self.memory:.0f} MB"
        met = "-" if self.met is None else "met" if self.met else "MISSED"
        return (
            f"| {self.what} | {self.ours} | {self.peer} | {ratio} | {growth} | {memory} | {self.target} | {met} |"
        )


def within(what: str, ours: Timing, most: float, note: str = "", **more: object) -> Row:
    """A row that asks for a median of at most `most` seconds."""
    return Row(what=what, ours=ours, target=f"{_time(most)}{note}", met=ours.median <= most, **more)  # type: ignore[arg-type]


def against(what: str, ours: Timing, peer: Timing, least: float, note: str = "", also: bool = True) -> Row:
    """A row that asks for a ratio of medians of at least `least`, and for what else was found to be right."""
    ratio = peer.median / ours.median
    target = f"{least:g} times as fast{note}"
    return Row(what=what, ours=ours, peer=peer, ratio=ratio, target=target, met=ratio >= least and also)


def growth(what: str, sizes: list[int], timings: list[Timing], most: float) -> Row:
    """A row that asks for time ~ size^p with p at most `most`, fitted to the medians on double logarithms."""
    exponent = float(np.polyfit(np.log(sizes), np.log([t.median for t in timings]), 1)[0])
    ours = ", ".join(f"{size}: {timing}" for size, timing in zip(sizes, timings, strict=True))
    return Row(what=what, ours=ours, growth=exponent, target=f"exponent at most {most:g}", met=exponent <= most)
