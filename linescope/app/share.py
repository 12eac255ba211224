"""A page for the crew to look at, on one address of this machine that the user names, for telephones in its network.

Nothing is computed while it is served and nothing can be changed by it.  The files are in memory; a request gets one of
them by its exact name behind the key of this launch, or nothing.  The key is in the address that the QR code holds: who
was not shown it finds no page.  There is no encryption: who listens in this network reads what is sent.
"""

from __future__ import annotations

import contextlib
import gzip
import hmac
import ipaddress
import re
import secrets
import signal
import socket
import threading
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from socketserver import TCPServer
from typing import Any
from urllib.parse import urlsplit

import segno

from linescope.errors import InputError
from linescope.export.briefing import study_for_page
from linescope.export.page_file import page_text
from linescope.export.page_share import share_drawer
from linescope.export.true_size import ar_files
from linescope.rig import Rig, RigSource
from linescope.stage.ground import site
from linescope.units import System
from linescope.words import Words

SILENT = 20.0  # A visitor who says nothing for so long is let go [s].
AT_ONCE = 64  # Visitors; more are let go.
LONGEST_PATH = 200
KINDS = {".html": "text/html; charset=utf-8", ".glb": "model/gltf-binary", ".usdz": "model/vnd.usdz+zip"}
HEADERS = {
    "Content-Security-Policy": "frame-ancestors 'none'", "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer", "Cross-Origin-Resource-Policy": "same-origin", "Cache-Control": "no-store",
    "Connection": "close",
}
NAME = re.compile(r"[A-Za-z0-9]([A-Za-z0-9.-]{0,251}[A-Za-z0-9])?")


@dataclass(frozen=True, eq=False, kw_only=True)
class SharedFile:
    """A file as it is sent.

    Attributes
    ----------
    kind : str
        Its media type.
    data, zipped : bytes
        Itself; with gzip, or empty where that makes it no smaller.
    """

    kind: str
    data: bytes
    zipped: bytes


class CrewServer:
    """One address of this machine, taken; files are served from `begin` to `end`.

    Parameters
    ----------
    address : str
        An address of this machine, or a name that leads to one.
    port : int
        0 takes a free one.

    Attributes
    ----------
    url : str
        Of the page, with the key.

    Raises
    ------
    InputError
        When the address is not one of this machine, stands for all of them, or the port cannot be had.
    """

    def __init__(self, address: str, port: int = 0) -> None:
        host = _checked(address)
        self.key = secrets.token_urlsafe(16)
        self._files: dict[str, SharedFile] = {}
        self._seats = threading.BoundedSemaphore(AT_ONCE)
        self._thread: threading.Thread | None = None
        try:
            family, _, _, _, place = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
            self._server = _listening(self, family, (str(place[0]), port))
        except (OSError, OverflowError, UnicodeError) as error:
            reason = getattr(error, "strerror", None) or error
            raise InputError(
                f"nothing can be served there ({reason})", key="--share", found=f"{address} port {port}",
                allowed="an address of this machine in the crew's network, and a free port (--port 0 for any)",
            ) from error
        name = f"[{host}]" if ":" in host else host
        number = self._server.server_address[1]
        self.hosts = {f"{name}:{number}".lower(), *({name.lower()} if number == 80 else ())}
        self.url = f"http://{name}:{number}/{self.key}/"

    def begin(self, files: Mapping[str, bytes]) -> None:
        """Serve files by their names; "" is the page itself."""
        for name, data in files.items():
            kind = KINDS[Path(name or "page.html").suffix]
            zipped = gzip.compress(data, 6, mtime=0)
            self._files[name] = SharedFile(kind=kind, data=data, zipped=zipped if len(zipped) < len(data) else b"")
        self._server.server_activate()
        self._thread = threading.Thread(target=self._server.serve_forever, name="linescope-share", daemon=True)
        self._thread.start()

    def end(self) -> None:
        """Serve no longer."""
        if self._thread is not None:
            self._server.shutdown()
            self._thread.join()
        self._server.server_close()

    def find(self, path: str) -> SharedFile | None:
        """What a path leads to; None without the right key, or where there is nothing."""
        first, key, *rest = path.split("?", 1)[0].split("/", 2)
        if first or not hmac.compare_digest(key.encode("utf-8", "replace"), self.key.encode()):
            return None
        return self._files.get(rest[0]) if rest else None

    def is_own(self, host: str, origin: str | None) -> bool:
        """Whether Host, and Origin where there is one, are the address that is served, and no other name of it."""
        if host.lower() not in self.hosts:
            return False
        parts = urlsplit(origin or "")
        return origin is None or (parts.scheme == "http" and parts.netloc.lower() in self.hosts)


def _checked(address: str) -> str:
    """An address without brackets; refuses those that stand for many."""
    host = address.strip().removeprefix("[").removesuffix("]")
    with contextlib.suppress(ValueError):
        number = ipaddress.ip_address(host)
        if number.is_unspecified or number.is_multicast or getattr(number, "scope_id", None):
            raise InputError(
                "this is not one address", key="--share", found=address,
                allowed="one address of this machine, as its network settings show it, such as 192.168.0.20",
            )
        return str(number)
    if not NAME.fullmatch(host) or re.fullmatch(r"[0-9.]+", host):
        raise InputError(
            "this is no address", key="--share", found=address,
            allowed="one address of this machine, as its network settings show it, such as 192.168.0.20",
        )
    return host


