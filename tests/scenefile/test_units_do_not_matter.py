"""The same scene written in other units is the same rig with the same state, to 1e-9."""

from __future__ import annotations

import re
import shutil
import tomllib
from pathlib import Path

import numpy as np
import pytest
import tomlkit

from linescope import load, solve

SCENES = Path(__file__).parents[2] / "scenes"
QUANTITY = re.compile(r"^\s*([-+]?[\d.]+(?:e[-+]?\d+)?)\s*(m/s|km/h|kN|kg|deg|cm|mm|m|N|%)\s*$")
# International yard and pound agreement of 1959: foot 0.3048 m, pound 0.45359237 kg; standard gravity 9.80665 m/s^2
# (3rd CGPM, 1901) makes the pound-force.
OTHER = {
    "m": ("ft", 0.3048), "cm": ("inch", 2.54), "mm": ("inch", 25.4), "kN": ("lbf", 0.45359237 * 9.80665e-3),
    "N": ("kN", 1e3), "kg": ("lb", 0.45359237), "m/s": ("km/h", 1.0 / 3.6), "km/h": ("mph", 1.609344),
    "deg": ("rad", 180.0 / np.pi),
}  # fmt: skip


def in_other_units(value):
    """A scene's tree with every quantity rewritten; percents become plain ratios."""
    if isinstance(value, dict):
        return {key: in_other_units(part) for key, part in value.items()}
    if isinstance(value, list):
        return [in_other_units(part) for part in value]
    found = QUANTITY.match(value) if isinstance(value, str) else None
    if found is None:
        return value
    number, unit = float(found[1]), found[2]
    if unit == "%":
        return value
    other, factor = OTHER[unit]
    return f"{number / factor!r} {other}"


@pytest.mark.parametrize("name", sorted(path.name for path in SCENES.glob("*.toml")))
def test_units_do_not_matter(name, tmp_path):
    scene = tomllib.loads((SCENES / name).read_text(encoding="utf-8"))
    rewritten = in_other_units(scene)
    assert rewritten["anchors"] != scene["anchors"] and rewritten["main"] != scene["main"]
    if "file" in rewritten.get("ground", {}):
        ground = shutil.copy(SCENES / scene["ground"]["file"], tmp_path)
        rewritten["ground"]["file"] = Path(ground).name
    file = tmp_path / name
    file.write_text(tomlkit.dumps(rewritten), encoding="utf-8")
    one, other = load(SCENES / name), load(file)
    assert {note.key for note in other.inputs.notes} == {note.key for note in one.inputs.notes}
    one, other = one.rig, other.rig
    for part in ("walker", "wind", "weather", "needs"):
        first, second = getattr(one, part), getattr(other, part)
        assert (first is None) == (second is None)
        for key in () if first is None else vars(first):
            assert getattr(second, key) == pytest.approx(getattr(first, key), rel=1e-9, nan_ok=True)
    here, there = (solve(rig, "as taped") for rig in (one, other))
    assert there.main.nodes == pytest.approx(here.main.nodes, abs=1e-7)
    assert there.bays.loop_depth == pytest.approx(here.bays.loop_depth, rel=1e-7)
    assert there.tension_a == pytest.approx(here.tension_a, rel=1e-9)
