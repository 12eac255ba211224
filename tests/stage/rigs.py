"""Invented rigs for drawing: made in code so that pictures are tested without any scene file."""

from __future__ import annotations

import copy
import functools
from collections.abc import Iterable
from dataclasses import replace
from types import SimpleNamespace

import numpy as np

from linescope.clearance import (
    Approach,
    Cause,
    Chords,
    Clearance,
    Drop,
    Finding,
    GroundIndex,
    lowest,
    minima,
    no_fall_zones,
)
from linescope.clearance.why import CauseKind, Why
from linescope.notes import Quantity
from linescope.rig import (
    Anchors,
    BackupPlan,
    Band,
    ClearanceNeeds,
    Given,
    Hold,
    InputNote,
    Inputs,
    Joint,
    MainPlan,
    Rig,
    Spacing,
    TapeZone,
    Taping,
    Walker,
    Wind,
)
from linescope.stage import VIEWS, brief_of
from linescope.statics import Solution, solve
from linescope.study import Study
from linescope.taping import Holds
from linescope.terrain import Terrain, holes_below
from linescope.webbing import Webbing
from linescope.webbing.stretch import StretchCurve


def webbing(name: str, stretch_at_10_kn: float, mass: float = 0.062, width: float = 0.025) -> Webbing:
    return Webbing(
        name=name,
        width=width,
        thickness=0.0025,
        mass=mass,
        breaking_strength=25e3,
        stretch=StretchCurve(tension=np.array([0.0, 10e3]), strain=np.array([0.0, stretch_at_10_kn])),
    )


def hold() -> Hold:
    return Hold(drag=Band(low=0.1, value=0.5, high=1.0), friction=Band(low=0.1, value=0.2, high=0.35))


def zone(start: float, end: float, family: str, holds: Holds, every: float, **more: object) -> TapeZone:
    return TapeZone(start=start, end=end, family=family, holds=holds, spacing=Spacing(kind="even", every=every), **more)


def heron(excess: float = 0.03, walker: bool = True, measured_on: str = "slack") -> Rig:
    """48 m, level, nylon: at 3 % marked on slack webbing the backup is taut under the walker."""
    return Rig(
        name="Heron Gap",
        anchors=Anchors(main_a=(0, 0, 0), main_b=(48, 0, 0), backup_a=(0, 0, -0.02), backup_b=(48, 0, -0.02)),
        main=webbing("nylon 25 mm", 0.16),
        backup=webbing("nylon 25 mm, old", 0.16),
        main_plan=MainPlan(tension=1800.0),
        backup_plan=BackupPlan(given_by="excess", value=excess),
        taping=Taping(zones=(zone(0.0, np.inf, "fixed wrap", Holds.BOTH, 3.0),), measured_on=measured_on),
        hold=hold(),
        walker=Walker(mass=75.0, at=24.0) if walker else None,
    )


def incline() -> Rig:
    """100 m, rising 10 %, three styles in zones, irregular spacing in the middle."""
    middle = TapeZone(
        start=40.0,
        end=75.0,
        family="main-held slider",
        holds=Holds.MAIN,
        spacing=Spacing(kind="irregular", every=2.8, spread=0.3, seed=4),
    )
    zones = (
        zone(0.0, 40.0, "cloth-patch slider", Holds.BACKUP, 2.5),
        middle,
        zone(75.0, np.inf, "fixed wrap", Holds.BOTH, 3.0),
    )
    return Rig(
        name="Curlew Slabs, the long rising line over the western gully",
        anchors=Anchors(main_a=(5, 8, 60), main_b=(91, 58, 70), backup_a=(5, 8, 59.7), backup_b=(91, 58, 69.7)),
        main=webbing("polyester 25 mm", 0.08, 0.058),
        backup=webbing("polyester 20 mm", 0.08, 0.05, 0.020),
        main_plan=MainPlan(tension=2500.0),
        backup_plan=BackupPlan(given_by="excess", value=0.06),
        taping=Taping(zones=zones, measured_on="tensioned"),
        hold=hold(),
        joints=(Joint(at=50.0, mass=0.1, tied=True),),
        walker=Walker(mass=75.0, at=31.0),
    )


