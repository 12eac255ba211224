"""Level and sloping rigs for falls, made in code and invented."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from linescope.events.catch import Line, lowest, stored
from linescope.rig import Anchors, BackupPlan, Band, Hold, MainPlan, Rig, Spacing, TapeZone, Taping, Walker
from linescope.taping import Holds
from linescope.webbing import Webbing
from linescope.webbing.stretch import StretchCurve

# Straight stretch: EA [N] and mass [kg/m].  At 10 kN HMPE 1.8 %, high-tenacity polyester 4.5 %, polyester 8 %,
# nylon 16 %.
POLYESTER = (125e3, 0.055)
HIGH_TENACITY = (10e3 / 0.045, 0.052)
NYLON = (10e3 / 0.16, 0.062)
HMPE = (10e3 / 0.018, 0.037)


def webbing(kind, strength=30e3, aged=None):
    stiffness, mass = kind
    return Webbing(
        name="invented", width=0.025, thickness=0.0024, mass=mass, breaking_strength=strength, aged_strength=aged,
        stretch=StretchCurve.linear(stiffness),
    )


def rig(
    span, kind, tension, *, excess=0.05, every=None, rise=0.0, holds=Holds.BOTH, walker=True, mass=75.0, ties=(),
    aged=None, backup=None,
):
    """Main and backup, of one kind unless said; spacing and excess are those of the standing main."""
    every = span / 25.0 if every is None else every
    nothing = Band(low=0.0, value=0.0, high=0.0)
    family = "fixed wrap" if holds is Holds.BOTH else "main-held slider"
    run = float(np.sqrt(span**2 - rise**2))
    return Rig(
        name="invented",
        anchors=Anchors(main_a=(0, 0, 0), main_b=(run, 0, rise)),
        main=webbing(kind, aged=aged),
        backup=webbing(kind if backup is None else backup, aged=aged),
        main_plan=MainPlan(tension=tension),
        backup_plan=BackupPlan(given_by="excess", value=excess),
        taping=Taping(
            zones=(
                TapeZone(
                    start=0.0, end=np.inf, family=family, holds=holds, spacing=Spacing(kind="even", every=every)
                ),
            ),
            measured_on="tensioned",
        ),
        hold=Hold(drag=nothing, friction=nothing),
        ties=tuple(ties),
        walker=Walker(mass=mass, at=0.5 * span) if walker else None,
    )


def rigid(rig):
    """The same with leash and body that do not give: what peers without them compute."""
    return replace(rig, walker=replace(rig.walker, leash_modulus=1e12, body_stiffness=1e12))


def caught(line: Line, *, weight: float, free_fall: float, start_force: float = 0.0) -> float:
    """Peak force of a weight that falls freely and is then held by a line.

    Parameters
    ----------
    line : callable
        See `lowest`.
    weight : float
        [N]
    free_fall : float
        Height fallen before the line begins to hold.  [m]
    start_force : float
        What the line holds when that begins, at most the weight: 0 for an unloaded line.  [N]

    Returns
    -------
    float
        [N]

    Raises
    ------
    FallNotBounded
    """
    start, resting = line(np.array([start_force])), line(np.array([weight]))
    give = weight * free_fall - stored(resting, start, weight)
    return float(lowest(line, resting, weight=weight, to_store=give, guess=np.array([2.0 * weight]))[0])
