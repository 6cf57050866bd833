"""What is left over when a model has been fitted, and how far it is to be trusted."""

from __future__ import annotations

import numpy as np

from ingle.verdict.series import Floats


def inverse(normal: Floats) -> Floats:
    """Return the inverse of a positive matrix, scaled to ones on its diagonal: unknowns span watts to watt-hours."""
    scale = 1 / np.sqrt(np.diag(normal))
    return np.asarray(np.linalg.inv(normal * scale[:, None] * scale) * scale[:, None] * scale)


def likeness(residual: Floats, at: np.typing.NDArray[np.intp]) -> float:
    """Return the correlation of consecutive days' errors, shrunk towards a common 0.3 while days are few."""
    pairs = np.flatnonzero(np.diff(at) == 1)
    before, after = residual[pairs], residual[pairs + 1]
    power = float((residual**2).mean()) * max(len(pairs), 1)
    own = float((before * after).sum()) / power if power > 1e-12 else 0.0
    trust = len(pairs) / (len(pairs) + 15)
    return float(np.clip(trust * own + (1 - trust) * 0.3, 0.0, 0.8))


def upper_limit(freedom: float) -> float:
    """Return by how much true scatter may exceed what few days show, at 95 % (chi-squared after Wilson and Hilferty).

    >>> upper_limit(20)
    1.36
    """
    part = 2 / (9 * freedom)
    root = max(1 - part - 1.645 * part**0.5, 0.05)
    return float(root**-1.5)


def apart(rows: Floats, day: np.typing.NDArray[np.intp], common: float) -> Floats:
    """Take off what all rooms have in common on a day.

    Multiplies by the inverse square root of an even correlation matrix (1 on the diagonal, ``common`` elsewhere), whose
    eigenvalues are 1 + (n-1)·common along the mean and 1 - common across it.

    >>> apart(np.array([1.0, 1.0, 5.0]), np.array([0, 0, 1]), 0.5).tolist()  # two rooms on one day, one on the next
    [0.8164965809277261, 0.8164965809277261, 5.0]
    """
    order = np.argsort(day, kind="stable")
    first = np.concatenate([[True], np.diff(day[order]) > 0])
    group = np.empty(len(day), np.intp)
    group[order] = np.cumsum(first) - 1
    count = np.bincount(group)[group]
    own, both = 1 / np.sqrt(1 - common), 1 / np.sqrt(1 + (count - 1) * common)
    own = np.where(count > 1, own, 1.0)
    flat = rows.reshape(len(rows), -1)
    # Sums over runs of sorted rows: a year of a large house has millions of terms, and this is asked for often.
    mean = np.add.reduceat(flat[order], np.flatnonzero(first), axis=0)[group] / count[:, None]
    return np.asarray((own[:, None] * flat + (both - own)[:, None] * mean).reshape(rows.shape))


#: Likeness of rooms on a day before any is seen, and what it is worth [days].
_COMMON, _COMMON_DAYS = 0.2, 15.0


def in_common(error: Floats, day: np.typing.NDArray[np.intp]) -> float:
    """Return the even correlation of rooms on one day, from errors of like size, shrunk while days are few."""
    error = np.clip(error, -3, 3)
    count = np.bincount(day)
    pairs = float((count * (count - 1)).sum())
    if not pairs:
        return 0.0
    total, square = np.bincount(day, error), np.bincount(day, error**2)
    own = float((total**2 - square).sum()) / pairs / max(float((error**2).mean()), 1e-9)
    known = float((count > 1).sum())
    return float(np.clip((known * own + _COMMON_DAYS * _COMMON) / (known + _COMMON_DAYS), 0.0, 0.7))
