"""What happens in a film, frame by frame, as data; and a walker who crosses."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError
from linescope.events.friction import HoldLevel
from linescope.export.sheet_walk import above_ground, below_chord, height_words
from linescope.notes import Term
from linescope.rig import Rig
from linescope.stage import dimensions, lines, person, tapes
from linescope.stage.ground import Ground
from linescope.stage.items import Surface, Symbols, Wire
from linescope.stage.ring import backup_by_bay, free_loop
from linescope.stage.theme import Theme
from linescope.statics import Plan, Solution
from linescope.study import Study
from linescope.topics.state import most
from linescope.words import Loud, Words

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])
SEEN = 3.0  # The near view shows bays to so many times its reach from the walker, since it looks along the line.


@dataclass(frozen=True, eq=False, kw_only=True)
class Shot:
    """One frame.

    Attributes
    ----------
    main : (n, 3) array or None
        None once it is gone.  [m]
    backup, tapes : (n, 3) arrays
        [m]
    focus : (3,) array
        What the near view follows: feet or ring.  [m]
    foot : (3,) array
        Lowest foot.  [m]
    head : (3,) array
        [m]
    surfaces, wires, symbols : tuple
        Of the near view.
    caption : str
    figures : tuple of (str, str)
        Name and value, as many in every frame.
    at : float
        Where the frame lies on the graph's axis.  [m or s]
    values : tuple of float
        One for each curve of the graph.  [N, or rad where the reel graphs angles]
    stub : (n, 3) array or None
        Of a main that parted, the part at anchor B.  [m]
    """

    main: Floats | None
    backup: Floats
    tapes: Floats
    focus: Floats
    foot: Floats
    head: Floats
    surfaces: tuple[Surface, ...]
    wires: tuple[Wire, ...]
    symbols: tuple[Symbols, ...]
    caption: str
    figures: tuple[tuple[str, str], ...]
    at: float
    values: tuple[float, ...]
    stub: Floats | None = None


@dataclass(frozen=True, eq=False, kw_only=True)
class Reel:
    """A film before it is drawn.

    Attributes
    ----------
    title, note : str
        What it shows, and what must be known about it.
    axis : str
        Name of the graph's axis.
    curves : tuple of str
        Names of the graph's curves.
    shots : tuple of Shot
    reach : float
        Half of what the near view shows across.  [m]
    fixed : (2, 3) array or None
        Where the near view stays, from upper to lower point; None when it follows.  [m]
    dimension : {"length", "time"}
        Of the graph's axis.
    trace : tuple of (n,) and (n, k) array or None
        The graph's axis and its k curves, finer than the frames.  [m or s, N or rad]
    graphs : {"force", "angle"}
        Of the graph's curves.
    end_on : bool
        Whether the near view looks along the line, as from anchor A, instead of across it.
    tall : float
        Half of what the near view shows from top to bottom, at least.  [m]
    blows : (3,) array or None
        Where the wind of the near view blows to.  [-]
    ranges : str
        What is expected over the ranges of all inputs, beside the one course that is shown.
    """

    title: str
    note: str
    axis: str
    curves: tuple[str, ...]
    shots: tuple[Shot, ...]
    reach: float
    fixed: Floats | None = None
    dimension: Literal["length", "time"] = "length"
    trace: tuple[Floats, Floats] | None = None
    graphs: Literal["force", "angle"] = "force"
    end_on: bool = False
    tall: float = 1.75
    blows: Floats | None = None
    ranges: str = ""


def _share(progress: Callable[[float], None] | None) -> Callable[[float, str], None] | None:
    """Of one result, told without its name."""
    return None if progress is None else lambda share, what: progress(share)


def crossing_reel(
    rig: Rig,
    *,
    frames: int,
    theme: Theme,
    measures: Words,
    ground: Ground | None,
    level: HoldLevel = "value",
    planned: Plan | None = None,
    progress: Callable[[float], None] | None = None,
) -> Reel:
    """A walker from A to B, tapes sticking and slipping as their hold says.

    Raises
    ------
    InputError
        When the rig has no walker.
    SolveError
    """
    planned = Study(rig).planned if planned is None else planned
    bays = len(planned.layout.tapes) + 1
    per_bay = max(1, -(-frames // bays))
    study = Study(rig, per_bay=per_bay, ways=("A to B",), progress=_share(progress), given={"planned": planned})
    study.run([f"crossing_{level}"])
    walked = study.crossing(level)
    if not walked:
        raise InputError("a film needs a walker", key="walker")
    steps = np.round(np.linspace(0, len(walked.walker) - 1, frames)).astype(int)
    reach = max(1.7 * float(np.median(planned.layout.stated_bays)), 3.2)
    shots = tuple(_crossing_shot(walked.solution_at(int(step)), theme, measures, ground, reach) for step in steps)
    return Reel(
        title=measures.say("film-crossing", hold=Term(f"film-hold-{level}")),
        note=measures.say("film-note"),
        axis=measures.say("film-axis"),
        curves=(measures.say("film-main-a"), measures.say("film-main-b")),
        shots=shots,
        reach=reach,
    )


def _seen_bays(solution: Solution, bay: int, reach: float) -> range:
    """Bays that the near view can show round one of them, two to both sides at least."""
    ends = dimensions.nodes(solution, "main")
    away = np.linalg.norm(ends - ends[bay : bay + 2].mean(axis=0), axis=1)
    seen = np.flatnonzero(away < SEEN * reach)
    first, last = (int(seen[0]), int(seen[-1])) if len(seen) else (bay, bay)
    return range(max(0, min(first - 1, bay - 2)), min(len(ends) - 1, max(last + 1, bay + 3)))


def _crossing_shot(
    solution: Solution, theme: Theme, measures: Words, ground: Ground | None, reach: float
) -> Shot:
    rig, feet, bays = solution.rig, solution.walker_point, solution.bays
    if rig.walker is None or feet is None:
        raise InputError("a crossing needs a walker", key="walker")
    bay = dimensions.walker_bay(solution)
    near = _seen_bays(solution, bay, reach)
    body, leash = person.walker(solution)
    wraps = tuple(
        tapes.wrap(solution, tape.number) for tape in solution.layout.tapes if near.start <= tape.number <= near.stop
    )
    deepest = int(np.argmax(bays.loop_depth))
    place = float(rig.along_chord(feet))
    height = height_words(float(above_ground(ground, feet[None])[0]), measures)
    tight, say = int(np.sum(bays.excess < 0.0)), measures.say
    loop = measures.length(float(bays.loop_depth[bay])) if bays.excess[bay] >= 0.0 else Loud(say("frame-tight"))
    deep = say("film-deepest-in", depth=measures.length(float(bays.loop_depth[deepest])), bay=deepest + 1)
    without = Loud(say("count-of", count=tight, total=len(bays.excess))) if tight else say("none")
    return Shot(
        main=solution.main.sample(12).points,
        backup=solution.backup.sample(12).points,
        tapes=solution.tape_points,
        focus=feet,
        foot=feet,
        head=feet + rig.walker.height * UP,
        surfaces=(*lines.ribbons(solution, near, per_segment=24, ring=True), *wraps, *body),
        wires=(*free_loop(solution, theme), *_near_lines(solution, near, theme), *leash),
        symbols=_near_symbols(solution, near, theme),
        caption=say("film-bay", bay=bay + 1, total=len(bays.length)),
        figures=(
            (say("film-walker"), measures.place(place)),
            (say("film-main-a"), measures.force(solution.tension_a)),
            (say("film-main-b"), measures.force(solution.tension_b)),
            (say("film-backup"), measures.force(most(solution.backup))),
            (say("film-feet-chord"), measures.length(below_chord(solution, feet))),
            (say("film-feet-ground"), height),
            (say("film-loop"), loop),
            (say("film-deepest"), deep),
            (say("film-tight-bays"), without),
        ),
        at=place,
        values=(solution.tension_a, solution.tension_b),
    )


def _near_symbols(solution: Solution, bays: range, theme: Theme) -> tuple[Symbols, ...]:
    """Tapes of the bays that are drawn: none stands where no line is seen."""
    found = []
    for group in tapes.symbols(solution, theme, scale=1.1):
        numbers = np.array([tape.number for tape in solution.layout.tapes if tape.family == group.name])
        found.append(replace(group, points=group.points[(numbers >= bays.start) & (numbers <= bays.stop)]))
    return tuple(found)


def _near_lines(solution: Solution, bays: range, theme: Theme) -> tuple[Wire, ...]:
    """Centre lines of a few bays, the main last so that it is drawn on top."""
    found = []
    for name, pieces, width in (
        ("backup", backup_by_bay(solution, 24), theme.backup_width),
        ("main", dimensions.by_bay(solution.main, 24), theme.main_width),
    ):
        points = np.concatenate([pieces[bays.start][:1], *(pieces[k][1:] for k in bays)])
        found.append(Wire(name=name, points=points, colour=name, width=0.8 * width))
    return tuple(found)


def bounds(reel: Reel) -> Iterator[Floats]:
    """Points that the view of the whole line must hold in every frame."""
    for shot in reel.shots:
        yield from (shot.backup, shot.foot[None], shot.head[None])
        yield from (part for part in (shot.main, shot.stub) if part is not None)


def way(reel: Reel) -> tuple[Floats, ...]:
    """(k, 3) the feet up to each frame."""
    feet = np.array([shot.foot for shot in reel.shots])
    return tuple(feet[: k + 1] for k in range(len(feet)))
