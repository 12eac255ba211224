"""Whether ground lies where ground under this line can lie: its size, its height, the anchors on it."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.notes import Note, Severity, Stretches, Verbatim
from linescope.terrain.model import Terrain, has_area
from linescope.terrain.notes import GroundNote, ground_note, metres
from linescope.terrain.plumb import PlumbIndex, holes_below, plumb_of
from linescope.units import format_si

Floats = NDArray[np.float64]
Odd = Callable[[TerrainError, Note], None]

ABOVE = 5.0
"""An anchor may be so far above its ground: a tree, an A-frame (common practice, no source). [m]"""
BELOW = 1.0
"""And so far below, for a survey is never right to the centimetre (assumed). [m]"""
BESIDE = 3.0
"""Ground that passes an anchor's height so near in plan can be the face of a cliff it is bolted to (assumed). [m]"""
UNKNOWN = 1.0
"""So much of a line without known ground is said loudly; less is said with the other notes. [m]"""
KNOWN_LEAST = 0.1
"""Ground known below a smaller share of the line than this counts as misplaced. [-]"""

_LARGEST = 1000.0
_SMALLEST = 0.02
_DEEPEST = 20.0
_STATIONS = 201
_RINGS = np.linspace(0.1, BESIDE, 30)


def checked_against_line(terrain: Terrain, a: Floats, b: Floats, *, accept_odd: bool = False) -> Terrain:
    """The same ground with notes on its holes and on the anchors, once it lies where ground under this line can lie.

    Parameters
    ----------
    terrain : Terrain
        Ground in the rig's frame.
    a, b : (3,) float
        Anchors. [m]
    accept_odd : bool
        Make notes of the findings instead of errors.

    Returns
    -------
    Terrain
        Notes that lead are to be read before anything else.

    Raises
    ------
    TerrainError
        No triangle has an area; extent over 1000 or under 0.02 spans, standing upright, not under the line, known below
        less than a tenth of it, wholly above it, more than 20 spans (at least 200 m) below, or far from both anchors
        where it is known, while part of the line has none.  The limits are the project's own, meant to catch a wrong
        unit or axis.
    """
    notes: list[Note] = []

    def odd(error: TerrainError, note: Note) -> None:
        if not accept_odd:
            raise error
        notes.append(note)

    if not has_area(terrain.vertices, terrain.faces):
        raise TerrainError(
            f"all {len(terrain.faces)} triangles are without area", file=terrain.source,
            allowed="triangles with three separate corners",
        )
    span = float(np.linalg.norm(b - a))
    extent = terrain.bounds[1] - terrain.bounds[0]
    size = float(extent.max())
    if size > _LARGEST * span:
        odd(
            TerrainError(
                f"the ground is {size:.2g} m wide for a span of {span:.2g} m (wrong unit?)",
                file=terrain.source, found=_rounded(extent),
                allowed="an extent up to 1000 spans; factor turns the file's unit into metres; or accept_odd = true",
            ),
            ground_note(GroundNote.ODD_WIDE, Severity.CHECK, size=metres(size), span=metres(span)),
        )
    if size < _SMALLEST * span:
        odd(
            TerrainError(
                f"the ground is only {size:.2g} m wide for a span of {span:.2g} m (wrong unit?)",
                file=terrain.source, found=_rounded(extent),
                allowed="an extent of at least 1/50 span; factor turns the file's unit into metres; or "
                "accept_odd = true",
            ),
            ground_note(GroundNote.ODD_NARROW, Severity.CHECK, size=metres(size), span=metres(span)),
        )
    _check_upright(terrain, odd)
    index = plumb_of(terrain)
    t = np.linspace(0.0, 1.0, _STATIONS)
    chord = a + t[:, None] * (b - a)
    position, _, z, _ = index.over(chord[:, :2])
    if len(position) == 0:
        centre = 0.5 * (terrain.bounds[0] + terrain.bounds[1])
        move = 0.5 * (a + b) - centre
        odd(
            TerrainError(
                f"no ground lies under the line; its middle is {math.hypot(move[0], move[1]):.2g} m away in plan",
                file=terrain.source, found=_rounded(centre),
                allowed="ground under the line; what is surveyed right is given with another ground beside it, not "
                "shifted; or accept_odd = true",
            ),
            ground_note(GroundNote.ODD_BESIDE, Severity.CHECK, distance=metres(math.hypot(move[0], move[1]))),
        )
        return terrain.with_notes(*notes)
    top = np.full(_STATIONS, -np.inf)
    np.maximum.at(top, position, z)
    covered = np.isfinite(top)
    _check_height((top - chord[:, 2])[covered], span, terrain, odd)
    heights = heights_of_anchors(index, a, b)
    holes = holes_below(index, np.stack([a[:2], b[:2]]))
    _check_reach(holes, heights, span, float(np.linalg.norm((b - a)[:2])), terrain.source, odd)
    return terrain.with_notes(*notes, *_anchor_notes(index, a, b, heights), *_hole_notes(holes, span))


