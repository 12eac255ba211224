"""The page for the crew: given to whoever has its address, read only whatever is sent, and to nobody else."""

from __future__ import annotations

import gzip
import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import nullcontext
from pathlib import Path
from types import ModuleType
from urllib.parse import urlsplit

import numpy as np
import pytest

from linescope.app import share as module
from linescope.app.share import CrewServer, code, code_text, share
from linescope.errors import InputError
from linescope.scene import load
from linescope.study import Study
from tests.advise.lines import scene_of

SCENES = Path(__file__).parents[2] / "scenes"
FILES = {"": b"<!doctype html>" + b"page " * 400, "rig-ar.glb": b"glTF" + bytes(range(256)), "rig-ar.usdz": b"PK" * 300}
LONGEST = 30.0


@pytest.fixture(scope="module")
def server() -> Iterator[CrewServer]:
    made = CrewServer("127.0.0.1")
    made.begin(FILES)
    yield made
    made.end()


def ask(
    server: CrewServer, path: str, method: str = "GET", body: bytes | None = None, **headers: str
) -> tuple[int, dict[str, str], bytes]:
    """Status, headers and body of one answer; the Host header is right unless one is given."""
    link = http.client.HTTPConnection("127.0.0.1", urlsplit(server.url).port, timeout=LONGEST)
    link.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
    for name, value in {"Host": urlsplit(server.url).netloc, **headers}.items():
        link.putheader(name.replace("_", "-"), value)
    link.endheaders(body)
    answer = link.getresponse()
    found = answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read()
    link.close()
    return found


def raw(server: CrewServer, text: bytes) -> bytes:
    """Everything that comes back for bytes sent as they are."""
    with socket.create_connection(("127.0.0.1", urlsplit(server.url).port), LONGEST) as link:
        link.sendall(text)
        link.shutdown(socket.SHUT_WR)
        return b"".join(iter(lambda: link.recv(65536), b""))


def home(server: CrewServer) -> str:
    return urlsplit(server.url).path


def test_files_come_as_they_are_with_their_kinds(server: CrewServer) -> None:
    """Media types by IANA: model/gltf-binary, model/vnd.usdz+zip."""
    for name, kind in (("", "text/html; charset=utf-8"), ("rig-ar.glb", "model/gltf-binary"),
                       ("rig-ar.usdz", "model/vnd.usdz+zip")):
        status, headers, body = ask(server, home(server) + name)
        assert (status, body, headers["content-type"]) == (200, FILES[name], kind)
        status, headers, body = ask(server, home(server) + name, Accept_Encoding="gzip, br")
        assert (gzip.decompress(body) if headers.get("content-encoding") == "gzip" else body) == FILES[name]
        status, headers, body = ask(server, home(server) + name, "HEAD")
        assert (status, body, headers["content-length"]) == (200, b"", str(len(FILES[name])))
        assert headers["x-content-type-options"] == "nosniff" and headers["referrer-policy"] == "no-referrer"
        assert headers["cache-control"] == "no-store" and "frame-ancestors 'none'" in headers["content-security-policy"]
        assert not {"set-cookie", "access-control-allow-origin"} & set(headers)


def test_without_its_key_there_is_nothing(server: CrewServer) -> None:
    """128 bits of the system's own randomness, as `secrets` gives them."""
    assert re.fullmatch(r"[A-Za-z0-9_-]{22}", server.key)
    other = CrewServer("127.0.0.1")
    assert other.key != server.key
    other.end()
    key = server.key
    for path in ("/", "//", f"/{key[:-1]}/", f"/{key}x/", f"/{key.swapcase()}/", "/x/", f"/x/{key}/",
                 f"/{key}", f"/?key={key}", "/rig-ar.glb", "/%00/"):
        assert ask(server, path)[0] == 404, path


@pytest.mark.parametrize("path", [
    "../../etc/passwd", "..%2f..%2fetc/passwd", "rig-ar.glb/", "./", "//", "rig-ar.glb%00", "RIG-AR.GLB", "page.html",
    "..", ".git/config", "rig.glb", "x" * 500, "rig-ar.glb#", "%2e%2e/", "\\..\\..",
])
def test_nothing_but_its_files_is_found(server: CrewServer, path: str) -> None:
    status, _, body = ask(server, home(server) + path)
    assert status == 404 and len(body) < 80


