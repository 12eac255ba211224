"""One person's work at a rig, without a browser: what edits do to picture, figures and file."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from linescope.app.engine import Engine, StateAsked
from linescope.app.session import Session
from linescope.cli import _load, _parser
from linescope.errors import InputError, SceneError
from linescope.scene import Scene, load
from linescope.scenefile import start_text
from linescope.statics import solve
from linescope.units import to_si
from tests.app.rigs import SCENES, errors_of, hundred_tapes, shipped, written


@pytest.fixture
def session(tmp_path: Path) -> Session:
    session = Session(shipped(tmp_path, "larkspur_ledge"))
    session.settle()
    return session


def value(session: Session, key: str, name: str = "") -> float:
    return next(row["number"] for row in session.answers(name)["rows"] if row["key"] == key)


def test_the_picture_is_that_of_the_solver(session: Session) -> None:
    """The page adds nothing to the physics: figures equal a plain load and solve."""
    plain = solve(load(session.document.path))
    assert value(session, "tension_a") == pytest.approx(plain.tension_a, rel=1e-12)
    assert session.answers()["depth"] == pytest.approx(plain.bays.loop_depth.tolist(), rel=1e-12)


def test_after_many_edits_the_kept_layout_gives_what_a_fresh_solve_gives(session: Session) -> None:
    session.edit("main.tension", "3.4 kN")
    session.settle()
    session.move_walker(0.31)
    session.settle()
    session.edit("walker.mass", "91 kg")
    session.ask(air="gust")
    session.settle()
    session.move_walker(0.62)
    session.settle()
    document = session.document
    fresh = Engine().run(document.scene, session.asked)
    assert fresh.picture is not None
    kept = session.variant.picture
    assert kept is not None
    assert np.array_equal(kept.solution.tape_points, fresh.picture.solution.tape_points)
    assert kept.rig.walker is not None
    assert kept.rig.walker.at == pytest.approx(0.62 * kept.rig.span)


def test_a_wrong_value_keeps_the_last_good_picture_and_says_why(session: Session) -> None:
    good = session.variant.picture
    session.edit("main.tension", "3,4 kN")
    session.settle()
    status = session.status()
    assert session.variant.picture is good
    assert status["old"] == {"first": True}
    assert "comma" in status["reason"]
    assert [entry["path"] for entry in errors_of(session.form())] == ["main.tension"]
    session.edit("main.tension", "3.4 kN")
    session.settle()
    assert session.status()["old"] == {"first": False}
    assert session.variant.picture is not good


def test_what_the_solver_refuses_also_keeps_the_picture(session: Session) -> None:
    good = session.variant.picture
    session.edit("backup.excess", "-5 %")
    session.edit("taping.zones[1].spacing.every", "200 m")
    session.edit("anchors.b", "0.2 m, 0 m, 0 m")
    session.settle()
    assert session.variant.picture is good
    assert session.status()["reason"]


def test_figures_say_what_they_were_before_the_change(session: Session) -> None:
    before = {row["key"]: row["value"] for row in session.answers()["rows"]}
    session.edit("main.tension", "4.5 kN")
    session.settle()
    rows = {row["key"]: row for row in session.answers()["rows"]}
    assert rows["tension_a"]["was"] == before["tension_a"]
    assert rows["tapes"]["was"] == ""


def test_undo_takes_back_drags_as_a_whole(session: Session) -> None:
    text = session.document.text
    for k in range(20):
        session.move_walker(0.3 + 0.01 * k, "drag")
    session.settle()
    session.undo()
    session.settle()
    assert session.document.text == text
    session.redo()
    assert session.document.text != text


@pytest.mark.parametrize("name", ["length", "tension"])
def test_giving_the_main_by_the_other_key_keeps_the_rig(name: str, session: Session) -> None:
    before = value(session, "tension_a")
    session.choose("main.tension", "length")
    session.settle()
    assert value(session, "tension_a") == pytest.approx(before, rel=2e-3)
    if name == "tension":
        session.choose("main.length", "tension")
        session.settle()
        assert value(session, "tension_a") == pytest.approx(before, rel=2e-3)


@pytest.mark.parametrize("name", ["total_length", "loop_length", "loop_depth"])
def test_giving_an_even_backup_by_another_key_keeps_it_nearly(name: str, tmp_path: Path) -> None:
    session = Session(written(tmp_path, hundred_tapes()))
    session.settle()
    before = value(session, "backup_length")
    session.choose("backup.excess", name)
    session.settle()
    assert value(session, "backup_length") == pytest.approx(before, rel=0.02)


def test_spacing_can_be_listed_tape_by_tape_and_goes_back(session: Session) -> None:
    before = session.variant.picture
    assert before is not None
    session.choose("taping.zones[1].spacing.every", "listed")
    session.settle()
    now = session.variant.picture
    assert now is not None
    assert session.variant.error is None
    assert np.abs(now.planned.layout.tape_main - before.planned.layout.tape_main).max() < 0.01


def test_zones_styles_joints_walker_and_wind_come_and_go(session: Session) -> None:
    session.add("taping.zones")
    session.edit("taping.zones[2].style", "main-held slider")
    session.edit("taping.zones[2].excess", "7 %")
    session.edit("taping.zones[2].hold.drag", "2 N")
    session.add("joints")
    session.settle()
    assert session.variant.error is None
    picture = session.variant.picture
    assert picture is not None
    assert {tape.family for tape in picture.planned.layout.tapes} == {"fixed wrap", "main-held slider"}
    session.remove("taping.zones[1]")
    session.remove("walker")
    session.remove("wind")
    session.remove("joints[1]")
    session.settle()
    assert session.variant.error is None
    assert not session.status()["has_walker"]
    session.add("walker")
    session.add("wind")
    session.settle()
    assert session.variant.error is None
    guessed = {entry["path"] for entry in session.answers()["doubtful"] if entry["known"] == "guess"}
    assert {"walker.mass", "wind.speed"} <= guessed


def field_of(session: Session, path: str) -> dict[str, object]:
    return next(f for s in session.form() for f in s["fields"] if f["path"] == path)


def test_what_is_typed_over_a_measured_value_is_tried_and_put_back_leaves_nothing_to_save(session: Session) -> None:
    raw = {"value": "3.0 kN", "known": "measured", "low": "2.7 kN", "high": "3.3 kN"}
    text = session.document.text
    assert session.document.data["main"]["tension"] == raw
    for tried, low, high in (("3.3 kN", "2.97 kN", "3.63 kN"), ("2.2 kN", "1.9 kN", "2.5 kN")):
        session.edit("main.tension", tried)
        session.settle()
        assert session.variant.error is None
        assert session.variant.picture is not None
        assert session.variant.picture.rig.main_plan.tension == pytest.approx(1000.0 * float(tried.split()[0]))
        now = field_of(session, "main.tension")
        assert (now["text"], now["known"], now["error"]) == (tried, "tried", "")
        assert [to_si(now[end], "force") for end in ("low", "high")] == pytest.approx(
            [to_si(end, "force") for end in (low, high)], rel=1e-3
        )
        assert now["slider"] is not None
        assert now["what_if"] == "in the file: 3.0 kN, measured"
        assert session.message.startswith(f"What if main tension is {tried}?")
        assert session.document.text == text
    with pytest.raises(InputError, match="this value is tried"):
        session.set_known("main.tension", "measured")
    session.edit("main.tension", "3 kN")
    session.settle()
    assert session.document.text == text
    assert not session.is_dirty
    now = field_of(session, "main.tension")
    assert (now["changed"], now["what_if"], now["known"]) == (False, "", "measured")


def measured(tmp_path: Path) -> Session:
    """A scene whose tension is measured, 2.2 kN, and whose walker is just given."""
    text = (SCENES / "heron_gap.toml").read_text(encoding="utf-8").replace('"1.8 kN"', '"2.2 kN"')
    session = Session(written(tmp_path, text.replace('high = "2.0 kN"', 'high = "2.4 kN"')))
    session.settle()
    return session


def test_save_keeps_what_is_tried_beside_what_is_measured_byte_for_byte(tmp_path: Path) -> None:
    session = measured(tmp_path)
    path, before = session.document.path, session.document.path.read_bytes()
    session.edit("main.tension", "2.3 kN")
    assert session.is_dirty
    assert session.save() == path
    assert path.read_bytes().startswith(before)
    assert not session.is_dirty
    assert session.status()["kept"] == ["tried 1"] and session.status()["kept_as"] == "tried 1"
    own, kept = load(path), load(path, "tried 1")
    assert own.rig.main_plan.tension == 2200.0 and own.inputs.get("main.tension").known == "measured"
    assert kept.rig.main_plan.tension == pytest.approx(2300.0)
    session.edit("walker.mass", "90 kg")  # Given only: it is written over, and the variant stays.
    session.save("heavier")
    assert load(path).rig.walker.mass == 90.0 and load(path).rig.main_plan.tension == 2200.0
    session.use_variant("")
    session.settle()
    assert session.variant.picture.rig.main_plan.tension == 2200.0
    session.use_variant("tried 1")
    session.settle()
    assert session.variant.picture.rig.main_plan.tension == pytest.approx(2300.0)
    session.undo()
    assert session.document.tried == {}


def test_what_is_measured_is_not_lost_by_any_way_of_saving(tmp_path: Path) -> None:
    session = measured(tmp_path)
    before = session.document.path.read_bytes()
    session.choose("main.tension", "length")
    session.settle()
    assert session.variant.error is None and session.variant.picture.rig.main_plan.length is not None
    session.save("by length")
    assert session.document.path.read_bytes().startswith(before)
    session.use_variant("")
    session.set_known("main.tension", "")
    with pytest.raises(InputError, match=r"main\.tension.*would be lost"):
        session.save()
    session.undo()
    other = session.save_as("other.toml")
    assert load(other).inputs.get("main.tension").known == "measured"


def test_the_page_python_and_the_command_line_give_the_same_rig_for_the_same_change(tmp_path: Path) -> None:
    path = written(tmp_path, (SCENES / "larkspur_ledge.toml").read_text(encoding="utf-8"))
    for key, value in (
        ("main.tension", "6 kN"), ("walker.mass", "70 kg"), ("hold.friction", "0.4"), ("wind.speed", "3 m/s"),
        ("tape.width", "50 mm"), ("backup.excess", "4 %"), ("main.webbing.stretch.elongation", "6 %"),
    ):
        session = Session(path)
        session.settle()
        session.edit(key, value)
        page, python = session.document.scene, load(path).what_if(key, value)
        options = _parser().parse_args(["figures", str(path), "--set", f"{key}={value}"])
        command = _load(options)
        assert command.tried == python.tried
        for one in (page, command):
            assert dict(one.inputs.bands) == dict(python.inputs.bands), key
            assert repr(one.rig) == repr(python.rig), key


def test_a_launch_with_values_tried_shows_them(tmp_path: Path) -> None:
    path = written(tmp_path, (SCENES / "larkspur_ledge.toml").read_text(encoding="utf-8"))
    session = Session(Scene.read(path).what_if({"walker.mass": "70 kg"}))
    session.settle()
    assert field_of(session, "walker.mass")["what_if"] == "in the file: 80 kg, given"
    session.edit("walker.mass", "80 kg")
    assert session.document.tried == {} and not session.is_dirty


def test_two_variants_are_edited_apart_and_compared(session: Session) -> None:
    first = value(session, "tension_a")
    session.compare(True)
    session.settle()
    session.edit("main.tension", "4.5 kN")
    session.settle()
    assert value(session, "tension_a", "first") == first
    assert value(session, "tension_a", "second") > first
    session.activate("first")
    session.edit("walker.mass", "60 kg")
    session.settle()
    assert value(session, "tension_a", "first") < first
    session.compare(False)
    assert list(session.variants) == ["first"]


def test_a_variant_begins_with_the_picture_it_copies_even_when_the_scene_is_wrong(session: Session) -> None:
    session.edit("main.tension", "x")
    session.settle()
    session.compare(True)
    session.settle()
    assert session.variants["second"].picture is session.variants["first"].picture
    assert session.status()["old"] == {"first": True, "second": True}


def test_looking_at_the_walker_elsewhere_changes_no_scene(session: Session) -> None:
    text = session.document.text
    session.preview_walker(0.2)
    session.settle()
    picture = session.variant.picture
    assert picture is not None
    assert picture.rig.walker is not None
    assert picture.rig.walker.at == pytest.approx(0.2 * picture.rig.span)
    assert session.document.text == text
    session.preview_walker(None)
    session.settle()
    assert not session.status()["preview"]


def test_saving_writes_the_file_and_wrong_scenes_are_not_saved(session: Session) -> None:
    session.edit("walker.mass", "77 kg")
    path = session.save()
    assert load(path).rig.walker.mass == pytest.approx(77.0)  # type: ignore[union-attr]
    session.edit("walker.mass", "none")
    with pytest.raises(InputError, match="not saved"):
        session.save()
    assert load(path).rig.walker.mass == pytest.approx(77.0)  # type: ignore[union-attr]


def test_open_goes_to_another_scene_and_a_missing_one_changes_nothing(session: Session, tmp_path: Path) -> None:
    shipped(tmp_path, "heron_gap")
    session.open("heron_gap.toml")
    session.settle()
    assert session.status()["file"] == "heron_gap.toml"
    with pytest.raises(SceneError, match="no such file"):
        session.open("nothing.toml")
    assert session.status()["file"] == "heron_gap.toml"


def test_a_file_changed_on_disk_is_read_again(session: Session) -> None:
    path = session.document.path
    text = path.read_text(encoding="utf-8")
    assert '"80 kg"' in text
    path.write_text(text.replace('"80 kg"', '"81 kg"'), encoding="utf-8")
    assert session.look_at_disk() == "reloaded"
    session.settle()
    assert session.variant.picture is not None
    assert session.variant.picture.rig.walker is not None
    assert session.variant.picture.rig.walker.mass == pytest.approx(81.0)
    assert session.look_at_disk() == ""


def test_edits_are_not_lost_to_a_change_on_disk(session: Session) -> None:
    path = session.document.path
    session.edit("walker.mass", "66 kg")
    path.write_text("# new\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    assert session.look_at_disk() == "conflict"
    assert "66 kg" in session.document.text
    session.reload()
    assert session.document.text.startswith("# new")
    session.undo()
    assert "66 kg" in session.document.text


def test_a_mesh_by_path_becomes_the_ground_and_far_ones_are_refused_in_the_loaders_words(tmp_path: Path) -> None:
    folder = tmp_path / "rig" / "deep"
    folder.mkdir(parents=True)
    session = Session(written(folder, start_text("level")))
    quad = "v -10 -20 -30\nv 60 -20 -30\nv 60 20 -30\nv -10 20 -30\nf 1 2 3\nf 1 3 4\n"
    mesh = folder / "rock.obj"
    mesh.write_text(quad, encoding="utf-8")
    session.take_mesh(str(mesh))
    session.settle()
    assert session.variant.error is None
    assert session.variant.picture is not None
    assert session.variant.picture.ground is not None
    far = tmp_path / "rock.obj"
    far.write_text(quad, encoding="utf-8")
    session.take_mesh(str(far))
    session.settle()
    assert "leads away from the scene" in session.status()["reason"]
    assert session.variant.picture.ground is not None


def test_picks_stay_within_the_rig(session: Session) -> None:
    session.pick("loop", 10_000)
    picked = session.answers()["picked"]
    assert picked["name"] == "Loop 26 of 26"
    session.pick("tape", -5)
    assert session.answers()["picked"]["name"] == "Tape 1 of 25"
    session.pick("", 0)
    assert session.answers()["picked"] is None


def test_figures_in_feet_leave_the_form_as_typed(session: Session) -> None:
    before = session.form()
    session.use_units("feet")
    session.settle()
    assert "ft" in next(row["value"] for row in session.answers()["rows"] if row["key"] == "sag")
    assert session.form() == before


def test_newer_edits_are_not_overtaken_by_older_outcomes(session: Session) -> None:
    session.edit("main.tension", "3.1 kN")
    old = session.job("first")
    session.edit("main.tension", "3.2 kN")
    new = session.job("first")
    assert old is not None
    assert new is not None
    outcomes = [Engine().run(job.scene, job.asked) for job in (old, new)]
    session.accept(new, outcomes[1])
    session.accept(old, outcomes[0])
    assert session.variant.picture is outcomes[1].picture
    assert session.job("first") is None


def test_wind_turned_round_blows_the_loops_to_the_other_side(session: Session) -> None:
    picture = session.variant.picture
    assert picture is not None
    document = session.document
    sides = [
        Engine().run(document.scene, StateAsked(air="steady", side=side)).picture
        for side in ("as given", "opposite")
    ]
    assert sides[0] is not None
    assert sides[1] is not None
    one, other = (s.solution.backup.sample(4).points[:, 1] - picture.rig.main_a[1] for s in sides)
    assert np.allclose(one, -other, atol=1e-6)
    assert np.abs(one).max() > 0.05


def test_unknown_requests_are_refused(session: Session) -> None:
    for call in (
        lambda: session.edit("main.nothing", "1"),
        lambda: session.edit("main", "1"),
        lambda: session.edit("../../etc", "1"),
        lambda: session.ask(state="molten"),
        lambda: session.use_units("cubits"),
        lambda: session.pick("rock", 1),
        lambda: session.activate("Z"),
        lambda: session.choose("main.tension", "webbing"),
        lambda: session.remove("main"),
        lambda: session.add("main.tension"),
        lambda: session.set_known("main.tension", "by heart"),
        lambda: session.set_limit("main.tension", "middle", "1 kN"),
        lambda: session.save_as(""),
        lambda: session.edit("description", "x" * 30_000),
    ):
        with pytest.raises(InputError):
            call()
    assert not session.document.is_dirty
