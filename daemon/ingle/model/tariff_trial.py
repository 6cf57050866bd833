"""The same use at other tariffs, as every face shows it."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from msgspec import Meta, field

from ingle.model.base import Result, Value
from ingle.model.costs import Money, RateUse
from ingle.model.readings import Quality
from ingle.model.tariff import Tariff

Instant = Annotated[datetime, Meta(tz=True)]
UseFrom = Literal["supply meter", "heaters"]


class TariffsTried(Value, frozen=True, kw_only=True):
    """Tariffs to try, as in a house file; their ``from`` does not matter."""

    tariffs: Annotated[tuple[Tariff, ...], Meta(min_length=1, max_length=8)] = field(name="tariff")


class AtTariff(Result, frozen=True, kw_only=True):
    """What the use of a span would have cost at a tariff, tax and standing charge included.

    ``number`` is its place among those tried, 0 the house's own. ``lowest_percent`` is the share of the use that fell
    at the tariff's lowest rate, ``lowest_needed_percent`` the share from which on it is cheaper than the house's own;
    null where the tariff has not two rates, or no share would do.
    """

    number: int
    rates: tuple[RateUse, ...]
    units: Money
    standing: Money
    tax: Money
    total: Money
    more: Money | None
    lowest_percent: float | None
    lowest_needed_percent: float | None
    sentence: str


class TariffTrial(Result, frozen=True, kw_only=True):
    """The use of a span at the house's own tariff and at others, the cheapest first."""

    start: Instant = field(name="from")
    end: Instant = field(name="to")
    currency: str
    use_from: UseFrom
    energy_wh: float
    quality: Quality | None
    tariffs: tuple[AtTariff, ...]
    sentence: str
    missing: tuple[str, ...]
