"""What a cause takes in 30 days, with its limits."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

import msgspec
import numpy as np

from ingle.model.verdicts import Cause

MONTH_H: Final = 720.0
#: Days are alike: their mean is known worse than their scatter and number say; common practice for daily residuals.
ALIKE: Final = 1.5


class Amount(NamedTuple):
    """Energy in 30 days and its 95 % limits [kWh]."""

    kwh: float
    low: float
    high: float


def of_power(watts: float, half_width_w: float) -> Amount:
    """Return the energy of a mean power with its 95 % half-width [W]; never less than nothing.

    Examples
    --------
    A room that loses 29 W/K more, over 14.5 K, for 30 days: 29 · 14.5 · 720 h = 303 kWh.

    >>> of_power(29 * 14.5, 0.0).kwh
    302.76
    """
    per_w = MONTH_H / 1000
    return Amount(
        round(max(watts, 0.0) * per_w, 2),
        round(max(watts - half_width_w, 0.0) * per_w, 2),
        round(max(watts + half_width_w, 0.0) * per_w, 2),
    )


def of_days(kwh_a_day: Sequence[float], share_of_days: float = 1.0) -> Amount:
    """Return what days like these add up to, from each day's energy [kWh] and the share of days that are so."""
    days = np.asarray(kwh_a_day, dtype=np.float64)
    mean = float(days.mean()) * share_of_days
    half = 1.96 * ALIKE * float(days.std()) * share_of_days / max(len(days), 1) ** 0.5
    return of_power(mean * 1000 / 24, half * 1000 / 24)


def taking(cause: Cause, amount: Amount) -> Cause:
    """Return a cause with what it takes."""
    return msgspec.structs.replace(cause, kwh=amount.kwh, kwh_low=amount.low, kwh_high=amount.high)
