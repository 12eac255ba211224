"""Units live here and at the edges only: text with a unit in, SI numbers out, and back.

One pint registry serves the whole program.  Inside the package every number is SI (m, kg, s, N, rad).
"""

from __future__ import annotations

import functools
import math
import re
from typing import Any

from linescope.errors import InputError

_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_QUANTITY = re.compile(rf"^\s*({_NUMBER}|[+-]?nan|[+-]?inf(?:inity)?)\s*(.*?)\s*$", re.IGNORECASE)

DIMENSIONS: dict[str, tuple[str, str]] = {
    # name: (SI unit, examples shown in error messages)
    "length": ("m", '"48 m", "25 mm", "2.5 in", "12 ft"'),
    "mass": ("kg", '"75 kg", "165 lb", "3 g"'),
    "line mass": ("kg/m", '"62 g/m", "4.2 lb/(100 ft)"'),
    "force": ("N", '"1.8 kN", "30 N", "400 lbf"'),
    "speed": ("m/s", '"8 m/s", "29 km/h", "18 mph"'),
    "angle": ("rad", '"90 deg", "0.5 rad"'),
    "density": ("kg/m**3", '"1.225 kg/m^3"'),
    "ratio": ("", '"5 %", "0.05"'),
    "time": ("s", '"90 s", "1.5 min"'),
    "tape time": ("s", '"45 s", "2 min"'),
}
