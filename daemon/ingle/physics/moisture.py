"""Moisture in room air, and how damp it is where a surface is cold: where mould may grow.

The rules of this file:

* Air of some temperature holds water vapour up to its saturation pressure. Relative humidity is the part of it that
  is there; the vapour's own pressure is the same everywhere in a room, so the air is dampest where it is coldest.
* A surface stands between the room and outdoors: θ_si = θ_e + f_Rsi (θ_i - θ_e). The temperature factor f_Rsi tells
  how well it is insulated; it belongs to the surface, not to the weather.
* Mould may grow where humidity at a surface stays above 80 % for days; water needs not be seen (ISO 13788:2012, 5).
* An even wall has f_Rsi = 1 - U·R_si; a corner, a reveal or a wall behind a cupboard has less, which is why ISO 13788
  reckons with R_si = 0.25 m²·K/W there instead of the 0.13 of a heat loss.

References
----------
ISO 13788:2012, Hygrothermal performance of building components: Annex E (saturation pressure, from memory; held
against psychrolib, which follows the ASHRAE Handbook, Fundamentals, 2017, chapter 1), and clause 5 for the 80 %.
DIN 4108-2:2013: f_Rsi of at least 0.70 at 20 °C, 50 % and -5 °C.
BRE Information Paper IP 1/06, 2006: f_Rsi of at least 0.75 in dwellings.
"""

from __future__ import annotations

from math import exp, log

#: Humidity at a surface above which mould may grow [%], ISO 13788:2012, 5.
MOULD_PERCENT = 80.0
#: Least temperature factor of a dwelling's surfaces [-], BRE IP 1/06.
DWELLING_F_RSI = 0.75
#: Surface resistance at corners and behind furniture [m²·K/W], ISO 13788:2012, 4.4 (from memory).
R_SI_MOULD = 0.25

# ISO 13788:2012, Annex E: pressure at 0 °C [Pa], and factor [-] and offset [°C] over water and over ice.
_AT_ZERO_PA = 610.5
_WATER = (17.269, 237.3)
_ICE = (21.875, 265.5)
# Beyond this the formulas are not meant to hold; no room and no outdoor air gets there [°C].
_COLDEST_C, _WARMEST_C = -100.0, 100.0


def saturation_pressure_pa(temperature_c: float) -> float:
    """Return the saturation pressure of water vapour, over ice below 0 °C [Pa].

    Raises
    ------
    ValueError
        Below -100 or above 100 °C, where the formula does not hold.

    Examples
    --------
    >>> [round(saturation_pressure_pa(each), 1) for each in (-5, 0, 10, 20)]
    [401.2, 610.5, 1227.3, 2337.0]
    """
    if not _COLDEST_C <= temperature_c <= _WARMEST_C:
        raise ValueError(f"{temperature_c:g} °C is out of range for moist air; it is from -100 to 100")
    factor, offset_c = _WATER if temperature_c >= 0 else _ICE
    return _AT_ZERO_PA * exp(factor * temperature_c / (offset_c + temperature_c))


def vapour_pressure_pa(temperature_c: float, humidity_percent: float) -> float:
    """Return the pressure of the vapour in air of a relative humidity [Pa].

    Raises
    ------
    ValueError
        For a humidity outside 0 to 100 %.

    Examples
    --------
    >>> round(vapour_pressure_pa(20, 50))  # half of 2337
    1168
    """
    if not 0 <= humidity_percent <= 100:
        raise ValueError(f"a relative humidity of {humidity_percent:g} % is not possible; it is from 0 to 100")
    return saturation_pressure_pa(temperature_c) * humidity_percent / 100


