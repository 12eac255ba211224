"""Looks of the pictures against stored ones: small, fixed in size, with a limit of our own.

A missing baseline is an error.  To accept new looks on purpose: look at the pictures, then run
``LINESCOPE_UPDATE_IMAGES=1 python -m pytest tests/export/test_images.py`` and look at the difference in git.
These pictures guard looks only; what they show is tested by numbers in tests/stage/test_scene.py.
"""

from __future__ import annotations

import dataclasses
import datetime
import os
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from linescope.export import driver, picture
from linescope.stage import build
from tests.stage import rigs

BASELINES = Path(__file__).parent.parent / "images"
SIZE = (700, 495)
LIMIT = 0.0015
"""Share of pixels that may differ by more than `STEP` in any colour (another build of the GL driver or of the
font library shifts the rims of lines and letters; a label that moves or a missing line is more)."""
STEP = 48
EVENTS = ("tension", "loops-from-a", "tape-map", "no-fall", "main-gone", "friction", "wind")

STATES = ("overview", "elevation", "closeup")
CASES = [
    *(
        (view, name, theme)
        for view in STATES
        for name, theme in (("trap", "light"), ("incline", "light"), ("heron", "dark"))
    ),
    *((view, "incline", "light") for view in EVENTS),
    *((view, "heron", "dark") for view in ("tension", "loops-from-a", "no-fall", "wind")),
]


def share_that_differs(one: np.ndarray, other: np.ndarray) -> float:
    return float(np.mean(np.abs(one.astype(int) - other.astype(int)).max(axis=2) > STEP))


@pytest.mark.usefixtures("built")  # Baselines are in its letters.
@pytest.mark.parametrize(("view", "name", "theme"), CASES)
def test_looks(view: str, name: str, theme: str, tmp_path: Path) -> None:
    driver.probe()
    solution = rigs.solved(name)
    stage = build(
        solution,
        view=view,
        theme=theme,
        ground=rigs.gorge(solution.rig),
        size=SIZE,
        date=datetime.date(2026, 1, 1),
        study=rigs.study(name),
    )
    drawn = picture.compose(stage, SIZE).image
    baseline = BASELINES / f"{view}-{name}-{theme}.png"
    if os.environ.get("LINESCOPE_UPDATE_IMAGES") == "1":
        drawn.quantize(256, dither=Image.Dither.NONE).save(baseline, optimize=True)
    if not baseline.exists():
        pytest.fail(f"no baseline {baseline.name}; see the head of this file for how to make one")
    with Image.open(baseline) as stored:
        wanted = np.asarray(stored.convert("RGB"))
    share = share_that_differs(np.asarray(drawn), wanted)
    if share > LIMIT:
        drawn.save(tmp_path / "drawn.png")
        pytest.fail(f"{share:.2%} of the pixels differ from {baseline.name}; drawn: {tmp_path / 'drawn.png'}")


def test_the_limit_notices_a_missing_line_and_a_moved_label() -> None:
    driver.probe()
    stage = build(rigs.solved("heron"), view="elevation", size=SIZE, date=datetime.date(2026, 1, 1))
    rows = stage.panel("rows")
    bare = dataclasses.replace(rows, wires=tuple(w for w in rows.wires if not w.name.startswith("loop")))
    mute = dataclasses.replace(rows, labels=())
    full = np.asarray(picture.compose(stage, SIZE).image)
    for changed in (bare, mute):
        other = dataclasses.replace(stage, panels=(stage.panels[0], changed))
        assert share_that_differs(np.asarray(picture.compose(other, SIZE).image), full) > 1.5 * LIMIT
