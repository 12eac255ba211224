"""Quadratic surfaces through all wished figures over the levers, evaluated together, with their slopes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.events.shares import fits

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, kw_only=True)
class Surfaces:
    """m figures as quadratics c + b u + u A u in d levers, each from 0 to 1 over its range.

    Attributes
    ----------
    constant, slope, curved : (m,), (m, d) and (m, d, d) array
        The last symmetric.  [of the figure]
    error : (m,) array
        Root mean square of what each misses at points left out.  [of the figure]
    middling : (m,) array
        Median of the absolute misses at points left out (check in `QuadraticFit`).  [of the figure]
    explained : (m,) array
        Share of the variance explained at points left out.  [-]
    """

    constant: Floats
    slope: Floats
    curved: Floats
    error: Floats
    middling: Floats
    explained: Floats

    @classmethod
    def through(cls, inputs: Floats, values: Floats) -> Surfaces:
        """The surfaces that fit best; one that there are too few values for explains nothing.

        Parameters
        ----------
        inputs : (n, d) array
            [-]
        values : (n, m) array
            nan where a figure is not known.  [of the figure]
        """
        d, m = inputs.shape[1], values.shape[1]
        first, second = np.triu_indices(d)
        constant, slope, curved = np.zeros(m), np.zeros((m, d)), np.zeros((m, d, d))
        error, middling, explained = np.full(m, np.inf), np.full(m, np.inf), np.zeros(m)
        for k, surface in enumerate(fits(inputs, values)):
            if surface is None:
                constant[k] = np.nan
                continue
            constant[k], slope[k] = surface.weights[0], surface.weights[1 : d + 1]
            curved[k, first, second] += 0.5 * surface.weights[d + 1 :]
            curved[k, second, first] += 0.5 * surface.weights[d + 1 :]
            error[k], middling[k], explained[k] = surface.error, surface.middling, surface.explained
        return cls(constant=constant, slope=slope, curved=curved, error=error, middling=middling, explained=explained)

    def at(self, u: Floats) -> Floats:
        """(m,) values at levers (d,)."""
        return self.both(u)[0]

    def both(self, u: Floats) -> tuple[Floats, Floats]:
        """(m,) values and (m, d) slopes at levers (d,)."""
        bent = self.curved @ u
        return np.asarray(self.constant + (self.slope + bent) @ u), np.asarray(self.slope + 2.0 * bent)

    def many(self, u: Floats) -> Floats:
        """(n, m) values at many levers (n, d)."""
        products = (u[:, :, None] * u[:, None, :]).reshape(len(u), -1)
        curved = self.curved.reshape(len(self.constant), -1)
        return np.asarray(self.constant + u @ self.slope.T + products @ curved.T)
