"""Invented rigs: one per seed, and a few plain ones."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from linescope.errors import InputError, SolveError
from linescope.rig import (
    Anchors,
    BackupPlan,
    Band,
    Hold,
    Joint,
    MainPlan,
    Rig,
    Spacing,
    TapeZone,
    Taping,
    Walker,
    Weather,
)
from linescope.rig.layout import SAME_PLACE
from linescope.statics import Plan, plan
from linescope.statics.assemble import G, Loading, assemble, first_guess
from linescope.statics.minimise import Minimum, minimise
from linescope.statics.pair import Pair
from linescope.statics.settle import settle
from linescope.statics.solve import still_air
from linescope.taping import Holds
from linescope.webbing import StretchCurve, Webbing

STATES = ("as taped", "friction-limited", "settled")
HOLD = Hold(drag=Band(low=0.0, value=0.5, high=1.0), friction=Band(low=0.1, value=0.2, high=0.3))
FAMILY = {
    Holds.BOTH: "fixed wrap",
    Holds.MAIN: "main-held slider",
    Holds.BACKUP: "backup-held slider",
}


def webbing(ea: float = 62.5e3, mass: float = 0.062, stretch: StretchCurve | None = None) -> Webbing:
    return Webbing(
        name="invented", width=0.025, thickness=0.0024, mass=mass, breaking_strength=30e3,
        stretch=StretchCurve.linear(ea) if stretch is None else stretch,
    )


def zone(start: float, end: float, holds: Holds, spacing: Spacing) -> TapeZone:
    return TapeZone(start=start, end=end, family=FAMILY[holds], holds=holds, spacing=spacing)


def plain_rig(
    *,
    span: float = 48.0,
    slope: float = 0.0,
    every: float = 3.0,
    holds: Holds = Holds.BOTH,
    excess: float = 0.05,
    tension: float = 1800.0,
    measured_on: str = "slack",
    walker: Walker | None = None,
    spacing: Spacing | None = None,
    turn: float = 0.0,
    origin=(0.0, 0.0, 0.0),
    main: Webbing | None = None,
    backup: Webbing | None = None,
    end: str = "A",
    **more,
) -> Rig:
    """One style from end to end; `turn` is the line's bearing [rad], `slope` rise over run."""
    run = span / np.hypot(1.0, slope)
    a = np.array(origin, dtype=float)
    b = a + np.array([run * np.cos(turn), run * np.sin(turn), run * slope])
    spacing = Spacing(kind="even", every=every) if spacing is None else spacing
    return Rig(
        name="invented", anchors=Anchors(main_a=a, main_b=b),
        main=main or webbing(), backup=backup or webbing(),
        main_plan=MainPlan(tension=tension, end=end),
        backup_plan=BackupPlan(given_by="excess", value=excess),
        taping=Taping(zones=(zone(0.0, np.inf, holds, spacing),), measured_on=measured_on),
        hold=HOLD, walker=walker, **more,
    )


def _curve(rng: np.random.Generator, stiffness: float) -> StretchCurve:
    """Straight, or bent with the same stretch at 10 kN."""
    if rng.random() < 0.5:
        return StretchCurve.linear(stiffness)
    tension = np.array([0.0, 1.0, 2.0, 5.0, 10.0]) * 1e3
    strain = tension / stiffness
    bend = rng.uniform(-0.3, 0.6) * strain[-1]
    share = tension / tension[-1]
    return StretchCurve(tension=tension, strain=strain + bend * share * (1.0 - share))


@dataclass(frozen=True, kw_only=True)
class Ranges:
    """What a random rig is drawn from: (least, most), even in the logarithm where the least is above 0."""

    span: tuple[float, float]  # [m]
    tapes: tuple[float, float]
    slope: tuple[float, float]  # Rise over run.
    tension: tuple[float, float]  # [N]; at least what the pair's weight needs, and a fifth of the stiffness at most.
    excess: tuple[float, float]
    stiffness: tuple[float, float]  # EA [N].
    mass: tuple[float, float]  # Of each line [kg/m].
    walker: tuple[float, float]  # [kg]
    wind: tuple[float, float]  # Horizontal force per metre of a line, over its weight.


