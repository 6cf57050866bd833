"""The energy signature: use regressed on weather, with the standard errors of its coefficients.

Too plain for a verdict - gains, sun and stored heat bias it - but it tells whether a meter follows the weather at all.
Reference: Draper and Smith, Applied Regression Analysis, Wiley, 1998, chapters 1 and 4.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ingle.verdict.series import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Signature:
    """Coefficients in the order of the columns, their standard errors, the scatter left over, and R²."""

    coefficients: Floats
    errors: Floats
    scatter: float
    r_squared: float

    @property
    def is_weak(self) -> bool:
        """Whether the columns explain less than half of what the use does."""
        return self.r_squared < 0.5


def signature(use: Floats, *columns: Floats) -> Signature:
    """Return the least-squares fit of a use on columns; the scatter has n - p below the fraction line.

    Raises
    ------
    ValueError
        Where there are no more rows than columns.

    >>> found = signature(np.array([3.0, 5.0, 7.0, 9.0]), np.ones(4), np.arange(4.0))
    >>> found.coefficients.round(6).tolist(), round(found.scatter, 6), round(found.r_squared, 6)
    ([3.0, 2.0], 0.0, 1.0)
    """
    x = np.stack(columns, axis=1)
    rows, unknowns = x.shape
    if rows <= unknowns:
        msg = f"{rows} rows do not settle {unknowns} unknowns"
        raise ValueError(msg)
    normal = np.linalg.inv(x.T @ x)
    coefficients = normal @ x.T @ use
    left = use - x @ coefficients
    square = float((left**2).sum()) / (rows - unknowns)
    around = float(((use - use.mean()) ** 2).sum())
    return Signature(
        coefficients=coefficients,
        errors=np.sqrt(np.diag(normal) * square),
        scatter=float(np.sqrt(square)),
        r_squared=1 - float((left**2).sum()) / around if around > 0 else 1.0,
    )
