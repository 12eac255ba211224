"""Every shipped ground file lies under the line it was invented for."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from linescope.errors import TerrainError
from linescope.terrain import GroundSpec, PlumbIndex, holes_below, load_ground
from linescope.words import Words

GROUND = Path(__file__).parents[2] / "assets" / "ground"
_HERON = np.array([[0.0, 0, 0], [48.0, 0, 0]])
_LARKSPUR = np.array([[0.0, 0, 0], [91.73, 0, -7.0]])


def _top(terrain, x):
    position, _, z, _ = PlumbIndex(terrain).over(np.array([[x, 0.01]]))
    assert len(position)
    return z.max()


def test_every_file_is_tried_here():
    names = {path.name for path in GROUND.iterdir()} - {"README.md"}
    assert names == {"heron_gap.asc", "heron_gap_scan.xyz", "larkspur_ledge.obj", "sable_tarn.obj"}


def test_heron_gap_grid():
    terrain = load_ground(GroundSpec(path=GROUND / "heron_gap.asc"), *_HERON)
    assert len(holes_below(terrain, _HERON[:, :2])) == 0
    assert -40.0 < _top(terrain, 24.0) < -35.0  # 38 m deep within the invented roughness


def test_heron_gap_scan_is_in_feet_and_has_a_hole():
    spec = {"path": GROUND / "heron_gap_scan.xyz", "max_edge": 3.0}
    terrain = load_ground(GroundSpec(factor=0.3048, **spec), *_HERON)
    holes = holes_below(terrain, _HERON[:, :2])
    widest = holes[np.argmax(holes[:, 1] - holes[:, 0])]
    assert 26.0 < widest[0] < 29.0
    assert 31.0 < widest[1] < 34.0
    assert any("nothing is bridged" in note for note in Words().notes(terrain.notes))
    # Read as metres it is still under the line, only three times as deep; as kilometres it is refused.
    with pytest.raises(TerrainError, match="wide for a span"):
        load_ground(GroundSpec(path=spec["path"], factor=1000.0), *_HERON)


def test_larkspur_ledge_has_its_shelf_and_rib():
    """The shelf's top lies 2.2 m, the rib's 7.5 m below the chord, the scree 24 m at mid-span (invented figures)."""
    terrain = load_ground(GroundSpec(path=GROUND / "larkspur_ledge.obj"), *_LARKSPUR)
    assert len(holes_below(terrain, _LARKSPUR[:, :2])) == 0
    for x, below in ((8.5, 2.2), (24.0, 7.5), (45.87, 24.0)):
        chord = -7.0 * x / 91.73
        assert chord - _top(terrain, x) == pytest.approx(below, abs=0.1)


def test_sable_tarn_has_its_lake():
    """The lake lies 62 m below A from 90 to 330 m, the lips within 3 m of the anchors (invented figures)."""
    a, b = np.array([[0.0, 0, 0], [408.9, 0, -30.0]])
    terrain = load_ground(GroundSpec(path=GROUND / "sable_tarn.obj"), a, b)
    assert len(holes_below(terrain, np.array([a, b])[:, :2])) == 0
    for x, height in ((2.0, -1.2), (3.0, -14.0), (90.5, -62.0), (250.0, -62.0), (400.0, -36.0)):
        assert _top(terrain, x) == pytest.approx(height, abs=0.02)
