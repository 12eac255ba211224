"""The brief: every view of every solved state as a PNG file in one folder."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Sequence
from pathlib import Path

from linescope import stage
from linescope.errors import InputError
from linescope.export import atomic, driver, picture
from linescope.stage.ground import Ground
from linescope.stage.theme import Theme, theme_named
from linescope.stage.words import Measures, state_label
from linescope.statics.solution import Solution
from linescope.units import System


def write_brief(
    solutions: Sequence[Solution],
    findings: Sequence[str] = (),
    out_dir: str | Path = ".",
    size: tuple[int, int] = stage.PAGE,
    theme: str | Theme = "light",
    progress: Callable[[float, str], None] | None = None,
    *,
    ground: Ground | None = None,
    system: System = "metric",
    date: datetime.date | None = None,
    dpi: float | None = None,
) -> list[Path]:
    """Write one picture for each view and state, in the order a crew is briefed.

    Parameters
    ----------
    solutions : sequence of Solution
        Such as as taped and settled, each with its walker.
    findings : sequence of str
        Sentences from other results, worst first; shown in the alarm band of every picture.
    out_dir : str or Path
        Made when missing.
    size : (width, height)
        Of every picture.  [px]
    theme : str or Theme
    progress : callable, optional
        Told the share done, 0 to 1, and the name of the file just written.
    ground : Ground, optional
        Triangles under the line.
    system : {"metric", "feet"}
    date : datetime.date, optional
        Default today.
    dpi : float, optional
        Noted in the files.

    Returns
    -------
    list of Path
        The files, each written whole.

    Raises
    ------
    InputError
        Nothing to draw, two states that cannot be told apart, an unknown theme, a size out of range.
    SystemPackageError
        When this system cannot draw.
    OutputError
        When a file cannot be written; those written before are complete.
    """
    look = theme_named(theme)
    jobs = [
        (solution, view, name)
        for solution in solutions
        for view, name in zip(stage.VIEWS, file_names(solution), strict=True)
    ]
    if not jobs:
        raise InputError("there is no solved state to draw", key="solutions", found=0, allowed="at least one")
    names = [name for _, _, name in jobs]
    if len(set(names)) < len(names):
        raise InputError(
            "two states of the brief have the same name",
            key="solutions",
            found=", ".join(sorted(names)),
            allowed="states that differ in kind or in the walker's place",
        )
    picture.check_size(size)
    driver.probe()
    folder = atomic.folder(out_dir)
    files = []
    for k, (solution, view, name) in enumerate(jobs):
        scene = stage.build(
            solution,
            view=view,
            theme=look,
            ground=ground,
            size=size,
            system=system,
            date=date,
            findings=tuple(findings),
        )
        files.append(picture.render(scene, size, folder / name, dpi))
        if progress is not None:
            progress((k + 1) / len(jobs), name)
    return files


def file_names(solution: Solution) -> list[str]:
    """Names of a state's pictures in the order of `stage.VIEWS`, such as "1-overview-as-taped-empty.png"."""
    state = state_label(solution, Measures()).replace("nobody on the line", "empty")
    slug = re.sub(r"[^a-z0-9]+", "-", state.lower()).strip("-")
    return [f"{k + 1}-{view}-{slug}.png" for k, view in enumerate(stage.VIEWS)]
