"""Pictures: labels in place, pixels where the numbers say, metadata, refusals.  No X server is needed."""

from __future__ import annotations

import dataclasses
import datetime
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from linescope.errors import InputError, OutputError, SystemPackageError
from linescope.export import driver, panels, picture
from linescope.stage import DARK, LIGHT, VIEWS, build, worst
from linescope.stage.camera import Camera, perspective_fit
from linescope.stage.items import DimensionLine, Panel, Surface, Symbols
from linescope.stage.labels import Box
from tests.long import rest_is_long
from tests.stage import rigs

SMALL = (1000, 707)


@pytest.fixture(autouse=True, scope="module")
def _driver() -> None:
    driver.probe()


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize(
    ("name", "size", "theme", "with_ground"),
    [
        pytest.param("trap", SMALL, "light", True, marks=pytest.mark.long),
        pytest.param("heron", (1280, 720), "dark", True, marks=pytest.mark.long),
        pytest.param("incline", SMALL, "light", False, marks=pytest.mark.long),
        ("incline", (1280, 1024), "dark", True),
        ("long", (1200, 849), "light", True),
        ("short", (600, 424), "light", False),
    ],
)
def test_no_text_overlaps_another_or_leaves_the_page(
    view: str, name: str, size: tuple[int, int], theme: str, with_ground: bool
) -> None:
    solution = rigs.solved(name)
    ground = rigs.gorge(solution.rig) if with_ground else None
    about = {"view": view, "theme": theme, "size": size, "ground": ground, "study": rigs.study(name)}
    if view not in rigs.drawable(name):
        with pytest.raises(InputError, match="cannot be drawn"):
            build(solution, **about)
        return
    drawing = picture.compose(build(solution, **about), size)
    page = Box(left=0, top=0, right=size[0], bottom=size[1])
    assert len(drawing.words) > (20 if view != "overview" else 6)
    for k, word in enumerate(drawing.words):
        assert word.box.within(page), word
        for other in drawing.words[k + 1 :]:
            assert not word.box.overlaps(other.box), (word, other)
    assert len(drawing.left_out) <= (2 if view != "tape-map" else 30), drawing.left_out


@pytest.mark.parametrize("name", rest_is_long(["heron", "incline", "trap"], "trap"))
def test_text_is_at_least_seven_points_on_a4(name: str) -> None:
    # 2000 px across 297 mm: 7 points are 16.6 px.  The alarm band and boxes shrink their text no further.
    solution = rigs.solved(name)
    for view in rigs.drawable(name):
        stage = build(solution, view=view, ground=rigs.gorge(solution.rig), study=rigs.study(name))
        drawing = picture.compose(stage, (2000, 1414))
        assert min(word.size for word in drawing.words) >= 16.6, view


@pytest.mark.parametrize("name", ["heron", "incline", "long"])
def test_labels_stay_in_their_panel(name: str) -> None:
    stage = build(rigs.solved(name), view="elevation", size=SMALL)
    drawing = picture.compose(stage, SMALL)
    wanted = {label.text for label in stage.panel("rows").labels if label.must}
    top, bottom = (stage.panel("rows").frame[k] * SMALL[1] for k in (1, 3))
    found = [word for word in drawing.words if word.text in wanted]
    assert {word.text for word in found} >= wanted
    assert all(top <= word.box.top and word.box.bottom <= bottom for word in found if "m" in word.text.split())


@pytest.mark.parametrize("angle", [0.0, 0.5])
def test_our_projection_is_the_one_that_draws(angle: float) -> None:
    # A small flat square at each of a few points must light up the pixels that Camera.project names.
    rng = np.random.default_rng(3)
    spots = rng.uniform(-3, 3, size=(12, 3))
    camera = Camera(
        eye=np.array([4.0, -14.0, 5.0]),
        target=np.array([0.2, 0.1, -0.3]),
        up=np.array([0.0, 0, 1.0]),
        angle=angle,
        half_height=5.0,
    )
    right, up, _ = camera.axes()
    size = (640, 400)
    half = 6 * camera.metres_per_pixel(size)
    points = np.concatenate([[p - half * right, p + half * up, p + half * right, p - half * up] for p in spots])
    first = 4 * np.arange(len(spots))[:, None]
    triangles = np.concatenate([first + np.array([0, 1, 2]), first + np.array([0, 2, 3])])
    surface = Surface(
        name="spots",
        points=points,
        triangles=triangles,
        colours=("alarm",),
        lit=False,
        colour=np.zeros(len(triangles), dtype=int),
    )
    panel = Panel(name="p", frame=(0, 0, 1, 1), camera=camera, surfaces=(surface,))
    pixels = panels.draw(panel, size, LIGHT, 1.0)
    page = camera.project(spots, size)
    for x, y, _ in page:
        assert tuple(pixels[int(y), int(x)]) == LIGHT.rgb("alarm")
    lit = (pixels == LIGHT.rgb("alarm")).all(axis=2)
    ys, xs = np.nonzero(lit)
    near = np.min(np.hypot(xs[:, None] + 0.5 - page[:, 0], ys[:, None] + 0.5 - page[:, 1]), axis=1)
    assert near.max() < 10


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
def test_the_lines_are_painted_where_they_hang(theme) -> None:
    solution = rigs.solved("heron")
    stage = build(solution, view="elevation", theme=theme)
    panel = stage.panel("profile")
    size = (2000, round(2000 / 1414 * 1000 * (panel.frame[3] - panel.frame[1]) * 0.707))
    pixels = panels.draw(panel, size, theme, 1.0).astype(int)
    for name in ("main", "backup"):
        (wire,) = [wire for wire in panel.wires if wire.name == name]
        middles = (wire.points[10:-10:24] + wire.points[11:-9:24]) / 2
        page = panel.camera.project(middles, size)
        hit = 0
        for x, y, _ in page:
            patch = pixels[int(y) - 2 : int(y) + 3, int(x) - 2 : int(x) + 3].reshape(-1, 3)
            hit += np.abs(patch - theme.rgb(name)).sum(axis=1).min() < 60
        assert hit >= 0.9 * len(page), name


