"""What a plan costs: tape, time, backup to bring, and what it does to the line."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from linescope.advise.case import AdvisedRig
from linescope.advise.wished import Watched
from linescope.rig import Wish


@dataclass(frozen=True, kw_only=True)
class Price:
    """Of one plan.

    Attributes
    ----------
    tapes : int
    tape : float
        With waste.  [m]
    time : float
        For taping.  [s]
    backup, more_backup : float
        Unstretched, anchor to anchor, and how much more than now.  [m]
    pull : float
        Standing tension.  [N]
    tension, sag : float
        Largest of the main, and how far his feet are below the straight line, with the walker where the scene puts
        him; nan without one.  [N, m]
    reach : float
        How low energy lets the foot get below the straight line if the main goes there; nan without one.  [m]
    caught : float
        Largest tension in the backup then.  [N]
    strain : float
        The same over the backup's strength.  [-]
    rub : float
        Largest work per metre at any place, of what the scene's use counts: a first answer (`contact.first_wear`); nan
        without a walker.  [J/m]
    """

    tapes: int
    tape: float
    time: float
    backup: float
    more_backup: float
    pull: float
    tension: float
    sag: float
    reach: float
    caught: float
    strain: float
    rub: float


def price_of(case: AdvisedRig, now: AdvisedRig, *, rubbed: bool = True) -> Price:
    """Of a candidate, beside the scene as it is.

    Parameters
    ----------
    case, now : AdvisedRig
    rubbed : bool
        Whether its rub is computed.
    """
    rig, layout = case.rig, case.planned.layout
    tension = sag = reach = caught = math.nan
    if rig.walker is not None:
        at = (rig.walker.at,)
        state = case.walked(Watched(wish=Wish(figure="sag with the walker"), handed=at))[0]
        tension = float(max(np.max(state.main.tension_start), np.max(state.main.tension_end)))
        sag = float(rig.below_anchors(state.ring)) if state.ring is not None else math.nan
        (gone, k), = case.gone(at)
        lowest = gone.nothing_holds.lowest
        reach, caught = float(lowest.foot_depth[k]), float(lowest.tension[k])
    pull = Watched(wish=Wish(figure="tension standing"))
    return Price(
        tapes=case.cuts.count(), tape=case.cuts.tape_total, time=case.cuts.time, backup=float(layout.backup_length),
        more_backup=float(layout.backup_length - now.planned.layout.backup_length),
        pull=float(case.values(pull)[0, 0]), tension=tension, sag=sag, reach=reach, caught=caught,
        strain=caught / rig.backup.strength, rub=case.rub if rubbed else math.nan,
    )
