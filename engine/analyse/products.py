"""Products and solutions of small arrays that come out the same on every processor.

numpy hands `@`, `dot` and `linalg` to a BLAS library, which adds in another order on another
processor or with more threads; the last digits then differ, and with them the bytes of a report.
numpy's own products and sums of elements keep one order everywhere.
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def inner(one: Floats, other: Floats) -> float:
    """The sum of products of two vectors of one length."""
    return float(np.add.reduce(one * other))


def times(weights: Floats, columns: Floats) -> Floats:
    """The sum of weights × rows: a vector with an entry for each column of (rows, columns)."""
    return np.asarray((weights[:, None] * columns).sum(axis=0))


def applied(matrix: Floats, vector: Floats) -> Floats:
    """A matrix (rows, columns) times a vector with an entry for each column."""
    return np.asarray((matrix * vector).sum(axis=1))


def product(one: Floats, other: Floats) -> Floats:
    """The matrix product of (rows, n) and (n, columns)."""
    if other.shape[0] <= min(one.shape[0], other.shape[1]):
        return np.asarray(sum(a[:, None] * b for a, b in zip(one.T, other, strict=True)))
    if other.shape[1] <= one.shape[0]:
        found = [applied(one, column) for column in np.ascontiguousarray(other.T)]
        return np.stack(found, axis=1) if found else np.zeros((one.shape[0], 0))
    return np.stack([times(row, other) for row in one]) if len(one) else np.zeros(other.shape)[:0]


def solved(matrix: Floats, right: Floats) -> Floats:
    """x with matrix × x = right, for (n, n) symmetric, positive definite and right (n, columns).

    Gaussian elimination, which needs no exchange of rows for such a matrix (textbook).
    """
    n = len(matrix)
    work = np.hstack([matrix, right])
    for i in range(n):
        work[i, i:] /= work[i, i]
        work[i + 1 :, i + 1 :] -= work[i + 1 :, i, None] * work[i, i + 1 :]
    found = work[:, n:]
    for i in range(n - 1, 0, -1):
        found[:i] -= work[:i, i, None] * found[i]
    return np.asarray(found)
