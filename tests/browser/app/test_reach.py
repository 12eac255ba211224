"""Who can use the page and who cannot: keyboard, screen reader, widths, themes; key, origin, host, files."""

from __future__ import annotations

import asyncio
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
import msgpack
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


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1440, 820])
def test_axe_finds_no_serious_fault(scheme: str, width: int, open_scene: Callable[..., Seen], tmp_path: Path) -> None:
    """axe-core as its wheel for Playwright ships it, all of its rules, impact serious and critical."""
    seen = open_scene(
        shipped(tmp_path, "larkspur_ledge"), viewport={"width": width, "height": 1000}, color_scheme=scheme
    )
    seen.until("document.querySelectorAll('[data-part] .ls-help').length === 0")
    seen.press("Next loop")
    assert faults(seen) == []
    seen.press("Compare")
    seen.type("main.tension", "3,3")
    seen.press("More about Main: tension")
    assert faults(seen) == []
    seen.tab.get_by_role("button", name="Files and brief").click()
    assert faults(seen) == []


def test_every_section_opened_is_free_of_faults(open_scene: Callable[..., Seen], tmp_path: Path) -> None:
    seen = open_scene(shipped(tmp_path, "sable_tarn"))
    seen.tab.evaluate("() => document.querySelectorAll('.ls-left details').forEach((d) => { d.open = true; })")
    seen.tab.evaluate("() => document.querySelectorAll('.ls-more').forEach((b) => b.click())")
    seen.rest()
    assert faults(seen) == []


def test_everything_is_reached_and_used_by_keyboard(seen: Seen) -> None:
    names = []
    for _ in range(60):
        seen.tab.keyboard.press("Tab")
        names.append(
            seen.tab.evaluate(
                """() => { const e = document.activeElement;
                  const label = e.labels && e.labels[0] && e.labels[0].innerText;
                  return (e.getAttribute('aria-label') || label || e.innerText || e.tagName).trim(); }"""
            )
        )
    assert "Compare" in names
    assert any("Main: tension, slider" in name for name in names)
    box = seen.box("main.tension")
    box.focus()
    tension = seen.figure("tension_a")
    for _ in range(5):
        seen.tab.keyboard.press("ArrowUp")
    seen.rest()
    assert box.input_value() == "3.5 kN"
    assert seen.figure("tension_a") != tension
    seen.tab.locator("canvas").focus()
    picture = seen.pixels()
    for key in ("ArrowLeft", "ArrowUp", "+", "Shift+ArrowRight"):
        seen.tab.keyboard.press(key)
        seen.tab.wait_for_timeout(100)
        assert seen.pixels() != picture, key
        picture = seen.pixels()
    seen.tab.keyboard.press("n")
    seen.rest()
    assert "Loop 1 of 26" in seen.tab.locator(".ls-picked").inner_text()
    seen.tab.keyboard.press("Control+z")
    seen.rest()
    assert box.input_value() == "3.0 kN"


def test_changes_and_errors_are_said_to_screen_readers(seen: Seen) -> None:
    seen.type("main.tension", "3 kg")
    said = seen.tab.get_by_role("status").inner_text()
    assert "kgf" in said
    box = seen.box("main.tension")
    ids = str(box.get_attribute("aria-describedby")).split()
    assert any("kgf" in seen.tab.locator(f"#{each}").inner_text() for each in ids)
    label = seen.tab.locator("canvas").get_attribute("aria-label")
    assert label is not None
    assert "Main pulls" in label


@pytest.mark.parametrize(("width", "height"), [(1280, 720), (1024, 768), (820, 1180)])
def test_laptop_and_tablet_widths_need_no_sideways_scrolling(
    width: int, height: int, open_scene: Callable[..., Seen], tmp_path: Path
) -> None:
    seen = open_scene(shipped(tmp_path, "sable_tarn"), viewport={"width": width, "height": height})
    assert seen.tab.evaluate("document.documentElement.scrollWidth") <= width
    canvas = seen.tab.locator("canvas").bounding_box()
    assert canvas["width"] > 350
    assert canvas["height"] > 250
    assert canvas["y"] + canvas["height"] <= height
    for label in seen.tab.locator(".ls-labels span").all():
        box = label.bounding_box()
        assert canvas["x"] <= box["x"]
        assert box["x"] + box["width"] <= canvas["x"] + canvas["width"] + 1


def test_dark_and_light_follow_the_system_and_can_be_changed(open_scene: Callable[..., Seen], scene: Path) -> None:
    seen = open_scene(scene, color_scheme="dark")
    dark = seen.tab.evaluate("getComputedStyle(document.querySelector('.ls-page')).backgroundColor")
    picture = seen.pixels()
    seen.press("Light page")
    light = seen.tab.evaluate("getComputedStyle(document.querySelector('.ls-page')).backgroundColor")
    assert (dark, light) == ("rgb(14, 19, 23)", "rgb(255, 255, 255)")
    assert seen.pixels() != picture


def test_nothing_is_fetched_from_elsewhere_and_the_key_leaves_the_address(seen: Seen) -> None:
    assert {urlsplit(url).hostname for url in seen.asked} == {"127.0.0.1"}
    assert "secret" not in seen.tab.url