def test_a_ten_per_cent_wrong_sag_moves_the_painted_line() -> None:
    solution = rigs.solved("heron")
    panel = build(solution, view="elevation").panel("profile")
    size = (2000, 360)
    pixels = panels.draw(panel, size, LIGHT, 1.0).astype(int)
    low = solution.walker_point - [3.0, 0, 0]
    curve = solution.main.sample(24).points
    low[2] = np.interp(low[0], curve[:, 0], curve[:, 2])
    for factor, there in ((1.0, True), (1.1, False)):
        x, y, _ = panel.camera.project(np.array([[low[0], low[1], low[2] * factor]]), size)[0]
        patch = pixels[int(y) - 2 : int(y) + 3, int(x) - 2 : int(x) + 3].reshape(-1, 3)
        assert bool(np.abs(patch - LIGHT.rgb("main")).sum(axis=1).min() < 60) is there


def test_the_file_carries_scene_state_view_date_and_version(tmp_path: Path) -> None:
    path = picture.render(
        build(rigs.solved("short"), view="closeup", date=datetime.date(2026, 3, 1)),
        (600, 424),
        tmp_path / "a.png",
        dpi=150,
    )
    with Image.open(path) as image:
        image.load()
        assert image.size == (600, 424)
        assert image.text["Scene"] == "Wren Yard"
        assert image.text["State"] == "as taped, nobody on the line"
        assert image.text["View"] == "closeup"
        assert image.text["Date"] == "2026-03-01"
        assert image.text["Version"] in image.text["Software"]
        assert image.info["dpi"] == pytest.approx((150, 150), abs=0.1)
    assert os.listdir(tmp_path) == ["a.png"]


def test_the_same_stage_gives_the_same_file(tmp_path: Path) -> None:
    stage = build(rigs.solved("heron"), view="overview")
    one, two = (picture.render(stage, (600, 424), tmp_path / f"{k}.png").read_bytes() for k in range(2))
    assert one == two


@pytest.mark.parametrize(("size", "what"), [((200, 150), "range"), ((9000, 6000), "range"), ((600, 600), "shape")])
def test_sizes_nobody_can_read_are_refused(size: tuple[int, int], what: str) -> None:
    with pytest.raises(InputError, match=what):
        picture.compose(build(rigs.solved("short"), view="overview"), size)


def test_a_picture_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="nowhere"):
        picture.render(build(rigs.solved("short"), view="overview"), (600, 424), tmp_path / "nowhere" / "a.png")


