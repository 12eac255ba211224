"""Results become a scene: ribbons, symbols, measures and labels as data.  No window, no drawing library."""

from __future__ import annotations

import datetime

from linescope.errors import InputError
from linescope.stage.ground import Ground, Site, site
from linescope.stage.items import Stage
from linescope.stage.page import Brief, PictureKind
from linescope.stage.theme import DARK, LIGHT, THEMES, Theme, theme_named
from linescope.stage.views import VIEWS
from linescope.statics.solution import Solution
from linescope.study import Study
from linescope.units import System
from linescope.words import Words

__all__ = [
    "DARK",
    "LIGHT",
    "THEMES",
    "VIEWS",
    "PictureKind",
    "Stage",
    "Theme",
    "brief_of",
    "build",
]

PAGE = (2000, 1414)
"""Default size of a picture: the shape of A4 lying down.  [px]"""


def brief_of(
    solution: Solution,
    *,
    theme: str | Theme = "light",
    ground: Ground | Site | None = None,
    size: tuple[int, int] = PAGE,
    system: System = "metric",
    date: datetime.date | None = None,
    findings: tuple[str, ...] = (),
    study: Study | None = None,
) -> Brief:
    """What views are built from.

    Parameters
    ----------
    solution, theme, ground, size, system, date, findings, study
        See `build`.
    """
    if ground is not None and not isinstance(ground, Site):
        ground = site(ground, solution.rig)
    return Brief(
        solution=solution,
        ground=ground,
        theme=theme_named(theme),
        measures=Words(system=system),
        page=size,
        date=date or datetime.date.today(),
        findings=findings,
        study=study or Study(solution.rig, leave={*Study.SLOW, "bands"}),
    )


def build(
    solution: Solution,
    *,
    view: str,
    theme: str | Theme = "light",
    ground: Ground | Site | None = None,
    size: tuple[int, int] = PAGE,
    system: System = "metric",
    date: datetime.date | None = None,
    findings: tuple[str, ...] = (),
    study: Study | None = None,
) -> Stage:
    """One picture of a solved rig, complete but not drawn.

    Parameters
    ----------
    solution : Solution
    view : str
        A key of `VIEWS`.
    theme : str or Theme
        A key of `THEMES`.
    ground : Ground or Site, optional
        Anything with `vertices` (n, 3) [m] and `faces` (t, 3), such as `linescope.terrain.Terrain`; a `Site` saves
        time when several pictures show the same ground.
    size : (width, height)
        Of the picture that will be made; cameras and symbol sizes follow from it.  [px]
    system : {"metric", "feet"}
    date : datetime.date, optional
        Printed on the picture; default today.
    findings : tuple of str
        Sentences from other results that must be read with the picture.
    study : Study, optional
        Results of events and distances, which most views need; default one of this rig without what takes long.

    Raises
    ------
    InputError
        When the view or theme does not exist, or the view needs a result that is missing.
    """
    if view not in VIEWS:
        raise InputError("there is no such view", key="view", found=view, allowed=", ".join(VIEWS))
    brief = brief_of(
        solution,
        theme=theme,
        ground=ground,
        size=size,
        system=system,
        date=date,
        findings=findings,
        study=study,
    )
    missing = VIEWS[view].missing(brief)
    if missing:
        raise InputError("this picture cannot be drawn", key=f"view {view}", found=missing)
    return VIEWS[view].build(brief)
