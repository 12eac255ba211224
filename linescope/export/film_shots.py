"""What happens in a film, frame by frame, as data: a walker crossing, or the loss of the main."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError
from linescope.events.friction import HoldLevel
from linescope.events.main_gone import SIDES, MainGone
from linescope.export.released_shape import Released, released
from linescope.export.sheet_walk import above_ground, below_chord, height_words
from linescope.notes import Term
from linescope.rig import Rig
from linescope.stage import dimensions, lines, person, ribbon, tapes
from linescope.stage.ground import Ground, plan_direction
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
STAYS = 12.0  # The near view follows a ring that goes down further than this [m].


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
        Where the frame lies on the graph's axis.  [m]
    values : tuple of float
        One for each curve of the graph.  [N]
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
    envelopes : tuple of (str, (n, 3) array, str)
        Curves drawn in every frame: name, points, colour role.
    """

    title: str
    note: str
    axis: str
    curves: tuple[str, ...]
    shots: tuple[Shot, ...]
    reach: float
    fixed: Floats | None = None
    envelopes: tuple[tuple[str, Floats, str], ...] = ()


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
    place = float((feet - rig.main_a) @ (rig.main_b - rig.main_a)) / rig.span
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


def gone_reel(
    rig: Rig,
    *,
    frames: int,
    theme: Theme,
    measures: Words,
    ground: Ground | None,
    planned: Plan | None = None,
    progress: Callable[[float], None] | None = None,
) -> Reel:
    """The main goes under the standing walker: to the energy floor, and to rest, nothing holding the backup.

    Raises
    ------
    InputError
        When the rig has no walker.
    SolveError
    """
    known = {} if planned is None else {"planned": replace(planned, rig=rig)}
    study = Study(rig, progress=_share(progress), given=known)
    study.run(["main_gone", "taped"])
    planned, words, found, standing = study.planned, measures, study.main_gone, study.taped
    if not found:
        raise InputError("a film needs a walker", key="walker")
    side = found.nothing_holds
    start, low, rest = found.ring_standing[0], side.lowest_ring[0], side.rest_ring[0]
    shots = [_gone_shot(standing, None, start, 0.0, words.say("main-gone-film-standing"), theme, measures, ground)]
    still, drop, fall, back = _parts(frames)
    shots *= still
    for k in range(drop):
        share = _ease((k + 1) / drop)
        shape = released(planned, start)
        said = words.say("main-gone-film-drops")
        shots.append(_gone_shot(standing, shape, start, share, said, theme, measures, ground))
    man = standing.rig.walker
    hung = 0.0 if man is None else man.leash + man.hang
    given = [0.0, *(float(ring[2] - foot[2]) - hung for ring, foot in (
        (low, side.lowest_foot[0]), (rest, side.rest_foot[0]),
    ))]  # What leash and body have stretched.
    ways = (((start, low), given[:2], fall, "down"), ((low, rest), given[1:], back, "back"))
    for ends, longer, count, name in ways:
        for k in range(count):
            share = _ease((k + 1) / count)
            ring, more = ends[0] + share * (ends[1] - ends[0]), longer[0] + share * (longer[1] - longer[0])
            shape = released(planned, ring)
            last = k == count - 1
            said = words.say(f"main-gone-film-{name}{'-end' if last else ''}")
            shots.append(_gone_shot(standing, shape, ring, 1.0, said, theme, measures, ground, more))
    shots += [shots[-1]] * (frames - len(shots))
    return Reel(
        title=words.say("main-gone-film"),
        note=words.say("main-gone-film", "note"),
        axis=words.say("main-gone-film", "axis"),
        curves=(words.say("main-gone-film", "curve"),),
        shots=tuple(shots[:frames]),
        reach=5.0,
        fixed=np.array([start + 2.0 * UP, side.lowest_foot[0]]) if start[2] - low[2] < STAYS else None,
        envelopes=_envelopes(found, words),
    )


def _parts(frames: int) -> tuple[int, int, int, int]:
    """Frames of standing, dropping into the leash, falling and coming back; the rest of them he hangs."""
    still, drop, fall, back = (max(1, round(share * frames)) for share in (0.12, 0.16, 0.34, 0.22))
    return still, drop, fall, back


