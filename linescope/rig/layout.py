"""Where tapes, ties and joints sit on both lines, from the tape plan and the main's length.

The plan states spacing and excess for slack or for tensioned main (`Taping.measured_on`).  Here it becomes material
coordinates: unstretched metres from anchor A, on the main and on the backup.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError
from linescope.rig.model import Rig
from linescope.rig.parts import Hold, Spacing, TapeZone
from linescope.shown import Outlined
from linescope.taping import Holds

Floats = NDArray[np.float64]

SAME_PLACE = 0.01  # Two marks closer than this are one [m]: about half a tape's width.
MOST_TAPES = 3000  # A kilometre taped at every third of a metre; more is a slip in typing.
MOST_LEFT = 0.6  # Of its own length, what an end bay takes of what is left over; the rest is shared by all bays.


@dataclass(frozen=True, kw_only=True)
class TapeMark:
    """One place where main and backup meet.

    Attributes
    ----------
    number : int
        1 for the first from anchor A.
    kind : {"tape", "tie"}
        A tie (or tied joint) holds both lines for good.
    family : str
        Taping family; "tie" for ties.
    holds : Holds
    zone : int
        Index of the tape zone it lies in.
    hold : Hold
        What it resists before the sliding line slips.
    mass : float
        Of the finished tape, or of the hardware of a tied joint.  [kg]
    """

    number: int
    kind: Literal["tape", "tie"]
    family: str
    holds: Holds
    zone: int
    hold: Hold
    mass: float = 0.0


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Layout(Outlined):
    """The pair of lines as made, lying slack.

    Attributes
    ----------
    tapes : tuple of TapeMark
        n places, from A to B.
    tape_main, tape_backup : (n,) arrays
        Material coordinates.  [m]
    main_length, backup_length : float
        Unstretched, anchor to anchor.  [m]
    stated_bays : (n+1,) array
        Bays as the plan states them, in the state it refers to.  [m]
    stated_excess : (n+1,) array
        [-]
    marking_strain : float
        Strain of the main in the state the plan refers to; 0 for slack.  [-]
    joint_main : (j,) array
        Material coordinate of untied joints with mass, on the main.  [m]
    joint_mass : (j,) array
        [kg]
    """

    tapes: tuple[TapeMark, ...]
    tape_main: Floats
    tape_backup: Floats
    main_length: float
    backup_length: float
    stated_bays: Floats
    stated_excess: Floats
    marking_strain: float
    joint_main: Floats
    joint_mass: Floats

    @property
    def bays_main(self) -> Floats:
        """(n+1,) unstretched main in each bay.  [m]"""
        return np.diff(np.concatenate(([0.0], self.tape_main, [self.main_length])))

    @property
    def bays_backup(self) -> Floats:
        """(n+1,) unstretched backup in each bay.  [m]"""
        return np.diff(np.concatenate(([0.0], self.tape_backup, [self.backup_length])))


def lay_out(rig: Rig, main_length: float, marking_strain: float) -> Layout:
    """Place tapes, ties and joints on both lines.

    Even spacing puts whole bays between the tapes; the line's end bays take what is left over: of one zone each half
    of it, so that both lie between 3/4 and 5/4 of a bay, of several zones all that is left in theirs.  Where more is
    left than `MOST_LEFT` of such a bay, all bays of the zone share it.

    Parameters
    ----------
    rig : Rig
    main_length : float
        Unstretched main, anchor to anchor.  [m]
    marking_strain : float
        Strain of the main in the state the plan refers to (0 when taped slack).  [-]

    Raises
    ------
    InputError
        When listed places lie outside the line, there are more than `MOST_TAPES`, or a loop cannot have the asked
        length.
    """
    stretch = 1.0 + marking_strain
    length = main_length * stretch
    nominal = rig.span * stretch / (1.0 + _nominal_strain(rig))
    zones = rig.taping.zones
    tape_at, tape_zone = _tape_places(zones, length, nominal)
    tie_at = sorted([*rig.ties, *(joint.at for joint in rig.joints if joint.tied)])
    named = [*((f"ties[{i}]", at) for i, at in enumerate(rig.ties, 1))]
    named += [(f"joints[{i}].at", joint.at) for i, joint in enumerate(rig.joints, 1)]
    for key, place in named:
        if not 0.0 < place < length:
            raise InputError(
                "a tie or joint lies outside the line", key=key, found=f"{place:g} m",
                allowed=f"between 0 and {length:.2f} m",
            )
    tied_mass = {joint.at: joint.mass for joint in rig.joints if joint.tied}
    places: list[tuple[float, bool, int]] = [
        (at, False, zone)
        for at, zone in zip(tape_at, tape_zone, strict=True)
        if all(abs(at - tie) > 2.0 * SAME_PLACE for tie in tie_at)
    ]
    places += [(at, True, _zone_index(zones, at)) for at in tie_at]
    places.sort()
    tapes = tuple(
        TapeMark(
            number=number,
            kind="tie" if tie else "tape",
            family="tie" if tie else zones[zone].family,
            holds=Holds.BOTH if tie else zones[zone].holds,
            zone=zone,
            hold=zones[zone].hold or rig.hold,
            mass=tied_mass.get(at, 0.0) if tie else rig.taping.tape_mass,
        )
        for number, (at, tie, zone) in enumerate(places, 1)
    )
    at = np.array([place for place, _, _ in places])
    edges = np.concatenate(([0.0], at, [length]))
    bays = np.diff(edges)
    if np.any(bays < SAME_PLACE):
        raise InputError(
            "two tapes, or a tape and an anchor, lie closer than 1 cm", key="taping.zones",
            found=f"{bays.min():.3g} m", allowed="bays of at least 1 cm",
        )
    middle = 0.5 * (edges[:-1] + edges[1:])
    ways = bays + anchor_detour(rig, bays)
    excess = _excess(rig, bays, ways, [zones[_zone_index(zones, place)] for place in middle])
    loops = ways * (1.0 + excess)
    backup = np.cumsum(loops)
    loose = [joint for joint in rig.joints if not joint.tied and joint.mass > 0.0]
    result = Layout(
        tapes=tapes,
        tape_main=at / stretch,
        tape_backup=backup[:-1],
        main_length=main_length,
        backup_length=float(backup[-1]),
        stated_bays=bays,
        stated_excess=excess,
        marking_strain=marking_strain,
        joint_main=np.array([joint.at / stretch for joint in loose]),
        joint_mass=np.array([joint.mass for joint in loose]),
    )
    for array in (
        result.tape_main, result.tape_backup, result.stated_bays, result.stated_excess, result.joint_main,
        result.joint_mass,
    ):
        array.setflags(write=False)
    return result


def anchor_detour(rig: Rig, bays: Floats) -> Floats:
    """(n,) how much longer each bay is for the backup, whose anchors may be its own; 0 but in the end bays.  [m]

    Parameters
    ----------
    rig : Rig
    bays : (n,) array
        Main from tape to tape, straight from anchor to anchor.  [m]
    """
    detour = np.zeros(len(bays))
    along = (rig.main_b - rig.main_a) / rig.span
    for bay, own, main, way in ((0, rig.backup_a, rig.main_a, along), (-1, rig.backup_b, rig.main_b, -along)):
        detour[bay] += float(np.linalg.norm(main + bays[bay] * way - own)) - float(bays[bay])
    return detour


def _nominal_strain(rig: Rig) -> float:
    """Strain that fixes the number of tapes: at the standing tension, or of the straight line when length is given."""
    plan = rig.main_plan
    if plan.tension is not None:
        return rig.main.stretch.strain_at(plan.tension)
    assert plan.length is not None
    return rig.span / plan.length - 1.0


def _zone_index(zones: tuple[TapeZone, ...], at: float) -> int:
    for index, zone in enumerate(zones):
        if at < zone.end:
            return index
    return len(zones) - 1


def _tape_places(
    zones: tuple[TapeZone, ...], length: float, nominal: float
) -> tuple[list[float], list[int]]:
    """Distances of the tapes from A, and their zones.  `nominal` decides counts, `length` the places."""
    places: list[float] = []
    owner: list[int] = []
    count = 0.0
    for index, zone in enumerate(zones):
        first, last = index == 0, index == len(zones) - 1
        end, count_end = min(zone.end, length), min(zone.end, nominal)
        if not last and zone.end >= min(length, nominal):
            raise InputError(
                "a tape zone ends beyond the line", key=f"taping.zones[{index + 1}].to", found=f"{zone.end:g} m",
                allowed=f"less than {min(length, nominal):.2f} m; leave it out in the last zone",
            )
        count += _about(zone.spacing, count_end - zone.start)
        if count > MOST_TAPES:
            raise InputError(
                "there are more tapes than anybody lays", key=f"taping.zones[{index + 1}].spacing",
                found=f"about {count:.0f} tapes up to the end of this zone",
                allowed=f"at most {MOST_TAPES} tapes on a line",
            )
        inside = _places_in_zone(zone, index, zone.start, end, count_end - zone.start, first, last)
        places += inside
        owner += [index] * len(inside)
    return places, owner


def _about(spacing: Spacing, length: float) -> float:
    """How many tapes a zone takes, before any is laid."""
    if spacing.kind == "listed":
        return len(spacing.values)
    bay = sum(spacing.values) / len(spacing.values) if spacing.kind == "pattern" else spacing.every
    return length / bay


def _places_in_zone(
    zone: TapeZone, index: int, start: float, end: float, nominal: float, first: bool, last: bool
) -> list[float]:
    """Tapes of one zone.  A zone that does not begin at an anchor has a tape on its beginning."""
    spacing = zone.spacing
    if spacing.kind == "listed":
        outside = [value for value in spacing.values if not (start <= value < end and value > 0.0)]
        if outside:
            raise InputError(
                "a listed tape lies outside its zone", key=f"taping.zones[{index + 1}].spacing.listed",
                found=f"{outside[0]:g} m", allowed=f"between {start:g} and {end:.2f} m",
            )
        return sorted(spacing.values)
    bays = _bays_of_zone(spacing, nominal)
    left = end - start - float(np.sum(bays))
    takers = np.arange(len(bays))  # Which bays share what is left over: those at the line's ends.
    if spacing.kind == "pattern":
        takers = takers[-1:]
    elif first or last:
        takers = np.unique(([0] if first else []) + ([len(bays) - 1] if last else []))
    bays[takers] += np.clip(left / len(takers), -MOST_LEFT * bays[takers], MOST_LEFT * bays[takers])
    bays *= (end - start) / float(np.sum(bays))
    edges = start + np.concatenate(([0.0], np.cumsum(bays)))
    inner = edges[1:-1] if first else edges[:-1]
    return [float(edge) for edge in inner]


def _bays_of_zone(spacing: Spacing, nominal: float) -> Floats:
    """Bays as stated; their sum need not be the zone's length yet."""
    if spacing.kind == "pattern":
        bays: list[float] = []
        while True:
            bay = spacing.values[len(bays) % len(spacing.values)]
            if sum(bays) + bay > nominal - 0.5 * bay:
                return np.array([*bays, nominal - sum(bays)])
            bays.append(bay)
    count = max(1, round(nominal / spacing.every))
    if spacing.kind == "even":
        return np.full(count, spacing.every)
    draw = np.random.default_rng(spacing.seed).uniform(-spacing.spread, spacing.spread, count)
    weights = 1.0 + draw - np.mean(draw)
    return np.asarray(nominal * weights / np.sum(weights), dtype=float)


