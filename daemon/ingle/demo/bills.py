"""The demo's bills: what a supplier would have asked for, by the simulated supply meter and the house's tariff.

Nothing is made up: energy is the meter's, in whole kWh as bills have it, each part at the rate of its time. The last
bill ends with yesterday; a bill that history does not wholly cover is not entered.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import datetime, time, timedelta
from decimal import Decimal
from typing import Final
from zoneinfo import ZoneInfo

from ingle.clock import Clock
from ingle.commands.bills import Bills
from ingle.model.bills import Bill
from ingle.model.commands import Origin
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.readings import Source
from ingle.money import rounded
from ingle.reports.priced import Amount, in_all, priced
from ingle.reports.use import parts_of
from ingle.store.db import Store

#: A bill is for so many days; there are two at most.
DAYS: Final = 16
COUNT: Final = 2
NOTE: Final = "simulated, by the simulated supply meter"


async def enter_bills(store: Store, house: House, clock: Clock, *, weeks: float) -> int:
    """Enter the bills that whole days of history allow, the older first; return how many."""
    periods = list(_periods(house, clock.now(), weeks))
    made = await store.read(lambda conn: [_bill(conn, house, *period) for period in periods])
    origin = Origin(who="Wenna Trask", via="cli")
    for bill in made:
        await Bills(store, clock).enter(house, bill, origin, "from the post")
    return len(made)


def _periods(house: House, now: datetime, weeks: float) -> Iterator[tuple[datetime, datetime]]:
    """Yield the first and the one after the last midnight of each bill, on the house's clock."""
    timezone = ZoneInfo(house.site.timezone)
    today = datetime.combine(now.astimezone(timezone).date(), time(), timezone)
    begun = now - timedelta(weeks=weeks)
    for ago in range(COUNT, 0, -1):
        start, end = today - timedelta(days=ago * DAYS), today - timedelta(days=(ago - 1) * DAYS)
        if start >= begun:
            yield start, end


def _bill(conn: sqlite3.Connection, house: House, start: datetime, end: datetime) -> Bill:
    """Return what the supplier asks for some days."""
    at_prices = priced(conn, house, to_ms(start), to_ms(end))
    amount = Amount()
    for meter in house.meters:
        for part, price in zip(
            parts_of(conn, Source("meter", meter.id), at_prices.edges_ms), at_prices.of_piece, strict=True
        ):
            amount.add(part, price)
    charges = in_all(at_prices.standing(ZoneInfo(house.site.timezone)).values())
    kwh = Decimal(amount.energy_wh or 0.0) / 1000
    return Bill(
        start=start.date().isoformat(),
        end=end.date().isoformat(),
        kwh=float(kwh.quantize(Decimal(1))),
        money=str(rounded(at_prices.money(amount).total + charges.total)),
        currency=at_prices.currency,
        note=NOTE,
    )
