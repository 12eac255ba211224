"""The page: change anything, see it at once."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable

    from linescope.scene import Scene

__all__ = ["serve"]


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
    scene, port, open_browser, ready
        See `linescope.app.serving.serve`.
    """
    _serving().serve(scene, port=port, open_browser=open_browser, ready=ready)


def _serving() -> Any:
    from linescope.errors import SystemPackageError

    try:
        import aiohttp  # noqa: F401

        from linescope.app import serving
    except ImportError as error:
        raise SystemPackageError(
            f"the page needs further Python packages ({error}); install them with: pip install 'linescope[page]' "
            "(in a copy of the source: pip install '.[page]')"
        ) from error
    return serving
