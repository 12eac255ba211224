"""The brief: every view whose data are known as a PNG file in one folder."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

from linescope import atomic, stage
from linescope.errors import InputError
from linescope.export import driver, picture
from linescope.export.picture_size import check_size
from linescope.stage.ground import Ground, Site, site
from linescope.stage.theme import Theme, theme_named
from linescope.statics.solution import Solution
from linescope.study import Study
from linescope.units import System
from linescope.words import Words
from linescope.words.frame import state_label

WAITING = 2  # Pictures drawn but not yet written, at most.


def write_brief(
    solutions: Sequence[Solution],
    findings: Sequence[str] = (),
    out_dir: str | Path = ".",
    size: tuple[int, int] = stage.PAGE,
    theme: str | Theme = "light",
    progress: Callable[[float, str], None] | None = None,
    *,
    ground: Ground | Site | None = None,
    system: System = "metric",
    date: datetime.date | None = None,
    dpi: float | None = None,
    study: Study | None = None,
    views: Sequence[str] | None = None,
) -> list[Path]:
    """Write the pictures of a brief, in the order a crew is briefed.

    Pictures of the solved state are written for every solution, pictures of events once.  A view whose data are
    missing is left out; `progress` is told so, and `left_out` lists them beforehand.

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
        Told the share done, 0 to 1, and the name of the file just written or what was left out and why.
    ground : Ground or Site, optional
        Triangles under the line.
    system : {"metric", "feet"}
    date : datetime.date, optional
        Default today.
    dpi : float, optional
        Noted in the files.  [1/inch]
    study : Study, optional
        Results of events and distances, which most views need; default one without what takes long.
    views : sequence of str, optional
        Only these; default all of `linescope.stage.VIEWS`.

    Returns
    -------
    list of Path
        The files, each written whole.

    Raises
    ------
    InputError
        Nothing to draw, two states that cannot be told apart, an unknown theme or view, a size out of range.
    SystemPackageError
        When this system cannot draw.
    OutputError
        When a file cannot be written; those written before are complete.
    """
    if not solutions:
        raise InputError("there is no solved state to draw", key="solutions", found=0, allowed="at least one")
    look = theme_named(theme)
    wanted = _wanted(views)
    check_size(size)
    if ground is not None and not isinstance(ground, Site):
        ground = site(ground, solutions[0].rig)
    about = {
        "theme": look,
        "ground": ground,
        "size": size,
        "system": system,
        "date": date,
        "findings": tuple(findings),
        "study": study,
    }
    missing = left_out(solutions[0], ground=ground, study=study)
    jobs = [
        (solution, view, file_name(view, solution))
        for view in wanted
        if view not in missing
        for solution in (solutions if stage.VIEWS[view].per_state else solutions[:1])
    ]
    names = [name for _, _, name in jobs]
    if len(set(names)) < len(names):
        raise InputError(
            "two states of the brief have the same name",
            key="solutions",
            found=", ".join(sorted(names)),
            allowed="states that differ in kind or in the walker's place",
        )
    driver.probe()
    folder = atomic.folder(out_dir)
    tell = progress or (lambda share, text: None)
    for view, why in missing.items():
        if view in wanted:
            tell(0.0, f"no picture {view}: {why}")
    files: list[Path] = []
    with ThreadPoolExecutor(max_workers=1) as writer:
        # Compressing one picture lets the next be drawn meanwhile: it holds no lock.
        pending: list[tuple[str, Future[Path]]] = []
        for solution, view, name in jobs:
            scene = stage.build(solution, view=view, **about)  # type: ignore[arg-type]
            drawing = picture.compose(scene, size)
            pending.append((name, writer.submit(picture.write, drawing, scene, folder / name, dpi)))
            while pending and (pending[0][1].done() or len(pending) > WAITING):
                _finish(pending, files, tell, len(jobs))
        while pending:
            _finish(pending, files, tell, len(jobs))
    return files


def _finish(
    pending: list[tuple[str, Future[Path]]], files: list[Path], tell: Callable[[float, str], None], count: int
) -> None:
    name, written = pending.pop(0)
    files.append(written.result())
    tell(len(files) / count, name)


def _wanted(views: Sequence[str] | None) -> list[str]:
    for view in views or ():
        if view not in stage.VIEWS:
            raise InputError("there is no such view", key="views", found=view, allowed=", ".join(stage.VIEWS))
    return [view for view in stage.VIEWS if views is None or view in views]


def left_out(
    solution: Solution, *, ground: Ground | Site | None = None, study: Study | None = None
) -> dict[str, str]:
    """Views that cannot be drawn, and why."""
    brief = stage.brief_of(solution, ground=ground, study=study)
    reasons = {name: view.missing(brief) for name, view in stage.VIEWS.items()}
    return {name: why for name, why in reasons.items() if why}


def file_name(view: str, solution: Solution) -> str:
    """Such as "01-overview-as-taped-empty.png"; pictures of events carry no state: "08-no-fall.png".

    The number is the view's place in `stage.VIEWS`, so a name stays the same whatever is left out.
    """
    number = list(stage.VIEWS).index(view) + 1
    if not stage.VIEWS[view].per_state:
        return f"{number:02d}-{view}.png"
    state = state_label(solution, Words("metric", "en")).replace("nobody on the line", "empty")
    slug = re.sub(r"[^a-z0-9]+", "-", state.lower()).strip("-")
    return f"{number:02d}-{view}-{slug}.png"
