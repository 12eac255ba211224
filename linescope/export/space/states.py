"""The states that can be looked at: empty, a walker anywhere, settled, and what happens in time as films."""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.fall_gaps import fall_gaps
from linescope.clearance.finding import anchor_zone
from linescope.events.fall import LeashFallSweep
from linescope.export.film_motion import play_times
from linescope.export.released_shape import released
from linescope.export.sheet_walk import below_chord, height_words
from linescope.export.space.findings import Grade, kept
from linescope.export.space.layers import rub_of
from linescope.export.space.shapes import FORCE, MOMENTS, StateShapes, at_time
from linescope.motion.arrays import HELD
from linescope.motion.ground import Touched, touched
from linescope.motion.gust import swings
from linescope.motion.notes import PEAKS
from linescope.motion.run import Motion
from linescope.notes import Quantity, Spot, Stretches, Term
from linescope.report.grids import pairs
from linescope.stage import feet, moving
from linescope.stage.ring import backup
from linescope.statics import Solution, walked
from linescope.study import Study
from linescope.topics import FALLS, MAIN_GONE, WIND
from linescope.topics.state import most
from linescope.words.frame import state_label

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])

FILM, CROSSING = 90, 120  # Frames of a film in time, and of a crossing.
PACE = 0.5  # Of a crossing, for the clock of its film; assumed [m/s].
FLOOR = 40  # Places of the line under which the feet can come.
PLACES = 40  # A walker is put at least at so many places, and no farther apart than `APART`.
APART = 2.0  # [m]
MOST = 240  # Places, at most.


def places(study: Study) -> Floats:
    """Where the walker is put: everywhere a fall was computed, and evenly between, no farther apart than `APART` [m]
    unless that makes more than `MOST`.

    Parameters
    ----------
    study : Study

    Returns
    -------
    (n,) array
        From A along the straight line, rising.  [m]
    """
    rig, sweep = study.rig, study.fall_sweep
    span, walker = rig.span, rig.walker
    falls = np.asarray(sweep.at) if sweep else np.linspace(0.05, 0.95, 19) * span
    gaps = np.diff(falls)
    each = max(1, math.ceil(float(gaps.max()) / APART), math.ceil(PLACES / len(falls)))
    while each > 1 and each * len(falls) > MOST:
        each -= 1
    at = np.interp(np.arange(each * (len(falls) - 1) + 1) / each, np.arange(len(falls)), falls)
    if walker is not None and np.abs(at - walker.at).min() > 1e-6:
        at = np.sort(np.append(at, walker.at))
    return np.asarray(at)


