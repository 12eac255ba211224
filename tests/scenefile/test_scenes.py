"""Every shipped scene: it loads, fits the schema, and says what issue and trade ask of it."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import jsonschema
import numpy as np
import pytest

from linescope.rig import Rig
from linescope.scene import load
from linescope.scenefile import from_text, schema
from linescope.taping import Holds
from linescope.words import Words
from linescope.words.inputs import input_text

SCENES = sorted((Path(__file__).parents[2] / "scenes").glob("*.toml"))


def scene(name: str) -> Rig:
    return load(next(path for path in SCENES if path.stem == name)).rig


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_it_loads_and_fits_the_schema(path: Path) -> None:
    rig = load(path).rig
    validator = jsonschema.Draft202012Validator(schema())
    assert not list(validator.iter_errors(tomllib.loads(path.read_text(encoding="utf-8"))))
    assert "invented" in rig.description.lower() and "no such place" in rig.description
    assert rig.ground is not None and rig.needs is not None and rig.walker is not None


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_every_input_is_listed_once(path: Path) -> None:
    given = load(path).inputs
    keys = [note.key for note in given.notes]
    assert len(keys) == len(set(keys))
    assert {note.known for note in given.notes} <= {"measured", "sheet", "guess", "assumed", "stated"}
    assert all(input_text(note, Words()) for note in given.notes)
    assert "tape.roll" in {note.key for note in given.assumed}
    assert all(band.low <= band.value <= band.high for band in given.bands.values())


def test_heron_gap() -> None:
    """Common practice, no source: the figures of the planning note this scene stands for."""
    rig = scene("heron_gap")
    assert rig.span == pytest.approx(48.0) and rig.slope == 0.0
    assert rig.main_plan.tension == 1800.0 and rig.main_plan.end == "A"
    assert rig.main.mass == rig.backup.mass == pytest.approx(0.062)
    assert rig.main.stretch.strain_at(10e3) == pytest.approx(0.16)
    assert rig.taping.measured_on == "slack"
    assert (rig.backup_plan.given_by, rig.backup_plan.value) == ("excess", pytest.approx(0.03))
    assert rig.taping.zones[0].holds is Holds.BOTH and rig.taping.zones[0].spacing.every == 3.0
    assert rig.walker is not None and (rig.walker.mass, rig.walker.at) == (75.0, pytest.approx(24.0))
    assert rig.ground is not None and rig.ground.heights is not None
    assert np.min(rig.ground.heights) == -38.0


def test_larkspur_ledge() -> None:
    given = load(next(path for path in SCENES if path.stem == "larkspur_ledge"))
    rig = given.rig
    assert rig.span == pytest.approx(92.0, abs=0.01)
    assert math.degrees(math.atan(rig.slope)) == pytest.approx(-4.4, abs=0.05)
    assert rig.ground is not None and rig.ground.stations is not None and rig.ground.heights is not None
    chord = rig.ground.stations * rig.slope
    below = dict(zip(rig.ground.stations.tolist(), (chord - rig.ground.heights).tolist(), strict=True))
    for station, depth in {7.0: 2.2, 10.0: 2.2, 22.0: 7.5, 26.0: 7.5, 45.87: 24.0}.items():
        assert below[station] == pytest.approx(depth, abs=0.01)
    assert rig.wind is not None and given.inputs.bands["wind.speed"].high == pytest.approx(6.5)


def test_sable_tarn() -> None:
    rig = scene("sable_tarn")
    assert rig.span == pytest.approx(410.0, abs=0.01) and rig.main_b[2] == -30.0
    assert [joint.at for joint in rig.joints] == [102.0, 204.0, 306.0]
    assert not any(joint.tied for joint in rig.joints)
    assert (rig.hold.friction.low, rig.hold.friction.value, rig.hold.friction.high) == (0.06, 0.08, 0.15)
    assert rig.taping.zones[0].holds is Holds.MAIN
    assert rig.main.stretch.strain_at(10e3) == pytest.approx(0.018)


def test_ptarmigan_step_mixes_styles() -> None:
    rig = scene("ptarmigan_step")
    zones = rig.taping.zones
    assert [zone.holds for zone in zones] == [Holds.BOTH, Holds.MAIN, Holds.BACKUP, Holds.BOTH]
    assert [zone.start for zone in zones] == [0.0, 6.0, 18.0, 28.0] and zones[-1].end == math.inf
    assert rig.taping.measured_on == "tensioned" and rig.taping.tension == 300.0
    assert zones[2].hold is not None and zones[2].hold.drag.high == 3.0
    assert zones[2].hold.friction == rig.hold.friction
    assert rig.wind is not None
    assert rig.wind.speed == pytest.approx(29 / 3.6)
    # From the north-west: blows towards the south-east, x and -y.
    assert rig.wind.towards == (pytest.approx(math.sqrt(0.5)), pytest.approx(-math.sqrt(0.5)))
    # ISO 2533 tables: 1.0269 kg/m^3 at 1800 m and 1.0066 at 2000 m, from memory; halfway to 1e-3.
    assert rig.wind.air_density == pytest.approx(1.0167, rel=1e-3)
    assert rig.backup_a[2] == -0.1
    assert rig.backup.name == "nylon 25 mm" and rig.main.name == "polyester 25 mm"


def test_wind_from_the_left_blows_to_the_right() -> None:
    """Walking from A to B along x, the left hand is at +y: the air moves along -y."""
    rig = scene("larkspur_ledge")
    assert rig.wind is not None and rig.wind.towards == (0.0, -1.0)


def test_a_scene_with_crlf_and_byte_order_mark_is_the_same(tmp_path: Path) -> None:
    text = SCENES[0].read_text(encoding="utf-8")
    path = tmp_path / "windows.toml"
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode("utf-8"))
    assert load(path).inputs == load(SCENES[0]).inputs


def test_the_order_of_tables_does_not_matter() -> None:
    text = SCENES[0].read_text(encoding="utf-8")
    head, anchors = text.split("[anchors]")
    anchors, rest = anchors.split("[main]", 1)
    turned = head + "[main]" + rest + "\n[anchors]" + anchors
    one = from_text(text, file="a", folder=".")
    other = from_text(turned, file="a", folder=".")
    assert one.inputs == other.inputs


def test_a_national_grid_far_from_its_origin_solves(tmp_path):
    """The same rig at 500 km east, 5,200 km north: same loops, and `origin` gives the scene's frame back."""
    import numpy as np

    from linescope.scenefile import from_text
    from linescope.statics import solve

    folder = SCENES[0].parent
    text = (folder / "heron_gap.toml").read_text(encoding="utf-8")
    far = text.replace('a = ["0 m", "0 m", "0 m"]', 'a = ["500123 m", "5200456 m", "0 m"]')
    far = far.replace('b = ["48 m", "0 m", "0 m"]', 'b = ["500171 m", "5200456 m", "0 m"]')
    assert far != text
    near_rig, far_rig = (from_text(scene, file="scene", folder=folder).rig for scene in (text, far))
    near, moved = solve(near_rig), solve(far_rig)
    np.testing.assert_allclose(moved.bays.loop_depth, near.bays.loop_depth, rtol=1e-6)
    np.testing.assert_allclose(far_rig.main_a + far_rig.origin, [500123.0, 5200456.0, 0.0], atol=1e-6)
