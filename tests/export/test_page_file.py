"""The offline page as a file: nothing from outside, nothing unescaped, the numbers of the results."""

from __future__ import annotations

import base64
import dataclasses
import hashlib
import json
import re
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest

from linescope.clearance import Clearance
from linescope.errors import OutputError
from linescope.export import page_scene
from linescope.export.page_file import json_for_html, write_page
from linescope.stage.ring import BEHIND, ring_of
from linescope.statics.walked import SHARES
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


def page(
    tmp_path: Path, name: str = "windy", *, clearance: Clearance | None = None, **more: object
) -> tuple[Reader, dict[str, object], str]:
    found = gathered.study(name)
    ground = Terrain(**vars(rigs.gorge(found.rig)), source="invented")
    found = rigs.changed(found, ground=ground, **({} if clearance is None else {"clearance": clearance}))
    text = write_page(tmp_path / "p.html", found, ground=ground, **more).read_text(encoding="utf-8")
    reader = Reader(text)
    data = next(body for attributes, body in reader.scripts if attributes.get("type") == "application/json")
    return reader, json.loads(data), text


def unpacked(text: str) -> np.ndarray:
    return np.frombuffer(base64.b64decode(text), dtype="<f4").reshape(-1, 3)


def test_it_asks_for_nothing_outside_itself(tmp_path: Path) -> None:
    reader, _, text = page(tmp_path)
    for tag, attributes in reader.tags:
        assert not {"src", "href", "srcset", "action", "data", "poster", "onerror", "onload", "style"} & set(
            attributes
        ), tag
    assert not re.search(r"https?:|//cdn|@import|url\(|fetch\(|XMLHttp|WebSocket|importScripts|eval\(", text)
    policy = next(a["content"] for tag, a in reader.tags if a.get("http-equiv") == "Content-Security-Policy")
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    script = next(body for attributes, body in reader.scripts if not attributes)
    for kind, body in (("script-src", script), ("style-src", reader.styles[0])):
        digest = base64.b64encode(hashlib.sha256(body.encode()).digest()).decode()
        assert f"{kind} 'sha256-{digest}'" in policy


def test_hostile_words_are_text_and_nothing_else(tmp_path: Path) -> None:
    found = gathered.study("trap")
    rig = dataclasses.replace(
        found.rig, name=HOSTILE, description=HOSTILE, main=dataclasses.replace(found.rig.main, name=HOSTILE)
    )
    text = write_page(tmp_path / "p.html", rigs.changed(found, rig=rig, walked=())).read_text(encoding="utf-8")
    reader = Reader(text)
    assert [tag for tag, _ in reader.tags].count("script") == 2
    assert "img" not in [tag for tag, _ in reader.tags]
    shown = HOSTILE.replace("\u2028", " ")
    assert reader.words.count(shown) >= 3
    assert "<script>window" not in text


@pytest.mark.parametrize("data", [HOSTILE, {"a": ["</script>", "<!--", "]]>", "\u2028&amp;"]}, "Größe Ω 中"])
def test_json_in_html_comes_back_and_cannot_end_its_element(data: object) -> None:
    text = json_for_html(data)
    assert not set("<>&\u2028") & set(text)
    assert json.loads(text) == data


