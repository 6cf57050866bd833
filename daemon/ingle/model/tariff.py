"""What a supplier charges for electricity, and from when on."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta, field

from ingle.model.base import ClockTime, Id, Value
from ingle.model.week import Weekday


class Rate(Value, frozen=True, kw_only=True):
    """A unit rate, always or between two clock times, in the tariff's currency.

    ``days`` are those on which a window begins, or on which a rate without one holds; none means every day.
    """

    per_kwh: Annotated[float, Meta(ge=-10, le=100)]
    start: ClockTime | None = field(name="from", default=None)
    end: ClockTime | None = field(name="to", default=None)
    clock: Literal["local", "utc"] = "local"
    days: tuple[Weekday, ...] = ()


class Tariff(Value, frozen=True, kw_only=True):
    """Prices from a date on.

    ``series`` names prices that change by the half-hour and are given apart; ``rates`` hold where it has none.
    """

    start: Annotated[str, Meta(pattern=r"^\d{4}-\d\d-\d\d$", description="date, YYYY-MM-DD")] = field(name="from")
    currency: Annotated[str, Meta(pattern=r"^[A-Z]{3}$", description="ISO 4217 code")]
    tax_percent: Annotated[float, Meta(ge=0, le=100)] = 0.0
    standing_per_day: Annotated[float, Meta(ge=0, le=100)] = 0.0
    rates: Annotated[tuple[Rate, ...], Meta(min_length=1)]
    series: Id | None = None
