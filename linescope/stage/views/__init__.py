"""The table of views.  A new picture is one file here and one line in `VIEWS`, in the order of the brief."""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType

from linescope.stage.items import Stage
from linescope.stage.views import closeup, elevation, overview
from linescope.stage.views.page import Brief

VIEWS: MappingProxyType[str, Callable[[Brief], Stage]] = MappingProxyType(
    {
        "overview": overview.build,
        "elevation": elevation.build,
        "closeup": closeup.build,
    }
)
