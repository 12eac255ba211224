"""Ground coloured by what is left between it and the swept line, loops and falling body.  For the eye only.

Figures come from exact distances on the whole ground; here thinned triangles are coloured by their middles.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.stage import ground
from linescope.stage.ground import Ground
from linescope.stage.items import LegendEntry, Surface
from linescope.study import Study
from linescope.words import Words

Floats = NDArray[np.float64]
ROLES = ("ground", "ground_near", "ground_hit")
STEP = 0.3  # Between the points that stand for a swept body or line [m].
MOST = 250_000


def shaded(site: Ground, study: Study) -> Surface:
    """The ground in up to three colours; in one when no distance is asked for or nothing was swept."""
    needs, sweep = study.rig.needs, study.fall_sweep or None
    if needs is None or sweep is None:
        return ground.surface(site)
    from scipy.spatial import cKDTree

    more = needs.survey_error + needs.margin
    bodies = _filled(_dense(sweep.low_top, study.rig.span), _dense(sweep.low_foot, study.rig.span))
    line = _dense(sweep.ring_standing, study.rig.span)
    stations = np.cumsum(study.taped.bays.length) - study.taped.bays.length / 2
    along = np.linspace(0.0, stations[-1], len(line))
    loops = line - np.outer(np.interp(along, stations, study.taped.bays.loop_drop), [0.0, 0.0, 1.0])
    swept = ((bodies, needs.body + more), (line, needs.line + more), (loops, needs.loop + more))
    reach = max(wanted for _, wanted in swept)
    vertices, faces = _fine(np.asarray(site.vertices), np.asarray(site.faces), np.concatenate([bodies, line]), reach)
    middles = vertices[faces].mean(axis=1)
    level = np.zeros(len(faces), dtype=np.int64)
    for points, wanted in swept:
        distance, _ = cKDTree(points).query(middles, distance_upper_bound=wanted)
        level = np.maximum(
            level, np.where(distance <= max(needs.survey_error, 0.5), 2, np.where(distance < wanted, 1, 0))
        )
    return Surface(name="ground", points=vertices, triangles=faces, colours=ROLES, colour=level, smooth=False)


def legend(surface: Surface, words: Words) -> tuple[LegendEntry, ...]:
    """The colours that occur on a shaded ground."""
    found = set(np.unique(surface.colour).tolist()) if len(surface.colours) == len(ROLES) else set()
    entries = (
        (1, LegendEntry(text=words.say("clearance-picture-nearer"), colour="ground_near", symbol="block")),
        (2, LegendEntry(text=words.say("clearance-picture-hit"), colour="ground_hit", symbol="block")),
    )
    return tuple(entry for level, entry in entries if level in found)


def _dense(points: Floats, span: float) -> Floats:
    count = int(np.clip(span / STEP, 40, 2000))
    at = np.linspace(0.0, len(points) - 1, count)
    return np.column_stack([np.interp(at, np.arange(len(points)), points[:, axis]) for axis in range(3)])


def _filled(top: Floats, foot: Floats) -> Floats:
    share = np.linspace(0.0, 1.0, 15)[:, None, None]
    return np.asarray((top + share * (foot - top)).reshape(-1, 3))


def _fine(vertices: Floats, faces: NDArray[np.int64], swept: Floats, reach: float) -> tuple[Floats, NDArray[np.int64]]:
    """Triangles near what was swept, split until none is larger than a share of the reach."""
    low, high = swept.min(axis=0) - reach, swept.max(axis=0) + reach
    size = max(0.11 * reach, 0.3)
    while True:
        corners = vertices[faces]
        inside = (corners.min(axis=1) < high).all(axis=1) & (corners.max(axis=1) > low).all(axis=1)
        longest = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1)
        split = inside & (longest > size)
        if not split.any() or len(faces) + 3 * int(split.sum()) > MOST:
            return vertices, faces
        a, b, c = faces[split].T
        n, k = len(vertices), len(a)
        middles = [(vertices[p] + vertices[q]) / 2 for p, q in ((a, b), (b, c), (c, a))]
        ab, bc, ca = (n + part * k + np.arange(k) for part in range(3))
        vertices = np.concatenate([vertices, *middles])
        four = [(a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca)]
        faces = np.concatenate([faces[~split], *(np.column_stack(one) for one in four)])
