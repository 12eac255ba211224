"""Lines and small pairs for tests of the statics, made in code and invented."""

from __future__ import annotations

import numpy as np

from linescope.statics.catenary import Segments2D, solve_forces
from linescope.statics.pair import FIXED, Pair
from linescope.webbing import StretchCurve

NEGLIGIBLE = 1e-9  # Load of a line that is only there because a pair has two [N/m].


def straight_law(ea):
    """Law of segments with axial stiffness `ea` [N], one number or one for each."""
    return lambda tension: (tension / ea, np.ones_like(tension) / ea, tension**2 / (2.0 * ea))


def one_segment(x: float, z: float, length: float, q: float, ea: float = 1e13) -> Segments2D:
    """A single solved segment; the default stiffness is as good as inextensible."""
    x, z, length, q = (np.array([float(value)]) for value in (x, z, length, q))
    return solve_forces(x, z, length, q, straight_law(ea))


def lone_main(
    *,
    end,
    length: float,
    load: float,
    ea: float,
    at=(),
    pulls=(),
    slide=None,
    down=(0.0, 0.0, -1.0),
) -> Pair:
    """A main from the origin to `end` with point loads, beside a backup too light and slack to matter."""
    ends = np.stack((np.zeros(3), np.asarray(end, dtype=float)))
    n = len(at)
    down = np.asarray(down)
    return Pair(
        main_ends=ends,
        backup_ends=ends,
        main_length=length,
        backup_length=1.5 * float(np.linalg.norm(ends[1])),
        slide=np.full(n, FIXED) if slide is None else np.asarray(slide),
        is_tape=np.zeros(n, dtype=bool),
        main_at=np.asarray(at, dtype=float),
        backup_at=np.full(n, np.nan),
        pull=np.asarray(pulls, dtype=float).reshape(n, 3),
        main_load=load * down,
        backup_load=NEGLIGIBLE * down,
        main_stretch=StretchCurve.linear(ea),
        backup_stretch=StretchCurve.linear(1e6),
        gap=1e-6,
    )


def straight_start(pair: Pair, dip: float) -> np.ndarray:
    """Nodes on the straight line between the main's anchors, `dip` of the span below it."""
    share = (pair.main_at / pair.main_length)[:, None]
    start = np.zeros((pair.n, 4))
    chord = pair.main_ends[1] - pair.main_ends[0]
    start[:, :3] = pair.main_ends[0] + share * chord
    start[:, 2] -= dip * float(np.linalg.norm(chord)) * 4.0 * (share * (1.0 - share))[:, 0]
    start[:, 3] = pair.start_slides
    return start
