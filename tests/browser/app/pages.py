"""A process that serves pages to tests, each with a session of its own, and keeps answers that take long.

A page's own way is a process of its own, with a second one that computes all from nothing; `serving` goes that way, and
the tests of what takes longer with it.  Most tests look at something else.  For those imports are paid once, what takes
longer is computed as far as a test waits for it, by the code that the second process runs, and what was computed for
the same scene is told again.
"""

from __future__ import annotations

import asyncio
import hashlib
import json
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from linescope.app.page import Page
from linescope.app.parts import FIRST, answers
from linescope.app.worker import JobError, Tell, Worker
from linescope.errors import LinescopeError
from linescope.events import deeper
from linescope.scene import Scene
from linescope.words import Words
from tests.once import falls_in_time

STAGES = {"ground": 1, "first": 2 + len(FIRST), "exact": 4 + len(FIRST), "all": 7 + len(FIRST)}
"""How many of the longer answers have come with each stage."""
LOOKS = 0.02  # Between looks at how far a test waits [s].


class Answers:
    """The longer answers of one scene, computed as far as they were wanted.

    Parameters
    ----------
    scene, state, words
        As `linescope.app.parts.answers` takes them.
    """

    def __init__(self, scene: Scene, state: Any, words: Words) -> None:
        self.told: list[tuple[str, Any]] = []
        self.lock = threading.Lock()
        self._more: Iterator[tuple[str, Any]] = answers(scene, state, words, lambda *told: self._doing(told))

    def upto(self, count: int, doing: Any) -> None:
        """Compute so many of them."""
        self._doing = doing
        while len(self.told) < count:
            self.told.append(next(self._more))


class Kept(Worker):
    """In place of the second process: the longer answers as far as a file says; other jobs as ever.

    Parameters
    ----------
    upto : Path
        Holds a stage, or nothing.
    """

    kept: dict[str, Answers] = {}  # noqa: RUF012 - of all pages

    def __init__(self, upto: Path) -> None:
        super().__init__()
        self._upto = upto

    def run(self, job: str, arguments: dict[str, Any], tell: Tell) -> Any:
        """As a `Worker` does."""
        if job != "study":
            return super().run(job, arguments, tell)
        self._stopped.clear()

        def doing(told: tuple[float, str]) -> None:
            self._goes_on()
            tell("progress", told)

        told = 0
        while told < STAGES["all"]:
            wanted = STAGES.get(self._upto.read_text(encoding="utf-8"), 0)
            for name, content in self._found(arguments, wanted, doing)[told:wanted]:
                self._goes_on()
                tell(name, content)
            told = max(told, wanted)
            time.sleep(LOOKS)
            self._goes_on()
        return None

    def _goes_on(self) -> None:
        if self._stopped.is_set():
            raise JobError("stopped")

    def _found(self, arguments: dict[str, Any], count: int, doing: Any) -> list[tuple[str, Any]]:
        if count == 0:
            return []
        scene = Scene(
            text=arguments["text"], path=Path(arguments["path"]), tried=arguments["tried"], variant=arguments["variant"]
        )
        ground = scene.rig.ground.path if scene.rig.ground is not None else None
        what = json.dumps([arguments[name] for name in ("text", "tried", "variant", "state", "system")])
        key = hashlib.sha256(what.encode() + (b"" if ground is None else ground.read_bytes())).hexdigest()
        found = self.kept.setdefault(key, Answers(scene, arguments["state"], Words(arguments["system"])))
        with found.lock:
            try:
                found.upto(count, doing)
            except LinescopeError as error:  # Stopped, or not to be had: computed anew when it is wanted again.
                del self.kept[key]
                raise JobError(str(error)) from error
            return found.told


async def serve(falls: Path) -> None:
    """Read lines: a scene and its file of a stage begin a page, whose address is said; its address alone ends it."""
    deeper.find_deeper = falls_in_time(falls)
    pages: dict[str, Page] = {}
    try:
        while line := await asyncio.to_thread(sys.stdin.readline):
            first, *more = json.loads(line)
            if more:
                page = Page(first)
                page.study._worker = Kept(Path(more[0]))
                await page.start()
                pages[page.url] = page
                _say(page.url)
            else:
                await pages.pop(first).stop()
                _say("ended")
    finally:
        for page in pages.values():
            await page.stop()


def _say(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    asyncio.run(serve(Path(sys.argv[1])))
