"""A house that lives through bills: heaters that keep their rooms as wanted, a winter, and bills that come of it."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from houses import make_house, make_zone
from ingle.model.bills import Bill, BillWhy
from ingle.model.devices import Heater
from ingle.model.instants import to_ms
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.model.tariff import Rate, Tariff
from ingle.reports.bill_why import why
from ingle.store import bills
from ingle.store.readings import insert

HOUR = timedelta(hours=1)
DAY = timedelta(days=1)
#: Days at noon on UTC and on the house's clock are one in winter.
FIRST, SECOND = datetime(2026, 1, 1, tzinfo=UTC), datetime(2026, 1, 29, tzinfo=UTC)
GAINS_K = 3.0
TARIFF = Tariff(start="2026-01-01", currency="GBP", standing_per_day=0.5, rates=(Rate(per_kwh=0.3),))
HOUSE = make_house(
    make_zone("loft", Heater(id="loft-1", rated_w=9000.0), given_w_per_k=80.0),
    make_zone("hall", Heater(id="hall-1", rated_w=9000.0), given_w_per_k=40.0),
    tariffs=(TARIFF,),
)


class World:
    """Two bills' weeks: what it was like outdoors, how rooms were run, what they lost, what else drew power."""

    def __init__(self, conn: sqlite3.Connection) -> None:
        self.conn = conn
        self.counted = {"loft": 0.0, "hall": 0.0}
        self.numbers: list[int] = []

    def period(self, start: datetime, days: int, **how: Any) -> None:
        """Live through a bill's days and enter the bill that comes of it."""
        before = dict(self.counted)
        for zone, loss in (("loft", 80.0), ("hall", 40.0)):
            insert(self.conn, list(self._heater(zone, loss, start, days, **how)))
        outdoor: Callable[[int], float] = how.get("outdoor_c", lambda day: 6.0 + day % 3)
        insert(
            self.conn,
            [
                Reading(source=OUTDOOR, t_ms=to_ms(at), arrived_ms=to_ms(at), temp_c=outdoor(step // 96))
                for step in range(96 * days)
                for at in (start + step * HOUR / 4,)
            ],
        )
        heat = sum(self.counted[zone] - before[zone] for zone in before) / 1000
        kwh = round(heat + days * how.get("other_kwh", 8.0), 2)
        money = days * Decimal("0.5") + Decimal(str(kwh)) * Decimal(how.get("per_kwh", "0.3"))
        bill = Bill(
            start=start.date().isoformat(),
            end=(start + days * DAY).date().isoformat(),
            kwh=kwh,
            money=f"{money:.2f}",
            currency="GBP",
        )
        self.numbers.append(bills.add(self.conn, bill).number)

    def _heater(self, zone: str, w_per_k: float, start: datetime, days: int, **how: Any) -> Iterator[Reading]:
        """Yield a quarter-hourly record of a heater that keeps its room where it is wanted, at once."""
        outdoor: Callable[[int], float] = how.get("outdoor_c", lambda day: 6.0 + day % 3)
        for step in range(96 * days + 1):
            at = start + step * HOUR / 4
            warm = step % 96 < 4 * how.get("hours", 8)
            inside = how.get("warm_c", 20.0) if warm else 16.0
            yield Reading(
                source=Source("heater", f"{zone}-1"),
                t_ms=to_ms(at),
                arrived_ms=to_ms(at),
                energy_wh=self.counted[zone],
                temp_c=inside,
                setpoint_c=inside,
            )
            if step < 96 * days:
                mean_c = (how.get("hours", 8) * how.get("warm_c", 20.0) + (24 - how.get("hours", 8)) * 16.0) / 24
                watts = w_per_k * how.get("leak", 1.0) * max(0.0, mean_c - GAINS_K - outdoor(step // 96))
                self.counted[zone] += watts / 4

    def why(self) -> BillWhy:
        """Return the steps from the first bill to the second."""
        return why(self.conn, HOUSE, self.numbers[1], self.numbers[0])
