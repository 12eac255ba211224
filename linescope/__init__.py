"""linescope: a highline's pair of lines, computed and shown before rigging.

The main job in a few lines::

    import linescope

    scene = linescope.load("scenes/heron_gap.toml")
    solution = linescope.solve(scene, walker="30 m")
    solution.plot_side()
    study = linescope.Study(scene, leave=linescope.Study.SLOW)
    print(linescope.figures_text(study))
    linescope.write_briefing(scene, "briefing")

Names are loaded when first used, so that ``import linescope`` stays quick and draws nothing.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

if TYPE_CHECKING:
    from linescope.clearance import find_clearance
    from linescope.contact import compare, find_touches, find_wear
    from linescope.events import fit_readings
    from linescope.export.briefing import write_briefing
    from linescope.notebook import solve, sweep
    from linescope.report.figures import figures_json
    from linescope.report.people import figures_text
    from linescope.scene import Scene, load
    from linescope.scenefile import schema, start
    from linescope.statics import Plan, Solution, cut_list, plan
    from linescope.study import Study

_HOME = {
    "Plan": "linescope.statics",
    "Scene": "linescope.scene",
    "Solution": "linescope.statics",
    "Study": "linescope.study",
    "compare": "linescope.contact",
    "cut_list": "linescope.statics",
    "figures_json": "linescope.report.figures",
    "figures_text": "linescope.report.people",
    "find_clearance": "linescope.clearance",
    "find_touches": "linescope.contact",
    "find_wear": "linescope.contact",
    "fit_readings": "linescope.events",
    "load": "linescope.scene",
    "plan": "linescope.statics",
    "schema": "linescope.scenefile",
    "solve": "linescope.notebook",
    "start": "linescope.scenefile",
    "sweep": "linescope.notebook",
    "write_briefing": "linescope.export.briefing",
}

__all__ = [
    "Plan",
    "Scene",
    "Solution",
    "Study",
    "__version__",
    "compare",
    "cut_list",
    "figures_json",
    "figures_text",
    "find_clearance",
    "find_touches",
    "find_wear",
    "fit_readings",
    "load",
    "plan",
    "schema",
    "solve",
    "start",
    "sweep",
    "write_briefing",
]


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(importlib.import_module(_HOME[name]), name)
    raise AttributeError(f"module 'linescope' has no attribute '{name}'")


def __dir__() -> list[str]:
    return sorted(__all__)
