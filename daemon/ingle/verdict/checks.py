"""Does a fit pass its own checks? One that does not gives no verdict, whatever its interval says.

Two published rules, from memory of their text where not opened:

* ASHRAE Guideline 14 holds a model of energy use calibrated where CV(RMSE) is at most 15 % with monthly and 30 % with
  hourly figures, and the mean bias (NMBE) at most 5 % and 10 %. Rooms by the day lie between: people come and go by
  the day, so the hourly limits stand here. Both divide by n - p.
* ISO 9869-1 holds an in-situ measurement converged where the result of all days and that of the first two thirds
  differ by at most 5 %, and the end from the day before as much. A room in use is no heat-flux plate; the rule is kept
  for measurements without a fit.
"""

from __future__ import annotations

from math import sqrt
from typing import Final

import numpy as np

from ingle.verdict.balance import RoomDays
from ingle.verdict.series import Floats
from ingle.verdict.system import Estimate

#: Hourly limits of ASHRAE Guideline 14-2014.
CV_RMSE_LIMIT: Final = 0.30
NMBE_LIMIT: Final = 0.10
#: With fewer days the scatter is a matter of luck.
LEAST_DAYS: Final = 14
#: Unknowns of one room that its days usually settle.
UNKNOWNS: Final = 3


def cv_rmse(metered: Floats, predicted: Floats, unknowns: int) -> float:
    """Return the coefficient of variation of the root mean square error, with n - p below the fraction line.

    >>> round(cv_rmse(np.array([9.0, 11.0, 9.0, 11.0]), np.array([10.0, 10.0, 10.0, 10.0]), 1), 4)
    0.1155
    """
    freedom = max(len(metered) - unknowns, 1)
    return sqrt(float(((metered - predicted) ** 2).sum()) / freedom) / max(abs(float(metered.mean())), 1e-9)


def nmbe(metered: Floats, predicted: Floats, unknowns: int) -> float:
    """Return the normalised mean bias error, with n - p below the fraction line.

    >>> round(nmbe(np.array([10.0, 12.0, 14.0]), np.array([10.0, 12.0, 11.0]), 1), 4)
    0.125
    """
    freedom = max(len(metered) - unknowns, 1)
    return float((metered - predicted).sum()) / freedom / max(abs(float(metered.mean())), 1e-9)


def two_thirds(days: int) -> int:
    """Return how many days two thirds are for the rule of convergence: the whole part of 2·days/3.

    >>> [two_thirds(days) for days in (3, 4, 5, 7, 8)]
    [2, 2, 3, 4, 5]
    """
    return 2 * days // 3


def converged(resistance: Floats) -> bool:
    """Whether daily resistances (temperature difference over heat flow) have converged by the average method.

    At least 72 hours; the running mean's end differs from the day before by at most 5 %; the mean of the first two
    thirds of the days from that of the last two thirds by at most 5 % (ISO 9869-1, section 7).
    """
    days = len(resistance)
    if days < 3:
        return False
    running = np.cumsum(resistance) / np.arange(1, days + 1)
    part = two_thirds(days)
    first, last = float(resistance[:part].mean()), float(resistance[days - part :].mean())
    return abs(running[-1] / running[-2] - 1) <= 0.05 and abs(last / first - 1) <= 0.05


def failed_checks(room: RoomDays, found: Estimate) -> list[str]:
    """Return in sentences what a fit fails; few days are left to the interval, which is wide then."""
    used = found.days
    if used.sum() < LEAST_DAYS or len(found.predicted_w) != len(used):
        return []
    metered, predicted = room.power_w[used], found.predicted_w[used]
    reasons = []
    bias = nmbe(metered, predicted, UNKNOWNS)
    # In a room that is hardly heated, what people do is large beside what the heater takes; the heat lost is the scale.
    lost = found.loss_w_per_k * found.difference_k
    scatter = cv_rmse(metered, predicted, UNKNOWNS) * min(1.0, abs(float(metered.mean())) / max(lost, 1e-9))
    if scatter > CV_RMSE_LIMIT:
        reasons.append(
            f"The fit fails its own check: days scatter by {scatter:.0%} of the heat lost (CV(RMSE)); "
            f"at most {CV_RMSE_LIMIT:.0%} is allowed."
        )
    if abs(bias) > NMBE_LIMIT:
        reasons.append(
            f"The fit fails its own check: it is {abs(bias):.0%} off on average (NMBE); "
            f"at most {NMBE_LIMIT:.0%} is allowed."
        )
    return reasons
