"""Results as data for programs: SI, full precision, documented keys."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from linescope.report import bands, grids, keys
from linescope.report.cautions import CAUTIONS
from linescope.study import LEVELS, Study
from linescope.topics import TOPICS


def figures_json(study: Study, version: str, ground: Sequence[str] = ()) -> dict[str, Any]:
    """All results as plain data.

    Parameters
    ----------
    study : Study
    version : str
        Of the program.
    ground : sequence of str
        What is said of the ground, such as the notes of a `Terrain`.

    Returns
    -------
    dict
        Keys as in `linescope.report.keys.SECTIONS`; every number SI.
    """
    data: dict[str, Any] = {
        "linescope": version,
        "cautions": list(CAUTIONS),
        "ground": list(ground),
        "rig": keys.section(study.rig, keys.RIG),
        "inputs": [keys.section(note, keys.INPUT) for note in study.inputs.notes],
        "layout": keys.section(study.planned.layout, keys.LAYOUT),
        "states": {
            name: keys.section(state, keys.STATE)
            for name, state in (
                ("standing", study.standing), ("as taped", study.taped), ("settled", study.settled)
            )
        },
        "excess": {
            **{state.name: keys.section(state, keys.EXCESS) for state in study.excess.states},
            "notes": list(study.excess.notes),
        },
        "creep": keys.section(study.creep, keys.CREEP),
    }
    grids.data(TOPICS.values(), study, data)
    if study.let_go:
        data["let_go"] = {level: keys.section(found, keys.LET_GO) for level, found in study.let_go.items()}
    walks = (study.crossing(level) for level in LEVELS) if study.slides else ()
    crossings = {c.level: c for c in walks if c}
    if crossings:
        data["crossing"] = {level: keys.section(c, keys.CROSSING) for level, c in crossings.items()}
    if study.bands:
        data["bands"] = bands.data(study.bands)
    return data

