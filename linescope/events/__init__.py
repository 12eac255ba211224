"""What happens to a line: crossings with friction, wind, falls, loss of the main, and what they do to excess.

Each event is a function of a rig that returns a frozen result; nothing here draws.
"""

from __future__ import annotations

import warnings
from typing import TYPE_CHECKING

# The module has the name of a function: were it loaded later, its own name would stand for it.
from linescope.events.main_gone import MainGone, Release, height_rule, main_gone, main_gone_sweep
from linescope.lazy import lazy

if TYPE_CHECKING:
    from linescope.events.air import Coating, gust_factor, ice_sleeve, mean_speed, soaked
    from linescope.events.as_built import AsBuilt, implied_loops
    from linescope.events.bands import Bands, find_bands
    from linescope.events.crossing import Crossing, cross
    from linescope.events.drag import WindLoad, wind_loading
    from linescope.events.excess import FourStates, four_states
    from linescope.events.fall import LeashFall, LeashFallSweep, leash_fall, leash_fall_sweep
    from linescope.events.fine_crossing import cross_refined
    from linescope.events.fitted import Fitted, fit_readings
    from linescope.events.friction import Downhill, DownhillZone, downhill
    from linescope.events.let_go import LetGo, find_let_go
    from linescope.events.marks import Marks, marks_for
    from linescope.events.moved import with_input
    from linescope.events.wind import WindCase, WindResult, find_wind

_OLD = {"Creep": "Downhill", "CreepZone": "DownhillZone", "creep": "downhill"}

_LATER = lazy(__name__, {
    "linescope.events.air": ("Coating", "gust_factor", "ice_sleeve", "mean_speed", "soaked"),
    "linescope.events.as_built": ("AsBuilt", "implied_loops"),
    "linescope.events.bands": ("Bands", "find_bands"),
    "linescope.events.crossing": ("Crossing", "cross"),
    "linescope.events.drag": ("WindLoad", "wind_loading"),
    "linescope.events.excess": ("FourStates", "four_states"),
    "linescope.events.fall": ("LeashFall", "LeashFallSweep", "leash_fall", "leash_fall_sweep"),
    "linescope.events.fine_crossing": ("cross_refined",),
    "linescope.events.fitted": ("Fitted", "fit_readings"),
    "linescope.events.friction": ("Downhill", "DownhillZone", "downhill"),
    "linescope.events.let_go": ("LetGo", "find_let_go"),
    "linescope.events.marks": ("Marks", "marks_for"),
    "linescope.events.moved": ("with_input",),
    "linescope.events.wind": ("WindCase", "WindResult", "find_wind"),
})

__all__ = [
    "AsBuilt",
    "Bands",
    "Coating",
    "Crossing",
    "Downhill",
    "DownhillZone",
    "Fitted",
    "FourStates",
    "LeashFall",
    "LeashFallSweep",
    "LetGo",
    "MainGone",
    "Marks",
    "Release",
    "WindCase",
    "WindLoad",
    "WindResult",
    "cross",
    "cross_refined",
    "downhill",
    "find_bands",
    "find_let_go",
    "find_wind",
    "fit_readings",
    "four_states",
    "gust_factor",
    "height_rule",
    "ice_sleeve",
    "implied_loops",
    "leash_fall",
    "leash_fall_sweep",
    "main_gone",
    "main_gone_sweep",
    "marks_for",
    "mean_speed",
    "soaked",
    "wind_loading",
    "with_input",
]


def __getattr__(name: str) -> object:
    """Names when they are first used, and those of the version before, which warn."""
    if name not in _OLD:
        return _LATER(name)
    warnings.warn(f"linescope.events.{name} is {_OLD[name]} now", DeprecationWarning, stacklevel=2)
    return _LATER(_OLD[name])
