"""From checked values to a rig."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np

from linescope.errors import InputError
from linescope.notes import Verbatim
from linescope.rig import (
    Anchors,
    BackupPlan,
    Given,
    Hold,
    InputPhrase,
    Joint,
    MainPlan,
    Rig,
    Spacing,
    TapeZone,
    Taping,
    phrase,
)
from linescope.scenefile.lines import read_line
from linescope.scenefile.reading import Reader
from linescope.scenefile.readings import read_readings
from linescope.scenefile.surroundings import (
    read_grounds,
    read_motion,
    read_needs,
    read_use,
    read_walker,
    read_weather,
    read_wind,
)
from linescope.scenefile.wishes import read_limits, read_wishes
from linescope.taping import FAMILIES, FirstStrip, Holds, TapeStock
from linescope.taping.lay import checked
from linescope.taping.measured import factor
from linescope.terrain.spec import GroundSpec
from linescope.webbing import Webbing

Values = dict[str, Any]

FAR_FROM_ORIGIN = 10e3  # [m]

_PLANS = {
    "excess": "excess",
    "loop_length": "loop length",
    "loop_depth": "loop depth",
    "total_length": "total length",
}


def build(values: Values, reader: Reader) -> Given:
    """The rig of a scene's values, and its inputs.

    Raises
    ------
    SceneError
        When values contradict each other.
    """
    anchors = values["anchors"]
    points = {}
    for end in ("a", "b"):
        points[f"main_{end}"] = anchors[end]
        own = anchors[f"backup_{end}"]
        if own is None:
            reader.note(f"anchors.backup_{end}", phrase(InputPhrase.AS, key=Verbatim(f"anchors.{end}")), "assumed")
        points[f"backup_{end}"] = anchors[end] if own is None else own
    origin = _origin(points["main_a"])
    points = {name: np.subtract(point, origin) for name, point in points.items()}
    main, wet_main = read_line("main", values["main"], None, reader)
    backup, wet_backup = read_line("backup", values["backup"], (main, wet_main), reader)
    wet = wet_main, wet_backup
    plan = MainPlan(
        tension=values["main"]["tension"], end=values["main"]["end"] or "A", length=values["main"]["length"]
    )
    if plan.tension is not None and plan.tension >= main.strength:
        raise reader.refusal(
            "the standing tension is not below the main's breaking strength",
            key="main.tension",
            found=f"{plan.tension / 1e3:g} kN",
            allowed=f"below {main.strength / 1e3:g} kN",
        )
    given = next(name for name in _PLANS if values["backup"][name] is not None)
    backup_plan = BackupPlan(given_by=_PLANS[given], value=values["backup"][given])  # type: ignore[arg-type]
    span = math.dist(points["main_a"], points["main_b"])
    try:
        rig = _corrected(Rig(
            name=values["title"],
            description=values["description"],
            anchors=Anchors(**points, origin=origin),
            main=_slung(_stiffened(main, values["main"]), anchors["sling"], plan, span, reader),
            backup=_stiffened(backup, values["backup"]),
            main_plan=plan,
            backup_plan=backup_plan,
            taping=_taping(values, reader),
            hold=_hold(values["hold"], "hold", None, reader),
            joints=_joints(values["joints"]),
            ties=tuple(sorted(values["ties"]["at"])) if values["ties"] else (),
            walker=read_walker(values["walker"], span, reader),
            wind=read_wind(values["wind"], points, reader),
            weather=read_weather(values["weather"], main, backup, wet, reader),
            use=read_use(values["use"]),
            motion=read_motion(values["motion"], values["main"], reader),
            ground=_moved(read_grounds(values, reader), origin),
            needs=read_needs(values["clearance"], reader),
            wishes=read_wishes(values["wishes"], reader, len(values["taping"]["zones"])),
            limits=read_limits(values["limits"], reader),
        ))
    except InputError as error:
        raise reader.blame(error) from error
    readings = read_readings(values["readings"], span, reader)
    return Given(rig=rig, inputs=replace(reader.inputs(tuple(values)), readings=readings))


def _origin(anchor: Sequence[float]) -> tuple[float, float, float]:
    """Where the rig's frame begins in the scene's: whole kilometres near anchor A on a national grid, else zero.

    A line's forces follow from differences of coordinates; five million metres of northing would eat their digits.
    """
    if max(abs(anchor[0]), abs(anchor[1])) <= FAR_FROM_ORIGIN:
        return (0.0, 0.0, 0.0)
    return (1e3 * round(anchor[0] / 1e3), 1e3 * round(anchor[1] / 1e3), 0.0)


def _moved(ground: GroundSpec | None, origin: tuple[float, float, float]) -> GroundSpec | None:
    """A ground in the rig's frame; a profile is measured from the anchors and moves with them."""
    if ground is None or not any(origin):
        return ground
    others = tuple(each for each in (_moved(one, origin) for one in ground.others) if each is not None)
    obstacles = tuple(
        replace(one, foot=one.foot - origin, top=None if one.top is None else one.top - origin)
        for one in ground.obstacles
    )
    areas = tuple(
        one if one.corners is None or one.is_geographic else replace(one, corners=one.corners - np.array(origin[:2]))
        for one in ground.areas
    )
    shift = ground.shift if ground.kind == "profile" else np.subtract(ground.shift, origin)
    return replace(ground, shift=shift, others=others, obstacles=obstacles, areas=areas)


