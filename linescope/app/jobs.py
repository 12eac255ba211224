"""Work that takes longer than a picture, each in a process of its own: the longer answers, and jobs with progress."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from linescope.app.live import stamped
from linescope.app.session import Session
from linescope.app.variant import Variant
from linescope.app.worker import JobError, Worker
from linescope.notes import Verbatim

Json = dict[str, Any]

ANSWERS = {"day": "rub", "in-time": "in_time", "advice": "advice"}
"""Jobs whose result stands among the answers, and the part that it is."""
NO_PLANS: Json = {"alarms": [], "notes": [], "way": [], "plans": [], "wished": None, "sliders": []}

QUIET = 0.3  # The longer answers begin when nothing changed for so long [s].


class Longer:
    """The longer answers of the variant being edited, worked out whenever nothing changed for a moment.

    Parameters
    ----------
    session : Session
    show : callable
        Called after every part that is there.
    pictured : callable
        Told the variant whose whole picture has come.
    """

    def __init__(
        self, session: Session, show: Callable[[], None], pictured: Callable[[Variant], None]
    ) -> None:
        self._session, self._show, self._pictured = session, show, pictured
        self._progress: list[Any] = []
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
        parts = {name: {**part, "old": part.get("plan") != variant.plan} for name, part in variant.study.items()}
        if "advice" in parts:
            parts["advice"]["old"] = not variant.is_advised
        return {
            "parts": parts,
            "done": variant.studied == variant.plan,
            "progress": self._progress,
        }

    async def run(self) -> None:
        """Work until cancelled."""
        while True:
            await asyncio.sleep(0.1)
            variant = self._session.variant
            if (
                variant.studied == variant.plan or variant.solved != variant.revision
                or variant.error is not None or time.monotonic() - self._touched < QUIET
            ):
                continue
            await self._once(variant, variant.plan)

    async def _once(self, variant: Variant, plan: int) -> None:
        loop = asyncio.get_running_loop()

        def tell(name: str, part: Any) -> None:
            loop.call_soon_threadsafe(self._part, variant, plan, name, part)

        arguments = {**_scene(self._session), "state": self._session.asked.state}
        task = asyncio.ensure_future(asyncio.to_thread(self._worker.run, "study", arguments, tell))
        task.add_done_callback(lambda ended: ended.cancelled() or ended.exception())  # Looked at, even if nobody waits.
        while not task.done():
            await asyncio.wait([task], timeout=0.1)
            if not task.done() and (variant.plan != plan or variant is not self._session.variant):
                self._worker.stop()
        failed, words = task.exception(), self._session.measures
        self._progress = []
        if variant.plan != plan or variant is not self._session.variant:
            return
        if isinstance(failed, JobError):
            said = words.say("page-not-known", error=Verbatim(str(failed)))
            self._part(variant, plan, "excess", {"rows": [], "notes": [said], "places": []})
        elif failed is not None:
            raise failed
        variant.studied = plan
        self._show()

    def _part(self, variant: Variant, plan: int, name: str, part: Any) -> None:
        if variant.plan != plan:
            return
        if name == "progress":
            share, what = part
            doing = self._session.measures.named("doing", str(what)) if what else ""
            fresh = [round(float(share), 2), doing]
            if fresh == self._progress:
                return
            self._progress = fresh
        elif name == "space":
            variant.whole = {"message": stamped(part, {"plan": plan})}
            self._pictured(variant)
        else:
            variant.study = {**variant.study, name: {**part, "plan": plan}}
        self._show()


class Jobs:
    """Writing the brief, a film, a day of rub, motion in time, plans that put a rig right: one at a time, telling
    progress.

    Any of them is to be stopped.

    Parameters
    ----------
    session : Session
    tell : callable
        Told the state of the job under way: kind, share done (below 0 when it failed), what, running and more.
    filmed : callable
        Told the variant and the message of a film that has come.
    show : callable
        Called when a part of an answer has come.
    """

    def __init__(
        self, session: Session, tell: Callable[[Json], None], filmed: Callable[[Variant, bytes], None],
        show: Callable[[], None],
    ) -> None:
        self._session, self._tell, self._filmed, self._show = session, tell, filmed, show
        self._worker = Worker()
        self._running = False

    @property
    def brief_folder(self) -> Path:
        """Where the brief goes unless another folder is named."""
        path = self._session.document.path
        return path.with_name(f"{path.stem}-brief")

    async def start(self, kind: str, wanted: Json) -> Json:
        """Do a job and wait for it.

        Parameters
        ----------
        kind : {"brief", "film", "day", "in-time", "advice"}
        wanted : dict
            "out" and "theme" of a brief; "which" film, "at" which place of the walker [m], with which "level" of hold.

        Returns
        -------
        dict
            "files" of a brief, or "error" in words; what a day rubs, what happens in time and plans stand among the
            answers, a film goes to the picture.
        """
        if kind not in ("brief", "film", *ANSWERS) or self._running:
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
        elif kind == "film":
            level, which, at = wanted.get("level"), wanted.get("which"), wanted.get("at")
            arguments["level"] = level if level in ("low", "high") else "value"
            arguments["which"] = which if which in ("crossing", "fall", "gone", "gust") else "fall"
            arguments["at"] = float(at) if isinstance(at, int | float) and not isinstance(at, bool) else None
        variant, plan = session.variant, session.variant.plan
        self._running = True
        self._say(kind, 0.0, self._told("begins"))
        loop = asyncio.get_running_loop()

        if kind == "advice":
            variant.advised, variant.foreteller = session.document.scene, None
            self._answer(variant, plan, "advice", {**NO_PLANS, "whole": False})

        def tell(name: str, content: Any) -> None:
            if name == "plan":
                loop.call_soon_threadsafe(self._planned, variant, plan, content)
                return
            share, what = content
            loop.call_soon_threadsafe(self._say, kind, float(share), self._doing(str(what)))

        try:
            result = await asyncio.to_thread(self._worker.run, kind, arguments, tell)
        except JobError as error:
            if kind == "advice":  # What was found before stays.
                self._answer(variant, plan, "advice", {**variant.study["advice"], "whole": True, "ended": str(error)})
            self._say(kind, -1.0, str(error))
            return {"error": str(error)}
        finally:
            self._running = False
        if kind == "advice":
            variant.foreteller = result.pop("foreteller")
        if kind in ANSWERS:
            if variant.plan == plan or kind == "advice":  # Plans say of what scene they are.
                self._answer(variant, plan, ANSWERS[kind], {"whole": True, **result})
            self._say(kind, 1.0, self._told("done"))
            return {}
        if kind == "film":
            if variant.plan == plan:
                self._filmed(variant, stamped(result, {"plan": plan}))
            self._say(kind, 1.0, self._told("done"))
            return {"which": arguments["which"]}
        files = result["files"]
        said = [
            self._told("files", count=len(files), folder=Verbatim(arguments["out"])),
            *(self._told("left-out", what=each) for each in result["left_out"]), *result["said"],
        ]
        self._say(kind, 1.0, "; ".join(said), files=files)
        return {"files": files}

    def _answer(self, variant: Variant, plan: int, name: str, part: Json) -> None:
        """A part of the answers has come."""
        variant.study = {**variant.study, name: {**part, "plan": plan}}
        self._show()

    def _planned(self, variant: Variant, plan: int, option: Json) -> None:
        """One plan more."""
        part = variant.study["advice"]
        if not part["whole"]:
            self._answer(variant, plan, "advice", {**part, "plans": [*part["plans"], option]})

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
