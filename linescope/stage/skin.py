"""The swept envelope as a translucent skin: where main and loops came to in all that was tried.

Walker, winds, falls and losses of the main are tried at single places, and bodies hang below the lines: feet can get
lower than the skin, and the views of falls and of the loss of the main show how low.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.clearance import Clearance
from linescope.stage.items import LegendEntry, Surface
from linescope.words import Words

Floats = NDArray[np.float64]

LINES = "skin"
COLOUR, OPACITY = "main", 0.22
BRIDGED = 9  # Planes of the envelope over which what hangs lowest is joined: falls were tried at single places only.
DOWNWARDS = (0, 1, 7)  # Of the envelope's eight directions.


def skins(clearance: Clearance | None) -> tuple[Surface, ...]:
    """A translucent tube round all places of the lines that a clearance sweep looked at; nothing without a sweep.

    The body's places are shown as curves by the views of falls and of the loss of the main.

    Parameters
    ----------
    clearance : Clearance or None
    """
    envelope = None if clearance is None else clearance.envelope
    if envelope is None:
        return ()
    return (_tube(LINES, _bridged(envelope.lines)),) if len(envelope.lines) > 1 else ()


def legend(surfaces: tuple[Surface, ...], words: Words) -> tuple[LegendEntry, ...]:
    """What the skins mean; the swatch is as pale as both sides of a tube, one behind the other."""
    return tuple(
        LegendEntry(
            text=words.say("clearance-picture-skin"), colour=COLOUR, symbol="block", opacity=1.0 - (1.0 - OPACITY) ** 2
        )
        for surface in surfaces
        if surface.name == LINES
    )


def _bridged(rings: Floats) -> Floats:
    """Rings let down to the straight lines between the low points beside them; never raised."""
    rings = rings.copy()
    for direction in DOWNWARDS:
        z = rings[:, direction, 2]
        low = z.copy()
        for before in range(1, BRIDGED):
            for after in range(1, BRIDGED + 1 - before):
                share = before / (before + after)
                chord = (1.0 - share) * z[: -before - after] + share * z[before + after :]
                low[before:-after] = np.fmin(low[before:-after], chord)
        rings[:, direction, 2] = np.where(np.isfinite(z), low, z)
    return rings


def _tube(name: str, rings: Floats) -> Surface:
    """Rings of m points joined to a tube; a ring where nothing passes leaves a gap."""
    n, m, _ = rings.shape
    here = np.arange(n - 1)[:, None] * m + np.arange(m)
    beside = np.arange(n - 1)[:, None] * m + (np.arange(m) + 1) % m
    triangles = np.concatenate(
        [np.stack([here, beside, here + m], axis=-1), np.stack([beside, beside + m, here + m], axis=-1)]
    ).reshape(-1, 3)
    points = rings.reshape(-1, 3)
    known = np.asarray(np.isfinite(points).all(axis=1))
    triangles = triangles[known[triangles].all(axis=1)]
    return Surface(
        name=name,
        points=np.where(known[:, None], points, points[known].mean(axis=0)),
        triangles=triangles.astype(np.int64),
        colours=(COLOUR,),
        colour=np.zeros(len(triangles), dtype=np.int64),
        lit=False,
        opacity=OPACITY,
    )
