"""Who may talk to the page: this machine, by the address it was opened with, and nobody's foreign page.

The socket asks for the key of this launch besides (`linescope.app.page`); what is served besides holds no data.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from urllib.parse import urlsplit

from aiohttp import web

LOOPBACK = ("127.0.0.1", "localhost")
LONGEST_URL = 4000

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


def is_local(host: str, port: int) -> bool:
    """Whether a Host header names this machine by a loopback name and the port served."""
    name, _, number = host.partition(":")
    return name.lower() in LOOPBACK and number == str(port)


def is_own_origin(origin: str, port: int) -> bool:
    """Whether an Origin header is that of the page itself."""
    parts = urlsplit(origin)
    return parts.scheme == "http" and is_local(parts.netloc, port)


def policy(port: int) -> str:
    """Content security policy: nothing from elsewhere, and in no frame."""
    sockets = " ".join(f"ws://{name}:{port}" for name in LOOPBACK)
    return (
        f"default-src 'none'; connect-src 'self' {sockets}; script-src 'self'; style-src 'self' 'unsafe-inline'; "
        "font-src data:; img-src 'self' data: blob:; object-src 'none'; base-uri 'none'; "
        "form-action 'none'; frame-ancestors 'none'"
    )


def guarded(
    port_of: Callable[[], int],
) -> Callable[[web.Request, Handler], Awaitable[web.StreamResponse]]:
    """What a middleware does: refuses foreign hosts and origins, and adds headers.

    Parameters
    ----------
    port_of : callable
        The port served, known once the server runs.
    """

    async def guard(request: web.Request, handler: Handler) -> web.StreamResponse:
        port = port_of()
        origin = request.headers.get("Origin")
        refused = (
            not is_local(request.headers.get("Host", ""), port)
            or (origin is not None and not is_own_origin(origin, port))
            or request.headers.get("Sec-Fetch-Site", "none") == "cross-site"
            or request.method not in ("GET", "HEAD")
            or len(request.path_qs) > LONGEST_URL
        )
        if refused:
            raise web.HTTPForbidden(text="refused: open the address that linescope printed, on this machine")
        try:
            response = await handler(request)
        except OSError as error:  # A path that the file system cannot have, such as one too long.
            raise web.HTTPNotFound from error
        if not response.prepared:
            response.headers["Content-Security-Policy"] = policy(port)
            response.headers["X-Content-Type-Options"] = "nosniff"
            response.headers["Referrer-Policy"] = "no-referrer"
            response.headers["Cache-Control"] = "no-store"
        return response

    return guard

