"""The weather at Haverlock: a function of time and a seed, so that live days follow history without a seam.

It is a raw late autumn whatever the calendar says, for a demo in July must heat too. Each quantity is a sum of waves
whose periods share no factor; every figure here is invented.
"""

from __future__ import annotations

from math import exp, pi, sin
from random import Random

from ingle.demo.sky import Light, Sun, light, sun_at

#: Mean outdoor temperature, which the ground under the house follows [°C].
MEAN_C = 5.0
#: Mean wind [m/s].
MEAN_WIND_M_PER_S = 4.5
DAY_S = 86_400.0
#: The noon sun never counts for more than one at 22° height, as in November at Haverlock.
SIN_WINTER_NOON = 0.37


class _Waves:
    """A sum of sines with random phases; ``waves`` holds (period [d], amplitude)."""

    def __init__(self, chance: Random, waves: tuple[tuple[float, float], ...]) -> None:
        self._waves = tuple(
            (2 * pi / (period_d * DAY_S), amplitude, chance.uniform(0, 2 * pi)) for period_d, amplitude in waves
        )

    def at(self, t_s: float) -> float:
        return sum(amplitude * sin(rate * t_s + phase) for rate, amplitude, phase in self._waves)


class Weather:
    """Outdoor temperature, wind, cloud, sun and the voltage in the street, at any Unix time."""

    def __init__(self, seed: int, latitude_deg: float, longitude_deg: float) -> None:
        chance = Random(f"weather {seed}")
        self._warmth = _Waves(chance, ((2.3, 1.0), (3.7, 1.3), (6.1, 1.5), (11.3, 1.0), (0.31, 0.3)))
        self._cloud = _Waves(chance, ((0.43, 0.7), (1.3, 0.9), (2.9, 1.0), (5.3, 0.8)))
        self._wind = _Waves(chance, ((0.37, 0.15), (1.1, 0.2), (2.6, 0.3), (4.7, 0.25)))
        self._mains = _Waves(chance, ((0.009, 0.6), (0.047, 0.8), (0.5, 1.0), (1.0, 1.4)))
        self._latitude_deg = latitude_deg
        self._longitude_deg = longitude_deg

    def outdoor_c(self, t_s: float) -> float:
        """Return the air temperature outside; warmest at half past two [°C]."""
        solar_s = t_s + self._longitude_deg * 240
        return MEAN_C + self._warmth.at(t_s) + 1.8 * sin(2 * pi * (solar_s / DAY_S - 8.5 / 24))

    def cloud(self, t_s: float) -> float:
        """Return the share of sky that is covered, mostly more than half."""
        return 1 / (1 + exp(-(0.9 + 1.3 * self._cloud.at(t_s))))

    def wind_m_per_s(self, t_s: float) -> float:
        """Return the wind [m/s]."""
        return MEAN_WIND_M_PER_S * 0.95 * exp(self._wind.at(t_s))

    def voltage_v(self, t_s: float) -> float:
        """Return the voltage at the unloaded supply [V]."""
        return 233.0 + self._mains.at(t_s)

    def sun(self, t_s: float) -> tuple[Sun, Light]:
        """Return the sun's place and the light on the horizontal, dimmed outside the cold months."""
        place = sun_at(t_s, self._latitude_deg, self._longitude_deg)
        noon_s = (t_s // DAY_S + 0.5) * DAY_S - self._longitude_deg * 240
        noon = sun_at(noon_s, self._latitude_deg, self._longitude_deg).sin_height
        dimmed = min(1.0, SIN_WINTER_NOON / max(noon, 0.01))
        bright, diffuse = light(place, self.cloud(t_s))
        return place, Light(bright * dimmed, diffuse * dimmed)
