"""What today has cost so far: the same figures as the costs of the same hours."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from houses import make_house, make_zone
from ingle.model.devices import Heater
from ingle.model.tariff import Rate, Tariff
from ingle.reports.cost import costs
from ingle.reports.spent import spent_today
from ingle.store.connect import open_writer
from reports.metered import run

HOUR = timedelta(hours=1)
MIDNIGHT = datetime(2026, 6, 30, 23, tzinfo=UTC)  # in London
TARIFF = Tariff(
    start="2026-01-01",
    currency="GBP",
    tax_percent=20.0,
    standing_per_day=0.6,
    rates=(Rate(per_kwh=0.1, start="00:30", end="07:30", clock="utc"), Rate(per_kwh=0.3)),
)
ROOM = make_zone("loft", Heater(id="loft-1", rated_w=2000.0))
HOUSE = make_house(ROOM, tariffs=(TARIFF,))


@pytest.fixture(name="conn")
def _conn(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    link = open_writer(tmp_path / "ingle.db")
    link.execute("BEGIN IMMEDIATE")
    yield link
    link.undo()
    link.close()


def test_today_costs_what_its_hours_cost(conn: sqlite3.Connection) -> None:
    """From the house's midnight: 1.5 h dear and 4.5 h cheap at 1 kW, a quarter of a day's charge, taxed.

    (1.5 x 0.3 + 4.5 x 0.1 + 0.6 / 4) x 1.2 = 1.26.
    """
    run(conn, "loft-1", 1000.0, start=MIDNIGHT - 5 * HOUR, end=MIDNIGHT + 6 * HOUR)
    now = MIDNIGHT + 6 * HOUR
    found = spent_today(conn, HOUSE, now)
    assert (found.money, found.currency) == (1.26, "GBP")
    assert costs(conn, HOUSE, MIDNIGHT, now, now=now).total == "1.26"


def test_the_moment_of_midnight_has_an_amount_too(conn: sqlite3.Connection) -> None:
    """Nothing is used yet, and nothing fails."""
    run(conn, "loft-1", 1000.0, start=MIDNIGHT - 5 * HOUR, end=MIDNIGHT)
    assert spent_today(conn, HOUSE, MIDNIGHT).currency == "GBP"


def test_without_readings_or_a_tariff_it_is_not_known(conn: sqlite3.Connection) -> None:
    """Null, not zero; without a tariff no currency either."""
    assert spent_today(conn, HOUSE, MIDNIGHT + HOUR) == (None, "GBP")
    run(conn, "loft-1", 1000.0, start=MIDNIGHT, end=MIDNIGHT + HOUR)
    assert spent_today(conn, make_house(ROOM), MIDNIGHT + HOUR) == (None, None)
