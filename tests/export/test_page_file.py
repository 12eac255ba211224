"""The offline page as a file: nothing from outside, nothing unescaped, the numbers of the results."""

from __future__ import annotations

import base64
import dataclasses
import functools
import gzip
import hashlib
import json
import re
from html.parser import HTMLParser
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import pytest

from linescope.errors import MissingViewerError, OutputError
from linescope.export import page_file
from linescope.export.page_file import json_for_html, write_page
from linescope.export.space import unpacked
from linescope.terrain import Terrain
from tests.export import gathered
from tests.stage import rigs

HOSTILE = "</title></script><script>window.hacked = 1</script><img src=x onerror=hack()> \" ' & <!-- \u2028"


class Reader(HTMLParser):
    """What a browser would see: elements with their attributes, text, scripts."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.inside: list[str] = []
        self.words: list[str] = []
        self.scripts: list[tuple[dict[str, str | None], str]] = []
        self.styles: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self.inside.append(tag)

    def handle_endtag(self, tag: str) -> None:
        while self.inside and self.inside.pop() != tag:
            pass

    def handle_data(self, data: str) -> None:
        last = self.inside[-1] if self.inside else ""
        if last == "script":
            self.scripts.append((self.tags[-1][1], data))
        elif last == "style":
            self.styles.append(data)
        else:
            self.words.append(data)


pytestmark = pytest.mark.usefixtures("built")


@functools.cache
def page(name: str = "windy", short: bool = False) -> tuple[Reader, dict[str, Any], bytes, str]:
    """What a browser reads of the page: its text, the scene's JSON, its binary glTF; `short`: of a clearance."""
    found = gathered.study(name)
    ground = Terrain(**vars(rigs.gorge(found.rig)), source="invented")
    found = rigs.changed(found, ground=ground, **({"clearance": gathered.clearance()} if short else {}))
    with TemporaryDirectory() as folder:
        text = write_page(Path(folder) / "p.html", found, ground=ground).read_text(encoding="utf-8")
    reader = Reader(text)
    scene, space = (unzipped(reader, name) for name in ("scene", "space"))
    return reader, json.loads(scene), space, text


def unzipped(reader: Reader, name: str) -> bytes:
    body = next(body for attributes, body in reader.scripts if attributes.get("id") == name)
    return gzip.decompress(base64.b64decode(body))


def test_it_asks_for_nothing_outside_itself() -> None:
    reader, _, _, text = page()
    for tag, attributes in reader.tags:
        assert not {"src", "href", "srcset", "action", "data", "poster", "onerror", "onload", "style"} & set(
            attributes
        ), tag
    own = re.sub(r"<script>.*?</script>", "", text, flags=re.S)
    assert not re.search(r"https?:|//cdn|@import|url\((?!\"?data:)", own)
    policy = next(a["content"] for tag, a in reader.tags if a.get("http-equiv") == "Content-Security-Policy")
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "connect-src" not in policy  # So that the default forbids it: a script cannot ask for anything.
    assert not re.search(r"(script|style)-src[^;]*(data:|blob:|\*)", policy)
    script = next(body for attributes, body in reader.scripts if not attributes)
    for kind, body in (("script-src", script), ("style-src", reader.styles[0])):
        digest = base64.b64encode(hashlib.sha256(body.encode()).digest()).decode()
        assert f"{kind} 'sha256-{digest}'" in policy
    program = base64.b64encode(hashlib.sha256(unzipped(reader, "program")).digest()).decode()
    assert re.search(rf"script-src [^;]*'sha256-{re.escape(program)}'", policy)


def test_hostile_words_are_text_and_nothing_else(tmp_path: Path) -> None:
    found = gathered.study("trap")
    rig = dataclasses.replace(
        found.rig, name=HOSTILE, description=HOSTILE, main=dataclasses.replace(found.rig.main, name=HOSTILE)
    )
    text = write_page(tmp_path / "p.html", rigs.changed(found, rig=rig, walked=())).read_text(encoding="utf-8")
    reader = Reader(text)
    assert [tag for tag, _ in reader.tags].count("script") == 5
    assert "img" not in [tag for tag, _ in reader.tags]
    shown = HOSTILE.replace("\u2028", " ")
    assert reader.words.count(shown) >= 3
    assert "<script>window" not in text


@pytest.mark.parametrize("data", [HOSTILE, {"a": ["</script>", "<!--", "]]>", "\u2028&amp;"]}, "Größe Ω 中"])
def test_json_in_html_comes_back_and_cannot_end_its_element(data: object) -> None:
    text = json_for_html(data)
    assert not set("<>&\u2028") & set(text)
    assert json.loads(text) == data