# As riggers build (spans, tensions, stiffness and masses by webbing class: common practice, no source), and far beyond.
USUAL = Ranges(
    span=(25.0, 1000.0), tapes=(5.0, 300.0), slope=(-0.3, 0.3), tension=(1e3, 6e3), excess=(-0.01, 0.3),
    stiffness=(50e3, 670e3), mass=(0.02, 0.08), walker=(50.0, 110.0), wind=(0.0, 1.5),
)
BEYOND = Ranges(
    span=(4.0, 2500.0), tapes=(1.0, 600.0), slope=(-1.5, 1.5), tension=(200.0, 15e3), excess=(-0.03, 1.5),
    stiffness=(15e3, 1.5e6), mass=(0.008, 0.25), walker=(5.0, 300.0), wind=(0.0, 8.0),
)


def ranges_of(seed: int) -> Ranges:
    """One rig in four lies beyond what is built."""
    return BEYOND if seed % 4 == 3 else USUAL


def _draw(rng: np.random.Generator, between: tuple[float, float]) -> float:
    low, high = between
    return float(10.0 ** rng.uniform(np.log10(low), np.log10(high)) if low > 0.0 else rng.uniform(low, high))


def _webbing(rng: np.random.Generator, ranges: Ranges) -> Webbing:
    stiffness = _draw(rng, ranges.stiffness)
    return webbing(mass=_draw(rng, ranges.mass), stretch=_curve(rng, stiffness))


def _zones(rng: np.random.Generator, seed: int, span: float, every: float) -> tuple[TapeZone, ...]:
    cuts = np.sort(rng.uniform(0.1, 0.75, int(rng.integers(0, 4)))) * span
    edges = [0.0, *(cut for cut, before in zip(cuts, [0.0, *cuts], strict=False) if cut > before + 0.02), np.inf]
    zones = []
    for start, end in pairwise(edges):
        holds = list(Holds)[rng.integers(3)]
        kind = rng.choice(["even", "irregular", "pattern"])
        if kind == "pattern":
            spacing = Spacing(kind="pattern", values=(0.8 * every, 1.2 * every, every))
        else:
            spacing = Spacing(kind=kind, every=every, spread=0.3, seed=seed)
        zones.append(zone(start, end, holds, spacing))
    return tuple(zones)


def random_rig(seed: int) -> Rig:
    """A rig of one to four zones of any style, drawn from `ranges_of(seed)`.

    One in ten is empty.  In one of eight a joint lies on the line, tied in half of these; in one of six the backup
    has anchors of its own; in one of six the lines are wet or iced; bearings are anything.
    """
    rng = np.random.default_rng(seed)
    ranges = ranges_of(seed)
    span = _draw(rng, ranges.span)
    tapes = min(int(_draw(rng, ranges.tapes)), int(span / 0.3))
    every = span / (tapes + 1)
    slope, bearing = rng.uniform(*ranges.slope), rng.uniform(0.0, 2.0 * np.pi)
    run = span / np.hypot(1.0, slope)
    b = run * np.array([np.cos(bearing), np.sin(bearing), slope])
    below = np.array([0.0, 0.0, rng.uniform(0.0, 0.5) if rng.random() < 1.0 / 6.0 else 0.0])
    joints = ()
    if rng.random() < 1.0 / 8.0:
        joints = (Joint(at=span * rng.uniform(0.2, 0.8), mass=0.2, tied=bool(rng.random() < 0.5)),)
    main, backup = _webbing(rng, ranges), _webbing(rng, ranges)
    excess = rng.uniform(*ranges.excess)
    weight = 9.81 * span * (main.mass + (1.0 + max(excess, 0.0)) * backup.mass)
    tension, end = max(_draw(rng, ranges.tension), 1.5 * weight), "AB"[rng.integers(2)]
    if main.stretch.strain_at(tension) > 0.2:
        main = replace(main, stretch=StretchCurve.linear(5.0 * tension))
    wet = rng.random() < 1.0 / 6.0
    return Rig(
        name=f"invented {seed}",
        anchors=Anchors(main_a=np.zeros(3), main_b=b, backup_a=-below, backup_b=b - below), main=main, backup=backup,
        main_plan=MainPlan(tension=tension, end=end),
        backup_plan=BackupPlan(given_by="excess", value=excess),
        taping=Taping(
            zones=_zones(rng, seed, span, every), measured_on=str(rng.choice(["slack", "tensioned"])),
            tape_mass=float(rng.choice([0.0, 0.004])),
        ),
        hold=HOLD,
        joints=joints,
        walker=Walker(mass=_draw(rng, ranges.walker), at=span * rng.uniform(0.001, 0.999))
        if rng.random() < 0.9
        else None,
        weather=Weather(main_added=main.mass * rng.uniform(0.0, 1.0), backup_added=backup.mass * rng.uniform(0.0, 1.0))
        if wet
        else Weather(),
    )


