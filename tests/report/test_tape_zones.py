"""`linescope tapes` with loops wanted by tape zone: marks out, and one excess a zone back into the scene.

A shallow loop is sqrt(3 e / 8) of its bay deep for an excess e (Irvine, *Cable Structures*, 1981, section 2.2), so one
excess makes loops in proportion to their bays.
"""

from __future__ import annotations

import math
import shutil
from pathlib import Path

import numpy as np
import pytest

import linescope
from linescope.cli import main
from linescope.errors import InputError
from linescope.events.marks import depths_by_zone, depths_wished, zones_of_bays
from linescope.scene import Scene
from linescope.statics import plan, solve
from linescope.taping import FAMILIES
from tests.advise.lines import scene_of, wish

SCENES = Path(__file__).parents[2] / "scenes"


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    return Path(shutil.copy(SCENES / "ptarmigan_step.toml", tmp_path / "step.toml"))


def test_one_depth_is_that_of_the_longest_bays_and_less_in_short_ones():
    layout = plan(linescope.load(SCENES / "ptarmigan_step.toml").rig).layout
    owner, wanted = zones_of_bays(layout), depths_by_zone(layout, 0.4)
    usual = [float(np.median(layout.bays_main[owner == zone])) for zone in range(4)]
    assert wanted[owner == 1] == pytest.approx(0.4) and wanted[owner == 2] == pytest.approx(0.4)
    for short in (0, 3):
        assert wanted[owner == short] == pytest.approx(0.4 * usual[short] / max(usual))
    # About one excess: no bay of 1.5 m is given loops of 40 cm, which take 19 % by the formula.
    excess = (8.0 / 3.0) * (wanted / np.array(usual)[owner]) ** 2
    assert excess.max() < 0.09 < (8.0 / 3.0) * (0.4 / 1.5) ** 2


def test_a_line_of_one_zone_is_marked_bay_by_bay_as_before():
    layout = plan(linescope.load(SCENES / "heron_gap.toml").rig).layout
    assert np.array_equal(depths_by_zone(layout, 0.37), np.full(len(layout.stated_bays), 0.37))


def test_zones_by_number_and_what_comes_elsewhere():
    layout = plan(linescope.load(SCENES / "ptarmigan_step.toml").rig).layout
    owner, wanted = zones_of_bays(layout), depths_by_zone(layout, {1: 0.15, 3: 0.3})
    assert np.all(wanted[owner == 0] == 0.15) and np.all(wanted[owner == 2] == 0.3)
    assert np.isnan(wanted[(owner == 1) | (owner == 3)]).all()
    with pytest.raises(InputError, match="no such tape zone"):
        depths_by_zone(layout, {5: 0.2})


def test_they_are_kept_as_one_excess_a_zone(scene: Path, capsys):
    before = scene.read_text(encoding="utf-8")
    given = ["tapes", str(scene), "--depth", "1: 15 cm", "--depth", "2: 38 cm", "--keep", "by zone"]
    assert main(given) == 0
    said = capsys.readouterr().out
    assert "by zone" in said and "as before" in said
    after = scene.read_text(encoding="utf-8")
    assert after.startswith(before)
    rig, own = linescope.load(scene, "by zone").rig, linescope.load(scene).rig
    zones = rig.taping.zones
    assert zones[2].excess == own.taping.zones[2].excess and zones[3].excess == own.taping.zones[3].excess
    for zone in zones[:2]:
        assert 1000.0 * zone.excess == pytest.approx(round(1000.0 * zone.excess), abs=1e-6)
    found = solve(rig)
    owner = zones_of_bays(plan(rig).layout)
    depth, bays = found.bays.loop_depth, found.bays.length
    for zone, wanted in ((0, 0.15), (1, 0.38)):
        mine = owner == zone
        mine[0] = False  # There the backup has an anchor of its own.
        # Right in the usual bay, and in others in proportion: half a millimetre per metre and percent rounded.
        usual = float(np.median(bays[mine]))
        assert np.interp(usual, np.sort(bays[mine]), depth[mine][np.argsort(bays[mine])]) == pytest.approx(
            wanted, abs=0.03)
        assert np.allclose(depth[mine] / bays[mine], np.median(depth[mine] / bays[mine]), rtol=0.12)


