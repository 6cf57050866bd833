"""Where the sun stands, and what a clear sky gives to a window.

The position follows the low-order series of Meeus as NOAA's solar calculator uses them (good to about 0.02° until
2100); the clear sky follows Ineichen and Perez. The larger doubt is the turbidity: a fixed Linke value of 3 may be
some 10 % wrong over a year, far more on one day. A verdict therefore scales the sun by a coefficient that the
readings may move, and uses only its shape.

References
----------
Meeus J., Astronomical Algorithms, 2nd ed., Willmann-Bell, 1998, ch. 22, 25 and 28.
Kasten F. and Young A. T., Revised optical air mass tables, Applied Optics 28 (1989), 4735.
Ineichen P. and Perez R., A new airmass independent formulation for the Linke turbidity coefficient,
Solar Energy 73 (2002), 151.
Spencer J. W., Fourier series representation of the position of the sun, Search 2 (1971), 172.
Liu B. Y. H. and Jordan R. C., The long-term average performance of flat-plate solar-energy collectors,
Solar Energy 7 (1963), 53 (isotropic sky, ground reflectance 0.2).
"""

from __future__ import annotations

from datetime import datetime
from math import acos, asin, atan2, cos, degrees, exp, pi, radians, sin, sqrt, tan
from typing import NamedTuple

#: Solar constant [W/m²], the value that the clear-sky model was fitted with (ASTM E490: 1366.1).
SOLAR_CONSTANT = 1366.1
#: Linke turbidity of ordinary mid-latitude air [-]; common practice, 2 very clear to 5 hazy.
LINKE = 3.0
#: Reflectance of ordinary ground [-], Liu and Jordan.
ALBEDO = 0.2


class Sun(NamedTuple):
    """Direction of the sun: elevation above the horizon, with refraction, and azimuth from north over east [°]."""

    elevation_deg: float
    azimuth_deg: float


class Sky(NamedTuple):
    """Irradiance [W/m²]: global horizontal, direct on a surface facing the sun, diffuse horizontal."""

    global_w_per_m2: float
    direct_w_per_m2: float
    diffuse_w_per_m2: float


def sun_at(when: datetime, latitude_deg: float, longitude_deg: float) -> Sun:
    """Return where the sun stands at an aware instant.

    Parameters
    ----------
    when
        Aware instant.
    latitude_deg, longitude_deg
        Place, north and east positive [°].

    Examples
    --------
    At noon of an equinox the sun stands about 90° minus the latitude high, in the south:

    >>> sun = sun_at(datetime.fromisoformat("2026-03-20T12:07:00+00:00"), 50.0, 0.0)
    >>> print(f"{sun.elevation_deg:.0f} {sun.azimuth_deg:.0f}")
    40 180
    """
    days = when.timestamp() / 86400 + 2440587.5 - 2451545.0  # since noon of 2000-01-01
    century = days / 36525
    declination, equation_min = _declination_and_equation(century)
    solar_min = (when.timestamp() / 60) % 1440 + equation_min + 4 * longitude_deg
    hour = radians(solar_min / 4 - 180)
    latitude = radians(latitude_deg)
    up = sin(latitude) * sin(declination) + cos(latitude) * cos(declination) * cos(hour)
    elevation = degrees(asin(max(-1.0, min(1.0, up))))
    azimuth = degrees(atan2(sin(hour), cos(hour) * sin(latitude) - tan(declination) * cos(latitude))) + 180
    return Sun(elevation + _refraction(elevation), azimuth % 360)


def _declination_and_equation(century: float) -> tuple[float, float]:
    """Return the declination [rad] and the equation of time [min], Meeus ch. 25 (low accuracy) and 28."""
    mean_longitude = radians((280.46646 + century * (36000.76983 + 0.0003032 * century)) % 360)
    anomaly = radians(357.52911 + century * (35999.05029 - 0.0001537 * century))
    eccentricity = 0.016708634 - century * (0.000042037 + 0.0000001267 * century)
    centre = (
        sin(anomaly) * (1.914602 - century * (0.004817 + 0.000014 * century))
        + sin(2 * anomaly) * (0.019993 - 0.000101 * century)
        + sin(3 * anomaly) * 0.000289
    )
    node = radians(125.04 - 1934.136 * century)
    apparent = mean_longitude + radians(centre - 0.00569 - 0.00478 * sin(node))
    obliquity = radians(23.439291 - 0.0130042 * century + 0.00256 * cos(node))
    declination = asin(sin(obliquity) * sin(apparent))
    y = tan(obliquity / 2) ** 2
    equation = (
        y * sin(2 * mean_longitude)
        - 2 * eccentricity * sin(anomaly)
        + 4 * eccentricity * y * sin(anomaly) * cos(2 * mean_longitude)
        - 0.5 * y * y * sin(4 * mean_longitude)
        - 1.25 * eccentricity**2 * sin(2 * anomaly)
    )
    return declination, 4 * degrees(equation)


def _refraction(elevation_deg: float) -> float:
    """Return how much the air lifts the sun [°], as NOAA's solar calculator approximates it."""
    if elevation_deg > 85:
        return 0.0
    slope = tan(radians(elevation_deg))
    if elevation_deg > 5:
        seconds = 58.1 / slope - 0.07 / slope**3 + 0.000086 / slope**5
    elif elevation_deg > -0.575:
        e = elevation_deg
        seconds = 1735 + e * (-518.2 + e * (103.4 + e * (-12.79 + e * 0.711)))
    else:
        seconds = -20.774 / slope
    return seconds / 3600


