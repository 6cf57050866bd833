"""Where the sun stands and what it sends through a window, for the simulated house only.

Written apart from ``ingle.physics``, which the verdict uses: a simulator that shared its formulas with the estimator
would agree with it by construction.
"""

from __future__ import annotations

from math import acos, cos, degrees, exp, pi, radians, sin, sqrt
from typing import NamedTuple

#: Share of light that ground and water before a window send back (common practice: 0.2).
ALBEDO = 0.2


class Sun(NamedTuple):
    """The sun's place: sine of its height over the horizon, and its bearing clockwise from north [°]."""

    sin_height: float
    bearing_deg: float


class Light(NamedTuple):
    """Light on the horizontal: all of it, and the part that comes from the whole sky [W/m²]."""

    global_w_per_m2: float
    diffuse_w_per_m2: float


def sun_at(t_s: float, latitude_deg: float, longitude_deg: float) -> Sun:
    """Return where the sun stands at a Unix time.

    Declination after Cooper (1969), equation of time after Spencer (1971) in the short form common in solar
    engineering handbooks (Duffie & Beckman, "Solar Engineering of Thermal Processes", ch. 1). Good to about 1°.

    >>> from math import asin
    >>> round(degrees(asin(sun_at(1_782_043_200, 50.4, 0.0).sin_height)))  # midsummer noon: 90 - 50.4 + 23.4
    63
    """
    day = (t_s / 86_400 - 10_957 + 0.5) % 365.25 + 1  # 2000-01-01 is day 10957 since 1970
    tilt = radians(23.45) * sin(2 * pi * (284 + day) / 365)
    b = 2 * pi * (day - 81) / 364
    solar_h = (t_s % 86_400) / 3600 + longitude_deg / 15 + (9.87 * sin(2 * b) - 7.53 * cos(b) - 1.5 * sin(b)) / 60
    hour = radians(15 * (solar_h - 12))
    place = radians(latitude_deg)
    height = sin(place) * sin(tilt) + cos(place) * cos(tilt) * cos(hour)
    flat = sqrt(max(1e-12, 1 - height * height))
    from_north = (sin(tilt) - sin(place) * height) / (cos(place) * flat)
    bearing = degrees(acos(max(-1.0, min(1.0, from_north))))
    return Sun(height, bearing if sin(hour) < 0 else 360 - bearing)


def light(sun: Sun, cloud: float) -> Light:
    """Return the light on the horizontal under a share of cloud.

    Clear sky after Haurwitz (1945): 1098 sin h exp(-0.057 / sin h). Cloud after Kasten & Czeplak (1980):
    G = G0 (1 - 0.75 N^3.4), diffuse share 0.3 + 0.7 N².

    >>> light(Sun(0.5, 180.0), 0.0).global_w_per_m2
    489.8
    >>> light(Sun(-0.1, 0.0), 0.0)
    Light(global_w_per_m2=0.0, diffuse_w_per_m2=0.0)
    """
    if sun.sin_height <= 0.01:
        return Light(0.0, 0.0)
    clear = 1098 * sun.sin_height * exp(-0.057 / sun.sin_height)
    total: float = clear * (1 - 0.75 * cloud**3.4)
    return Light(total, total * (0.3 + 0.7 * cloud * cloud))


def on_wall(sun: Sun, sky: Light, faces_deg: float) -> float:
    """Return the light on an upright surface: beam by angle, half the sky, half the lit ground [W/m²].

    Isotropic sky (Liu & Jordan 1963).

    >>> on_wall(Sun(0.5, 180.0), Light(500.0, 100.0), 180.0)  # 400/0.5 x cos 30° + 50 + 50
    792.8
    >>> on_wall(Sun(0.5, 180.0), Light(500.0, 100.0), 0.0)
    100.0
    """
    spread = 0.5 * sky.diffuse_w_per_m2 + 0.5 * ALBEDO * sky.global_w_per_m2
    if sun.sin_height <= 0.05:  # within 3° of the horizon the quotient below means nothing, and hills stand before it
        return spread
    facing = sqrt(1 - sun.sin_height * sun.sin_height) * cos(radians(sun.bearing_deg - faces_deg))
    beam = (sky.global_w_per_m2 - sky.diffuse_w_per_m2) / sun.sin_height * max(0.0, facing)
    return spread + beam
