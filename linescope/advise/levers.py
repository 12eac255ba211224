"""What a rigger can change, in coordinates in which figures change smoothly, and rounded to what hands can set.

Bays are counted, not measured: a bay length that does not divide its zone makes end bays jump.  Ties are taken as
1 / (ties + 1), the share of the line that one section of it releases.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from linescope.rig import Rig, Wish
from linescope.rig.layout import lay_out
from linescope.scene import Scene
from linescope.scene.built import style_keys
from linescope.statics.plan import marking_strain, plan
from linescope.units import System

Floats = NDArray[np.float64]

COUNTED = ("bays", "ties")
MORE_PULL, LESS_PULL = 2.0, 2.0 / 3.0
MOST_TIES = 16
BAY_STEP = 0.01  # [m]
STEPS: Mapping[System, Mapping[str, float]] = {
    "metric": {"leash": 0.05, "raise": 0.1, "aside": 0.5}, "feet": {"leash": 0.0508, "raise": 0.1016, "aside": 0.6096},
}
"""What hands can set of a length, in the units of who sets it: 5 cm, 10 cm, 50 cm; 2 in, 4 in, 2 ft.  [m]"""


@dataclass(frozen=True, kw_only=True)
class Lever:
    """One thing to change.

    Attributes
    ----------
    name : str
        "pull", "excess", "bays", "leash", "raise-a", "raise-b", "aside" or "ties".
    zone : int or None
        The tape zone, counted from 1, where it is of one.
    low, high, now : float
        Ends of its range, and what the scene has; may lie outside.  [N, -, count or m]
    step : float
        What hands can set.  [N, -, count or m]
    """

    name: str
    zone: int | None = None
    low: float
    high: float
    now: float
    step: float

    @property
    def whole(self) -> bool:
        """Whether it is counted."""
        return self.name in COUNTED

    @property
    def dimension(self) -> str:
        """A key of `linescope.units.DIMENSIONS`."""
        return {"pull": "force", "excess": "ratio", "bays": "number", "ties": "number"}.get(self.name, "length")

    def share(self, value: float) -> float:
        """Where a value lies in the range, 0 to 1, in the lever's coordinate.  [-]"""
        low, high, at = (_smooth(self.name, each) for each in (self.low, self.high, value))
        return (at - low) / (high - low)

    def value(self, share: float) -> float:
        """The value at a share of the range."""
        low, high = _smooth(self.name, self.low), _smooth(self.name, self.high)
        at = low + share * (high - low)
        return 1.0 / at - 1.0 if self.name == "ties" else at

    def rounded(self, value: float) -> float:
        """What hands can set, within the range; the scene's own value stays as it is."""
        if abs(value - self.now) < 0.5 * self.step * (1.0 - 1e-9):
            return self.now
        low, high = math.ceil(self.low / self.step - 1e-9), math.floor(self.high / self.step + 1e-9)
        return self.step * min(max(round(value / self.step), low), high)


def _smooth(name: str, value: float) -> float:
    return 1.0 / (value + 1.0) if name == "ties" else value


