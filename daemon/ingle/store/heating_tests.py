"""Heating tests: each with its stage, and what its record told, newest result only; their story is in the events."""

from __future__ import annotations

import sqlite3

import msgspec

from ingle.model.heating_tests import HeatingTest, HeatingTestResult
from ingle.model.readings import OUTDOOR, Source
from ingle.store.columns import ENERGY_IS_BITS, ENERGY_IS_COMPUTED
from ingle.store.readings import SCALES


def add(conn: sqlite3.Connection, test: HeatingTest) -> HeatingTest:
    """Keep a new test inside the caller's transaction, and return it with the number that it got."""
    number = int(conn.execute("INSERT INTO heating_test (test) VALUES ('')").lastrowid or 0)
    numbered = msgspec.structs.replace(test, number=number)
    save(conn, numbered)
    return numbered


def save(conn: sqlite3.Connection, test: HeatingTest) -> None:
    """Keep how far a test has come, inside the caller's transaction."""
    text = msgspec.json.encode(test).decode()
    conn.execute("UPDATE heating_test SET test = ?, open = ? WHERE number = ?", (text, test.open, test.number))


def save_result(conn: sqlite3.Connection, result: HeatingTestResult) -> None:
    """Keep what a test's record told, in place of what it told before."""
    text = msgspec.json.encode(result).decode()
    conn.execute("UPDATE heating_test SET result = ? WHERE number = ?", (text, result.number))


def running(conn: sqlite3.Connection) -> HeatingTest | None:
    """Return the newest test that still has something ahead."""
    row = conn.execute("SELECT test FROM heating_test WHERE open = 1 ORDER BY number DESC LIMIT 1").fetchone()
    return None if row is None else msgspec.json.decode(row[0], type=HeatingTest)


def find(conn: sqlite3.Connection, number: int) -> tuple[HeatingTest, HeatingTestResult | None] | None:
    """Return a test and its result, None where no test has the number."""
    row = conn.execute("SELECT test, result FROM heating_test WHERE number = ?", (number,)).fetchone()
    return None if row is None else _read(row)


def every(conn: sqlite3.Connection, limit: int = 50) -> list[tuple[HeatingTest, HeatingTestResult | None]]:
    """Return the newest tests with their results, newest first."""
    rows = conn.execute("SELECT test, result FROM heating_test ORDER BY number DESC LIMIT ?", (limit,))
    return [_read(row) for row in rows]


def meters(conn: sqlite3.Connection, heater_id: str, since_ms: int) -> bool:
    """Return whether a heater has reported energy that it measured, not computed, since an instant."""
    found = conn.execute(
        "SELECT 1 FROM reading JOIN series ON series.id = reading.series WHERE series.kind = ? AND series.name = ?"
        " AND t >= ? AND energy IS NOT NULL AND (flags & ?) <> ? LIMIT 1",
        (*Source("heater", heater_id), since_ms, ENERGY_IS_BITS, ENERGY_IS_COMPUTED),
    ).fetchone()
    return found is not None


def outdoor_mean_c(conn: sqlite3.Connection, since_ms: int) -> float | None:
    """Return the mean of the outdoor readings since an instant [°C], None where there are none."""
    (mean,) = conn.execute(
        "SELECT avg(temp) FROM reading JOIN series ON series.id = reading.series"
        " WHERE series.kind = ? AND series.name = ? AND t >= ?",
        (*OUTDOOR, since_ms),
    ).fetchone()
    return None if mean is None else float(mean) / SCALES["temp_c"]


def _read(row: tuple[str, str | None]) -> tuple[HeatingTest, HeatingTestResult | None]:
    result = None if row[1] is None else msgspec.json.decode(row[1], type=HeatingTestResult)
    return msgspec.json.decode(row[0], type=HeatingTest), result