def test_lines_are_where_they_were_computed(tmp_path: Path) -> None:
    """To 0.1 mm, seen from anchor A; a sag drawn 10 % wrong would be decimetres off."""
    found = gathered.study("windy")
    _, data, _ = page(tmp_path)
    states = {state["key"]: state for state in data["states"]}
    assert list(states) == ["taped", "standing", "settled", "wind", "back", "fall", "gone"]
    origin = found.rig.main_a
    for key, solution in (
        ("settled", found.settled),
        ("standing", found.standing),
        ("wind", found.wind.case("walker", "as given").gust),
        ("fall", found.fall.deepest),
    ):
        main, backup = (
            solution.main.sample(page_scene.PER_MAIN).points,
            solution.backup.sample(page_scene.PER_BAY).points,
        )
        assert unpacked(states[key]["main"]) == pytest.approx(main - origin, abs=1e-4)
        drawn, per = unpacked(states[key]["backup"]), page_scene.PER_BAY
        lifted = ring_of(solution, behind=0.0 if key == "fall" else BEHIND)
        free = [k for k in range(len(backup) // per) if lifted is None or k != lifted.bay]
        points = np.unique(np.add.outer(np.array(free) * per, np.arange(per + 1)))
        assert drawn.shape == backup.shape
        assert drawn[points] == pytest.approx((backup - origin)[points], abs=1e-4)
        assert unpacked(states[key]["tapes"]) == pytest.approx(solution.tape_points - origin, abs=1e-4)
    gone = unpacked(states["gone"]["backup"])
    assert states["gone"]["main"] is None
    rest = found.main_gone.nothing_holds.rest.ring[0] - origin
    assert np.linalg.norm(gone - rest, axis=1).min() < 1e-3
    assert gone[[0, -1]] == pytest.approx(np.array([found.rig.backup_a, found.rig.backup_b]) - origin, abs=1e-4)
    walks = [state for state in data["states"] if state["key"] == "taped"]
    assert len(walks) == len(SHARES)
    reach = [np.dot(state["feet"], found.rig.main_b - origin) / found.rig.span**2 for state in walks]
    assert reach == pytest.approx(SHARES, abs=0.01)


def test_figures_beside_the_picture_are_those_of_the_state(tmp_path: Path) -> None:
    found = gathered.study("trap")
    _, data, _ = page(tmp_path, "trap")
    middle = [state for state in data["states"] if state["key"] == "taped"][len(SHARES) // 2]
    figures = dict(middle["figures"])
    # The walker stands at mid-span in the scene as well, so this is the state solved there.
    assert figures["Main at A"] == f"{found.taped.tension_a / 1000:.1f} kN"
    assert figures["Loops"] == "none: the backup is tight"
    assert all(bay[0] == "tight" and bay[2] for bay in middle["bays"])
    assert len(middle["bays"]) == len(found.taped.bays.length)


def test_tables_warnings_and_cautions_are_on_the_page(tmp_path: Path) -> None:
    reader, _, text = page(tmp_path, "trap", clearance=gathered.clearance())
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
    assert len(text) < 2_000_000


def test_feet_and_a_rig_without_walker_or_ground(tmp_path: Path) -> None:
    found = gathered.study("short")
    text = write_page(tmp_path / "p.html", found, units="feet").read_text(encoding="utf-8")
    assert "No ground in this scene" in text
    assert 'id="walker"' not in text
    assert '"first":"standing"' in text
    assert '"5 ft at the middle of the picture"' in text
    assert "lbf" in text


def test_cutting_up_keeps_the_ground_and_shortens_its_edges() -> None:
    points = np.array([[0.0, 0, 0], [40, 0, 3], [40, 9, -2], [0, 9, 5]])
    triangles = np.array([[0, 1, 2], [0, 2, 3]])

    def area(p: np.ndarray, t: np.ndarray) -> float:
        a, b, c = (p[t[:, k]] for k in range(3))
        return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)

    fine, pieces = page_scene.cut_up(points, triangles, 3.0, 5000)
    assert area(fine, pieces) == pytest.approx(area(points, triangles), rel=1e-4)
    edges = np.linalg.norm(fine[pieces] - fine[np.roll(pieces, -1, axis=1)], axis=2)
    assert edges.max() <= 3.0 + 1e-3
    assert len(page_scene.cut_up(points, triangles, 0.01, 300)[1]) <= 300


def test_a_page_that_cannot_be_written_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(OutputError):
        write_page(tmp_path / "nowhere" / "p.html", gathered.study("short"))
    assert list(tmp_path.iterdir()) == []
