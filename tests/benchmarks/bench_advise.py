"""Advice: how long until the first plan is handed out, looked at all along the line and checked by its clearance."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

from linescope.advise import Ask, Option, advise
from linescope.clearance import GroundIndex
from linescope.scene import Scene
from linescope.terrain import load_ground
from tests.advise.lines import wish
from tests.benchmarks.timing import Row, timed, within

SCENES = Path(__file__).parents[2] / "scenes"
WISHES = {
    "heron_gap": (
        wish("excess with the walker", "2 %"), wish("excess in a leash fall", "0 %"),
        wish("loops under the walker", "35 cm", "45 cm"), wish("ring if the main goes", at_most="12 m"),
    ),
    "larkspur_ledge": (
        wish("loops over ground", "30 cm", more='from = "5 m"\nto = "13 m"'),
        wish("feet over ground in a leash fall", "0 m", more='from = "21 m"\nto = "28 m"'),
        wish("feet over ground if the main goes", "3 m", more='from = "40 m"\nto = "52 m"'),
        wish("excess in a leash fall", "1 %"), wish("loops under the walker", at_most="45 cm"),
    ),
}


class _There(Exception):
    """The first plan was handed out."""


def first_plan(scene: Scene, index: GroundIndex) -> None:
    """Seek until it is there; draws and other plans follow after that.

    Parameters
    ----------
    scene : Scene
    index : GroundIndex
    """
    def found(option: Option) -> None:
        assert option.is_met and option.clearance is not None
        raise _There

    try:
        advise(scene, Ask(most=1), index=index, found=found)
    except _There:
        return
    raise AssertionError("no plan was found")


def rows() -> Iterator[Row]:
    """The first plan of a scene that has one, and all that is sought where clearances leave none."""
    for name, most, what, seek in (
        ("heron_gap", 15.0, "first plan of heron_gap", first_plan),
        ("larkspur_ledge", 60.0, "no plan of larkspur_ledge keeps its clearances too: the nearest", _nearest),
    ):
        path = SCENES / f"{name}.toml"
        scene = Scene(text=path.read_text(encoding="utf-8") + "\n".join(("", *WISHES[name])), path=path)
        index = GroundIndex(load_ground(scene.rig.ground, scene.rig.main_a, scene.rig.main_b))
        yield within(
            f"{what}, seconds of a processor",
            timed(lambda s=scene, i=index, f=seek: f(s, i), repeat=1, clock=time.process_time), most,
        )


def _nearest(scene: Scene, index: GroundIndex) -> None:
    advice = advise(scene, Ask(most=1), index=index)
    assert not advice.options and advice.nearest is not None
