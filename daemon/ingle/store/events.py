"""What happened, in order and for good: decisions that changed, requests, loads, notices."""

from __future__ import annotations

import sqlite3
from typing import Any

import msgspec

from ingle.model.base import Result


class Event(Result, frozen=True, kw_only=True):
    """One thing that happened; ``subject`` is the zone, heater or house it happened to."""

    id: int
    t_ms: int
    kind: str
    subject: str
    data: dict[str, Any]


_COLUMNS = "id, t, kind, subject, data"
_EVER_MS = 2**62


def record(conn: sqlite3.Connection, t_ms: int, kind: str, subject: str, data: dict[str, Any]) -> int:
    """Append an event inside the caller's transaction and return its id."""
    text = msgspec.json.encode(data).decode()
    cursor = conn.execute("INSERT INTO event (t, kind, subject, data) VALUES (?, ?, ?, ?)", (t_ms, kind, subject, text))
    return int(cursor.lastrowid or 0)


def since(conn: sqlite3.Connection, event_id: int, limit: int = 1000) -> list[Event]:
    """Return the events after one, oldest first; 0 for all from the start."""
    rows = conn.execute(
        f"SELECT {_COLUMNS} FROM event WHERE id > ? ORDER BY id LIMIT ?",  # noqa: S608 - constants
        (event_id, limit),
    )
    return [_event(row) for row in rows]


def latest(conn: sqlite3.Connection, limit: int = 100) -> list[Event]:
    """Return the newest events, newest first."""
    rows = conn.execute(f"SELECT {_COLUMNS} FROM event ORDER BY id DESC LIMIT ?", (limit,))  # noqa: S608 - constants
    return [_event(row) for row in rows]


def newest(conn: sqlite3.Connection, kind: str, subject: str, before_ms: int | None = None) -> Event | None:
    """Return the newest event of a kind about a subject, at or before an instant; None where there is none."""
    row = conn.execute(
        f"SELECT {_COLUMNS} FROM event WHERE kind = ? AND subject = ? AND t <= ? ORDER BY t DESC, id DESC LIMIT 1",  # noqa: S608 - constants
        (kind, subject, _EVER_MS if before_ms is None else before_ms),
    ).fetchone()
    return None if row is None else _event(row)


def about(conn: sqlite3.Connection, kind: str, subject: str, start_ms: int, end_ms: int) -> list[Event]:
    """Return the events of a kind about a subject within a span, its end included, in time order."""
    rows = conn.execute(
        f"SELECT {_COLUMNS} FROM event WHERE kind = ? AND subject = ? AND t BETWEEN ? AND ? ORDER BY t, id",  # noqa: S608 - constants
        (kind, subject, start_ms, end_ms),
    )
    return [_event(row) for row in rows]


def first_after(conn: sqlite3.Connection, kind: str, subject: str, after_ms: int) -> Event | None:
    """Return the first event of a kind about a subject, at or after an instant; None where there is none."""
    row = conn.execute(
        f"SELECT {_COLUMNS} FROM event WHERE kind = ? AND subject = ? AND t >= ? ORDER BY t, id LIMIT 1",  # noqa: S608 - constants
        (kind, subject, after_ms),
    ).fetchone()
    return None if row is None else _event(row)


def _event(row: tuple[Any, ...]) -> Event:
    number, t, kind, subject, data = row
    return Event(id=number, t_ms=t, kind=kind, subject=subject, data=msgspec.json.decode(data))