class States:
    """Makes the states of one study.

    Parameters
    ----------
    shapes : StateShapes
    study : Study
    films : bool
        Whether what happens in time is computed.
    """

    def __init__(self, shapes: StateShapes, study: Study, films: bool) -> None:
        self.shapes, self.study, self.films = shapes, study, films
        self.words = shapes.words

    @functools.cached_property
    def at(self) -> Floats:
        """(n,) places of the walker; none without one.  [m]"""
        return np.zeros(0) if self.study.rig.walker is None else places(self.study)

    @functools.cached_property
    def stood(self) -> tuple[Solution, ...]:
        """The rig with him at each place."""
        shares = tuple(self.at / self.study.rig.span)
        return walked.walk(self.study.planned, shares, progress=self.study.inside) if shares else ()

    def all(self) -> list[dict[str, Any]]:
        """Every state that there is, in the order of the tabs."""
        crossing = self.crossing() if self.study.slides else None
        found = [self.empty(), self.walker(), self.settled(), crossing, self.fall(), self.gone(), self.gust()]
        return [state for state in found if state is not None]

    def _state(self, key: str, kind: str, shape: dict[str, Any], **more: Any) -> dict[str, Any]:
        say = self.words.say
        return {
            "key": key, "kind": kind, "tab": say(f"space-tab-{key}"), "tabFigure": "", "title": "", "where": "",
            "count": 1, "x": [0.0], "xText": [""], "seconds": None, "verdict": [], "sub": "",
            "figures": {"names": [], "values": [[]]}, "shape": shape, "labels": [], "bound": None, "trace": None,
            "between": None, "rub": None, "place": None,
        } | more

    # At rest

    def empty(self) -> dict[str, Any]:
        """Nobody on the line."""
        standing, words = self.study.standing, self.words
        return self._state(
            "empty", "still", self.shapes.still([standing]), title=words.say("space-title-empty"),
            tabFigure=words.say("space-figure-main", force=Quantity(standing.tension_a, "force")),
            verdict=[kept(self.study, words, standing, words.say("space-title-empty"))],
            sub=state_label(standing, words), figures=self._figures([standing]),
            rub=rub_of(self.shapes, self.study, standing),
        )

    def walker(self) -> dict[str, Any] | None:
        """The walker at every place; falls from there are what the sentences tell."""
        if not self.stood:
            return None
        words, stood = self.words, self.stood
        return self._state(
            "walker", "places", self.shapes.still(stood), count=len(stood), x=np.round(self.at, 3).tolist(),
            xText=[words.place(float(at)) for at in self.at], title=words.say("space-title-walker"),
            tabFigure=words.say(
                "space-figure-main", force=Quantity(max(each.tension_a for each in stood), "force", "up")),
            where=words.say("page-walker", place=words.place(self.study.rig.walker.at if self.study.rig.walker else 0)),
            verdict=self.left(), sub=words.say("space-sub-walker"), figures=self._figures(stood),
            rub=rub_of(self.shapes, self.study, self.study.taped), between=round(self.blended(), 3),
        )

    def now(self, solution: Solution, title: str) -> dict[str, Any]:
        """One state that was just solved, with the walker where he is now; without what takes longer.

        Parameters
        ----------
        solution : Solution
        title : str
            Which state it is.
        """
        words, rig = self.words, solution.rig
        at = None if solution.walker_point is None or rig.walker is None else rig.walker.at
        more: dict[str, Any] = {} if at is None else {
            "x": [round(at, 3)], "xText": [words.place(at)], "where": words.say("page-walker", place=words.place(at)),
        }
        return self._state(
            "empty" if at is None else "walker", "still" if at is None else "places",
            self.shapes.still([solution], forces=False), title=title,
            tabFigure=words.say("space-figure-main", force=Quantity(solution.tension_a, "force")),
            verdict=[kept(self.study, words, solution, title)], figures=self._figures([solution]), **more,
        )

    def settled(self) -> dict[str, Any] | None:
        """Sliders where they come to rest without any hold; nothing where nothing slides."""
        if not self.study.slides:
            return None
        settled, words = self.study.settled, self.words
        return self._state(
            "settled", "still", self.shapes.still([settled]), title=words.say("space-title-settled"),
            tabFigure=words.say("space-figure-loops", depth=Quantity(float(np.max(settled.bays.loop_depth)), "length")),
            sub=state_label(settled, words), figures=self._figures([settled]),
            verdict=[kept(self.study, words, settled, words.say("space-title-settled"))],
            rub=rub_of(self.shapes, self.study, settled),
        )

    def blended(self) -> float:
        """How far tapes can be off where they are read off between two neighbouring places.  [m]

        As far as those of a computed place are off when they are read off between the places beside it, which is
        twice as far apart: more than what is asked, whether the way is smooth or has a kink where he passes a tape.
        """
        if len(self.at) < 3:
            return 0.0
        points = np.array([each.tape_points for each in self.stood])
        share = ((self.at[1:-1] - self.at[:-2]) / (self.at[2:] - self.at[:-2]))[:, None, None]
        read = (1.0 - share) * points[:-2] + share * points[2:]
        return float(np.linalg.norm(read - points[1:-1], axis=2).max(initial=0.0))

    def left(self) -> list[dict[str, str]]:
        """What a fall at each place leaves: of the computed falls on both sides the one that leaves less, by name."""
        gaps = self.study.fall_gaps
        if not gaps:
            return [{"text": self.words.say("space-left-unknown"), "grade": Grade.UNKNOWN} for _ in self.at]
        found = []
        for at in self.at:
            after = int(np.clip(np.searchsorted(gaps.at, at - 1e-9), 0, len(gaps.at) - 1))
            same = after == 0 or abs(float(gaps.at[after]) - at) < 1e-6
            beside = [after] if same else [after - 1, after]
            near = min(beside, key=lambda k: float(np.nan_to_num(gaps.lowest[k], nan=-np.inf)))
            found.append(self._left(float(gaps.lowest[near]), float(gaps.at[near])))
        return found

    def _left(self, gap: float, at: float) -> dict[str, str]:
        """What one fall leaves."""
        needs = self.study.rig.needs
        error = needs.survey_error if needs is not None else 0.0
        asked = 0.0 if needs is None else needs.body + error + needs.margin
        known = math.isfinite(gap)
        if not known:
            grade, name = Grade.UNKNOWN, "space-left-unknown-here"
        elif gap <= error:
            grade, name = Grade.REACHED, "space-left-into" if gap <= 0.0 else "space-left-within"
        elif gap < asked:
            grade, name = Grade.NEAR, "space-left-near-here"
        else:
            grade, name = Grade.KEPT, "space-left-here"
        return {"grade": grade, "text": self.words.say(
            name, at=Spot(at), left=Quantity(abs(gap) if known else 0.0, "length", "down" if gap > 0.0 else "up"),
            needed=Quantity(asked, "length", "up"),
        )}

    def _figures(self, solutions: Iterable[Solution]) -> dict[str, Any]:
        rows = [self._row(each) for each in solutions]
        return {"names": [name for name, _ in rows[0]], "values": [[value for _, value in row] for row in rows]}

    def _row(self, solution: Solution) -> list[tuple[str, str]]:
        words, bays, say = self.words, solution.bays, self.words.say
        point, slack = solution.walker_point, solution.bays.excess >= 0.0
        rows = [
            (say("page-main-a"), words.force(solution.tension_a)),
            (say("page-main-b"), words.force(solution.tension_b)),
        ]
        if point is not None:
            height = float(np.asarray(self.study.above_ground(point[None]))[0])
            rows += [
                (say("page-feet-chord"), words.length(below_chord(solution, point))),
                (say("page-feet-ground"), height_words(height, words)),
            ]
        depths = words.range(float(bays.loop_depth.min()), float(bays.loop_depth.max()), "length")
        return [
            *rows, (say("page-loops"), depths if slack.any() else say("page-no-loops")),
            (say("page-excess"), words.share(float(bays.excess.min()))),
            (say("page-backup"), words.force(most(solution.backup))),
        ]

    # Films

    def crossing(self) -> dict[str, Any] | None:
        """A walker over and back, tapes that stick and slip."""
        if not self.films:
            return None
        crossing, words = self.study.crossing("value"), self.words
        if not crossing:
            return None
        steps = np.unique(np.round(np.linspace(0, len(crossing.walker) - 1, CROSSING)).astype(int))
        solutions = [crossing.solution_at(int(step)) for step in steps]
        at = np.asarray(self.study.rig.along_chord(np.array([each.walker_point for each in solutions])))
        way = np.concatenate(([0.0], np.cumsum(np.abs(np.diff(at)))))
        seconds = way / PACE
        slipped = float(np.max(np.abs(crossing.slide[-1] - crossing.slide[0]), initial=0.0))
        return self._state(
            "crossing", "film", self.shapes.still(solutions, bays=False), count=len(steps),
            x=np.round(seconds, 2).tolist(), xText=[words.place(float(one)) for one in at],
            place=np.round(at, 3).tolist(), seconds=round(float(seconds[-1]), 2),
            title=words.say("film-crossing", hold=Term("film-hold-value")),
            tabFigure=words.say("space-figure-slipped", most=Quantity(slipped, "length")),
            verdict=[{"grade": Grade.UNKNOWN, "text": words.say(
                "space-crossing-slipped", most=Quantity(slipped, "length"),
                total=Quantity(float(crossing.total_work.sum()), "energy"),
            )}],
            sub=words.say("space-sub-crossing", pace=Quantity(PACE, "speed")), figures=self._figures(solutions),
            trace=self._trace(
                seconds, {"main": np.maximum([each.tension_a for each in solutions],
                                             [each.tension_b for each in solutions])}, "force",
                [words.place(float(one)) for one in at],
            ),
        )

    def fall(self) -> dict[str, Any] | None:
        """A leash fall where the scene puts the walker: one course, over what energy allows."""
        fall, rig, words = self.study.fall, self.study.rig, self.words
        if not fall or rig.walker is None:
            return None
        figures = fall.figures
        sweep = self.study.fall_sweep
        low = self.study.lower(sweep or figures).low.foot
        bound = {
            "text": words.say("space-bound-fall"),
            "main": self.shapes.places([fall.deepest.main.sample(4).points]),
            "backup": self.shapes.places([backup(fall.deepest, 8, behind=0.0)]),
            "feet": self.shapes.line(_spread(low, FLOOR)),
            "bodies": [{
                "top": self.shapes.place(figures.low.head[0]), "foot": self.shapes.place(figures.low.foot[0]),
                "ring": self.shapes.place(figures.low.ring[0]),
                "text": words.say("falls-page-foot", depth=Quantity(
                    below_chord(fall.deepest, figures.low.foot[0]), "length", "up")),
            }],
        }
        depth, place = float(np.max(figures.ring_standing[:, 2] - figures.low.foot[:, 2])), Spot(float(figures.at[0]))
        course = self.study.fall_course if self.films else None
        film = self._film(course.motion, ("leash", "main", "backup")) if course else None
        common = {
            "bound": bound, "verdict": [self._bounded(figures)],
            "tabFigure": words.say("space-figure-fall", depth=Quantity(depth, "length", "up"), at=place),
        }
        more = {"names": [name for name, _ in pairs(FALLS, self.study, words)],
                "values": [[value for _, value in pairs(FALLS, self.study, words)]]}
        if film is None:
            return self._state(
                "fall", "still", self.shapes.still([fall.deepest], ring=False), **common, figures=more,
                title=words.say("falls-page", at=place), sub=words.say("space-sub-bound"),
            )
        return self._state(
            "fall", "film", film.pop("shape"), **common, **film, title=words.say("space-title-fall", at=place),
            sub=self._of_course(),
        )

    def gone(self) -> dict[str, Any] | None:
        """The main parts: one course, at rest after it, and how far energy lets him go."""
        gone, rig, words = self.study.main_gone, self.study.rig, self.words
        if not gone or rig.walker is None:
            return None
        side = gone.nothing_holds
        sweep = self.study.main_gone_sweep
        floors = sweep.nothing_holds.floor.most_foot if sweep else side.floor.most_foot
        rest, low = (released(self.study.planned, ring[0]).points for ring in (side.rest.ring, side.lowest.ring))
        bound = {
            "text": words.say("space-bound-gone"), "main": None, "backup": self.shapes.places([rest]),
            "lowest": self.shapes.places([low]),
            "feet": self.shapes.line(_spread(feet.lower_edge(floors), FLOOR)),
            "bodies": [
                {
                    "top": self.shapes.place(top[0]), "foot": self.shapes.place(foot[0]),
                    "ring": self.shapes.place(ring[0]), "text": text,
                }
                for top, foot, ring, text in (
                    (side.rest.top, side.rest.foot, side.rest.ring, words.say(
                        "main-gone-page-rest", depth=Quantity(float(side.rest.depth[0]), "length"))),
                    (side.lowest.top, side.lowest.foot, side.lowest.ring, words.say("space-gone-lowest")),
                )
            ],
        }
        common = {"bound": bound, "tabFigure": words.say(
            "space-figure-gone", depth=Quantity(float(side.most.foot_depth[0]), "length", "up"))}
        verdict = [self._gone_verdict(float(gone.at[0]), side.floor.most_foot)]
        course = self.study.gone_course if self.films else None
        film = self._film(course.motion, ("leash", "backup")) if course else None
        if film is None:
            told = pairs(MAIN_GONE, self.study, words)
            shape: dict[str, Any] = {
                "topology": "own", "main": None, "backup": self.shapes.places([rest]), "parted": None,
                "tapes": {"main": [], "backup": [], "gone": None}, "feet": self.shapes.one_each([side.rest.foot[0]]),
                "ring": self.shapes.one_each([side.rest.ring[0]]), "tie": self.shapes.one_each(
                    [side.rest.foot[0] + rig.walker.hang * UP]),
                "leash": None, "pose": "hanging", "fallen": None, "pull": None,
            }
            return self._state(
                "gone", "still", shape, **common, verdict=verdict, title=words.say("main-gone-page"),
                sub=words.say("space-sub-bound"),
                figures={"names": [name for name, _ in told], "values": [[value for _, value in told]]},
            )
        return self._state(
            "gone", "film", film.pop("shape"), **common, **film, verdict=verdict, sub=self._of_course(),
            title=words.say("space-title-gone", at=Spot(float(gone.at[0]))),
        )

    def gust(self) -> dict[str, Any] | None:
        """The gust of the scene's wind from calm, or the state that it holds the rig in."""
        wind, words = self.study.wind, self.words
        if not wind:
            return None
        loaded = self.study.rig.walker is not None
        case = wind.case("walker" if loaded else "empty")
        told = pairs(WIND, self.study, words, only=("walker" if loaded else "empty", "as given"))
        common: dict[str, Any] = {"title": words.say("space-title-gust", **WIND.values(self.study))}
        course = self.study.gust_course if self.films else None
        film = self._film(course.motion, ("main", "backup")) if course else None
        if not course or film is None:
            return self._state(
                "gust", "still", self.shapes.still([case.gust]), **common, sub=state_label(case.gust, words),
                verdict=[kept(self.study, words, case.gust, common["title"])],
                figures={"names": [name for name, _ in told], "values": [[value for _, value in told]]},
            )
        towards = np.array([*course.wind.towards, 0.0]) / np.hypot(*course.wind.towards)
        angle, height = swings(course.motion, towards)
        shown = course.motion.frame_time <= film["x"][-1] + 1e-3
        swing, above = float(angle[shown].max()), float(height[shown].max(initial=0.0))
        verdict = {"grade": Grade.UNKNOWN, "text": words.say(
            "space-gust-swing" if above <= 0.0 else "space-gust-above", swing=Quantity(swing, "angle"),
            above=Quantity(above, "length", "up"), speed=Quantity(course.speed, "speed"),
        )}
        return self._state(
            "gust", "film", film.pop("shape"), **common, **film, verdict=[verdict],
            tabFigure=words.say("space-figure-swing", swing=Quantity(swing, "angle")),
            sub=self._of_course(),
        )

    def _bounded(self, figures: LeashFallSweep) -> dict[str, str]:
        """What the fall leaves by the bound, at the place of the scene itself; and whether it drags the line down."""
        index, clearance, at = self.study.index, self.study.clearance or None, float(figures.at[0])
        if not index:
            return {"grade": Grade.UNKNOWN, "text": self.words.say("space-left-unknown")}
        said = self._left(float(fall_gaps(self.study.lower(figures), index).lowest[0]), at)
        dragged = () if clearance is None else tuple(zone.from_a for zone in clearance.drags)
        if any(start <= at <= end for start, end in dragged):
            drags = self.words.say("space-left-dragged", stretches=Stretches(dragged))
            return {"grade": Grade.REACHED, "text": f"{said['text']}. {drags}"}
        return said

    def _gone_verdict(self, at: float, floors: Floats) -> dict[str, str]:
        """What is left straight below the lowest feet."""
        words, needs = self.words, self.study.rig.needs
        edge = feet.lower_edge(floors)
        gap = np.asarray(self.study.above_ground(edge))
        if not np.isfinite(gap).any():
            return {"grade": Grade.UNKNOWN, "text": words.say("space-left-unknown")}
        error = needs.survey_error if needs is not None else 0.0
        asked = 0.0 if needs is None else needs.body + error + needs.margin
        least, worst = float(np.nanmin(gap)), int(np.nanargmin(gap))
        place = Spot(float(np.clip(self.study.rig.along_chord(edge[worst]), 0.0, self.study.rig.span)))
        grade = Grade.REACHED if least <= error else Grade.NEAR if least < asked else Grade.KEPT
        if grade is Grade.KEPT and not np.isfinite(gap).all():
            grade = Grade.UNKNOWN
        return {"grade": grade, "text": words.say(
            f"space-gone-{'into' if least <= 0.0 else 'left'}", at=Spot(at), place=place,
            left=Quantity(abs(least), "length", "down" if least > 0.0 else "up"),
        )}

    def _of_course(self) -> str:
        """What figures of a course are, and what they cannot be trusted for."""
        return self.words.say("space-sub-course", peaks=Quantity(PEAKS, "ratio"))

    def _film(self, motion: Motion, curves: tuple[str, ...]) -> dict[str, Any] | None:
        """Frames, captions and forces, and when feet or a line come to the ground, which stops them.

        Nothing where his feet begin in the ground, so that nothing stops them.
        """
        model = motion.mesh.model
        words, times, found = self.words, play_times(motion, FILM), touched(model, motion.final)
        if found.feet_free and model.of_slots[HELD, model.slots + 1] == 0.0:
            return None
        time = motion.main_a.time
        pulls = {
            "leash": motion.leash.mean, "main": np.maximum(motion.main_a.mean, motion.main_b.mean),
            "backup": np.maximum(motion.backup_a.mean, motion.backup_b.mean),
        }
        series = {name: pulls[name] for name in curves}
        shape = self.shapes.motion(motion, times)
        index = np.clip(np.searchsorted(time, times), 0, len(time) - 1)
        names = [words.say(f"motion-film-in-{name}") for name in curves]
        values = [[words.force(float(series[name][k])) for name in curves] for k in index]
        texts = [words.of(float(one), "time") for one in times]
        trace = self._trace(time, series, "force", None)
        return {
            "shape": shape, "count": len(times), "x": np.round(times, 3).tolist(), "xText": texts,
            "seconds": round(float(times[-1]), 3), "figures": {"names": names, "values": values},
            "trace": trace | {"lands": self._lands(motion, found)},
        }

    def _trace(
        self, x: Floats, series: dict[str, Floats], dimension: str, texts: list[str] | None
    ) -> dict[str, Any]:
        """Curves over time, with their largest value named."""
        words = self.words
        top = max(float(np.max(each)) for each in series.values())
        keep = np.unique(np.round(np.linspace(0, len(x) - 1, 240)).astype(int))
        for each in series.values():  # The largest value is not lost between those kept.
            keep = np.unique(np.append(keep, int(np.argmax(each))))
        unit = words.unit([top], dimension)
        found = []
        for name, each in series.items():
            peak = int(np.argmax(each))
            found.append({
                "role": name, "name": words.say(f"motion-film-in-{name}"),
                "values": self.shapes.file.packed(np.asarray(each)[keep][:, None], FORCE),
                "peak": {
                    "x": round(float(x[peak]), 3), "value": round(float(each[peak]), 1),
                    "text": words.of(float(each[peak]), dimension), "at": texts[peak] if texts else words.of(
                        float(x[peak]), "time"),
                },
            })
        return {
            "x": self.shapes.file.packed(np.asarray(x)[keep][:, None], MOMENTS / 10.0), "title": words.say(
                "space-trace-force"), "series": found, "top": round(top, 1),
            "ticks": [[round(share * top, 1), words.of(share * top, dimension, unit=unit)] for share in (0.5, 1.0)],
            "lands": None,
        }

    def _lands(self, motion: Motion, found: Touched) -> dict[str, Any] | None:
        """When and where feet come to the ground, or the backup, or the main, the first of these that does; lines at
        the anchors, where they come down to the rock, do not count.
        """
        rig, model = motion.mesh.solution.rig, motion.mesh.model
        zone, name, when, place = anchor_zone(rig), "", math.inf, np.zeros(3)
        if math.isfinite(found.feet):
            name, when = "space-film-feet", found.feet
            place = moving.moment(motion, when).foot
        for line, ours in (("backup", found.slot >= model.main), ("main", found.slot < model.main)):
            for k in np.flatnonzero(ours)[np.argsort(found.time[ours])] if not name else ():
                points, i, w = at_time(motion, float(found.time[k])), found.slot[k], found.share[k]
                spot = (1.0 - w) * points[i] + w * points[i + 1]
                if zone < rig.along_chord(spot) < rig.span - zone:
                    name, when, place = f"space-film-{line}", float(found.time[k]), spot
                    break
        if not name:
            return None
        text = self.words.say(name, time=Quantity(when, "time"))
        return {"x": round(when, 3), "p": self.shapes.place(place), "text": text}


def _spread(points: Floats, count: int) -> Floats:
    return np.asarray(points[np.unique(np.round(np.linspace(0, len(points) - 1, min(count, len(points)))).astype(int))])
