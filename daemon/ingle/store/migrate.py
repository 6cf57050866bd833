"""``python -m ingle.store.migrate PATH``: bring a database to this version's schema, then end.

It is a process of its own because sqlite-utils loads numpy wherever that is installed, and the process that serves
the house for months should carry neither. Each migration shares one transaction with the record that it ran and with
the new ``user_version``: killed at any point, it has either happened or not.
"""

from __future__ import annotations

import sqlite3
import sys
from collections.abc import Callable

import sqlite_utils
from sqlite_utils import Migrations

from ingle.store.connect import is_damage, reason, set_pragmas
from ingle.store.schema import MIGRATIONS, Migration

#: Exit codes: the parent tells a full disk, which may pass, from a database that must be left alone.
DONE, DISK, DAMAGED = 0, 4, 5


def migrate(path: str) -> None:
    """Apply what is pending."""
    with_pragmas = sqlite3.connect(path, isolation_level=None)
    set_pragmas(with_pragmas)
    migrations = Migrations("ingle")
    for version, migration in enumerate(MIGRATIONS, start=1):
        migrations(name=migration.name)(_step(migration, version))
    migrations.apply(sqlite_utils.Database(with_pragmas))
    with_pragmas.close()


def _step(migration: Migration, version: int) -> Callable[[sqlite_utils.Database], None]:
    def run(database: sqlite_utils.Database) -> None:
        for statement in migration.statements:
            database.conn.execute(statement)
        database.conn.execute(f"PRAGMA user_version = {version}")

    return run


def main(path: str) -> int:
    """Migrate, and say on stderr in one line what went wrong."""
    try:
        migrate(path)
    except sqlite3.Error as error:
        sys.stderr.write(f"{reason(error)}\n")
        return DAMAGED if is_damage(error) else DISK
    return DONE


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
