"""What each lesson computes: its rows, the settings of its knob, and the states it passes through.

Every state is solved.  Where the lines come to rest with less and less hold, and where somebody walks, each state is
found from the one before, so that what has slipped stays slipped.
"""

from __future__ import annotations

from collections.abc import Callable

from linescope.errors import InputError
from linescope.lessons.hung import same_pen_marks, uneven_spacing, where_slack_goes
from linescope.lessons.lost import ties
from linescope.lessons.takes import Play, Told
from linescope.lessons.walked import slack_walks, ten_grams
from linescope.lessons.worn import who_wears
from linescope.rig import Rig

PLAYS: dict[str, Callable[[Rig, Told, int], Play]] = {
    "pen-marks": same_pen_marks,
    "where-slack-goes": where_slack_goes,
    "ten-grams": ten_grams,
    "slack-walks": slack_walks,
    "uneven-spacing": uneven_spacing,
    "ties": ties,
    "who-wears": who_wears,
}


def play(name: str, rig: Rig, told: Told | None = None, *, positions: int = 0) -> Play:
    """A lesson on a rig.

    Parameters
    ----------
    name : str
        One of `PLAYS`.
    rig : Rig
    told : callable, optional
        Told the share done, 0 to 1, and what is being done.
    positions : int
        Of the knob, at the least, as many as `POSITIONS` for a page; 0: its stops alone.

    Raises
    ------
    InputError
        When it cannot be shown on this rig, with what would have to change.
    NoEquilibrium
    """
    if name not in PLAYS:
        raise InputError("there is no such lesson", key="LESSON", found=name, allowed=", ".join(PLAYS))
    return PLAYS[name](rig, told or (lambda share, what: None), positions)
