"""Random changes one after the other: none may break the session, blank the picture or lose the way back."""

from __future__ import annotations

import random
import tomllib
from pathlib import Path

import pytest

from linescope.app.session import Session
from linescope.errors import InputError
from tests.app.changes import ASKS, random_change
from tests.app.rigs import shipped


@pytest.mark.parametrize(("scene", "seed"), [
    ("heron_gap", 1), pytest.param("ptarmigan_step", 2, marks=pytest.mark.long),
    pytest.param("larkspur_ledge", 3, marks=pytest.mark.long),
])
def test_a_hundred_random_changes(scene: str, seed: int, tmp_path: Path) -> None:
    draw = random.Random(seed)
    session = Session(shipped(tmp_path, scene))
    session.settle()
    first, solved = session.document.text, 0
    for _ in range(100):
        try:
            if draw.random() < 0.1:
                session.ask(**draw.choice(ASKS))
            else:
                name, *arguments = random_change(draw)
                getattr(session, name)(*arguments)
        except InputError:
            pass
        session.settle()
        assert tomllib.loads(session.document.text) == session.document.data
        for name, variant in session.variants.items():
            assert variant.picture is not None
            solved += variant.error is None
            assert session.answers(name)["rows"]
        assert session.form()
        assert session.status()["title"] is not None
    assert solved > 10
    session.compare(False)
    while session.document.undo():
        pass
    assert session.document.text == first