def long() -> Rig:
    """410 m, level, more than a hundred tapes of two styles."""
    zones = (
        zone(0.0, 60.0, "backup-held slider", Holds.BACKUP, 3.0),
        zone(60.0, np.inf, "fixed wrap", Holds.BOTH, 4.0),
    )
    return Rig(
        name="Plover Traverse",
        anchors=Anchors(main_a=(0, 0, 0), main_b=(410, 0, 3), backup_a=(0, 0, -0.3), backup_b=(410, 0, 2.7)),
        main=webbing("HMPE 25 mm", 0.018, 0.035),
        backup=webbing("polyester 25 mm", 0.045, 0.05),
        main_plan=MainPlan(tension=4200.0),
        backup_plan=BackupPlan(given_by="excess", value=0.04),
        taping=Taping(zones=zones, measured_on="tensioned"),
        hold=hold(),
        walker=Walker(mass=75.0, at=160.0),
    )


def short() -> Rig:
    """25 m with nobody on it and tucked-tab sliders."""
    base = heron(0.08, walker=False, measured_on="tensioned")
    return replace(
        base,
        name="Wren Yard",
        anchors=replace(base.anchors, main_b=(25, 0, 0.5), backup_b=(25, 0, 0.48)),
        main_plan=MainPlan(tension=1200.0),
        taping=Taping(zones=(zone(0.0, np.inf, "tucked-tab slider", Holds.MAIN, 2.0),), measured_on="tensioned"),
    )


MAKERS = {
    "trap": heron,
    "heron": lambda: heron(0.07, measured_on="tensioned"),
    "incline": incline,
    "long": long,
    "short": short,
}

_HERON = Inputs(notes=(
    InputNote(key="main.tension", value=Quantity(1800.0, "force"), unit="kN", known="measured"),
    InputNote(key="walker.leash", value=Quantity(1.6, "length"), unit="m", known="assumed"),
    InputNote(key="hold.friction", value=Quantity(0.2, "number", digits=1), known="assumed"),
    InputNote(key="hold.drag", value=Quantity(0.5, "force", digits=1), unit="N", known="assumed"),
    InputNote(key="backup.excess", value=Quantity(0.03, "ratio", digits=1), unit="%", known="guess"),
))  # fmt: skip
INPUTS = {"trap": _HERON, "heron": _HERON, "short": _HERON}


_PULL = InputNote(key="main.tension", value=Quantity(3000.0, "force", digits=2), unit="kN", known="stated")
TRIED = Inputs(
    notes=(InputNote(
        key="main.tension", value=Quantity(4500.0, "force", digits=2), unit="kN", known="tried", file=_PULL,
    ),),
    variant="tight",
)  # fmt: skip
"""Inputs of which one is tried: 4.5 kN, where the file says 3.0 kN."""


def given(name: str) -> Given:
    """A rig with what is known of its inputs."""
    return Given(rig=MAKERS[name](), inputs=INPUTS.get(name, Inputs()))


@functools.cache
def solved(name: str, state: str = "as taped") -> Solution:
    return solve(MAKERS[name](), state)


