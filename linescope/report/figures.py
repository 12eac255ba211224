"""Results as data for programs: SI, full precision, documented keys."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from linescope.report import bands, grids, keys
from linescope.report.cautions import CAUTIONS
from linescope.report.gather import Results
from linescope.study import Study
from linescope.topics import TOPICS


def figures_json(results: Results, version: str, ground: Sequence[str] = ()) -> dict[str, Any]:
    """All results as plain data.

    Parameters
    ----------
    results : Results
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
        "rig": keys.section(results.rig, keys.RIG),
        "inputs": [keys.section(note, keys.INPUT) for note in results.inputs.notes],
        "layout": keys.section(results.planned.layout, keys.LAYOUT),
        "states": {
            name: keys.section(state, keys.STATE)
            for name, state in (
                ("standing", results.standing), ("as taped", results.taped), ("settled", results.settled)
            )
        },
        "excess": {
            **{state.name: keys.section(state, keys.EXCESS) for state in results.excess.states},
            "notes": list(results.excess.notes),
        },
        "creep": keys.section(results.creep, keys.CREEP),
    }
    grids.data(TOPICS.values(), Study.of(results), data)
    if results.let_go:
        data["let_go"] = {level: keys.section(found, keys.LET_GO) for level, found in results.let_go.items()}
    walks = (results.crossing_low, results.crossing_value, results.crossing_high)
    crossings = {c.level: c for c in walks if c is not None}
    if crossings:
        data["crossing"] = {level: keys.section(c, keys.CROSSING) for level, c in crossings.items()}
    if results.bands is not None:
        data["bands"] = bands.data(results.bands)
    return data

