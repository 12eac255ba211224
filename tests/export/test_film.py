"""Films: the right states in the right order, in a file that is whole."""

from __future__ import annotations

import dataclasses
import importlib
import math
import re
import subprocess
import sys
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from linescope.errors import InputError, OutputError
from linescope.export import film
from linescope.export.film_motion import motion_reel, snaps
from linescope.export.film_shots import Reel, crossing_reel
from linescope.export.released_shape import released
from linescope.motion import MotionInputs, gust, main_gone_in_time
from linescope.rig import Rig, Wind
from linescope.stage.theme import LIGHT
from linescope.statics import plan, solve
from linescope.words import Words
from tests.stage import rigs

SMALL = (480, 270)
LOOK: dict[str, Any] = {"theme": LIGHT, "measures": Words(), "ground": None}


def walker_rig() -> Rig:
    """The short line with somebody on it, and fixed tapes."""
    return dataclasses.replace(rigs.heron(0.07, measured_on="tensioned"), name="Heron <Gap> & \x00")


def test_a_crossing_shows_the_solved_states_from_a_to_b() -> None:
    """With fixed wraps nothing slips, so each frame is the state as taped with the walker there."""
    rig = walker_rig()
    reel = crossing_reel(rig, frames=9, **LOOK)
    places = np.array([shot.at for shot in reel.shots])
    assert len(places) == 9
    assert np.all(np.diff(places) > 0)
    assert places[0] < 3.0
    assert places[-1] > rig.span - 3.0
    for shot in reel.shots[1::3]:
        # The walker's place is counted on the standing main, so look for the state whose feet are where his are.
        low, high = 0.3, rig.span - 0.3
        for _ in range(40):
            middle = 0.5 * (low + high)
            state = solve(rig.with_walker_at(middle))
            low, high = (middle, high) if state.walker_point[0] < shot.foot[0] else (low, middle)
        assert shot.foot == pytest.approx(state.walker_point, abs=1e-3)
        assert shot.values == pytest.approx((state.tension_a, state.tension_b), rel=1e-3)
        said = dict(shot.figures)
        assert said["main at A"] == f"{state.tension_a / 1000:.1f} kN"
    for shot in reel.shots:  # A tape stands on lines that are drawn.
        drawn = next(wire.points for wire in shot.wires if wire.name == "main")
        for group in shot.symbols:
            for point in group.points:
                assert np.linalg.norm(drawn - point, axis=1).min() < 0.1


@pytest.fixture(scope="module")
def gone() -> Reel:
    return motion_reel(walker_rig(), "main-gone", frames=40, **LOOK)


def test_a_film_in_time_shows_the_states_of_the_run(gone: Reel) -> None:
    rig = walker_rig()
    run = main_gone_in_time(plan(rig), rig.walker.at, choice=MotionInputs().expected(), seconds=3.0).motion
    assert len(gone.shots) == 40
    assert gone.dimension == "time"
    ring = run.mesh.model.slots
    for shot in gone.shots[::7]:
        at = [np.interp(shot.at, run.frame_time, run.points[:, ring + 1, axis]) for axis in range(3)]
        assert np.linalg.norm(shot.foot[:2] - at[:2]) < 0.05
        hang = at[2] - shot.foot[2]
        assert min(rig.walker.tie_in_height, rig.walker.hang) - 0.05 < hang < rig.walker.hang + 0.05
        assert shot.stub is None  # It parts at the anchor itself: nothing is left at A.
    said = dict(gone.shots[-1].figures)
    tapes = len(run.tape_time)
    assert said["tapes gone"] == f"{np.isfinite(run.tape_time).sum()} of {tapes}"
    time, forces = gone.trace
    assert forces.shape == (len(time), len(gone.curves))
    assert forces[:, 2].max() == pytest.approx(max(run.backup_a.most, run.backup_b.most))
    assert "30 %" in gone.note


