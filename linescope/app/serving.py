"""The command's end of the page: serve it until interrupted."""

from __future__ import annotations

import asyncio
import contextlib
import signal
import socket
import webbrowser
from collections.abc import Callable
from pathlib import Path
from typing import Any

from linescope.app.page import HOST, Page
from linescope.errors import InputError
from linescope.scene import Scene


def serve(
    scene: str | Path | Scene,
    *,
    port: int = 0,
    open_browser: bool = True,
    ready: Callable[[str], None] | None = None,
) -> None:
    """Open a scene as a page in the browser and serve it until interrupted.

    Parameters
    ----------
    scene : str, Path or Scene
        Its file, or a scene with what is tried; nothing else is read or written but what it or the user names.
    port : int
        On the loopback address; 0 takes a free one.
    open_browser : bool
        Whether to open the page in the default browser.
    ready : callable, optional
        Told the address, with the key of this launch, once the page can be opened.

    Raises
    ------
    SceneError
        When the file cannot be read or is not TOML; a scene that is TOML but wrong opens with its errors shown.
    InputError
        When the port is taken or may not be used.
    """

    _check_port(port)

    async def run() -> None:
        page = Page(scene)
        await page.start(port)
        if ready is not None:
            ready(page.url)
        if open_browser:
            await asyncio.to_thread(webbrowser.open, page.url)
        ended = asyncio.Event()
        loop = asyncio.get_running_loop()
        for number in (signal.SIGINT, signal.SIGTERM):
            with contextlib.suppress(NotImplementedError, ValueError, RuntimeError):  # Not on every system or thread.
                loop.add_signal_handler(number, ended.set)
        try:
            waiting: list[asyncio.Future[Any]] = [page.running, loop.create_task(ended.wait())]
            await asyncio.wait(waiting, return_when=asyncio.FIRST_COMPLETED)
        finally:
            await page.stop()

    with contextlib.suppress(KeyboardInterrupt):
        asyncio.run(run())


def _check_port(port: int) -> None:
    try:
        with socket.socket() as trial:
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            trial.bind((HOST, port))
    except (OSError, OverflowError, TypeError) as error:
        reason = getattr(error, "strerror", None) or error
        raise InputError(
            f"the page cannot be served there ({reason})", key="--port", found=port, allowed="a free port, or 0 for any"
        ) from error
