"""The cut list of a planned rig: its marks on the slack lines, and where they lie when it stands."""

from __future__ import annotations

import numpy as np

from linescope.statics.plan import Plan
from linescope.taping import CutList, make_cut_list


def cut_list(planned: Plan) -> CutList:
    """Tapes of a planned rig in laying order, with marks, strips and totals.

    Parameters
    ----------
    planned : Plan

    Raises
    ------
    InputError
        When a tape cannot be wound round these lines.

    Examples
    --------
    >>> import linescope
    >>> listed = linescope.cut_list(linescope.plan(linescope.load("scenes/heron_gap.toml")))
    >>> len(listed.number) > 10
    True
    """
    rig, layout = planned.rig, planned.layout
    rigged = np.cumsum(planned.standing.state.segments.stretched_length()[: planned.pair.n + 1])
    return make_cut_list(
        section=rig.section,
        stock=rig.taping.stock,
        main_mark=layout.tape_main,
        backup_mark=layout.tape_backup,
        rigged=rigged[planned.pair.tapes],
        main_length=layout.main_length,
        backup_length=layout.backup_length,
        rigged_length=float(rigged[-1]),
        family=[tape.family for tape in layout.tapes],
        holds=[tape.holds for tape in layout.tapes],
        zone=[f"zone {rig.taping.zones[tape.zone].number or tape.zone + 1}" for tape in layout.tapes],
        lying_strain=layout.marking_strain,
    )
