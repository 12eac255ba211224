"""The rig in space: one binary glTF and one JSON beside it, from a study; what every 3-D surface shows."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from linescope import __version__
from linescope.atomic import write_bytes, write_text
from linescope.export.space import findings, land
from linescope.export.space.container import BAKED, Container
from linescope.export.space.layers import baked_faces, layers
from linescope.export.space.shapes import StateShapes, backup_points, main_points
from linescope.export.space.states import States
from linescope.notes import Quantity, Term, Verbatim
from linescope.stage import ground as stage_ground
from linescope.stage import lines, people, person, ribbon, tapes, worst
from linescope.stage.ground import Site
from linescope.stage.items import Surface, Wire
from linescope.stage.people import PARTS
from linescope.stage.relief import LineFrame
from linescope.stage.theme import DARK, LIGHT, ROLES, Theme, tape_look
from linescope.statics import Solution
from linescope.study import Study
from linescope.topics import MOTION, STYLES, TOPICS, WEAR
from linescope.words import Words, frame

Floats = NDArray[np.float64]
Detail = Literal["page", "whole"]

FORMAT, VERSION = "linescope space", 1
GROUND = {"page": (16_000, 260.0), "whole": (60_000, 700.0)}
"""Triangles of ground that is no profile, and points of a profile in a span."""
ANCHOR = 0.06  # Half a side of the block that stands for an anchor [m].
POSES: tuple[people.Pose, ...] = ("standing", "walking", "sitting", "hanging")
LED = tuple(topic for topic in TOPICS.values() if topic not in (STYLES, WEAR, MOTION))
"""Topics whose notes are said with the whole; rub says its own with its layer."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Space:
    """The rig in space.

    Attributes
    ----------
    glb : bytes
        Binary glTF: meshes for any reader, and the long arrays of the JSON.
    data : dict
        What the JSON holds: states, labels, figures and films in words, and which arrays belong to them.
    """

    glb: bytes
    data: dict[str, Any]

    @property
    def text(self) -> str:
        """The JSON."""
        return json.dumps(self.data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def space(
    study: Study, words: Words, *, ground: Site | None = None, detail: Detail = "page", films: bool = True,
    theme: Theme = LIGHT,
) -> Space:
    """The rig in space, with every state and layer that the study knows or can compute.

    Parameters
    ----------
    study : Study
        What it leaves out is left out; the JSON says why.
    words : Words
    ground : Site, optional
    detail : {"page", "whole"}
        "page": coarser ground, and nothing that a viewer makes of the states itself; "whole": for other programs the
        rig as meshes too.
    films : bool
        Whether what happens in time is computed and told frame by frame.
    theme : Theme
        Colours of the meshes.

    Raises
    ------
    SolveError
        When a state that is shown does not converge.
    """
    rig = study.rig
    container = Container(theme, LineFrame.of(rig))
    shapes = StateShapes(container, study, words)
    triangles, fine = GROUND[detail]
    site = None if ground is None else land.put(
        container, shapes, study, ground, words, triangles=triangles, fine=fine, opaque=detail == "whole",
    )
    if detail == "whole":
        _rig(container, study, shapes)
    if rig.walker is not None:
        people_of(container, study)
    states = States(shapes, study, films)
    made = states.all()
    lead, rest = words.lead(note for topic in LED for note in topic.notes(study))
    walker = rig.walker
    data: dict[str, Any] = {
        "format": FORMAT, "version": VERSION, "name": words.verbatim(rig.name), "units": words.system,
        "language": words.tag, "caution": list(frame.cautions(words)), "footer": words.say(
            "space-footer", version=__version__),
        "verdict": findings.overall(study, ground, words),
        **measures_of(shapes, study),
        "colours": {"light": dict(LIGHT.colours), "dark": dict(DARK.colours)},
        "patterns": {role: each.pattern for role, each in ROLES.items() if each.pattern},
        "scales": [[length, text] for length, text in words.round_lengths()],
        "tapes": tapes_of(study, words),
        "states": made, "first": "walker" if walker is not None else "empty",
        "curve": findings.curve(shapes, study, states.at, states.stood),
        "worst": findings.worst(shapes, study, ground), "worstMore": worst.rest(study.clearance or None, words),
        "noFall": findings.no_fall(shapes, study, ground),
        "runs": findings.runs(shapes, study), "ledges": findings.ledges(shapes, study),
        "holes": findings.holes(shapes, study),
        "layers": layers(shapes, study, theme), "ground": site, "labels": _labels(shapes, study, ground),
        "notes": {"lead": [each.text for each in lead], "rest": [each.text for each in rest]},
        "why": _why(study, words, made),
    }
    extras = {
        "scene": rig.name, "units": "m", "state": frame.state_label(study.taped, Words("metric", "en")),
        "caution": "Plan, not permission. Model result; measure on the real line.",
        "axes": "x, z up and -y of the line's frame; the root node carries it into the rig's frame",
    }
    return Space(glb=container.bytes(extras), data=data)


def write_space(path: str | Path, made: Space) -> tuple[Path, Path]:
    """Write both files, each whole or not at all: the name given with .glb and with .json.

    Parameters
    ----------
    path : str or Path
    made : Space

    Raises
    ------
    OutputError
        When a file cannot be written.
    """
    path = Path(path)
    return write_bytes(path, made.glb), write_text(path.with_suffix(".json"), made.text + "\n")


# The rig as meshes


def _rig(container: Container, study: Study, shapes: StateShapes) -> None:
    """Ribbons with the rub of their faces, tapes, anchors, ring, walker; and people to be put anywhere."""
    solution = study.taped
    for name, surface in zip(("main", "backup"), _ribbons(shapes, study, solution), strict=True):
        baked = _rubbed(study, solution, shapes, name, container.theme)
        if baked is None:
            container.surface(surface)
        else:
            colours = container.colours(baked)
            container.node(name, [container.triangles(
                {"POSITION": container.positions(surface.points), "COLOR_0": colours}, surface.triangles,
                container.material(BAKED),
            )])
    for wire in lines.centre_lines(solution, container.theme, ring=True):
        container.wire(_renamed(wire, f"{wire.name} line"))
    for tape in solution.layout.tapes:
        container.surface(tapes.wrap(solution, tape.number))
    body, leash = person.walker(solution)
    for surface in (*body, *_anchors(study)):
        container.surface(surface)
    rig = study.rig
    for wire in (*leash, Wire(name="chord", points=np.array([rig.main_a, rig.main_b]), colour="quiet", width=1.6)):
        container.wire(wire)


def _ribbons(shapes: StateShapes, study: Study, solution: Solution) -> Iterable[Surface]:
    """Both lines at true size through the points of the state, lying on each other at the tapes."""
    for name, points, kind, side in (
        ("main", main_points(solution, shapes.mesh), study.rig.main, 1.0),
        ("backup", backup_points(solution, shapes.mesh), study.rig.backup, -1.0),
    ):
        _, out = ribbon.frames(points)
        moved = points + out * side * kind.thickness / 2
        yield ribbon.webbing(moved, kind, name=name, top=name, under=f"{name}_under")


def _rubbed(
    study: Study, solution: Solution, shapes: StateShapes, line: str, theme: Theme
) -> NDArray[np.uint8] | None:
    wear = study.wear
    kind = study.rig.main if line == "main" else study.rig.backup
    if not wear or kind.is_rope:
        return None
    return baked_faces(wear, solution, shapes.mesh, theme, line).reshape(-1, 3)


def _renamed(wire: Wire, name: str) -> Wire:
    return Wire(name=name, points=wire.points, colour=wire.colour, width=wire.width)


def _anchors(study: Study) -> Iterable[Surface]:
    """A small block at each anchor of the main."""
    rig = study.rig
    for name, place in (("A", rig.main_a), ("B", rig.main_b)):
        along = LineFrame.of(rig).along * ANCHOR
        yield ribbon.strip(
            np.array([place - along, place + along]), width=2.0 * ANCHOR, thickness=2.0 * ANCHOR,
            name=f"anchor {name}", top="state", under="state",
        )


def people_of(container: Container, study: Study) -> None:
    """People at true height, soles at the origin, or tied in there where they hang: they stand nowhere yet.

    Parameters
    ----------
    container : Container
    study : Study
        With a walker.
    """
    walker = study.rig.walker
    assert walker is not None
    forwards = container.frame.along
    for pose in POSES:
        shape = people.body(pose)
        if pose == "hanging":
            seen = people.hung("person", container.frame.origin, forwards, walker.height, walker.hang)
        else:
            seen = people.standing("person", pose, container.frame.origin, forwards, walker.height)
        used, far = np.unique(shape.far, return_inverse=True)
        small = Surface(
            name=f"person {pose}", points=seen.points[used], triangles=far.reshape(-1, 3), colours=PARTS,
            colour=shape.far_part, smooth=True,
        )
        container.node(small.name, container.coloured(small, container.positions(small.points)), loose=True)


# What is said


def measures_of(shapes: StateShapes, study: Study) -> dict[str, Any]:
    """What every state of a rig shares: span, anchors, points of both lines, the walker, and where their frame stands.

    Parameters
    ----------
    shapes : StateShapes
    study : Study
    """
    rig, words, walker = study.rig, shapes.words, study.rig.walker
    return {
        "frame": {"origin": shapes.frame.origin.tolist(), "along": shapes.frame.along.tolist()},
        "span": round(rig.span, 4), "anchors": [
            {"name": name, "p": shapes.place(main), "backup": shapes.place(backup)}
            for name, main, backup in (("A", rig.main_a, rig.backup_a), ("B", rig.main_b, rig.backup_b))
        ],
        "lines": {
            name: {
                "name": words.say(f"frame-{name}"), "width": kind.width, "thickness": kind.thickness,
                "rope": kind.is_rope, "top": name, "under": f"{name}_under",
                "pieces": len(getattr(shapes.mesh, name)) - 1,
                "shares": np.round(getattr(shapes.mesh, name), 5).tolist(),
            }
            for name, kind in (("main", rig.main), ("backup", rig.backup))
        },
        "bays": shapes.mesh.bays,
        "walker": None if walker is None else {
            "mass": words.of(walker.mass, "mass"), "height": walker.height, "tie": walker.tie_in_height,
            "hang": walker.hang, "leash": walker.leash, "at": round(walker.at, 4),
        },
    }

def tapes_of(study: Study, words: Words, *, facts: bool = True) -> list[dict[str, Any]]:
    """Every tape and tie: number, style, sign, and in words what it is and where, if asked for.

    Parameters
    ----------
    study : Study
    words : Words
    facts : bool
    """
    layout, rig = study.planned.layout, study.rig
    names = {tape.family: words.named("tapes-family", tape.family) for tape in layout.tapes}
    found: list[dict[str, Any]] = []
    for tape in layout.tapes:
        look, name = tape_look(tape.family), names[tape.family]
        found.append({
            "number": tape.number, "family": tape.family, "kind": tape.kind, "holds": tape.holds.value,
            "zone": tape.zone, "name": name, "symbol": look.symbol, "colour": look.colour,
            "label": words.say("frame-tape", number=tape.number),
        })
    if facts:
        for one, tape, place in zip(found, layout.tapes, study.standing.tape_points, strict=True):
            at = float(rig.along_chord(place))
            one["at"], one["facts"] = round(at, 3), words.say(
                "space-tape", number=tape.number, style=one["name"], line=Term(f"frame-holds-{tape.holds.value}"),
                place=words.place(at),
            )
    return found


def _labels(shapes: StateShapes, study: Study, site: Site | None) -> list[dict[str, Any]]:
    """Names of the anchors and of named areas, and the mass over the walker's place."""
    words, rig = shapes.words, study.rig
    found = [
        {"text": name, "p": shapes.place(place), "role": "state", "rank": 0, "must": True, "kind": "anchor"}
        for name, place in (("A", rig.main_a), ("B", rig.main_b))
    ]
    for area in () if site is None else site.areas:
        found.append({
            "text": words.say(
                "overview-area", name=Verbatim(area.name), kind=stage_ground.area_kind(rig, area.name)
            ),
            "p": shapes.place(stage_ground.area_spot(area)), "role": "ink", "rank": 4, "must": False, "kind": "area",
        })
    if rig.walker is not None:
        found.append({
            "text": words.say("overview-walker", mass=Quantity(rig.walker.mass, "mass")), "p": None, "role": "walker",
            "rank": 1, "must": False, "kind": "walker",
        })
    return found


def _why(study: Study, words: Words, made: list[dict[str, Any]]) -> dict[str, str]:
    """Why something is not there, in a sentence each."""
    needed = {
        "walker": "fall", "settled": "let_go", "fall": "fall", "gone": "main_gone", "gust": "wind",
        "rub": "wear", "clearance": "clearance", "ground": "ground",
    }
    present = {state["key"] for state in made}
    found = {}
    for key, name in needed.items():
        if key in present:
            continue
        result = study.get(name) if study.knows(name) or name in study.leave else None
        note = getattr(result, "note", None)
        if note is not None and not result:
            found[key] = words.note(note)
    return found
