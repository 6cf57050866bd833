"""How much water a room's air held lately, and how damp its coldest surfaces would be at another temperature.

Heating less does not take water out of the air: the vapour stays, and surfaces get colder. So a way of running a room
that saves energy may cost a wall. Reckoned with the mean temperature of the way, as ISO 13788 does with means, and with
surfaces as cold as a dwelling should have; a corner behind a cupboard is colder.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Final, NamedTuple

from ingle.model.house import House, Zone
from ingle.model.instants import from_ms, to_ms
from ingle.model.readings import Source
from ingle.physics.moisture import (
    DWELLING_F_RSI,
    MOULD_PERCENT,
    saturation_pressure_pa,
    surface_c,
    vapour_pressure_pa,
)
from ingle.store.moments import mean_value

#: What counts as lately [ms].
_LATELY_MS: Final = 7 * 86_400_000


class Damp(NamedTuple):
    """A room's mean humidity and temperature over some days [%, °C]."""

    humidity_percent: float
    room_c: float
    start: datetime
    end: datetime

    def at_surface_percent(self, room_c: float, outdoor_c: float) -> float:
        """Return the humidity at cold surfaces, were the room at another temperature [%].

        >>> week = datetime(2026, 1, 5), datetime(2026, 1, 12)
        >>> round(Damp(50.0, 20.0, *week).at_surface_percent(20.0, 0.0), 1)
        68.6
        """
        vapour_pa = vapour_pressure_pa(self.room_c, self.humidity_percent)
        return 100 * vapour_pa / saturation_pressure_pa(surface_c(room_c, outdoor_c, DWELLING_F_RSI))


def lately_damp(conn: sqlite3.Connection, house: House, zone: Zone, now: datetime) -> Damp | None:
    """Return how damp a zone was in the last week, None where nothing there measures humidity and temperature."""
    end_ms = to_ms(now)
    own = [sensor for sensor in house.sensors if sensor.zone == zone.id]
    humidity = _mean(
        conn, [(Source("sensor", s.id), 0.0) for s in own if s.measures == "humidity"], "humidity_percent", end_ms
    )
    sensors = [(Source("sensor", s.id), s.offset_k) for s in own if s.measures == "temperature"]
    heaters = [(Source("heater", heater.id), 0.0) for heater in zone.heaters]
    temp_c = _mean(conn, sensors, "temp_c", end_ms)
    if temp_c is None:
        temp_c = _mean(conn, heaters, "temp_c", end_ms)
    if humidity is None or temp_c is None:
        return None
    return Damp(humidity, temp_c, from_ms(end_ms - _LATELY_MS), now)


def _mean(conn: sqlite3.Connection, sources: Iterable[tuple[Source, float]], name: str, end_ms: int) -> float | None:
    found = [
        mean + offset
        for source, offset in sources
        if (mean := mean_value(conn, source, name, end_ms - _LATELY_MS, end_ms)) is not None
    ]
    return sum(found) / len(found) if found else None


def damp_sentence(damp: Damp, at_surfaces: Sequence[float]) -> str:
    """Return what a room's moisture means for the ways to run it."""
    low, high = min(at_surfaces), max(at_surfaces)
    air = f"Its air held {damp.humidity_percent:.0f} % at {damp.room_c:.1f} °C on the last week's average"
    surfaces = f"at surfaces of f_Rsi {DWELLING_F_RSI:g} (BRE IP 1/06) that makes {low:.0f} to {high:.0f} %"
    mould = f"{MOULD_PERCENT:g} % above which mould may grow (ISO 13788:2012, 5)"
    end = f"no case comes to the {mould}" if high <= MOULD_PERCENT else f"that passes the {mould} in some case"
    return f"{air}; the water is taken to stay, and {surfaces}: {end}."
