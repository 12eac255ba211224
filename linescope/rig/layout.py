"""Where tapes, ties and joints sit on both lines, from the tape plan and the main's length.

The plan states spacing and excess for slack or for tensioned main (`Taping.measured_on`).  Here it becomes material
coordinates: unstretched metres from anchor A, on the main and on the backup.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError
from linescope.rig.model import Hold, Rig, TapeZone
from linescope.taping import Holds

Floats = NDArray[np.float64]

SAME_PLACE = 0.01  # Two marks closer than this are one [m]: about half a tape's width.


@dataclass(frozen=True, kw_only=True)
class TapeMark:
    """One place where main and backup meet.

    Attributes
    ----------
    number : int
        1 for the first from anchor A.
    kind : {"tape", "tie"}
        A tie (or tied joint) holds both lines for good.
    family : str
        Taping family; "tie" for ties.
    holds : Holds
    zone : int
        Index of the tape zone it lies in.
    hold : Hold
        What it resists before the sliding line slips.
    """

    number: int
    kind: Literal["tape", "tie"]
    family: str
    holds: Holds
    zone: int
    hold: Hold


@dataclass(frozen=True, eq=False, kw_only=True)
class Layout:
    """The pair of lines as made, lying slack.

    Attributes
    ----------
    tapes : tuple of TapeMark
        n places, from A to B.
    tape_main, tape_backup : (n,) arrays
        Material coordinates.  [m]
    main_length, backup_length : float
        Unstretched, anchor to anchor.  [m]
    stated_bays : (n+1,) array
        Bays as the plan states them, in the state it refers to.  [m]
    stated_excess : (n+1,) array
        [-]
    marking_strain : float
        Strain of the main in the state the plan refers to; 0 for slack.  [-]
    joint_main : (j,) array
        Material coordinate of untied joints with mass, on the main.  [m]
    joint_mass : (j,) array
        [kg]
    """

    tapes: tuple[TapeMark, ...]
    tape_main: Floats
    tape_backup: Floats
    main_length: float
    backup_length: float
    stated_bays: Floats
    stated_excess: Floats
    marking_strain: float
    joint_main: Floats
    joint_mass: Floats