def _stiffened(line: Webbing, values: Values) -> Webbing:
    factor = values["stiffness_factor"]
    return line if factor == 1.0 else line.with_stiffness(factor)


def _slung(line: Webbing, slings: Values | None, plan: MainPlan, span: float, reader: Reader) -> Webbing:
    """The main with what its slings give from the tension on at which it was pulled."""
    if slings is None:
        return line
    length = (slings["a"] or 0.0) + (slings["b"] or 0.0)
    at = plan.tension
    if at is None:
        raise reader.refusal(
            "slings give from the tension on at which the main was pulled", key="anchors.sling", found="main.length",
            allowed="main.tension, or no slings",
        )
    return replace(line, give=length / slings["stiffness"] / span, give_from=at)


def _taping(values: Values, reader: Reader) -> Taping:
    plan = values["taping"]
    if plan["tension"] is not None and plan["measured_on"] == "slack":
        raise reader.refusal(
            "a tension while marking contradicts taping on slack webbing",
            key="taping.tension",
            found=f"{plan['tension']:g} N",
            allowed='measured_on = "tensioned", or no tension',
        )
    if plan["measured_on"] == "tensioned" and plan["tension"] is None:
        reader.note("taping.tension", phrase(InputPhrase.STANDING_TENSION), "assumed")
    zones: list[TapeZone] = []
    for i, zone in enumerate(plan["zones"], 1):
        at = f"taping.zones[{i}]"
        before = zones[-1].end if zones else 0.0
        start = before if zone["from"] is None else zone["from"]
        last = i == len(plan["zones"])
        if zone["to"] is None and not last:
            raise reader.refusal(
                "only the last zone may leave out where it ends",
                key=f"{at}.to",
                allowed='a length such as "12 m"',
            )
        if start != before:
            raise reader.refusal(
                "tape zones must follow one another from anchor A without gap or overlap",
                key=f"{at}.from",
                found=f"{start:g} m",
                allowed=f"{before:g} m, or left out",
            )
        end = math.inf if zone["to"] is None else zone["to"]
        if end <= start:
            raise reader.refusal(
                "the zone ends before it begins",
                key=f"{at}.to",
                found=f"{end:g} m",
                allowed=f"more than {start:g} m",
            )
        zones.append(
            TapeZone(
                start=start,
                end=end,
                family=zone["style"],
                holds=_holds(zone, at, reader),
                spacing=_spacing(zone["spacing"], f"{at}.spacing", reader),
                excess=zone["excess"],
                hold=None
                if zone["hold"] is None
                else _hold(zone["hold"], f"{at}.hold", values["hold"], reader),
            )
        )
    if math.isfinite(zones[-1].end):
        raise reader.refusal(
            "the last zone reaches to anchor B",
            key=f"taping.zones[{len(zones)}].to",
            found=f"{zones[-1].end:g} m",
            allowed="leave it out in the last zone",
        )
    tape = values["tape"]
    try:
        first = None if tape["first"] is None else _first(tape["first"])
        stock = TapeStock(**{**tape, "first": first})
    except InputError as error:
        raise reader.blame(error, key=f"tape.{error.key}") from error
    return Taping(
        zones=tuple(zones),
        measured_on=plan["measured_on"],
        tension=plan["tension"],
        stock=stock,
        tape_mass=plan["tape_mass"],
    )


