"""What comes over the socket and fits nothing is answered in words: no traceback, nothing changed."""

from __future__ import annotations

import asyncio
import math
from pathlib import Path
from typing import Any

import pytest

from linescope.app.asked import fitting
from linescope.app.page import Page
from linescope.errors import InputError

WRONG: list[tuple[list[Any], dict[str, Any]]] = [
    ([], {}),
    ([7], {}),
    ([["edit"]], {}),
    (["no such\x1b[31m thing"], {}),
    (["edit"], {}),
    (["edit", 3, 4], {}),
    (["edit", "title", "x", "y", "z"], {}),
    (["edit", "title"], {"colour": "red"}),
    (["edit", "nowhere.at.all", "1 m"], {}),
    (["move_walker", "far"], {}),
    (["move_walker", math.nan], {}),
    (["move_walker", math.inf], {}),
    (["move_walker", None], {}),
    (["pick", "tape", 1.5], {}),
    (["pick", "tape", True], {}),
    (["compare", "yes"], {}),
    (["ask"], {"state": 3}),
    (["remove", "taping.zones[1]"], {}),
    (["remove", {}], {}),
    (["open", 5], {}),
]


@pytest.fixture
def page(tmp_path: Path) -> Page:
    path = tmp_path / "scene.toml"
    path.write_text(Path("scenes/heron_gap.toml").read_text(encoding="utf-8"), encoding="utf-8")
    return Page(path)


def test_actions_that_fit_nothing_are_refused_in_words(page: Page) -> None:
    async def asked() -> list[Any]:
        return [await page.act(*arguments, **named) for arguments, named in WRONG]

    before = page.session.document.text
    for answer, call in zip(asyncio.run(asked()), WRONG, strict=True):
        assert set(answer) == {"error"} and answer["error"].isprintable(), (call, answer)
    assert page.session.document.text == before


@pytest.mark.parametrize("arguments", [[], ["brief", "x"], [3], [None]])
def test_jobs_that_fit_nothing_are_refused_in_words(page: Page, arguments: list[Any]) -> None:
    assert set(asyncio.run(page.start_job(*arguments, size="big"))) == {"error"}


@pytest.mark.parametrize("arguments", [
    ["move_tape"], ["move_tape", "3", 2.0], ["deepen", 1], ["lift", 1, 2.0], ["restyle", 1.5, "fixed wrap"],
    ["measured", [0, 0, 0]], ["measured", 3, 4], ["move_tape", 1, float("nan")],
])  # fmt: skip
def test_hands_that_fit_nothing_are_refused_in_words(page: Page, arguments: list[Any]) -> None:
    answer = asyncio.run(page.act(*arguments))
    assert set(answer) == {"error"} and answer["error"]


def test_what_fits_is_passed_on_whole() -> None:
    def walk(share: float | None, name: str = "", *, far: bool = False) -> None:
        """Something to call."""

    bound = fitting(walk, [1], {"far": True})
    assert (bound.args, bound.kwargs) == ((1,), {"far": True})
    assert fitting(walk, [None, "x"], {}).args == (None, "x")
    with pytest.raises(InputError, match="share"):
        fitting(walk, [False], {})
