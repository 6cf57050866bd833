"""A year by day for 31 heaters: energy, costs of a two-rate tariff, costs of half-hourly prices.

    python tests/bench/costs.py [--times 3]

Times are of the processor. The floor is the bare roll-up query in the same run: every heater's quarter-hours of the
year added up by day in one statement each, with neither rates nor qualities by name nor a single value made. The
promise for energy and the two-rate costs is twice that; half-hourly prices ask for every half-hour by itself, and
are told beside a bare reading of every row.
"""

from __future__ import annotations

import argparse
import random
import sqlite3
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parents[1]))

from common import HEATERS, house, repeat, verdict
from msgspec.structs import replace

from ingle.config.house import parse_house
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.tariff import Rate, Tariff
from ingle.reports.cost import costs
from ingle.reports.days import energy_days
from ingle.store import houses, prices
from ingle.store.connect import open_writer
from ingle.store.readings import QUARTER_MS

START, END = datetime(2026, 1, 1, tzinfo=UTC), datetime(2027, 1, 1, tzinfo=UTC)
FIRST, LAST = to_ms(START) // QUARTER_MS, to_ms(END) // QUARTER_MS
NIGHT = Rate(per_kwh=0.142, start="00:30", end="07:30", clock="utc")
TWO_RATE = Tariff(
    start="2026-01-01", currency="GBP", tax_percent=20.0, standing_per_day=0.614, rates=(NIGHT, Rate(per_kwh=0.316))
)
MOST = 2.0
#: 17 520 prices a year, each heater at each: half a million sums.
HALF_HOURLY = 8.0


def fill(conn: sqlite3.Connection, of: House) -> None:
    """Write a year of roll-ups for every heater, and of half-hourly prices."""
    chance = random.Random(20260101)  # noqa: S311 - energy of a bench, not a secret
    houses.save(conn, of, who="bench", why="", t_ms=to_ms(START))
    for number in range(1, HEATERS + 1):
        conn.execute("INSERT INTO series VALUES (?, 'heater', ?, 1)", (number, f"heater-{number}"))
        quarters = [(number, bucket, chance.uniform(0, 400)) for bucket in range(FIRST, LAST)]
        conn.executemany("INSERT INTO quarter VALUES (?, ?, ?, 900000, 20.0, 1, 15, 1)", quarters)
    conn.execute(
        "INSERT INTO day SELECT series, bucket / 96, sum(energy), sum(covered), sum(temp), sum(temps), sum(count), "
        "max(quality) FROM quarter GROUP BY series, bucket / 96"
    )
    halves = range(to_ms(START), to_ms(END), 2 * QUARTER_MS)
    prices.save(
        conn,
        "grid",
        [prices.Price(at, at + 2 * QUARTER_MS, Decimal(str(n % 40 / 100 - 0.05))) for n, at in enumerate(halves)],
    )


def timed(work: Callable[[], object]) -> float:
    """Return the processor time of some work [ms]."""
    start = time.process_time()
    work()
    return (time.process_time() - start) * 1000


def added_up(conn: sqlite3.Connection) -> None:
    """Add every heater's quarter-hours up by day, barely."""
    for number in range(1, HEATERS + 1):
        conn.execute(
            "SELECT bucket / 96, sum(energy), max(quality) FROM quarter "
            "WHERE series = ? AND bucket >= ? AND bucket < ? GROUP BY 1",
            (number, FIRST, LAST),
        ).fetchall()


def read(conn: sqlite3.Connection) -> None:
    """Read every heater's quarter-hours, barely."""
    for number in range(1, HEATERS + 1):
        conn.execute(
            "SELECT bucket, energy, covered, quality FROM quarter WHERE series = ? AND bucket >= ? AND bucket < ?",
            (number, FIRST, LAST),
        ).fetchall()


def main() -> int:
    """Measure, say the ratios, and return whether a promise is broken."""
    words = argparse.ArgumentParser()
    words.add_argument("--times", type=int, default=3)
    times = words.parse_args().times
    plain = parse_house(house(), "bench.toml")
    two_rate = replace(plain, tariffs=(TWO_RATE,))
    half_hourly = replace(plain, tariffs=(replace(TWO_RATE, series="grid"),))
    with TemporaryDirectory(prefix="ingle-bench-") as folder:
        conn = open_writer(Path(folder) / "ingle.db")
        conn.execute("BEGIN IMMEDIATE")
        fill(conn, plain)
        conn.execute("COMMIT")
        benches = [
            ("a year of energy by day", lambda: energy_days(conn, plain, START, END), added_up, MOST),
            ("a year of two-rate costs by day", lambda: costs(conn, two_rate, START, END, now=END), added_up, MOST),
            (
                "a year of half-hourly costs by day",
                lambda: costs(conn, half_hourly, START, END, now=END),
                read,
                HALF_HOURLY,
            ),
        ]
        fine = []
        for name, ours, floor, limit in benches:
            mine, bare = repeat(times, lambda ours=ours: timed(ours), lambda floor=floor: timed(lambda: floor(conn)))
            fine.append(verdict(name, mine, bare, limit, "ms"))
        conn.close()
    return 0 if all(fine) else 1


if __name__ == "__main__":
    raise SystemExit(main())