def heights_of_anchors(index: PlumbIndex, a: Floats, b: Floats) -> Floats:
    """How far the anchors are above the ground straight below them, or below the ground they are inside.

    Parameters
    ----------
    index : PlumbIndex
    a, b : (3,) float
        Anchors. [m]

    Returns
    -------
    (2,) float
        Negative inside; nan where no ground is known. [m]

    Notes
    -----
    Where a mesh has several sheets above one another, an odd number of them above an anchor means that it is inside.
    """
    ends = np.stack([np.asarray(a, dtype=np.float64), np.asarray(b, dtype=np.float64)])
    position, _, z, counted = index.over(ends[:, :2])
    found = np.full(2, np.nan)
    for k in range(2):
        mine = z[position == k] - ends[k, 2]
        above, below = mine[mine > 0.0], mine[mine <= 0.0]
        if np.count_nonzero(z[(position == k) & counted] > ends[k, 2]) % 2:
            found[k] = -above.min() if len(above) else np.nan
        elif len(below):
            found[k] = -below.max()
    return found


def anchors_fit(heights: Floats) -> bool:
    """Whether anchors this high above ground can stand on it, both of them. (2,) [m]"""
    return bool(np.all((heights >= -BELOW) & (heights <= ABOVE)))


def _check_height(above: Floats, span: float, terrain: Terrain, odd: Odd) -> None:
    middle = float(np.median(above))
    if middle > 0.0:
        odd(
            TerrainError(
                f"the ground lies {middle:.2g} m above the line (middle value along the span)", file=terrain.source,
                found=f"ground heights {terrain.bounds[0, 2]:.6g} to {terrain.bounds[1, 2]:.6g} m",
                allowed="ground below the line: check up axis, unit and the height in shift; or accept_odd = true",
            ),
            ground_note(GroundNote.ODD_ABOVE, Severity.CHECK, height=metres(middle)),
        )
    elif -float(above.max()) > max(_DEEPEST * span, 200.0):
        odd(
            TerrainError(
                f"the ground lies at least {-float(above.max()):.2g} m below a line of {span:.2g} m (wrong unit or "
                "datum?)", file=terrain.source,
                found=f"ground heights {terrain.bounds[0, 2]:.6g} to {terrain.bounds[1, 2]:.6g} m",
                allowed="ground within 20 spans below the line; or accept_odd = true",
            ),
            ground_note(GroundNote.ODD_BELOW, Severity.CHECK, depth=metres(-float(above.max())), span=metres(span)),
        )


def _check_reach(holes: Floats, heights: Floats, span: float, plan: float, source: str, odd: Odd) -> None:
    missing = float((holes[:, 1] - holes[:, 0]).sum())
    if missing > (1.0 - KNOWN_LEAST) * plan:
        odd(
            TerrainError(
                f"ground is known below only {format_si(plan - missing, 'length')} of the {format_si(plan, 'length')} "
                "line (wrong unit, up axis or place?)", file=source, found=_heights_found(heights),
                allowed="ground below at least a tenth of the line: check unit, up and shift; or accept_odd = true",
            ),
            ground_note(GroundNote.ODD_LITTLE, Severity.CHECK, known=metres(plan - missing), span=metres(plan)),
        )
    elif missing > UNKNOWN and np.isfinite(heights).any() and np.all(~(np.abs(heights) <= max(span, 20.0))):
        odd(
            TerrainError(
                "the ground reaches no anchor, neither in height nor in plan (wrong unit, up axis or place?)",
                file=source, found=_heights_found(heights),
                allowed="ground under the anchors: check unit, up and shift; or accept_odd = true",
            ),
            ground_note(GroundNote.ODD_ANCHORS, Severity.CHECK),
        )


