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

from ingle.verdict.balance import Balance, RoomDays
from ingle.verdict.series import Floats
from ingle.verdict.signature import signature
from ingle.verdict.system import Estimate

#: Hourly limits of ASHRAE Guideline 14-2014.
CV_RMSE_LIMIT: Final = 0.30
NMBE_LIMIT: Final = 0.10
#: With fewer days the scatter is a matter of luck.
LEAST_DAYS: Final = 14
#: Whether a meter follows the weather shows in a week of it, once outdoors has moved by this much [K].
FEWEST_DAYS: Final = 6
LEAST_WEATHER_K: Final = 1.0
#: A power that moves by less than this share of what the weather asks for is not governed by it.
STEADY_SHARE: Final = 0.1
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
    return bool(abs(running[-1] / running[-2] - 1) <= 0.05 and abs(last / first - 1) <= 0.05)


def failed_checks(room: RoomDays, balance: Balance, found: Estimate) -> list[str]:
    """Return in sentences what a fit fails; few days are left to the interval, which is wide then."""
    used = found.days
    if len(found.predicted_w) != len(used):
        return []  # a response to strong heating has no days of its own
    apart_k = room.temp_c[used] - balance.outdoor_c[used]
    return failed(room.power_w[used], found.predicted_w[used], apart_k, found.loss_w_per_k)


def failed(metered_w: Floats, predicted_w: Floats, apart_k: Floats, loss_w_per_k: float) -> list[str]:
    """Return in sentences what a fit fails, from its days.

    Parameters
    ----------
    metered_w, predicted_w
        Mean powers.
    apart_k
        How much warmer it was inside than out.
    loss_w_per_k
        The coefficient that the fit found.
    """
    if len(metered_w) < FEWEST_DAYS:
        return []
    reasons = []
    if _ignores_weather(metered_w, apart_k, loss_w_per_k):
        reasons.append(
            "The power is the same whatever the weather: is it a meter that counts, and does a thermostat switch?"
        )
    if len(metered_w) < LEAST_DAYS:
        return reasons
    bias = nmbe(metered_w, predicted_w, UNKNOWNS)
    # In a room that is hardly heated, what people do is large beside what the heater takes; the heat lost is the scale.
    lost = loss_w_per_k * float(apart_k.mean())
    scatter = cv_rmse(metered_w, predicted_w, UNKNOWNS) * min(1.0, abs(float(metered_w.mean())) / max(lost, 1e-9))
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


def _ignores_weather(metered_w: Floats, apart_k: Floats, loss_w_per_k: float) -> bool:
    """Whether power stays as it is while the weather changes what a room needs."""
    needed_w = loss_w_per_k * float(apart_k.std())
    if apart_k.std() < LEAST_WEATHER_K or needed_w < 0.05 * abs(float(metered_w.mean())):
        return False
    plain = signature(metered_w, np.ones(len(metered_w)), apart_k)
    return bool(metered_w.std() < STEADY_SHARE * needed_w and abs(plain.coefficients[1]) < STEADY_SHARE * loss_w_per_k)
