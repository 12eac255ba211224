"""The rub ledger: friction work per metre of main and of backup, from slips and from swings.

Slide: hold x |slip| at each tape, as the crossing computed it.  The line that the tape holds takes its share on one
tape width at its fixed place; the line that slides takes its share on the material that went through.  Half of the
work is booked on either surface (assumed; `HELD_SHARE`), so that both ledgers together hold the friction work once.

Swing: beside a tape the loop's end turns on the main.  Pressed evenly over the width w of the narrower line, out and
back, friction at coefficient 1 does the work force x angle x w/2 in one gust cycle.  That product is booked, half on
either line; `swing_friction` scales all of it alike.

The ledger ranks places and styles on one rig.  It says nothing about how long webbing lasts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.contact.ledger import Ledger, LineName, deposit, filled, grid
from linescope.contact.touching import TOLERANCE, Touching, find_touches
from linescope.errors import InputError
from linescope.events.crossing import Crossing
from linescope.events.wind import WindCase
from linescope.rig.layout import Layout
from linescope.taping import Holds

Floats = NDArray[np.float64]

HELD_SHARE = 0.5  # Of slide work on the held line; the rest on the line that slides: assumed.
SWING_FRICTION = 1.0  # The model books pressing x way.


@dataclass(frozen=True, eq=False, kw_only=True)
class Pairs:
    """Ledgers of main and backup for one kind of event.

    Attributes
    ----------
    main, backup : Ledger
    """

    main: Ledger
    backup: Ledger

    @property
    def total(self) -> float:
        """Work on both lines together.  [J]"""
        return self.main.total + self.backup.total

    def of(self, line: LineName) -> Ledger:
        """The ledger of one line."""
        return self.main if line == "main" else self.backup

    def plus(self, other: Pairs, factor: float = 1.0) -> Pairs:
        """These ledgers with `factor` times others added."""
        return Pairs(main=self.main.plus(other.main, factor), backup=self.backup.plus(other.backup, factor))

    def times(self, factor: float) -> Pairs:
        """These ledgers, `factor` times."""
        return Pairs(main=self.main.times(factor), backup=self.backup.times(factor))


def empty_pairs(layout: Layout) -> Pairs:
    """Ledgers without work."""
    main, backup = grid(layout.main_length), grid(layout.backup_length)
    return Pairs(
        main=filled("main", main, np.zeros(len(main) - 1)), backup=filled("backup", backup, np.zeros(len(backup) - 1))
    )


def slide_rub(crossing: Crossing, *, held_share: float = HELD_SHARE) -> Pairs:
    """Ledgers of one crossing.

    Parameters
    ----------
    crossing : Crossing
    held_share : float
        Of the work that goes to the line the tape holds; the rest goes to the line that slides.  [-]

    Returns
    -------
    Pairs
        Together they sum to the crossing's friction work.

    Raises
    ------
    InputError
        When the share is not between 0 and 1.
    """
    if not 0.0 <= held_share <= 1.0:
        raise InputError("no such share", key="held_share", found=held_share, allowed="0 to 1")
    layout = crossing.layout
    width = crossing.rig.taping.stock.width
    start, end, work = crossing.slide[:-1], crossing.slide[1:], crossing.work
    holds_main = np.array([tape.holds is Holds.MAIN for tape in layout.tapes], dtype=bool)
    holds_backup = np.array([tape.holds is Holds.BACKUP for tape in layout.tapes], dtype=bool)
    ledgers = []
    sides: tuple[tuple[LineName, float, Floats, NDArray[np.bool_], NDArray[np.bool_]], ...] = (
        ("main", layout.main_length, layout.tape_main, holds_main, holds_backup),
        ("backup", layout.backup_length, layout.tape_backup, holds_backup, holds_main),
    )
    for line, length, at, held, slides in sides:
        edges = grid(length)
        booked = deposit(edges, at[held], at[held], width, held_share * work[:, held].sum(axis=0))
        booked += deposit(
            edges, start[:, slides].reshape(-1), end[:, slides].reshape(-1), width,
            (1.0 - held_share) * work[:, slides].reshape(-1),
        )
        ledgers.append(filled(line, edges, booked))
    return Pairs(main=ledgers[0], backup=ledgers[1])


@dataclass(frozen=True, eq=False, kw_only=True)
class SwingRub:
    """Rub of one gust cycle in one wind case.  t tapes.

    Attributes
    ----------
    ledgers : Pairs
    angle : (t, 2) array
        Swept by the loop towards A and towards B of every tape, from the steady wind to the far end of the swing in
        a sudden gust (bound).  [rad]
    normal : (t, 2) array
        Force between the lines from either loop, in the gust.  [N]
    contact : (t, 2) array
        Contact length on either side.  [m]
    work : (t, 2) array
        [J]
    """

    ledgers: Pairs
    angle: Floats
    normal: Floats
    contact: Floats
    work: Floats


def swing_rub(
    case: WindCase,
    *,
    tolerance: float = TOLERANCE,
    friction: float = SWING_FRICTION,
    touching: Touching | None = None,
) -> SwingRub:
    """Ledgers of one gust cycle.

    Parameters
    ----------
    case : WindCase
    tolerance : float
        Of touch.  [m]
    friction : float
        Scales the product force x angle x half the width.  [-]
    touching : Touching, optional
        Of the case's gust, when it is known.

    Notes
    -----
    Ties and tapes that hold both lines rub here too: the loop's end turns beside the tape, whatever it holds.
    """
    touching = find_touches(case.gust, tolerance=tolerance) if touching is None else touching
    solution = case.gust
    layout, rig = solution.layout, solution.rig
    width = min(rig.main.width, rig.backup.width)
    loops = case.from_steady_swing - case.steady_swing
    angle = np.maximum(np.column_stack((loops[:-1], loops[1:])), 0.0)
    normal = np.zeros_like(angle)
    for touch in touching.touches:
        if touch.cause == "tape" and touch.tape is not None:
            normal[touch.tape - 1] = touch.normal_towards_a, touch.normal_towards_b
    contact = touching.sides()
    work = friction * normal * angle * 0.5 * width
    ledgers = []
    lines: tuple[tuple[LineName, float, Floats], ...] = (
        ("main", layout.main_length, solution.tape_main), ("backup", layout.backup_length, solution.tape_backup),
    )
    for line, length, at in lines:
        edges = grid(length)
        booked = np.zeros(len(edges) - 1)
        for side, sign in ((0, -1.0), (1, 1.0)):
            reach = np.maximum(contact[:, side], 1e-6)
            place = at + sign * 0.5 * reach
            booked += deposit(edges, place, place, reach, 0.5 * work[:, side])
        ledgers.append(filled(line, edges, booked))
    return SwingRub(
        ledgers=Pairs(main=ledgers[0], backup=ledgers[1]), angle=angle, normal=normal, contact=contact, work=work
    )


def mean_swing(cases: Sequence[WindCase], layout: Layout) -> Pairs:
    """Ledgers of one gust cycle, the mean over wind cases (both sides; as taped and settled).

    Parameters
    ----------
    cases : sequence of WindCase
    layout : Layout
    """
    booked = empty_pairs(layout)
    for case in cases:
        booked = booked.plus(swing_rub(case).ledgers, 1.0 / len(cases))
    return booked