def outside_air(day_of_year: int) -> float:
    """Return the irradiance outside the air on a surface facing the sun [W/m²], Spencer.

    >>> outside_air(3)  # nearest to the sun
    1414.0
    """
    x = 2 * pi * (day_of_year - 1) / 365
    shape: float = 1.00011 + 0.034221 * cos(x) + 0.00128 * sin(x) + 0.000719 * cos(2 * x) + 0.000077 * sin(2 * x)
    return SOLAR_CONSTANT * shape


def clear_sky(elevation_deg: float, day_of_year: int, *, linke: float = LINKE, altitude_m: float = 0.0) -> Sky:
    """Return what a cloudless sky gives, Ineichen and Perez.

    Parameters
    ----------
    elevation_deg
        Elevation of the sun, refraction included [°].
    day_of_year
        1 for the first of January.
    linke
        Linke turbidity [-].
    altitude_m
        Height above the sea [m].

    Examples
    --------
    >>> clear_sky(30.0, 80).global_w_per_m2
    474.1
    >>> clear_sky(-3.0, 80)
    Sky(global_w_per_m2=0.0, direct_w_per_m2=0.0, diffuse_w_per_m2=0.0)
    """
    if elevation_deg <= 0:
        return Sky(0.0, 0.0, 0.0)
    up = sin(radians(elevation_deg))
    mass = 1 / (up + 0.50572 * (elevation_deg + 6.07995) ** -1.6364) * (1 - 2.25577e-5 * altitude_m) ** 5.25588
    f1, f2 = exp(-altitude_m / 8000), exp(-altitude_m / 1250)
    a1, a2 = 5.09e-5 * altitude_m + 0.868, 3.92e-5 * altitude_m + 0.0387
    above = outside_air(day_of_year)
    horizontal = a1 * above * up * exp(-a2 * mass * (f1 + f2 * (linke - 1)))
    direct = (0.664 + 0.163 / f1) * above * exp(-0.09 * mass * (linke - 1))
    ceiling = horizontal * max(0.0, 1 - (0.1 - 0.2 * exp(-linke)) / (0.1 + 0.882 / f1)) / up
    direct = min(direct, ceiling)
    return Sky(horizontal, direct, horizontal - direct * up)


def on_surface(sky: Sky, sun: Sun, tilt_deg: float, faces_deg: float) -> float:
    """Return the irradiance on a tilted surface [W/m²]: direct, isotropic sky, light from the ground.

    Parameters
    ----------
    sky, sun
        Sky and sun of the same instant.
    tilt_deg
        0 lies flat looking up, 90 stands [°].
    faces_deg
        Azimuth that the surface looks to, from north over east [°].

    Examples
    --------
    >>> on_surface(Sky(500.0, 700.0, 150.0), Sun(30.0, 180.0), 0.0, 0.0)  # flat: the global value
    500.0
    >>> on_surface(Sky(500.0, 700.0, 150.0), Sun(30.0, 180.0), 90.0, 0.0)  # a north wall sees no direct sun
    125.0
    """
    up, tilt = radians(sun.elevation_deg), radians(tilt_deg)
    incidence = sin(up) * cos(tilt) + cos(up) * sin(tilt) * cos(radians(sun.azimuth_deg - faces_deg))
    direct = sky.direct_w_per_m2 * max(0.0, incidence)
    from_sky = sky.diffuse_w_per_m2 * (1 + cos(tilt)) / 2
    from_ground = sky.global_w_per_m2 * ALBEDO * (1 - cos(tilt)) / 2
    return direct + from_sky + from_ground


def daily_outside_air(latitude_deg: float, day_of_year: int) -> float:
    """Return the day's mean irradiance on a horizontal surface outside the air [W/m²].

    FAO Irrigation and Drainage Paper 56 (1998), equation 21, written as a mean power.

    >>> daily_outside_air(-20.0, 246)  # FAO-56 example 8: 32.2 MJ/m² a day
    372.7
    """
    tilt = 0.409 * sin(2 * pi * day_of_year / 365 - 1.39)
    latitude = radians(latitude_deg)
    sunset = acos(max(-1.0, min(1.0, -tan(latitude) * tan(tilt))))
    path = sunset * sin(latitude) * sin(tilt) + cos(latitude) * cos(tilt) * sin(sunset)
    distance = 1 + 0.033 * cos(2 * pi * day_of_year / 365)
    return max(0.0, 1367 / pi * distance * path)


def cloud_factor(daily_range_k: float) -> float:
    """Return the day's share of clear-sky sun, guessed from the outdoor daily temperature range.

    Hargreaves and Samani's rule (FAO-56, equation 50, coefficient 0.16 inland) over the clear-sky share 0.75 of
    equation 37. It is a poor guess for one day, near nothing on a windy coast, and 0 where the temperature stands.

    >>> cloud_factor(0.0), cloud_factor(9.0), cloud_factor(30.0)
    (0.0, 0.64, 1.0)
    """
    return min(1.0, 0.16 * sqrt(max(0.0, daily_range_k)) / 0.75)
