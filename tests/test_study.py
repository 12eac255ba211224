"""One study computes each result once, whoever asks first, tells how far it is, and stops when it is told to."""

from __future__ import annotations

import random
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from linescope.contact.ledger import RubCause
from linescope.notes import Missing
from linescope.scene import Scene
from linescope.study import Stopped, Study, StudyNote, result
from linescope.terrain import Terrain
from tests.stage import rigs

SCENES = Path(__file__).parents[1] / "scenes"
QUICK = sorted(set(Study.RESULTS) - {"compare"})  # Walks over for every style: a test of its own room.


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> Iterator[Counter[str]]:
    """How often each result was computed."""
    counts: Counter[str] = Counter()

    def counting(name: str, compute: Callable[[Study], Any]) -> Callable[[Study], Any]:
        def inner(study: Study) -> Any:
            counts[name] += 1
            return compute(study)

        return inner

    for name, each in Study.RESULTS.items():
        monkeypatch.setattr(each, "compute", counting(name, each.compute))
    yield counts


def study_of(name: str, **more: Any) -> Study:
    """A quick study of an invented rig over its gorge."""
    rig = rigs.MAKERS[name]()
    ground = rigs.gorge(rig)
    terrain = Terrain(vertices=ground.vertices, faces=ground.faces, source="invented gorge", kind="grid")
    given = {"ground": terrain, **more.pop("given", {})}
    return Study(
        rig, places=4, per_bay=1, positions=3, rub_steps=3, rub_levels=("value",), depth=0.3, given=given, **more
    )


def test_a_result_is_a_method_with_a_meaning_and_a_weight() -> None:
    for name, each in Study.RESULTS.items():
        assert isinstance(each, result)
        assert each.name == name
        assert each.__doc__, name
        assert each.weight >= 0.0
    assert set(Study.RESULTS) > Study.SLOW


@pytest.mark.parametrize("seed", range(3))
def test_each_result_is_computed_once_in_any_order(counted: Counter[str], seed: int) -> None:
    names = QUICK.copy()
    random.Random(seed).shuffle(names)
    study = study_of("short")
    for name in names * 2:
        study.get(name)
    assert set(counted) <= {*QUICK}
    assert set(counted.values()) == {1}


