"""Bills as they were entered. The table holds what stands now; who changed it, and what it was, are events."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple

import msgspec

from ingle.model.bills import Bill


class Numbered(NamedTuple):
    """A bill and the number it was given; numbers are never given twice."""

    number: int
    bill: Bill


def every(conn: sqlite3.Connection) -> list[Numbered]:
    """Return all bills by their first day."""
    found = [_numbered(row) for row in conn.execute("SELECT number, document FROM bill ORDER BY number")]
    return sorted(found, key=lambda each: (each.bill.start, each.bill.kind, each.number))


def find(conn: sqlite3.Connection, number: int) -> Numbered | None:
    """Return a bill by its number, or None."""
    row = conn.execute("SELECT number, document FROM bill WHERE number = ?", (number,)).fetchone()
    return None if row is None else _numbered(row)


def add(conn: sqlite3.Connection, bill: Bill) -> Numbered:
    """Keep a bill inside the caller's transaction and give it a number."""
    cursor = conn.execute("INSERT INTO bill (document) VALUES (?)", (_document(bill),))
    return Numbered(int(cursor.lastrowid or 0), bill)


def replace(conn: sqlite3.Connection, number: int, bill: Bill) -> Numbered:
    """Put another bill in a bill's place inside the caller's transaction."""
    conn.execute("UPDATE bill SET document = ? WHERE number = ?", (_document(bill), number))
    return Numbered(number, bill)


def remove(conn: sqlite3.Connection, number: int) -> None:
    """Remove a bill inside the caller's transaction."""
    conn.execute("DELETE FROM bill WHERE number = ?", (number,))


def _document(bill: Bill) -> str:
    return msgspec.json.encode(bill).decode()


def _numbered(row: tuple[int, str]) -> Numbered:
    return Numbered(row[0], msgspec.json.decode(row[1], type=Bill))
