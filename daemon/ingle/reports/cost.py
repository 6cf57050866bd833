"""What the heaters' energy cost: per heater, zone and day, each stretch at the rate that held in it, rounded once."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from ingle.errors import BadInput, Fault
from ingle.model.costs import Costs, DayCost, HeaterCost, RateUse, ZoneCost
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.money import exact, rounded, shared_out
from ingle.reports.cost_gaps import gaps
from ingle.reports.days import of_zones
from ingle.reports.energy import plain
from ingle.reports.priced import Amount, Charge, Money, Priced, Sums, in_all, priced
from ingle.reports.use import uses


def costs(
    conn: sqlite3.Connection,
    house: House,
    start: datetime,
    end: datetime,
    *,
    now: datetime,
    zones: Sequence[str] = (),
) -> Costs:
    """Return what the heaters' energy cost over a span.

    Parameters
    ----------
    conn
        A connection to read with.
    start, end
        Aware instants; local midnights make whole days.
    now
        Until when there can be readings: what is missing later is not missing.
    zones
        Only these; standing charges are then left out, for they are the house's.

    Raises
    ------
    BadInput
        Where the span does not end after its start.
    Unknown
        Where no such zone is or was in the house.
    """
    if not to_ms(start) < to_ms(end):
        raise BadInput([Fault(("to",), end.isoformat(), f"an instant after from ({start.isoformat()})")])
    at_prices = priced(conn, house, to_ms(start), to_ms(end))
    used = of_zones(house, uses(conn, house, at_prices.edges_ms), zones)
    charges = {} if zones else at_prices.standing(ZoneInfo(house.site.timezone))
    shown = _Shown(house, at_prices, at_prices.added(used), charges)
    return shown.costs(start, end, gaps(house, used, at_prices.pieces, now=now))


class _Shown:
    """Exact sums on their way to what a person sees."""

    def __init__(self, house: House, at_prices: Priced, sums: Sums, charges: dict[date, Charge]) -> None:
        self._house = house
        self._prices = at_prices
        self._sums = sums
        self._charges = charges

    def costs(self, start: datetime, end: datetime, missing: tuple[str, ...]) -> Costs:
        """Return the whole."""
        whole, currency = self._sums.whole, self._prices.currency
        money, charge = self._prices.money(whole), in_all(self._charges.values())
        exactly = [money.units, charge.standing, money.tax + charge.tax]
        total = rounded(sum(exactly, Decimal(0)))
        units, standing, tax = map(str, shared_out(total, exactly))
        known = self._known(whole)
        return Costs(
            start=start,
            end=end,
            currency=currency,
            days=float(charge.days),
            energy_wh=plain(whole.energy_wh),
            units=units if known else None,
            standing=None if currency is None else standing,
            tax=tax if known else None,
            total=str(total) if known else None,
            quality=whole.quality,
            rates=_rates(money),
            zones=tuple(self._zone(zone, amount) for zone, amount in self._sums.zones.items()),
            by_day=tuple(self._day(day) for day in sorted({*self._sums.days, *self._charges})),
            booked=(),
            missing=missing,
        )

    def _known(self, amount: Amount) -> bool:
        """Whether an amount has money: something is known of it, and some of that has a price."""
        return amount.energy_wh is not None and any(
            self._prices.prices[place].rate is not None for place in amount.by_price
        )

    def _zone(self, zone: str, amount: Amount) -> ZoneCost:
        found = self._house.zone(zone)
        money = self._prices.money(amount)
        known = self._known(amount)
        return ZoneCost(
            zone=zone,
            name=zone if found is None else found.name,
            energy_wh=plain(amount.energy_wh),
            units=_told(money.units, known=known),
            tax=_told(money.tax, known=known),
            total=_told(money.total, known=known),
            quality=amount.quality,
            rates=_rates(money),
            heaters=tuple(self._heater(name, own) for (name, of), own in self._sums.heaters.items() if of == zone),
        )

    def _heater(self, heater: str, amount: Amount) -> HeaterCost:
        money = self._prices.money(amount)
        known = self._known(amount)
        return HeaterCost(
            heater=heater,
            energy_wh=plain(amount.energy_wh),
            units=_told(money.units, known=known),
            tax=_told(money.tax, known=known),
            total=_told(money.total, known=known),
            quality=amount.quality,
        )

    def _day(self, day: date) -> DayCost:
        amount, charge = self._sums.days.get(day, Amount()), self._charges.get(day, Charge())
        return DayCost(
            date=day.isoformat(),
            energy_wh=plain(amount.energy_wh),
            total=_told(self._prices.money(amount).total + charge.total, known=self._known(amount)),
            quality=amount.quality,
        )


def _told(amount: Decimal, *, known: bool) -> str | None:
    return str(rounded(amount)) if known else None


def _rates(money: Money) -> tuple[RateUse, ...]:
    return tuple(
        RateUse(per_kwh=str(rate), energy_wh=round(wh, 3), money=str(rounded(exact(wh) / 1000 * rate)))
        for rate, wh in sorted(money.by_rate.items())
    )
