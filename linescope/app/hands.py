"""Edits that a hand makes on the line itself: a tape restyled or moved, a loop deepened, an anchor lifted."""

from __future__ import annotations

import re
from typing import Any

import numpy as np

from linescope.app import edits
from linescope.app.engine import SolvedRig
from linescope.errors import InputError
from linescope.scene.document import Document, drop, put
from linescope.scene.paths import steps_of
from linescope.scene.tried import is_sure
from linescope.scene.typed import shown
from linescope.stage.relief import LineFrame
from linescope.units import System, from_si, to_si

NEAREST = 0.10  # A tape is not pushed nearer to the next one than this [m].
SHALLOWEST, DEEPEST = 0.002, 3.0  # Of a loop: as little as is drawn, and times as deep as it is at once [m], [-].
OF_ANCHORS = {"A": "anchors.a", "B": "anchors.b"}


def restyled(document: Document, picture: SolvedRig | None, tape: int, style: str) -> None:
    """The style of the zone that a tape (from 0) lies in.

    Raises
    ------
    InputError
        When there is no such tape or style, or it is a tie.
    """
    edits.typed(document, f"{_zone_of(picture, tape)}.style", style)


def respaced(document: Document, picture: SolvedRig | None, tape: int, every: str) -> None:
    """An even spacing of the zone that a tape (from 0) lies in.

    Raises
    ------
    InputError
        When there is no such tape, or it is a tie.
    """
    path = f"{_zone_of(picture, tape)}.spacing"
    if "every" not in (document.raw(steps_of(path)) or {}):
        name = next(iter(document.raw(steps_of(path)) or {"listed": None}))
        edits.chosen(document, f"{path}.{name}", "every", picture)
    edits.typed(document, f"{path}.every", every)


def moved(document: Document, picture: SolvedRig | None, tape: int, at: float, gesture: str = "") -> None:
    """A tape (from 0) to a place on the level; the tapes of its zone are listed from then on.

    Parameters
    ----------
    document : Document
    picture : SolvedRig or None
    tape : int
    at : float
        From A on the level, as a picture shows it: under an inclined line a point is not straight below its place along
        the line.  [m]
    gesture : str

    Raises
    ------
    InputError
        When there is no such tape, or it is a tie.
    """
    zone = _zone_of(picture, tape)
    assert picture is not None
    layout, solution = picture.planned.layout, picture.solution
    stated = np.cumsum(layout.stated_bays)  # Of all tapes, and of anchor B, in the state that the plan refers to.
    points = np.concatenate((solution.tape_points, [picture.rig.main_b]))
    ends = np.concatenate(([0.0], LineFrame.of(picture.rig).local(points)[:, 0]))
    wanted = float(np.interp(at, ends, np.concatenate(([0.0], stated))))
    before = stated[tape - 1] if tape else 0.0
    stated[tape] = min(max(wanted, before + NEAREST), stated[tape + 1] - NEAREST)
    inside = [k for k, each in enumerate(layout.tapes) if each.zone == layout.tapes[tape].zone and each.kind == "tape"]
    listed = [f"{stated[k]:.2f} m" for k in inside]
    path = f"{zone}.spacing"
    if is_sure(document.data, path) or f"{path}.listed" in document.tried:
        document.try_values({f"{path}.listed": ", ".join(listed)}, edits.named(path), gesture)
        return
    with document.edit(edits.named(path), gesture) as toml:
        for name in ("every", "pattern", "spread", "seed"):
            drop(toml, (*steps_of(path), name))
        put(toml, (*steps_of(path), "listed"), listed, inline=True)


