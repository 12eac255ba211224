"""The interactive page in a notebook: whole in the cell's output, and the page of a brief."""

from __future__ import annotations

import base64
import doctest
import gzip
import inspect
import io
import re
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

import linescope
from linescope.export.page_file import page_text
from linescope.shown import Shown
from linescope.stage.ground import site
from linescope.study import Study

ROOT = Path(__file__).parents[2]
SCENE = ROOT / "scenes" / "heron_gap.toml"
pytestmark = pytest.mark.usefixtures("built")


@pytest.fixture(scope="module")
def study() -> Study:
    return Study(linescope.load(SCENE), leave=Study.SLOW)


@pytest.fixture(scope="module")
def shown(study: Study) -> Any:
    return study.view(height=700)


def inside(html: str) -> str:
    """The document in the frame of a cell's output, as a browser reads it."""
    return unescape(re.search(r'srcdoc="([^"]*)"', html)[1])


def test_the_cell_holds_the_page_of_a_brief(study: Study, shown: Any) -> None:
    assert study.ground
    packed = re.search(r'id="page">([^<]*)<', inside(shown._repr_html_()))[1]
    page = gzip.decompress(base64.b64decode(packed)).decode()
    assert page == shown.page == page_text(study, ground=site(study.ground, study.rig))


def test_it_asks_for_nothing_and_cannot_reach_the_notebook(shown: Any) -> None:
    """`sandbox` without `allow-same-origin`: an origin of its own (HTML standard, 7.1.5, sandboxing)."""
    html = shown._repr_html_()
    assert re.search(r' sandbox="allow-scripts" ', html) and "height:700px" in html
    assert not re.search(r"https?:|\ssrc=", inside(html))


def test_paper_and_untrusted_notebooks_get_a_still_picture(shown: Any) -> None:
    """`image/png` in base 64 beside the HTML, as the messaging protocol of Jupyter has it (display data)."""
    bundle = shown._repr_mimebundle_()
    assert set(bundle) == {"text/html", "image/png", "text/plain"}
    assert Image.open(io.BytesIO(base64.b64decode(bundle["image/png"]))).size == (900, 700)
    assert "Heron Gap" in bundle["text/plain"] and len(bundle["text/plain"]) < 100


def test_its_size_is_what_is_said(shown: Any) -> None:
    assert 0.2e6 < len(shown._repr_html_()) < 1.0e6
    assert len(shown._repr_html_()) < len(shown.page)


def test_a_state_shows_its_rig_in_feet(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    monkeypatch.setattr("linescope.notebook.viewing.study_for_page", lambda rig: asked.append(rig) or Study(
        rig, leave=Study.SLOW))
    state = linescope.solve(SCENE)
    page = state.view(units="feet").page
    assert asked == [state.rig]
    assert re.search(r"\d ft\b", page) and not re.search(r">[^<]*\d m from A", page)


@pytest.mark.long
def test_its_example_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    text = inspect.getdoc(Shown.view)
    assert "Examples\n--------" in text
    example = doctest.DocTestParser().get_doctest(text, {}, "view", None, 0)
    told: list[str] = []
    failed, tried = doctest.DocTestRunner().run(example, out=told.append)
    assert tried == 4 and not failed, "".join(told)
