"""Costs as every face shows them: money as decimal text in major units, null where it cannot be known."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from msgspec import Meta, field

from ingle.model.base import Result
from ingle.model.readings import Quality

Instant = Annotated[datetime, Meta(tz=True)]
Money = Annotated[str, Meta(description="an amount in the currency's major unit, such as 430.06")]


class RateUse(Result, frozen=True, kw_only=True):
    """What was used at one unit rate, before tax."""

    per_kwh: Money
    energy_wh: float
    money: Money


class HeaterCost(Result, frozen=True, kw_only=True):
    """What a heater's energy cost while it stood in a zone."""

    heater: str
    energy_wh: float | None
    units: Money | None
    tax: Money | None
    total: Money | None
    quality: Quality | None


class ZoneCost(Result, frozen=True, kw_only=True):
    """What a zone's energy cost; standing charges are the house's and not in it."""

    zone: str
    name: str
    energy_wh: float | None
    units: Money | None
    tax: Money | None
    total: Money | None
    quality: Quality | None
    rates: tuple[RateUse, ...]
    heaters: tuple[HeaterCost, ...]


class DayCost(Result, frozen=True, kw_only=True):
    """What a local day's energy cost, with its standing charge and tax."""

    date: str
    energy_wh: float | None
    total: Money | None
    quality: Quality | None


class BookingCost(Result, frozen=True, kw_only=True):
    """What a booking's energy cost."""

    booking: str
    zone: str
    energy_wh: float | None
    total: Money | None


class Costs(Result, frozen=True, kw_only=True):
    """What the heaters' energy cost over a span: units + standing + tax = total, to the hundredth.

    ``days`` counts standing charges; a day begun in part counts in part. Each zone's, heater's and day's amount is
    rounded by itself, so that their sum may differ from the total by hundredths.
    """

    start: Instant = field(name="from")
    end: Instant = field(name="to")
    currency: str | None
    days: float
    energy_wh: float | None
    units: Money | None
    standing: Money | None
    tax: Money | None
    total: Money | None
    quality: Quality | None
    rates: tuple[RateUse, ...]
    zones: tuple[ZoneCost, ...]
    by_day: tuple[DayCost, ...]
    booked: tuple[BookingCost, ...]
    missing: tuple[str, ...]