def deepened(document: Document, picture: SolvedRig | None, bay: int, depth: float, gesture: str = "") -> None:
    """A loop (from 0) to a depth: what the scene gives loops by is changed, in its zone or all along the line.

    Loops of one stretch have one excess, so its neighbours follow; depth goes with the square root of the excess of a
    shallow loop, so a drag comes to where the hand is in a few steps.

    Parameters
    ----------
    document : Document
    picture : SolvedRig or None
    bay : int
    depth : float
        [m]
    gesture : str

    Raises
    ------
    InputError
        When there is no such loop.
    """
    if picture is None or not 0 <= bay < len(picture.solution.bays.loop_depth):
        raise InputError("there is no such loop", found=bay + 1)
    layout, bays = picture.planned.layout, picture.solution.bays
    now = max(float(bays.loop_depth[bay]), SHALLOWEST) if bays.excess[bay] >= 0.0 else SHALLOWEST
    wanted = min(max(depth, SHALLOWEST), max(DEEPEST * now, 0.05))
    excess = float(layout.stated_excess[bay])
    seen = max(float(bays.excess[bay]), 1e-5)
    fresh = min(max(excess - seen + seen * (wanted / now) ** 2, -0.05), 1.0)
    given = document.data.get("backup", {})
    longer = (1.0 + fresh) / (1.0 + excess)
    if "loop_depth" in given:
        length = float(np.max(layout.stated_bays))
        past = _number(document, "backup.loop_depth")
        text = f"{min(past * wanted / now, length) * 100:.1f} cm"
        edits.typed(document, "backup.loop_depth", text, gesture)
    elif "loop_length" in given or "total_length" in given:
        path = "backup.loop_length" if "loop_length" in given else "backup.total_length"
        edits.typed(document, path, f"{_number(document, path) * longer:.3f} m", gesture)
    else:
        zones = document.data.get("taping", {}).get("zones", [])
        zone = min(layout.tapes[min(bay, len(layout.tapes) - 1)].zone, len(zones) - 1) if layout.tapes else 0
        path = f"taping.zones[{zone + 1}].excess" if len(zones) > 1 else "backup.excess"
        if len(zones) == 1 and "excess" in zones[0]:
            path = "taping.zones[1].excess"
        edits.typed(document, path, f"{100.0 * fresh:.2f} %", gesture)


def lifted(
    document: Document, picture: SolvedRig | None, anchor: str, by: float, system: System, gesture: str = ""
) -> None:
    """An anchor of the main, and the backup's own beside it, up or down.

    Parameters
    ----------
    document : Document
    picture : SolvedRig or None
    anchor : {"A", "B"}
    by : float
        [m]
    system : {"metric", "feet"}
        In whose unit it is written where the scene has none.
    gesture : str

    Raises
    ------
    InputError
        When there is no such anchor.
    """
    if anchor not in OF_ANCHORS or picture is None:
        raise InputError("there is no such anchor", found=anchor, allowed="A, B")
    path = OF_ANCHORS[anchor]
    paths = [each for each in (path, path.replace(".", ".backup_")) if document.raw(steps_of(each)) is not None]
    for each in paths:
        raw = document.raw(steps_of(each))
        parts = [part.strip() for part in (document.tried.get(each) or shown(raw)).split(",")]
        unit = re.sub(r"^[\s\d.eE+-]+", "", parts[2]) or ("m" if system == "metric" else "ft")
        parts[2] = f"{from_si(to_si(parts[2], 'length') + by, unit, 'length'):.2f} {unit}"
        edits.typed(document, each, ", ".join(parts), gesture)


def _number(document: Document, path: str) -> float:
    """A length that the scene has, or that is tried in its place.  [m]"""
    return to_si(document.tried.get(path) or shown(document.raw(steps_of(path))), "length")


def _zone_of(picture: SolvedRig | None, tape: int) -> str:
    """The path of the zone that a tape lies in."""
    tapes: Any = () if picture is None else picture.planned.layout.tapes
    if not 0 <= tape < len(tapes):
        raise InputError("there is no such tape", found=tape + 1, allowed=f"1 to {len(tapes)}")
    if tapes[tape].kind != "tape":
        raise InputError("this is a tie, not a tape of a zone", found=tape + 1)
    return f"taping.zones[{tapes[tape].zone + 1}]"
