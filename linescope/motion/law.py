"""A webbing's own curve of tension over strain as a table, and how stiff it is for what goes fast."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.webbing import StretchCurve

Floats = NDArray[np.float64]

CELLS = 512
FINE = 40_001  # Tensions at which the curve is read.
BEYOND = 1.3  # Of the greater of strength and last point: as far as the table goes; then it runs on straight.


@dataclass(frozen=True, eq=False, kw_only=True)
class TensionTable:
    """Tension in straight pieces over even steps of strain.

    Attributes
    ----------
    step : float
        [-]
    force : (k,) array
        At the start of each step.  [N]
    stiff : (k,) array
        Slope in it.  [N]
    work : (k,) array
        Integral of tension over strain up to it.  [N]
    """

    step: float
    force: Floats
    stiff: Floats
    work: Floats


def table_of(curve: StretchCurve, strength: float, cells: int) -> TensionTable:
    """Table of a stretch curve.

    Parameters
    ----------
    curve : StretchCurve
    strength : float
        [N]
    cells : int
        1 for a straight law.
    """
    top = BEYOND * max(strength, float(curve.tension[-1]))
    tension = np.linspace(0.0, top, FINE)
    strain = curve.at(tension)[0]
    edges = np.linspace(0.0, float(strain[-1]), cells + 1)
    force = np.interp(edges, strain, tension)
    step = float(edges[1])
    stiff = np.diff(force) / step
    work = np.concatenate(([0.0], np.cumsum(0.5 * (force[1:] + force[:-1]) * step)))
    return TensionTable(step=step, force=force[:-1], stiff=stiff, work=work[:-1])
