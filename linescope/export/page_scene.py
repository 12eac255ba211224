"""What the page's viewer shows, as plain data: lines, tapes, bodies and envelopes of every state, ground to look at."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.events.main_gone import SIDES
from linescope.events.wind import Occupied, Side
from linescope.export.released_shape import released
from linescope.export.sheet_walk import above_ground, below_chord, height_words
from linescope.notes import Quantity, Spot, Term
from linescope.report.grids import pairs
from linescope.stage import alarms, dimensions, person
from linescope.stage.ground import Ground, Site
from linescope.stage.ring import backup, free_loop, hoop
from linescope.stage.theme import LIGHT, tape_look
from linescope.statics import Solution
from linescope.study import Study
from linescope.topics import FALLS, MAIN_GONE, WIND
from linescope.topics.state import most
from linescope.topics.wind import LINE, SIDE
from linescope.words import Words

Floats = NDArray[np.float64]

PER_BAY = 12  # Pieces of every loop.
PER_MAIN = 5  # Pieces of every segment of the main.
GROUND_TRIANGLES = 4000
FINE = 6000  # Triangles after cutting up large ones, which a painter could not sort.

THEME = LIGHT
UP = np.array([0.0, 0.0, 1.0])


def packed(values: Floats) -> str:
    """Numbers as little-endian 32-bit floats in base 64."""
    return base64.b64encode(np.ascontiguousarray(values, dtype="<f4").tobytes()).decode("ascii")


def packed_whole(values: NDArray[np.int64]) -> str:
    """Whole numbers as little-endian 32-bit ones in base 64."""
    return base64.b64encode(np.ascontiguousarray(values, dtype="<u4").tobytes()).decode("ascii")


@dataclass(frozen=True, eq=False, kw_only=True)
class _Maker:
    """Turns states into data, seen from anchor A so that 32 bits are enough."""

    study: Study
    measures: Words
    ground: Ground | None
    origin: Floats
    made: list[dict[str, Any]] = field(default_factory=list)

    def points(self, values: Floats) -> str:
        return packed(np.asarray(values) - self.origin)

    def point(self, value: Floats) -> list[float]:
        return [round(float(x), 4) for x in np.asarray(value) - self.origin]

    def wire(
        self, points: Floats, colour: str, width: float = 2.0, dashed: bool = False, front: bool = False
    ) -> dict[str, Any]:
        if len(points) == 2:
            points = points[0] + np.linspace(0.0, 1.0, 41)[:, None] * (points[1] - points[0])
        return {"p": self.points(points), "c": colour, "w": width, "d": dashed, "f": front}

    def chord(self) -> dict[str, Any]:
        rig = self.study.rig
        return self.wire(np.array([rig.main_a, rig.main_b]), "quiet", 1.5, True)

    def height(self, point: Floats) -> str:
        return height_words(float(above_ground(self.ground, point[None])[0]), self.measures)

    def solved(self, key: str, solution: Solution, title: str, **more: Any) -> dict[str, Any]:
        """A state with both lines."""
        rig, bays, measures = solution.rig, solution.bays, self.measures
        feet, say, walker = solution.walker_point, measures.say, rig.walker
        wires, labels = [self.chord()], []
        figures = [
            (say("page-main-a"), measures.force(solution.tension_a)),
            (say("page-main-b"), measures.force(solution.tension_b)),
        ]
        if feet is not None and rig.walker is not None:
            wires += [self.wire(wire.points, "leash", 1.6) for wire in (*person.walker(solution)[1], *hoop(solution))]
            wires += [self.wire(wire.points, "backup", 1.2, True) for wire in free_loop(solution, THEME, PER_BAY)]
            labels.append(
                {
                    "t": say("overview-walker", mass=Quantity(rig.walker.mass, "mass")),
                    "p": self.point(feet + rig.walker.height * UP),
                    "r": 0,
                    "a": True,
                    "w": True,
                }
            )
            figures += [
                (say("page-feet-chord"), measures.length(below_chord(solution, feet))),
                (say("page-feet-ground"), self.height(feet)),
            ]
        tight = alarms.tight_bays(solution)
        depths = measures.range(float(bays.loop_depth.min()), float(bays.loop_depth.max()), "length")
        figures += [
            (say("page-loops"), say("page-no-loops") if len(tight) == len(bays.excess) else depths),
            (say("page-excess"), measures.share(float(bays.excess.min()))),
            (say("page-backup"), measures.force(most(solution.backup))),
        ]
        state: dict[str, Any] = {
            "key": key,
            "title": title,
            "where": say("page-walker", place=measures.place(walker.at)) if walker else "",
            "main": self.points(solution.main.sample(PER_MAIN).points),
            "backup": self.points(backup(solution, PER_BAY)),
            "tapes": self.points(solution.tape_points),
            "feet": None if feet is None else self.point(feet),
            "hanging": [],
            "wires": wires,
            "labels": labels,
            "pull": {"A": measures.force(solution.tension_a), "B": measures.force(solution.tension_b)},
            "deep": dimensions.walker_bay(solution) if feet is not None else dimensions.deepest_bay(solution),
            "bays": [_bay(solution, k, measures) for k in range(len(bays.excess))],
            "figures": figures,
        }
        return state | more

    def fall(self) -> dict[str, Any] | None:
        """The rig at the lowest point of a leash fall, with the lowest feet of falls all along the line."""
        fall, rig = self.study.fall, self.study.rig
        if not fall or rig.walker is None:
            return None
        figures, words = fall.figures, self.measures
        ring, top, foot = figures.ring_lowest[0], figures.low_top[0], figures.low_foot[0]
        depth = Quantity(below_chord(fall.deepest, foot), "length", "up")
        state = self.solved(
            "fall", fall.deepest, words.say("falls-page", at=Spot(float(figures.at[0]))), feet=None,
            backup=self.points(backup(fall.deepest, PER_BAY, behind=0.0)),
        )  # fmt: skip
        state["wires"] = [self.chord(), self.wire(np.array([ring, foot + rig.walker.hang * UP]), "leash", 2.0)]
        state["hanging"] = [[self.point(top), self.point(foot)]]
        state["labels"] = [{"t": words.say("falls-page-foot", depth=depth), "p": self.point(foot), "r": 0}]
        sweep = self.study.fall_sweep
        if sweep:
            state["wires"].append(self.wire(sweep.low_foot, "alarm", 2.5, front=True))
            middle = self.point(sweep.low_foot[len(sweep.at) // 4])
            state["labels"].append({"t": words.say("falls-page-anywhere"), "p": middle, "r": 1})
        state["figures"] = pairs(FALLS, self.study, words)
        state["where"] = ""
        return state

    def gone(self) -> dict[str, Any] | None:
        """The backup alone with the walker at rest on it, how far energy lets him go, and the other side of it."""
        gone, rig = self.study.main_gone, self.study.rig
        if not gone or rig.walker is None:
            return None
        measures, side = self.measures, gone.nothing_holds
        rest, low = side.rest.ring[0], side.lowest.ring[0]
        at_rest, at_low = released(self.study.planned, rest), released(self.study.planned, low)
        top, foot = side.rest.top[0], side.rest.foot[0]
        leashes = [
            np.array([ring, end + rig.walker.hang * UP]) for ring, end in ((rest, foot), (low, side.lowest.foot[0]))
        ]
        wires = [
            self.chord(),
            self.wire(at_low.points, "backup", 2.0, True),
            *(self.wire(one, "leash", 2.0) for one in leashes),
        ]
        labels = [
            {
                "t": measures.say("main-gone-page-rest", depth=Quantity(float(side.rest.depth[0]), "length")),
                "p": self.point(rest),
                "r": 0,
            },
            {
                "t": measures.say("main-gone-page-foot", side=Term(SIDES[side.name])),
                "p": self.point(side.lowest.foot[0]),
                "r": 1,
            },
        ]
        hanging = [
            [self.point(top), self.point(foot)],
            [self.point(side.lowest.top[0]), self.point(side.lowest.foot[0])],
        ]
        wires.append(self.wire(side.floor.most_foot[0], "alarm", 2.5))
        if gone.tied:
            tied = gone.ties_hold
            wires.append(self.wire(tied.floor.most_foot[0], "state", 2.5, True))
            hanging.append([self.point(tied.lowest.top[0]), self.point(tied.lowest.foot[0])])
            text = measures.say("main-gone-page-foot", side=Term(SIDES[tied.name]))
            labels.append({"t": text, "p": self.point(tied.lowest.foot[0]), "r": 1})
        words = measures
        figures = pairs(MAIN_GONE, self.study, words)
        pull = words.say("main-gone-page-pull", force=Quantity(float(side.rest.tension[0]), "force"))
        return {
            "key": "gone", "title": words.say("main-gone-page"),
            "where": "", "main": None, "backup": self.points(at_rest.points), "tapes": None, "feet": None,
            "hanging": hanging, "wires": wires, "labels": labels,
            "pull": {"A": pull, "B": pull},
            "deep": 0, "bays": [], "figures": figures, "front": True,
        }  # fmt: skip


def _bay(solution: Solution, k: int, words: Words) -> list[Any]:
    """Depth of a loop, everything said of it, and whether there is none."""
    bays = solution.bays
    tight = bool(bays.excess[k] < 0)
    depth = words.say("frame-tight") if tight else words.length(float(bays.loop_depth[k]))
    text = words.say(
        "page-bay", number=k + 1, total=len(bays.excess), depth=depth, excess=words.share(float(bays.excess[k])),
        main=words.force(float(bays.main_tension[k])), backup=words.force(float(bays.backup_tension[k])),
    )
    return [depth, text, tight]


def scene_data(study: Study, measures: Words, ground: Site | None) -> dict[str, Any]:
    """Everything the viewer needs, ready for JSON.

    Parameters
    ----------
    study : Study
    measures : Words
    ground : Site or None
    """
    rig = study.rig
    origin = np.array(rig.main_a)
    maker = _Maker(study=study, measures=measures, ground=None if ground is None else ground.near, origin=origin)
    states = _states(maker)
    looks = [tape_look(tape.family) for tape in study.planned.layout.tapes]
    data: dict[str, Any] = {
        "colours": dict(THEME.colours),
        "rgb": {role: list(THEME.rgb(role)) for role in ("ground", "walker")},
        "lengths": [[m, measures.say("page-scale", length=text)] for m, text in measures.round_lengths()],
        "hint": measures.say("page-hint"),
        "perBay": PER_BAY,
        "anchors": [{"n": name, "p": maker.point(point)} for name, point in (("A", rig.main_a), ("B", rig.main_b))],
        "tapes": [
            {"t": measures.say("frame-tape", number=tape.number), "s": look.symbol, "c": look.colour}
            for tape, look in zip(study.planned.layout.tapes, looks, strict=True)
        ],
        "ribbons": {
            name: {
                "width": kind.width, "thick": kind.thickness, "top": THEME.colours[name],
                "under": THEME.colours[f"{name}_under"],
            }
            for name, kind in (("main", rig.main), ("backup", rig.backup))
        },
        "states": states,
        "first": "taped" if study.walked else "standing",
        "ground": _ground(ground, origin, rig.span),
        "body": _body(study.walked),
    }  # fmt: skip
    return data


def _states(maker: _Maker) -> list[dict[str, Any]]:
    study, measures = maker.study, maker.measures
    states = [maker.solved("taped", one, _title("as-taped", one, measures)) for one in study.walked]
    states.append(maker.solved("standing", study.standing, _title("as-taped", study.standing, measures)))
    states.append(maker.solved("settled", study.settled, _title("settled", study.settled, measures)))
    if study.wind:
        loaded: Occupied = "walker" if study.rig.walker is not None else "empty"
        sides: tuple[tuple[str, Side], ...] = (("wind", "as given"), ("back", "opposite"))
        words = measures
        for key, side in sides:
            case = study.wind.case(loaded, side)
            title = words.say(
                "wind-state", side=SIDE[side].removeprefix("wind-side-"), line=Term(LINE[loaded]), **WIND.values(study)
            )
            state = maker.solved(key, case.gust, title)
            state["figures"] += pairs(WIND, study, words, only=(loaded, side))
            state["where"] = ""
            states.append(state)
    return [*states, *(state for state in (maker.fall(), maker.gone()) if state is not None)]


def _title(state: str, solution: Solution, words: Words) -> str:
    walker = solution.rig.walker
    where = words.say("frame-nobody") if walker is None else words.say("page-walker", place=words.place(walker.at))
    return words.say(f"page-title-{state}", where=where)


def _body(walked: Sequence[Solution]) -> dict[str, str] | None:
    """The standing walker, seen from his feet."""
    for solution in walked:
        feet = solution.walker_point
        if feet is not None:
            surface = next(one for one in person.walker(solution)[0] if one.name == "walker")
            return {"p": packed(surface.points - feet), "t": packed_whole(surface.triangles)}
    return None


def _ground(ground: Site | None, origin: Floats, span: float) -> dict[str, str] | None:
    """Ground round the line, thinned, and its large triangles cut up."""
    if ground is None:
        return None
    from linescope.terrain import Terrain, thin

    seen = ground.picture
    small = thin(Terrain(vertices=seen.vertices, faces=seen.faces, source="ground"), GROUND_TRIANGLES)
    points, triangles = cut_up(small.vertices, small.faces, span / 18, FINE)
    return {"p": packed(points - origin), "t": packed_whole(triangles)}


def cut_up(points: Floats, triangles: NDArray[np.int64], longest: float, most: int) -> tuple[Floats, NDArray[np.int64]]:
    """Triangles whose longest edge is cut in two until it is short enough or there are too many.

    Parameters
    ----------
    points : (n, 3) array
        [m]
    triangles : (t, 3) int array
    longest : float
        [m]
    most : int
        Triangles.
    """
    corners = points[triangles]
    while len(corners) < most:
        edges = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2)
        worst = np.argmax(edges, axis=1)
        size = edges[np.arange(len(corners)), worst]
        long = np.flatnonzero(size > longest)
        if not len(long):
            break
        long = long[np.argsort(-size[long])][: most - len(corners)]
        k = worst[long]
        a, b, c = (corners[long, (k + step) % 3] for step in range(3))
        middle = (a + b) / 2
        halves = np.stack([a, middle, c], axis=1), np.stack([middle, b, c], axis=1)
        corners = np.concatenate([np.delete(corners, long, axis=0), *halves])
    found, index = np.unique(np.round(corners.reshape(-1, 3), 4), axis=0, return_inverse=True)
    return found, index.reshape(-1, 3)
