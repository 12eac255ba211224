"""The cliff an anchor stands on, beside whoever has just left it: told apart from ground below the line."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from linescope.clearance.distance import GroundIndex
from linescope.clearance.table import CurveGroup, Worst
from linescope.rig import Rig
from linescope.terrain.between import between


class Edges:
    """Approaches to rock that lies beside and, in plan, within an anchor zone; and the ground without that rock.

    Parameters
    ----------
    rig : Rig
    index : GroundIndex
        The whole ground.
    zone : float
        Beside each anchor, where nothing is compared. [m]
    added : float
        Survey error and margin, which rock beside must leave as well. [m]

    Notes
    -----
    Everybody walks out from an edge, with its wall beside him nearer than what is asked for from the ground below:
    were that compared, no cliff would ever be met, and crews would learn to pass over what is short.  So what is
    asked for is compared with the ground outside the anchor zones; rock within them is listed apart.  It
    counts all the same where it lies more below than beside, and where it is no farther than survey error and margin.
    """

    def __init__(self, rig: Rig, index: GroundIndex, zone: float, added: float) -> None:
        run = (rig.main_b - rig.main_a)[:2]
        self._length = max(float(np.linalg.norm(run)), 1e-9)
        self._start, self._along = rig.main_a[:2], run / self._length
        self._zone, self._added, self._index = zone * self._length / rig.span, added, index
        self.found: dict[CurveGroup, Worst] = {}

    def is_beside(self, worst: Worst) -> bool:
        """Whether an approach is one to be listed apart.

        Parameters
        ----------
        worst : Worst
        """
        if worst.group.zone or worst.distance <= self._added:
            return False
        place = float((worst.nearest[:2] - self._start) @ self._along)
        away = worst.point - worst.nearest
        near = place < self._zone or place > self._length - self._zone
        return near and float(np.hypot(away[0], away[1])) >= float(away[2]) and self.away is not None

    def keep(self, worst: Worst) -> None:
        """Note an approach that `is_beside`."""
        known = self.found.get(worst.group)
        if known is None or worst.distance < known.distance:
            self.found[worst.group] = worst

    @cached_property
    def away(self) -> GroundIndex | None:
        """The ground outside the anchor zones; None where there is none."""
        rest = between(self._index.terrain, self._start, self._along, self._zone, self._length - self._zone)
        return None if rest is None else GroundIndex(rest)

    def nearest(self) -> tuple[Worst, ...]:
        """The nearest of each kind and family at each anchor."""
        least: dict[tuple[str, str, bool], Worst] = {}
        for group, worst in self.found.items():
            at_a = float((worst.nearest[:2] - self._start) @ self._along) < 0.5 * self._length
            key = (group.kind, group.family, at_a)
            if key not in least or worst.distance < least[key].distance:
                least[key] = worst
        return tuple(least.values())
