"""A quadratic surface through a figure over its uncertain inputs: what it leaves unsaid, and which input moves it.

References
----------
.. [1] A. Saltelli et al., "Variance based sensitivity analysis of model output", Comput. Phys. Commun. 181 (2010)
   259-270, doi:10.1016/j.cpc.2009.09.018 (first-order and total shares).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.events.sampling import points

Floats = NDArray[np.float64]

SALTELLI = 512  # Points from which shares are computed on a surface.


@dataclass(frozen=True, eq=False, kw_only=True)
class QuadraticFit:
    """A figure as a quadratic in inputs scaled to their ranges.

    Attributes
    ----------
    weights : (c,) array
        Of 1, the inputs and their products.  [of the figure]
    flat : bool
        Without products.
    error : float
        Root mean square of what it misses at points left out.  [of the figure]
    middling : float
        The median of that.  [of the figure]
    explained : float
        Share of the variance that it explains at points left out.  [-]
    """

    weights: Floats
    flat: bool
    error: float
    middling: float
    explained: float

    @classmethod
    def through(cls, inputs: Floats, values: Floats, *, flat: bool = False) -> QuadraticFit | None:
        """The surface that fits best; None where there are too few values.

        Parameters
        ----------
        inputs : (n, d) array
            Scaled to their ranges.  [-]
        values : (n,) array
            [of the figure]
        flat : bool
            Without products of inputs.
        """
        return fits(inputs, values[:, None], flat=flat)[0]

    def at(self, inputs: Floats) -> Floats:
        """(n,) values at inputs (n, d).  [of the figure]"""
        return np.asarray(_terms(inputs, self.flat) @ self.weights)


def fits(inputs: Floats, values: Floats, *, flat: bool = False) -> list[QuadraticFit | None]:
    """The surface that fits each of many figures best; None where there are too few values.

    Parameters
    ----------
    inputs : (n, d) array
        Scaled to their ranges.  [-]
    values : (n, m) array
        nan where a figure is not known.  [of the figure]
    flat : bool
        Without products of inputs.
    """
    out: list[QuadraticFit | None] = [None] * values.shape[1]
    known, pattern = np.unique(np.isfinite(values), axis=1, return_inverse=True)
    for number, some in enumerate(known.T):  # Figures that are known at the same points share all but their values.
        terms = _terms(inputs[some], flat)
        if len(terms) < 1.5 * terms.shape[1]:
            continue
        inverse = np.linalg.pinv(terms.T @ terms, hermitian=True)
        # What the surface would miss at each point if that were left out.
        own = np.einsum("ij,jk,ik->i", terms, inverse, terms, optimize=True)
        for k in np.flatnonzero(pattern.ravel() == number).tolist():
            mine = values[some, k]
            weights = inverse @ (terms.T @ mine)
            left = (mine - terms @ weights) / np.maximum(1.0 - own, 1e-9)
            error, spread = float(np.sqrt(np.mean(left**2))), float(np.std(mine))
            out[k] = QuadraticFit(
                weights=weights, flat=flat, error=error, middling=float(np.median(np.abs(left))),
                explained=1.0 - (error / spread) ** 2 if spread > 0.0 else 0.0,
            )
    return out


def _terms(inputs: Floats, flat: bool) -> Floats:
    """(n, c) 1, the inputs and their products."""
    if flat:
        return np.column_stack([np.ones(len(inputs)), inputs])
    first, second = np.triu_indices(inputs.shape[1])
    return np.column_stack([np.ones(len(inputs)), inputs, inputs[:, first] * inputs[:, second]])


def shares_of(surface: QuadraticFit, spread: Callable[[Floats], Floats]) -> tuple[Floats, Floats]:
    """(d,) first-order and total share of every input in the variance of a surface.  [-]

    Parameters
    ----------
    surface : QuadraticFit
    spread : callable
        Shares of draws (n, d) that lie lower, to inputs (n, d).
    """
    dimensions = int((np.sqrt(8.0 * len(surface.weights) + 1.0) - 3.0) / 2.0)
    return shares_at(lambda at: surface.at(spread(at)), dimensions)


def shares_at(value: Callable[[Floats], Floats], dimensions: int) -> tuple[Floats, Floats]:
    """(d,) first-order and total share of every input in the variance of a figure.  [-]

    Parameters
    ----------
    value : callable
        Shares of draws (n, d) that lie lower, to values (n,) of the figure; called d + 2 times.
    dimensions : int
        d.
    """
    both = points(2 * dimensions, SALTELLI)
    a, b = both[:, :dimensions], both[:, dimensions:]
    at_a, at_b = value(a), value(b)
    total = float(np.var(np.concatenate([at_a, at_b])))
    first, whole = np.zeros(dimensions), np.zeros(dimensions)
    for k in range(dimensions):
        mixed = a.copy()
        mixed[:, k] = b[:, k]
        here = value(mixed)
        first[k] = float(np.mean(at_b * (here - at_a))) / total if total > 0.0 else 0.0
        whole[k] = 0.5 * float(np.mean((at_a - here) ** 2)) / total if total > 0.0 else 0.0
    return np.clip(first, 0.0, 1.0), np.clip(whole, 0.0, None)
