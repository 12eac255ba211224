"""Pictures of the rigs of this folder, and what stands in them."""

from __future__ import annotations

import numpy as np

from linescope.stage import brief_of, build
from linescope.stage.items import Panel, Stage
from linescope.stage.page import Brief
from tests.stage import rigs


def picture(name: str, view: str, **more: object) -> Stage:
    solution = rigs.solved(name)
    about = {"ground": rigs.gorge(solution.rig), "study": rigs.study(name)} | more
    return build(solution, view=view, **about)


def wire(panel: Panel, name: str) -> np.ndarray:
    (found,) = [wire for wire in panel.wires if wire.name == name]
    return found.points


def texts(panel: Panel) -> list[str]:
    return [label.text for label in panel.labels]


def brief_for(name: str) -> Brief:
    solution = rigs.solved(name)
    return brief_of(solution, ground=rigs.gorge(solution.rig), study=rigs.study(name))
