"""The same pen marks on other webbings: what is left of a loop once the line is hung, and once somebody is on it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from linescope.errors import InputError
from linescope.events.excess import depth_for_loop_length
from linescope.events.marks import marks_for
from linescope.rig import Rig
from linescope.statics import plan, solve
from linescope.webbing import Webbing, library

CLASSES = ("nylon 25 mm", "polyester 25 mm", "high-tenacity polyester 25 mm", "HMPE 25 mm")
"""Of the library, the softest first."""
AWAY = 2
"""Bays from the walker's own to the one that is told: his weight bends the main of his own. [-]"""


@dataclass(frozen=True, kw_only=True)
class PenMark:
    """One bay of a rig whose two lines are of one webbing.

    Attributes
    ----------
    webbing : Webbing
    bay : int
        Counted from 1 at anchor A; `AWAY` bays from the walker's.
    main, backup : float
        Between its two tapes, slack.  [m]
    slack, hung, walked : float
        Depth of its loop on the ground, hung, and with the walker.  [m]
    pull_hung, pull_walked : float
        Mean tension of its backup.  [N]
    strain_hung, strain_walked : float
        Of the main in it.  [-]
    marked, needed : float
        Excess as marked; what to mark for the depth wanted with the walker.  [-]
    """

    webbing: Webbing
    bay: int
    main: float
    backup: float
    slack: float
    hung: float
    walked: float
    pull_hung: float
    pull_walked: float
    strain_hung: float
    strain_walked: float
    marked: float
    needed: float


def pen_marks(rig: Rig, wanted: float, classes: tuple[str, ...] = CLASSES) -> tuple[PenMark, ...]:
    """The rig's own marks, on webbings of the library.

    Parameters
    ----------
    rig : Rig
        With a walker, marked on slack webbing.
    wanted : float
        Loop depth with the walker on.  [m]
    classes : tuple of str
        Of the library; both lines are of one.

    Returns
    -------
    tuple of PenMark

    Raises
    ------
    InputError
        When the rig has no walker, was marked on a tensioned main, or has too few bays.
    NoEquilibrium

    Notes
    -----
    Each has the rig's standing tension.  Tapes are where they were taped.
    """
    if rig.walker is None:
        raise InputError("this lesson puts somebody on the line, and there is none", key="walker")
    if rig.taping.measured_on != "slack":
        raise InputError(
            "this lesson needs marks made on slack webbing; on a tensioned main the stretch is in them already",
            key="taping.measured_on", found=rig.taping.measured_on, allowed="slack",
        )
    found: list[PenMark] = []
    for name in classes:
        webbing = library()[name].webbing
        same = replace(rig, main=webbing, backup=webbing)
        laid = plan(same)
        layout = laid.layout
        bays = len(layout.bays_main)
        if bays < AWAY + 3:
            raise InputError("this lesson needs more tapes", key="taping.zones", found=f"{bays} bays",
                             allowed=f"at least {AWAY + 3}")
        own = int(np.searchsorted(layout.tape_main, laid.walker_coordinate(rig.walker.at)))
        bay = found[0].bay - 1 if found else own - AWAY if own - AWAY >= 1 else own + AWAY
        hung = solve(same.without_walker(), planned=replace(laid, rig=same.without_walker())).bays
        walked = solve(same, planned=laid).bays
        main, backup = float(layout.bays_main[bay]), float(layout.bays_backup[bay])
        marks = marks_for(same, depth=wanted, planned=laid)
        found.append(PenMark(
            webbing=webbing, bay=bay + 1, main=main, backup=backup,
            slack=float(depth_for_loop_length(main, backup)), hung=float(hung.loop_depth[bay]),
            walked=float(walked.loop_depth[bay]), pull_hung=float(hung.backup_tension[bay]),
            pull_walked=float(walked.backup_tension[bay]), strain_hung=float(hung.length[bay] / main - 1.0),
            strain_walked=float(walked.length[bay] / main - 1.0), marked=backup / main - 1.0,
            needed=float(marks.slack.excess[bay]),
        ))
    return tuple(found)