def _heights_found(heights: Floats) -> str:
    return ", ".join(
        f"{name}: none known" if math.isnan(height) else
        f"{name} {round(abs(height), 2)} m {'above' if height >= 0.0 else 'below'} it"
        for name, height in zip("AB", heights.tolist(), strict=True)
    )


def _anchor_notes(index: PlumbIndex, a: Floats, b: Floats, heights: Floats) -> list[Note]:
    """What is odd about how high the anchors are, and what hangs over them."""
    notes = []
    for name, end, height in zip("AB", (a, b), heights.tolist(), strict=True):
        beside = _beside(index, end)
        face = beside <= BESIDE
        if height < -BELOW:
            notes.append(ground_note(
                GroundNote.ANCHOR_BELOW, Severity.CHECK, anchor=name, depth=metres(-height),
                beside="face" if face else "none", distance=metres(beside if face else math.nan),
            ))
        elif height > ABOVE and not face:
            notes.append(ground_note(GroundNote.ANCHOR_ABOVE, Severity.CHECK, anchor=name, height=metres(height)))
        z = index.over(end[None, :2])[2]
        over = z[z > end[2]] - end[2]
        if len(over) and not height < 0.0:
            height_over = metres(float(over.min()))
            notes.append(ground_note(GroundNote.ANCHOR_UNDER, Severity.CHECK, anchor=name, height=height_over))
    exchanged = heights[::-1] + (b[2] - a[2]) * np.array([-1.0, 1.0])
    if notes and index.terrain.kind == "profile" and not anchors_fit(heights) and anchors_fit(exchanged):
        notes.append(ground_note(GroundNote.EXCHANGED, Severity.CHECK))
    return notes


def _beside(index: PlumbIndex, end: Floats) -> float:
    """How near in plan the ground passes an anchor's height; inf where it does not within `BESIDE`.  [m]"""
    angles = np.arange(16) * (np.pi / 8.0)
    rings = _RINGS[:, None, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1)
    around = end[:2] + np.concatenate([[[0.0, 0.0]], rings.reshape(-1, 2)])
    position, _, z, _ = index.over(around)
    if not len(position):
        return math.inf
    ring = np.where(position == 0, -1, (position - 1) // len(angles))
    low, high = np.full(len(_RINGS) + 1, np.inf), np.full(len(_RINGS) + 1, -np.inf)
    np.minimum.at(low, ring + 1, z)
    np.maximum.at(high, ring + 1, z)
    passed = (np.minimum.accumulate(low) <= end[2]) & (np.maximum.accumulate(high) >= end[2])
    return float(np.append(0.0, _RINGS)[np.argmax(passed)]) if passed.any() else math.inf


def _hole_notes(holes: Floats, span: float) -> list[Note]:
    if not len(holes):
        return []
    missing = float((holes[:, 1] - holes[:, 0]).sum())
    return [ground_note(
        GroundNote.UNKNOWN, Severity.CHECK if missing > UNKNOWN else Severity.LIMIT,
        stretches=Stretches(tuple((float(low), float(high)) for low, high in holes)), length=metres(missing),
        span=metres(span),
    )]


def _check_upright(terrain: Terrain, odd: Odd) -> None:
    a, b, c = (terrain.vertices[terrain.faces[:, corner]].T for corner in range(3))
    u, v = b - a, c - a
    facing = np.array([float(np.abs(u[j] * v[k] - u[k] * v[j]).sum()) for j, k in ((1, 2), (2, 0), (0, 1))])
    facing = facing / np.linalg.norm(facing)
    axis = int(np.argmax(facing))
    extent = terrain.bounds[1] - terrain.bounds[0]
    thin = float(np.sort(extent[:2])[0]) < 0.5 * float(extent[2])
    if facing[2] < 0.4 and facing[axis] > 0.85 and thin:
        odd(
            TerrainError(
                f"the ground stands upright, facing {'xyz'[axis]} (wrong up axis?)", file=terrain.source,
                found=_rounded(extent),
                allowed="ground that mostly faces up: set up = 'y' or 'x'; or accept_odd = true",
            ),
            ground_note(GroundNote.ODD_UPRIGHT, Severity.CHECK, axis=Verbatim("xyz"[axis])),
        )


def _rounded(values: Floats) -> list[float]:
    """To six figures."""
    return [round(float(value), 5 - math.floor(math.log10(abs(value)))) if value else 0.0 for value in values]
