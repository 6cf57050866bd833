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
