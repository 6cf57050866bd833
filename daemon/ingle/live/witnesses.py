"""What was read of a zone, value by value with its time: the proof behind a decision."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from ingle.live.senses import OUTDOOR_ZONE, Senses
from ingle.model.explanation import Witness
from ingle.model.house import House, Zone
from ingle.model.readings import OUTDOOR, Source

UNITS: Final = {
    "temp_c": "°C",
    "setpoint_c": "°C",
    "power_w": "W",
    "voltage_v": "V",
    "humidity_percent": "%",
}
_OF_HEATER: Final = ("temp_c", "power_w", "setpoint_c", "voltage_v")
_OF_SENSOR: Final = {"temperature": "temp_c", "humidity": "humidity_percent"}


def asked(house: House, zone: Zone) -> Iterator[tuple[Source, str, float]]:
    """Yield what tells of a zone: a source, one of its values, and what to add to it."""
    for sensor in house.sensors:
        name = _OF_SENSOR.get(sensor.measures)
        if name is not None and sensor.zone in {zone.id, OUTDOOR_ZONE}:
            yield Source("sensor", sensor.id), name, sensor.offset_k if name == "temp_c" else 0.0
    for heater in zone.heaters:
        for name in _OF_HEATER:
            yield Source("heater", heater.id), name, 0.0
    yield OUTDOOR, "temp_c", 0.0


def witnesses(house: House, zone: Zone, senses: Senses, now: datetime) -> tuple[Witness, ...]:
    """Return what the running house knows of a zone, fresh or not; what was never heard is left out."""
    found = []
    for source, name, offset in asked(house, zone):
        shown = senses.shown(source, name, offset)
        if shown.value is None or shown.t is None:
            continue
        found.append(
            Witness(
                kind=source.kind,
                id=source.id,
                what=name,
                value=round(shown.value, 2),
                unit=UNITS[name],
                t=shown.t,
                age_s=max(0.0, round((now - shown.t).total_seconds(), 1)),
                quality="metered" if shown.fresh else "stale",
            )
        )
    return tuple(found)
