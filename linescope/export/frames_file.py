"""Frames of motion in time as JSON, for pages and other programs: SI, places rounded to a tenth of a millimetre."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np

from linescope.atomic import named, write_text
from linescope.motion.notes import trust
from linescope.motion.run import Motion
from linescope.study import Study
from linescope.words import Words

FIGURES = 4  # Digits behind the point, of metres and seconds.


def frames(motion: Motion) -> dict[str, Any]:
    """The frames of a run, as plain lists.

    Parameters
    ----------
    motion : Motion

    Returns
    -------
    dict
        time [s]; main, backup: x, y, z of each point at each time [m]; parted: number of points of the main before
        the break, or null; ring, tie_in [m]; tapes: point of both lines [-] and when each goes [s], null where it
        holds; forces: time [s] and means over 10 ms of leash and both anchors of both lines [N].
    """
    model = motion.mesh.model
    points = np.round(motion.points, FIGURES)
    gone = [None if np.isnan(time) else round(float(time), FIGURES) for time in motion.tape_time]
    series = {name: getattr(motion, name) for name in ("leash", "main_a", "main_b", "backup_a", "backup_b")}
    return {
        "time": np.round(motion.frame_time, FIGURES).tolist(),
        "main": points[:, : model.main].tolist(),
        "backup": points[:, model.main : model.slots].tolist(),
        "parted": model.cut + 1 if model.cut >= 0 else None,
        "ring": points[:, model.slots].tolist(),
        "tie_in": points[:, model.slots + 1].tolist(),
        "tapes": {"point": motion.mesh.grid.tapes.tolist(), "gone": gone},
        "forces": {
            "time": np.round(motion.leash.time, FIGURES).tolist(),
            **{name: np.round(each.mean, 1).tolist() for name, each in series.items()},
        },
    }


def write_frames(path: str | Path, study: Study) -> Path:
    """Write the frames of all that a study has computed in time, with the middle of all inputs; whole or not at all.

    Beside those of each run stands what they cannot be trusted for (`limits`), in words.

    Parameters
    ----------
    path : str or Path
    study : Study
        With `in_time`.

    Raises
    ------
    OutputError
    """
    path = named(path)
    found: dict[str, dict[str, Any]] = {}
    walker = study.rig.walker
    for name in ("fall_in_time", "main_gone_in_time"):
        expected = study.get(name)
        if expected and walker is not None:
            found[name] = frames(expected.only(walker.at).happened[0].motion)
    for name in ("bounce_in_time", "gust_in_time"):
        if one := study.get(name):
            found[name] = frames(one.motion)
    limits = Words().note(trust())
    for each in found.values():
        each["limits"] = limits
    write_text(path, json.dumps(found, allow_nan=False) + "\n")
    return path
