"""What happens to a line: crossings with friction, wind, falls, loss of the main, and what they do to excess.

Each event is a function of a rig that returns a frozen result; nothing here draws.
"""

import warnings

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
from linescope.events.main_gone import MainGone, Release, height_rule, main_gone, main_gone_sweep
from linescope.events.marks import Marks, marks_for
from linescope.events.moved import with_input
from linescope.events.wind import WindCase, WindResult, find_wind

_OLD = {"Creep": "Downhill", "CreepZone": "DownhillZone", "creep": "downhill"}

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
    """Names of the version before, which warn."""
    if name not in _OLD:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    warnings.warn(f"linescope.events.{name} is {_OLD[name]} now", DeprecationWarning, stacklevel=2)
    return globals()[_OLD[name]]