def levers_of(scene: Scene, wishes: Sequence[Wish], system: System = "metric") -> tuple[Lever, ...]:
    """What may be changed of a scene for its wishes.

    Parameters
    ----------
    scene : Scene
    wishes : sequence of Wish
    system : {"metric", "feet"}
        Units of who sets them.
    """
    steps = STEPS[system]
    rig, limits = scene.rig, scene.rig.limits
    standing = plan(rig)
    figures = {wish.figure for wish in wishes}
    falls = any(wish.wished.of in ("falls", "gone") for wish in wishes)
    ground = any(wish.wished.ground for wish in wishes)
    end = standing.standing.state.segments
    now = rig.main_plan.tension
    if now is None:
        now = float(end.tension_start[0])
    low, high = _ends(limits.pull, LESS_PULL * now, min(MORE_PULL * now, 0.9 * rig.main.strength))
    found = [Lever(name="pull", low=low, high=high, now=now, step=_pull_step(now))]
    found += _excess_levers(rig, high, standing.layout.stated_excess)
    found += _bay_levers(rig)
    if falls and rig.walker is not None:
        leash = rig.walker.leash
        least = rig.walker.tie_in_height  # From the ring under his feet it must reach his harness.
        low, high = _ends(limits.leash, max(leash - 0.4, least), leash + 0.2)
        low = min(max(low, least), high)
        found.append(Lever(name="leash", low=low, high=high, now=leash, step=steps["leash"]))
    if ground:
        for name, most in (("raise-a", limits.raise_a), ("raise-b", limits.raise_b)):
            found.append(Lever(name=name, low=0.0, high=most, now=0.0, step=steps["raise"]))
        found.append(Lever(name="aside", low=-limits.aside, high=limits.aside, now=0.0, step=steps["aside"]))
    ties = sum(joint.tied for joint in rig.joints) + len(rig.ties)
    if ties == len(rig.ties) and any(name.endswith("ties hold") for name in figures):
        most = limits.ties if limits.ties >= 0 else max(min(MOST_TIES, len(standing.layout.tapes) // 3), ties)
        found.append(Lever(name="ties", low=0.0, high=float(most), now=float(ties), step=1.0))
    return tuple(lever for lever in found if lever.high - lever.low > 1e-9)


def _ends(given: tuple[float, float], low: float, high: float) -> tuple[float, float]:
    """Low and high as given, or chosen; what is given goes first."""
    first = min(low, given[1]) if math.isnan(given[0]) and not math.isnan(given[1]) else low
    low = first if math.isnan(given[0]) else given[0]
    return low, max(high if math.isnan(given[1]) else given[1], low)


def _pull_step(now: float) -> float:
    return 100.0 if now > 2000.0 else 50.0


def _excess_levers(rig: Rig, pull: float, stated: Floats) -> list[Lever]:
    zones = rig.taping.zones
    stretch = rig.main.stretch.strain_at(pull)
    more = 1.3 * stretch if rig.taping.measured_on == "slack" else 0.0

    def lever(now: float, zone: int | None) -> Lever:
        low, high = _ends(rig.limits.excess, min(max(0.5 * now, 0.005), now), max(1.5 * now, 0.06) + more)
        return Lever(name="excess", zone=zone, low=low, high=high, now=now, step=0.001)

    if len(zones) == 1:
        return [lever(float(np.median(stated)), 1 if zones[0].excess is not None else None)]
    return [lever(float(zone.excess if zone.excess is not None else np.median(stated)), number)
            for number, zone in enumerate(zones, 1)]


def zone_length(rig: Rig, number: int) -> float:
    """Length of a tape zone, counted from 1, in the state the plan refers to.  [m]"""
    zone = rig.taping.zones[number - 1]
    if math.isfinite(zone.end):
        return zone.end - zone.start
    standing = rig.main_plan.tension
    strain = rig.main.stretch.strain_at(standing) if standing is not None else 0.0
    length = rig.span / (1.0 + strain) if standing is not None else rig.main_plan.length or rig.span
    return length * (1.0 + marking_strain(rig, strain)) - zone.start


def _bay_levers(rig: Rig) -> list[Lever]:
    found = []
    for number, zone in enumerate(rig.taping.zones, 1):
        if zone.spacing.kind not in ("even", "irregular"):
            continue
        length = zone_length(rig, number)
        now = max(round(length / zone.spacing.every), 1)
        shortest, longest = _ends(rig.limits.bay, length / (2.0 * now), length / max(0.6 * now, 1.0))
        low, high = max(math.ceil(length / longest - 1e-6), 1), max(math.floor(length / shortest + 1e-6), 1)
        found.append(Lever(name="bays", zone=number, low=float(low), high=float(high), now=float(now), step=1.0))
    return found


def tried_for(scene: Scene, levers: Sequence[Lever], values: Sequence[float]) -> dict[str, str]:
    """Keys of the scene and what is tried for them, with levers at values; what stays as it is, is left out.

    Parameters
    ----------
    scene : Scene
    levers : sequence of Lever
    values : sequence of float
        [N, -, count or m]

    Raises
    ------
    InputError
    """
    tried: dict[str, str] = {}
    rig = scene.rig
    origin = np.array(rig.origin)
    moves = {"a": np.zeros(3), "b": np.zeros(3)}
    run = (rig.main_b - rig.main_a)[:2]
    across = np.array([-run[1], run[0], 0.0]) / float(np.hypot(*run))
    ties = 0
    for lever, value in zip(levers, values, strict=True):
        if abs(value - lever.now) <= 1e-12 * max(abs(lever.now), 1.0):
            continue
        if lever.name == "pull":
            tried["main.tension"] = _written(value / 1e3, "kN")
        elif lever.name == "excess":
            key = "backup.excess" if lever.zone is None else f"taping.zones[{lever.zone}].excess"
            tried[key] = _written(100.0 * value, "%")
        elif lever.name == "leash":
            tried["walker.leash"] = _written(value, "m")
        elif lever.name in ("raise-a", "raise-b"):
            moves[lever.name[-1]] += np.array([0.0, 0.0, value])
        elif lever.name == "aside":
            for end in moves:
                moves[end] += value * across
        elif lever.name == "ties":
            ties = round(value)
    for end, move in moves.items():
        if not move.any():
            continue
        tried[f"anchors.{end}"] = _point(getattr(rig, f"main_{end}") + origin + move)
        if not np.array_equal(getattr(rig, f"backup_{end}"), getattr(rig, f"main_{end}")):
            tried[f"anchors.backup_{end}"] = _point(getattr(rig, f"backup_{end}") + origin + move)
    counted = {
        lever.zone: value for lever, value in zip(levers, values, strict=True)
        if lever.name == "bays" and value != lever.now
    }
    if counted:
        there = scene.what_if(tried).rig if tried else rig
        for zone, count in counted.items():
            assert zone is not None
            every = BAY_STEP * math.ceil(zone_length(there, zone) / count / BAY_STEP - 0.5)
            tried[f"taping.zones[{zone}].spacing.every"] = _written(every, "m")
    if ties:
        tried["ties.at"] = _tie_places(scene.what_if(tried).rig, ties)
    return tried


def _tie_places(rig: Rig, count: int) -> str:
    """Even parts of the line, at the tapes nearest by."""
    bare = replace(rig, ties=())
    standing = bare.main_plan.tension
    strain = bare.main.stretch.strain_at(standing) if standing is not None else 0.0
    length = bare.main_plan.length or bare.span / (1.0 + strain)
    layout = lay_out(bare, length, marking_strain(bare, strain))
    tapes = layout.tape_main * (1.0 + layout.marking_strain)
    total = length * (1.0 + layout.marking_strain)
    places = sorted({float(tapes[np.argmin(np.abs(tapes - total * k / (count + 1)))]) for k in range(1, count + 1)})
    return ", ".join(_written(round(place, 2), "m") for place in places)


def _written(value: float, unit: str) -> str:
    return f"{value:.10g} {unit}"


def _point(point: Floats) -> str:
    return ", ".join(_written(round(float(each), 4), "m") for each in point)


@dataclass(frozen=True, kw_only=True)
class Instead:
    """Another style or webbing.

    Attributes
    ----------
    name : str
        Of it; "" for the scene's own.
    zone : int or None
        The tape zone it is taken in, counted from 1; None for the whole line.
    keys : dict of str to str
        Of the scene.
    """

    name: str = ""
    zone: int | None = None
    keys: dict[str, str] = field(default_factory=dict)


def instead(scene: Scene) -> list[Instead]:
    """The scene as it is, and with another style or webbing where that may be taken: a style in every zone, and in each
    single one of those that have another.

    Parameters
    ----------
    scene : Scene
    """
    limits, rig = scene.rig.limits, scene.rig
    found, by_zone = [Instead()], []
    if limits.style:
        for number in range(1, len(rig.taping.zones) + 1):
            if keys := style_keys(rig, {number: limits.style}):
                by_zone.append(Instead(name=limits.style, zone=number, keys=keys))
        if by_zone:
            every = {key: value for each in by_zone for key, value in each.keys.items()}
            found.append(Instead(name=limits.style, keys=every))
    if limits.webbing and limits.webbing != rig.main.name:
        found.append(Instead(name=limits.webbing, keys={"main.webbing": limits.webbing}))
    return found + (by_zone if len(by_zone) > 1 else [])


def counts_of(rig: Rig, levers: Sequence[Lever], zone: int | None) -> tuple[float, float, Floats]:
    """Length of a zone, or of the whole line [m], into how many bays it is cut with levers at their low ends, and (d,)
    how many more over the range of each.

    Parameters
    ----------
    rig : Rig
    levers : sequence of Lever
    zone : int or None
    """
    counted = {lever.zone: (k, lever) for k, lever in enumerate(levers) if lever.name == "bays"}
    length, count, more = 0.0, 0.0, np.zeros(len(levers))
    for number in range(1, len(rig.taping.zones) + 1) if zone is None else (zone,):
        spacing, own = rig.taping.zones[number - 1].spacing, zone_length(rig, number)
        length += own
        if number in counted:
            k, lever = counted[number]
            count += lever.low
            more[k] = lever.high - lever.low
        elif spacing.kind in ("even", "irregular"):
            count += max(own / spacing.every, 1.0)
        elif spacing.kind == "pattern":
            count += max(own / float(np.mean(spacing.values)), 1.0)
        else:
            count += len(spacing.values) + 1
    return length, count, more
