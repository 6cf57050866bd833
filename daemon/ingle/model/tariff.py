"""What a supplier charges for electricity, and from when on."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta, field

from ingle.model.base import ClockTime, Value


class Rate(Value, frozen=True, kw_only=True):
    """A unit rate, always or between two clock times, in the tariff's currency."""

    per_kwh: Annotated[float, Meta(ge=-10, le=100)]
    start: ClockTime | None = field(name="from", default=None)
    end: ClockTime | None = field(name="to", default=None)
    clock: Literal["local", "utc"] = "local"


class Tariff(Value, frozen=True, kw_only=True):
    """Prices from a date on."""

    start: Annotated[str, Meta(pattern=r"^\d{4}-\d\d-\d\d$", description="date, YYYY-MM-DD")] = field(name="from")
    currency: Annotated[str, Meta(pattern=r"^[A-Z]{3}$", description="ISO 4217 code")]
    tax_percent: Annotated[float, Meta(ge=0, le=100)] = 0.0
    standing_per_day: Annotated[float, Meta(ge=0, le=100)] = 0.0
    rates: Annotated[tuple[Rate, ...], Meta(min_length=1)]