@pytest.mark.parametrize("headers", [
    {"Host": "evil.example"}, {"Host": "localhost:{port}"}, {"Host": "127.0.0.1"}, {"Host": "127.0.0.1:1"},
    {"Host": ""}, {"Host": "127.0.0.1:{port}.evil.example"}, {"Origin": "http://evil.example"}, {"Origin": "null"},
    {"Origin": "https://127.0.0.1:{port}"}, {"Origin": "http://127.0.0.1:{port}.evil.example"},
    {"Sec_Fetch_Site": "cross-site", "Sec_Fetch_Mode": "no-cors"}, {"Content_Length": "0"},
    {"Transfer_Encoding": "chunked"},
])
def test_other_hosts_and_origins_are_refused(server: CrewServer, headers: dict[str, str]) -> None:
    """DNS rebinding and foreign pages that ask in a visitor's name."""
    port = str(urlsplit(server.url).port)
    filled = {name: value.replace("{port}", port) for name, value in headers.items()}
    assert ask(server, home(server), **filled)[0] == 403


def test_its_own_page_and_a_link_that_was_followed_are_answered(server: CrewServer) -> None:
    own = f"http://{urlsplit(server.url).netloc}"
    assert ask(server, home(server), Origin=own)[0] == 200
    assert ask(server, home(server), Sec_Fetch_Site="cross-site", Sec_Fetch_Mode="navigate")[0] == 200


