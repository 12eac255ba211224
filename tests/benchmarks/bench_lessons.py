"""Lessons and the comparison of styles as a teacher has them: commands from cold, and pages opened from disk.

The first frame of a page is timed in a headless Chromium without a graphics card, from asking for the file until its
first picture is painted; every page is opened in a tab of its own.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from linescope.stage.lessons import LESSONS
from tests.benchmarks.bench_commands import SCENES, install
from tests.benchmarks.children import ROOT, run
from tests.benchmarks.timing import Row, Timing, within

LOOK, FILM, FIRST, LARGEST = 3.0, 60.0, 2.0, 1.5  # Targets [s, s, s, MB].
OPENED = 3  # Times each page is opened.


def compared(program: list[str], target: Path) -> Iterator[Row]:
    """`linescope compare --quick` from cold; the first run, in which loops are compiled, is not counted."""
    for count, name in enumerate(SCENES):
        command = [*program, "compare", "--quick", str(ROOT / "scenes" / f"{name}.toml")]
        ran = [run(command, path=target) for _ in range(4 if count == 0 else 3)][-3:]
        timing = Timing(np.array([each.seconds for each in ran]))
        busy = np.median([each.busy for each in ran])
        yield within(
            f"`linescope compare --quick` {name} from cold ({busy:.2g} s of a processor)", timing, LOOK,
            memory=max(each.memory for each in ran),
        )


def films(program: list[str], target: Path, folder: Path) -> Iterator[Row]:
    """A film of 20 s of every lesson, computed and written from cold."""
    for name in LESSONS:
        ran = run([*program, "teach", name, "-o", str(folder / f"{name}.mp4")], path=target)
        yield within(f"film of 20 s of the lesson {name}, from cold", Timing(np.array([ran.seconds])), FILM,
                     memory=ran.memory)


def pages(program: list[str], target: Path, folder: Path) -> Iterator[Row]:
    """The page of every lesson: how large it is, how long it takes to be made, and to show its first frame."""
    from tests.browser.app.served import browsing

    made = {}
    for name in LESSONS:
        out = folder / f"{name}.html"
        made[name] = run([*program, "teach", name, "-o", str(out)], path=target).seconds, out.stat().st_size / 1e6
    with browsing() as browser:
        for name, (seconds, size) in made.items():
            shown = []
            for _ in range(OPENED):
                tab = browser.new_page(viewport={"width": 1280, "height": 800})
                begun = time.perf_counter()
                tab.goto((folder / f"{name}.html").as_uri(), wait_until="commit")
                # `wait_for_function` would make script of text, which the page's policy forbids.
                tab.wait_for_selector("html[data-ready='true']", state="attached")
                shown.append(time.perf_counter() - begun)
                tab.close()
            timing = Timing(np.array(shown))
            yield Row(
                what=f"page of the lesson {name} from disk to its first frame; {size:.2f} MB, made in {seconds:.0f} s",
                ours=timing, target=f"{FIRST:g} s, {LARGEST:g} MB", met=timing.median <= FIRST and size <= LARGEST,
            )


def rows() -> Iterator[Row]:
    """All rows."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        target = install(folder)
        program = [str(target / "bin" / "linescope")]
        yield from compared(program, target)
        yield from films(program, target, folder)
        yield from pages(program, target, folder)
