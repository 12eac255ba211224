"""What is expected of a happening in time, to stand beside the figures of its energy balance at the same places."""

from __future__ import annotations

from collections.abc import Callable
from operator import attrgetter, methodcaller
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from linescope.figures import Figure, Get
from linescope.notes import Note
from linescope.study import Study
from linescope.ties import nearest

if TYPE_CHECKING:
    from linescope.motion.expected import Expected

SAME = 1e-6  # [m]
Ends = Callable[["Expected"], tuple[NDArray[np.float64], NDArray[np.float64]]]


def beside(event: str, ends: Ends, places: Get) -> Get:
    """(n, 2) least and most at the places of a result; nan where nothing was computed in time.

    Parameters
    ----------
    event : str
        Of the study: "fall_in_time" or "main_gone_in_time".
    ends : callable
    places : callable
        From a result and the study to its places.  [m]
    """

    def get(result: Any, study: Study) -> NDArray[np.float64]:
        where = places(result, study)
        shown = np.full((len(where), 2), np.nan)
        found = study.get(event) if study.in_time else None
        if found:
            low, high = ends(found)
            for k, at in enumerate(where):
                near = nearest(found.at, at)
                if abs(found.at[near] - at) < SAME:
                    shown[k] = low[near], high[near]
        return shown

    return get


def figures(event: str, places: Get = lambda result, study: result.at) -> tuple[Figure, ...]:
    """Figures of what is expected in time, with the range of its inputs; JSON has them under `in_time`.

    Parameters
    ----------
    event : str
    places : callable
        From a result and the study to its places.  [m]
    """
    return tuple(
        Figure(
            key=key, dimension=dimension, axes=("place", "range"), over="band", brief=True, data=False, meaning=meaning,
            get=beside(event, ends, places),
        )
        for key, dimension, meaning, ends in (
            (
                "expected_force", "force", "Force of the leash in time, its range.",
                methodcaller("ends_of", "leash_force"),
            ),
            (
                "expected_foot_depth", "length", "Depth of the lowest foot in time, its range.",
                attrgetter("foot_depths"),
            ),
            (
                "expected_backup", "force", "Tension of the backup at an anchor in time, its range.",
                methodcaller("ends_of", "backup_a", "backup_b"),
            ),
        )
    )


def notes(event: str, study: Study) -> tuple[Note, ...]:
    """What those figures cannot be trusted for, and where they go beyond the energy balance; nothing where there are
    none.
    """
    found = study.get(event) if study.in_time else None
    if not found:
        return ()
    from linescope.motion.notes import deeper, trust

    told: tuple[Note, ...] = (trust(),)
    roof = study.get("fall_places") if event == "fall_in_time" else None
    if roof:
        same = [nearest(roof.at, at) for at in found.at]
        depth = np.asarray(study.rig.below_anchors(roof.low.foot[same]), dtype=float)
        told = (*deeper(found.at, found.foot_depths[1], depth), *told)
    return told
