"""What readings should show, for all draws of a rig at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError
from linescope.events.draw_figures import below, depths, tensions
from linescope.events.rig_draws import DrawnRig, DrawnStanding
from linescope.rig import Reading, Rig
from linescope.statics.assemble import G
from linescope.statics.balanced import Balanced
from linescope.statics.stack import ANCHORS, Stack

Floats = NDArray[np.float64]
Loading = tuple[float, float] | None
"""Mass [kg] and place [m] of who is on the main; None for nobody and no place."""

FAST = "motion.stiffness_factor"
LINE_SHARE = 1.0 / 3.0  # Of a line whose parts move in proportion to their distance from its fixed end, what counts.


def loading_of(reading: Reading) -> Loading:
    """What is on the main when a reading is taken.

    Parameters
    ----------
    reading : Reading
    """
    return (reading.mass, reading.at) if reading.mass > 0.0 or reading.what == "sag" else None


def loaded_with(drawn: DrawnRig, loading: Loading) -> DrawnStanding:
    """Draws under a loading.

    Parameters
    ----------
    drawn : DrawnRig
    loading : (float, float) or None
        Mass and place; see `loading_of`.  [kg, m]
    """
    return drawn.loaded(walker=False) if loading is None else drawn.loaded(loading[1], mass=loading[0])


def checked(readings: Sequence[Reading], tapes: int) -> None:
    """Refuse readings of bays or tapes that there are not.

    Parameters
    ----------
    readings : sequence of Reading
    tapes : int
        How many tapes and ties the line has.

    Raises
    ------
    InputError
        Naming where the reading stands.
    """
    for reading in readings:
        most = tapes if reading.what == "tape" else tapes + 1
        if reading.number > most:
            raise InputError(
                f"the line has no such {'tape' if reading.what == 'tape' else 'bay'}", key=f"{reading.key}.number",
                found=reading.number, allowed=f"1 to {most}",
            )


def foreseen(
    drawn: DrawnRig, readings: Sequence[Reading], fast: Floats | None = None,
    loaded: Mapping[Loading, DrawnStanding] | None = None,
) -> Floats:
    """(R, n) what each of n readings should show in every draw as taped; nan where a draw is not found.  [SI]

    Parameters
    ----------
    drawn : DrawnRig
    readings : sequence of n Reading
    fast : (R,) array, optional
        Stiffness of the webbing in motion over that of its own curve, for periods; default 1.  [-]
    loaded : mapping of Loading to DrawnStanding, optional
        Draws under loadings that are known already.
    """
    found = np.full((len(drawn.stack), len(readings)), np.nan)
    known = dict(loaded or {})
    for k, reading in enumerate(readings):
        loading = loading_of(reading)
        if loading not in known:
            known[loading] = loaded_with(drawn, loading)
        found[:, k] = shown_in(known[loading], known[loading].balanced, reading, drawn.rig, fast)
    return found


def shown_in(loaded: DrawnStanding, state: Balanced, reading: Reading, rig: Rig, fast: Floats | None = None) -> Floats:
    """(R,) what one reading should show in states of draws; nan where a draw is not found.  [SI]

    Parameters
    ----------
    loaded : DrawnStanding
    state : Balanced
        As taped, or settled.
    reading : Reading
    rig : Rig
    fast : (R,) array, optional
        See `foreseen`.  [-]
    """
    stack = loaded.stack
    if reading.what == "tension":
        return tensions(stack, state)["AB".index(reading.end)]
    if reading.what == "loop":
        return np.asarray(depths(stack, state)[:, reading.number - 1])
    if reading.what == "sag":
        value = below(stack, state.places[loaded.node])
    elif reading.what == "period":
        value = _period(loaded, state, reading.mass, rig, fast)
    else:
        value = _place(stack, state, reading)
    return np.where(state.done, value, np.nan)


def _place(stack: Stack, state: Balanced, reading: Reading) -> Floats:
    """(R,) length of a bay, or place of a tape along the straight line.  [m]"""
    a, b = stack.anchors[0::ANCHORS], stack.anchors[1::ANCHORS]
    tapes = state.places[stack.is_tape].reshape(len(stack), -1, 3)
    if reading.what == "tape":
        along = (b - a) / np.linalg.norm(b - a, axis=1)[:, None]
        return np.asarray(np.einsum("ri,ri->r", tapes[:, reading.number - 1] - a, along))
    edges = np.concatenate([a[:, None], tapes, b[:, None]], axis=1)
    return np.asarray(np.linalg.norm(edges[:, reading.number] - edges[:, reading.number - 1], axis=1))


def _period(loaded: DrawnStanding, state: Balanced, mass: float, rig: Rig, fast: Floats | None) -> Floats:
    """(R,) period of small bounces of a mass on the main.  [s]

    Both sides of the main are straight springs under tension, T / l across them and k along them, with
    1/k = l (1/EA' + (w l)^2 / (12 T^3)): EA' the stiffness in motion at the tension there, the rest the sag of the line
    that comes out of it (J. E. Ernst, Der Bauingenieur 40 (1965) 52-55).  The slower of the two motions of the mass in
    the plane of the line is the bounce; of each side's own mass, loops among it, a third moves with him.
    """
    stack, node = loaded.stack, loaded.node
    r = len(stack)
    a, b = stack.anchors[0::ANCHORS], stack.anchors[1::ANCHORS]
    at = state.places[node]
    main = np.flatnonzero(~stack.backup)
    before, after = (main[np.isin(end[main], node)] for end in (stack.after, stack.before))  # His feet between them.
    segments = state.segments
    tension = (segments.tension_end[before], segments.tension_start[after])
    compliance = [stack.compliance(piece, t) for piece, t in ((before, tension[0]), (after, tension[1]))]
    factor = np.ones(r) if fast is None else fast
    per_metre = np.abs(stack.load[:, 0, 2]) + np.abs(stack.load[:, 1, 2]) * stack.total[:, 1] / stack.total[:, 0]
    stiff, moving = np.zeros((r, 2, 2)), np.full(r, mass)
    for end, t, c in zip((a, b), tension, compliance, strict=True):
        run = at - end
        length = np.linalg.norm(run, axis=1)
        flat = np.stack([np.linalg.norm(run[:, :2], axis=1), run[:, 2]], axis=1) / length[:, None]
        sign = 1.0 if end is a else -1.0
        flat = flat * np.array([sign, 1.0])
        soft = length * (c / factor + (per_metre * length) ** 2 / (12.0 * t**3))
        outer = flat[:, :, None] * flat[:, None, :]
        stiff += outer / soft[:, None, None] + (np.eye(2) - outer) * (t / length)[:, None, None]
        moving += LINE_SHARE * per_metre * length / G
    slow = np.linalg.eigvalsh(stiff)[:, 0]
    return np.asarray(2.0 * np.pi * np.sqrt(moving / slow))
