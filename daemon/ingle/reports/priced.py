"""A span at its prices, and energy added up by price: what costs, bills and steps rest on.

Rules of this file: energy that is not known costs an unknown amount, not nothing; a day without a tariff has no money;
amounts are exact until they are shown.
"""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import NamedTuple
from zoneinfo import ZoneInfo

from ingle.model.house import House
from ingle.model.readings import Quality
from ingle.model.tariff import Tariff
from ingle.money import Stretch, exact, local_days, stretches, tax_on
from ingle.reports.energy import worst
from ingle.reports.use import Part, Use
from ingle.store import prices


@dataclass(slots=True)
class Amount:
    """Energy as it is added up [Wh], in all and by the place of its price in ``Priced.prices``."""

    energy_wh: float | None = None
    quality: Quality | None = None
    by_price: dict[int, float] = field(default_factory=lambda: defaultdict(float))

    def add(self, part: Part, price: int) -> None:
        """Add a part of which something is known."""
        if part.energy_wh is not None:
            self.energy_wh = part.energy_wh if self.energy_wh is None else self.energy_wh + part.energy_wh
            if part.quality != self.quality:
                self.quality = worst((self.quality, part.quality))
            self.by_price[price] += part.energy_wh

    def join(self, other: Amount) -> None:
        """Add another amount."""
        if other.energy_wh is not None:
            self.energy_wh = (self.energy_wh or 0.0) + other.energy_wh
            self.quality = worst((self.quality, other.quality))
        for price, energy_wh in other.by_price.items():
            self.by_price[price] += energy_wh


@dataclass(slots=True)
class Sums:
    """A span's amounts by heater and zone, by zone, by day and in all."""

    heaters: dict[tuple[str, str], Amount] = field(default_factory=lambda: defaultdict(Amount))
    zones: dict[str, Amount] = field(default_factory=lambda: defaultdict(Amount))
    days: dict[date, Amount] = field(default_factory=lambda: defaultdict(Amount))
    whole: Amount = field(default_factory=Amount)


class Price(NamedTuple):
    """A unit rate and the tariff whose tax is on it; None where nobody knows."""

    tariff: Tariff | None
    rate: Decimal | None


class Charge(NamedTuple):
    """Standing charges [days, currency], and the tax on them; exact."""

    days: Decimal = Decimal(0)
    standing: Decimal = Decimal(0)
    tax: Decimal = Decimal(0)

    @property
    def total(self) -> Decimal:
        """The charge with its tax."""
        return self.standing + self.tax


class Money(NamedTuple):
    """What energy costs: before tax, the tax, and by unit rate; exact."""

    units: Decimal
    tax: Decimal
    by_rate: Mapping[Decimal, float]

    @property
    def total(self) -> Decimal:
        """Units and the tax on them."""
        return self.units + self.tax


@dataclass(frozen=True, slots=True)
class Priced:
    """A span as stretches of one price each; ``of_piece`` is each stretch's place in ``prices``."""

    pieces: tuple[Stretch, ...]
    currency: str | None
    prices: tuple[Price, ...]
    of_piece: tuple[int, ...]

    @property
    def edges_ms(self) -> list[int]:
        """Where stretches begin and end."""
        return [self.pieces[0].start_ms, *(piece.end_ms for piece in self.pieces)]

    def added(self, used: Iterable[Use]) -> Sums:
        """Add up what was used, each stretch at its price."""
        sums = Sums()
        for use in used:
            of_heater = sums.heaters[use.heater, use.zone]
            for part, piece, price in zip(use.parts, self.pieces, self.of_piece, strict=True):
                if part.energy_wh is not None:
                    of_heater.add(part, price)
                    sums.days[piece.day].add(part, price)
            sums.zones[use.zone].join(of_heater)
            sums.whole.join(of_heater)
        return sums

    def money(self, amount: Amount) -> Money:
        """Return what an amount of energy costs; what has no price costs nothing here and is to be named."""
        units, tax = Decimal(0), Decimal(0)
        by_rate: dict[Decimal, float] = defaultdict(float)
        for place, energy_wh in amount.by_price.items():
            tariff, rate = self.prices[place]
            if tariff is not None and rate is not None:
                cost = exact(energy_wh) / 1000 * rate
                units += cost
                tax += tax_on(tariff, cost)
                by_rate[rate] += energy_wh
        return Money(units, tax, by_rate)

    def standing(self, timezone: ZoneInfo) -> dict[date, Charge]:
        """Return each local day's standing charge; a day that the span holds in part is charged in part."""
        return dict(self._standing(timezone))

    def _standing(self, timezone: ZoneInfo) -> Iterator[tuple[date, Charge]]:
        start_ms, end_ms = self.pieces[0].start_ms, self.pieces[-1].end_ms
        tariffs = {piece.day: piece.tariff for piece in self.pieces}
        for day in local_days(start_ms, end_ms, timezone):
            tariff = tariffs[day.date]
            if tariff is not None:
                inside = min(end_ms, day.end_ms) - max(start_ms, day.start_ms)
                share = Decimal(inside) / (day.end_ms - day.start_ms)
                charge = share * exact(tariff.standing_per_day)
                yield day.date, Charge(share, charge, tax_on(tariff, charge))


def priced(conn: sqlite3.Connection, house: House, start_ms: int, end_ms: int) -> Priced:
    """Return a span at the house's prices, in the currency of its last tariff.

    A tariff in another currency cannot be added and is taken off: its days have energy and no money.
    """
    timezone = ZoneInfo(house.site.timezone)
    serieses = prices.of_tariffs(conn, house.tariffs, start_ms, end_ms)
    found = stretches(house.tariffs, start_ms, end_ms, timezone, serieses)
    currency = next((each.tariff.currency for each in reversed(found) if each.tariff is not None), None)
    pieces = tuple(
        each if each.tariff is None or each.tariff.currency == currency else each._replace(tariff=None, rate=None)
        for each in found
    )
    places: dict[tuple[str | None, Decimal | None], int] = {}
    known: list[Price] = []
    of_piece: list[int] = []
    for piece in pieces:
        key = (None if piece.tariff is None else piece.tariff.start, piece.rate)
        if key not in places:
            places[key] = len(known)
            known.append(Price(piece.tariff, piece.rate))
        of_piece.append(places[key])
    return Priced(pieces, currency, tuple(known), tuple(of_piece))


def in_all(charges: Iterable[Charge]) -> Charge:
    """Return standing charges added up."""
    listed = list(charges)
    return Charge(*(sum((each[place] for each in listed), Decimal(0)) for place in range(3)))
