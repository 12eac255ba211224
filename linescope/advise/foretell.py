"""What surfaces foretell of any setting of the levers, at once: an estimate until it is solved."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.advise.levers import Lever
from linescope.advise.surface import Surfaces
from linescope.rig import Wish

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False, kw_only=True)
class Bent:
    """Surfaces of m terms, loops' of their depth over their bay squared, which goes with their excess, straight.

    Attributes
    ----------
    surfaces : Surfaces
    loops : (m,) bool array
        Which terms are depths of loops.
    length, count : (m,) array
        What each term's loops share [m], and into how many bays with levers at their low ends; 1 for other terms.
    more : (m, d) array
        How many bays more over the range of each lever; 0 for other terms.  [-]
    """

    surfaces: Surfaces
    loops: NDArray[np.bool_]
    length: Floats
    count: Floats
    more: Floats

    def bays(self, u: Floats) -> Floats:
        """(..., m) bay that the depth of each term's loop goes with; 1 for other terms.  [m]"""
        return np.asarray(self.length / np.maximum(self.count + u @ self.more.T, 1.0))

    def at(self, u: Floats, shift: Floats | None = None) -> tuple[Floats, Floats]:
        """(m,) values, and (m, d) their slopes, at levers (d,).

        Parameters
        ----------
        u : (d,) array
            [-]
        shift : (m,) array, optional
            What is added to the surfaces.  [of what they are laid through]
        """
        z, slopes = self.surfaces.both(u)
        if shift is not None:
            z = z + shift
        if self.loops.any():
            bays = self.bays(u)
            steps = np.where((bays < self.length)[:, None], -(bays**2 / self.length)[:, None] * self.more, 0.0)
            root = np.sqrt(np.maximum(z, 1e-6))
            z = np.where(self.loops, bays * root, z)
            bent = steps * root[:, None] + (bays / (2.0 * root))[:, None] * slopes
            slopes = np.where(self.loops[:, None], bent, slopes)
        return z, slopes

    def values(self, u: Floats, shift: Floats | None = None) -> Floats:
        """(n, m) values at many levers (n, d).

        Parameters
        ----------
        u : (n, d) array
            [-]
        shift : (m,) array, optional
            What is added to the surfaces.  [of what they are laid through]
        """
        z = self.surfaces.many(u)
        z = z if shift is None else z + shift
        return np.where(self.loops, self.bays(u) * np.sqrt(np.maximum(z, 1e-6)), z)

    def missed(self, error: Floats, u: Floats, y: Floats) -> Floats:
        """(..., m) errors of what surfaces are laid through, as errors of the values themselves.  [SI]

        Parameters
        ----------
        error : (m,) array
            [of what surfaces are laid through]
        u : (..., d) array
            Levers.  [-]
        y : (..., m) array
            The values.  [SI]
        """
        bays = self.bays(u)
        return np.asarray(np.where(self.loops, error * bays**2 / np.maximum(2.0 * y, 0.1 * bays), error))


@dataclass(frozen=True, eq=False, kw_only=True)
class WishEstimate:
    """A wish as foretold.

    Attributes
    ----------
    wish : Wish
    least, most : float
        The figure over all places that surfaces were laid through; nan where none was, as it is kept by far.  [SI]
    error : float
        Root mean square of what surfaces miss there.  [SI]
    """

    wish: Wish
    least: float
    most: float
    error: float

    @property
    def is_met(self) -> bool:
        """Whether it is kept as foretold."""
        known = not math.isnan(self.least)
        return not known or (self.least >= self.wish.at_least and self.most <= self.wish.at_most)


@dataclass(frozen=True, eq=False, kw_only=True)
class Foreteller:
    """All that takes no solving any more of one scene's levers and wishes.

    Attributes
    ----------
    levers : tuple of Lever
    wishes : tuple of Wish
    owner : (m,) int array
        Which wish each term is of.
    guided : (m,) bool array
        Which terms have a surface.
    bent : Bent
    """

    levers: tuple[Lever, ...]
    wishes: tuple[Wish, ...]
    owner: Ints
    guided: NDArray[np.bool_]
    bent: Bent

    def rounded(self, values: Sequence[float]) -> tuple[float, ...]:
        """What hands can set, within the ranges.

        Parameters
        ----------
        values : sequence of float
            [N, -, count or m]
        """
        return tuple(
            lever.rounded(min(max(float(value), lever.low), lever.high))
            for lever, value in zip(self.levers, values, strict=True)
        )

    def at(self, values: Sequence[float]) -> tuple[WishEstimate, ...]:
        """Every wish at a setting.

        Parameters
        ----------
        values : sequence of float
            Of the levers.  [N, -, count or m]
        """
        u = np.array([lever.share(float(value)) for lever, value in zip(self.levers, values, strict=True)])
        z, _ = self.bent.at(u)
        missed = self.bent.missed(self.bent.surfaces.error, u, z)
        found = []
        for number, wish in enumerate(self.wishes):
            mine = (self.owner == number) & self.guided
            if not mine.any():
                found.append(WishEstimate(wish=wish, least=math.nan, most=math.nan, error=math.nan))
                continue
            found.append(WishEstimate(
                wish=wish, least=float(z[mine].min()), most=float(z[mine].max()), error=float(missed[mine].max()),
            ))
        return tuple(found)
