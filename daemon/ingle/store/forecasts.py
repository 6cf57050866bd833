"""Forecasts as they were made. The table refuses to change or delete a row, so that a score is of what was said.

The event beside each forecast carries the digest of its text: a row that somebody changed by other means shows.
"""

from __future__ import annotations

import hashlib
import sqlite3
from typing import NamedTuple

from ingle.store import events

#: The most that a list gives at once, the newest first.
LISTED = 100


class Stored(NamedTuple):
    """One forecast: its number, when it was made, what span it is of [ms], and its text."""

    number: int
    made_ms: int
    start_ms: int
    end_ms: int
    document: bytes


def save(conn: sqlite3.Connection, *, made_ms: int, start_ms: int, end_ms: int, document: bytes, who: str) -> int:
    """Keep a forecast and its event inside the caller's transaction; return its number."""
    cursor = conn.execute(
        "INSERT INTO forecast (made, start, finish, document) VALUES (?, ?, ?, ?)",
        (made_ms, start_ms, end_ms, document.decode()),
    )
    number = int(cursor.lastrowid or 0)
    data = {"who": who, "from_ms": start_ms, "to_ms": end_ms, "digest": digest(document)}
    events.record(conn, made_ms, "forecast", str(number), data)
    return number


def newest(conn: sqlite3.Connection, limit: int = LISTED) -> list[Stored]:
    """Return the newest forecasts, newest first."""
    rows = conn.execute(
        "SELECT number, made, start, finish, document FROM forecast ORDER BY number DESC LIMIT ?", (limit,)
    )
    return [_stored(row) for row in rows]


def covering(conn: sqlite3.Connection, start_ms: int, end_ms: int) -> Stored | None:
    """Return the newest forecast of exactly a span; None where there is none."""
    row = conn.execute(
        "SELECT number, made, start, finish, document FROM forecast WHERE start = ? AND finish = ?"
        " ORDER BY number DESC LIMIT 1",
        (start_ms, end_ms),
    ).fetchone()
    return None if row is None else _stored(row)


def digest(document: bytes) -> str:
    """Return the digest of a forecast's text.

    >>> digest(b"{}")[:16]
    '44136fa355b3678a'
    """
    return hashlib.sha256(document).hexdigest()


def _stored(row: tuple[int, int, int, int, str]) -> Stored:
    number, made, start, finish, document = row
    return Stored(number, made, start, finish, document.encode())