def _ease(share: float) -> float:
    """From 0 to 1, slow at both ends."""
    return share * share * (3.0 - 2.0 * share)


def _envelopes(found: MainGone, words: Words) -> tuple[tuple[str, Floats, str], ...]:
    text = {side: words.say("main-gone-page-foot", side=Term(SIDES[side])) for side in SIDES}
    curves = [(text["nothing holds"], found.nothing_holds.most_floor_foot[0], "alarm")]
    if found.tied:
        curves.append((text["ties hold"], found.ties_hold.most_floor_foot[0], "state"))
    return tuple(curves)


def _gone_shot(
    standing: Solution,
    shape: Released | None,
    ring: Floats,
    dropped: float,
    said: str,
    theme: Theme,
    measures: Words,
    ground: Ground | None,
    stretch: float = 0.0,
) -> Shot:
    """One frame: the ring at a point of the backup, the body `dropped` (0 to 1) from standing to hanging.

    Leash and body have given by `stretch`.  [m]
    """
    rig = standing.rig
    walker = rig.walker
    if walker is None:
        raise InputError("the loss of the main needs a walker", key="walker")
    forwards = plan_direction(rig)
    sink = dropped * (walker.leash + walker.tie_in_height)
    if dropped < 1.0:
        body, leash = person.walker(standing)
        body = tuple(replace(one, points=one.points - sink * UP) for one in body if one.name == "walker" or not dropped)
        tie_in = ring + (walker.tie_in_height - sink) * UP
        leash = (Wire(name="leash", points=np.array([ring, tie_in]), colour="leash", width=2.2),) if dropped else leash
        foot = ring - sink * UP
    else:
        man = walker.stretched(stretch)
        body, leash = person.hanging(man, ring, forwards, rig.backup)
        foot = ring - (man.leash + man.hang) * UP
    if shape is None:
        near = range(len(standing.bays.length))
        main: Floats | None = standing.main.sample(12).points
        backup, tension = standing.backup.sample(12).points, most(standing.backup)
        ribbons = lines.ribbons(standing, near, per_segment=16, ring=True)
        wires = lines.centre_lines(standing, theme, scale=0.8, ring=True)
        symbols: tuple[Symbols, ...] = tapes.symbols(standing, theme)
    else:
        main, backup, tension = None, shape.points, shape.tension
        ribbons = (ribbon.webbing(backup, rig.backup, name="backup", top="backup", under="backup_under"),)
        wires = (Wire(name="backup", points=backup, colour="backup", width=theme.main_width),)
        symbols = ()
    depth = below_chord(standing, ring)
    known = Term("strength-new" if rig.backup.aged_strength is None else "strength-aged")
    height = height_words(float(above_ground(ground, foot[None])[0]), measures)
    return Shot(
        main=main,
        backup=backup,
        tapes=standing.tape_points if main is not None else np.zeros((0, 3)),
        focus=(ring + foot) / 2,
        foot=foot,
        head=foot + walker.height * UP,
        surfaces=(*ribbons, *body),
        wires=(*wires, *leash),
        symbols=symbols,
        caption=said,
        figures=(
            (measures.say("film-ring-chord"), measures.length(depth)),
            (measures.say("film-foot-chord"), measures.length(below_chord(standing, foot))),
            (measures.say("film-foot-ground"), height),
            (measures.say("film-largest"), measures.force(tension)),
            (measures.say("film-strength", known=known), measures.share(tension / rig.backup.strength, "up")),
        ),
        at=depth,
        values=(tension,),
    )


def bounds(reel: Reel) -> Iterator[Floats]:
    """Points that the view of the whole line must hold in every frame."""
    for shot in reel.shots:
        yield from (shot.backup, shot.foot[None], shot.head[None])
        if shot.main is not None:
            yield shot.main
    for _, points, _ in reel.envelopes:
        yield points


def way(reel: Reel) -> tuple[Floats, ...]:
    """(k, 3) the feet up to each frame."""
    feet = np.array([shot.foot for shot in reel.shots])
    return tuple(feet[: k + 1] for k in range(len(feet)))
