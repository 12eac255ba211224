"""What is released when the main parts: the sections between ties, as chains of backup and intact pairs."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.events.catch import Loaded
from linescope.events.released import Chain, Part
from linescope.rig import Rig
from linescope.statics import Plan
from linescope.statics.assemble import DOWN, G
from linescope.statics.pair import Evaluation
from linescope.statics.segments import solve_segments
from linescope.taping import Holds
from linescope.webbing import StretchCurve

Floats = NDArray[np.float64]

CURVE_POINTS = 240  # Of the stretch curve of an intact pair.
FINE = 8001  # Points at which the webbings' own curves are inverted.


@dataclass(frozen=True, eq=False, kw_only=True)
class ReleasedSection:
    """A released section and the chain it makes with what stays.

    Attributes
    ----------
    begin, stop : float
        On the main.  [m unstretched]
    first, last : int or None
        Index in `layout.tapes` of the ties at its ends; None for an anchor.
    spare : float
        Unstretched backup less unstretched main in it.  [m]
    chain : Chain
        Beside the released section sliding tapes slide freely: the softer of both ends.
    held : Chain
        The same with tapes that hold as taped; `chain` itself where that makes no difference.
    laden, laden_held : Chain
        Both with the weight of the lost main, its tapes and joints spread along the released backup.
    """

    begin: float
    stop: float
    first: int | None
    last: int | None
    spare: float
    chain: Chain
    held: Chain
    laden: Chain
    laden_held: Chain


def sections(planned: Plan, *, tied: bool) -> list[ReleasedSection]:
    """The sections of a rig, from A to B.

    Parameters
    ----------
    planned : Plan
    tied : bool
        Whether ties hold; otherwise there is one section, anchor to anchor.
    """
    layout = planned.layout
    ties = [i for i, tape in enumerate(layout.tapes) if tape.kind == "tie"] if tied else []
    borders = [None, *ties, None]
    return [_section(planned, first, last) for first, last in itertools.pairwise(borders)]


def _section(planned: Plan, first: int | None, last: int | None) -> ReleasedSection:
    rig, layout = planned.rig, planned.layout
    begin = 0.0 if first is None else float(layout.tape_main[first])
    stop = layout.main_length if last is None else float(layout.tape_main[last])
    low = 0.0 if first is None else float(layout.tape_backup[first])
    high = layout.backup_length if last is None else float(layout.tape_backup[last])
    load = (rig.backup.mass + rig.weather.backup_added) * G

    inside = slice(0 if first is None else first + 1, len(layout.tapes) if last is None else last)
    joints = layout.joint_mass[(layout.joint_main > begin) & (layout.joint_main < stop)]
    lost = (rig.main.mass + rig.weather.main_added) * (stop - begin) + float(joints.sum())
    lost += sum(tape.mass for tape in layout.tapes[inside])

    def chain(free: bool, laden: float = 0.0) -> Chain:
        parts = [Part(length=high - low, load=load + laden * G / (high - low), stretch=rig.backup.now)]
        if first is not None:
            parts.insert(0, intact(planned, 0, first + 1, free=free))
        if last is not None:
            parts.append(intact(planned, last + 1, len(layout.tapes) + 1, free=free))
        return Chain(
            start=rig.backup_a if first is None else rig.main_a,
            end=rig.backup_b if last is None else rig.main_b,
            parts=tuple(parts),
        )

    held, laden_held = chain(False), chain(False, lost)
    alone = (first is None and last is None) or not planned.pair.free_slides.any()
    return ReleasedSection(
        begin=begin, stop=stop, first=first, last=last, spare=(high - low) - (stop - begin),
        chain=held if alone else chain(True), held=held,
        laden=laden_held if alone else chain(True, lost), laden_held=laden_held,
    )


def intact(planned: Plan, begin: int, stop: int, *, free: bool) -> Part:
    """Main and backup together over a run of bays, from `begin` up to `stop`, as one line.

    With `free` tapes that slide let bays share their slack: the backup pulls only where a whole run between two tapes
    that hold both lines is drawn out.  Less energy is stored for the same length than with tapes that hold.
    """
    rig, layout = planned.rig, planned.layout
    main, backup = layout.bays_main[begin:stop], layout.bays_backup[begin:stop]
    shared = main, backup
    if free:
        holds = [tape.holds is Holds.BOTH for tape in layout.tapes[begin : stop - 1]]
        runs = np.concatenate(([0], np.flatnonzero(holds) + 1))
        shared = np.add.reduceat(main, runs), np.add.reduceat(backup, runs)
    slack, stretch = pair_stretch(rig, *shared)
    edges = np.concatenate(([0.0], layout.tape_main, [layout.main_length]))
    inside = (layout.joint_main > edges[begin]) & (layout.joint_main < edges[stop])
    tapes = sum(tape.kind == "tape" for tape in layout.tapes[begin : stop - 1])
    mass = (
        (rig.main.mass + rig.weather.main_added) * float(main.sum())
        + (rig.backup.mass + rig.weather.backup_added) * float(backup.sum())
        + rig.taping.tape_mass * tapes
        + float(layout.joint_mass[inside].sum())
    )
    return Part(length=slack, load=mass * G / slack, stretch=stretch)


def pair_stretch(rig: Rig, main: Floats, backup: Floats) -> tuple[float, StretchCurve]:
    """Length without load, and stretch, of a run of bays in which main and backup pull side by side.

    The main carries alone until a bay's backup is drawn out straight (or the backup, where it is the shorter).

    Parameters
    ----------
    rig : Rig
    main, backup : (n,) array
        Unstretched length of both in each bay.  [m]

    Returns
    -------
    float
        [m]
    StretchCurve
    """
    top = 2.0 * max(rig.main.breaking_strength, rig.backup.breaking_strength)
    tension = np.linspace(0.0, top, FINE)
    of_main, of_backup = rig.main.now.at(tension)[0], rig.backup.now.at(tension)[0]
    wanted = np.concatenate(([0.0], top * np.linspace(0.0, 1.0, CURVE_POINTS)[1:] ** 2))
    reach = np.zeros_like(wanted)
    ratios, index = np.unique(np.round(backup / main, 9), return_inverse=True)
    for number, ratio in enumerate(ratios):
        # Length over the main's own, wherever one of the two lines has a known tension.
        lengths = np.unique(np.concatenate((1.0 + of_main, ratio * (1.0 + of_backup), [1.0, ratio])))
        lengths = lengths[lengths >= min(1.0, ratio)]
        pull = np.interp(lengths - 1.0, of_main, tension) + np.interp(lengths / ratio - 1.0, of_backup, tension)
        reach += np.interp(wanted, pull, lengths) * float(main[index == number].sum())
    return float(reach[0]), StretchCurve(tension=wanted, strain=reach / reach[0] - 1.0)


def start_energy(loaded: Loaded, section: ReleasedSection) -> float:
    """Energy of a section's chain as it is when the main parts: loops hanging from the main, pairs beside it.  [J]

    Parameters
    ----------
    loaded : Loaded
        The rig with its walker standing.
    section : ReleasedSection
    """
    state = loaded.standing.state
    pair, chain = loaded.pair, section.held
    begin = 0 if section.first is None else section.first + 1
    stop = len(pair.tapes) + 1 if section.last is None else section.last + 1
    total = float(np.sum(_energies(state)[pair.n + 1 :][begin:stop]))
    if section.first is not None:
        tie = state.unknowns[pair.tapes[section.first], :3]
        total += _pulled(chain.parts[0], chain.start, tie)
    if section.last is not None:
        tie = state.unknowns[pair.tapes[section.last], :3]
        total += _pulled(chain.parts[-1], tie, chain.end)
    return total


def lost_energy(loaded: Loaded, section: ReleasedSection) -> float:
    """What the main of a section has when it parts: stored in it, and its own, its tapes' and joints' height.  [J]

    Parameters
    ----------
    loaded : Loaded
        The rig with its walker standing.
    section : ReleasedSection
    """
    state, pair = loaded.standing.state, loaded.pair
    begin = 0 if section.first is None else int(pair.tapes[section.first]) + 1
    stop = pair.n if section.last is None else int(pair.tapes[section.last])
    weight = -pair.pull[:, 2].copy()
    weight[loaded.node] -= loaded.weight
    heights = float(weight[begin:stop] @ state.unknowns[begin:stop, 2])
    return float(np.sum(_energies(state)[begin : stop + 1])) + heights


def _energies(state: Evaluation) -> Floats:
    """(k,) elastic energy and potential of every segment.  [J]"""
    segments, flat = state.segments, state.segments.flat
    own = flat.h * segments.x + flat.v * segments.z - flat.complementary_energy()
    return np.asarray(own + flat.q * flat.length * state.height_end)


def _pulled(part: Part, start: Floats, end: Floats) -> float:
    """Energy of one part hanging between two points.  [J]"""
    length, load = np.array([part.length]), np.array([part.load])
    segments = solve_segments((end - start)[None], length, load, -DOWN[None], part.stretch.at)
    flat = segments.flat
    own = flat.h * segments.x + flat.v * segments.z - flat.complementary_energy()
    return float(own[0] + part.load * part.length * end[2])
