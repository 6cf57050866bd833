"""The days that a room's figure rests on: metered and predicted power of each, or why a day was not used."""

from __future__ import annotations

from math import isfinite

import numpy as np

from ingle.model.verdicts import FitDay, FitQuality
from ingle.verdict.balance import Balance, RoomDays
from ingle.verdict.estimate import LEAST_DIFFERENCE_K
from ingle.verdict.series import Floats
from ingle.verdict.system import Estimate


def fit_days(room: RoomDays, balance: Balance, found: Estimate | None) -> tuple[FitDay, ...]:
    """Return every day of the record as the estimate sees it.

    Parameters
    ----------
    room, balance
        The room's days and the house's.
    found
        The estimate; without one no day is predicted.
    """
    nothing = np.full(balance.days, np.nan)
    predicted = nothing if found is None else found.predicted_w
    band = nothing if found is None else 1.96 * found.band_w
    used = np.zeros(balance.days, np.bool_) if found is None else found.days
    # A response to strong heating speaks of hours; its days have no prediction of their own.
    predicted, band = (each if len(each) == balance.days else nothing for each in (predicted, band))
    return tuple(
        FitDay(
            date=day.isoformat(),
            metered_w=_known(room.power_w, at),
            predicted_w=_known(predicted, at),
            low_w=_known(predicted - band, at),
            high_w=_known(predicted + band, at),
            temp_c=_known(room.temp_c, at, 2),
            outdoor_c=_known(balance.outdoor_c, at, 2),
            used=bool(used[at]),
            why_not=None if used[at] else _why_not(room, balance, at),
            quality=_quality(room, at),
        )
        for at, day in enumerate(balance.dates)
    )


def _known(values: Floats, at: int, digits: int = 1) -> float | None:
    value = float(values[at])
    return round(value, digits) if isfinite(value) else None


def _quality(room: RoomDays, at: int) -> FitQuality | None:
    if not isfinite(room.power_w[at]):
        return None
    if room.estimated[at] or room.computed:
        return "estimated"
    return "filled" if len(room.filled) and room.filled[at] else "metered"


def _why_not(room: RoomDays, balance: Balance, at: int) -> str:
    """Return in a sentence what a day lacks, the first thing that hinders."""
    if not isfinite(room.power_w[at]):
        return "The day's energy is not known."
    if not isfinite(room.temp_c[at]):
        return "The room's temperature is not known for most of the day."
    if not isfinite(balance.outdoor_c[at]):
        return "The outdoor temperature is not known for most of the day."
    if not (isfinite(room.start_c[at]) and isfinite(room.start_c[at + 1])):
        return "The room's temperature at 04:00, when a day begins and ends, is not known."
    apart = room.temp_c[at] - balance.outdoor_c[at]
    if apart < LEAST_DIFFERENCE_K:
        return f"Only {max(apart, 0.0):.1f} K warmer inside than out; at least {LEAST_DIFFERENCE_K:.0f} K are needed."
    return "The record has too few usable days for a figure."
