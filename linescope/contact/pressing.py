"""Who presses on whom where the lines touch: at tapes from the solved state, along tight bays from equal curvature.

A loop hangs in its tape.  The loops' resultant p at a tape, square to the main and counted towards it, is below 0 at
nearly all tapes: the strip carries it.  Only where p > 0, beside a walker whose backup is taut, are the lines pressed
on each other.
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from linescope.statics import Solution

Floats = NDArray[np.float64]


class How(StrEnum):
    """How a force was found; the value is the id of its message."""

    TAPE = "touch-how-tape"
    CURVE = "touch-how-curve"
    FREE = "touch-how-free"
    WEIGHT = "touch-how-weight"


def _square_to(force: Floats, tangent: Floats) -> Floats:
    unit = tangent / np.linalg.norm(tangent)
    return np.asarray(force - (force @ unit) * unit)


def tape_forces(solution: Solution) -> Floats:
    """Force between the lines at every node of the backup, anchors included.

    Parameters
    ----------
    solution : Solution

    Returns
    -------
    (n+1, 3) array
        Both loops together, the loop towards A alone, the loop towards B alone: the tension of the loop's end less
        its part along the tangent of the main.  [N]
    """
    main, backup = solution.main, solution.backup
    count = len(backup.bay)
    start, end = main.segments.force_start, main.segments.force_end
    loop_start, loop_end = backup.segments.force_start, backup.segments.force_end
    result = np.zeros((count + 1, 3))
    for node in range(count + 1):
        after = int(np.searchsorted(main.bay, node, side="left"))
        tangent = np.zeros(3)
        towards_a, towards_b = np.zeros(3), np.zeros(3)
        if node > 0:
            tangent = tangent + end[after - 1]
            towards_a = -loop_end[node - 1]
        if node < count:
            tangent = tangent + start[after]
            towards_b = loop_start[node]
        one, other = _square_to(towards_a, tangent), _square_to(towards_b, tangent)
        result[node] = [float(np.linalg.norm(force)) for force in (one + other, one, other)]
    return result


def loops_pull(solution: Solution) -> Floats:
    """(n+1,) loops' resultant at every node of the backup, square to the main and towards it: below 0 it hangs.  [N]

    Parameters
    ----------
    solution : Solution
        In still air or in wind: towards the main is against the backup's load.
    """
    main, backup = solution.main, solution.backup
    count = len(backup.bay)
    up = -solution.loads[1] / np.linalg.norm(solution.loads[1])
    result = np.zeros(count + 1)
    for node in range(count + 1):
        after = int(np.searchsorted(main.bay, node, side="left"))
        tangent, pull = np.zeros(3), np.zeros(3)
        if node > 0:
            tangent = tangent + main.segments.force_end[after - 1]
            pull = pull - backup.segments.force_end[node - 1]
        if node < count:
            tangent = tangent + main.segments.force_start[after]
            pull = pull + backup.segments.force_start[node]
        towards = _square_to(up, tangent)
        result[node] = float(pull @ towards) / float(np.linalg.norm(towards))
    return result


def parallel_pressing(solution: Solution, bay: int, share: float) -> tuple[float, How]:
    """Force with which two parallel taut lines press on each other along a bay.

    Parameters
    ----------
    solution : Solution
    bay : int
        Counted from 0 at anchor A.
    share : float
        Of the bay that counts.  [-]

    Returns
    -------
    float
        [N]
    How

    Notes
    -----
    Alone, a line of tension T under a load q per metre has curvature q / T.  Where the main's would be larger than
    the backup's, the main lies on the backup and both take the curvature (q_m + q_b) / (T_m + T_b); the pressing is
    (q_m T_b - q_b T_m) / (T_m + T_b) per metre.  A walker between the two tapes presses T_b / (T_m + T_b) of what he
    pulls with on the backup in the same way.
    """
    bays = solution.bays
    main, backup = float(bays.main_tension[bay]), float(bays.backup_tension[bay])
    q_main, q_backup = np.linalg.norm(solution.loads, axis=1)
    pressing = max(float(q_main * backup - q_backup * main), 0.0) / (main + backup)
    force = pressing * float(bays.length[bay]) * share
    walker = solution.rig.walker
    if walker is not None and solution.walker_point is not None:
        node = int(np.argmin(np.linalg.norm(solution.main.nodes[1:-1] - solution.walker_point, axis=1)))
        if solution.main.bay[node] == solution.main.bay[node + 1] == bay:
            # What pulls on the main there: his weight while he stands, the leash's force at the bottom of his fall.
            pull = solution.main.segments.force_start[node + 1] - solution.main.segments.force_end[node]
            force += float(np.linalg.norm(pull)) * backup / (main + backup)
    return force, How.CURVE if force > 0.0 else How.FREE