def _listening(crew: CrewServer, family: int, place: tuple[str, int]) -> ThreadingHTTPServer:
    """A server that has taken its place and does not answer yet."""

    class Server(ThreadingHTTPServer):
        address_family = family
        daemon_threads, block_on_close = True, False

        def process_request(self, request: Any, client_address: Any) -> None:
            if crew._seats.acquire(blocking=False):
                super().process_request(request, client_address)
            else:
                self.shutdown_request(request)

        def process_request_thread(self, request: Any, client_address: Any) -> None:
            try:
                super().process_request_thread(request, client_address)
            finally:
                crew._seats.release()

        def handle_error(self, request: Any, client_address: Any) -> None:
            """Who leaves in the middle is nobody's fault."""

        def server_bind(self) -> None:
            """Without asking the network for this machine's name."""
            TCPServer.server_bind(self)
            self.server_name, self.server_port = str(self.server_address[0]), int(self.server_address[1])

    class Visit(BaseHTTPRequestHandler):
        """One request; the connection ends with its answer, so nothing that follows is taken for another."""

        timeout = SILENT

        def do_GET(self) -> None:
            self._answer(True)

        def do_HEAD(self) -> None:
            self._answer(False)

        def _answer(self, whole: bool) -> None:
            headers, elsewhere = self.headers, self.headers.get("Sec-Fetch-Site") == "cross-site"
            if (
                len(headers.get_all("Host") or ()) != 1
                or not crew.is_own(headers["Host"], headers.get("Origin"))
                or (elsewhere and headers.get("Sec-Fetch-Mode") != "navigate")  # A link may lead here, a script not.
                or "Content-Length" in headers
                or "Transfer-Encoding" in headers
            ):
                self.send_error(403)
            elif len(self.path) > LONGEST_PATH or (found := crew.find(self.path)) is None:
                self.send_error(404)
            else:
                zipped = bool(found.zipped) and "gzip" in headers.get("Accept-Encoding", "")
                data = found.zipped if zipped else found.data
                self.send_response(200)
                self.send_header("Content-Type", found.kind)
                if zipped:
                    self.send_header("Content-Encoding", "gzip")
                self.send_header("Vary", "Accept-Encoding")
                self._ended(data, whole)

        def _ended(self, data: bytes, whole: bool) -> None:
            for name, value in HEADERS.items():
                self.send_header(name, value)
            self.send_header("Content-Length", str(len(data)))
            self.end_headers()
            if whole:
                self.wfile.write(data)

        def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
            """The same few words whatever was asked; a method that is not known is one that is not allowed."""
            code = 405 if code == 501 else code
            self.close_connection = True
            self.send_response(code)
            if code == 405:
                self.send_header("Allow", "GET, HEAD")
            self.send_header("Content-Type", "text/plain; charset=utf-8")
            self._ended(b"not here: open the address that the QR code holds\n", self.command != "HEAD")

        def version_string(self) -> str:
            return "linescope"

        def log_message(self, format: str, *args: Any) -> None:
            """Say nothing: the path holds the key."""

    server = Server(place, Visit, bind_and_activate=False)
    try:
        server.server_bind()
    except BaseException:
        server.server_close()
        raise
    return server


def code(url: str) -> Any:
    """The QR code of an address, which a worn print still gives (15 % of it may be missing)."""
    return segno.make(url, error="m", micro=False)


def code_text(url: str) -> str:
    """The QR code for a terminal, two rows a line: dark on light whatever the terminal's colours."""
    rows = [list(row) for row in code(url).matrix_iter(border=2)]
    rows += [[0] * len(rows[0])] * (len(rows) % 2)
    signs = {(0, 0): "█", (0, 1): "▀", (1, 0): "▄", (1, 1): " "}
    return "\n".join(
        "\x1b[97;40m" + "".join(signs[int(a), int(b)] for a, b in zip(*pair, strict=True)) + "\x1b[0m"
        for pair in zip(rows[::2], rows[1::2], strict=True)
    )


def share(
    scene: Rig | RigSource,
    server: CrewServer,
    *,
    units: System = "metric",
    progress: Callable[[float, str], None] | None = None,
    ready: Callable[[str], None] | None = None,
) -> None:
    """Compute a scene's page and serve it to the crew, until interrupted.

    Parameters
    ----------
    scene : RigSource or Rig
    server : CrewServer
        Ended when this returns, however it does.
    units : {"metric", "feet"}
    progress : callable, optional
        Told the share done, 0 to 1, and what is being done.
    ready : callable, optional
        Told the address, with the key of this launch, once the page can be opened.

    Raises
    ------
    InputError
        When the scene cannot be used.
    SolveError
        When a state that is shown does not converge.
    """
    try:
        study, words = study_for_page(scene, progress), Words(system=units)
        ground = site(study.ground, study.rig) if study.ground else None
        drawer = share_drawer(code(server.url), server.url, words)
        page = page_text(study, ground=ground, units=units, more={"share": drawer})
        server.begin({"": page.encode(), **ar_files(study, words)})
        with _until_ended() as ended:
            if ready is not None:
                ready(server.url)
            while not ended.wait(0.5):  # In steps: on some systems a signal does not end a longer one.
                pass
    finally:
        server.end()


@contextlib.contextmanager
def _until_ended() -> Iterator[threading.Event]:
    """An event that a signal to end sets, in place of what the signal does else."""
    ended = threading.Event()
    old = {}
    if threading.current_thread() is threading.main_thread():
        for number in (signal.SIGINT, signal.SIGTERM):
            old[number] = signal.signal(number, lambda *_: ended.set())
    try:
        yield ended
    except KeyboardInterrupt:
        pass
    finally:
        for number, before in old.items():
            signal.signal(number, before)