@pytest.mark.parametrize("crash", ["import os; os.abort()", "raise RuntimeError('no display')", "print('drawn 0')"])
def test_a_missing_driver_names_the_packages(crash: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(driver, "_TRIAL", crash)
    monkeypatch.setattr(driver, "begin", driver.begin.__wrapped__)
    with pytest.raises(SystemPackageError, match="libegl1 libgl1-mesa-dri libxrender1") as caught:
        driver.probe.__wrapped__()
    assert caught.value.exit_status == 5


def test_it_draws_without_a_display_and_without_noise(tmp_path: Path) -> None:
    script = (
        "import sys\nfrom tests.stage import rigs\nfrom linescope.export import picture\n"
        "from linescope.stage import build\n"
        "picture.render(build(rigs.solved('short'), view='overview'), (600, 424), sys.argv[1])\n"
    )
    clean = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "VTK_DEFAULT_OPENGL_WINDOW")}
    done = subprocess.run(
        [sys.executable, "-c", script, str(tmp_path / "a.png")],
        env=clean,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert (tmp_path / "a.png").stat().st_size > 10_000


def test_a_hidden_line_is_hidden_and_a_front_one_is_not() -> None:
    camera = perspective_fit(
        np.array([[-1.0, 0, -1], [1, 0, 1]]),
        look=np.array([0.0, 1, 0]),
        up=np.array([0.0, 0, 1]),
        angle=0.4,
        aspect=1.5,
        margin=(0.1,) * 4,
    )
    page = camera.project(np.zeros((1, 3)), (300, 200))[0]
    np.testing.assert_allclose(page[:2], [150, 100], atol=1e-9)


def test_numbers_that_share_a_disc_stay_on_it() -> None:
    # Light numbers beside their disc lie on light ground, where nobody can read them.
    size = (2000, 1414)
    group = "1,2,3,4,5"
    stage = build(rigs.solved("heron"), view="elevation", size=size)
    panel = stage.panel("profile")
    disc = Symbols(
        name="worst", points=np.asarray(panel.camera.target)[None], symbol="disc", colour="alarm",
        size=worst.DISC + 4 * worst.WIDER, text=group,
    )  # fmt: skip
    marked = dataclasses.replace(panel, symbols=(disc,))
    stage = dataclasses.replace(stage, panels=tuple(marked if p is panel else p for p in stage.panels))
    (word,) = [word for word in picture.compose(stage, size).words if word.text == group]
    assert word.box.right - word.box.left <= disc.size
    assert word.size >= 16.6  # 7 points on A4.


def test_a_long_legend_stays_in_its_frame() -> None:
    stage = build(rigs.solved("heron"), view="elevation", size=(2000, 1414))
    (box,) = [box for box in stage.boxes if box.legend]
    rows = tuple(dataclasses.replace(box.legend[0], text=f"row {k}") for k in range(11))
    stage = dataclasses.replace(
        stage, boxes=tuple(dataclasses.replace(b, legend=rows) if b is box else b for b in stage.boxes)
    )
    found = [word for word in picture.compose(stage, (2000, 1414)).words if word.text.startswith("row ")]
    assert len(found) == 11
    assert max(word.box.bottom for word in found) <= box.frame[3] * 1414
    assert not any(a.box.overlaps(b.box) for k, a in enumerate(found) for b in found[k + 1 :])


def test_a_scale_bar_leaves_measuring_lines_free() -> None:
    size = (2000, 1414)
    stage = build(rigs.solved("heron"), view="elevation", size=size)
    panel = stage.panel("profile")
    box = panel.frame[0] * size[0], panel.frame[1] * size[1], panel.frame[2] * size[0], panel.frame[3] * size[1]
    per_pixel = panel.camera.metres_per_pixel((box[2] - box[0], box[3] - box[1]))
    right, up, _ = panel.camera.axes()
    corner = panel.camera.target - right * (box[2] - box[0]) / 2 * per_pixel - up * (box[3] - box[1]) / 2 * per_pixel
    start = corner + (60.0 * right + 16.0 * up) * per_pixel
    measured = DimensionLine(
        name="worst 3", start=start, end=start + 120.0 * per_pixel * right, value=2.7, text="2.7 m left"
    )

    def bar(*dimensions: DimensionLine) -> float:
        changed = dataclasses.replace(panel, dimensions=dimensions, labels=())
        page = dataclasses.replace(stage, panels=tuple(changed if p is panel else p for p in stage.panels))
        (word,) = [w for w in picture.compose(page, size).words if w.text == "5 m" and w.box.bottom > box[3] - 40]
        return word.box.left

    alone, beside = bar(), bar(measured)
    assert alone < box[0] + 24 + 0.14 * (box[2] - box[0]) + 20  # In its corner.
    assert beside - (alone - 24.0) > box[0] + 180  # Beyond the line's right end.


def test_text_keeps_off_a_line_that_runs_past_the_eye() -> None:
    # Points beside a perspective camera lie far off the page; boxes along the line must still be close together on it.
    stage = build(rigs.solved("trap"), view="closeup", size=(2000, 1414))
    panel = stage.panel("bays")
    frame = panel.frame[2] * 2000, (panel.frame[3] - panel.frame[1]) * 1414
    (main,) = [wire for wire in panel.wires if wire.name == "main"]
    page = panel.camera.project(main.points, frame)
    page = page[np.isfinite(page).all(axis=1)]
    page[:, 1] += panel.frame[1] * 1414
    tight = [w.box for w in picture.compose(stage, (2000, 1414)).words if w.text == "tight: no loop"]
    assert len(tight) == 2
    for box in tight:
        x = np.linspace(box.left, box.right, 20)
        order = np.argsort(page[:, 0])
        y = np.interp(x, page[order, 0], page[order, 1])
        assert np.all((y < box.top) | (y > box.bottom))
