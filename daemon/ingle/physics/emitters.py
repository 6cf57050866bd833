"""Electric heaters as loads: what a plate means at the voltage that is really there.

Plain arithmetic of resistors. It says what a heater can give, never what a circuit may carry: that is for local rules
and a competent electrician.
"""

from __future__ import annotations

from math import ceil, sqrt
from typing import Final, Literal

# Supply tolerance of the low-voltage network in Europe: 230 V +10/-6 % (UK practice; from memory).
VOLTAGE_LOW, VOLTAGE_HIGH = 216.2, 253.0
#: The same as shares of the nominal voltage.
VOLTAGE_LOW_SHARE: Final = 0.94
#: Nominal voltages of public supplies [V], IEC 60038 (from memory); a plate is rated for one of them.
NOMINAL_V: Final = (120.0, 230.0, 400.0)
#: A nominal voltage stands for what lies within ±10 % of it (EN 50160).
NOMINAL_BAND: Final = 0.10
#: Heat that the air of a room and its furniture take up, per floor area [Wh/(m²·K)]: 10 kJ/(m²·K), the default of
#: EN ISO 52016-1:2017 (from memory). It is what a thermostat feels between two switchings; the walls are too slow.
AIR_AND_FURNITURE_WH_PER_M2K: Final = 10 / 3.6
#: What an electronic room thermostat lets the air swing between on and off [K]; common practice.
THERMOSTAT_BAND_K: Final = 0.5


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


def nominal_voltage_v(voltage_v: float) -> float:
    """Return the nominal voltage that a real one belongs to, itself where there is none near [V]; IEC 60038.

    >>> nominal_voltage_v(216.2), nominal_voltage_v(240), nominal_voltage_v(117), nominal_voltage_v(300)
    (230.0, 230.0, 120.0, 300)
    """
    near = (nominal for nominal in NOMINAL_V if abs(voltage_v - nominal) <= NOMINAL_BAND * nominal)
    return next(near, voltage_v)


def output_w(
    rated_w: float, rated_v: float, voltage_v: float, element: Literal["resistive", "ptc"] = "resistive"
) -> float | None:
    """Return what a heater gives at a voltage [W]; None for a PTC element at any but its rated voltage.

    A PTC element grows its resistance as it warms, so its power follows neither the voltage nor its square.

    >>> output_w(3000, 240, 230)
    2755.2
    >>> output_w(2000, 230, 216.2, "ptc") is None
    True
    """
    if voltage_v == rated_v:
        return rated_w
    return None if element == "ptc" else power_at_voltage(rated_w, rated_v, voltage_v)


def heaters_needed(load_w: float, each_w: float) -> int:
    """Return how many equal heaters, or sections of one, meet a load; at least one.

    Built-up rounding (one part in 10⁹) buys no further heater.

    >>> heaters_needed(12_020, 1500), heaters_needed(12_000, 1500), heaters_needed(0, 1500)
    (9, 8, 1)
    """
    return max(1, ceil(load_w / each_w * (1 - 1e-9)))


def duty(loss_w: float, power_w: float) -> float:
    """Return the share of time that a heater is on to hold a room; above 1 it cannot.

    >>> duty(28 * (20 - 8), 2000)
    0.168
    """
    return loss_w / power_w


def switchings_per_h(power_w: float, loss_w: float, capacity_wh_per_k: float, band_k: float) -> float:
    """Return how often an hour a thermostat turns a heater on [1/h].

    One store between the two edges of the thermostat's band: on for ΔC/(P - Q), off for ΔC/Q, so that
    N = Q (P - Q) / (Δ C P). Zero where the heater never turns off, or never on. The mass of the heater itself and a
    slow sensor make it rarer: a figure to compare heaters by, not to promise.

    Parameters
    ----------
    power_w, loss_w
        P and Q [W].
    capacity_wh_per_k
        C, of what follows within minutes: the air and the furniture [Wh/K].
    band_k
        Δ, from on to off [K].

    Examples
    --------
    2 kW in a room that loses 336 W, 15 m² of floor (41.7 Wh/K), half a kelvin: on for 45 s, off for 223 s.

    >>> round(switchings_per_h(2000, 336, 15 * 10 / 3.6, 0.5), 2)
    13.42
    """
    if not 0 < loss_w < power_w:
        return 0.0
    return loss_w * (power_w - loss_w) / (band_k * capacity_wh_per_k * power_w)


def standing_kwh_per_year(standing_w: float) -> float:
    """Return what a steady small power adds up to in a year of 8760 h [kWh].

    >>> round(standing_kwh_per_year(18 * 3), 1)
    473.0
    """
    return standing_w * 8760 / 1000
