"""Electric heaters as loads: what a plate means at the voltage that is really there.

Plain arithmetic of resistors. It says what a heater can give, never what a circuit may carry: that is for local rules
and a competent electrician.
"""

from __future__ import annotations

from math import sqrt

# Supply tolerance of the low-voltage network in Europe: 230 V +10/-6 % (UK practice; from memory).
VOLTAGE_LOW, VOLTAGE_HIGH = 216.2, 253.0


def power_at_voltage(rated_w: float, rated_v: float, voltage_v: float) -> float:
    """Return what a resistive element gives at a voltage [W]: P = P_r (V/V_r)².

    Holds for plain resistance wire; not for PTC elements, which hold their power within limits.

    >>> round(power_at_voltage(2250, 230, 216.2))
    1988
    """
    return rated_w * (voltage_v / rated_v) ** 2


def current_a(power_w: float, voltage_v: float) -> float:
    """Return the current of a resistive load on one phase [A].

    >>> round(current_a(2000, 230), 3)
    8.696
    """
    return power_w / voltage_v


def voltage_for_power_ratio(ratio: float) -> float:
    """Return the factor of the voltage that multiplies a resistive load's power by ``ratio``.

    >>> round(voltage_for_power_ratio(1.05), 4)
    1.0247
    """
    return sqrt(ratio)


def plate_limits_w(rated_w: float) -> tuple[float, float]:
    """Return how much a healthy heater may draw at its rated voltage, lowest and highest [W].

    IEC 60335-1, Table 1, heating appliances (from memory): up to 25 W +20 %; to 200 W ±10 %; above, +5 % or 20 W,
    whichever is more, and -10 %. Up to 25 W there is no lower limit.

    >>> plate_limits_w(2000)
    (1800.0, 2100.0)
    """
    if rated_w <= 25:
        return 0.0, rated_w * 1.2
    if rated_w <= 200:
        return rated_w * 0.9, rated_w * 1.1
    return rated_w * 0.9, rated_w + max(0.05 * rated_w, 20.0)