def test_time_runs_slower_where_it_snaps(gone: Reel) -> None:
    rig = walker_rig()
    run = main_gone_in_time(plan(rig), rig.walker.at, choice=MotionInputs().expected(), seconds=3.0).motion
    steps = np.diff([shot.at for shot in gone.shots])
    assert np.all(steps > 0.0) and gone.shots[-1].at == pytest.approx(3.0, abs=0.03)
    middle = np.array([shot.at for shot in gone.shots[:-1]]) + 0.5 * steps
    near = np.min(np.abs(middle[:, None] - np.array(snaps(run))), axis=1)
    assert steps[near < 0.05].max() < 0.3 * steps[near > 0.3].min()


def test_a_slack_released_line_hangs_from_its_anchors_with_its_own_length() -> None:
    """Far above its floor the line carries itself alone: its points are as far apart as it is long."""
    planned = plan(walker_rig())
    shape = released(planned, np.array([24.0, 0.0, -1.0]))
    steps = np.linalg.norm(np.diff(shape.points, axis=0), axis=1).sum()
    assert steps == pytest.approx(planned.layout.backup_length, rel=2e-4)
    assert shape.points[[0, -1]] == pytest.approx(np.array([planned.rig.backup_a, planned.rig.backup_b]), abs=1e-9)
    assert shape.tension < 40.0


def test_a_gif_has_its_frames_size_and_speed(tmp_path: Path) -> None:
    told: list[float] = []
    path = film.write_film(
        tmp_path / "a.gif",
        walker_rig(),
        frames=5,
        fps=10.0,
        size=SMALL,
        progress=lambda share, what: told.append(share),
    )
    with Image.open(path) as image:
        assert (image.n_frames, image.size, image.info["duration"], image.info["loop"]) == (5, SMALL, 100, 0)
        pictures = []
        for number in range(5):
            image.seek(number)
            pictures.append(np.asarray(image.convert("RGB"), dtype=int))
    for one, other in pairwise(pictures):
        assert (np.abs(one - other).max(axis=2) > 24).mean() > 0.005
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert len(told) >= 6


def test_a_gif_keeps_the_colours_that_tell_tapes_and_lines_apart() -> None:
    # A frame of sky and ground with a few pixels of line: what is rare keeps its colour all the same.
    frame = Image.new("RGB", SMALL, LIGHT.rgb("sky_low"))
    frame.paste(LIGHT.rgb("ground"), (0, 135, 480, 270))
    roles = ("main", "backup", "green", "purple", "sky", "yellow", "alarm")
    for k, role in enumerate(roles):
        frame.putpixel((10 + k, 10), LIGHT.rgb(role))
    kept = frame.quantize(palette=film.palette_of(frame, LIGHT), dither=Image.Dither.NONE).convert("RGB")
    assert [kept.getpixel((10 + k, 10)) for k in range(len(roles))] == [LIGHT.rgb(role) for role in roles]


def test_an_mp4_has_all_its_frames(tmp_path: Path) -> None:
    encoder = pytest.importorskip("imageio_ffmpeg", reason="the extra 'film' is not installed")
    path = film.write_film(
        tmp_path / "a.mp4",
        rigs.incline(),
        "main-gone",
        frames=8,
        fps=8.0,
        size=SMALL,
        ground=rigs.gorge(rigs.incline()),
    )
    frames, seconds = encoder.count_frames_and_secs(str(path))
    assert (frames, seconds) == (8, pytest.approx(1.0, abs=0.15))
    assert [file.name for file in tmp_path.iterdir()] == ["a.mp4"]


def test_a_missing_extra_is_named_before_any_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> object:
        raise ImportError(name)

    monkeypatch.setattr(importlib, "import_module", missing)
    with pytest.raises(OutputError, match=r"linescope\[film\].*\.gif"):
        film.write_film(tmp_path / "a.mp4", walker_rig())
    assert list(tmp_path.iterdir()) == []


