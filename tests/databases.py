"""Empty databases in memory, for laws that need many."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager

from ingle.store.schema import MIGRATIONS


@contextmanager
def fresh() -> Iterator[sqlite3.Connection]:
    """Return an empty database in memory, in a transaction."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        for migration in MIGRATIONS:
            for statement in migration.statements:
                connection.execute(statement)
        connection.execute("BEGIN")
        yield connection
