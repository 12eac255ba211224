"""Buffers: what a sliding tape feels that runs into its neighbour, an anchor or a foot.

A buffer acts on a piece of line shorter than its least length g: force k g u / (1 - u) for a shortfall u = (g - l) / g,
which starts like a spring of stiffness k and lets no piece vanish, however hard it is pushed.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

STIFFNESS = 2.0e4  # k [N/m]; the main's pull on a tape is some 10 N, so a buffer gives less than a millimetre.


def _share(shortfall: Floats, least: Floats) -> tuple[Floats, Floats]:
    touching = shortfall > 0.0
    size = np.where(touching, least, 1.0)
    return np.minimum(np.where(touching, shortfall, 0.0) / size, 1.0 - 1e-12), size


def energy(shortfall: Floats, least: Floats) -> float:
    """Of all buffers.

    Parameters
    ----------
    shortfall : (k,) array
        By how much each piece is shorter than its least length; 0 where it is not.  [m]
    least : (k,) array
        [m]

    Returns
    -------
    float
        [J]
    """
    u, size = _share(shortfall, least)
    return STIFFNESS * float(np.sum(size**2 * (-u - np.log1p(-u))))


def force(shortfall: Floats, least: Floats) -> Floats:
    """(k,) push of every buffer; parameters as for `energy`.  [N]"""
    u, size = _share(shortfall, least)
    return np.asarray(STIFFNESS * size * u / (1.0 - u))


def stiffness(shortfall: Floats, least: Floats) -> Floats:
    """(k,) derivative of `force` by the shortfall, 0 where none acts; parameters as for `energy`.  [N/m]"""
    u, _ = _share(shortfall, least)
    return np.asarray(np.where(shortfall > 0.0, STIFFNESS / (1.0 - u) ** 2, 0.0))
