"""What is asked of many pairs at once, and what is found for them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.statics.segments import Segments
from linescope.statics.stack import Stack

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, eq=False, kw_only=True)
class Asked:
    """Standing tensions asked for: the length of each main is then an unknown.

    Attributes
    ----------
    tension : (R,) array
        [N]
    at_b : (R,) bool array
        Whether it is read at anchor B instead of A.
    by : (K,) array
        How each piece's unstretched length changes with that of its main.  [-]
    """

    tension: Floats
    at_b: Flags
    by: Floats

    def pick(self, stack: Stack, which: Ints) -> Asked:
        """Of some of the pairs of a stack."""
        return Asked(tension=self.tension[which], at_b=self.at_b[which], by=self.by[stack.numbers_of(which)[1]])


@dataclass(frozen=True, eq=False, kw_only=True)
class Balanced:
    """What was found for the pairs of a stack.

    Attributes
    ----------
    places : (N, 3) array
        Of the nodes.  [m]
    slides : (N,) array
        Where the sliding line is held at each node; 0 where none slides.  [m]
    segments : Segments
        All K pieces there.
    residual : (R,) array
        Largest unbalanced force.  [N]
    steps : (R,) int array
        Newton steps taken.
    done : (R,) bool array
        Whether a pair balances; where not, nothing else of it means anything.
    longer : (R,) array
        By how much each main has become longer where its tension was asked for, else 0.  [m]
    """

    places: Floats
    slides: Floats
    segments: Segments
    residual: Floats
    steps: Ints
    done: Flags
    longer: Floats