def test_styles_are_kept_by_zone_with_the_depths_or_alone(scene: Path, capsys):
    before = scene.read_text(encoding="utf-8")
    own = linescope.load(scene).rig.taping.zones
    other = "fixed wrap" if own[1].family != "fixed wrap" else "main-held slider"
    given = ["tapes", str(scene), "--style", f"2: {other}"]
    assert main(given) == 0
    assert other in capsys.readouterr().out
    assert scene.read_text(encoding="utf-8") == before
    assert main([*given, "--keep", "style alone"]) == 0
    assert f"zone 2: {other}" in capsys.readouterr().out
    assert main([*given, "--depth", "2: 30 cm", "--keep", "both"]) == 0
    assert f"zone 2, {other}" in capsys.readouterr().out
    assert scene.read_text(encoding="utf-8").startswith(before)
    alone, both = (linescope.load(scene, name).rig for name in ("style alone", "both"))
    for zones in (alone.taping.zones, both.taping.zones):
        assert [zone.family for zone in zones] == [own[0].family, other, own[2].family, own[3].family]
        assert zones[1].holds in FAMILIES[other].can_hold
        assert [zones[k].excess for k in (0, 2, 3)] == [own[k].excess for k in (0, 2, 3)]
    assert alone.taping.zones[1].excess == own[1].excess
    mine = zones_of_bays(plan(both).layout) == 1  # Depths in proportion to their bays: the usual one as asked for.
    depth = solve(both).bays.loop_depth[mine]
    assert depth.min() < 0.33
    assert depth.max() > 0.27


def test_a_name_that_is_taken_is_not_overwritten(scene: Path, capsys):
    before = Scene.read(scene)
    before.what_if("main.tension", "2.6 kN").keep("mine").save(before)
    text = scene.read_text(encoding="utf-8")
    assert main(["tapes", str(scene), "--depth", "1: 25 cm", "--keep", "mine"]) == 2
    assert "kept already" in capsys.readouterr().err
    assert scene.read_text(encoding="utf-8") == text


def test_wishes_of_the_scene_give_the_depths(tmp_path: Path):
    rig = scene_of(wish("loops under the walker", "30 cm", "40 cm", "zone = 1")).rig
    assert depths_wished(rig) == {1: pytest.approx(0.35)}
    assert depths_wished(scene_of(wish("loops with the walker", "0.2 m")).rig) == {1: pytest.approx(0.2)}
    assert depths_wished(scene_of(wish("loops standing", "0.2 m")).rig) == {}
    assert math.isclose(depths_wished(scene_of(
        wish("loops under the walker", "20 cm"), wish("loops under the walker", "30 cm", more="zone = 1"),
    ).rig)[1], 0.3)


@pytest.mark.parametrize(("given", "said"), [
    (["--depth", "9: 15 cm"], "1 to 4"), (["--depth", "x: 15 cm"], "1 to 4"), (["--depth", "1: 15 kg"], "--depth"),
    (["--depth", "1: 15 cm", "--depth", "1: 20 cm"], "twice"),
    (["--depth", "15 cm", "--depth", "1: 20 cm"], "one a zone"),
    (["--style", "knot"], "fixed wrap"), (["--style", "9: fixed wrap"], "1 to 4"),
    (["--style", "1: fixed wrap", "--style", "1: fixed wrap"], "twice"),
    (["--style", "fixed wrap", "--style", "1: fixed wrap"], "one a zone"),
    (["--wished"], "no loops are wished"), (["--keep", "mine"], "--depth"), (["--depth", "1: 90 m"], "--depth"),
])
def test_what_cannot_be_asked_for(scene: Path, capsys, given: list[str], said: str):
    text = scene.read_text(encoding="utf-8")
    assert main(["tapes", str(scene), *given]) == 2
    assert said in capsys.readouterr().err
    assert scene.read_text(encoding="utf-8") == text
