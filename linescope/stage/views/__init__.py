"""The table of views.  A new picture is one file here and one line in `VIEWS`, in the order of the brief."""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType
from typing import Any

from linescope.stage.items import Stage
from linescope.stage.views import (
    closeup,
    compare,
    elevation,
    friction,
    loops,
    main_gone,
    no_fall,
    overview,
    rub,
    strip_map,
    tension,
    touch,
    wind,
)
from linescope.stage.views.page import Brief, View


def _of(build: Callable[[Brief, Any], Stage], name: str) -> View:
    """A view made from one result, missing when that is."""
    return View(build=lambda brief: build(brief, brief.study.get(name)), needs=(name,), per_state=False)


VIEWS: MappingProxyType[str, View] = MappingProxyType(
    {
        "overview": View(build=overview.build),
        "elevation": View(build=elevation.build),
        "tension": View(build=tension.build, needs=("meter",), per_state=False),
        "loops-from-a": View(build=loops.build, needs=("standing",), per_state=False),
        "closeup": View(build=closeup.build),
        "tape-map": View(build=strip_map.build, needs=("standing",), per_state=False),
        "no-fall": View(build=no_fall.build, needs=("fall_sweep",), per_state=False),
        "main-gone": View(build=main_gone.build, needs=("main_gone", "main_gone_sweep"), per_state=False),
        "friction": View(build=friction.build, needs=("let_go",), per_state=False),
        "wind": View(build=wind.build, needs=("wind",), per_state=False),
        "touch": _of(touch.build, "touch"),
        "rub": _of(rub.build, "rub"),
        "styles": _of(compare.build, "compare"),
    }
)
"""Name -> how it is built, and what it needs.  Names and their order make the file names of a brief."""
