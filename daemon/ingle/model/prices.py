"""Half-hourly prices as they are given and shown."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from msgspec import Meta, field

from ingle.model.base import Id, Result, Value
from ingle.model.costs import Money

Instant = Annotated[datetime, Meta(tz=True)]


class PriceGiven(Value, frozen=True, kw_only=True):
    """A unit price before tax, in the tariff's currency, from an instant up to another."""

    start: Instant = field(name="from")
    end: Instant = field(name="to")
    per_kwh: Annotated[float, Meta(ge=-10, le=100)]


class PricesGiven(Value, frozen=True, kw_only=True):
    """Prices of a series, which tariffs name by ``series``; what they cover of those stored before is replaced."""

    series: Id
    prices: Annotated[tuple[PriceGiven, ...], Meta(min_length=1, max_length=1000)]


class PricesTaken(Result, frozen=True, kw_only=True):
    """What became of prices; ``in_use``: whether a tariff of the house names the series."""

    series: str
    stored: int
    start: Instant = field(name="from")
    end: Instant = field(name="to")
    in_use: bool


class PriceShown(Result, frozen=True, kw_only=True):
    """A unit price before tax."""

    start: Instant = field(name="from")
    end: Instant = field(name="to")
    per_kwh: Money


class PricesShown(Result, frozen=True, kw_only=True):
    """The prices of a series that touch a span, in time order."""

    series: str
    start: Instant = field(name="from")
    end: Instant = field(name="to")
    prices: tuple[PriceShown, ...]
