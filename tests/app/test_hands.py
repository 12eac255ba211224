"""What hands do on the line: each edit comes to where the hand is, changes the text alone, and goes by one undo."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from linescope.app.session import Session
from linescope.errors import InputError
from linescope.scene import load
from tests.app.rigs import hundred_tapes, shipped, written


@pytest.fixture
def session(tmp_path: Path) -> Session:
    found = Session(shipped(tmp_path, "larkspur_ledge"))
    found.settle()
    return found


def solved(session: Session):
    session.settle()
    assert session.variant.error is None, session.variant.error
    picture = session.variant.picture
    assert picture is not None
    return picture


def test_a_tape_goes_where_the_hand_is_and_its_neighbours_stay(session: Session) -> None:
    before = solved(session)
    places = before.solution.tape_points[:, 0] - before.rig.main_a[0]  # The line runs along x.
    wanted = float(places[9] + 0.8)
    for by in np.linspace(0.0, 0.8, 5):
        session.move_tape(9, float(places[9] + by), "drag")
        after = solved(session)
    moved = after.solution.tape_points[:, 0] - after.rig.main_a[0]
    assert moved[9] == pytest.approx(wanted, abs=0.03)
    assert np.delete(moved, 9) == pytest.approx(np.delete(places, 9), abs=0.05)
    session.undo()
    assert not session.document.is_dirty


def test_a_tape_is_not_pushed_past_the_next_one(session: Session) -> None:
    session.move_tape(4, 60.0)
    picture = solved(session)
    assert (np.diff(picture.planned.layout.tape_main) > 0.0).all()


@pytest.mark.parametrize("given", ["excess", "loop_depth", "loop_length", "total_length"])
def test_a_loop_comes_to_the_depth_of_the_hand(tmp_path: Path, given: str) -> None:
    session = Session(shipped(tmp_path, "larkspur_ledge"))
    session.settle()
    if given != "excess":
        session.choose("backup.excess", given)
    before = float(solved(session).solution.bays.loop_depth[12])
    wanted = 1.25 * before
    for _ in range(4):  # A hand that holds still: what is asked for comes nearer each time.
        session.deepen(12, wanted, "drag")
        picture = solved(session)
    assert float(picture.solution.bays.loop_depth[12]) == pytest.approx(wanted, rel=0.02)


def test_a_zone_of_its_own_is_deepened_alone(tmp_path: Path) -> None:
    session = Session(written(tmp_path, hundred_tapes()))
    session.add("taping.zones")
    picture = solved(session)
    zones = [tape.zone for tape in picture.planned.layout.tapes]
    first, last = 3, len(zones) - 2
    before = picture.solution.bays.loop_depth.copy()
    session.deepen(last, 1.3 * float(before[last]))
    after = solved(session).solution.bays.loop_depth
    assert zones[first] != zones[last]
    assert after[last] > 1.15 * before[last]
    assert after[first] == pytest.approx(before[first], rel=0.05)


def test_a_restyled_tape_takes_its_zone_along(session: Session) -> None:
    session.restyle(5, "main-held slider")
    families = {tape.family for tape in solved(session).planned.layout.tapes if tape.kind == "tape"}
    assert families == {"main-held slider"}
    session.respace(5, "4")  # The unit of the field: metres.
    assert session.document.data["taping"]["zones"][0]["spacing"]["every"] == "4 m"


@pytest.mark.parametrize(("anchor", "place"), [("A", 0), ("B", 1)])
def test_an_anchor_is_lifted_by_what_the_hand_says(session: Session, anchor: str, place: int) -> None:
    before = (solved(session).rig.main_a, solved(session).rig.main_b)
    session.lift(anchor, 0.75, "drag")
    session.lift(anchor, 0.5, "drag")
    rig = solved(session).rig
    after = (rig.main_a, rig.main_b)
    assert after[place] - before[place] == pytest.approx([0.0, 0.0, 1.25], abs=0.011)
    assert after[1 - place] == pytest.approx(before[1 - place])
    session.undo()
    assert not session.document.is_dirty


def test_two_points_are_measured_in_the_readers_units(session: Session) -> None:
    """3, 4 and 12 m: 5 m on the level, 13 m in all."""
    said = session.measured([0.0, 0.0, 0.0], [3.0, 4.0, -12.0])
    assert said[0].replace("\u00a0", " ") == "13 m"
    assert "5.0 m" in said[1].replace("\u00a0", " ") and "12 m" in said[1].replace("\u00a0", " ")
    session.use_units("feet")
    assert said != session.measured([0.0, 0.0, 0.0], [3.0, 4.0, -12.0])


@pytest.mark.parametrize("asked", [
    ("move_tape", 99, 3.0), ("restyle", -1, "fixed wrap"), ("deepen", 99, 0.5), ("lift", "C", 1.0),
    ("measured", [0.0], [1.0, 2.0, 3.0]), ("measured", [0.0, 0.0, float("nan")], [1.0, 2.0, 3.0]),
])  # fmt: skip
def test_what_is_not_there_is_refused_in_words(session: Session, asked: tuple) -> None:
    name, *arguments = asked
    with pytest.raises(InputError, match=r"no |not"):
        getattr(session, name)(*arguments)
    assert not session.document.is_dirty


@pytest.mark.parametrize(("path", "typed", "text"), [
    ("walker.mass", "68", "68 kg"), ("backup.excess", "6.5", "6.5 %"), ("walker.leash", "1.8", "1.8 m"),
    ("walker.at", "40", "40 %"), ("main.tension", "3.3", "3.3 kN"),
])  # fmt: skip
def test_a_bare_number_takes_the_unit_of_its_field(session: Session, path: str, typed: str, text: str) -> None:
    session.edit(path, typed)
    fields = {field["path"]: field for section in session.form() for field in section["fields"]}
    assert fields[path]["text"] == text
    assert solved(session) and not fields[path]["error"]


def test_a_measured_value_is_tried_with_the_unit_that_was_missing(session: Session) -> None:
    session.edit("main.tension", "3.3")
    assert session.document.tried == {"main.tension": "3.3 kN"}
    assert session.document.data["main"]["tension"]["value"] == "3.0 kN"
    assert "3.3 kN" in session.message


def test_looking_elsewhere_is_no_new_plan(session: Session) -> None:
    plan = session.variant.plan
    session.preview_walker(0.3)
    session.settle()
    assert session.variant.plan == plan
    session.edit("walker.mass", "70 kg")
    assert session.variant.plan == plan + 1


def test_the_rig_in_words_has_a_slot_for_what_can_be_edited(session: Session) -> None:
    text = " ".join(session.sentences())
    known = {field["path"] for section in session.form() for field in section["fields"]}
    slots = {part.partition("\ue001")[0] for part in text.split("\ue000")[1:]}
    assert {"main.tension", "backup.excess", "taping.zones[1].style", "walker.mass", "wind.speed"} <= slots
    assert slots <= known


def test_two_variants_differ_as_their_solutions_do(session: Session, tmp_path: Path) -> None:
    session.compare(True)
    session.edit("main.tension", "4.5 kN")
    session.settle()
    told = session.answers()["difference"]
    first, second = (load(session.document.path).what_if({"main.tension": each}).rig for each in ("3.0 kN", "4.5 kN"))
    from linescope.statics import solve
    from linescope.words import Words

    low, high = (solve(rig) for rig in (first, second))
    up = float(first.below_anchors(low.walker_point) - second.below_anchors(high.walker_point))
    assert Words().length(up) in told["verdict"] and "higher" in told["verdict"]
    assert Words().force(high.tension_a - low.tension_a) in told["verdict"]
    assert set(told["heads"]) == {"first", "second"}
