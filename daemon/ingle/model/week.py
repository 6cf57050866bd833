"""A zone's week: its levels of temperature, and the periods of each day at one of them."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta, field

from ingle.model.base import ClockTime, Id, Value
from ingle.model.limits import RoomCelsius

Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
WEEKDAYS: tuple[Weekday, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
LevelName = Literal["occupied", "setback", "vacant", "frost"]


class Levels(Value, frozen=True, kw_only=True):
    """The house's default temperature of each level [°C]."""

    occupied_c: RoomCelsius = 20.0
    setback_c: RoomCelsius = 16.0
    vacant_c: RoomCelsius = 12.0
    frost_c: Annotated[float, Meta(ge=4, le=15)] = 7.0


class ZoneLevels(Value, frozen=True, kw_only=True):
    """A zone's own temperatures; what is left out follows the house [°C]."""

    occupied_c: RoomCelsius | None = None
    setback_c: RoomCelsius | None = None
    vacant_c: RoomCelsius | None = None
    frost_c: Annotated[float, Meta(ge=4, le=15)] | None = None


class Period(Value, frozen=True, kw_only=True):
    """A stretch of a day at a level or a temperature; ``to`` at or before ``from`` ends next day."""

    start: ClockTime = field(name="from")
    end: ClockTime = field(name="to")
    level: LevelName | None = None
    temp_c: RoomCelsius | None = None


class Programme(Value, frozen=True, kw_only=True):
    """What a zone wants on some days of the week."""

    zone: Id
    days: Annotated[tuple[Weekday, ...], Meta(min_length=1)]
    periods: tuple[Period, ...] = ()
    otherwise: LevelName = "setback"
