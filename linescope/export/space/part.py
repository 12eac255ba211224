"""Parts of the rig in space, for a picture that follows a hand: one state that was just solved, or one film."""

from __future__ import annotations

from typing import Any, Literal

import numpy as np

from linescope.errors import InputError
from linescope.export.space import land
from linescope.export.space.build import FORMAT, GROUND, VERSION, Space, measures_of, people_of, tapes_of
from linescope.export.space.container import Container
from linescope.export.space.layers import scaled
from linescope.export.space.shapes import StateShapes, loops_of
from linescope.export.space.states import States
from linescope.stage.ground import Site
from linescope.stage.relief import LineFrame
from linescope.stage.theme import DARK, LIGHT
from linescope.statics import Solution
from linescope.study import Study
from linescope.words import Words

Film = Literal["crossing", "fall", "gone", "gust"]


def now(study: Study, words: Words, solution: Solution, title: str) -> Space:
    """One state, with its lines, tapes, figures and the layers that follow from it alone; no ground.

    Parameters
    ----------
    study : Study
        What takes long is left out of it.
    words : Words
    solution : Solution
        Of the study's rig, with the walker anywhere.
    title : str
        Which state it is, in words.
    """
    container, shapes = _begun(study, words)
    pulls, depths = (np.append(0.0, each) for each in (solution.bays.main_tension, loops_of(solution)))
    state = States(shapes, study, films=False).now(solution, title)
    return _made(container, shapes, study, {
        "tapes": tapes_of(study, words, facts=False), "states": [state],
        "layers": {
            "tension": scaled("tension", "force", pulls, words), "depth": scaled("depth", "length", depths, words),
        },
    })


def place(study: Study, words: Words, site: Site | None) -> Space:
    """The ground and people alone, which are known before anything is solved; no state.

    Parameters
    ----------
    study : Study
    words : Words
    site : Site or None
    """
    container, shapes = _begun(study, words)
    triangles, fine = GROUND["page"]
    ground = None if site is None else land.put(
        container, shapes, study, site, words, triangles=triangles, fine=fine,
    )
    if study.rig.walker is not None:
        people_of(container, study)
    return _made(container, shapes, study, {
        "name": words.verbatim(study.rig.name), "ground": ground, "states": [], "layers": {}, "worst": [],
        "worstMore": "", "noFall": [], "runs": [], "ledges": [], "holes": [], "labels": [],
        "notes": {"lead": [], "rest": []}, "verdict": None, "curve": None, "tapes": [], "first": "walker",
        "colours": {"light": dict(LIGHT.colours), "dark": dict(DARK.colours)},
        "scales": [[length, text] for length, text in words.round_lengths()],
    })


def film(study: Study, words: Words, which: Film) -> Space:
    """One film alone, at the walker's place of the study's rig.

    Parameters
    ----------
    study : Study
    words : Words
    which : {"crossing", "fall", "gone", "gust"}

    Raises
    ------
    InputError
        When this rig has no such film.
    """
    container, shapes = _begun(study, words)
    state = getattr(States(shapes, study, films=True), which)()
    if state is None:
        raise InputError("this rig has no such film", found=which, allowed="a rig with what it needs")
    return _made(container, shapes, study, {"states": [state]})


def _begun(study: Study, words: Words) -> tuple[Container, StateShapes]:
    container = Container(LIGHT, LineFrame.of(study.rig))
    return container, StateShapes(container, study, words)


def _made(container: Container, shapes: StateShapes, study: Study, more: dict[str, Any]) -> Space:
    return Space(glb=container.bytes(), data={
        "format": FORMAT, "version": VERSION, **measures_of(shapes, study), **more,
    })
