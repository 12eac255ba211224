"""A rig with one of its uncertain inputs moved."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace

from linescope.rig import Band, Rig

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


def _slings(rig: Rig, key: re.Match[str], band: Band, to: float) -> Rig:
    return replace(rig, main=replace(rig.main, give=rig.main.give * band.value / to))


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
    moved = replace(rig.anchors, main_b=rig.main_b + to * along, backup_b=rig.backup_b + to * along)
    return replace(rig, anchors=moved)


_FACTOR = Band(low=1.0, value=1.0, high=1.0)

# Which input each key changes.  A band whose key is not here is listed as not varied.
_CHANGES: tuple[tuple[str, Change], ...] = (
    (r"main\.(tension|length)", _main_plan),
    (r"backup\.(excess|loop_length|loop_depth|total_length)", _backup_plan),
    (r"(main|backup)\.stiffness_factor", _stiffness),
    (r"(main|backup)\.webbing\.(mass|width|thickness|breaking_strength|aged_strength)", _webbing),
    (r"(main|backup)\.(length_change|terminations)", _webbing),
    (r"anchors\.sling\.stiffness", _slings),
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


def moved(rig: Rig, values: Mapping[str, float], bands: Mapping[str, Band]) -> Rig:
    """A rig with some inputs at other values.

    Parameters
    ----------
    rig : Rig
    values : mapping of str to float
        By keys that `with_input` knows; others change nothing.  [SI]
    bands : mapping of str to Band
        Of these inputs.  [SI]
    """
    for key, value in values.items():
        rig = with_input(rig, key, value, bands[key]) or rig
    return rig
