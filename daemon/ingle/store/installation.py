"""Which installation this is: an id that is made with the database and stays with it."""

from __future__ import annotations

import sqlite3


def installation_id(connection: sqlite3.Connection) -> str:
    """Return the database's id: 16 hexadecimal digits."""
    row: tuple[str] = connection.execute("SELECT id FROM installation").fetchone()
    return row[0]
