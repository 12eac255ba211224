"""A saved notebook, turned into HTML without a kernel and opened without network: the rig can be walked on."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from PIL import Image

import linescope
from linescope.stage.theme import LIGHT
from linescope.study import Study
from tests.browser.app.served import CHROMIUM, MISSING

pytestmark = [pytest.mark.skipif(CHROMIUM is None, reason=MISSING), pytest.mark.usefixtures("built")]
SCENE = Path(__file__).parents[2] / "scenes" / "ptarmigan_step.toml"


@pytest.mark.peer
@pytest.mark.filterwarnings("ignore:IPython3 lexer unavailable")
def test_a_saved_notebook_shows_the_rig(
    browser: Any, peer: Callable[[str, str], ModuleType], tmp_path: Path
) -> None:
    """Saved by nbformat and made into HTML by nbconvert, which are not ours."""
    nbformat = peer("nbformat", "notebooks with a view in them")
    nbconvert = peer("nbconvert", "notebooks with a view in them, as HTML")
    shown = Study(linescope.load(SCENE), leave=Study.SLOW).view()
    v4 = nbformat.v4
    output = v4.new_output("execute_result", data=shown._repr_mimebundle_(), execution_count=1)
    saved = v4.new_notebook(cells=[v4.new_code_cell("scene.view()", execution_count=1, outputs=[output])])
    nbformat.validate(saved)
    nbformat.write(saved, tmp_path / "n.ipynb")
    html, _ = nbconvert.HTMLExporter().from_filename(str(tmp_path / "n.ipynb"))
    (tmp_path / "n.html").write_text(html, encoding="utf-8")

    context = browser.new_context(viewport={"width": 1440, "height": 900}, offline=True)
    tab = context.new_page()
    tab.set_default_timeout(120_000)
    wrong: list[str] = []
    tab.on("pageerror", lambda error: wrong.append(str(error)))
    tab.goto((tmp_path / "n.html").as_uri())
    frame = tab.frame_locator("iframe")
    frame.locator("html[data-ready]").wait_for()
    inner = tab.frames[-1]
    inner.wait_for_function("!linescope.flight.flying && !linescope.asked")
    verdict, place = inner.inner_text("#verdict"), inner.evaluate("linescope.now.at")
    assert verdict and verdict in shown.page
    seen = np.asarray(Image.open(io.BytesIO(tab.screenshot())).convert("RGB")).astype(int)
    main = np.abs(seen - np.array(LIGHT.rgb("main"))).max(axis=2) < 8
    assert np.ptp(np.nonzero(main.any(axis=0))[0]) > 700  # The main, from one side to the other.
    frame.locator("#strip").press("ArrowRight")
    inner.wait_for_function(f"linescope.now.at > {place}")
    assert not wrong
    context.close()
