"""What electricity costs a room over its week: by the newest tariff, each quarter of an hour at its own rate."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Final
from zoneinfo import ZoneInfo

from ingle.design.week import QUARTERS, QUARTERS_A_DAY
from ingle.model.house import House
from ingle.model.tariff import Tariff
from ingle.model.ways import Band
from ingle.money import exact, rate_at, rounded, with_tax

#: A week in winter stands for the heating season: a window on UTC and one on the local clock are then the same in the
#: United Kingdom, and elsewhere lie as they do when most heat is used.
_MONDAY: Final = datetime(2026, 1, 5)  # noqa: DTZ001 - a wall-clock week; the house's zone is put on it


@dataclass(frozen=True, slots=True)
class Prices:
    """A tariff over a winter week, quarter by quarter, before tax."""

    tariff: Tariff
    rates: tuple[Decimal, ...]

    @property
    def cheapest(self) -> Decimal:
        """The lowest rate of the week."""
        return min(self.rates)

    @property
    def dearest(self) -> Decimal:
        """The highest rate of the week."""
        return max(self.rates)

    @property
    def cheap_hours_a_day(self) -> float:
        """Hours a day at the lowest rate; 24 with a single rate."""
        return sum(rate == self.cheapest for rate in self.rates) / 4 / 7

    def mean(self, weights: tuple[float, ...]) -> Decimal:
        """Return the mean rate of a use that is spread so over the week."""
        total = sum(weights)
        if total <= 0:
            return sum(self.rates, Decimal(0)) / QUARTERS
        parts = (exact(weight) * rate for weight, rate in zip(weights, self.rates, strict=True))
        return sum(parts, Decimal(0)) / exact(total)

    def cost(self, kwh: Band, rate: Decimal) -> Band:
        """Return what energy costs at a rate, with tax, rounded as bills are."""
        low, mid, high = (
            float(rounded(with_tax(self.tariff, exact(each) * rate))) for each in (kwh.low, kwh.mid, kwh.high)
        )
        # A price below zero turns the order round.
        return Band(low=min(low, high), mid=mid, high=max(low, high))


def prices(house: House) -> Prices | None:
    """Return the house's newest tariff over a week; None where it has none."""
    tariff = max(house.tariffs, key=lambda each: each.start, default=None)
    if tariff is None:
        return None
    timezone = ZoneInfo(house.site.timezone)
    quarters = (
        _MONDAY + timedelta(days=number // QUARTERS_A_DAY, minutes=15 * (number % QUARTERS_A_DAY))
        for number in range(QUARTERS)
    )
    return Prices(tariff, tuple(rate_at(tariff, at.replace(tzinfo=timezone), timezone) for at in quarters))
