"""What is sent to the page: the same numbers as the solver's, little of it, ground thinned and only once."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from linescope.app.engine import GROUND_TRIANGLES, Engine, StateAsked
from linescope.app.frames import PER_LOOP, PER_MAIN, Parcel, fingerprint, ground_of, parcel_of
from linescope.app.session import Session
from linescope.stage.ring import backup
from linescope.words import Words
from tests.app.rigs import hundred_tapes, shipped, written


def frame(session: Session) -> Parcel:
    session.settle()
    assert session.variant.picture is not None
    return parcel_of(session.variant.picture, Words())


def digests(session: Session) -> dict[str, str]:
    """A fingerprint of every part, to tell which changed."""
    return {name: fingerprint(part) for name, part in frame(session).parts.items()}


def test_lines_and_tapes_are_the_solvers_to_a_hundredth_of_a_millimetre(tmp_path: Path) -> None:
    session = Session(shipped(tmp_path, "larkspur_ledge"))
    sent = frame(session)
    assert session.variant.picture is not None
    solution = session.variant.picture.solution
    main = solution.main.sample(PER_MAIN).points
    for name, line in (("main", main), ("backup", backup(solution, PER_LOOP))):
        points = np.frombuffer(sent.parts[name], "<f4").reshape(-1, 3)
        assert np.abs(points - (line - solution.rig.main_a)).max() < 1e-5
    tapes = np.frombuffer(sent.parts["tapes"], "<f4").reshape(-1, 4)
    assert np.abs(tapes[:, :3] - (solution.tape_points - solution.rig.main_a)).max() < 1e-5
    assert [sent.meta["families"][int(k)]["name"] for k in tapes[:, 3]] == [t.family for t in solution.layout.tapes]


def test_the_middle_of_every_loop_is_at_its_depth(tmp_path: Path) -> None:
    """Read back from the bytes alone, on a level rig: chord middle minus loop middle is the loop's depth."""
    session = Session(written(tmp_path, hundred_tapes()))
    session.edit("walker.mass", "1 kg")
    sent = frame(session)
    assert session.variant.picture is not None
    backup = np.frombuffer(sent.parts["backup"], "<f4").reshape(-1, 3)
    ends = backup[::PER_LOOP]
    middles = backup[PER_LOOP // 2 :: PER_LOOP]
    depth = 0.5 * (ends[:-1, 2] + ends[1:, 2]) - middles[:, 2]
    assert depth[10:40] == pytest.approx(session.variant.picture.solution.bays.loop_depth[10:40], abs=2e-4)


def test_a_change_of_a_hundred_tape_rig_is_small(tmp_path: Path) -> None:
    session = Session(written(tmp_path, hundred_tapes()))
    sent = frame(session)
    assert sum(len(part) for part in sent.parts.values()) < 120_000


def test_moving_the_walker_in_wind_leaves_ground_and_faces_unsent(tmp_path: Path) -> None:
    session = Session(shipped(tmp_path, "larkspur_ledge"))
    before = digests(session)
    assert session.variant.picture is not None
    ground = session.variant.picture.ground
    session.move_walker(0.3)
    after = digests(session)
    assert {name for name in before if before[name] != after[name]} == {
        "main", "backup", "free_loop", "tapes", "body", "leash",
    }
    assert session.variant.picture.ground is ground


def test_changing_only_what_is_said_changes_no_geometry(tmp_path: Path) -> None:
    session = Session(shipped(tmp_path, "larkspur_ledge"))
    before = digests(session)
    session.edit("title", "Another name")
    session.edit("clearance.body", "4 m")
    assert digests(session) == before


def test_large_ground_is_thinned_for_the_picture(tmp_path: Path) -> None:
    n = 160
    x, y = np.meshgrid(np.linspace(-10, 112, n), np.linspace(-40, 40, n), indexing="ij")
    z = -30.0 + 2.0 * np.sin(0.3 * x) * np.cos(0.2 * y)
    index = np.arange(n * n).reshape(n, n)
    quads = np.stack([index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]], axis=-1).reshape(-1, 4) + 1
    lines = [f"v {a:.3f} {b:.3f} {c:.3f}" for a, b, c in zip(x.ravel(), y.ravel(), z.ravel(), strict=True)]
    lines += [f"f {a} {b} {c}\nf {a} {c} {d}" for a, b, c, d in quads]
    (tmp_path / "ground.obj").write_text("\n".join(lines), encoding="utf-8")
    session = Session(written(tmp_path, hundred_tapes()))
    session.take_mesh("ground.obj")
    session.settle()
    assert session.variant.error is None
    picture = session.variant.picture
    assert picture is not None
    assert picture.ground is not None
    assert 0 < len(picture.ground.faces) <= GROUND_TRIANGLES < 2 * len(quads)
    parts = ground_of(picture)
    points = np.frombuffer(parts["ground"], "<f4").reshape(-1, 3)
    faces = np.frombuffer(parts["ground_faces"], "<u4").reshape(-1, 3)
    assert faces.max() < len(points)
    assert -33.0 < points[:, 2].min() < points[:, 2].max() < -27.0
    section = np.frombuffer(parts["section"], "<f4").reshape(-1, 3)
    assert np.abs(section[:, 1]).max() < 1e-3


def test_ground_parts_are_made_once(tmp_path: Path) -> None:
    session = Session(shipped(tmp_path, "heron_gap"))
    session.settle()
    document, engine, made = session.document, Engine(), []
    for share in (None, 0.2, 0.4):
        outcome = engine.run(document.scene, StateAsked(walker=share))
        assert outcome.picture is not None
        engine.ground_parts(outcome.picture, lambda picture: made.append(picture) or ground_of(picture))  # type: ignore[func-returns-value]
    assert len(made) == 1
