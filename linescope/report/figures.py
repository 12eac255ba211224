"""Results as data for programs: SI, full precision, documented keys."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from linescope import __version__
from linescope.notes import Note
from linescope.report import bands, grids
from linescope.study import Study
from linescope.topics import TOPICS
from linescope.words import Words, frame, note_data

SCHEMA = 4
"""Raised when a key changes its name or what it means; 1 had sentences where notes are now objects, 2 had `creep` where
`downhill` is now, 3 had all that happens in time in one object, the last of it over the first."""


def figures_json(study: Study, ground: Sequence[Note] = ()) -> dict[str, Any]:
    """All results as plain data.

    Parameters
    ----------
    study : Study
    ground : sequence of Note
        What is said of the ground, such as the notes of a `Terrain`.

    Returns
    -------
    dict
        Keys as `linescope keys` lists them; every number SI.

    Examples
    --------
    >>> import linescope
    >>> study = linescope.Study(linescope.load("scenes/heron_gap.toml"), leave=linescope.Study.SLOW)
    >>> data = linescope.figures_json(study)
    >>> round(data["rig"]["span"], 3)
    48.0
    """
    data: dict[str, Any] = {
        "linescope": __version__,
        "schema": SCHEMA,
        "cautions": list(frame.all_cautions(Words())),
        "ground": [note_data(note, Words()) for note in ground],
    }
    grids.data(TOPICS.values(), study, data)
    if study.bands:
        data["bands"] = bands.data(study.bands)
    return data

