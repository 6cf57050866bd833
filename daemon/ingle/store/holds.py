"""Requests in force, so that an override outlives a restart."""

from __future__ import annotations

import sqlite3

import msgspec

from ingle.model.commands import Held
from ingle.model.instants import to_ms


def save(conn: sqlite3.Connection, held: Held) -> int:
    """Put a request in force inside the caller's transaction, in place of the zone's one before it.

    With ``zone`` None it is the supply's. Returns the hold's number.
    """
    end(conn, held.zone, to_ms(held.since))
    cursor = conn.execute(
        "INSERT INTO hold (zone, held, until) VALUES (?, ?, ?)",
        (held.zone, msgspec.json.encode(held).decode(), to_ms(held.until)),
    )
    return int(cursor.lastrowid or 0)


def end(conn: sqlite3.Connection, zone: str | None, t_ms: int) -> bool:
    """End the zone's hold (or, with None, the supply's) and say whether there was one still running."""
    ended = conn.execute("UPDATE hold SET ended = ?1 WHERE zone IS ?2 AND ended IS NULL AND until > ?1", (t_ms, zone))
    return ended.rowcount > 0


def active(conn: sqlite3.Connection, t_ms: int) -> list[Held]:
    """Return what is in force at an instant, oldest first."""
    rows = conn.execute("SELECT held FROM hold WHERE ended IS NULL AND until > ? ORDER BY id", (t_ms,))
    return [msgspec.json.decode(text, type=Held) for (text,) in rows]
