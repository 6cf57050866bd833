"""Limits of a house's numbers, wide enough for any real one: what they refuse is a slip of the pen, not an opinion."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

Celsius = Annotated[float, Meta(ge=-60, le=60)]
RoomCelsius = Annotated[float, Meta(ge=1, le=35)]
Area = Annotated[float, Meta(gt=0, le=5000)]
Length = Annotated[float, Meta(gt=0, le=500)]
UValue = Annotated[float, Meta(gt=0, le=7)]
Share = Annotated[float, Meta(ge=0, le=1)]
Conductivity = Annotated[float, Meta(gt=0, le=500)]
Degrees = Annotated[float, Meta(ge=0, lt=360)]
Watts = Annotated[float, Meta(gt=0, le=30_000)]
Volts = Annotated[float, Meta(ge=90, le=480)]
Amps = Annotated[float, Meta(gt=0, le=400)]
Year = Annotated[int, Meta(ge=1000, le=2100, description="year in which the fabric was built, or rebuilt to new rules")]
MonthDegreeDays = Annotated[float, Meta(ge=0, le=2000, description="of a month, January first, base 15.5 °C")]