def _first(values: Values) -> FirstStrip:
    """A first tape that was looked at."""
    try:
        holds = checked(FAMILIES[values["style"]], None if values["holds"] is None else Holds(values["holds"]))
    except InputError as error:
        raise InputError(error.problem, key="first.holds", found=error.found, allowed=error.allowed) from error
    return FirstStrip(family=values["style"], holds=holds, length=values["strip"], past=values["past_middle"])


def _corrected(rig: Rig) -> Rig:
    """The same rig; refused when what was measured on its tapes cannot be."""
    try:
        factor(rig.section, rig.taping.stock)
    except InputError as error:
        raise InputError(error.problem, key=f"tape.{error.key}", found=error.found, allowed=error.allowed) from error
    return rig


def _holds(zone: Values, at: str, reader: Reader) -> Holds:
    family = FAMILIES[zone["style"]]
    if zone["holds"] is None:
        if len(family.can_hold) > 1:
            reader.note(f"{at}.holds", Verbatim(family.can_hold[0].value), "assumed")
        return family.can_hold[0]
    holds = Holds(zone["holds"])
    if holds not in family.can_hold:
        raise reader.refusal(
            f"a {family.key} cannot hold that",
            key=f"{at}.holds",
            found=zone["holds"],
            allowed=", ".join(f'"{each.value}"' for each in family.can_hold),
        )
    return holds


def _spacing(values: Values, at: str, reader: Reader) -> Spacing:
    if values["every"] is not None:
        if values["spread"] is None:
            return Spacing(kind="even", every=values["every"])
        return Spacing(kind="irregular", every=values["every"], spread=values["spread"], seed=values["seed"])
    if values["pattern"] is not None:
        return Spacing(kind="pattern", values=values["pattern"])
    listed = values["listed"]
    if any(b <= a for a, b in pairwise(listed)):
        raise reader.refusal(
            "listed tapes must lie in order from anchor A, no two at one place",
            key=f"{at}.listed",
            found=", ".join(f"{value:g}" for value in listed),
            allowed="rising distances",
        )
    return Spacing(kind="listed", values=listed)


def _hold(values: Values, at: str, otherwise: Values | None, reader: Reader) -> Hold:
    """Parts missing in a zone come from the rig's own hold."""
    bands = {}
    for part in ("drag", "friction"):
        own = values[part] is not None or otherwise is None
        source, key = (values, f"{at}.{part}") if own else (otherwise, f"hold.{part}")
        assert source is not None
        bands[part] = reader.band(key, source[part])
        if bands[part].low < 0.0:
            raise reader.refusal("the hold cannot be negative", key=key, found=f"{bands[part].low:g}")
    return Hold(**bands)


def _joints(values: list[Values] | None) -> tuple[Joint, ...]:
    joints = [Joint(at=each["at"], mass=each["mass"], tied=each["tied"]) for each in values or []]
    return tuple(sorted(joints, key=lambda joint: joint.at))