def test_two_threads_share_what_either_computes(counted: Counter[str]) -> None:
    study = study_of("heron")
    names = ["fall_sweep", "running", "main_gone_sweep", "excess", "let_go", "taped", "settled", "meter", "fall_gaps"]
    both, found = threading.Barrier(2), {}

    def ask(order: list[str], who: int) -> None:
        both.wait()
        found[who] = {name: study.get(name) for name in order}

    threads = [threading.Thread(target=ask, args=(order, who)) for who, order in enumerate((names, names[::-1]))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert set(counted.values()) == {1}
    assert all(found[0][name] is found[1][name] for name in names)


def test_the_order_of_questions_changes_no_figure() -> None:
    def figures(study: Study, names: list[str]) -> list[np.ndarray]:
        for name in names:
            study.get(name)
        excess, fall, gone = study.excess, study.fall, study.main_gone
        assert fall
        assert gone
        return [
            *(state.excess for state in excess.states), fall.figures.low.peak_force, gone.nothing_holds.lowest.depth,
            study.settled.bays.loop_depth,
        ]

    names = ["excess", "main_gone", "settled", "fall"]
    orders = (names, names[::-1], ["fall", "excess", "settled", "main_gone"])
    first, *others = (figures(study_of("heron"), order) for order in orders)
    for other in others:
        for one, two in zip(first, other, strict=True):
            np.testing.assert_array_equal(one, two)


@pytest.mark.parametrize(("name", "names"), [
    ("incline", ["main_gone_sweep", "excess", "settled", "let_go", "walked", "fall_sweep"]),
    # With falls in time: on the rising line with sliders these would take ten times as long.
    ("trap", ["fall_gaps", "main_gone_sweep", "excess", "walked", "fall_sweep"]),
])
def test_progress_never_goes_back_and_ends_at_one(name: str, names: list[str]) -> None:
    told: list[tuple[float, str]] = []
    study = study_of(name, progress=lambda share, what: told.append((share, what)))
    study.run(names)
    shares = [share for share, _ in told]
    assert shares == sorted(shares)
    assert shares[0] == 0.0
    assert shares[-1] == 1.0
    assert len({share for share in shares if 0.0 < share < 1.0}) > 20  # In steps, not only between results.
    assert {what for _, what in told} <= {*Study.RESULTS, "done"}


@pytest.mark.parametrize(
    "name", ["settled", "meter", "walked", "let_go", "crossing_low", "fall_sweep", "main_gone_sweep", "bands", "wear"]
)
def test_stop_ends_at_the_next_step_and_leaves_what_was_known(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Within one step: once somebody asks to stop, nothing is told any more, and the next step raises."""
    stop, after = threading.Event(), []
    scene = Scene.read(SCENES / "heron_gap.toml")  # Whose inputs have bands.
    study = Study(scene, stop=stop) if name in ("meter", "bands") else study_of("incline", stop=stop)
    planned = study.planned
    inside = Study.inside

    def counting(self: Study, share: float, what: str = "") -> None:
        if stop.is_set():
            after.append(share)
        elif share > 0.0 and self._run.running == name:
            stop.set()
            return
        inside(self, share, what)

    monkeypatch.setattr(Study, "inside", counting)
    with pytest.raises(Stopped):
        study.get(name)
    assert len(after) == 1
    assert not study.knows(name)
    assert study.planned is planned
    with pytest.raises(Stopped):
        study.get("standing")
    stop.clear()
    assert study.standing is not None


def test_falls_in_time_go_on_beside_the_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    """They have begun before what is asked for first is computed, and what needs them waits for them."""
    begun, go_on = threading.Event(), threading.Event()

    def find(planned: Any, *, inputs: Any, progress: Callable[[float], None]) -> str:
        begun.set()
        assert go_on.wait(60.0)
        return "found"

    def taped(study: Study) -> str:
        assert begun.wait(60.0)
        go_on.set()
        return "taped"

    monkeypatch.setattr("linescope.events.deeper.find_deeper", find)
    monkeypatch.setattr(Study.RESULTS["taped"], "compute", taped)
    study = study_of("incline")
    study.run(["taped", "deeper"])
    assert (study.taped, study.deeper) == ("taped", "found")


@pytest.mark.parametrize("fault", ["stopped", "an error elsewhere"])
def test_falls_beside_end_with_what_asked_for_them(fault: str, monkeypatch: pytest.MonkeyPatch) -> None:
    stop, begun, ended = threading.Event(), threading.Event(), threading.Event()

    def find(planned: Any, *, inputs: Any, progress: Callable[[float], None]) -> None:
        begun.set()
        try:
            while True:
                progress(0.5)
        finally:
            ended.set()

    def taped(study: Study) -> str:
        assert begun.wait(60.0)
        if fault != "stopped":
            raise ValueError(fault)
        stop.set()
        return "taped"

    monkeypatch.setattr("linescope.events.deeper.find_deeper", find)
    monkeypatch.setattr(Study.RESULTS["taped"], "compute", taped)
    study = study_of("incline", stop=stop)
    with pytest.raises(Stopped if fault == "stopped" else ValueError):
        study.run(["taped", "deeper"])
    assert ended.wait(60.0)
    assert not study.knows("deeper")


def test_courses_are_computed_beside_in_their_order_and_handed_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """All of them in one other thread; what one raises comes to who asks, and is tried again when asked again."""
    threads: dict[str, int] = {}
    faults = ["no course"]

    def fall(planned: Any, at: float, **_: Any) -> str:
        threads["fall"] = threading.get_ident()
        return "fall"

    def gone(planned: Any, at: float, **_: Any) -> str:
        threads["gone"] = threading.get_ident()
        if faults:
            raise ValueError(faults.pop())
        return "gone"

    monkeypatch.setattr("linescope.motion.leash_fall_in_time", fall)
    monkeypatch.setattr("linescope.motion.main_gone_in_time", gone)
    study = study_of("incline")
    with pytest.raises(ValueError, match="no course"):
        study.run(["fall_course", "gone_course"])
    assert study.fall_course == "fall"
    assert not study.knows("gone_course")
    here = threading.get_ident()
    assert threads["fall"] == threads["gone"] != here
    assert study.gone_course == "gone"
    assert threads["gone"] == here


def test_what_is_left_out_is_missing_and_so_is_what_needs_it(counted: Counter[str]) -> None:
    study = study_of("heron", leave=Study.SLOW)
    for name in Study.SLOW:
        found = study.get(name)
        assert isinstance(found, Missing), name
        assert found.note.kind is StudyNote.NOT_ASKED
    assert not Study.SLOW & set(counted)
    assert isinstance(study_of("heron", leave={"fall_sweep"}).running, Missing)


def test_what_cannot_be_computed_says_why() -> None:
    study = Study(rigs.MAKERS["short"]())  # Nobody on the line, no wind, no ground.
    for name, why in (
        ("fall", StudyNote.NO_WALKER), ("fall_sweep", StudyNote.NO_WALKER), ("running", StudyNote.NO_WALKER),
        ("main_gone", StudyNote.NO_WALKER), ("main_gone_sweep", StudyNote.NO_WALKER), ("wear", StudyNote.NO_WALKER),
        ("compare", StudyNote.NO_WALKER), ("crossing_low", StudyNote.NO_WALKER), ("wind", StudyNote.NO_WIND),
        ("ground", StudyNote.NO_GROUND), ("index", StudyNote.NO_GROUND), ("clearance", StudyNote.NO_GROUND),
        ("fall_gaps", StudyNote.NO_GROUND), ("marks", StudyNote.NOT_ASKED),
    ):
        found = study.get(name)
        assert isinstance(found, Missing), name
        assert found.note.kind is why, name
    assert Study(rigs.MAKERS["heron"]()).let_go.note.kind is StudyNote.NO_SLIDERS  # Every tape holds both.


def test_what_raises_is_not_kept() -> None:
    study = study_of("heron")
    calls = []

    def failing(study: Study) -> Any:
        calls.append(1)
        raise ValueError("no")

    each, compute = Study.RESULTS["meter"], Study.RESULTS["meter"].compute
    try:
        each.compute = failing
        for _ in range(2):
            with pytest.raises(ValueError, match="no"):
                study.get("meter")
    finally:
        each.compute = compute
    assert len(calls) == 2
    assert study.meter.value.shape[1] == 2


def test_a_name_that_is_no_result_is_refused() -> None:
    for more in ({"leave": {"nothing"}}, {"given": {"nothing": 1}}):
        with pytest.raises(KeyError, match="nothing"):
            Study(rigs.MAKERS["short"](), **more)


def test_the_scenes_own_ring_friction_reaches_every_ring_that_runs(tmp_path: Path) -> None:
    """In a loss of the main and in rub, as in motion: no second value of the same thing."""
    text = (SCENES / "heron_gap.toml").read_text() + '[use]\nfalls = ["30 m"]\n'
    (tmp_path / "usual.toml").write_text(text)
    (tmp_path / "given.toml").write_text(
        text + "[motion]\nring_friction = { value = 0.31, low = 0.3, high = 0.32 }\n"
    )
    told, plain = (
        Study(Scene.read(tmp_path / name), rub_steps=1, rub_levels=("value",)) for name in ("given.toml", "usual.toml")
    )
    friction = told.main_gone.ring_friction
    assert (friction.low, friction.value, friction.high) == (0.3, 0.31, 0.32)
    at, (moved, before) = told.gone_places.at, [each.gone_places.nothing_holds.turns for each in (told, plain)]
    assert np.array_equal(moved.free, before.free)
    assert np.all(np.abs(moved.far - at) <= np.abs(before.far - at) + 1e-9) and np.any(moved.far - at < before.far - at)
    falls = [each.wear.causes[RubCause.FALL].value.total for each in (told, plain)]
    assert falls[0] == pytest.approx(3.1 * falls[1]) and falls[1] > 0.0  # Work is friction times what presses.
