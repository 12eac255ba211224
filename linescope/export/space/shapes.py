"""Lines, tapes and bodies of states as arrays of one topology, so that a viewer can go from any of them to any other.

Each bay has the same number of points at the same shares of its length, denser at its ends, where tapes are: tape k is
point k x pieces of both lines, whatever slides.  The foot of a walker is a point of the main.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.export.space.container import Container
from linescope.motion.arrays import CUT_TIME
from linescope.motion.run import Motion
from linescope.stage import moving, person
from linescope.stage.faces import points_at
from linescope.stage.relief import LineFrame
from linescope.stage.ring import FINE, lifted, ring_of
from linescope.statics import Solution
from linescope.study import Study
from linescope.words import Words

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])

STEP, FAST = 0.0025, 0.005  # Of places, kept so exactly, and of places in films of motion [m].
FORCE, DEPTH = 10.0, 0.005  # Of forces and depths that colour a line [N], [m].
MOMENTS = 0.01  # Of times [s].
PER_MAIN = 6  # Pieces of the main in a bay.
FEW = 40  # With fewer bays than this, loops have more points.
LEASH = 9  # Points of a leash.


@dataclass(frozen=True, eq=False, kw_only=True)
class BayPoints:
    """Where the points of both lines are in a bay.

    Attributes
    ----------
    bays : int
    main, backup : (k + 1,) array
        Shares of a bay's unstretched length, 0 and 1 among them.  [-]
    """

    bays: int
    main: Floats
    backup: Floats

    @classmethod
    def of(cls, study: Study) -> BayPoints:
        """For a rig: ends of bays denser, as half turns of a circle seen from the side."""
        bays = len(study.planned.layout.tapes) + 1
        return cls(bays=bays, main=_turned(PER_MAIN), backup=_turned(16 if bays < FEW else 10))

    def count(self, line: str) -> int:
        """Points of the "main" or the "backup"."""
        return self.bays * (len(getattr(self, line)) - 1) + 1

    def bay_of(self, line: str) -> NDArray[np.int64]:
        """(n,) bay of each point, the first where two meet."""
        return np.maximum(np.arange(self.count(line)) - 1, 0) // (len(getattr(self, line)) - 1)


def _turned(pieces: int) -> Floats:
    return np.asarray(0.5 - 0.5 * np.cos(np.linspace(0.0, math.pi, pieces + 1)))


def edges(solution: Solution, line: str) -> Floats:
    """(bays + 1,) material coordinates of anchors and tapes on a line, as they are in a state.  [m]"""
    shape = solution.main if line == "main" else solution.backup
    starts = np.searchsorted(shape.bay, np.arange(int(shape.bay[-1]) + 1))
    return np.append(shape.coordinate[starts], shape.coordinate[-1])


def coordinates(solution: Solution, mesh: BayPoints, line: str) -> Floats:
    """(n,) material coordinates of a mesh's points on a line; the foot of a walker among those of the main.  [m]"""
    ends, shares = edges(solution, line), getattr(mesh, line)
    rows = np.tile(shares, (mesh.bays, 1))
    shape = solution.main
    if line == "main" and solution.walker_point is not None:
        node = int(np.argmin(np.linalg.norm(shape.nodes - solution.walker_point, axis=1)))
        foot = float(shape.coordinate[node])
        bay = int(np.clip(np.searchsorted(ends, foot, side="right") - 1, 0, mesh.bays - 1))
        share = (foot - ends[bay]) / (ends[bay + 1] - ends[bay])
        if 0.0 < share < 1.0:
            inside = 1 + int(np.argmin(np.abs(shares[1:-1] - share)))
            # The points before and behind keep their order and their distances' proportions.
            rows[bay] = np.interp(np.arange(len(shares)), [0, inside, len(shares) - 1], [0.0, share, 1.0])
    inner = ends[:-1, None] + rows * np.diff(ends)[:, None]
    return np.append(inner[:, :-1].ravel(), ends[-1])


def main_points(solution: Solution, mesh: BayPoints) -> Floats:
    """(n, 3) the main.  [m]"""
    return points_at(solution.main, coordinates(solution, mesh, "main"))


def backup_points(solution: Solution, mesh: BayPoints, *, ring: bool = True) -> Floats:
    """(m, 3) the backup, through the walker's ring where that lifts it, if asked for.  [m]"""
    points = points_at(solution.backup, coordinates(solution, mesh, "backup"))
    found = ring_of(solution) if ring else None
    if found is not None and found.gathers:
        piece = lifted(solution, found, FINE + 1)
        way = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(piece, axis=0), axis=1))))
        pieces = len(mesh.backup) - 1
        shifted = np.array([np.interp(mesh.backup * way[-1], way, piece[:, axis]) for axis in range(3)]).T
        inside = 1 + int(np.argmin(np.linalg.norm(shifted[1:-1] - found.through, axis=1)))
        shifted[inside] = found.through
        points[found.bay * pieces : (found.bay + 1) * pieces + 1] = shifted
    return points


