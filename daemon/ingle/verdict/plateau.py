"""Power while an element heats without a break: what can be held against its plate.

Two consecutive readings show a plateau when both report nearly the same power and, where there is a counter, the
energy between them is that power times the time, so that nothing switched in between. Without a counter only a short
step can be trusted not to hide a switching. Standby and trickle are no heating.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ingle.verdict.series import Bools, Columns, Floats

#: A cold element draws more for its first seconds; common practice is to wait a minute [s].
LEAST_S: Final = 60.0
LONGEST_S: Final = 1800.0
#: Without a counter between them, two readings further apart prove nothing [s].
LONGEST_BARE_S: Final = 120.0
#: How equal two powers, or power and counted energy, have to be.
ALIKE: Final = 0.04
HEATING_W: Final = 50.0
#: How many of the newest readings show how a heater controls itself.
SWITCHING_ROWS: Final = 2000


@dataclass(frozen=True, slots=True, kw_only=True)
class Plateaus:
    """Steps of uninterrupted heating of one heater, in time order; voltage NaN where not measured."""

    start_s: Floats
    end_s: Floats
    power_w: Floats
    voltage_v: Floats
    temp_c: Floats
    setpoint_c: Floats
    steady_switching: bool = False

    def pick(self, which: Bools) -> Plateaus:
        """Return some of them."""
        return Plateaus(
            start_s=self.start_s[which],
            end_s=self.end_s[which],
            power_w=self.power_w[which],
            voltage_v=self.voltage_v[which],
            temp_c=self.temp_c[which],
            setpoint_c=self.setpoint_c[which],
            steady_switching=self.steady_switching,
        )


def plateaus(columns: Columns) -> Plateaus:
    """Return the plateaus in a heater's readings; none where power is only computed from duty."""
    power = np.where(columns.computed, np.nan, columns["power_w"])
    good = np.flatnonzero(np.isfinite(power))
    t, p = columns.t_s[good], power[good]
    wh, volts = columns["energy_wh"][good], columns["voltage_v"][good]
    steps = np.diff(t)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = (p[1:] + p[:-1]) / 2
        counted = np.diff(wh) * 3600 / steps
        alike = (np.abs(np.diff(p)) <= ALIKE * mean) & (mean > HEATING_W)
        proved = np.where(
            np.isfinite(counted),
            (np.abs(counted - mean) <= ALIKE * mean + 3600.0 / np.maximum(steps, 1.0)) & (steps <= LONGEST_S),
            steps <= LONGEST_BARE_S,
        )
        found = np.flatnonzero(alike & proved & (steps >= LEAST_S))
    return Plateaus(
        start_s=t[found],
        end_s=t[found + 1],
        power_w=mean[found],
        voltage_v=_mean_of_ends(volts, found),
        temp_c=_mean_of_ends(columns["temp_c"][good], found),
        setpoint_c=_mean_of_ends(columns["setpoint_c"][good], found),
        steady_switching=_switches(p[-SWITCHING_ROWS:]),
    )


def _switches(power: Floats) -> bool:
    """Whether power is either nothing or one level: on at least a tenth, off at least a tenth, hardly ever between."""
    if len(power) < 100:
        return False
    on, off = power > HEATING_W, power <= HEATING_W
    if on.mean() < 0.1 or off.mean() < 0.1:
        return False
    level = np.median(power[on])
    return bool((np.abs(power[on] - level) <= 0.15 * level).mean() > 0.95)


def _mean_of_ends(values: Floats, found: np.typing.NDArray[np.intp]) -> Floats:
    return (values[found] + values[found + 1]) / 2