def gorge(rig: Rig, depth: float = 38.0, count: int = 60) -> SimpleNamespace:
    """An invented gorge across the line: flat rims at the anchors, steep walls, a sloping floor."""
    run = float(np.linalg.norm((rig.main_b - rig.main_a)[:2]))
    along = (rig.main_b - rig.main_a)[:2] / run
    side = np.array([-along[1], along[0]])
    s = np.linspace(-0.25 * run, 1.25 * run, count)
    t = np.linspace(-0.35 * run, 0.35 * run, count // 2)
    station, off = np.meshgrid(s, t, indexing="ij")
    share = station / run + 0.03 * np.sin(off / run * 9.0)
    wall = np.clip(np.minimum(share + 0.01, 1.01 - share) / 0.22, 0.0, 1.0)
    rim = rig.main_a[2] + np.clip(share, 0, 1) * (rig.main_b - rig.main_a)[2] - 0.8
    floor = depth * (1 + 0.15 * np.sin(off / run * 4.0)) * (3 * wall**2 - 2 * wall**3)
    z = rim - floor - 0.02 * run * np.abs(np.sin(station / run * 23.0 + off / run * 17.0)) * (0.15 + wall)
    plan = rig.main_a[:2] + station[..., None] * along + off[..., None] * side
    vertices = np.column_stack([plan.reshape(-1, 2), z.ravel()])
    index = np.arange(len(vertices)).reshape(station.shape)
    a, b, c, d = (
        index[:-1, :-1].ravel(),
        index[1:, :-1].ravel(),
        index[1:, 1:].ravel(),
        index[:-1, 1:].ravel(),
    )
    faces = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    return SimpleNamespace(vertices=vertices, faces=faces)


@functools.cache
def study(name: str) -> Study:
    """All results of a rig, with distances to its gorge; sweeps of few places so that tests stay quick."""
    solution = solved(name)
    rig = replace(solution.rig, needs=NEEDS, wind=Wind(speed=6.0, towards=WIND[name])) if name in WIND else solution.rig
    ground = gorge(rig)
    terrain = Terrain(vertices=ground.vertices, faces=ground.faces, source="invented gorge", kind="grid")
    leave = {"bands", "touch", "wear", "compare", "crossing_value"}
    leave |= set() if name == "incline" else {"crossing_low", "crossing_high"}
    scene = Given(rig=rig, inputs=INPUTS.get(name, Inputs()))
    found = Study(scene, places=15, leave=leave, given={"ground": terrain})
    if not found.fall_sweep:
        return changed(found, leave={"clearance"})
    return changed(found, clearance=swept(found))


def changed(
    study: Study, leave: Iterable[str] = (), rig: Rig | None = None, inputs: Inputs | None = None, **given: object
) -> Study:
    """The same study, with some results given and some left out; rig and inputs may differ in what does not count."""
    other = copy.copy(study)
    other.rig, other.inputs = rig or study.rig, inputs or study.inputs
    other.leave = study.leave | set(leave)
    other._known = {**{name: value for name, value in study._known.items() if name not in other.leave}, **given}
    return other


NEEDS = ClearanceNeeds(line=1.0, loop=0.5, body=3.0, survey_error=0.5, margin=1.0)
WIND = {"heron": (0.0, 1.0), "incline": (0.5, -0.866), "long": (0.0, -1.0)}


def worst_place(
    index: GroundIndex, chords: Chords, station: np.ndarray, kind: str, why: Why, required: float
) -> Cause:
    """The finding of some curves; `station` has the place along the line of each node of each curve."""
    group = np.zeros(len(station), dtype=np.int64)
    (near,), (drop,) = minima(index, chords, group), lowest(index, chords, group)
    chord = np.flatnonzero((chords.curve == drop.curve) & (chords.segment == drop.segment))[0]
    start, end = chords.nodes[chords.first[chord]], chords.nodes[chords.first[chord] + 1]
    above = start + drop.fraction * (end - start)

    def place(at: Approach | Drop) -> float:
        low, high = station[at.curve, at.segment : at.segment + 2]
        return float(low + at.fraction * (high - low))

    return Cause(
        kind=kind, why=why, family="fall" if kind == "body" else "rig",
        distance=near.distance, vertical=drop.gap, required=required,
        needed=required + NEEDS.survey_error + NEEDS.margin, station=place(near),
        walker=place(near) if kind == "body" else None, point=near.point, nearest=near.nearest,
        vertical_station=place(drop), vertical_walker=place(drop) if kind == "body" else None, vertical_point=above,
        vertical_ground=np.append(above[:2], drop.z_ground),
    )


def swept(study: Study) -> Clearance:
    """Falls and the line under its walker against the ground: the two findings that pictures are tested with."""
    falls, rig, index = study.fall_sweep, study.rig, study.index
    added = NEEDS.survey_error + NEEDS.margin
    bodies = Chords.of(list(np.stack([falls.low.head, falls.low.foot], axis=1)))
    left = np.array([near.distance for near in minima(index, bodies, np.arange(len(falls.at)))]) - NEEDS.body - added
    line = study.taped.main.sample(8)
    findings = [
        worst_place(index, bodies, np.tile(falls.at[:, None], 2), "body", Why(kind=CauseKind.FALL), NEEDS.body),
        worst_place(
            index, Chords.of([line.points], [line.sagitta]), np.linspace(0.0, rig.span, len(line.points))[None],
            "line", Why(kind=CauseKind.RIG), NEEDS.line,
        ),
    ]
    findings.sort(key=lambda cause: cause.remainder)
    return Clearance(
        findings=tuple(Finding(rank=i, causes=(cause,)) for i, cause in enumerate(findings, 1)),
        no_fall_zones=no_fall_zones(falls.at, left, rig.span),
        strikes=no_fall_zones(falls.at, left + NEEDS.body + NEEDS.margin, rig.span),
        holes=holes_below(index.plumb, line.points[:, :2]),
        survey_error=NEEDS.survey_error, margin=NEEDS.margin, source=index.terrain.source, notes=index.terrain.notes,
    )


def drawable(name: str) -> list[str]:
    """The views that what is known of a rig allows."""
    brief = brief_of(solved(name), study=study(name))
    return [view for view, kind in VIEWS.items() if not kind.missing(brief)]
