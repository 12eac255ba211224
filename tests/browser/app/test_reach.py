"""Who can use the page and who cannot: keyboard, screen reader, widths, themes; key, origin, host, files."""

from __future__ import annotations

import asyncio
import contextlib
import importlib.resources
import json
import socket
import urllib.error
import urllib.request
from collections.abc import Callable, Coroutine
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import aiohttp
import pytest

from tests.app.rigs import hundred_tapes, shipped, written
from tests.browser.app.served import Seen, serving

AXE = importlib.resources.files("axe_playwright_python") / "axe.min.js"


def faults(seen: Seen) -> list[str]:
    """Serious and critical findings of axe-core."""
    seen.tab.evaluate(AXE.read_text(encoding="utf-8"))
    found: dict[str, Any] = seen.tab.evaluate("() => axe.run(document, { resultTypes: ['violations'] })")
    return [
        f"{v['id']} ({v['impact']}): {json.dumps([n['html'][:160] for n in v['nodes'][:3]])}"
        for v in found["violations"]
        if v["impact"] in ("serious", "critical")
    ]




@pytest.mark.parametrize(("width", "height"), [
    (1440, 900), *(pytest.param(*size, marks=pytest.mark.long) for size in ((1024, 768), (390, 844))),
])
def test_axe_finds_no_serious_fault(width: int, height: int, open_scene: Callable[..., Seen], tmp_path: Path) -> None:
    """axe-core as its wheel for Playwright ships it, all of its rules, impact serious and critical."""
    seen = open_scene(
        shipped(tmp_path, "heron_gap"), viewport={"width": width, "height": height}, has_touch=width < 500
    )
    seen.known("exact")
    assert faults(seen) == []
    assert seen.tab.evaluate("document.documentElement.scrollWidth") <= width
    for name in ("rig", "answers", "file"):
        seen.drawer(name)
        if name == "rig":
            seen.tab.evaluate("() => document.querySelectorAll('#sections details').forEach((d) => { d.open = true; })")
            seen.tab.evaluate("() => document.querySelectorAll('#sections .dots').forEach((b) => b.click())")
        if name == "answers":
            seen.tab.evaluate("() => document.querySelectorAll('#parts details').forEach((d) => { d.open = true; })")
        assert faults(seen) == [], name
        seen.shut()
    seen.tab.keyboard.press("d")
    seen.rest()
    assert seen.tab.evaluate("document.documentElement.dataset.theme") == "dark"
    assert faults(seen) == []
    for name in ("rig", "answers", "file"):
        seen.drawer(name)
        assert faults(seen) == [], f"{name}, dark"
        seen.shut()
    seen.tab.keyboard.press("d")
    seen.tab.keyboard.press(".")
    seen.rest()
    assert faults(seen) == []
    seen.tab.keyboard.press("Escape")
    seen.tab.locator("#variants").click()
    seen.rest()
    assert faults(seen) == []
    seen.tab.locator("#variants").click()
    seen.rest()
    assert faults(seen) == []


def test_on_a_telephone_all_is_done_by_touch(open_scene: Callable[..., Seen], tmp_path: Path) -> None:
    seen = open_scene(
        shipped(tmp_path, "heron_gap"), viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True
    )
    for which in ("#verdict", "#gl", "#strip", "#tools", "nav"):
        box = seen.tab.locator(which).bounding_box()
        assert box["y"] >= 0 and box["y"] + box["height"] <= 845, which
    assert seen.tab.evaluate("document.documentElement.scrollHeight") <= 844
    small = seen.tab.evaluate(
        """() => [...document.querySelectorAll("#tools button, nav button, #views button:not([hidden])")]
            .filter((e) => e.offsetParent).map((e) => e.getBoundingClientRect().height)"""
    )
    assert min(small) >= 43.5
    at = seen.now("at")
    box = seen.tab.locator("#strip").bounding_box()
    seen.tab.touchscreen.tap(box["x"] + 0.4 * box["width"], box["y"] + 40)
    seen.rest()
    assert abs(seen.now("at") - at) > 1.0
    seen.tab.locator("#near").tap()
    seen.rest()
    x, y = seen.point("tapes[6]")
    seen.tab.touchscreen.tap(x, y)
    seen.rest()
    assert "Tape" in seen.tab.locator("#card h2").inner_text()
    before = seen.tab.evaluate("() => linescopeLive.card.spot()[0]")
    seen.tab.get_by_role("button", name="Towards B").tap()
    seen.rest()
    assert seen.tab.evaluate("() => linescopeLive.card.spot()[0]") > before + 0.02
    seen.tab.locator("#card .close").tap()
    seen.tab.locator("#undo").tap()
    seen.rest()
    assert not seen.tab.evaluate("() => linescopeLive.status.undo")
    assert seen.problems == []


