"""Work that takes longer than a picture, each in a process of its own: the longer answers, and jobs with progress."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from linescope.app.session import Session
from linescope.app.variant import Variant
from linescope.app.worker import JobError, Worker
from linescope.notes import Verbatim

Json = dict[str, Any]

QUIET = 0.3  # The longer answers begin when nothing changed for so long [s].


class Longer:
    """The longer answers of the variant being edited, worked out whenever nothing changed for a moment.

    Parameters
    ----------
    session : Session
    show : callable
        Called after every part that is there.
    """

    def __init__(self, session: Session, show: Callable[[], None]) -> None:
        self._session, self._show = session, show
        self._worker = Worker()
        self._touched = time.monotonic()

    def touch(self) -> None:
        """Something changed: wait a moment more."""
        self._touched = time.monotonic()

    def close(self) -> None:
        """End the process."""
        self._worker.close()

    def state(self) -> Json:
        """The parts that are there, each with whether it is of an older text."""
        variant = self._session.variant
        return {
            "parts": {
                name: {**part, "old": part.get("revision") != variant.revision} for name, part in variant.study.items()
            },
            "done": variant.studied == variant.revision,
        }

    async def run(self) -> None:
        """Work until cancelled."""
        while True:
            await asyncio.sleep(0.1)
            variant = self._session.variant
            if (
                variant.studied == variant.revision or variant.solved != variant.revision
                or variant.error is not None or time.monotonic() - self._touched < QUIET
                or self._session.asked.walker is not None
            ):
                continue
            await self._once(variant, variant.revision)

    async def _once(self, variant: Variant, revision: int) -> None:
        loop = asyncio.get_running_loop()

        def tell(name: str, part: Json) -> None:
            loop.call_soon_threadsafe(self._part, variant, revision, name, part)

        arguments = {**_scene(self._session), "state": self._session.asked.state}
        task = asyncio.ensure_future(asyncio.to_thread(self._worker.run, "study", arguments, tell))
        while not task.done():
            await asyncio.wait([task], timeout=0.2)
            if not task.done() and self._session.variant.revision != revision:
                self._worker.stop()
        failed, words = task.exception(), self._session.measures
        if isinstance(failed, JobError):
            said = words.say("page-not-known", error=Verbatim(str(failed)))
            self._part(variant, revision, "excess", {"rows": [], "notes": [said], "places": []})
        elif failed is not None:
            raise failed
        if variant.revision == revision:
            variant.studied = revision
        self._show()

    def _part(self, variant: Variant, revision: int, name: str, part: Json) -> None:
        if variant.revision == revision:
            variant.study = {**variant.study, name: {**part, "revision": revision}}
            self._show()


class Jobs:
    """Writing the brief, walking over with friction, a day of rub, motion in time: one at a time, telling progress.

    Any of them is to be stopped.

    Parameters
    ----------
    session : Session
    tell : callable
        Told the state of the job under way: kind, share done (below 0 when it failed), what, running and more.

    Attributes
    ----------
    crossing : list of dict
        Steps of the last crossing, as `crossing_frames` gives them; empty once the rig changed.
    """

    def __init__(self, session: Session, tell: Callable[[Json], None]) -> None:
        self._session, self._tell = session, tell
        self._worker = Worker()
        self._running = False
        self.crossing: list[Json] = []

    @property
    def brief_folder(self) -> Path:
        """Where the brief goes unless another folder is named."""
        path = self._session.document.path
        return path.with_name(f"{path.stem}-brief")

    async def start(self, kind: str, wanted: Json) -> Json:
        """Do a job and wait for it.

        Parameters
        ----------
        kind : {"brief", "cross", "day", "in-time"}
        wanted : dict
            "out" and "theme" of a brief, "level" of a crossing.

        Returns
        -------
        dict
            "files" of a brief, "steps" of a crossing, or "error" in words; what a day rubs and what
            happens in time stand among the answers.
        """
        if kind not in ("brief", "cross", "day", "in-time") or self._running:
            return {"error": self._told("running") if self._running else self._told("unknown", kind=Verbatim(kind))}
        session = self._session
        if session.variant.error is not None:
            return {"error": self._told("not-right")}
        arguments = _scene(session)
        if kind == "brief":
            out = str(wanted.get("out", "")).strip()
            if not out:
                return {"error": self._told("no-folder")}
            target = Path(out).expanduser()
            arguments["out"] = str(target if target.is_absolute() else session.document.path.parent / target)
            arguments["theme"] = "dark" if wanted.get("theme") == "dark" else "light"
        elif kind == "cross":
            level = wanted.get("level")
            arguments["level"] = level if level in ("low", "high") else "value"
        variant, revision = session.variant, session.variant.revision
        self._running = True
        self._say(kind, 0.0, self._told("begins"))
        loop = asyncio.get_running_loop()

        def tell(name: str, content: Any) -> None:
            share, what = content
            loop.call_soon_threadsafe(self._say, kind, float(share), self._doing(str(what)))

        try:
            result = await asyncio.to_thread(self._worker.run, kind, arguments, tell)
        except JobError as error:
            self._say(kind, -1.0, str(error))
            return {"error": str(error)}
        finally:
            self._running = False
        if kind == "day":
            if variant.revision == revision:
                variant.study = {**variant.study, "rub": {**result, "revision": revision, "whole": True}}
            self._say(kind, 1.0, self._told("done"))
            return {}
        if kind == "in-time":
            if variant.revision == revision:
                variant.study = {**variant.study, "in_time": {**result, "revision": revision}}
            self._say(kind, 1.0, self._told("done"))
            return {}
        if kind == "cross":
            self.crossing = result
            self._say(kind, 1.0, self._told("steps", count=len(result)), steps=len(result))
            return {"steps": len(result)}
        files = result["files"]
        said = [
            self._told("files", count=len(files), folder=Verbatim(arguments["out"])),
            *(self._told("left-out", what=each) for each in result["left_out"]), *result["said"],
        ]
        self._say(kind, 1.0, "; ".join(said), files=files)
        return {"files": files}

    def _told(self, name: str, **values: Any) -> str:
        return self._session.measures.say(f"page-job-{name}", **values)

    def _doing(self, what: str) -> str:
        """What is being computed, by the name of its result."""
        return self._session.measures.named("doing", what)

    def stop(self) -> None:
        """Stop the job under way."""
        if self._running:
            self._worker.stop()

    def close(self) -> None:
        """End the process."""
        self._worker.close()

    def _say(self, kind: str, share: float, what: str, **more: Any) -> None:
        self._tell({"kind": kind, "share": share, "what": what, "running": 0.0 <= share < 1.0, **more})


def _scene(session: Session) -> dict[str, Any]:
    """The scene being edited, as every job in a second process takes it."""
    document = session.document
    return {
        "text": document.text, "path": str(document.path), "tried": dict(document.tried), "variant": document.variant,
        "system": session.system,
    }