def loops_of(solution: Solution) -> Floats:
    """(bays,) depth of each loop; 0 where the backup is tight.  [m]"""
    return np.where(solution.bays.excess < 0.0, 0.0, solution.bays.loop_depth)


class StateShapes:
    """Turns states into what the JSON holds of them, with their arrays in a container.

    Parameters
    ----------
    container : Container
    study : Study
    words : Words
    """

    def __init__(self, container: Container, study: Study, words: Words) -> None:
        self.file, self.study, self.words = container, study, words
        self.mesh = BayPoints.of(study)

    @property
    def frame(self) -> LineFrame:
        """In which all places are given."""
        return self.file.frame

    def place(self, point: Floats) -> list[float]:
        """A place for the JSON.  [m]"""
        return [round(float(x), 4) for x in self.frame.local(np.asarray(point, dtype=float)[None])[0]]

    def line(self, points: Floats) -> list[list[float]]:
        """A few places for the JSON.  [m]"""
        found: list[list[float]] = np.round(self.frame.local(np.asarray(points, dtype=float)), 3).tolist()
        return found

    def places(self, points: Sequence[Floats] | Floats, *, rows: bool = True, step: float = STEP) -> dict[str, Any]:
        """(f, n, 3) places of f frames, packed.  [m]"""
        stack = np.asarray(points, dtype=float)
        local = self.frame.local(stack.reshape(-1, 3)).reshape(stack.shape)
        return self.file.packed(local, step, rows=rows)

    def one_each(self, points: Sequence[Floats]) -> dict[str, Any]:
        """One place a frame, packed.  [m]"""
        return self.places(np.asarray(points)[:, None], rows=False)

    def texts(self, texts: Sequence[Sequence[str]]) -> dict[str, Any]:
        """(f, n) texts, as numbers in a list of those there are."""
        listed = list(dict.fromkeys(text for row in texts for text in row))
        number = {text: k for k, text in enumerate(listed)}
        return {"t": self.file.indexed(np.array([[number[text] for text in row] for row in texts])), "of": listed}

    def still(
        self, solutions: Sequence[Solution], *, ring: bool = True, bays: bool = True, forces: bool = True
    ) -> dict[str, Any]:
        """States at rest, or of a walk, as one shape.

        Parameters
        ----------
        solutions : sequence of Solution
            Of one rig, each one frame.
        ring : bool
            Whether the backup runs through the ring.
        bays : bool
            With figures of each bay.
        forces : bool
            With the tension in each bay in words.
        """
        words, mesh = self.words, self.mesh
        loops = [backup_points(each, mesh, ring=ring) for each in solutions]
        walked = all(each.walker_point is not None for each in solutions)
        numbers = np.arange(1, mesh.bays)
        shape: dict[str, Any] = {
            "topology": "bay",
            "main": self.places([main_points(each, mesh) for each in solutions]),
            "backup": self.places(loops),
            "parted": None,
            "tapes": {
                "main": (numbers * (len(mesh.main) - 1)).tolist(),
                "backup": (numbers * (len(mesh.backup) - 1)).tolist(), "gone": None,
            },
            "feet": None, "ring": None, "tie": None, "leash": None, "pose": None, "fallen": None,
            "pull": self.pull([
                (each.tension_a, each.tension_b, float(each.backup.tension_start[0]),
                 float(each.backup.tension_end[-1]))
                for each in solutions
            ]),
        }
        if walked:
            shape |= self._walker(solutions)
        if bays:
            tight = words.say("frame-tight")
            depth = np.array([np.where(each.bays.excess < 0.0, np.nan, each.bays.loop_depth) for each in solutions])
            shape |= {
                "depth": self.file.packed(depth, DEPTH),
                "depthText": self.texts(
                    [[words.length(float(d)) if math.isfinite(d) else tight for d in row] for row in depth]
                ),
                "tension": {}, "tensionText": {},
                "above": self.file.packed(self.heights(loops), 0.01),
            }
            for line in ("main", "backup"):
                pull = np.array([getattr(each.bays, f"{line}_tension") for each in solutions])
                shape["tension"][line] = self.file.packed(pull, FORCE)
                if forces:
                    shape["tensionText"][line] = self.texts([[words.force(float(t)) for t in row] for row in pull])
        return shape

    def _walker(self, solutions: Sequence[Solution]) -> dict[str, Any]:
        rig = self.study.rig
        assert rig.walker is not None
        feet = np.array([each.walker_point for each in solutions])
        rings = [ring for each in solutions if (ring := ring_of(each))]
        leashes = [person.leash(rig.walker, *each) for each in zip(feet, rings, strict=True)]
        return {
            "feet": self.one_each(list(feet)), "ring": self.one_each([ring.centre for ring in rings]),
            "tie": self.one_each(list(feet + rig.walker.tie_in_height * UP)), "pose": "standing",
            "leash": self.places([_thinned(each, LEASH) for each in leashes]),
        }

    def heights(self, points: Sequence[Floats]) -> Floats:
        """(f, bays) least height of points of the backup over known ground in each bay; nan where none is.  [m]"""
        above = self.study.above_ground(np.asarray(points))
        pieces = len(self.mesh.backup) - 1
        starts = np.arange(self.mesh.bays) * pieces
        filled = np.where(np.isnan(above), np.inf, above)
        least = np.min([np.minimum.reduceat(filled[:, :-1], starts, axis=1), filled[:, starts + pieces]], axis=0)
        return np.where(np.isfinite(least), least, np.nan)

    def pull(self, forces: Sequence[Sequence[float]]) -> dict[str, Any]:
        """Tensions at both anchors of both lines, frame by frame, as numbers [N] and texts."""
        table = np.asarray(forces, dtype=float)
        found: dict[str, Any] = {}
        for column, name in enumerate(("mainA", "mainB", "backupA", "backupB")):
            found[name] = self.file.packed(table[:, column : column + 1], FORCE)
            found[f"{name}Text"] = self.texts([[self.words.force(float(value))] for value in table[:, column]])
        return found

    def motion(self, motion: Motion, times: Floats) -> dict[str, Any]:
        """A run in time as one shape, with points of its own.

        Parameters
        ----------
        motion : Motion
        times : (f,) array
            [s]
        """
        model, rig = motion.mesh.model, motion.mesh.solution.rig
        loaded = rig.walker is not None
        points = np.array([at_time(motion, float(time)) for time in times])
        main, backup = points[:, : model.main], points[:, model.main : model.slots]
        frame = [len(times) if np.isnan(t) else int(np.searchsorted(times, t)) for t in motion.tape_time]
        gone = [None if k >= len(times) else k for k in frame]
        grid = motion.mesh.grid.tapes
        cut = int(np.searchsorted(times, model.numbers[CUT_TIME])) if model.cut >= 0 else len(times)
        moment = np.clip(np.searchsorted(motion.main_a.time, times), 0, len(motion.main_a.time) - 1)
        shape: dict[str, Any] = {
            "topology": "own", "main": self.places(main, step=FAST),
            "backup": self.places(backup, step=FAST),
            "parted": {"after": int(model.cut), "frame": cut} if cut < len(times) else None,
            "tapes": {"main": grid.tolist(), "backup": grid.tolist(), "gone": gone},
            "feet": None, "ring": None, "tie": None, "leash": None, "pose": None, "fallen": None,
            "pull": self.pull(np.column_stack([
                getattr(motion, name).mean[moment] for name in ("main_a", "main_b", "backup_a", "backup_b")
            ]).tolist()),
        }
        if loaded:
            moments = [moving.moment(motion, float(time)) for time in times]
            assert rig.walker is not None
            legs = np.array([now.tie_in[2] - now.foot[2] for now in moments])
            least, most = rig.walker.tie_in_height, rig.walker.hang
            fallen = np.clip((legs - least) / (most - least), 0.0, 1.0) if abs(most - least) > 1e-9 else 0.0 * legs
            shape |= {
                "feet": self.one_each([now.foot for now in moments]),
                "ring": self.one_each([now.ring for now in moments]),
                "tie": self.one_each([now.tie_in for now in moments]),
                "pose": "falls", "fallen": self.file.packed(fallen[:, None], 0.01),
                "leash": self.places([leash(now.tie_in, now.ring, rig.walker.leash) for now in moments]),
            }
        return shape


def at_time(motion: Motion, time: float) -> Floats:
    """(n, 3) all points of a run at a time, straight between its frames.  [m]

    Parameters
    ----------
    motion : Motion
    time : float
        [s]
    """
    frames = motion.frame_time
    later = int(np.clip(np.searchsorted(frames, time), 1, len(frames) - 1))
    share = float(np.clip((time - frames[later - 1]) / (frames[later] - frames[later - 1]), 0.0, 1.0))
    return np.asarray(motion.points[later - 1] + share * (motion.points[later] - motion.points[later - 1]))


def leash(tie_in: Floats, ring: Floats, length: float) -> Floats:
    """(k, 3) a leash between two points, slack or straight.  [m]"""
    return _thinned(person.slack(tie_in, ring, length), LEASH)


def _thinned(points: Floats, count: int) -> Floats:
    return np.asarray(points[np.round(np.linspace(0, len(points) - 1, count)).astype(int)])
