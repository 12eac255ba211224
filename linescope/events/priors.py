"""What is not known of a line that was built to a plan, and how far it may be off before anything is measured.

The crew's own work is always uncertain, whatever the scene says: standing tension or length, the webbing's stiffness,
the excess of every zone.  What else has a low and a high keeps these.  The crew's figures are spread as a normal
distribution, on a scale of logarithms where they cannot be negative; others as in `sampling`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.events.bands import moved_by
from linescope.events.predicted import FAST
from linescope.events.sampling import DrawGroup, groups
from linescope.rig import Band, InMotion, Inputs, Rig
from linescope.rig.parts import IN_MOTION

Floats = NDArray[np.float64]

TENSION, STIFFNESS, LENGTH, LOOPS, TOTAL = 0.10, 0.20, 0.003, 0.02, 0.01
"""Standard deviation of a standing tension, a stiffness, a length of main, a loop's length, a backup's: shares of it;
common practice, no source.  [-]"""
EXCESS, LEAST_EXCESS, MOST_EXCESS = 0.3, 0.005, 0.02
"""Of an excess: a share of it, no less and no more than so much.  [-]"""
FAST_RANGE = Band(low=IN_MOTION[0], value=InMotion.stiffness_factor, high=IN_MOTION[1])
"""Of a webbing's stiffness in motion where the scene says nothing; see `motion.inputs`.  [-]"""
_EVEN = math.sqrt(12.0)  # Width of an even spread over its standard deviation.


@dataclass(frozen=True, eq=False, kw_only=True)
class Unknown:
    """Inputs that are unknown as one.

    Attributes
    ----------
    group : DrawGroup
        Their keys; for figures of the crew a standard deviation to either side, else low and high.
    sd : float
        Standard deviation: of the logarithm with `log`, else of the input; 0 for an even spread between low and
        high.  [- or of the input]
    log : bool
    stated : bool
        Whether readings can tell anything of it; false for inputs of the scene's walker, who was not on the line when
        it was measured.
    """

    group: DrawGroup
    sd: float = 0.0
    log: bool = False
    stated: bool = True

    @property
    def name(self) -> str:
        """Key of the first."""
        return self.group.name

    def at(self, u: Floats) -> dict[str, Floats]:
        """Values by key at standardized values.

        Parameters
        ----------
        u : (R,) array
            Normal with a standard deviation of 1 before anything is measured.  [-]

        Returns
        -------
        dict of str to (R,) array
            [SI]
        """
        if self.sd == 0.0:
            from scipy.special import ndtr

            return self.group.at(ndtr(u))
        bands = self.group.bands.items()
        if self.log:
            return {key: band.value * np.exp(self.sd * u) for key, band in bands}
        return {key: band.value + self.sd * u for key, band in bands}


def _crew(name: str, bands: Mapping[str, Band], sd: float, *, log: bool) -> Unknown:
    def around(value: float) -> Band:
        if log:
            return Band(low=value * math.exp(-sd), value=value, high=value * math.exp(sd))
        return Band(low=value - sd, value=value, high=value + sd)

    group = DrawGroup(name=name, bands={key: around(band.value) for key, band in bands.items()})
    return Unknown(group=group, sd=sd, log=log)


def _width(band: Band | None) -> float:
    return 0.0 if band is None else (band.high - band.low) / _EVEN


def unknowns_of(rig: Rig, inputs: Inputs, *, bounces: bool = False) -> tuple[Unknown, ...]:
    """What is unknown of a rig, the crew's own work first.

    Parameters
    ----------
    rig : Rig
    inputs : Inputs
    bounces : bool
        Whether a period was read, which stiffness in motion has a part in.
    """
    given, plan, found = inputs.bands, rig.main_plan, list[Unknown]()
    if plan.tension is not None:
        sd = max(TENSION, _width(given.get("main.tension")) / plan.tension)
        found.append(_crew("main.tension", {"main.tension": _point(plan.tension)}, sd, log=True))
    else:
        assert plan.length is not None
        sd = max(LENGTH * plan.length, _width(given.get("main.length")))
        found.append(_crew("main.length", {"main.length": _point(plan.length)}, sd, log=False))
    factors = {f"{line}.stiffness_factor": given.get(f"{line}.stiffness_factor") for line in ("main", "backup")}
    for group in groups(rig, {key: band or _point(1.0) for key, band in factors.items()}):
        known = [band for key in group.bands if (band := factors[key]) is not None]
        sd = max(STIFFNESS, *(_width(band) / band.value for band in known)) if known else STIFFNESS
        found.append(_crew(group.name, group.bands, sd, log=True))
    found += _excesses(rig, given)
    taken = {key for unknown in found for key in unknown.group.bands}
    others, _ = moved_by(rig, {key: band for key, band in given.items() if key not in taken})
    for group in others:
        told = not group.name.startswith("walker.")
        found.append(Unknown(group=group, stated=told))
    if bounces:
        found.append(Unknown(group=DrawGroup(name=FAST, bands={FAST: given.get(FAST, FAST_RANGE)})))
    return tuple(found)


def _point(value: float) -> Band:
    return Band(low=value, value=value, high=value)


def _excesses(rig: Rig, given: Mapping[str, Band]) -> list[Unknown]:
    """Excess of every zone, or how else the backup was given."""
    plan, zones = rig.backup_plan, rig.taping.zones
    found = []
    for number, zone in enumerate(zones, 1):
        value = zone.excess if zone.excess is not None else plan.value if plan.given_by == "excess" else None
        if value is not None:
            key = f"taping.zones[{number}].excess"
            sd = min(max(EXCESS * abs(value), LEAST_EXCESS), MOST_EXCESS)
            own = given.get(key if zone.excess is not None else "backup.excess")
            found.append(_crew(key, {key: _point(value)}, max(sd, _width(own)), log=False))
    if plan.given_by != "excess" and any(zone.excess is None for zone in zones):
        key = f"backup.{plan.given_by.replace(' ', '_')}"
        share = {"loop length": LOOPS, "total length": TOTAL, "loop depth": EXCESS}[plan.given_by]
        sd = max(share * plan.value, _width(given.get(key)))
        found.append(_crew(key, {key: _point(plan.value)}, sd, log=False))
    return found
