"""The page over the session: trame carries the figures as state, pictures and form go out in pieces as they change."""

from __future__ import annotations

import asyncio
import contextlib
import secrets
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, get_args

from linescope.app import guard
from linescope.app.asked import fitting
from linescope.app.cards import cards
from linescope.app.deltas import Sent
from linescope.app.engine import Attempt, Engine
from linescope.app.frames import Parcel, ground_of, palettes, parcel_of
from linescope.app.jobs import Jobs, Longer
from linescope.app.session import FIRST, SECOND, Session
from linescope.app.variant import Job
from linescope.errors import InputError, LinescopeError, OutputError, printable, shortened
from linescope.scene import Scene
from linescope.units import System
from linescope.words import Words

Json = dict[str, Any]

DATA = Path(__file__).with_name("data")
SCRIPTS = ("words.js", "shaders.js", "camera.js", "viewer.js", "stage.js", "fields.js", "answers.js", "page.js")
DISK_EVERY = 0.5  # [s]
HOST = "127.0.0.1"

ACTIONS = (
    "edit", "set_known", "set_limit", "choose", "add", "remove", "move_walker", "take_mesh", "undo", "redo", "ask",
    "use_units", "pick", "preview_walker", "compare", "activate", "save", "save_as", "open", "reload", "use_variant",
)
"""What the page may ask of the session; nothing else can be called from outside."""