def test_a_reload_of_the_tab_keeps_working(seen: Seen) -> None:
    seen.type("walker.mass", "68 kg")
    seen.tab.on("dialog", lambda dialog: dialog.accept())
    seen.tab.reload()
    seen.tab.wait_for_selector(".ls-now")
    assert seen.box("walker.mass").input_value() == "68 kg"
    assert len(seen.pixels()) > 5000


def test_a_new_tab_without_the_key_sees_nothing(browser: Any, seen: Seen) -> None:
    parts = urlsplit(seen.tab.url)
    context = browser.new_context()
    tab = context.new_page()
    tab.goto(f"http://{parts.netloc}/")
    tab.wait_for_timeout(2500)
    assert tab.locator(".ls-now").count() == 0
    assert "Larkspur" not in tab.content()
    context.close()


@pytest.fixture
def address(tmp_path: Path) -> Any:
    with serving(written(tmp_path, hundred_tapes())) as (url, _):
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
    assert status(f"{here}/ws", Origin="http://elsewhere.example") == 403
    for path in ("/..%2f..%2fetc/passwd", "/__linescope/..%2f__init__.py", "/__linescope/../page.py", "/etc/passwd"):
        assert status(f"{here}{path}") in (403, 404)
    for path in ("/" + "a" * 3900, "/__linescope/" + "b" * 3900, "/" + "/".join(["c" * 200] * 18)):
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


def elsewhere(waited: Coroutine[Any, Any, list[Any]]) -> list[Any]:
    """Run a coroutine in a thread: the browser's loop runs in this one."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, waited).result()


def test_the_socket_demands_this_launchs_key(address: Any) -> None:
    async def answers(secret: str, call: str) -> list[Any]:
        got: list[Any] = []
        async with aiohttp.ClientSession() as client, client.ws_connect(f"ws://{address.netloc}/ws") as ws:
            hello = {"wslink": "1.0", "id": "system:c0:0", "method": "wslink.hello", "args": [{"secret": secret}]}
            hello["kwargs"] = {}
            asked = {"wslink": "1.0", "id": "rpc:c0:1", "method": call, "args": [], "kwargs": {}}
            for message in (hello, asked):
                body = msgpack.packb(message)
                head = bytes(4) + (0).to_bytes(4, "little") + len(body).to_bytes(4, "little")
                await ws.send_bytes(head + body)
            try:
                while len(got) < 4:
                    message = await asyncio.wait_for(ws.receive(), 2.0)
                    if message.type != aiohttp.WSMsgType.BINARY:
                        break
                    got.append(msgpack.unpackb(message.data[12:], strict_map_key=False))
            except TimeoutError:
                pass
        return got

    key = address.query.partition("secret=")[2]
    assert len(key) == 65
    for wrong in ("wslink-secret", "", key[:-1] + ("0" if key[-1] != "0" else "1")):
        refused = elsewhere(answers(wrong, "linescope.everything"))
        assert not any("pictures" in str(message.get("result")) for message in refused)
        assert any("error" in message for message in refused)
    welcome = elsewhere(answers(key, "linescope.everything"))
    assert any("pictures" in (message.get("result") or {}) for message in welcome)


def test_the_environment_cannot_weaken_key_or_address(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRAME_ARGS", "--authKey easy --host 0.0.0.0")
    monkeypatch.setenv("TRAME_DEFAULT_HOST", "0.0.0.0")
    with serving(written(tmp_path, hundred_tapes())) as (url, child):
        assert "easy" not in url
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
        result = seen.tab.evaluate("(name) => window.trame.trigger('linescope_act', [name])", name)
        assert "no such action" in result["error"]
    result = seen.tab.evaluate("() => window.trame.trigger('linescope_act', ['edit'])")
    assert "cannot be asked for so" in result["error"]


def test_on_a_telephone_the_line_runs_up_the_picture(open_scene: Callable[..., Seen], tmp_path: Path) -> None:
    # Across a screen 390 px wide it could be 310 px long at most; labels stand beside it, not on it.
    seen = open_scene(shipped(tmp_path, "larkspur_ledge"), viewport={"width": 390, "height": 844}, has_touch=True)
    ends = seen.tab.evaluate(
        "() => { const v = document.querySelector('canvas').viewer; return v.meta.anchors.map((p) => v.project(p)); }"
    )
    box = seen.tab.locator(".ls-canvas").bounding_box()
    assert all(0.0 < x < box["width"] and 0.0 < y < box["height"] for x, y, _ in ends)
    (ax, ay, _), (bx, by, _) = ends
    assert ((ax - bx) ** 2 + (ay - by) ** 2) ** 0.5 > 1.1 * box["width"]
    labels, covered = seen.tab.evaluate(
        """() => {
            const v = document.querySelector("canvas").viewer;
            const origin = document.querySelector(".ls-canvas").getBoundingClientRect();
            const boxes = [...document.querySelectorAll(".ls-labels span:not(.anchor)")].map((e) => {
                const b = e.getBoundingClientRect();
                return [b.left - origin.left, b.top - origin.top, b.right - origin.left, b.bottom - origin.top];
            });
            const line = Array.from({ length: v.parts.main.length / 3 }, (_, i) => v.project(v.point("main", i)));
            const under = line.filter(([x, y]) => boxes.some((b) => x > b[0] && x < b[2] && y > b[1] && y < b[3]));
            return [boxes.length, under.length / line.length];
        }"""
    )
    assert labels >= 4
    assert covered < 0.08  # The last loop's label has nowhere to go but over it, at the edge of the picture.
