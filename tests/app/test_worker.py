"""The second process: answers that agree with the events, progress, stopping, and errors as words."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from linescope.app.parts import PARTS, in_time
from linescope.app.worker import JOBS, JobError, Worker
from linescope.events.excess import four_states
from linescope.events.fall import leash_fall
from linescope.export.space import unpacked
from linescope.notes import Spot
from linescope.scene import Scene, load
from linescope.statics import plan, solve
from linescope.study import Study
from linescope.words import Words
from tests.app.rigs import shipped


@pytest.fixture(scope="module")
def worker() -> Iterator[Worker]:
    """One for all tests: it goes on after errors, and begins anew after it was stopped."""
    worker = Worker()
    yield worker
    worker.close()


def arguments(path: Path, **more: Any) -> dict[str, Any]:
    text = path.read_text(encoding="utf-8")
    return {"text": text, "path": str(path), "tried": {}, "variant": "", "system": "metric", **more}


def test_longer_answers_are_those_of_the_events(worker: Worker, tmp_path: Path) -> None:
    path = shipped(tmp_path, "heron_gap")
    parts: dict[str, Any] = {}
    spaces: list[bytes] = []

    def tell(name: str, content: Any) -> None:
        if name == "space":
            spaces.append(content)
        elif name != "progress":
            parts[name] = content

    worker.run("study", arguments(path, state="as taped"), tell)
    assert sorted(parts) == sorted(PARTS)
    assert [opened(each)[0]["stage"] for each in spaces] == ["ground", "first", "exact", "all"]
    known = [{state["key"]: state["kind"] for state in opened(each)[0]["data"]["states"]} for each in spaces]
    assert known[0] == {} and known[1]["walker"] == "places" and known[3]["fall"] == "film"
    assert not opened(spaces[1])[0]["data"]["worst"] and opened(spaces[2])[0]["data"]["worst"]
    rig = load(path).rig
    planned = plan(rig)
    fall = leash_fall(rig, planned=planned)
    plain = four_states(rig, fall.bottom, planned=planned)
    for state in plain.states:
        assert parts["excess"]["depths"][state.name] == pytest.approx(state.loop_depth.tolist(), rel=1e-9)
    title = f"{Words().say('falls-short')}: {Words().say('falls-peak-force')}"
    assert dict(parts["catches"]["rows"])[title] == Words().force(float(fall.figures.low.peak_force[0]))
    assert parts["clearance"]["rows"], "no place named"
    assert all("safe" not in str(part).lower() for part in parts.values())


CROSSING = {"which": "crossing", "level": "value", "at": None}


def opened(message: bytes) -> tuple[dict[str, Any], bytes]:
    """A message for the page's picture, taken apart by its own description: length, JSON, binary glTF."""
    length = int.from_bytes(message[:4], "little")
    return json.loads(message[4 : 4 + length]), message[4 + length :]


def test_a_crossing_comes_as_a_film_with_progress(worker: Worker, tmp_path: Path) -> None:
    told: list[float] = []
    message = worker.run(
        "film", arguments(shipped(tmp_path, "heron_gap"), **CROSSING), lambda name, content: told.append(content[0])
    )
    head, glb = opened(message)
    (state,) = head["data"]["states"]
    assert glb[:4] == b"glTF"
    assert (head["kind"], state["key"], state["kind"]) == ("film", "crossing", "film")
    assert 2 <= state["count"] <= 120
    assert told == sorted(told)
    feet = unpacked(glb, state["shape"]["feet"])[:, 0, 0]
    assert feet[0] < 3.0 and feet.max() > 45.0  # Over 48 m and back again.


def test_a_fall_elsewhere_is_that_of_a_walker_who_stands_there(worker: Worker, tmp_path: Path) -> None:
    path = shipped(tmp_path, "heron_gap")
    head, glb = opened(worker.run("film", arguments(path, which="fall", level="value", at=31.0), lambda *_: None))
    (state,) = head["data"]["states"]
    feet = unpacked(glb, state["shape"]["feet"])[0, 0]
    rig = load(path).rig
    assert feet[0] == pytest.approx(31.0, abs=0.5)
    assert -feet[2] == pytest.approx(
        float(rig.below_anchors(solve(rig.with_walker_at(31.0)).walker_point)), abs=0.05
    )


def test_a_wrong_scene_is_refused_in_words_and_the_worker_goes_on(worker: Worker, tmp_path: Path) -> None:
    path = shipped(tmp_path, "heron_gap")
    with pytest.raises(JobError, match=r"main\.tension"):
        wrong = arguments(path, state="as taped")
        worker.run("study", {**wrong, "text": wrong["text"].replace("tension = ", "tension = 3 #", 1)}, lambda *_: None)
    assert worker.run("film", arguments(path, **CROSSING), lambda *_: None)


def test_stopping_ends_the_job_and_the_next_one_runs(worker: Worker, tmp_path: Path) -> None:
    path = shipped(tmp_path, "sable_tarn")
    failed: list[str] = []

    def run() -> None:
        try:
            worker.run("film", arguments(path, **{**CROSSING, "level": "high"}), lambda *_: None)
        except JobError as error:
            failed.append(str(error))

    thread = threading.Thread(target=run)
    thread.start()
    time.sleep(1.0)
    worker.stop()
    thread.join(20.0)
    assert failed == ["stopped"]
    assert worker.run("film", arguments(shipped(tmp_path, "heron_gap"), **CROSSING), lambda *_: None)


def test_a_day_that_is_asked_for_is_worked_out_with_progress(worker: Worker, tmp_path: Path) -> None:
    """Twice the wind hours of [use] rub twice as much where wind alone rubs: fixed wraps, nobody crosses."""
    path, told, peaks = shipped(tmp_path, "heron_gap"), list[float](), []
    for hours in ("2 h", "4 h"):
        day = arguments(path) | {"tried": {"use.wind": hours, "use.crossings": "0"}}
        part = worker.run("day", day, lambda name, content: told.append(content[0]))
        assert part["rows"] and part["places"]
        study = Study(Scene(text=day["text"], path=path, tried=day["tried"]))
        peaks.append(study.wear.places[0].peak)
        assert Words().of(peaks[-1], "line energy") in part["places"][0]["text"]
    assert peaks[1] == pytest.approx(2.0 * peaks[0], rel=1e-9)
    assert len(told) > 4


def test_motion_in_time_that_is_asked_for_is_what_a_study_has(tmp_path: Path) -> None:
    """With falls left out, which take longer: the bounce alone, under its title."""
    scene = load(shipped(tmp_path, "heron_gap"))
    leave = {"ground", "fall_in_time", "main_gone_in_time", "gust_in_time"}
    study = Study(scene, in_time=True, leave=leave)
    part = in_time(study, Words())
    words = Words()
    assert part["rows"][0] == [words.say("motion-bounce", at=Spot(scene.rig.walker.at)), ""]
    told = dict(part["rows"][1:])
    assert told[words.say("motion-bounce-period", "head")] == words.of(study.bounce_in_time.period, "time")
    assert "in-time" in JOBS
