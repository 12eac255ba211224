"""linescope: a highline's pair of lines, computed and shown before rigging.

The main job in a few lines::

    import linescope

    rig = linescope.load("scenes/heron_gap.toml")
    solution = linescope.solve(rig, "as taped")
    print(linescope.figures_text(linescope.figures(rig)))
    linescope.write_brief(rig, "briefing")

Names are loaded when first used, so that ``import linescope`` stays quick and draws nothing.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

if TYPE_CHECKING:
    from linescope.scenefile import load, schema, start
    from linescope.statics import Plan, Solution, plan, solve

_HOME = {
    "load": "linescope.scenefile",
    "schema": "linescope.scenefile",
    "start": "linescope.scenefile",
    "Plan": "linescope.statics",
    "Solution": "linescope.statics",
    "plan": "linescope.statics",
    "solve": "linescope.statics",
}

__all__ = ["Plan", "Solution", "__version__", "load", "plan", "schema", "solve", "start"]


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(importlib.import_module(_HOME[name]), name)
    raise AttributeError(f"module 'linescope' has no attribute '{name}'")


def __dir__() -> list[str]:
    return sorted(__all__)
