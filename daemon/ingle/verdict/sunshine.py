"""The sun on a room's windows, day by day: the shape of it; how much comes in is for the readings to say.

With measured irradiance the clear-sky figure of each window's facing is scaled by measured over clear horizontal sun;
without it by a guess from the outdoor daily range; without a place on the map there is no sun term at all and the
room's gains carry it.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final

import numpy as np

from ingle.model.envelope import Element
from ingle.model.house import House, Zone
from ingle.physics.sun import clear_sky, cloud_factor, on_surface, sun_at
from ingle.verdict.balance import Balance
from ingle.verdict.series import Floats

#: Slope of a rooflight whose slope nobody gave [°]; common practice.
ROOFLIGHT_TILT_DEG: Final = 40.0
#: Energy transmittance of ordinary double glazing [-], EN 410 practice, and the share a frame takes (ISO 13790: 0.3).
G_VALUE: Final = 0.63
FRAME_SHARE: Final = 0.3
#: Dirt, curtains, reveals and slanting light leave about this much of it [-]; common practice.
LEFT_OVER: Final = 0.6
#: Sun that comes through the opaque fabric or unlisted glass [m² per m² floor]: not known, so only its spread.
UNLISTED_M2_PER_M2: Final = 0.03


def glass_m2(element: Element) -> float:
    """Return a window's area for sun: area times transmittance times glazed share [m²]; 0 for other elements."""
    if element.kind not in {"window", "rooflight"} or element.beyond != "outside":
        return 0.0
    area = element.area_m2
    if area is None and element.width_m is not None and element.height_m is not None:
        area = element.width_m * element.height_m
    g = G_VALUE if element.g_value is None else element.g_value
    frame = FRAME_SHARE if element.frame_share is None else element.frame_share
    return (area or 0.0) * g * (1 - frame) * LEFT_OVER


class Sunshine:
    """Daily mean sun on surfaces of a house; clear-sky days are worked out once for each facing."""

    def __init__(self, house: House, balance: Balance) -> None:
        self._balance = balance
        self._place = (house.site.latitude_deg, house.site.longitude_deg)
        self.known = None not in self._place
        self.measured = bool(np.isfinite(balance.sun_w_per_m2).any())
        self._clear = self._clear_days() if self.known and balance.days else None

    def of(self, zone: Zone) -> Floats:
        """Return the sun that a room's glass lets in by the survey [W], zeros where nothing is known of it.

        Without listed glass: the horizontal sun [W/m²] times 1 m², for a coefficient that starts from nothing.
        """
        windows = [(element, glass_m2(element)) for element in zone.elements]
        windows = [(element, area) for element, area in windows if area > 0]
        if not windows:
            return self._share() * self._clear_on(0.0, None) if self._clear is not None else self._horizontal()
        if self._clear is None:
            return self._horizontal() * sum(area for _, area in windows) * 0.7  # a wall sees less than the sky does
        total = np.zeros(self._balance.days)
        for element, area in windows:
            tilt = ROOFLIGHT_TILT_DEG if element.kind == "rooflight" else 90.0
            total += area * self._clear_on(tilt, element.faces_deg)
        return total * self._share()

    def _horizontal(self) -> Floats:
        sun = self._balance.sun_w_per_m2
        if not self.measured:
            return np.zeros(self._balance.days)
        return np.asarray(np.where(np.isfinite(sun), sun, np.nanmean(sun)))

    def _share(self) -> Floats:
        """Return measured or guessed sun as a share of a clear sky's."""
        swing = self._balance.outdoor_range_k
        guess = np.array([cloud_factor(float(each)) if np.isfinite(each) else np.nan for each in swing])
        if self.measured and self._clear is not None:
            clear = self._clear_on(0.0, None)
            share = np.where(clear > 5.0, self._balance.sun_w_per_m2 / np.maximum(clear, 5.0), guess)
            guess = np.where(np.isfinite(share), np.minimum(share, 1.5), guess)
        known = guess[np.isfinite(guess)]
        return np.asarray(np.where(np.isfinite(guess), guess, known.mean() if len(known) else 0.0))

    def _clear_days(self) -> dict[tuple[float, float | None], Floats]:
        self._instants = [
            [datetime.fromtimestamp(start + hour * 3600.0 + 1800.0, UTC) for hour in range(24)]
            for start in self._balance.edges_s[:-1]
        ]
        latitude, longitude = self._place
        self._skies = [
            [
                (sun, clear_sky(sun.elevation_deg, when.timetuple().tm_yday))
                for when in day
                for sun in [sun_at(when, latitude or 0.0, longitude or 0.0)]
                if sun.elevation_deg > 0
            ]
            for day in self._instants
        ]
        return {}

    def _clear_on(self, tilt: float, faces: float | None) -> Floats:
        """Return the daily mean of a clear sky on a surface [W/m²]; a facing nobody gave is the mean of four."""
        if self._clear is None:
            return np.zeros(self._balance.days)
        if (tilt, faces) not in self._clear:
            facings = (0.0, 90.0, 180.0, 270.0) if faces is None and tilt > 0 else (faces or 0.0,)
            days = [
                sum(on_surface(sky, sun, tilt, facing) for sun, sky in day for facing in facings) / 24 / len(facings)
                for day in self._skies
            ]
            self._clear[tilt, faces] = np.array(days)
        return self._clear[tilt, faces]
