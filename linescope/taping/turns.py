"""A strip's way round a section: at which height it lies where, and how much of it that takes.

The strip is followed along its middle layer.  Turn k (0, 1, ...) lies at height ``(k + 1/2) tt`` over the
bare outline, and higher by one tape thickness where a dry piece, fold or cross piece lies under it.  A
straight of the outline takes as much tape at any height; where the outline turns by an angle a, a strip at
height h takes ``a h`` more.  A whole turn therefore takes ``P + 2 pi h``, and n turns without a dry zone
``n P + pi tt n^2``.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.taping.family import Wrapping
from linescope.taping.section import Section
from linescope.taping.stock import TapeStock

Floats = NDArray[np.float64]


def steps(
    section: Section, stock: TapeStock, wrapping: Wrapping, stop: float
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Heights of a strip along its way.

    Parameters
    ----------
    section : Section
    stock : TapeStock
    wrapping : Wrapping
    stop : float
        Place on the outline where to stop.  [m, see `Outline`]

    Returns
    -------
    places : (n + 1,) array
        Where the height changes, from `wrapping.start` on.  [m, see `Outline`]
    heights : (n,) array
        Of the strip's middle layer over the bare outline, between them.  [m]
    dry : (n,) bool array
        Whether the first turn is dry there.
    """
    turn, tape = section.outline.round, stock.thickness
    layers = np.arange(math.ceil((stop - wrapping.start) / turn) + 1) * turn
    cuts = [section.outline.breaks(wrapping.start, stop), wrapping.start + layers]
    if wrapping.dry is not None:
        cuts += [wrapping.dry[0] + layers, wrapping.dry[1] + layers]
    places = np.unique(np.concatenate(cuts))
    places = places[(places >= wrapping.start) & (places <= stop)]
    places = places[np.concatenate([[True], np.diff(places) > 1e-12])]
    middle = 0.5 * (places[:-1] + places[1:])
    heights = (np.floor((middle - wrapping.start) / turn) + 0.5) * tape
    dry = np.zeros(middle.shape, dtype=bool)
    if wrapping.dry is not None:
        low, high = wrapping.dry
        over = (middle >= low) & (np.mod(middle - low, turn) < high - low)
        heights = heights + np.where(over, tape, 0.0)
        dry = over & (middle < high)
    return places, heights, dry


def lengths_to(section: Section, stock: TapeStock, wrapping: Wrapping, stop: float) -> tuple[Floats, Floats]:
    """Places on the outline, and the length of strip from `wrapping.start` to each of them: two (n,) arrays.  [m]"""
    places, heights, _ = steps(section, stock, wrapping, stop)
    pieces = section.outline.length_to(places[1:], heights) - section.outline.length_to(places[:-1], heights)
    return places, np.concatenate([[0.0], np.cumsum(pieces)])
