"""What heaters, sensors and meters report."""

from __future__ import annotations

from typing import Literal, NamedTuple

from msgspec import Struct

SourceKind = Literal["heater", "sensor", "outdoor", "meter"]
EnergyIs = Literal["metered", "computed"]
Quality = Literal["metered", "estimated", "filled", "stale"]


class Source(NamedTuple):
    """Who reported: a heater, a sensor, the outdoor station or a meter. The outdoor station's id is ``outdoor``."""

    kind: SourceKind
    id: str


OUTDOOR = Source("outdoor", "outdoor")


class Reading(Struct, frozen=True, kw_only=True, gc=False, omit_defaults=True):
    """One report of one source: any subset of the measured values, under the time they were taken.

    Units stand in the names. ``energy_wh`` is a cumulative counter. ``t_ms`` is the source's own time, or the time of
    arrival where it gave none; ``boot`` and ``seq`` number the reports of one power-up of the source.
    """

    source: Source
    t_ms: int
    arrived_ms: int
    boot: str | None = None
    seq: int | None = None
    power_w: float | None = None
    energy_wh: float | None = None
    energy_is: EnergyIs | None = None
    voltage_v: float | None = None
    temp_c: float | None = None
    setpoint_c: float | None = None
    humidity_percent: float | None = None
    irradiance_w_per_m2: float | None = None
    wind_m_per_s: float | None = None
    opening: bool | None = None
    fault: str | None = None
    retained: bool = False
    future: bool = False


#: The measured values of a reading that are numbers, in the order in which the store and exports write them.
MEASURED: tuple[str, ...] = (
    "power_w",
    "energy_wh",
    "voltage_v",
    "temp_c",
    "setpoint_c",
    "humidity_percent",
    "irradiance_w_per_m2",
    "wind_m_per_s",
)
