"""How one kind of open firmware speaks MQTT: where it reports, how its payloads become values, where orders go."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

from ingle.model.base import Id, Name, Value

Can = Literal["setpoint", "limit", "switch", "lock", "energy", "power", "temperature"]
#: The measured values that a profile can fill.
HeardValue = Literal["power_w", "energy_wh", "voltage_v", "temp_c", "setpoint_c", "opening", "fault", "t", "seq"]
#: The parts of an order that a profile can send. ``on`` is whether heat is allowed at all, for switches.
SaidValue = Literal["setpoint_c", "limit_w", "locked", "fallback_c", "valid_for_s", "on"]
Template = Annotated[
    str,
    Meta(
        pattern=r"^[^+#\x00]*\{heater\}[^+#\x00]*$",
        max_length=200,
        description="a topic with {heater} in it and no wildcard",
    ),
]
Pointer = Annotated[str, Meta(pattern=r"^(/[^/]*)+$", max_length=100, description="a JSON Pointer (RFC 6901)")]


class Heard(Value, frozen=True, kw_only=True):
    """One value that a firmware reports: its topic, where in the payload it stands, and how it becomes ours."""

    topic: Template
    value: HeardValue
    pointer: Pointer | None = None
    scale: Annotated[float, Meta(gt=0, le=1e9)] = 1.0
    words: dict[str, bool | float | str] = {}


class Said(Value, frozen=True, kw_only=True):
    """One part of an order: its topic, where in the payload it stands, and how ours becomes theirs."""

    topic: Template
    value: SaidValue
    pointer: Pointer | None = None
    scale: Annotated[float, Meta(gt=0, le=1e9)] = 1.0
    whole: bool = False
    words: dict[str, str] = {}
    retain: bool = True


class Profile(Value, frozen=True, kw_only=True):
    """A firmware. ``expires_s`` is how long it obeys an order by itself; absent, it obeys for ever."""

    id: Id
    name: Name
    can: tuple[Can, ...]
    expires_s: Annotated[float, Meta(gt=0, le=86_400)] | None = None
    hears: tuple[Heard, ...] = ()
    says: tuple[Said, ...] = ()
    link: Heard | None = None


#: ingle's own way of speaking, which needs no mapping: whole JSON objects on the topics of ``mqtt/topics``.
PLAIN = Profile(
    id="plain",
    name="ingle's own topics",
    can=("setpoint", "limit", "lock", "energy", "power", "temperature"),
    expires_s=1800.0,
)
