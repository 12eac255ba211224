"""The page inside a notebook: served by a thread of the kernel, shown in a frame."""

from __future__ import annotations

import asyncio
import threading
from html import escape
from pathlib import Path

from linescope.app.page import Page
from linescope.scene import Scene

LONGEST_START = 60.0  # [s]


class Inline:
    """A page shown inline: the last value of a cell shows itself as a frame.

    Parameters
    ----------
    scene : str, Path or Scene
    height : int
        Of the frame.  [px]

    Raises
    ------
    SceneError
        When the file cannot be read or is not TOML.
    """

    def __init__(self, scene: str | Path | Scene, *, height: int = 820) -> None:
        self.height = height
        self.url = ""
        self._begun = threading.Event()
        self._failed: Exception | None = None
        self._thread = threading.Thread(
            target=lambda: asyncio.run(self._serve(scene)), name="linescope-page", daemon=True
        )
        self._thread.start()
        self._begun.wait(LONGEST_START)
        if self._failed is not None:
            raise self._failed

    async def _serve(self, scene: str | Path | Scene) -> None:
        try:
            page = Page(scene, framed=True)
            await page.start()
        except Exception as error:  # noqa: BLE001 - raised again where the notebook waits.
            self._failed = error
            self._begun.set()
            return
        self._loop, self._end = asyncio.get_running_loop(), asyncio.Event()
        self.url = page.url
        self._begun.set()
        await self._end.wait()
        await page.stop()

    def close(self) -> None:
        """End serving."""
        if self._thread.is_alive():
            self._loop.call_soon_threadsafe(self._end.set)
            self._thread.join(LONGEST_START)

    def _repr_html_(self) -> str:
        return frame(self.url, self.height)


def frame(url: str, height: int) -> str:
    """The HTML of a frame that shows a page."""
    return (
        f'<iframe src="{escape(url)}" title="linescope" style="width:100%;height:{int(height)}px;border:0" '
        'allow="fullscreen"></iframe>'
    )