def test_keys_reach_everything(seen: Seen) -> None:
    names = []
    for _ in range(40):
        seen.tab.keyboard.press("Tab")
        names.append(seen.tab.evaluate("(document.activeElement.ariaLabel ?? document.activeElement.innerText).trim()"))
    for name in ("The rig", "Answers", "Scene", "Two variants", "Measure", "Cut ground", "Whole line", "Play"):
        assert name in names, name
    assert seen.tab.locator("#verdict").get_attribute("aria-live") == "polite"
    assert "Old" not in seen.tab.title()


def test_nothing_is_fetched_from_elsewhere_and_the_key_leaves_the_address(seen: Seen) -> None:
    assert {urlsplit(url).hostname for url in seen.asked if not url.startswith(("data:", "blob:"))} == {"127.0.0.1"}
    assert "secret" not in seen.tab.url
    seen.drawer("rig")
    seen.type("walker.mass", "68 kg")
    seen.tab.on("dialog", lambda dialog: dialog.accept())
    seen.tab.reload()
    seen.tab.wait_for_selector("html[data-ready]")
    seen.rest()
    assert seen.tab.evaluate("document.querySelector('[data-path=\"walker.mass\"]').value") == "68 kg"


def test_a_new_tab_without_the_key_sees_nothing(browser: Any, seen: Seen) -> None:
    parts = urlsplit(seen.tab.url)
    context = browser.new_context()
    tab = context.new_page()
    tab.goto(f"http://{parts.netloc}/")
    tab.wait_for_selector("html[data-lost]", state="attached")
    assert "Larkspur" not in tab.content()
    context.close()


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Any:
    with serving(written(tmp_path_factory.mktemp("served"), hundred_tapes())) as (url, _):
        yield urlsplit(url)


def status(url: str, **headers: str) -> int:
    request = urllib.request.Request(url, headers=headers)
    try:
        with urllib.request.urlopen(request, timeout=10) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as error:
        error.close()
        return int(error.code)


def test_foreign_hosts_and_origins_are_refused(address: Any) -> None:
    here = f"http://{address.netloc}"
    assert status(f"{here}/") == 200
    assert status(f"{here}/", Host="rebound.example") == 403
    assert status(f"{here}/", Host=f"rebound.example:{address.port}") == 403
    assert status(f"{here}/", Origin="http://elsewhere.example") == 403
    assert status(f"{here}/", Origin="null") == 403
    assert status(f"{here}/", Origin=here) == 200
    assert status(f"{here}/live", Origin="http://elsewhere.example") == 403
    for path in ("/..%2f..%2fetc/passwd", "/viewer.js/..%2f__init__.py", "/app/../page.py", "/etc/passwd"):
        assert status(f"{here}{path}") in (403, 404)
    for path in ("/" + "a" * 3900, "/viewer.js/" + "b" * 3900, "/" + "/".join(["c" * 200] * 18)):
        assert status(f"{here}{path}") == 404  # Longer than any file's name may be.


