"""A symmetric block-banded matrix of 4 x 4 blocks, and its Cholesky solution through LAPACK's banded routines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.statics.lapack import dpbtrf, dpbtrs

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, kw_only=True)
class BlockMatrix:
    """Blocks of a symmetric matrix.

    Attributes
    ----------
    diagonal : (n, 4, 4) array
        [N/m]
    beside : (w, n, 4, 4) array
        ``beside[d - 1, i]`` is the block between node i and node i + d.
    """

    diagonal: Floats
    beside: Floats

    def pinned(self, fixed: NDArray[np.bool_]) -> BlockMatrix:
        """The same with the fourth unknown of some nodes taken out (identity row and column).

        Parameters
        ----------
        fixed : (n,) bool array
        """
        diagonal, beside = self.diagonal.copy(), self.beside.copy()
        diagonal[fixed, 3, :] = 0.0
        diagonal[fixed, :, 3] = 0.0
        diagonal[fixed, 3, 3] = 1.0
        for step in range(len(beside)):
            beside[step, fixed, 3, :] = 0.0
            beside[step, : -1 - step][fixed[step + 1 :], :, 3] = 0.0
        return BlockMatrix(diagonal=diagonal, beside=beside)

    def times(self, vector: Floats) -> Floats:
        """The matrix applied to an (n, 4) array."""
        result: Floats = np.einsum("nij,nj->ni", self.diagonal, vector)
        for step, blocks in enumerate(self.beside, 1):
            result[:-step] += np.einsum("nij,nj->ni", blocks[:-step], vector[step:])
            result[step:] += np.einsum("nij,ni->nj", blocks[:-step], vector[:-step])
        return result

    def banded(self) -> Floats:
        """(bandwidth, 4n) lower band storage for LAPACK."""
        n, width = len(self.diagonal), len(self.beside)
        band = np.zeros((4 * n, 4 * (width + 1)))
        for row in range(4):
            for column in range(row + 1):
                band[column::4, row - column] = self.diagonal[:, row, column]
        for step in range(1, width + 1):
            for row in range(4):
                for column in range(4):
                    band[column::4, 4 * step + row - column] = self.beside[step - 1, :, column, row]
        return band.T

    def solve(self, right: Floats, shift: Floats | None = None) -> Floats | None:
        """Solve, or None when the matrix (plus shift) is not positive definite.

        Parameters
        ----------
        right : (n, 4) array
            [N]
        shift : (n, 4) array, optional
            Added to the diagonal.  [N/m]
        """
        band = self.banded()
        if shift is not None:
            band[0] += shift.reshape(-1)
        factor, info = dpbtrf(band, lower=1, overwrite_ab=1)
        if info != 0:
            return None
        answer, _ = dpbtrs(factor, right.reshape(-1), lower=1)
        return np.asarray(answer).reshape(right.shape)
