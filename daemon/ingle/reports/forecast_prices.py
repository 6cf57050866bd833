"""The rates of some days to come, quarter-hour by quarter-hour, and what energy spread over the day costs at them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Final
from zoneinfo import ZoneInfo

from ingle import money
from ingle.control.programme import instant
from ingle.model.house import House

#: Quarter-hours of a day on the wall's clock.
QUARTERS: Final = 96


class Prices:
    """The rates of the days to come, quarter by quarter; None where no tariff covers them all in one currency."""

    def __init__(self, house: House, days: Sequence[date], timezone: ZoneInfo) -> None:
        found = [money.tariff_on(house.tariffs, day) for day in days]
        self.days = len(days)
        self.tariffs = [tariff for tariff in found if tariff is not None]
        currencies = {tariff.currency for tariff in self.tariffs}
        self.known = len(self.tariffs) == len(days) and len(currencies) == 1
        self.currency = currencies.pop() if self.known else None
        self._rates = (
            [
                [money.rate_at(tariff, instant(day, place * 15, timezone), timezone) for place in range(QUARTERS)]
                for day, tariff in zip(days, self.tariffs, strict=True)
            ]
            if self.known
            else []
        )

    def units(self, kwh: float, shape: Sequence[float]) -> tuple[Decimal, Decimal]:
        """Return what energy spread by a shape costs before tax, and the tax on it."""
        total = sum(shape)
        weights = [each / total for each in shape] if total > 0 else [1 / QUARTERS] * QUARTERS
        units = tax = Decimal(0)
        for tariff, rates in zip(self.tariffs, self._rates, strict=True):
            part = sum((money.exact(weight) * rate for weight, rate in zip(weights, rates, strict=True)), Decimal(0))
            cost = part * money.exact(kwh) / self.days
            units += cost
            tax += money.tax_on(tariff, cost)
        return units, tax

    def standing(self) -> tuple[Decimal, Decimal]:
        """Return the standing charges of the days, and the tax on them."""
        charges = [(tariff, money.exact(tariff.standing_per_day)) for tariff in self.tariffs]
        zero = Decimal(0)
        return sum((each for _, each in charges), zero), sum((money.tax_on(t, each) for t, each in charges), zero)
