"""The table of views.  A new picture is one file here and one line in `VIEWS`, in the order of the brief."""

from __future__ import annotations

from types import MappingProxyType

from linescope.stage.views import closeup, elevation, overview
from linescope.stage.views.page import View

VIEWS: MappingProxyType[str, View] = MappingProxyType(
    {
        "overview": View(build=overview.build),
        "elevation": View(build=elevation.build),
        "closeup": View(build=closeup.build),
    }
)
"""Name -> how it is built, and what it needs.  Names and their order make the file names of a brief."""
