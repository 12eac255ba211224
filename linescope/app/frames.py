"""What the page draws, as bytes: centre lines, tapes, walker and ground, each sent when it changed.

The page widens centre lines to ribbons of true width and thickness by itself, so that a change of a rig of a hundred
tapes is about 50 kB.  Coordinates are metres from anchor A in 32-bit floats (0.01 mm at 100 m).
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from typing import Any, get_args

import numpy as np
from numpy.typing import NDArray

from linescope.app.engine import SolvedRig
from linescope.events.crossing import Crossing
from linescope.notes import Term
from linescope.stage import person
from linescope.stage.dimensions import deepest_bay, telling_bays
from linescope.stage.ground import section
from linescope.stage.items import Surface
from linescope.stage.ring import backup, free_loop
from linescope.stage.theme import LIGHT, THEMES, Symbol, tape_look
from linescope.statics.solution import Curve, Solution
from linescope.words import Words

Floats = NDArray[np.float64]

PER_MAIN, PER_LOOP = 12, 24
"""Pieces of each catenary of main and backup."""

SHAPES = get_args(Symbol)
"""The page's shader draws tape symbols by their number here."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Parcel:
    """One picture ready to be sent.

    Attributes
    ----------
    meta : dict
        Plain data: widths, counts, labels.
    parts : dict of str to bytes
        Little-endian float32 or uint32 arrays by name.
    """

    meta: dict[str, Any]
    parts: dict[str, bytes]


def fingerprint(part: bytes) -> str:
    """A short fingerprint of bytes."""
    return hashlib.blake2b(part, digest_size=8).hexdigest()


def parcel_of(picture: SolvedRig, measures: Words) -> Parcel:
    """Lines, tapes, walker and labels of a picture; its ground is apart, in `ground_of`."""
    solution, rig = picture.solution, picture.rig
    return _frame(solution, rig.main_a, measures)


def _frame(solution: Solution, origin: Floats, measures: Words) -> Parcel:
    rig = solution.rig
    main = solution.main.sample(PER_MAIN)
    lifted = [wire.points - origin for wire in free_loop(solution, LIGHT, PER_LOOP)]
    body, leash = _body(solution)
    families = [tape.family for tape in solution.layout.tapes]
    kinds = list(dict.fromkeys(families))
    points = np.column_stack([solution.tape_points - origin, [kinds.index(name) for name in families]])
    parts = {
        "main": _floats(main.points - origin),
        "backup": _floats(backup(solution, PER_LOOP) - origin),
        "free_loop": _floats(lifted[0]) if lifted else b"",
        "tapes": _floats(points),
        "body": _floats(body.points - origin) if body is not None else b"",
        "body_faces": np.ascontiguousarray(body.triangles, dtype="<u4").tobytes() if body is not None else b"",
        "leash": _floats(leash - origin) if leash is not None else b"",
    }
    feet = solution.walker_point
    meta = {
        "bays": len(solution.bays.loop_depth),
        "main_start": _starts(solution, main),
        "per_loop": PER_LOOP,
        "main_width": rig.main.width,
        "main_thick": rig.main.thickness,
        "backup_width": rig.backup.width,
        "backup_thick": rig.backup.thickness,
        "families": [
            {"name": name, "shape": SHAPES.index(tape_look(name).symbol), "colour": tape_look(name).colour}
            for name in kinds
        ],
        "anchors": [(point - origin).tolist() for point in (rig.main_a, rig.main_b)],
        "walker": None if feet is None or rig.walker is None else [*(feet - origin).tolist(), rig.walker.height],
        "labels": _labels(solution, origin, measures),
    }
    return Parcel(meta=meta, parts=parts)


def _starts(solution: Solution, curve: Curve) -> list[int]:
    """Where every bay of the main begins among its samples, and the end."""
    first = np.searchsorted(solution.main.bay, np.arange(len(solution.bays.loop_depth)), side="left")
    return [int(k) * PER_MAIN for k in first] + [len(curve.points) - 1]


