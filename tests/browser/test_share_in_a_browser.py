"""The crew's page on three sizes of screen: opened by its address, it shows its code and gives the rig at true size."""

from __future__ import annotations

import importlib.resources
import io
import threading
from collections.abc import Callable, Iterator
from contextlib import nullcontext
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from PIL import Image

from linescope.app import share as module
from linescope.scene import load
from linescope.study import Study
from tests.browser.app.served import CHROMIUM, MISSING, said
from tests.long import rest_is_long

pytestmark = [pytest.mark.skipif(CHROMIUM is None, reason=MISSING), pytest.mark.usefixtures("built")]
SCENE = Path(__file__).parents[2] / "scenes" / "heron_gap.toml"
AXE = importlib.resources.files("axe_playwright_python") / "axe.min.js"


@pytest.fixture(scope="module")
def address(built: Any) -> Iterator[str]:
    """Of a page that is shared; what takes long is left out of it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "study_for_page", lambda scene, progress: Study(scene, leave=Study.SLOW))
        began, ended = threading.Event(), threading.Event()
        patch.setattr(module, "_until_ended", lambda: nullcontext(ended))
        server = module.CrewServer("127.0.0.1")
        thread = threading.Thread(
            target=module.share, args=(load(SCENE), server), kwargs={"ready": lambda url: began.set()}
        )
        thread.start()
        assert began.wait(300.0)
        yield server.url
        ended.set()
        thread.join()


@pytest.mark.peer
@pytest.mark.parametrize("size", rest_is_long(
    [(1440, 900), (1024, 768), (390, 844)], (1440, 900), (390, 844)
))
def test_the_page_shows_its_code_and_gives_its_files(
    browser: Any, address: str, size: tuple[int, int], peer: Callable[[str, str], ModuleType]
) -> None:
    zxing = peer("zxingcpp", "the QR code of a shared page, as it is seen")
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]}, has_touch=size[0] < 500, reduced_motion="reduce"
    )
    tab = context.new_page()
    tab.set_default_timeout(120_000)
    wrong: list[str] = []
    tab.on("console", lambda message: wrong.append(message.text) if said(message) else None)
    tab.on("pageerror", lambda error: wrong.append(str(error)))
    tab.goto(address)
    tab.wait_for_selector("html[data-ready]")
    assert tab.evaluate("linescope.now.state") == "walker"
    press = tab.tap if size[0] < 500 else tab.click
    press("[data-drawer-of=share]")
    tab.locator("#drawer-share .code svg").wait_for()
    seen = np.asarray(Image.open(io.BytesIO(tab.screenshot())).convert("L"))
    assert [found.text for found in zxing.read_barcodes(seen)] == [address]  # As a telephone's camera would.
    with tab.expect_download() as started:
        press("#drawer-share a[download]")
    assert started.value.suggested_filename == "rig-ar.glb"
    assert Path(started.value.path()).read_bytes()[:4] == b"glTF"
    answer = context.request.get(tab.locator("a[rel=ar]").evaluate("link => link.href.split('#')[0]"))
    assert answer.headers["content-type"] == "model/vnd.usdz+zip" and answer.body()[:2] == b"PK"
    box = tab.locator("a[rel=ar]").bounding_box()
    assert min(box["width"], box["height"]) >= 44.0  # Target size, WCAG 2.2, 2.5.5.
    tab.evaluate(AXE.read_text(encoding="utf-8"))
    found = tab.evaluate("() => axe.run(document, { resultTypes: ['violations'] })")
    assert [v["id"] for v in found["violations"] if v["impact"] in ("serious", "critical")] == []
    assert not wrong
    context.close()