def _excess(rig: Rig, bays: Floats, ways: Floats, zones: list[TapeZone]) -> Floats:
    """Excess of every bay as the plan states it: backup over what it has to bridge (`ways`), minus one.

    A total length is kept: bays whose zone has an excess of its own take theirs, the others share the rest.
    """
    plan = rig.backup_plan
    own = np.array([zone.excess is not None for zone in zones])
    stated = np.array([zone.excess if zone.excess is not None else 0.0 for zone in zones])
    if plan.given_by == "excess":
        excess = np.full(len(bays), plan.value)
    elif plan.given_by == "loop length":
        excess = plan.value / bays - 1.0
    elif plan.given_by == "total length":
        if own.all():
            raise InputError(
                "every zone has an excess of its own, so the backup's total length is given twice",
                key="backup.total_length", found=f"{plan.value:g} m",
                allowed="at least one zone without an excess, or the backup by its excess",
            )
        rest = plan.value - float(np.sum(ways[own] * (1.0 + stated[own])))
        excess = np.full(len(bays), rest / float(np.sum(ways[~own])) - 1.0)
    else:
        excess = np.array([loop_length_for_depth(float(bay), plan.value) / bay - 1.0 for bay in bays])
    excess = np.where(own, stated, excess)
    if np.any(excess <= -0.5):
        raise InputError(
            "the backup is far too short for its bays", key="backup",
            found=f"excess {excess.min():.0%}", allowed="an excess above -50 %",
        )
    return excess


def loop_length_for_depth(bay: float, depth: float) -> float:
    """Length of an inextensible loop on a level bay.

    Parameters
    ----------
    bay, depth : float
        [m]

    Returns
    -------
    float
        [m]

    References
    ----------
    .. [1] H. M. Irvine, *Cable Structures*, 1981, section 1.2: depth = a (cosh(bay/2a) - 1), length = 2a sinh(bay/2a).
    """
    if depth <= 0.0:
        return bay
    low, high = 1e-9, 50.0
    for _ in range(200):
        u = 0.5 * (low + high)
        if bay * math.tanh(0.5 * u) * math.sinh(u) / (2.0 * u) > depth:
            high = u
        else:
            low = u
    return bay * math.sinh(u) / u
