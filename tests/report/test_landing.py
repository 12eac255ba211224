"""Where feet are in the ground before a fall is over: figures go on without the ground, and say where and what of."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import linescope
from linescope.cli import OVER_GROUND, main
from linescope.events.fall import FallNote
from linescope.study import Study
from linescope.topics import FALLS
from linescope.topics.landing import LandingNote, falls_landing, gone_landing

SCENES = Path(__file__).parents[2] / "scenes"
LEDGE = SCENES / "larkspur_ledge.toml"


@pytest.fixture(scope="module")
def study() -> Study:
    return Study(linescope.load(LEDGE), leave=(Study.SLOW | set(OVER_GROUND) | {"bands", "wind"}))


def heights(study: Study, feet: Any) -> Any:
    """Above the scene's own surveyed profile, interpolated here: [m]."""
    given = tomllib.loads(LEDGE.read_text())["ground"]["profile"]
    numbers = np.array([[float(entry.removesuffix(" m")) for entry in row] for row in given])
    along = (feet - study.rig.main_a)[..., :2] @ _forwards(study.rig)
    return feet[..., 2] - np.interp(along, numbers[:, 0], numbers[:, 1])


def _forwards(rig: Any) -> Any:
    flat = (rig.main_b - rig.main_a)[:2]
    return flat / np.linalg.norm(flat)


def places(notes: Any, kind: LandingNote) -> list[float]:
    (note,) = (note for note in notes if note.kind is kind)
    return [spot.at for spot in note.values["places"]]


def test_falls_whose_feet_come_below_the_profile_are_named(study: Study) -> None:
    falls = study.fall_places
    left = heights(study, falls.low.foot)
    notes = falls_landing(study)
    assert places(notes, LandingNote.FALL_GOES_ON) == falls.at[left <= 0.0].tolist() != []
    zone, error = study.rig.needs.anchor_zone, study.rig.needs.survey_error
    away = (falls.at >= zone) & (falls.at <= study.rig.span - zone)
    alarmed = places(notes, LandingNote.FALL)
    assert alarmed == falls.at[(left <= error) & away].tolist() != []
    assert [note.severity.name for note in notes] == ["DANGER", "LIMIT"]
    assert any(note.kind is LandingNote.FALL for note in FALLS.notes(study))
    # A balance has some newtons in the backup: what it leaves out stands beside them.
    assert any(note.kind is FallNote.LOOPS for note in FALLS.notes(study))


def test_where_clearances_alarm_themselves_it_is_not_said_twice() -> None:
    full = Study(linescope.load(LEDGE))
    assert [note.kind for note in falls_landing(full)] == [LandingNote.FALL_GOES_ON]


def test_a_loss_of_the_main_over_a_deep_gap_is_not_said_to_land() -> None:
    heron = Study(linescope.load(SCENES / "heron_gap.toml"), leave=Study.SLOW | set(OVER_GROUND) | {"bands"})
    assert gone_landing(heron) == ()
    tarn = Study(linescope.load(SCENES / "sable_tarn.toml"), leave=Study.SLOW | set(OVER_GROUND) | {"bands"})
    lowest = tarn.above_ground(tarn.gone_places.nothing_holds.lowest.foot)
    assert np.all(lowest < 0.0)  # The line's own energy floor is in the tarn's ground.
    assert places(gone_landing(tarn), LandingNote.GONE) == tarn.gone_places.at.tolist()


def test_the_command_says_it_and_gives_the_heights(capsys: pytest.CaptureFixture[str], study: Study) -> None:
    assert main(["figures", str(LEDGE), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["leash_fall_places"]
    assert told["at"] == study.fall_places.at.tolist()  # Beside each ledge as well.
    np.testing.assert_allclose(told["foot_height"], heights(study, study.fall_places.low.foot), atol=1e-6)
    assert {"falls-ground", "falls-limit-ground"} <= {note["kind"] for note in told["notes"]}
