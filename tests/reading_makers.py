"""Readings for tests, given in seconds from a fixed instant."""

from __future__ import annotations

from typing import Any

from ingle.model.readings import Reading, Source

#: 2026-01-12 06:00 UTC, a whole quarter-hour [ms].
START_MS = 1_768_197_600_000
LOFT = Source("heater", "loft-1")
HALL = Source("heater", "hall-1")


def reading(at_s: float, source: Source = LOFT, *, arrived_s: float | None = None, **values: Any) -> Reading:
    """Return a reading of some values, arrived a second after it was taken unless said otherwise."""
    t_ms = START_MS + round(at_s * 1000)
    arrived_ms = t_ms + 1000 if arrived_s is None else START_MS + round(arrived_s * 1000)
    return Reading(source=source, t_ms=t_ms, arrived_ms=arrived_ms, **values)
