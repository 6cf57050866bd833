"""Carbon of electricity: factors as somebody published them, by year, and what a span's energy comes to by them."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from msgspec import Meta, field

from ingle.model.base import Result, Value
from ingle.model.readings import Quality

Instant = Annotated[datetime, Meta(tz=True)]


class Factor(Value, frozen=True, kw_only=True):
    """What a kWh of one year carries [kg CO2e/kWh]."""

    year: Annotated[int, Meta(ge=1990, le=2100)]
    kg_per_kwh: Annotated[float, Meta(ge=0, le=3, description="kg of CO2 equivalent for each kWh used")]


class Factors(Value, frozen=True, kw_only=True):
    """A dated list of factors: whose, of where, and where it was published."""

    name: Annotated[str, Meta(min_length=1, max_length=120, description="whose factors these are")]
    region: Annotated[str, Meta(min_length=1, max_length=80, description="of which grid or country")]
    source: Annotated[str, Meta(max_length=300, description="where they were published")] = ""
    factors: Annotated[tuple[Factor, ...], Meta(min_length=1)] = field(name="factor")


class YearCarbon(Result, frozen=True, kw_only=True):
    """A year's energy, its factor and what they come to; null where the file has no factor for the year."""

    year: int
    energy_wh: float | None
    kg_per_kwh: float | None
    kg: float | None


class ZoneCarbon(Result, frozen=True, kw_only=True):
    """What a zone's energy comes to [kg CO2e]."""

    zone: str
    name: str
    energy_wh: float | None
    kg: float | None


class Carbon(Result, frozen=True, kw_only=True):
    """What a span's energy comes to, with the factors' name and years; all null without a factor file."""

    start: Instant = field(name="from")
    end: Instant = field(name="to")
    name: str | None
    region: str | None
    source: str | None
    energy_wh: float | None
    kg: float | None
    quality: Quality | None
    years: tuple[YearCarbon, ...]
    zones: tuple[ZoneCarbon, ...]
    missing: tuple[str, ...]
