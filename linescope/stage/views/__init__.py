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


def _from_evidence(build: Callable[[Brief, Any], Stage], name: str, why: str) -> View:
    """A view made from one piece of evidence, missing when that is."""
    return View(
        build=lambda brief: build(brief, getattr(brief.evidence, name)),
        missing=lambda brief: why if getattr(brief.evidence, name) is None else "",
        per_state=False,
    )


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
        "touch": _from_evidence(touch.build, "touching", "where the lines touch was not computed"),
        "rub": _from_evidence(rub.build, "rub", "rub was not computed"),
        "styles": _from_evidence(compare.build, "comparison", "the tape styles were not compared"),
    }
)
"""Name -> how it is built, and what it needs.  Names and their order make the file names of a brief."""
