"""Writing without a daemon: one transaction under the lock."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ingle.errors import Unreachable
from ingle.store.connect import Link, is_disk, open_writer, reason


@contextmanager
def transaction(path: Path) -> Iterator[Link]:
    """Open a database, creating a missing one, and commit what the block writes; the caller holds the lock.

    Raises
    ------
    Unreachable
        Where the database cannot be opened or written; nothing is then changed.
    """
    try:
        link = open_writer(path)
    except (sqlite3.Error, OSError) as error:
        raise Unreachable(f"{path}: {reason(error)}") from error
    try:
        link.execute("BEGIN IMMEDIATE")
        yield link
        link.execute("COMMIT")
        link.done()
    except (sqlite3.Error, OSError) as error:
        if not is_disk(error):
            raise
        raise Unreachable(f"{path}: {reason(error)}") from error
    finally:
        if link.in_transaction:
            link.undo()
        link.close()
