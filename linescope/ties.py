"""Largest and ranked, where values that differ by rounding alone are alike.

On a level line what happens near one anchor happens near the other too.  The two results differ in their last digits,
and a bare maximum lets those digits choose which of two places is told.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

SAME = 1e-5  # What differs by less than this share of the larger is alike.


def first_most(values: ArrayLike) -> int:
    """Index of the largest of (n,) finite values; of some that are alike, the first."""
    found = np.asarray(values, dtype=float)
    top = float(found.max())
    return int(np.argmax(found >= top - SAME * abs(top)))


def nearest(places: ArrayLike, wanted: float) -> int:
    """Index of the one of (n,) finite places that is nearest to a wanted one; of some that are alike, the first."""
    away = np.abs(np.asarray(places, dtype=float) - wanted)
    return int(np.argmax(away <= away.min() + SAME * away.max()))


def ranks(values: ArrayLike) -> NDArray[np.intp]:
    """(n,) ranks of finite values, 0 for the largest; values that are alike share one."""
    found = np.asarray(values, dtype=float)
    order, result = np.argsort(-found, kind="stable"), np.zeros(len(found), dtype=np.intp)
    rank, head = -1, np.inf
    for index in order.tolist():
        if rank < 0 or found[index] < head - SAME * abs(head):
            rank, head = rank + 1, float(found[index])
        result[index] = rank
    return result
