"""The page over the session: one HTML file with the viewer, and one socket over which both sides speak.

What the browser asks comes as JSON with a number, and is answered under that number; each is worked at apart, so that
Stop never waits for what it stops. What the page shows goes out by topic when it changed; pictures go as bytes
(`linescope.app.live`), and a picture that has not left yet gives way to a newer one.
"""

from __future__ import annotations

import asyncio
import hmac
import json
import secrets
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from typing import Any

from linescope.app import guard, markup
from linescope.app.asked import fitting
from linescope.app.cards import cards
from linescope.app.engine import Attempt, Engine
from linescope.app.jobs import Jobs, Longer
from linescope.app.live import packed, picture_of, stamped
from linescope.app.session import FIRST, SECOND, Session
from linescope.app.variant import Job, Variant
from linescope.errors import InputError, LinescopeError, OutputError, printable, shortened
from linescope.scene import Scene
from linescope.words import Words

Json = dict[str, Any]

DISK_EVERY = 0.5  # [s]
LONGEST_MESSAGE = 1 << 20  # That a browser may send [bytes].
HOST = "127.0.0.1"

ACTIONS = (
    "edit", "set_known", "set_limit", "choose", "add", "remove", "move_walker", "take_mesh", "undo", "redo", "ask",
    "use_units", "pick", "preview_walker", "compare", "activate", "save", "save_as", "open", "reload", "use_variant",
    "restyle", "respace", "move_tape", "deepen", "lift", "measured", "adopt",
    "adopt_levers", "foretell",
)
"""What the page may ask of the session; nothing else can be called from outside."""


