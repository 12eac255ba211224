"""What a line can be coloured by: what is left to the ground, tension, depth of the loops, touch, rub by face."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.contact.ledger import Face, Ledger
from linescope.contact.wear import Wear
from linescope.export.space.shapes import BayPoints, StateShapes, coordinates
from linescope.notes import Quantity, Spot, Term
from linescope.stage import faces
from linescope.stage.theme import DARK, Theme
from linescope.statics import Solution
from linescope.study import Study
from linescope.topics.wear import face_term, place_values
from linescope.words import Words

Floats = NDArray[np.float64]

CLASSES = 5  # Of tension and of depth.
SHADES = ("#c9d0d4", "#a8c8dc", "#6ea6c8", "#33789f", "#0b3a57")
"""Of tension and of depth, little to much."""
DARK_SHADES = ("#35424c", "#2f6383", "#3f8fb8", "#7cbde0", "#d8effc")
"""The same in the dark."""
TOUCH = ("none", "strip", "lines", "over")
TOUCH_ROLES = ("rule", "purple", "alarm", "yellow")
FACES = {
    Face.MAIN_TOP: "main_top", Face.MAIN_UNDER: "main_under", Face.BACKUP_TOP: "backup_top",
    Face.BACKUP_UNDER: "backup_under",
}


def layers(shapes: StateShapes, study: Study, theme: Theme) -> dict[str, Any]:
    """All layers with their legends; a layer that is not known is None.

    Parameters
    ----------
    shapes : StateShapes
    study : Study
    theme : Theme
    """
    words = shapes.words
    found: dict[str, Any] = {
        "left": _left(study, words),
        "tension": scaled("tension", "force", _all(study, "main_tension"), words),
        "depth": scaled("depth", "length", _all(study, "loop_depth"), words),
        "touch": _touch(shapes, study),
        "rub": _rub(study, theme, words),
    }
    return found


def _left(study: Study, words: Words) -> dict[str, Any] | None:
    if not study.clearance:
        return None
    legend = [
        {"text": words.say("space-left-reached"), "role": "ground_hit", "pattern": "cross"},
        {"text": words.say("space-left-near"), "role": "ground_near", "pattern": "hatch"},
        {"text": words.say("space-left-kept"), "role": "rule", "pattern": ""},
    ]
    return {"name": words.say("space-layer-left"), "title": words.say("space-left-title"), "legend": legend}


def _all(study: Study, name: str) -> Floats:
    states = (*study.walked, study.standing)
    values = np.concatenate([getattr(each.bays, name) for each in states])
    slack = np.concatenate([each.bays.excess >= 0.0 for each in states])
    return np.asarray(values[slack] if name == "loop_depth" and slack.any() else values)


def scaled(name: str, dimension: str, values: Floats, words: Words) -> dict[str, Any]:
    """Classes of equal width from the least to the most that occurs.

    Parameters
    ----------
    name : {"tension", "depth"}
    dimension : str
    values : (n,) array
        [N] or [m]
    words : Words
    """
    low, high = float(values.min()), float(values.max())
    limits = np.linspace(low, max(high, low + 1e-6), CLASSES + 1)
    unit = words.unit([low, high], dimension)
    legend = [
        {"text": words.range(float(a), float(b), dimension, unit=unit), "colour": shade, "dark": dark,
         "pattern": ""}
        for a, b, shade, dark in zip(limits[:-1], limits[1:], SHADES, DARK_SHADES, strict=True)
    ]
    return {
        "name": words.say(f"space-layer-{name}"), "title": words.say(f"space-{name}-title"), "legend": legend,
        "scale": [round(float(x), 5) for x in limits[1:-1]],
    }


def _touch(shapes: StateShapes, study: Study) -> dict[str, Any] | None:
    """Where the lines lie on each other as taped, with the walker where the scene puts him."""
    found, words, mesh = study.touch, shapes.words, shapes.mesh
    if not found:
        return None
    at = {line: coordinates(found.solution, mesh, line) for line in ("main", "backup")}
    kinds = {line: np.zeros(len(at[line]), dtype=np.int64) for line in at}
    stretches = []
    for touch in found.touches:
        kind = 3 if touch.cause == "over the main" else 2 if touch.pressed > 0.0 else 1
        for line, (low, high) in (("main", touch.main), ("backup", touch.backup)):
            kinds[line][reached(at[line], low, high)] = kind
        stretches.append({
            "bay": touch.bays[0], "tape": touch.tape, "kind": kind,
            "p": shapes.place(touch.points.mean(axis=0)),
            "text": words.say(
                "space-touch-stretch", what=Term(f"touch-cause-{touch.cause.replace(' ', '-')}"),
                length=Quantity(touch.length, "length"), carried=Quantity(touch.carried, "force"),
                pressed=Quantity(touch.pressed, "force"),
            ),
        })
    there = [k for k in range(len(TOUCH)) if any((each == k).any() for each in kinds.values())]
    walker = study.rig.walker
    return {
        "name": words.say("space-layer-touch"),
        "title": words.say("space-touch-title") if walker is None else words.say(
            "space-touch-title-walker", place=Spot(walker.at)
        ),
        "legend": [
            {"text": words.say(f"space-touch-{TOUCH[k]}"), "role": TOUCH_ROLES[k], "pattern": "", "class": k}
            for k in there
        ],
        **{line: shapes.file.indexed(each) for line, each in kinds.items()}, "stretches": stretches,
    }


def reached(coordinate: Floats, low: float, high: float) -> NDArray[np.bool_]:
    """Points that stand for part of a stretch: each stands for the line half way to its neighbours.

    Parameters
    ----------
    coordinate : (n,) array
        Rising.  [m]
    low, high : float
        Ends of the stretch.  [m]
    """
    middle = 0.5 * (coordinate[1:] + coordinate[:-1])
    start, end = np.concatenate(([-np.inf], middle)), np.concatenate((middle, [np.inf]))
    return np.asarray((start <= high) & (end >= low))


def _rub(study: Study, theme: Theme, words: Words) -> dict[str, Any] | None:
    """Legend, worst places and tapes; the faces' classes stand with the shapes."""
    wear = study.wear
    if not wear:
        return None
    most, shades, dark = scale(wear), faces.shaded(theme), faces.shaded(DARK)
    texts = faces.class_words(most, words)
    return {
        "name": words.say("space-layer-rub"),
        "title": words.say("space-rub-title"), "use": _use(wear, words),
        "legend": [
            {
                "text": text, "colour": shades.colours[role], "dark": dark.colours[role], "pattern": "", "class": k,
            }
            for k, (text, role) in enumerate(zip(texts, faces.ROLES, strict=True))
        ],
        "faces": {
            name: {"name": words.value(face_term(face)), "worst": faces.worst_words(wear, face, words)}
            for face, name in FACES.items()
        },
        "places": [
            {
                "face": FACES[place.face], "at": round(place.from_a, 2), "tape": place.tape,
                "text": words.say("space-rub-place", **place_values(place)),
            }
            for place in wear.places[:9]
        ],
        "tapes": [
            {"number": tape.number, "text": words.of(tape.work, "energy")} for tape in wear.tapes
        ],
        "notes": [each.text for each in words.lead(wear.notes)[0]],
    }