def test_only_the_loopback_address_listens(address: Any) -> None:
    names = {info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
    others = {name for name in names if not str(name).startswith("127.")}
    if not others:
        pytest.skip("this machine has no other address to try")
    for name in others:
        with socket.socket() as sock:
            sock.settimeout(2.0)
            assert sock.connect_ex((str(name), address.port)) != 0


def elsewhere(*waited: Coroutine[Any, Any, list[Any]]) -> list[list[Any]]:
    """Run coroutines beside each other in a thread: the browser's loop runs in this one."""
    async def together() -> list[list[Any]]:
        return await asyncio.gather(*waited)

    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, together()).result()


def test_the_socket_demands_this_launchs_key(address: Any) -> None:
    async def heard(first: str, then: str = "") -> list[Any]:
        got: list[Any] = []
        async with aiohttp.ClientSession() as client, client.ws_connect(f"ws://{address.netloc}/live") as ws:
            await ws.send_str(first)
            if then:
                await ws.send_str(then)
            with contextlib.suppress(TimeoutError):
                while len(got) < 12:
                    message = await asyncio.wait_for(ws.receive(), 3.0)
                    if message.type not in (aiohttp.WSMsgType.TEXT, aiohttp.WSMsgType.BINARY):
                        break
                    got.append(message.data)
        return got

    key = address.query.partition("secret=")[2]
    assert len(key) == 65
    asked = json.dumps({"id": 1, "do": "act", "args": ["undo"]})
    wrong = ("", key[:-1] + ("0" if key[-1] != "0" else "1"), asked)
    assert elsewhere(*(heard(each, asked) for each in wrong)) == [[]] * len(wrong)
    odds = ("[]", "{", json.dumps({"id": 2, "do": "stop_job"}), json.dumps({"id": 2, "do": "act", "args": 3}),
            json.dumps({"id": 2, "do": "act", "args": ["__init__"]}), json.dumps({"id": 2, "do": "act"}))
    for odd, told in zip(odds, elsewhere(*(heard(key, each) for each in odds)), strict=True):
        found = [json.loads(each) for each in told if isinstance(each, str)]
        (answer,) = [each["value"] for each in found if each["topic"] == "answer"]
        assert "error" in answer["result"], odd
        assert any(each["topic"] == "status" for each in found)


def test_only_loopback_is_listened_to_whatever_the_environment_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOST", "0.0.0.0")
    with serving(written(tmp_path, hundred_tapes())) as (url, child):
        port = f"{urlsplit(url).port:04X}"
        tables = [Path(f"/proc/{child.pid}/net/{name}") for name in ("tcp", "tcp6")]
        lines = [line.split() for table in tables if table.exists() for line in table.read_text().splitlines()[1:]]
        listening = {fields[1] for fields in lines if fields[3] == "0A" and fields[1].endswith(f":{port}")}
        if not listening:
            pytest.skip("this system does not list its sockets")
        assert listening == {f"0100007F:{port}"}


def test_every_launch_has_a_key_of_its_own(tmp_path: Path) -> None:
    scene = written(tmp_path, hundred_tapes())
    with serving(scene) as (one, _), serving(scene) as (two, _):
        keys = {urlsplit(url).query for url in (one, two)}
    assert len(keys) == 2


def test_only_listed_actions_can_be_called(seen: Seen) -> None:
    for name in ("__init__", "settle", "engine", "document", "accept", "os.system"):
        result = seen.tab.evaluate("(name) => linescopeLive.link.ask('act', [name])", name)
        assert "no such action" in result["error"]
    result = seen.tab.evaluate("() => linescopeLive.link.ask('act', ['edit'])")
    assert "cannot be asked for so" in result["error"]


def test_opening_a_file_shows_none_of_what_is_in_it(seen: Seen, tmp_path: Path) -> None:
    """With the key, `open` reads scenes only: of another file not even its first letters are told."""
    (tmp_path / "secret.toml").write_text("hunter2 is the word", encoding="utf-8")
    (tmp_path / "secret.txt").write_text("hunter2 is the word", encoding="utf-8")
    for name in ("secret.toml", "secret.txt", "/etc/passwd"):
        result = seen.tab.evaluate("(name) => linescopeLive.link.ask('act', ['open', name])", name)
        assert result["error"]
        assert "hunter2" not in result["error"] and "root:" not in result["error"]
