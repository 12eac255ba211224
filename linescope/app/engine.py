"""From the text of a scene to a solved picture, fast enough to follow a hand: layouts and ground are kept."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from linescope.errors import LinescopeError, SceneError, TerrainError
from linescope.rig import Inputs, Rig
from linescope.scene import Scene
from linescope.statics import Plan, Solution
from linescope.study import Air, State, Study
from linescope.terrain.model import Terrain

if TYPE_CHECKING:
    from linescope.clearance import GroundIndex
    from linescope.events.wind import Side

STATES: tuple[State, ...] = ("as taped", "settled")
AIRS: tuple[Air, ...] = ("still", "steady", "gust")
SIDES: tuple[Side, ...] = ("as given", "opposite")

_NOT_LAID_OUT = ("title", "description", "walker", "wind", "ground", "clearance", "format")


@dataclass(frozen=True, kw_only=True)
class StateAsked:
    """Which state of the rig is looked at.

    Attributes
    ----------
    state : {"as taped", "settled"}
    air : {"still", "steady", "gust"}
    side : {"as given", "opposite"}
        Of the wind.
    walker : float or None
        Look at the walker at this share of the straight line from A to B, instead of where the scene puts him.  [-]
    """

    state: State = "as taped"
    air: Air = "still"
    side: Side = "as given"
    walker: float | None = None


@dataclass(frozen=True, eq=False, kw_only=True)
class SolvedRig:
    """A solved rig with its ground.

    Attributes
    ----------
    rig : Rig
    inputs : Inputs
    solution : Solution
    planned : Plan
    asked : StateAsked
    study : Study
        Of the rig as it is looked at, without what takes long.
    ground : Terrain or None
    """

    rig: Rig
    inputs: Inputs
    solution: Solution
    planned: Plan
    asked: StateAsked
    study: Study
    ground: Terrain | None


@dataclass(frozen=True, eq=False, kw_only=True)
class Attempt:
    """What one try gave: a picture, or the reason why there is none."""

    picture: SolvedRig | None = None
    error: LinescopeError | None = None


class Engine:
    """Solves the scenes of one variant, one after the other.

    Everything that a change leaves as it was is kept from the last time: the layout when only the walker or the
    wind changes, the ground as long as its keys, its file and the anchors are the same.
    """

    def __init__(self) -> None:
        self._plan: tuple[str, Plan] | None = None
        self._ground: tuple[str, Terrain, GroundIndex] | None = None

    def run(self, scene: Scene, asked: StateAsked) -> Attempt:
        """Load and solve; every deliberate error becomes the reason of an attempt without picture."""
        try:
            rig, data = scene.rig, scene.tried_data
            if asked.walker is not None and rig.walker is not None:
                rig = rig.with_walker_at(min(max(asked.walker, 0.001), 0.999) * rig.span)
            key = json.dumps({k: v for k, v in data.items() if k not in _NOT_LAID_OUT}, default=str)
            given: dict[str, Any] = self._ground_of(rig, data)
            if self._plan is not None and self._plan[0] == key:
                given["planned"] = self._plan[1]
            study = Study(rig, state=asked.state, given=given, leave=Study.SLOW)
            planned, solution = study.planned, study.solution_in(asked.air, asked.side)
            self._plan = (key, planned)
        except LinescopeError as error:
            return Attempt(error=error)
        return Attempt(
            picture=SolvedRig(
                rig=rig, inputs=scene.inputs, solution=solution, planned=planned, asked=asked, study=study,
                ground=given.get("ground"),
            )
        )

    def _ground_of(self, rig: Rig, data: dict[str, Any]) -> dict[str, Any]:
        """The ground and its index, as results of a study; nothing where the scene has none."""
        if rig.ground is None:
            return {}
        stamp = 0
        if rig.ground.path is not None:
            try:
                stamp = rig.ground.path.stat().st_mtime_ns
            except OSError as error:
                raise SceneError("the ground's file cannot be read", key="ground.file", found=str(error)) from error
        key = json.dumps([data["ground"], data["anchors"], str(rig.ground.path), stamp], default=str)
        if self._ground is None or self._ground[0] != key:
            from linescope.clearance import GroundIndex
            from linescope.terrain.load import load_ground

            try:
                whole = load_ground(rig.ground, rig.main_a, rig.main_b)
                self._ground = (key, whole, GroundIndex(whole))
            except TerrainError as error:
                names = ("kind", "unit", "up", "turn", "shift", "half_width", "cell", "degrees", "max_edge")
                name = error.key if error.key in names else ""
                raise SceneError(
                    error.problem, file=error.file, key=f"ground.{name}" if name else "ground",
                    found=error.found, allowed=error.allowed,
                ) from error
        return {"ground": self._ground[1], "index": self._ground[2]}
