"""The table of views.  A new picture is one file here and one line in `VIEWS`, in the order of the brief."""

from __future__ import annotations

from types import MappingProxyType

from linescope.stage.views import (
    closeup,
    elevation,
    friction,
    loops,
    main_gone,
    no_fall,
    overview,
    strip_map,
    tension,
    wind,
)
from linescope.stage.views.page import View

VIEWS: MappingProxyType[str, View] = MappingProxyType(
    {
        "overview": View(build=overview.build),
        "elevation": View(build=elevation.build),
        "tension": View(build=tension.build, missing=tension.missing, per_state=False),
        "loops-from-a": View(build=loops.build, missing=loops.missing, per_state=False),
        "closeup": View(build=closeup.build),
        "tape-map": View(build=strip_map.build, missing=strip_map.missing, per_state=False),
        "no-fall": View(build=no_fall.build, missing=no_fall.missing, per_state=False),
        "main-gone": View(build=main_gone.build, missing=main_gone.missing, per_state=False),
        "friction": View(build=friction.build, missing=friction.missing, per_state=False),
        "wind": View(build=wind.build, missing=wind.missing, per_state=False),
    }
)
"""Name -> how it is built, and what it needs.  Names and their order make the file names of a brief."""