class Page:
    """One page on one session.

    Parameters
    ----------
    path : str, Path or Scene
        The scene.
    """

    def __init__(self, path: str | Path | Scene) -> None:
        self.session = Session(path)
        self.key = f"k{secrets.token_hex(32)}"
        self.port = 0
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="linescope-solve")
        self.study = Longer(self.session, self._show, self._whole)
        self.jobs = Jobs(self.session, lambda job: self._say("job", job), self._film, self._show)
        self._tabs: set[Receiver] = set()
        self._known: dict[str, str] = {}
        self._now: dict[str, bytes] = {}
        self._tasks: set[asyncio.Task[None]] = set()
        self._asked = 0
        self._wake = asyncio.Event()
        self._solved = asyncio.Condition()
        self._closed = False

    # Starting and ending

    @property
    def url(self) -> str:
        """The address to open, with the key of this launch."""
        return f"http://{HOST}:{self.port}/?secret={self.key}"

    async def start(self, port: int = 0) -> None:
        """Serve until `stop`; returns once the page can be opened."""
        from aiohttp import web

        watched: Any = web.middleware(guard.guarded(lambda: self.port))
        app = web.Application(middlewares=[watched])
        for path, file in markup.files(Words()).items():
            app.router.add_get(path, _answer(*file))
        app.router.add_get("/live", self._socket)
        self._runner = web.AppRunner(app, access_log=None, shutdown_timeout=1.0)
        await self._runner.setup()
        site = web.TCPSite(self._runner, HOST, port)
        await site.start()
        self.port = int(self._runner.addresses[0][1])
        loop = asyncio.get_running_loop()
        self.running: asyncio.Future[None] = loop.create_future()
        for work in (self._pump(), self.study.run(), self._watch()):
            self._begin(work)
        self._wake.set()

    async def stop(self) -> None:
        """End serving and every process."""
        self._closed = True
        for task in list(self._tasks):
            task.cancel()
        for work in (self.study, self.jobs):
            await asyncio.to_thread(work.close)
        await self._runner.cleanup()
        self._pool.shutdown(wait=False)
        if not self.running.done():
            self.running.set_result(None)

    def _begin(self, work: Any) -> None:
        """Let something run beside; a task that nobody holds could be collected."""
        task = asyncio.get_running_loop().create_task(work)
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    # The socket

    async def _socket(self, request: Any) -> Any:
        from aiohttp import WSMsgType, web

        socket = web.WebSocketResponse(max_msg_size=LONGEST_MESSAGE, compress=False, heartbeat=30.0)
        await socket.prepare(request)
        first = await socket.receive()
        if first.type is not WSMsgType.TEXT or not hmac.compare_digest(first.data.encode(), self.key.encode()):
            await socket.close(code=4401)
            return socket
        tab = Receiver(socket)
        for topic, text in self._known.items():
            tab.tell(topic, text)
        for name, picture in self._pictures():
            tab.show(name, picture)
        self._tabs.add(tab)
        sending = asyncio.get_running_loop().create_task(tab.run())
        try:
            async for message in socket:
                if message.type is WSMsgType.TEXT:
                    self._begin(self._heard(tab, message.data))
        finally:
            self._tabs.discard(tab)
            sending.cancel()
        return socket

    async def _heard(self, tab: Receiver, text: str) -> None:
        """One thing asked: what to do, with its arguments, and the number to answer under."""
        number: Any = None
        try:
            asked = json.loads(text)
            number, what = asked["id"], asked["do"]
            arguments, named = list(asked.get("args", ())), dict(asked.get("named", {}))
            doing: Any = {
                "act": self.act, "job": self.start_job, "stop": self.stop_job, "cards": self.cards,
            }.get(str(what))
            result: Any = {"error": f"there is no such word: {shortened(printable(str(what)), 80)}"}
            if doing is not None:
                result = await doing(*arguments, **named)
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
            result = {"error": f"this cannot be asked: {shortened(printable(str(error)), 200)}"}
        tab.tell("answer", json.dumps({"id": number, "result": result}))

    def _say(self, topic: str, value: Any) -> None:
        """Tell every tab what it does not know yet."""
        text = json.dumps(value, ensure_ascii=False)
        if self._known.get(topic) == text:
            return
        self._known[topic] = text
        for tab in self._tabs:
            tab.tell(topic, text)

    def _pictures(self) -> Iterator[tuple[str, bytes]]:
        for name, variant in self.session.variants.items():
            for kind, message in variant.whole.items():
                yield f"{kind} {name}", stamped(message, self._of(name))
            if name in self._now:
                yield f"now {name}", self._now[name]

    def _send(self, name: str, message: bytes) -> None:
        for tab in self._tabs:
            tab.show(name, message)

    def _of(self, name: str) -> Json:
        """Whose picture a message is: the variant's name, and which scene it is of."""
        return {"name": name, "of": self.session.opened}

    def _named(self, variant: Variant) -> str | None:
        return next((name for name, each in self.session.variants.items() if each is variant), None)

    def _whole(self, variant: Variant) -> None:
        """The picture with what takes longer has come, or a first part of it."""
        name = self._named(variant)
        if name is not None:
            self._send(f"whole {name}", stamped(variant.whole["message"], self._of(name)))

    def _film(self, variant: Variant, message: bytes) -> None:
        name = self._named(variant)
        if name is not None:
            self._send(f"film {name}", stamped(message, self._of(name)))

    # What the page asks

    async def act(self, *arguments: Any, **named: Any) -> Json:
        """Do one of `ACTIONS`, named first; returns when its picture is there, or with the words of an error."""
        name = arguments[0] if arguments else ""
        if name not in ACTIONS:
            return {"error": f"there is no such action: {shortened(printable(str(name)), 80)}"}
        session = self.session
        if name not in ("preview_walker", "pick", "measured", "foretell"):
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
        if name in ("measured", "foretell"):
            return {"said": result}
        if name in ("open", "compare"):
            self._now = {each: message for each, message in self._now.items() if each in session.variants}
            if name == "open":
                self._now.clear()
            if len(session.variants) == 2 and SECOND not in self._now and FIRST in self._now:
                self._now[SECOND] = stamped(self._now[FIRST], {"name": SECOND})
                for each, message in self._pictures():
                    self._send(each, message)
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
                engine, words = self.session.engine(name), self.session.measures
                attempt, message = await loop.run_in_executor(self._pool, _solve, engine, job, words)
                self.session.accept(job, attempt)
                variant = self.session.variants.get(name)
                if message is not None and variant is not None and variant.solved == job.revision:
                    told = {**self._of(name), "revision": job.revision, "plan": job.plan}
                    self._now[name] = stamped(message, told)
                    self._send(f"now {name}", self._now[name])
                    await asyncio.sleep(0)  # The picture leaves before figures and form are made ready.
                self._wake.set()
            self._show()
            async with self._solved:
                self._solved.notify_all()
            if any(self.session.job(name) is not None for name in self.session.variants):
                self._wake.set()
            else:
                self._wake.clear()

    def _show(self) -> None:
        """Bring form, figures and status up to date."""
        session = self.session
        self._say("status", self._status())
        self._say("form", {"sections": session.form(), "sentences": session.sentences()})
        self._say("answers", session.answers())
        self._say("study", self.study.state())

    def _status(self, disk: str = "") -> Json:
        return {**self.session.status(), "brief": str(self.jobs.brief_folder), "disk": disk}

    # Longer work

    async def start_job(self, *arguments: Any, **wanted: Any) -> Json:
        """Do a job ("brief", "film", "day", "in-time", "advice"); returns when it has ended, or why there is none."""
        try:
            kind = fitting(_job, arguments, wanted).arguments["kind"]
        except InputError as error:
            return {"error": str(error)}
        await self._settled()
        result = await self.jobs.start(kind, wanted)
        self._show()
        return result

    async def stop_job(self, *_: Any, **__: Any) -> Json:
        """Stop the job under way."""
        self.jobs.stop()
        return {}

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
            if found in ("reloaded", "wrong"):
                self.study.touch()
                await self._settled()
            self._say("status", self._status(found))