def test_a_film_cut_short_is_no_film(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An encoder whose disk is full may end without a word: frames are counted before the file gets its name."""
    encoder = pytest.importorskip("imageio_ffmpeg", reason="the extra 'film' is not installed")
    target = tmp_path / "a.mp4"
    target.write_bytes(b"old")
    monkeypatch.setattr(encoder, "count_frames_and_secs", lambda path: (3, 0.3))
    with pytest.raises(OutputError, match="3 of 4 frames"):
        film.write_film(target, walker_rig(), frames=4, size=SMALL)
    assert target.read_bytes() == b"old"
    assert [file.name for file in tmp_path.iterdir()] == ["a.mp4"]


def test_a_killed_process_leaves_the_old_film(tmp_path: Path) -> None:
    target = tmp_path / "a.gif"
    target.write_bytes(b"old")
    script = (
        "import sys, time\nfrom linescope.export.film import write_film\nfrom tests.stage import rigs\n"
        "def tell(share, what):\n"
        "    if what == 'frames':\n        print('writing', flush=True)\n        time.sleep(60)\n"
        "write_film(sys.argv[1], rigs.heron(0.07), frames=4, size=(480, 270), progress=tell)\n"
    )
    root = Path(__file__).parents[2]
    child = subprocess.Popen([sys.executable, "-c", script, str(target)], stdout=subprocess.PIPE, text=True, cwd=root)
    assert child.stdout is not None
    assert child.stdout.readline() == "writing\n"
    child.kill()
    child.wait()
    child.stdout.close()
    assert target.read_bytes() == b"old"


@pytest.mark.parametrize(
    ("change", "error", "words"),
    [
        ({"kind": "wedding"}, InputError, "crossing, leash-fall, main-gone, bounce, gust"),
        ({"frames": 1}, InputError, "2 to 5000"),
        ({"fps": 0.0}, InputError, "1 to 60"),
        ({"size": (481, 270)}, InputError, "even numbers"),
        ({"size": (480, 480)}, InputError, "1.5 to 2 times"),
        ({"theme": "neon"}, InputError, "theme"),
        ({"name": "a.avi"}, OutputError, ".mp4, .gif"),
        ({"name": "missing/a.gif"}, OutputError, "cannot be written"),
    ],
)
def test_refusals(tmp_path: Path, change: dict[str, Any], error: type[Exception], words: str) -> None:
    name = change.pop("name", "a.gif")
    options: dict[str, Any] = {"frames": 2, "size": SMALL, **change}
    with pytest.raises(error) as caught:
        film.write_film(tmp_path / name, walker_rig(), **options)
    assert words in str(caught.value)
    assert list(tmp_path.iterdir()) == []


def test_a_gust_graphs_the_swing_of_loops_seen_along_the_line() -> None:
    rig = dataclasses.replace(walker_rig(), wind=Wind(speed=8.0, towards=(0.0, 1.0)))
    reel = motion_reel(rig, "gust", frames=6, **LOOK)
    swing = gust(plan(rig), at=rig.walker.at).swing
    assert reel.graphs == "angle" and reel.end_on
    assert reel.trace is not None and float(reel.trace[1].max()) == pytest.approx(float(swing.max()), rel=0.01)
    assert reel.shots[0].figures[0][1].startswith("0") and "m/s" in reel.shots[-1].figures[0][1]


    found = re.search(r"(\d+) to (\d+)°", reel.ranges)
    assert found and int(found[1]) <= math.degrees(float(swing.max())) <= int(found[2])


def test_a_film_says_what_is_expected_beside_its_one_course(gone: Reel) -> None:
    """The course is one of those that the range is of."""
    found = re.search(r"leash ([\d.]+) to ([\d.]+) kN", gone.ranges)
    assert found and gone.trace is not None
    assert float(found[1]) < float(gone.trace[1][:, 0].max()) / 1e3 < float(found[2])


@pytest.mark.parametrize("kind", ["crossing", "leash-fall", "main-gone", "bounce", "gust"])
def test_without_a_walker_there_is_nothing_to_show(tmp_path: Path, kind: Any) -> None:
    with pytest.raises(InputError, match="walker"):
        film.write_film(tmp_path / "a.gif", rigs.short(), kind, frames=2, size=SMALL)
