"""A consistent copy of the database while it is in use."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from ingle.errors import Unreachable
from ingle.store.connect import is_disk, open_readonly, reason

#: Pages copied between two progress reports; 4 MiB at SQLite's usual page size.
PAGES_AT_ONCE = 1024

Progress = Callable[[int, int], None]


def backup(database: Path, folder: Path, when: datetime, progress: Progress | None = None) -> Path:
    """Copy a database into a folder under a name with the time, and return the copy's path.

    The copy is of one instant: a read transaction holds it still while the daemon goes on writing. It appears under
    its name only when it is whole, checked and on the disk.

    Parameters
    ----------
    when
        The time for the name, aware.
    progress
        Called with pages done and pages in all.

    Raises
    ------
    Unreachable
        Where there is no database, it cannot be read, or the copy cannot be written.
    """
    source = open_readonly(database)
    target = folder / f"{database.stem}-{when.astimezone(UTC):%Y%m%dT%H%M%SZ}.db"
    part = target.with_name(target.name + ".part")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        part.unlink(missing_ok=True)
        _copy(source, part, progress)
        part.replace(target)
        _sync(folder)
    except Exception as error:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        if not is_disk(error):
            raise
        words = error.strerror or str(error) if isinstance(error, OSError) else reason(error)
        raise Unreachable(f"{target}: the backup cannot be written: {words}") from error
    finally:
        source.close()
    return target


def _copy(source: sqlite3.Connection, part: Path, progress: Progress | None) -> None:
    source.execute("BEGIN")
    source.execute("SELECT count(*) FROM sqlite_master").fetchone()  # the read transaction begins with the first read
    copy = sqlite3.connect(part, isolation_level=None)
    try:
        copy.execute("PRAGMA synchronous = OFF").fetchall()  # synced once, below
        source.backup(
            copy,
            pages=PAGES_AT_ONCE,
            progress=None if progress is None else lambda _, left, total: progress(total - left, total),
        )
        # A copy is one file: it must not need a write-ahead log beside it.
        copy.execute("PRAGMA journal_mode = DELETE").fetchall()
        (found,) = copy.execute("PRAGMA quick_check(1)").fetchone()
        if found != "ok":
            raise Unreachable(f"the database is damaged ({found}); the copy is not kept")
    finally:
        copy.close()
        source.execute("ROLLBACK")
    _sync(part)


def _sync(path: Path) -> None:
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