def _labels(solution: Solution, origin: Floats, measures: Words) -> list[dict[str, Any]]:
    """Texts with the points they belong to, the most telling first."""
    labels: list[dict[str, Any]] = []
    rig = solution.rig
    depth = solution.bays.loop_depth
    curve = solution.backup.sample(PER_LOOP).points
    deepest = deepest_bay(solution)
    for bay in dict.fromkeys((deepest, *telling_bays(solution, 5))):
        if depth[bay] > 0.001:
            point = curve[bay * PER_LOOP + PER_LOOP // 2]
            text = measures.length(float(depth[bay]))
            if bay == deepest:
                text = measures.say("page-label-deepest", depth=text)
            labels.append({"text": text, "at": (point - origin).tolist(), "kind": "loop", "below": True})
    if solution.walker_point is not None and rig.walker is not None:
        top = solution.walker_point - origin + np.array([0.0, 0.0, rig.walker.height])
        text = measures.say("frame-walker-at", place=measures.place(rig.walker.at))
        labels.insert(0, {"text": text, "at": top.tolist(), "kind": "walker", "below": False})
    for name, end in (("B", rig.main_b), ("A", rig.main_a)):
        labels.insert(0, {"text": name, "at": (end - origin).tolist(), "kind": "anchor", "below": False})
    return labels


def _body(solution: Solution) -> tuple[Surface | None, Floats | None]:
    surfaces, wires = person.walker(solution)
    if not surfaces:
        return None, None
    shift = np.cumsum([0] + [len(each.points) for each in surfaces[:-1]])
    merged = Surface(
        name="walker",
        points=np.concatenate([each.points for each in surfaces]),
        triangles=np.concatenate([each.triangles + k for each, k in zip(surfaces, shift, strict=True)]),
        colours=("walker",),
        colour=np.zeros(sum(len(each.triangles) for each in surfaces), dtype=np.int64),
    )
    return merged, wires[0].points


def ground_of(picture: SolvedRig) -> dict[str, bytes]:
    """The ground's parts: triangles, and its cut along the line; empty without one."""
    ground, rig = picture.ground, picture.rig
    if ground is None:
        return {"ground": b"", "ground_faces": b"", "section": b""}
    run = float(np.linalg.norm((rig.main_b - rig.main_a)[:2]))
    runs = section(ground, rig, -0.1 * run, 1.1 * run, 400)
    cut = max(runs, key=len, default=np.zeros((0, 3)))  # The page draws one line: it must not bridge a hole.
    return {
        "ground": _floats(ground.vertices - rig.main_a),
        "ground_faces": np.ascontiguousarray(ground.faces, dtype="<u4").tobytes(),
        "section": _floats(cut - rig.main_a) if len(cut) else b"",
    }


def crossing_frames(crossing: Crossing, measures: Words, most: int = 120) -> list[dict[str, Any]]:
    """Pictures of a crossing with friction, at most `most` of its steps, evenly chosen.

    Returns
    -------
    list of dict
        `frame` (meta and parts as in `Parcel`), `caption` and `rows` of figures.
    """
    steps = np.unique(np.linspace(0, len(crossing.walker) - 1, min(most, len(crossing.walker))).astype(int))
    frames = []
    for step in steps:
        solution = crossing.solution_at(int(step))
        if solution.walker_point is not None and solution.rig.walker is not None:
            along = solution.rig.main_b - solution.rig.main_a
            at = float((solution.walker_point - solution.rig.main_a) @ along) / solution.rig.span
            solution = _placed(solution, at)
        frame = _frame(solution, solution.rig.main_a, measures)
        way = Term("page-crossing-towards-b" if crossing.towards_b[step] else "page-crossing-back")
        rows = (
            ("tension-a", measures.force(float(crossing.tension_a[step]))),
            ("tension-b", measures.force(float(crossing.tension_b[step]))),
            ("shallowest", measures.length(float(crossing.loop_depth[step].min()))),
            ("deepest", measures.length(float(crossing.loop_depth[step].max()))),
            ("slid", measures.length(float(np.abs(crossing.slip[: step + 1]).sum(axis=0).max()))),
        )
        frames.append(
            {
                "meta": frame.meta,
                "parts": frame.parts,
                "caption": measures.say(
                    "page-crossing", hold=Term(f"film-hold-{crossing.level}"), way=way, step=int(step) + 1,
                    total=len(crossing.walker),
                ),
                "rows": [[measures.say(f"page-crossing-{name}"), value] for name, value in rows],
            }
        )
    return frames


def _placed(solution: Solution, at: float) -> Solution:
    return replace(solution, rig=solution.rig.with_walker_at(min(max(at, 1e-6), solution.rig.span - 1e-6)))


def palettes() -> dict[str, dict[str, str]]:
    """The colours of both themes by role."""
    return {name: dict(theme.colours) for name, theme in THEMES.items()}


def _floats(array: Floats) -> bytes:
    return np.ascontiguousarray(array, dtype="<f4").tobytes()
