"""Bands: every event run with the low and the high value of what is not known well, and which input matters most.

One input is moved at a time, the others stay; the band of a result adds up all moves down and all moves up.  That is
wider than chance would make it and narrower than the worst corner of a curved answer could be: a plain working band.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from linescope.errors import SolveError
from linescope.events.crossing import cross
from linescope.events.fall import leash_fall_sweep
from linescope.events.main_gone import main_gone
from linescope.notes import Bound, Kind, Note, Severity, Value, Verbatim
from linescope.rig import Band, Rig, RigSource, checked_rig, inputs_of
from linescope.shown import Outlined
from linescope.statics import Plan, plan, solve

Change = Callable[[Rig, re.Match[str], Band, float], Rig]


def _main_plan(rig: Rig, key: re.Match[str], band: Band, to: float) -> Rig:
    plan_ = replace(rig.main_plan, tension=to) if key[1] == "tension" else replace(rig.main_plan, length=to)
    return replace(rig, main_plan=plan_)


def _backup_plan(rig: Rig, key: re.Match[str], band: Band, to: float) -> Rig:
    return replace(rig, backup_plan=replace(rig.backup_plan, value=to))


def _stiffness(rig: Rig, key: re.Match[str], band: Band, to: float) -> Rig:
    return replace(rig, **{key[1]: getattr(rig, key[1]).with_stiffness(to / band.value)})


def _webbing(rig: Rig, key: re.Match[str], band: Band, to: float) -> Rig:
    return replace(rig, **{key[1]: replace(getattr(rig, key[1]), **{key[2]: to})})


def _part(rig: Rig, key: re.Match[str], band: Band, to: float) -> Rig:
    return replace(rig, **{key[1]: replace(getattr(rig, key[1]), **{key[2]: to})})


def _hold(rig: Rig, key: re.Match[str], band: Band, to: float) -> Rig:
    return replace(rig, hold=replace(rig.hold, **{key[1]: Band(low=to, value=to, high=to)}))


def _zone_hold(rig: Rig, key: re.Match[str], band: Band, to: float) -> Rig:
    zones = list(rig.taping.zones)
    index = int(key[1]) - 1
    hold = zones[index].hold or rig.hold
    zones[index] = replace(zones[index], hold=replace(hold, **{key[2]: Band(low=to, value=to, high=to)}))
    return replace(rig, taping=replace(rig.taping, zones=tuple(zones)))


def _zone_excess(rig: Rig, key: re.Match[str], band: Band, to: float) -> Rig:
    zones = list(rig.taping.zones)
    zones[int(key[1]) - 1] = replace(zones[int(key[1]) - 1], excess=to)
    return replace(rig, taping=replace(rig.taping, zones=tuple(zones)))


def _zone_spacing(rig: Rig, key: re.Match[str], band: Band, to: float) -> Rig:
    zones = list(rig.taping.zones)
    index = int(key[1]) - 1
    spacing = zones[index].spacing
    spacing = replace(spacing, every=to) if key[2] == "every" else replace(spacing, spread=to)
    zones[index] = replace(zones[index], spacing=spacing)
    return replace(rig, taping=replace(rig.taping, zones=tuple(zones)))


def _joint(rig: Rig, key: re.Match[str], band: Band, to: float) -> Rig:
    joints = list(rig.joints)
    joint = joints[int(key[1]) - 1]
    joints[int(key[1]) - 1] = replace(joint, at=to) if key[2] == "at" else replace(joint, mass=to)
    return replace(rig, joints=tuple(joints))


def _anchor_b(rig: Rig, key: re.Match[str], band: Band, to: float) -> Rig:
    """Anchor B nearer or further by a survey error, along the line."""
    along = (rig.main_b - rig.main_a) / rig.span
    return replace(rig, main_b=rig.main_b + to * along, backup_b=rig.backup_b + to * along)


_FACTOR = Band(low=1.0, value=1.0, high=1.0)

# Which input each key changes.  A band whose key is not here is listed as not varied.
_CHANGES: tuple[tuple[str, Change], ...] = (
    (r"main\.(tension|length)", _main_plan),
    (r"backup\.(excess|loop_length|loop_depth|total_length)", _backup_plan),
    (r"(main|backup)\.stiffness_factor", _stiffness),
    (r"(main|backup)\.webbing\.(mass|width|thickness|breaking_strength|aged_strength)", _webbing),
    (r"hold\.(drag|friction)", _hold),
    (r"taping\.zones\[(\d+)\]\.hold\.(drag|friction)", _zone_hold),
    (r"taping\.zones\[(\d+)\]\.excess", _zone_excess),
    (r"taping\.zones\[(\d+)\]\.spacing\.(every|spread)", _zone_spacing),
    (r"joints\[(\d+)\]\.(at|mass)", _joint),
    (r"(taping)\.(tension|tape_mass)", _part),
    (r"(walker)\.(mass|at|leash|hang|tie_in_height|height|leash_modulus|body_stiffness)", _part),
    (r"(wind)\.(speed|gust_factor|drag_coefficient|exposure|air_density)", _part),
    (r"(weather)\.(main_added|backup_added)", _part),
    (r"survey", _anchor_b),
)


class BandNote(Kind):
    """What is said of bands."""

    ADDED = "bands-basis-added"
    FAILED = "bands-failed"


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """One figure worth a band; the topic that declares the figure names it (`Figure.band`).

    Attributes
    ----------
    key : str
    dimension : str
        Key of `linescope.units.DIMENSIONS`.
    bound : {"", "up", "down"}
    """

    key: str
    dimension: str
    bound: Bound = ""


ON_THE_LEASH = ("walker.leash", "walker.leash_modulus", "walker.body_stiffness", "walker.hang", "walker.tie_in_height")
"""Inputs that change nothing but catches."""

OUTCOMES: tuple[Outcome, ...] = (
    Outcome(key="walker_drop", dimension="length"),
    Outcome(key="tension_a", dimension="force"),
    Outcome(key="least_excess", dimension="ratio"),
    Outcome(key="deepest_loop", dimension="length"),
    Outcome(key="deepest_settled", dimension="length"),
    Outcome(key="fall_foot", dimension="length", bound="up"),
    Outcome(key="fall_force", dimension="force"),
    Outcome(key="gone_rest", dimension="length"),
    Outcome(key="gone_floor", dimension="length", bound="up"),
    Outcome(key="gone_tension", dimension="force"),
    Outcome(key="slip", dimension="length"),
)


@dataclass(frozen=True, kw_only=True)
class Effect:
    """What one input does to one result.

    Attributes
    ----------
    input : str
        Dotted key, or "survey".
    low, high : float
        The result with the input at its low and its high value; nan where that did not converge.  [SI]
    """

    input: str
    low: float
    high: float


@dataclass(frozen=True, kw_only=True, repr=False)
class ResultBand(Outlined):
    """The band of one result.

    Attributes
    ----------
    outcome : Outcome
        Which figure.
    value, low, high : float
        [SI]
    effects : tuple of Effect
        Largest first.
    """

    outcome: Outcome
    value: float
    low: float
    high: float
    effects: tuple[Effect, ...]


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Bands(Outlined):
    """Bands of all results of a rig.

    Attributes
    ----------
    rig : Rig
    results : tuple of ResultBand
    ranking : tuple of (str, float)
        Inputs by their mean share of the bands, largest first.
    not_varied : tuple of str
        Inputs with a band that changes nothing computed here.
    notes : tuple of Note
        Runs that failed, and how the bands add up.
    """

    rig: Rig
    results: tuple[ResultBand, ...]
    ranking: tuple[tuple[str, float], ...]
    not_varied: tuple[str, ...]
    notes: tuple[Note, ...]


def with_input(rig: Rig, key: str, to: float, band: Band = _FACTOR) -> Rig | None:
    """The same rig with one banded input moved, or None when no result depends on it here.

    Parameters
    ----------
    rig : Rig
    key : str
        Dotted key of `Inputs.bands`, or "survey" for the distance between the anchors.
    to : float
        The new value; for "survey" the metres to add.  [SI]
    band : Band
        Of that input; default for one that multiplies what the rig has now.  [SI]
    """
    for pattern, change in _CHANGES:
        match = re.fullmatch(pattern, key)
        if match is not None:
            return change(rig, match, band, to)
    return None


def _catches(rig: Rig, planned: Plan) -> dict[str, float]:
    """What a fall and the loss of the main do where the walker is."""
    assert rig.walker is not None
    fall = leash_fall_sweep(rig, [rig.walker.at], planned=planned)
    gone = main_gone(rig, [rig.walker.at], points=1, most=False, run=False, planned=planned)
    return {
        "fall_foot": float(rig.below_anchors(fall.low_foot[0])),
        "fall_force": float(fall.peak_force[0]),
        "gone_rest": float(gone.nothing_holds.rest_depth[0]),
        "gone_floor": float(gone.nothing_holds.foot_depth[0]),
        "gone_tension": float(gone.nothing_holds.peak_tension[0]),
    }


def _outcomes(rig: Rig, crossing: bool, planned: Plan) -> dict[str, float]:
    taped = solve(rig, planned=planned)
    settled = solve(rig, "settled", planned=planned, look_for_others=False)
    values = {
        "tension_a": taped.tension_a,
        "least_excess": float(taped.bays.excess.min()),
        "deepest_loop": float(taped.bays.loop_depth.max()),
        "deepest_settled": float(settled.bays.loop_depth.max()),
    }
    if rig.walker is not None and taped.walker_point is not None:
        values["walker_drop"] = float(rig.below_anchors(taped.walker_point))
        values |= _catches(rig, planned)
        if crossing:
            values["slip"] = float(cross(rig, planned=planned).total_slip.max(initial=0.0))
    return values


def find_bands(
    rig: Rig | RigSource, *, crossing: bool = False, progress: Callable[[float], None] | None = None
) -> Bands:
    """Bands of the rig's main results from the low and high values of its inputs.

    Parameters
    ----------
    rig : RigSource or Rig
        A scene; of a rig made in Python no low and high are known, and only the survey is varied.
    crossing : bool
        Include the slip of a crossing, which takes longer.
    progress : callable, optional
        Told the share done.

    Raises
    ------
    SolveError
        When the rig as given does not converge.  A low or high value that does not is noted.
    """
    given, rig = inputs_of(rig).bands, checked_rig(rig)
    planned = plan(rig)
    base = _outcomes(rig, crossing, planned)
    # What only motion in time depends on has its range there.
    moves: dict[str, tuple[float, float]] = {
        key: (band.low, band.high) for key, band in given.items() if not key.startswith("motion.")
    }
    if rig.needs is not None and rig.needs.survey_error > 0.0:
        moves["survey"] = (-rig.needs.survey_error, rig.needs.survey_error)
    effects: dict[str, list[Effect]] = {key: [] for key in base}
    not_varied: list[str] = []
    notes = [Note(kind=BandNote.ADDED, severity=Severity.BASIS)]
    for count, (name, ends) in enumerate(moves.items()):
        found: list[dict[str, float]] = []
        for end, to in zip(("low", "high"), ends, strict=True):
            changed = with_input(rig, name, to, given.get(name, _FACTOR))
            try:
                if changed is None:
                    found.append(base)
                elif name in ON_THE_LEASH:
                    found.append(base | _catches(changed, replace(planned, rig=changed)))
                else:
                    found.append(_outcomes(changed, crossing, plan(changed)))
            except SolveError as error:
                found.append({})
                values: dict[str, Value] = {"input": Verbatim(name), "end": end, "error": Verbatim(str(error))}
                notes.append(Note(kind=BandNote.FAILED, severity=Severity.LIMIT, values=values))
        if all(end.get(key, value) == value for end in found for key, value in base.items()):
            not_varied.append(name)
        else:
            for key in base:
                effects[key].append(
                    Effect(input=name, low=found[0].get(key, math.nan), high=found[1].get(key, math.nan))
                )
        if progress is not None:
            progress((count + 1) / len(moves))
    results, shares = [], dict.fromkeys(moves, 0.0)
    for outcome in OUTCOMES:
        if outcome.key not in base:
            continue
        value = base[outcome.key]
        swings = {e.input: _swing(e, value) for e in effects[outcome.key]}
        total = sum(up - down for down, up in swings.values())
        for name, (down, up) in swings.items():
            shares[name] += (up - down) / total if total > 0.0 else 0.0
        results.append(
            ResultBand(
                outcome=outcome, value=value,
                low=value + sum(down for down, _ in swings.values()),
                high=value + sum(up for _, up in swings.values()),
                effects=tuple(
                    sorted(effects[outcome.key], key=lambda e: swings[e.input][0] - swings[e.input][1])
                ),
            )
        )
    ranking = sorted(((name, share / max(len(results), 1)) for name, share in shares.items()), key=lambda s: -s[1])
    return Bands(
        rig=rig, results=tuple(results), ranking=tuple(item for item in ranking if item[1] > 0.0),
        not_varied=tuple(not_varied), notes=tuple(notes),
    )


def _swing(effect: Effect, value: float) -> tuple[float, float]:
    """How far a result goes down and up, each at least zero."""
    ends = [end for end in (effect.low, effect.high) if math.isfinite(end)]
    return min([0.0, *(end - value for end in ends)]), max([0.0, *(end - value for end in ends)])