def random_loading(seed: int, rig: Rig, planned: Plan) -> Loading:
    """What acts on a random rig: its walker, and in one of three a wind from anywhere."""
    loading = still_air(rig, planned)
    rng = np.random.default_rng([seed, 1])
    if rng.random() < 2.0 / 3.0:
        return loading
    share, bearing = rng.uniform(*ranges_of(seed).wind), rng.uniform(0.0, 2.0 * np.pi)
    towards = share * G * np.array([np.cos(bearing), np.sin(bearing), 0.0])
    return replace(loading, main_wind=rig.main.mass * towards, backup_wind=rig.backup.mass * towards)


def planned_rig(seed: int) -> tuple[Rig, Plan]:
    """`random_rig` with its plan; every fifth walker is moved exactly onto a tape."""
    rig = random_rig(seed)
    planned = plan(rig)
    if seed % 5 == 0 and rig.walker is not None and len(planned.layout.tapes):
        nodes = planned.standing.state.unknowns[planned.pair.tapes, :3]
        tape = nodes[int(np.random.default_rng(seed).integers(len(nodes)))]
        along = float((tape - rig.main_a) @ (rig.main_b - rig.main_a)) / rig.span
        if 0.0 < along < rig.span:
            rig = rig.with_walker_at(along)
            gap = np.abs(planned.layout.tape_main - planned.walker_coordinate(along)).min()
            assert gap < SAME_PLACE
    return rig, planned


def random_pair(seed: int) -> Pair:
    """The loaded pair of a random rig."""
    rig, planned = planned_rig(seed)
    return assemble(rig, planned.layout, random_loading(seed, rig, planned))[0]


def random_hold(seed: int, pair: Pair) -> np.ndarray:
    """What each tape resists, 0.05 to 20 N, the same on all or different on each.  [N]"""
    rng = np.random.default_rng([seed, 2])
    hold = 10.0 ** rng.uniform(np.log10(0.05), np.log10(20.0), pair.n)
    return hold if rng.random() < 0.5 else np.full(pair.n, hold[0]) if pair.n else hold


def minima(seed: int) -> Iterator[tuple[str, Callable[[], Minimum]]]:
    """The states of a random rig and how to reach each; a state that follows from the one before needs it."""
    pair = random_pair(seed)
    taped = minimise(pair, first_guess(pair))
    yield "as taped", lambda: taped
    yield "friction-limited", lambda: minimise(pair, taped.state, hold=random_hold(seed, pair))
    yield "settled", lambda: settle(pair, taped)[0]


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What became of one state: the failure's name and text (empty when solved), residual over weight, stability."""

    failure: str = ""
    residual: float = float("nan")
    stable: bool = False


def outcome(seed: int) -> dict[str, Outcome]:
    """All states of a random rig; only the project's own errors are caught, warnings are errors."""
    found: dict[str, Outcome] = {}
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            for state, reach in minima(seed):
                try:
                    minimum = reach()
                    share = minimum.residual / minimum.state.pair.weight
                    found[state] = Outcome(residual=share, stable=minimum.stable)
                except SolveError as error:
                    found[state] = Outcome(failure=str(error))  # Names itself.
        except SolveError as error:
            return dict.fromkeys(STATES, Outcome(failure=str(error)))
        except InputError as error:
            return dict.fromkeys(STATES, Outcome(failure=f"{type(error).__name__}: {error}"))
    return found
