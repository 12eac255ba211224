"""Uncertain inputs drawn together: which of them are one and the same, how they are spread, and the points.

The points are a scrambled Sobol set [1]_ of `scipy.stats.qmc`, whose generators, made once, are kept in
`data/sobol.npy`: loading `scipy.stats` takes a cold command 0.8 s.  An input lies as often below its value as above
it, evenly between its low and its value, and between its value and its high: nobody who gives a low and a high knows
more.

References
----------
.. [1] I. M. Sobol', "On the distribution of points in a cube and the approximate evaluation of integrals", USSR Comput.
   Math. Math. Phys. 7 (1967) 86-112; A. B. Owen, "Scrambling Sobol' and Niederreiter-Xing points", J. Complexity 14
   (1998) 466-489.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from linescope.rig import Band, Rig

Floats = NDArray[np.float64]

DRAWS = 2048
"""With so many, 5, 50 and 95 % of what has a kink lie within 2 % of the width of where they lie in 20,000 independent
draws, whatever the scrambling; with 512 they lay up to 4 % off."""
FIRST = 512
"""Enough for what is smooth."""
MANY = 16384
"""Points at which a surface is read off."""
SEED = 20240601
"""Of the scrambling: the points are those of `scipy.stats.qmc.Sobol(16, seed=SEED)`."""
_KEPT = Path(__file__).parent / "data" / "sobol.npy"
_BITS = 30


@dataclass(frozen=True, eq=False, kw_only=True)
class DrawGroup:
    """Inputs that are uncertain as one.

    Attributes
    ----------
    name : str
        Key of the first.
    bands : mapping of str to Band
        Low, value and high of each by its key.  [SI]
    """

    name: str
    bands: Mapping[str, Band]

    def at(self, share: Floats) -> dict[str, Floats]:
        """Values for draws.

        Parameters
        ----------
        share : (n,) array
            Of the draws that lie lower, between 0 and 1.  [-]

        Returns
        -------
        dict of str to (n,) array
            [SI]
        """
        return {key: _spread(band, share) for key, band in self.bands.items()}


def _spread(band: Band, share: Floats) -> Floats:
    """Values of an input below which a share of its draws lies.  [of the input]"""
    down, up = np.minimum(2.0 * share, 1.0), np.maximum(2.0 * share - 1.0, 0.0)
    return np.asarray(band.low + down * (band.value - band.low) + up * (band.high - band.value))


def groups(rig: Rig, bands: Mapping[str, Band]) -> tuple[DrawGroup, ...]:
    """Inputs in groups: what is known of the one webbing that main and backup are made of is drawn once for both.

    Parameters
    ----------
    rig : Rig
    bands : mapping of str to Band
        [SI]
    """
    one = rig.main.name == rig.backup.name
    found: dict[str, dict[str, Band]] = {}
    for key, band in bands.items():
        line, _, rest = key.partition(".")
        of_webbing = rest in ("stiffness_factor", "length_change") or rest.startswith("webbing.")
        shared = one and line in ("main", "backup") and of_webbing and f"main.{rest}" in bands
        found.setdefault(f"main.{rest}" if shared else key, {})[key] = band
    return tuple(DrawGroup(name=name, bands=keys) for name, keys in found.items())


@cache
def points(dimensions: int, count: int = DRAWS) -> Floats:
    """(count, dimensions) points of a scrambled Sobol set.

    Parameters
    ----------
    dimensions : int
    count : int
        A power of two.
    """
    first, *steps = np.load(_KEPT)
    if dimensions <= len(first) and count <= 1 << len(steps):
        # Each half is the one before, bits turned (a digital net in base 2); Gray code's order, as in the library.
        bits = first[None, :dimensions]
        for step in steps[: max(count - 1, 0).bit_length()]:
            bits = np.concatenate([bits, bits ^ step[:dimensions]])
        found: Floats = bits[:count] / float(1 << _BITS)
    else:
        from scipy.stats import qmc

        found = qmc.Sobol(dimensions, seed=SEED).random(count)
    found.setflags(write=False)
    return found
