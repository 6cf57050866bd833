"""Price series: half-hourly prices as they were published, one row for each, replaced where they come again."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import NamedTuple

from ingle.model.tariff import Tariff
from ingle.money import Series


class Price(NamedTuple):
    """A unit price before tax, from an instant up to another [ms]."""

    start_ms: int
    end_ms: int
    per_kwh: Decimal


def save(conn: sqlite3.Connection, name: str, prices: Iterable[Price]) -> int:
    """Store prices inside the caller's transaction; those stored before that overlap them go. Return how many."""
    count = 0
    for price in prices:
        conn.execute(
            "DELETE FROM price WHERE series = ? AND start < ? AND finish > ?", (name, price.end_ms, price.start_ms)
        )
        conn.execute("INSERT INTO price VALUES (?, ?, ?, ?)", (name, price.start_ms, price.end_ms, str(price.per_kwh)))
        count += 1
    return count


def series(conn: sqlite3.Connection, name: str, start_ms: int, end_ms: int) -> Series:
    """Return the prices of a series that touch a span."""
    rows = conn.execute(
        "SELECT start, finish, per_kwh FROM price WHERE series = ? AND finish > ? AND start < ? ORDER BY start",
        (name, start_ms, end_ms),
    ).fetchall()
    return Series(
        starts_ms=tuple(start for start, _, _ in rows),
        ends_ms=tuple(finish for _, finish, _ in rows),
        per_kwh=tuple(Decimal(per_kwh) for _, _, per_kwh in rows),
    )


def of_tariffs(conn: sqlite3.Connection, tariffs: Sequence[Tariff], start_ms: int, end_ms: int) -> dict[str, Series]:
    """Return the prices of every series that some tariffs name, over a span."""
    names = {tariff.series for tariff in tariffs if tariff.series is not None}
    return {name: series(conn, name, start_ms, end_ms) for name in names}
