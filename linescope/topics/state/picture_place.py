"""The place as the crew's first picture: line, ground and danger in one block, and the verdict above it."""

from __future__ import annotations

import math

import numpy as np

from linescope.notes import Bays, Quantity, Verbatim
from linescope.stage import relief
from linescope.stage.board import FOOT, HEAD, WIDE, Board
from linescope.stage.ink import View
from linescope.stage.items import Label
from linescope.stage.page import Brief
from linescope.topics.state import picture_overview as overview
from linescope.words.frame import state_label

TALL = 606.0  # [px]
MARGIN = (0.03, 0.10, 0.03, 0.13)
TILT = math.radians(17)


def board(brief: Brief) -> Board:
    """Verdict, block view and key."""
    measures, rig = brief.measures, brief.solution.rig
    clearance = brief.study.clearance or None
    told = overview.places(clearance) if clearance is not None else ()
    title, message = overview.verdict(brief, told)
    land = None
    if brief.ground is not None:
        unit = 1.0 if measures.system == "metric" else 0.3048
        land = relief.relief(brief.ground, rig, brief.theme, relief.swept(brief.study), unit)
    frame = (0.0, HEAD - 8.0, WIDE, TALL - FOOT)
    size = (frame[2] - frame[0], frame[3] - frame[1])
    panel = overview.panel(
        brief, told[: overview.RED], land, size, MARGIN, more=_tight(brief, told), seen=38.0
    )
    return Board(
        name="place", title=title, loud=message == "alarm", height=TALL,
        under=measures.say(
            "overview-under", name=Verbatim(rig.name), span=Quantity(rig.span, "length"),
            state=Verbatim(state_label(brief.solution, measures)),
        ),
        ink=(View(frame=frame, panel=panel),), key=overview.key(brief, land, overview.every(brief, panel.camera, size)),
    )





def _tight(brief: Brief, told: tuple[overview.Told, ...]) -> tuple[Label, ...]:
    """That the backup is tight, where something else leads."""
    excess = brief.solution.bays.excess
    tight = tuple(int(k) + 1 for k in np.flatnonzero(excess < 0.0))
    if not tight or not told:
        return ()
    middle = brief.solution.backup.sample(4).points
    at = middle[int(0.36 * len(middle))]
    text = brief.measures.say(
        "overview-tight", count=len(tight), total=len(excess), bays=Bays(tight),
    )
    return (Label(text=text, at=at, size="body", colour="alarm", strong=True, towards=(0.2, 1.0), rank=0, must=True,
                  offset=14.0),)  # fmt: skip