def test_lines_are_where_they_were_computed() -> None:
    """To the step in which they are kept, in the frame of the line; a sag drawn 10 % wrong would be decimetres off."""
    found = gathered.study("windy")
    _, data, file, _ = page()
    states = {state["key"]: state for state in data["states"]}
    assert list(states) == ["empty", "walker", "settled", "fall", "gone", "gust"]
    to_b = (found.rig.main_b - found.rig.main_a)[:2]
    along = to_b / np.hypot(*to_b)
    turn = np.array([[along[0], along[1], 0], [-along[1], along[0], 0], [0, 0, 1]])
    for key, solution in (
        ("empty", found.standing), ("settled", found.settled), ("fall", found.fall.deepest),
        ("gust", found.wind.case("walker", "as given").gust),
    ):
        shape = states[key]["shape"]
        drawn = unpacked(file, shape["main"])[0][shape["tapes"]["main"]]
        assert drawn == pytest.approx((solution.tape_points - found.rig.main_a) @ turn.T, abs=0.0026)
    walk = states["walker"]
    feet = unpacked(file, walk["shape"]["feet"])[:, 0]
    middle = int(np.argmin(np.abs(np.array(walk["x"]) - found.rig.walker.at)))
    assert feet[middle] == pytest.approx((found.taped.walker_point - found.rig.main_a) @ turn.T, abs=0.0026)


def test_figures_beside_the_picture_are_those_of_the_state() -> None:
    found = gathered.study("trap")
    _, data, _, _ = page("trap")
    walk = next(state for state in data["states"] if state["key"] == "walker")
    middle = int(np.argmin(np.abs(np.array(walk["x"]) - found.rig.walker.at)))
    figures = dict(zip(walk["figures"]["names"], walk["figures"]["values"][middle], strict=True))
    assert figures["Main at A"] == f"{found.taped.tension_a / 1000:.1f} kN"
    assert figures["Loops"] == "none: the backup is tight"
    assert set(walk["shape"]["depthText"]["of"]) == {"tight"}


def test_tables_warnings_and_cautions_are_on_the_page() -> None:
    reader, data, _, text = page("trap", short=True)
    words = " ".join(reader.words)
    for wanted in (
        "Negative excess, the backup carries load before the main fails",
        "What is asked for is not kept at one place",
        "Where nobody may fall into the leash", "If the ring runs",
        "Leash falls along the line", "Loss of the main", "assumed", "Plan, not permission",
        "Tapes position the backup; they hold no fall", "no damping, no torsion",
    ):  # fmt: skip
        assert wanted in words, wanted
    assert not re.search(r"\bsafe\b", words, re.IGNORECASE)
    words += json.dumps(data)
    assert not re.search(r"\bsafe\b", words, re.IGNORECASE)
    assert len(text) < 2_000_000


def test_feet_and_a_rig_without_walker_or_ground(tmp_path: Path) -> None:
    found = gathered.study("short")
    text = write_page(tmp_path / "p.html", found, units="feet").read_text(encoding="utf-8")
    assert "No ground in this scene" in text
    data = json.loads(unzipped(Reader(text), "scene"))
    assert data["first"] == "empty"
    assert data["states"][0]["key"] == "empty"
    assert any(label == "5 ft" for _, label in data["scales"])
    assert "lbf" in text
    assert not re.search(r"\d (m|cm|kN)\b", json.dumps(data["states"], ensure_ascii=False))


def test_a_page_without_a_viewer_says_so_and_holds_the_rest(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def missing() -> None:
        raise MissingViewerError("not built")

    monkeypatch.setattr(page_file, "bundle", missing)
    text = write_page(tmp_path / "p.html", gathered.study("trap")).read_text(encoding="utf-8")
    reader = Reader(text)
    words = " ".join(reader.words)
    assert words.count("The 3-D picture is missing") == 1
    assert [tag for tag, _ in reader.tags].count("script") == 0
    for wanted in ("Negative excess, the backup", "Leash falls along the line", "Tapes position the backup"):
        assert wanted in words


def test_a_page_that_cannot_be_written_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(OutputError):
        write_page(tmp_path / "nowhere" / "p.html", gathered.study("short"))
    assert list(tmp_path.iterdir()) == []


def test_what_is_tried_stands_in_the_first_view(tmp_path: Path) -> None:
    assert 'id="tried"' not in page()[3]
    study = rigs.changed(gathered.study("windy"), inputs=rigs.TRIED)
    for units, values in (("metric", ("4.5 kN", "3.0 kN")), ("feet", ("1010 lbf", "674 lbf"))):
        text = write_page(tmp_path / "p.html", study, units=units).read_text(encoding="utf-8")  # type: ignore[arg-type]
        header = text[text.index("<header>"):text.index("</header>")].replace("\u00a0", " ")
        assert 'id="tried" class="alarm">Tried (variant tight)' in header
        assert all(value in header for value in values)