class Page:
    """One page on one session.

    Parameters
    ----------
    path : str, Path or Scene
        The scene.
    framed : bool
        Whether a notebook may show it inline.
    """

    def __init__(self, path: str | Path | Scene, *, framed: bool = False) -> None:
        from trame.app import get_server

        self.session = Session(path)
        self.key = f"k{secrets.token_hex(32)}"  # A letter first: nothing on the way may take it for a number.
        self.framed = framed
        self.server = get_server(f"linescope-{secrets.token_hex(8)}", client_type="vue3")
        self.sent = Sent()
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="linescope-solve")
        self.study, self.jobs = Longer(self.session, self._show), Jobs(self.session, self._job_state)
        self._tasks: list[asyncio.Task[None]] = []
        self._begun: set[asyncio.Task[None]] = set()
        self._asked = 0
        self._wake = asyncio.Event()
        self._solved = asyncio.Condition()
        self._closed = False
        self._lay_out()

    # The trame side

    def _lay_out(self) -> None:
        from trame.ui.html import DivLayout
        from trame_client.widgets.core import AbstractElement

        server = self.server
        server.enable_module(
            {
                "serve": {"__linescope": str(DATA)},
                "scripts": [f"__linescope/{name}" for name in SCRIPTS],
                "styles": ["__linescope/page.css"],
                "vue_use": ["linescope"],
            }
        )
        server.state.update(
            {
                "trame__title": "linescope", "status": {}, "answers": {}, "study": {}, "job": {}, "done": {},
                "colours": palettes(), "others": {}, "words": texts(Words()),
            }
        )
        server.controller.trigger("linescope_act")(self.act)
        server.controller.trigger("linescope_job")(self.start_job)
        server.controller.trigger("linescope_stop")(self.stop_job)
        server.controller.trigger("linescope_step")(self.step)
        server.controller.trigger("linescope_cards")(self.cards)
        server.controller.on_server_bind.add(self._guard)
        server.controller.on_server_ready.add(self._ready)
        server.add_protocol_to_configure(self._protocols)
        names = ("status", "answers", "others", "study", "job", "done", "colours", "words")
        with DivLayout(server):
            element = AbstractElement("linescope-page", trame_server=server)
            element._attr_names += list(names)
            for name in names:
                setattr(element, name, (name,))

    def _protocols(self, protocol: Any) -> None:
        from wslink import register
        from wslink.websocket import LinkProtocol

        page = self

        class Pictures(LinkProtocol):  # type: ignore[misc]
            @register("linescope.everything")  # type: ignore[untyped-decorator, unused-ignore]
            def everything(self) -> Json:
                return {"pictures": page.sent.pictures, "form": page.sent.form}

        protocol.registerLinkProtocol(Pictures())

    def _guard(self, web_server: Any) -> None:
        from aiohttp import web
        from trame_client.module import vue3

        text = guard.index(Path(vue3.www))

        async def index(request: web.Request) -> web.Response:
            return web.Response(text=text, content_type="text/html")

        web_server.config["ws_compress"] = False  # On one machine, packing takes longer than sending.
        app = web_server.app
        app.middlewares.append(guard.guarded(lambda: int(self.server.port), self.framed))
        app.router.add_get("/", index)
        app.router.add_get("/index.html", index)

    # Starting and ending

    @property
    def url(self) -> str:
        """The address to open, with the key of this launch."""
        return f"http://{HOST}:{self.server.port}/?secret={self.key}"

    async def start(self, port: int = 0) -> None:
        """Serve until `stop`; returns once the page can be opened."""
        loop = asyncio.get_running_loop()
        self._solving = loop.create_task(self._pump())
        self._tasks = [loop.create_task(self.study.run()), loop.create_task(self._watch())]
        self._wake.set()
        with _arguments(f"--trame-args=--authKey {self.key}"):
            self.running = self.server.start(
                port=port, host=HOST, thread=True, open_browser=False, show_connection_info=False,
                disable_logging=True, backend="aiohttp", exec_mode="task", timeout=0, follow_symlinks=False,
            )
        await self.server.ready
        if self.server.protocol.secret != self.key:
            await self.stop()
            raise RuntimeError("the socket did not take this launch's key")

    async def stop(self) -> None:
        """End serving and every process."""
        self._closed = True
        for task in (*self._tasks, self._solving):
            task.cancel()
        for work in (self.study, self.jobs):
            await asyncio.to_thread(work.close)
        await self.server.stop()
        self._pool.shutdown(wait=False)

    def _ready(self, **_: Any) -> None:
        self._wake.set()

    # What the page asks

    async def act(self, *arguments: Any, **named: Any) -> Json:
        """Do one of `ACTIONS`, named first; returns when its picture is there, or with the words of an error."""
        name = arguments[0] if arguments else ""
        if name not in ACTIONS:
            return {"error": f"there is no such action: {shortened(printable(str(name)), 80)}"}
        session = self.session
        self.study.touch()
        try:
            asked = fitting(getattr(session, name), arguments[1:], named)
            if name in ("save", "save_as"):
                await self._settled()
            result = getattr(session, name)(*asked.args, **asked.kwargs)
        except (InputError, OutputError) as error:
            session.message = str(error)
            self._show()
            return {"error": str(error)}
        except (TypeError, ValueError) as error:
            return {"error": f"this cannot be done: {error}"}
        if name in ("open", "compare"):
            self.sent.keep_only(set(session.variants))
            self.jobs.crossing = []
            copied = self.sent.copied(FIRST, SECOND) if len(session.variants) == 2 else None
            if copied is not None:
                self._publish("linescope.picture", copied)
        await self._settled()
        return {"done": str(result) if result is not None else "", "revision": session.variant.revision}

    async def _settled(self) -> None:
        """Wait until every picture is as new as its text."""
        if all(self.session.job(name) is None for name in self.session.variants):
            self._show()
            return
        self._wake.set()
        async with self._solved:
            await self._solved.wait_for(
                lambda: self._closed or all(self.session.job(name) is None for name in self.session.variants)
            )

    # Solving

    async def _pump(self) -> None:
        """Solve what changed, always in its newest version; edits that come meanwhile make one more round."""
        loop = asyncio.get_running_loop()
        while not self._closed:
            await self._wake.wait()
            self._wake.clear()
            for name in list(self.session.variants):
                job = self.session.job(name)
                if job is None:
                    continue
                engine, measures = self.session.engine(name), self.session.measures
                attempt, frame, ground = await loop.run_in_executor(self._pool, _solve, engine, job, measures)
                self.session.accept(job, attempt)
                if frame is not None:
                    self._picture(name, frame, ground, job.revision)
                    await asyncio.sleep(0)  # The picture leaves before figures and form are made ready.
                self.jobs.crossing = []
                self._wake.set()
            self._show()
            async with self._solved:
                self._solved.notify_all()
            if any(self.session.job(name) is not None for name in self.session.variants):
                self._wake.set()
            else:
                self._wake.clear()

    def _picture(self, name: str, frame: Parcel, ground: dict[str, bytes] | None, revision: int) -> None:
        self._publish("linescope.picture", self.sent.picture(name, frame, ground, revision))

    def _publish(self, topic: str, message: Json) -> None:
        if self.server.running:
            self.server.protocol.publish(topic, message)

    def _show(self) -> None:
        """Bring form, figures and status up to date."""
        session, state = self.session, self.server.state
        change = self.sent.form_change(session.form())
        if change is not None:
            self._publish("linescope.form", change)
        with state:
            state.answers = session.answers()
            state.others = {name: session.answers(name) for name in session.variants if name != session.active}
            state.status = {**session.status(), "brief": str(self.jobs.brief_folder)}
            state.trame__title = f"{session.document.data.get('title', '')} - linescope"
            state.study = self.study.state()

    # Longer work

    async def start_job(self, *arguments: Any, **wanted: Any) -> Json:
        """Begin to write the brief ("brief", out, theme), walk over with friction ("cross", level) or a day ("day").

        Answers at once with the job's number, or why there is none: a browser's words wait for each other, and the one
        that stops the job would wait for its end.  How it ends stands in the state's `done`, with that number.
        """
        try:
            kind = fitting(_job, arguments, wanted).arguments["kind"]
        except InputError as error:
            return {"error": str(error)}
        self._asked += 1
        task = asyncio.get_running_loop().create_task(self._do(self._asked, kind, wanted))
        self._begun.add(task)
        task.add_done_callback(self._begun.discard)
        return {"number": self._asked}

    async def _do(self, number: int, kind: str, wanted: Json) -> None:
        await self._settled()
        result = await self.jobs.start(kind, wanted)
        self._show()
        with self.server.state as state:
            state.done = {"number": number, **result}

    def stop_job(self, *_: Any, **__: Any) -> Json:
        """Stop the job under way."""
        self.jobs.stop()
        return {}

    def _job_state(self, job: Json) -> None:
        with self.server.state as state:
            state.job = job

    def step(self, *arguments: Any, **named: Any) -> Json:
        """Show one step of the crossing with friction, from 0; below zero goes back to the rig's own picture."""
        try:
            number = fitting(_step, arguments, named).arguments["number"]
        except InputError as error:
            return {"error": str(error)}
        name = self.session.active
        if number < 0 or not self.jobs.crossing:
            variant = self.session.variant
            if variant.picture is not None:
                frame = parcel_of(variant.picture, self.session.measures)
                self._picture(name, frame, None, variant.solved)
            return {"steps": len(self.jobs.crossing)}
        step = self.jobs.crossing[min(number, len(self.jobs.crossing) - 1)]
        self._picture(name, Parcel(meta=step["meta"], parts=step["parts"]), None, self.session.variant.solved)
        return {"steps": len(self.jobs.crossing), "caption": step["caption"], "rows": step["rows"]}

    async def cards(self) -> list[Json]:
        """How each kind of tape of the rig is made, in pictures; none while there is no rig."""
        picture = self.session.variant.picture
        return [] if picture is None else await asyncio.to_thread(cards, picture, self.session.measures)

    # The file

    async def _watch(self) -> None:
        """Read the scene again when it changed on disk."""
        session = self.session
        while not self._closed:
            await asyncio.sleep(DISK_EVERY)
            try:
                found = await asyncio.to_thread(session.look_at_disk)
            except LinescopeError as error:
                session.message, found = str(error), "wrong"
            self.server.state.status = {**session.status(), "brief": str(self.jobs.brief_folder), "disk": found}
            if found in ("reloaded", "wrong"):
                self.study.touch()
                await self._settled()
            elif found:
                self.server.state.flush()


def texts(words: Words) -> Json:
    """What the page's scripts say, as messages with their values left open."""
    lengths = {system: Words(system, words.language).round_lengths() for system in get_args(System)}
    lengths = {system: Words(system, words.language).round_lengths() for system in get_args(System)}
    return {"language": words.tag, "messages": words.open("page-ui-"), "lengths": lengths}


def _job(kind: str, out: str = "", theme: str = "", level: str = "") -> None:
    """What a job is asked for with."""


def _step(number: int) -> None:
    """What a step is asked for with."""


def _solve(engine: Engine, job: Job, measures: Words) -> tuple[Attempt, Parcel | None, dict[str, bytes] | None]:
    """One job, solved and made ready to send."""
    attempt = engine.run(job.scene, job.asked)
    if attempt.picture is None:
        return attempt, None, None
    return attempt, parcel_of(attempt.picture, measures), engine.ground_parts(attempt.picture, ground_of)


@contextlib.contextmanager
def _arguments(*arguments: str) -> Iterator[None]:
    """The server reads the command line when it starts; ours, and the environment's, is not meant for it."""
    kept, sys.argv = sys.argv, [sys.argv[0] if sys.argv else "linescope", *arguments]
    try:
        yield
    finally:
        sys.argv = kept
