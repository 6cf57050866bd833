"""What leaves as JSON ends where the counters end: no 3267062.4000000004 in any figure of energy."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import msgspec
import pytest

from houses import make_house, make_zone
from ingle.model.bills import Bill
from ingle.model.devices import Heater
from ingle.model.tariff import Rate, Tariff
from ingle.reports.bills import shown
from ingle.reports.carbon import carbon
from ingle.reports.compare import compare
from ingle.reports.cost import costs
from ingle.reports.days import energy_days
from ingle.reports.energy import energy
from ingle.store.bills import Numbered
from ingle.store.connect import open_writer
from reports.metered import outdoors, run

START = datetime(2026, 1, 1, tzinfo=UTC)
DAY = timedelta(days=1)
END = START + 14 * DAY
HOUSE = make_house(
    make_zone("loft", Heater(id="loft-1", rated_w=2000.0), Heater(id="loft-2", rated_w=2000.0)),
    tariffs=(Tariff(start="2025-04-01", currency="GBP", rates=(Rate(per_kwh=0.3),)),),
)
BILL = Bill(start="2026-01-01", end="2026-01-08", kwh=100.1, kind="bill")
Asked = Callable[[sqlite3.Connection], object]
ASKED: dict[str, Asked] = {
    "energy": lambda conn: energy(conn, HOUSE, START, END),
    "days": lambda conn: energy_days(conn, HOUSE, START, END),
    "costs": lambda conn: costs(conn, HOUSE, START, END, now=END),
    "compare": lambda conn: compare(conn, HOUSE, (START + 7 * DAY, END), (START, START + 7 * DAY)),
    "carbon": lambda conn: carbon(conn, HOUSE, START, END, None),
    "bill": lambda conn: shown(conn, HOUSE, Numbered(1, BILL)),
}


@pytest.fixture(name="conn")
def _conn(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    link = open_writer(tmp_path / "ingle.db")
    link.execute("BEGIN IMMEDIATE")
    for heater in ("loft-1", "loft-2"):
        # Tenths of a Wh, as real counters tell: few of them are whole in binary.
        run(link, heater, lambda at: 401.2 + 0.4 * at.hour, start=START, end=END)
    outdoors(link, lambda at: 3.1 + 0.1 * (at.hour % 7), start=START, end=END)
    yield link
    link.undo()
    link.close()


@pytest.mark.parametrize("what", ASKED)
def test_no_figure_ends_in_digits_that_mean_nothing(what: str, conn: sqlite3.Connection) -> None:
    """Counters tell tenths of a Wh; no figure made of them is written to more than three decimals."""
    said = msgspec.json.encode(ASKED[what](conn)).decode()
    assert re.search(r"[1-9]\.\d", said)
    assert re.findall(r"\d+\.\d{4,}", said) == []
