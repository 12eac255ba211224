"""The worst places of the clearance: numbered discs, and measuring lines to the ground."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.clearance import Cause, Clearance, Finding
from linescope.clearance.notes import KIND
from linescope.clearance.ranked import places as ranked
from linescope.notes import Quantity, Spot, Verbatim
from linescope.rig import Rig
from linescope.stage.camera import Camera
from linescope.stage.ground import Ground, height_below
from linescope.stage.items import DimensionLine, LegendEntry, Symbols
from linescope.words import Words

Floats = NDArray[np.float64]
LISTED = 5
DISC = 26.0  # Size of a disc with one number [px].
WIDER = 17.0  # A disc grows by so much with every number more, so that all stay large enough to read [px].
TOUCHING = 0.05  # Shorter distances get no measuring line [m].


def places(clearance: Clearance | None) -> tuple[Finding, ...]:
    """The places to number: those that fall short, at least three, at most `LISTED`, worst first."""
    found = ranked(clearance)
    short = [place for place in found if not place.is_met]
    return found[: min(LISTED, max(3, len(short)))]


def rest(clearance: Clearance | None, words: Words) -> str:
    """How many more places there are than are numbered; empty for none."""
    more = ranked(clearance)[len(places(clearance)) :]
    if not more:
        return ""
    return words.say("clearance-more", count=len(more), short=sum(not place.is_met for place in more))


def symbols(
    found: tuple[Finding, ...], camera: Camera, size: tuple[float, float], anchors: Floats
) -> tuple[Symbols, ...]:
    """A disc with its rank at each place; places that a panel of that size shows as one share a disc.

    A disc that would hide an anchor's letter is put under it.
    """
    groups: list[list[Finding]] = []
    for finding in found:
        for group in groups:
            one, other = camera.project(np.array([_seen(finding), _seen(group[0])]), size)[:, :2]
            if np.linalg.norm(one - other) < 1.6 * DISC:
                group.append(finding)
                break
        else:
            groups.append([finding])
    return tuple(
        Symbols(
            name=f"worst {','.join(str(finding.rank) for finding in group)}",
            points=_beside(_seen(group[0]), camera, size, anchors)[None],
            symbol="disc",
            colour="state" if all(finding.is_met for finding in group) else "alarm",
            size=DISC + WIDER * (len(group) - 1),
            text=",".join(str(finding.rank) for finding in group),
        )
        for group in reversed(groups)
    )


def marked(cause: Cause, rig: Rig, ground: Ground | None) -> Floats:
    """Where a cause is marked: on the ground that is nearest to it.

    What has got deep into rock is nearest to a side of it that may be metres away along the line; it is marked where
    the ground lies straight under the line.

    Parameters
    ----------
    cause : Cause
    rig : Rig
    ground : Ground or None

    Returns
    -------
    (3,) array
        [m]
    """
    if cause.distance > 0.0 or ground is None:
        return np.asarray(cause.nearest, dtype=float)
    spot = np.array(cause.point, dtype=float)
    spot[2] += float(rig.below_anchors(spot[None])[0])  # On the straight line between the anchors.
    height = float(height_below(ground, spot[None])[0])
    return np.array([spot[0], spot[1], height]) if np.isfinite(height) else np.asarray(cause.nearest, dtype=float)


def _seen(finding: Finding) -> Floats:
    """Where a finding is marked: at its place, or on the ground it reaches, since below that is nothing to be seen."""
    return np.asarray(finding.point if finding.distance > 0.0 else finding.nearest)


def _beside(point: Floats, camera: Camera, size: tuple[float, float], anchors: Floats) -> Floats:
    """A place for a disc: the point itself, or so far down that it leaves the anchors' letters free."""
    page = camera.project(np.vstack([point, anchors]), size)[:, :2]
    if np.linalg.norm(page[1:] - page[0], axis=1).min() > 1.8 * DISC:
        return point
    down = 2.4 * DISC * camera.metres_per_pixel(size, point)
    return np.asarray(anchors[np.argmin(np.linalg.norm(page[1:] - page[0], axis=1))] - np.array([0.0, 0.0, down]))


def dimensions(found: tuple[Finding, ...], measures: Words) -> tuple[DimensionLine, ...]:
    """A measuring line from each place to the nearest ground."""
    return tuple(
        DimensionLine(
            name=f"worst {finding.rank}",
            start=np.asarray(finding.point),
            end=np.asarray(finding.nearest),
            value=finding.distance,
            text=measures.length(finding.distance, "down"),
            rank=2,
        )
        for finding in found
        if finding.distance > TOUCHING
    )


def sentence(finding: Finding, words: Words) -> str:
    """What comes how near to the ground, where and why."""
    cause = finding.worst
    named = cause.role == "area"
    how = "reaches" if finding.distance <= 0.0 else "left" if finding.is_met else "near"
    return words.say(
        f"clearance-picture-{how}", rank=finding.rank, kind=KIND[finding.kind], at=Spot(finding.station),
        left=Quantity(abs(finding.distance), "length", "up" if finding.distance <= 0.0 else "down"),
        needed=Quantity(finding.needed, "length", "up"),
        cause=finding.why.note, walker="nobody" if finding.walker is None else "somebody",
        place=Spot(finding.walker or 0.0), ground=Verbatim(cause.ground), named="yes" if named else "no",
    )


def legend(found: tuple[Finding, ...], clearance: Clearance | None, words: Words) -> tuple[LegendEntry, ...]:
    """What the discs mean, and how many places have none."""
    if not found:
        return ()
    text = words.say("clearance-picture-legend", more=len(ranked(clearance)) - len(found))
    return (LegendEntry(text=text, colour="alarm", symbol="disc"),)