def _use(wear: Wear, words: Words) -> str:
    """What rub is counted for, short enough for a legend."""
    use = wear.use
    return words.say(
        "space-rub-use", given="no" if use.assumed else "yes", crossings=use.crossings,
        wind=Quantity(3600.0 * use.wind_hours, "time"), falls=len(use.falls),
        more="yes" if use.bounce_hours or use.wrapped else "no",
    )


def scale(wear: Wear) -> float:
    """The largest rub on any face, which the classes are shares of.  [J/m]"""
    return max(wear.peak(face) for face in Face)


def rub_classes(ledger: Ledger, coordinate: Floats, most: float) -> NDArray[np.int64]:
    """(n,) class of each point: that of the worst bin of the line it stands for, half way to its neighbours.

    Parameters
    ----------
    ledger : Ledger
    coordinate : (n,) array
        Rising.  [m]
    most : float
        Of the scale.  [J/m]
    """
    middle = 0.5 * (coordinate[1:] + coordinate[:-1])
    cuts = np.concatenate(([0.0], middle, [ledger.length]))
    first = np.clip((cuts[:-1] / ledger.bin).astype(np.int64), 0, len(ledger.work) - 1)
    last = np.clip(np.ceil(cuts[1:] / ledger.bin).astype(np.int64), first + 1, len(ledger.work))
    worst = np.array([ledger.per_metre[a:b].max() for a, b in zip(first, last, strict=True)])
    return faces.classes(worst, most)


def rub_of(shapes: StateShapes, study: Study, solution: Solution) -> dict[str, Any] | None:
    """Classes of a state's points, face by face; None where no rub is known.

    Parameters
    ----------
    shapes : StateShapes
    study : Study
    solution : Solution
        What slid took its faces with it: classes stand where the webbing is.
    """
    wear = study.wear
    if not wear:
        return None
    most = scale(wear)
    return {
        name: shapes.file.indexed(
            rub_classes(wear.day.value.faces[face], coordinates(solution, shapes.mesh, face.line), most)[None]
        )
        for face, name in FACES.items()
    }


def baked_faces(wear: Wear, solution: Solution, mesh: BayPoints, theme: Theme, line: str) -> NDArray[np.uint8]:
    """(n, 4, 3) sRGB colours of a ribbon's sections by rub: its upper corners, then its lower ones.

    Parameters
    ----------
    wear : Wear
    solution : Solution
    mesh : BayPoints
    theme : Theme
    line : {"main", "backup"}
    """
    shades, most = faces.shaded(theme), scale(wear)
    table = np.array([shades.rgb(role) for role in faces.ROLES], dtype=np.uint8)
    top, under = (
        rub_classes(wear.day.value.faces[face], coordinates(solution, mesh, line), most)
        for face in ((Face.MAIN_TOP, Face.MAIN_UNDER) if line == "main" else (Face.BACKUP_TOP, Face.BACKUP_UNDER))
    )
    return np.stack([table[top], table[top], table[under], table[under]], axis=1)
