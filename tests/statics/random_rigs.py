"""Invented rigs: one per seed, and a few plain ones."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from linescope.errors import InputError, SolveError
from linescope.rig import (
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
)
from linescope.rig.layout import SAME_PLACE
from linescope.statics import Plan, plan, solve
from linescope.taping import Holds
from linescope.webbing import StretchCurve, Webbing

STATES = ("as taped", "settled")
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
        name="invented", main_a=a, main_b=b, backup_a=a, backup_b=b,
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


def _webbing(rng: np.random.Generator) -> Webbing:
    stiffness = 10.0 ** rng.uniform(np.log10(50e3), np.log10(670e3))
    return webbing(mass=rng.uniform(0.02, 0.08), stretch=_curve(rng, stiffness))


def _zones(rng: np.random.Generator, seed: int, span: float, every: float) -> tuple[TapeZone, ...]:
    cuts = np.sort(rng.uniform(0.1, 0.9, int(rng.integers(0, 4)))) * span
    edges = [0.0, *cuts, np.inf]
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
    """A rig of 25 to 1000 m, some 5 to 300 tapes, slope to 30 %, one to four zones of any style, excess -1 to 30 %.

    One in ten is empty.  In one of eight a joint lies on the line, tied in half of these; in one of six the backup
    has anchors of its own; bearings are anything.
    """
    rng = np.random.default_rng(seed)
    span = 10.0 ** rng.uniform(np.log10(25.0), 3.0)
    tapes = min(int(10.0 ** rng.uniform(np.log10(5.0), np.log10(300.0))), int(span / 0.3))
    every = span / (tapes + 1)
    slope, bearing = rng.uniform(-0.3, 0.3), rng.uniform(0.0, 2.0 * np.pi)
    run = span / np.hypot(1.0, slope)
    b = run * np.array([np.cos(bearing), np.sin(bearing), slope])
    below = np.array([0.0, 0.0, rng.uniform(0.0, 0.5) if rng.random() < 1.0 / 6.0 else 0.0])
    joints = ()
    if rng.random() < 1.0 / 8.0:
        joints = (Joint(at=span * rng.uniform(0.2, 0.8), mass=0.2, tied=bool(rng.random() < 0.5)),)
    return Rig(
        name=f"invented {seed}",
        main_a=np.zeros(3), main_b=b, backup_a=-below, backup_b=b - below,
        main=_webbing(rng), backup=_webbing(rng),
        main_plan=MainPlan(tension=rng.uniform(1000.0, 6000.0), end="AB"[rng.integers(2)]),
        backup_plan=BackupPlan(given_by="excess", value=rng.uniform(-0.01, 0.3)),
        taping=Taping(
            zones=_zones(rng, seed, span, every), measured_on=str(rng.choice(["slack", "tensioned"])),
            tape_mass=float(rng.choice([0.0, 0.004])),
        ),
        hold=HOLD,
        joints=joints,
        walker=Walker(mass=rng.uniform(50.0, 110.0), at=span * rng.uniform(0.001, 0.999))
        if rng.random() < 0.9
        else None,
    )


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


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What became of one state: the failure's name and text (empty when solved), residual over weight, stability."""

    failure: str = ""
    residual: float = float("nan")
    stable: bool = False


def outcome(seed: int) -> dict[str, Outcome]:
    """Both states of a random rig; only the project's own errors are caught, warnings are errors."""
    found = dict.fromkeys(STATES, Outcome())
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            rig, planned = planned_rig(seed)
        except (SolveError, InputError) as error:
            return dict.fromkeys(STATES, Outcome(failure=f"{type(error).__name__}: {error}"))
        for state in STATES:
            try:
                proof = solve(rig, state, planned=planned, look_for_others=False).proof
                found[state] = Outcome(residual=proof.relative_residual, stable=proof.stable)
            except SolveError as error:
                found[state] = Outcome(failure=str(error))
    return found
