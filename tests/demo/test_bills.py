"""The demo's bills are the simulated meter's."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from fakes import FakeClock
from houses import make_house, make_zone
from ingle.demo.bills import NOTE, enter_bills
from ingle.model.devices import Meter
from ingle.model.instants import to_ms
from ingle.model.readings import Reading, Source
from ingle.model.tariff import Rate, Tariff
from ingle.store import bills
from ingle.store.db import Store
from ingle.store.readings import insert

TARIFF = Tariff(
    start="2025-01-01",
    currency="GBP",
    tax_percent=20.0,
    standing_per_day=0.614,
    rates=(Rate(per_kwh=0.142, start="00:30", end="07:30", clock="utc"), Rate(per_kwh=0.316)),
)
HOUSE = make_house(make_zone(), tariffs=(TARIFF,), meters=(Meter(id="supply"),))


@pytest.fixture(name="store")
async def _store(tmp_path: Path) -> AsyncIterator[Store]:
    """Return a store in which the supply's meter counted 1 kW for five weeks before 12 January, 6:00."""
    store = await Store.open(tmp_path / "ingle.db")
    end = datetime(2026, 1, 12, 6, tzinfo=UTC)
    times = [end - timedelta(hours=hours) for hours in range(5 * 168, -1, -1)]
    counted = [
        Reading(source=Source("meter", "supply"), t_ms=to_ms(at), arrived_ms=to_ms(at), energy_wh=1000.0 * n)
        for n, at in enumerate(times)
    ]
    await store.write(lambda conn: insert(conn, counted))
    yield store
    await store.close()


async def test_two_bills_of_the_meters_own_energy(store: Store) -> None:
    """16 days of 1 kW are 384 kWh; 7 of 24 hours cheap: (112 x 0.142 + 272 x 0.316 + 16 x 0.614) x 1.2 = 134.02."""
    assert await enter_bills(store, HOUSE, FakeClock(), weeks=5) == 2
    first, second = (each.bill for each in await store.read(bills.every))
    assert (first.start, first.end, second.start, second.end) == (
        "2025-12-11",
        "2025-12-27",
        "2025-12-27",
        "2026-01-12",
    )
    for bill in (first, second):
        assert (bill.kwh, bill.money, bill.currency, bill.note) == (384.0, "134.02", "GBP", NOTE)


@pytest.mark.parametrize(("weeks", "count"), [(0.0, 0), (2.0, 0), (3.0, 1), (4.5, 1), (26.0, 2)])
async def test_only_what_history_covers_is_billed(store: Store, weeks: float, count: int) -> None:
    """A short history has one bill or none."""
    assert await enter_bills(store, HOUSE, FakeClock(), weeks=weeks) == count
