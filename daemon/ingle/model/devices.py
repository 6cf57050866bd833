"""What is fitted in a house: heaters and their plates, circuits, radio bridges, sensors, openings, meters."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

from ingle.model.base import Id, Name, Value
from ingle.model.limits import Amps, Volts, Watts


class Heater(Value, frozen=True, kw_only=True):
    """One appliance and its plate."""

    id: Id
    name: Name | None = None
    rated_w: Watts
    rated_v: Volts = 230.0
    kind: Literal["direct", "storage", "underfloor"] = "direct"
    element: Literal["resistive", "ptc"] = "resistive"
    profile: Id = "plain"
    automatic: bool | None = None
    portable: bool = False
    gateway: Id | None = None
    circuit: Id | None = None
    drives: tuple[Literal["setpoint", "limit", "switch"], ...] = ()
    ip: Annotated[str, Meta(pattern=r"^IP[0-9X][0-9X][A-D]?$", description="IEC 60529, such as IP24")] | None = None
    bath_zone: Annotated[int, Meta(ge=0, le=2)] | None = None
    connection: Literal["plug", "spur", "wired"] | None = None
    clearance_m: (
        Annotated[float, Meta(ge=0, le=20, description="to the nearest cloth, furniture or bed, as measured")] | None
    ) = None
    below_socket: bool = False
    standby_w: Annotated[float, Meta(ge=0, le=50, description="drawn with the heat off")] | None = None
    own_thermostat: bool = False
    min_on_s: Annotated[float, Meta(ge=0, le=3600)] = 60.0
    min_off_s: Annotated[float, Meta(ge=0, le=3600)] = 60.0
    interval_s: Annotated[float, Meta(gt=0, le=86400)] | None = None

    @property
    def switched_automatically(self) -> bool:
        """Whether ingle may drive it: as its plate's loader said, by default true unless it is portable."""
        return (not self.portable) if self.automatic is None else self.automatic


class Circuit(Value, frozen=True, kw_only=True):
    """A final circuit that heaters hang on."""

    id: Id
    kind: Literal["ring", "radial", "spur", "plug", "other"] = "radial"
    rated_a: Amps
    cap_a: Amps | None = None
    rcd_ma: Annotated[float, Meta(gt=0, le=1000)] | None = None
    phase: Annotated[int, Meta(ge=1, le=3)] = 1


class Gateway(Value, frozen=True, kw_only=True):
    """A radio bridge that some heaters sit behind."""

    id: Id
    name: Name | None = None
    heaters_max: Annotated[int, Meta(ge=1, le=1000)] | None = None
    frames_per_h: Annotated[float, Meta(gt=0, le=100_000)] | None = None


class Sensor(Value, frozen=True, kw_only=True):
    """Something that measures, in a zone or outdoors."""

    id: Id
    zone: Id
    measures: Literal["temperature", "humidity", "opening", "irradiance", "wind", "presence"] = "temperature"
    offset_k: Annotated[float, Meta(ge=-10, le=10)] = 0.0
    interval_s: Annotated[float, Meta(gt=0, le=86400)] | None = None


class Opening(Value, frozen=True, kw_only=True):
    """A window or door that can stand open, and the contact that tells."""

    id: Id
    zone: Id
    element: str | None = None
    sensor: Id | None = None


class Meter(Value, frozen=True, kw_only=True):
    """A meter that ingle can read over MQTT."""

    id: Id
    measures: Literal["supply", "other"] = "supply"
