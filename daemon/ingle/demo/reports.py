"""What the simulated heaters, sensors, weather station and meter report: as values for history, as JSON for the wire.

One place makes both, so that live readings follow history: same counters, same numbering, same power-up.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import exp

import msgspec

from ingle.demo.appliance import Appliance
from ingle.demo.site import Outdoors, Site
from ingle.model.devices import Sensor
from ingle.model.instants import from_ms
from ingle.model.readings import MEASURED, OUTDOOR, Reading, Source

#: Every simulated heater was powered up once, before history begins.
BOOT = "harbour-1"
#: Vapour that people and washing add to the outdoor air's own [Pa] (assumption).
INDOOR_VAPOUR_PA = 380.0
#: How damp the air of Haverlock is [share of saturation] (assumption).
OUTDOOR_HUMIDITY = 0.85


def heater_reading(site: Site, appliance: Appliance, t_s: float) -> Reading:
    """Return a heater's report, numbered next in its series."""
    appliance.seq += 1
    t_ms = round(t_s * 1000)
    return Reading(
        source=Source("heater", appliance.heater_id),
        t_ms=t_ms,
        arrived_ms=t_ms,
        boot=BOOT,
        seq=appliance.seq,
        power_w=round(appliance.power_w, 1),
        energy_wh=round(appliance.energy_wh, 1),
        energy_is="metered",
        voltage_v=round(appliance.voltage_v, 1),
        temp_c=round(appliance.felt_c(site.rooms.air_c[appliance.room]), 2),
        setpoint_c=appliance.setpoint_c,
    )


def outdoor_reading(site: Site, t_s: float) -> Reading:
    """Return the weather station's report."""
    t_ms = round(t_s * 1000)
    return Reading(
        source=OUTDOOR,
        t_ms=t_ms,
        arrived_ms=t_ms,
        temp_c=round(site.outdoors.temp_c, 2),
        wind_m_per_s=round(site.outdoors.wind_m_per_s, 1),
        irradiance_w_per_m2=round(site.outdoors.irradiance_w_per_m2, 1),
    )


def meter_reading(site: Site, meter_id: str, t_s: float) -> Reading:
    """Return the supply meter's report."""
    t_ms = round(t_s * 1000)
    return Reading(
        source=Source("meter", meter_id),
        t_ms=t_ms,
        arrived_ms=t_ms,
        power_w=round(site.supply.power_w, 1),
        energy_wh=round(site.supply.energy_wh, 1),
        energy_is="metered",
        voltage_v=round(site.supply.voltage_v, 1),
    )


def sensor_reading(site: Site, sensor: Sensor, t_s: float) -> Reading | None:
    """Return a sensor's report, or None for a kind that is not simulated."""
    values = _sensed(site, sensor)
    if values is None:
        return None
    t_ms = round(t_s * 1000)
    return msgspec.structs.replace(Reading(source=Source("sensor", sensor.id), t_ms=t_ms, arrived_ms=t_ms), **values)


def _sensed(site: Site, sensor: Sensor) -> dict[str, float | bool] | None:
    outdoors = sensor.zone == OUTDOOR.id
    air_c = site.outdoors.temp_c if outdoors else site.air_c(sensor.zone)
    if sensor.measures == "temperature":
        return {"temp_c": round(air_c - sensor.offset_k, 1)}
    if sensor.measures == "humidity":
        return {"humidity_percent": round(humidity_percent(site.outdoors, air_c), 1)}
    if sensor.measures == "opening":
        return {"opening": False}
    return None


def humidity_percent(outdoors: Outdoors, air_c: float) -> float:
    """Return the relative humidity of a room that shares its vapour with outside and adds its own [%].

    >>> humidity_percent(Outdoors(temp_c=5.0), 20.0)
    48.0
    """
    vapour_pa = OUTDOOR_HUMIDITY * _saturation_pa(outdoors.temp_c) + INDOOR_VAPOUR_PA
    return min(100.0, 100 * vapour_pa / _saturation_pa(air_c))


def _saturation_pa(celsius: float) -> float:
    """Magnus formula over water, coefficients of ISO 13788:2012, annex E [Pa]."""
    return 610.5 * exp(17.269 * celsius / (237.3 + celsius))


def slow_readings(site: Site, t_s: float) -> Iterator[Reading]:
    """Yield what everything but the heaters reports, silent sensors included."""
    yield outdoor_reading(site, t_s)
    for meter in site.house.meters:
        yield meter_reading(site, meter.id, t_s)
    for sensor in site.house.sensors:
        reading = sensor_reading(site, sensor, t_s)
        if reading is not None:
            yield reading


def payload(reading: Reading) -> bytes:
    """Return a reading as the JSON that goes over the wire."""
    document: dict[str, object] = {"t": from_ms(reading.t_ms)}
    for name in ("boot", "seq", *MEASURED, "energy_is", "opening", "fault"):
        value = getattr(reading, name)
        if value is not None:
            document[name] = value
    return msgspec.json.encode(document)
