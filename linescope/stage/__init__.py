"""Results become a scene: ribbons, symbols, measures and labels as data.  No window, no drawing library."""

from __future__ import annotations

import datetime

from linescope.errors import InputError
from linescope.stage.ground import Ground
from linescope.stage.items import Stage
from linescope.stage.theme import DARK, LIGHT, THEMES, Theme, theme_named
from linescope.stage.views import VIEWS
from linescope.stage.views.page import Brief
from linescope.stage.words import Measures
from linescope.statics.solution import Solution
from linescope.units import System

__all__ = ["DARK", "LIGHT", "THEMES", "VIEWS", "Stage", "Theme", "build"]

PAGE = (2000, 1414)
"""Default size of a picture: the shape of A4 lying down.  [px]"""


def build(
    solution: Solution,
    *,
    view: str,
    theme: str | Theme = "light",
    ground: Ground | None = None,
    size: tuple[int, int] = PAGE,
    system: System = "metric",
    date: datetime.date | None = None,
    findings: tuple[str, ...] = (),
) -> Stage:
    """One picture of a solved rig, complete but not drawn.

    Parameters
    ----------
    solution : Solution
    view : str
        A key of `VIEWS`.
    theme : str or Theme
        A key of `THEMES`.
    ground : Ground, optional
        Anything with `vertices` (n, 3) [m] and `faces` (t, 3), such as `linescope.terrain.Terrain`.
    size : (width, height)
        Of the picture that will be made; cameras and symbol sizes follow from it.  [px]
    system : {"metric", "feet"}
    date : datetime.date, optional
        Printed on the picture; default today.
    findings : tuple of str
        Sentences from other results that must be read with the picture.

    Raises
    ------
    InputError
        When the view or theme does not exist.
    """
    if view not in VIEWS:
        raise InputError("there is no such view", key="view", found=view, allowed=", ".join(VIEWS))
    return VIEWS[view](
        Brief(
            solution=solution,
            ground=ground,
            theme=theme_named(theme),
            measures=Measures(system=system),
            page=size,
            date=date or datetime.date.today(),
            findings=findings,
        )
    )
