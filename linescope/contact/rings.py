"""The leash ring on the main: its weight on every crossing, the pull of the leash in a fall.

A ring of metal drawn along the top of the main with its own weight on it does mu m g of work a metre: the same
everywhere, so there is no worst place.  In a leash fall it runs a little way under the pull of the catch.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from linescope.contact.ledger import BIN, Book, Face, Tracks
from linescope.rig.layout import Layout
from linescope.statics.assemble import G


def ring_work(friction: float, mass: float) -> float:
    """Work of a crossing, there and back: 2 mu m g.

    Parameters
    ----------
    friction : float
        [-]
    mass : float
        [kg]

    Returns
    -------
    float
        [J/m]
    """
    return 2.0 * friction * mass * G


def ring_tracks(layout: Layout, per_metre: float, widest: float = BIN) -> Tracks:
    """A ring that rubs evenly along the main's top.

    Parameters
    ----------
    layout : Layout
    per_metre : float
        [J/m]
    widest : float
        Widest bin.  [m]
    """
    book = Book(layout, widest)
    book.work[Face.MAIN_TOP] += per_metre * np.diff(book.edges[Face.MAIN_TOP])
    return book.close()


def fall_tracks(
    layout: Layout, at: Sequence[float], pull: Sequence[float], *, friction: float, share: float, run: float,
    widest: float = BIN
) -> Tracks:
    """Rings that run in leash falls.

    Parameters
    ----------
    layout : Layout
    at : sequence of float
        Material coordinates on the main.  [m]
    pull : sequence of float
        Greatest force on the ring in each fall.  [N]
    friction, share : float
        Coefficient; mean of the force over its greatest, while the ring runs.  [-]
    run : float
        How far it runs, about the place.  [m]
    widest : float
        Widest bin.  [m]
    """
    book = Book(layout, widest)
    force = share * np.asarray(pull, dtype=float)
    book.spread(Face.MAIN_TOP, np.asarray(at, dtype=float), run, friction * force * run)
    return book.close()
