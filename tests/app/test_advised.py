"""Plans that put a rig right, at the page: as the program finds them, each adopted in one action, stopped at once."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import pytest

from linescope.app.jobs import Jobs
from linescope.app.session import Session
from linescope.app.worker import JOBS
from linescope.errors import InputError
from linescope.scene import load
from linescope.statics import solve
from tests.advise.lines import scene_of, wish
from tests.app.rigs import shipped

LIMITS = """
[limits]
bay = ["3 m", "3 m"]
leash = ["1.6 m", "1.6 m"]
"""
TEXT = scene_of(wish("sag with the walker", at_most="1.2 m"), LIMITS).text
"""Nothing but pull and excess may be changed."""


@pytest.fixture(scope="module")
def told() -> list[tuple[str, Any]]:
    return []


@pytest.fixture(scope="module")
def part(told: list[tuple[str, Any]]) -> dict[str, Any]:
    """The part of the answers, made as the second process makes it."""
    arguments = {"text": TEXT, "path": "wished.toml", "tried": {}, "variant": "", "system": "metric"}
    return JOBS["advice"](arguments, lambda name, content: told.append((name, content)))


@pytest.fixture
def session(part: dict[str, Any], tmp_path: Path) -> Session:
    path = tmp_path / "wished.toml"
    path.write_text(TEXT, encoding="utf-8")
    session = Session(path)
    session.settle()
    session.variant.advised = session.document.scene
    session.variant.foreteller = part["foreteller"]
    answer = {key: value for key, value in part.items() if key != "foreteller"}
    session.variant.study = {"advice": {**answer, "plan": session.variant.plan}}
    return session


def test_each_plan_is_told_as_soon_as_it_is_found_and_all_have_their_price(part, told) -> None:
    early = [content for name, content in told if name == "plan"]
    assert [each["name"] for each in early] == [each["name"] for each in part["plans"]]
    assert early and all(each["changes"] and each["tried"] and len(each["prices"]) > 8 for each in early)
    for plan in part["plans"]:
        assert plan["changes"] and plan["clearance"]
        assert all(len(row) == 3 for row in plan["prices"]) and len({row[0] for row in plan["prices"]}) > 8
    assert part["wished"]["rows"][0][0].startswith("sag")


def test_a_plan_is_adopted_in_one_action_and_taken_back_in_one(session: Session) -> None:
    before = session.document.text
    session.adopt("a")
    session.settle()
    rig = session.variant.picture.rig
    assert rig.below_anchors(solve(rig).walker_point) <= 1.2 + 0.02
    assert session.document.text.startswith(before) and session.document.variant == "advised 1"
    assert "advised 1" in session.message and session.is_dirty
    session.save()
    kept = load(session.document.path, "advised 1").rig
    assert kept.below_anchors(solve(kept).walker_point) <= 1.2 + 0.02
    session.undo()
    assert (session.document.text, dict(session.document.tried), session.document.variant) == (before, {}, "")


def test_another_plan_may_follow_and_stands_for_itself(session: Session, part: dict[str, Any]) -> None:
    other = {**part["plans"][0], "name": "other", "tried": {"main.tension": "3.7 kN"}}
    session.variant.study["advice"]["plans"] = [part["plans"][0], other]
    session.adopt("a")
    session.adopt("other")
    assert session.document.variant == "advised 2"
    assert set(session.document.scene.variants) == {"advised 1", "advised 2"}
    assert dict(session.document.tried) == other["tried"]
    session.adopt("a")  # Kept already.
    assert session.document.variant == "advised 1" and len(session.document.scene.variants) == 2


def test_plans_of_a_scene_that_was_changed_are_refused(session: Session) -> None:
    assert session.variant.is_advised
    session.edit("walker.mass", "90 kg")
    assert not session.variant.is_advised
    with pytest.raises(InputError, match="changed since plans were sought"):
        session.adopt("a")
    with pytest.raises(InputError, match="no such plan"):
        session.adopt("z")


def test_a_job_that_is_stopped_leaves_what_was_found(tmp_path: Path) -> None:
    async def run() -> tuple[dict[str, Any], list[dict[str, Any]], Session]:
        session, said = Session(shipped(tmp_path, "heron_gap")), []
        session.settle()
        jobs = Jobs(session, said.append, lambda variant, message: None, lambda: None)
        try:
            task = asyncio.ensure_future(jobs.start("advice", {}))
            while len(said) < 3 and not task.done():
                await asyncio.sleep(0.05)
            assert "error" in await jobs.start("film", {})  # One at a time.
            jobs.stop()
            return await task, said, session
        finally:
            jobs.close()

    result, said, session = asyncio.run(run())
    part = session.variant.study["advice"]
    assert result["error"] == part["ended"] == "stopped"
    assert said[0]["running"] and not said[-1]["running"]
    assert part["whole"] and part["plans"] == [] and session.variant.is_advised


def test_sliders_foretell_at_once_what_is_solved_afterwards(session: Session, part: dict[str, Any]) -> None:
    """At a setting that no plan has: what surfaces say is an estimate, within a few of its errors of what is solved."""
    sliders = part["sliders"]
    assert [each["name"] for each in sliders] == ["pull", "excess"]
    revision = session.variant.revision
    told = session.foretell([2487.0, 0.0611])
    assert told["values"] == pytest.approx([2500.0, 0.061])  # What hands can set.
    assert session.variant.revision == revision  # Nothing is solved for it.
    assert all(row[1].startswith(("about ", "kept by far")) for row in told["rows"]) and "2.50 kN" in told["sets"][0]
    session.adopt_levers(told["values"])
    assert session.document.tried == {"main.tension": "2.5 kN", "backup.excess": "6.1 %"}
    assert "estimate" in session.message
    rig = session.document.scene.rig
    foretold = part["foreteller"].at(told["values"])[0]
    sag = max(float(rig.below_anchors(solve(rig.with_walker_at(at)).walker_point)) for at in (11.0, 12.0, 13.0))
    assert foretold.wish.figure == "sag with the walker" and 0.0 < foretold.error < 0.1
    assert foretold.most == pytest.approx(sag, abs=2.0 * foretold.error)
    assert told["short"][0] == (foretold.most > 1.2)


@pytest.mark.parametrize("values", [[], [2000.0], [2000.0, "3 %"], [2000.0, float("nan")], [2000.0, 0.03, 1.0]])
def test_what_are_no_levers_is_refused(session: Session, values: list[Any]) -> None:
    for ask in (session.foretell, session.adopt_levers):
        with pytest.raises(InputError):
            ask(values)


def test_no_levers_are_turned_before_plans_were_sought(tmp_path: Path) -> None:
    path = tmp_path / "wished.toml"
    path.write_text(TEXT, encoding="utf-8")
    with pytest.raises(InputError, match="no levers"):
        Session(path).foretell([2000.0, 0.03])