@pytest.mark.parametrize(
    "method", ["POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "CONNECT", "MOVE", "get", "X"]
)
def test_nothing_can_be_changed(server: CrewServer, method: str) -> None:
    status, headers, _ = ask(server, home(server), method, b"main.tension=9 kN" if method != "TRACE" else None)
    assert status == 405 and headers["allow"] == "GET, HEAD"
    assert ask(server, home(server))[2] == FILES[""]


def test_a_socket_cannot_be_opened(server: CrewServer) -> None:
    """The handshake of RFC 6455 is answered as any other request: with the page, and the connection ends."""
    answer = ask(server, home(server), Connection="Upgrade", Upgrade="websocket", Sec_WebSocket_Version="13",
                 Sec_WebSocket_Key="AAAAAAAAAAAAAAAAAAAAAA==")
    assert answer[0] == 200 and answer[1]["connection"] == "close" and "upgrade" not in answer[1]


def test_a_second_request_in_the_same_bytes_is_not_heard(server: CrewServer) -> None:
    host = urlsplit(server.url).netloc
    one = f"GET {home(server)} HTTP/1.1\r\nHost: {host}\r\n\r\n".encode()
    assert raw(server, one + one).count(b"HTTP/1.") == 1
    twice = f"GET {home(server)} HTTP/1.1\r\nHost: {host}\r\nHost: evil.example\r\n\r\n".encode()
    assert b" 403 " in raw(server, twice).split(b"\r\n")[0]
    assert b"200" not in raw(server, b"\x16\x03\x01\x02\x00\x01\x00" + bytes(300)).split(b"\r\n")[0]
    for long in (b"GET /" + b"a" * 70_000 + b" HTTP/1.1\r\n\r\n", b"GET / HTTP/1.1\r\n" + b"a: b\r\n" * 400 + b"\r\n"):
        first = raw(server, long).split(b"\r\n")[0]
        assert re.search(rb" 4\d\d ", first), first
    assert ask(server, home(server))[0] == 200


def test_many_silent_visitors_do_not_end_it(server: CrewServer) -> None:
    place = ("127.0.0.1", urlsplit(server.url).port)
    silent = [socket.create_connection(place, LONGEST) for _ in range(30)]
    assert ask(server, home(server))[0] == 200
    for link in silent:
        link.close()


@pytest.mark.parametrize(("address", "said"), [
    ("0.0.0.0", "not one address"), ("::", "not one address"), ("[::]", "not one address"),
    ("224.0.0.1", "not one address"), ("", "no address"), ("a b", "no address"), ("http://127.0.0.1", "no address"),
    ("127.0.0.1:80", "no address"), ("1.2.3", "no address"), ("127.0.0.1/8", "no address"), ("é", "no address"),
    ("192.0.2.1", "nothing can be served there"),  # RFC 5737: for documentation, no machine's.
    ("no-such-name.invalid", "nothing can be served there"),  # RFC 2606.
])
def test_an_address_that_is_not_one_of_this_machine_is_refused(address: str, said: str) -> None:
    with pytest.raises(InputError, match=said) as error:
        CrewServer(address)
    assert error.value.key == "--share"


def test_a_taken_port_is_refused() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(InputError, match="nothing can be served there"):
            CrewServer("127.0.0.1", taken.getsockname()[1])


@pytest.mark.peer
def test_the_code_reads_as_the_address(peer: Callable[[str, str], ModuleType]) -> None:
    """Read back by a decoder that is not ours, from the signs of the terminal, and with a corner soiled."""
    zxing = peer("zxingcpp", "QR codes of shared pages")
    url = "http://192.168.178.203:54321/AbCdEfGhIjKlMnOpQrStUv/"
    signs = {"█": (255, 255), "▀": (255, 0), "▄": (0, 255), " ": (0, 0)}
    lines = [re.sub(r"\x1b\[[0-9;]*m", "", line) for line in code_text(url).split("\n")]
    rows = [[signs[letter][half] for letter in line] for line in lines for half in (0, 1)]
    image = np.kron(np.array(rows, dtype=np.uint8), np.ones((6, 6), dtype=np.uint8))
    assert [found.text for found in zxing.read_barcodes(image)] == [url]
    assert max(len(line) for line in lines) <= 44 and len(lines) <= 22  # In a terminal of 80 x 24.
    soiled = image.copy()
    soiled[-48:-24, -48:-24] = 255
    assert [found.text for found in zxing.read_barcodes(soiled)] == [url]
    assert code(url).error in ("M", "Q", "H")


@pytest.mark.usefixtures("built")
def test_what_is_served_is_the_page_with_its_code_and_files(monkeypatch: pytest.MonkeyPatch) -> None:
    scene = load(SCENES / "heron_gap.toml")
    monkeypatch.setattr(module, "study_for_page", lambda given, progress: Study(given, leave=Study.SLOW))
    server = CrewServer("127.0.0.1")
    began, ended = threading.Event(), threading.Event()
    monkeypatch.setattr(module, "_until_ended", lambda: nullcontext(ended))
    thread = threading.Thread(target=share, args=(scene, server), kwargs={"ready": lambda url: began.set()})
    thread.start()
    assert began.wait(300.0)
    seen = {name: ask(server, home(server) + name) for name in ("", "rig-ar.glb", "rig-ar.usdz")}
    ended.set()
    thread.join(LONGEST)
    assert not thread.is_alive()
    assert {status for status, _, _ in seen.values()} == {200}
    page = seen[""][2].decode()
    assert server.url in page and 'data-drawer-of="share"' in page and 'id="drawer-share"' in page
    assert re.search(r'<a rel="ar" href="rig-ar\.usdz#[^"]*"><img [^>]*></a>', page)  # A picture and nothing else.
    assert 'href="rig-ar.glb"' in page and "Left out: the ground" in page
    assert seen["rig-ar.glb"][2][:4] == b"glTF" and seen["rig-ar.usdz"][2][:2] == b"PK"
    with pytest.raises(OSError):
        ask(server, home(server))


@pytest.mark.skipif(os.name == "nt", reason="signals of POSIX")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_ends_it_cleanly(number: signal.Signals, tmp_path: Path) -> None:
    """As the command: status 0, no traceback, the port free again."""
    script = (
        "import sys; from linescope.app import share as s; from linescope.study import Study;"
        "s.study_for_page = lambda scene, progress: Study(scene, leave=Study.SLOW);"
        "from linescope.__main__ import main;"
        "sys.argv = ['linescope', *sys.argv[1:]]; sys.exit(main())"
    )
    scene = tmp_path / "small.toml"
    scene.write_text(scene_of().text, encoding="utf-8")
    child = subprocess.Popen(
        [sys.executable, "-c", script, "stage", str(scene), "--share", "127.0.0.1"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env={**os.environ, "LINESCOPE_LANGUAGE": "en"},
    )
    assert child.stdout is not None
    said = child.stdout.readline()
    url = re.search(r"http://127\.0\.0\.1:(\d+)/\S+", said)
    assert url is not None, child.communicate()
    link = http.client.HTTPConnection("127.0.0.1", int(url[1]), timeout=LONGEST)
    link.request("GET", urlsplit(url[0]).path)
    assert link.getresponse().status == 200
    link.close()
    child.send_signal(number)
    _, error = child.communicate(timeout=60.0)
    assert (child.returncode, error) == (0, "")
    with socket.socket() as free:
        free.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        free.bind(("127.0.0.1", int(url[1])))