def saturated_at_c(vapour_pa: float) -> float:
    """Return the temperature at which a vapour pressure is saturation [°C]; the inverse of the formula above.

    Raises
    ------
    ValueError
        For no vapour at all, which is saturated at no temperature.

    Examples
    --------
    >>> round(saturated_at_c(610.5), 2), round(saturated_at_c(2336.95), 2)
    (0.0, 20.0)
    """
    if not vapour_pa > 0:
        raise ValueError(f"a vapour pressure of {vapour_pa:g} Pa has no dew point; it is above 0")
    ratio = log(vapour_pa / _AT_ZERO_PA)
    factor, offset_c = _WATER if ratio >= 0 else _ICE
    return offset_c * ratio / (factor - ratio)


def dew_point_c(temperature_c: float, humidity_percent: float) -> float:
    """Return how cold a surface must be for the air's water to settle on it [°C].

    >>> round(dew_point_c(20, 50), 2)
    9.27
    """
    return saturated_at_c(vapour_pressure_pa(temperature_c, humidity_percent))


def surface_c(room_c: float, outdoor_c: float, f_rsi: float) -> float:
    """Return the temperature of a surface from its temperature factor [°C].

    >>> surface_c(20, 0, 0.75)
    15.0
    """
    return outdoor_c + f_rsi * (room_c - outdoor_c)


def surface_humidity_percent(room_c: float, humidity_percent: float, outdoor_c: float, f_rsi: float) -> float:
    """Return the relative humidity of a room's air at one of its surfaces [%]; above 100 water settles there.

    Parameters
    ----------
    room_c, humidity_percent
        The room's air [°C], [%].
    outdoor_c
        Outdoor air [°C].
    f_rsi
        Temperature factor of the surface [-].

    Examples
    --------
    At 15 °C the air that held half of 2337 Pa at 20 °C holds 1168 of 1704 Pa.

    >>> round(surface_humidity_percent(20, 50, 0, 0.75), 1)
    68.6
    """
    there_pa = saturation_pressure_pa(surface_c(room_c, outdoor_c, f_rsi))
    return 100 * vapour_pressure_pa(room_c, humidity_percent) / there_pa


def least_surface_c(room_c: float, humidity_percent: float, limit_percent: float = MOULD_PERCENT) -> float:
    """Return how warm a surface must be for its air to stay at or below a humidity [°C].

    >>> round(least_surface_c(20, 50), 1)  # the 12.6 °C of DIN 4108-2
    12.6
    """
    return saturated_at_c(vapour_pressure_pa(room_c, humidity_percent) / (limit_percent / 100))


def least_f_rsi(
    room_c: float, humidity_percent: float, outdoor_c: float, limit_percent: float = MOULD_PERCENT
) -> float:
    """Return the least temperature factor that keeps a surface's air at or below a humidity [-].

    Above 1 no surface does: the room's own air is over the limit. Below 0 every surface does.

    Raises
    ------
    ValueError
        If it is not colder outside than inside, when a factor tells nothing.

    Examples
    --------
    >>> round(least_f_rsi(20, 50, 0), 2), round(least_f_rsi(20, 50, -5), 2)  # the second is DIN 4108-2's 0.70
    (0.63, 0.7)
    """
    if not room_c > outdoor_c:
        raise ValueError(f"a room of {room_c:g} °C is not warmer than {outdoor_c:g} °C outside; a factor tells nothing")
    return (least_surface_c(room_c, humidity_percent, limit_percent) - outdoor_c) / (room_c - outdoor_c)


def wall_f_rsi(u_w_per_m2k: float, r_si: float) -> float:
    """Return the temperature factor of an even wall, away from corners and furniture [-]: 1 - U·R_si.

    Raises
    ------
    ValueError
        If the wall's resistance would be less than its inner surface's.

    Examples
    --------
    A bare brick wall, U 2.1: below the 0.75 that keeps dwellings clear of mould.

    >>> round(wall_f_rsi(2.1, 0.13), 3)
    0.727
    """
    if not 0 <= u_w_per_m2k * r_si < 1:
        raise ValueError(
            f"a U of {u_w_per_m2k:g} W/(m²·K) and {r_si:g} m²·K/W at the inner surface do not go together: "
            "one is at most the other's inverse"
        )
    return 1 - u_w_per_m2k * r_si