class Receiver:
    """One browser's end of the socket: what is to be sent, and sends it.

    Parameters
    ----------
    socket : aiohttp.web.WebSocketResponse
    """

    def __init__(self, socket: Any) -> None:
        self._socket = socket
        self._waiting: dict[str, str | bytes] = {}
        self._count = 0
        self._wake = asyncio.Event()

    def tell(self, topic: str, text: str) -> None:
        """Send a value by its topic; one that has not left yet gives way, answers apart."""
        key = topic
        if topic == "answer":
            self._count += 1
            key = f"answer {self._count}"
        self._waiting.pop(key, None)
        self._waiting[key] = f'{{"topic":"{topic}","value":{text}}}'
        self._wake.set()

    def show(self, name: str, message: bytes) -> None:
        """Send a picture, in place of one of that name which has not left yet."""
        self._waiting.pop(name, None)
        self._waiting[name] = message
        self._wake.set()

    async def run(self) -> None:
        """Send until cancelled, or until the browser is gone."""
        with suppress(ConnectionError):
            while True:
                await self._wake.wait()
                self._wake.clear()
                while self._waiting:
                    key = next(iter(self._waiting))
                    message = self._waiting.pop(key)
                    if isinstance(message, bytes):
                        await self._socket.send_bytes(message)
                    else:
                        await self._socket.send_str(message)


def _answer(kind: str, text: str) -> Any:
    from aiohttp import web

    async def answer(request: Any) -> Any:
        return web.Response(text=text, content_type=kind)

    return answer


def _job(kind: str, out: str = "", theme: str = "", level: str = "", which: str = "", at: float | None = None) -> None:
    """What a job is asked for with."""


def _solve(engine: Engine, job: Job, words: Words) -> tuple[Attempt, bytes | None]:
    """One job, solved and made ready to send."""
    attempt = engine.run(job.scene, job.asked)
    if attempt.picture is None:
        return attempt, None
    try:
        return attempt, packed(picture_of(attempt.picture, words), {"kind": "now"})
    except LinescopeError as error:
        return Attempt(error=error), None
