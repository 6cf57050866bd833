"""Connections: how they are opened, what is demanded of them, and what their errors mean to a person."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import ExitStack, closing
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import quote

from ingle.errors import Unreachable
from ingle.model.readings import Source
from ingle.store.schema import VERSION

#: How long a statement waits for another program's lock [ms].
BUSY_MS = 5000
#: Above this size the check at the start would keep a small board waiting; damage then shows on use [bytes].
CHECKED_BYTES = 32 * 1024 * 1024

#: Tables that an interrupted first migration may leave.
OF_MIGRATIONS = frozenset({"_sqlite_migrations", "sqlite_sequence"})

#: Result codes that mean the file itself is not to be trusted.
BROKEN = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB})

_REASONS = {
    sqlite3.SQLITE_FULL: "the disk is full",
    sqlite3.SQLITE_READONLY: "the database or its file system is read-only",
    sqlite3.SQLITE_IOERR: "the disk reports an error",
    sqlite3.SQLITE_CANTOPEN: "the database file cannot be opened",
    sqlite3.SQLITE_BUSY: "another program holds the database",
    sqlite3.SQLITE_LOCKED: "another program holds the database",
    sqlite3.SQLITE_CORRUPT: "the database is damaged",
    sqlite3.SQLITE_NOTADB: "the file is not a database",
    sqlite3.SQLITE_PERM: "access to the database file is denied",
    sqlite3.SQLITE_NOMEM: "the memory is exhausted",
    sqlite3.SQLITE_INTERRUPT: "it was interrupted by the end of the store",
}


def reason(error: BaseException) -> str:
    """Say what a database error means.

    >>> reason(ValueError("odd"))
    'odd'
    """
    code = getattr(error, "sqlite_errorcode", None)
    known = None if code is None else _REASONS.get(code & 0xFF)
    return known or str(error)


def is_disk(error: BaseException) -> bool:
    """Whether an error speaks of the disk or the file, not of a statement that is wrong in itself."""
    code = getattr(error, "sqlite_errorcode", None)
    return isinstance(error, OSError) or (code is not None and code & 0xFF in _REASONS)


def is_damage(error: BaseException) -> bool:
    """Whether an error says that the file itself is not to be trusted."""
    return getattr(error, "sqlite_errorcode", 0) & 0xFF in BROKEN


@dataclass(slots=True)
class Caches:
    """What a writing connection remembers of its tables; void whenever a transaction is rolled back."""

    series: dict[Source, int] = field(default_factory=dict)
    boots: dict[str, int] = field(default_factory=dict)
    with_energy: set[int] = field(default_factory=set)

    def forget(self) -> None:
        """Drop all: what a rolled back transaction had added is gone."""
        self.series.clear()
        self.boots.clear()
        self.with_energy.clear()


class Link(sqlite3.Connection):
    """A writing connection with its caches, and what is to be done once its transaction is committed."""

    caches: Caches
    after_commit: list[Callable[[], None]]
    path: Path

    def undo(self) -> None:
        """Roll back and forget what the transaction had added."""
        self.after_commit.clear()
        self.caches.forget()
        if self.in_transaction:
            self.rollback()

    def done(self) -> None:
        """Run what waited for the commit."""
        waiting, self.after_commit = self.after_commit, []
        for each in waiting:
            each()


def set_pragmas(connection: sqlite3.Connection) -> None:
    """Ask for what durability needs and check each answer: an unread PRAGMA can fail in silence.

    WAL with FULL: every commit is on the disk before it is acknowledged to anybody; batches keep the number of
    commits low (https://sqlite.org/pragma.html#pragma_synchronous).
    """
    wanted: tuple[tuple[str, int | str, int | str], ...] = (
        ("busy_timeout", BUSY_MS, BUSY_MS),
        ("journal_mode", "WAL", "wal"),
        ("synchronous", "FULL", 2),
        ("temp_store", "MEMORY", 2),
        ("journal_size_limit", 16_777_216, 16_777_216),
    )
    for name, value, expected in wanted:
        connection.execute(f"PRAGMA {name} = {value}").fetchall()
        (answer,) = connection.execute(f"PRAGMA {name}").fetchone()
        if answer != expected:
            raise sqlite3.OperationalError(f"the database refuses {name} = {value}: it answers {answer}")


def open_writer(path: Path) -> Link:
    """Open the one writing connection; the caller holds the lock.

    A missing database is created and an older one brought to this version, in a short process of its own.

    Raises
    ------
    Unreachable
        Where the file must be left alone: damaged, no database, or made by a newer version.
    sqlite3.Error, OSError
        Where the disk does not play along, which may pass.
    """
    if _version(path) < VERSION:
        _migrate(path)
    link = sqlite3.connect(path, isolation_level=None, factory=Link, check_same_thread=False)
    link.caches, link.after_commit, link.path = Caches(), [], path
    set_pragmas(link)
    return link


def _version(path: Path) -> int:
    """Return the schema version of a database file, 0 for none, and refuse one that cannot be used."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.touch(0o600)  # when somebody is at home can be read from it
    if path.stat().st_size == 0:
        return 0
    connection = sqlite3.connect(path, isolation_level=None)
    try:
        connection.execute(f"PRAGMA busy_timeout = {BUSY_MS}").fetchall()
        (version,) = connection.execute("PRAGMA user_version").fetchone()
        _refuse_newer(path, version)
        tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        if version == 0 and tables - OF_MIGRATIONS:
            raise Unreachable(f"{path}: it is a database, but not one of ingle's; it is left alone")
        if path.stat().st_size <= CHECKED_BYTES:
            (found,) = connection.execute("PRAGMA quick_check(1)").fetchone()
            if found != "ok":
                raise Unreachable(f"{path}: the database is damaged ({found}); it is left as it is")
    except sqlite3.DatabaseError as error:
        if is_damage(error):
            raise Unreachable(f"{path}: {reason(error)}; it is left as it is") from error
        raise
    finally:
        connection.close()
    return int(version)


def _refuse_newer(path: Path, version: int) -> None:
    if version > VERSION:
        raise Unreachable(
            f"{path}: made by a newer version of ingle (schema {version}, this one knows {VERSION}); "
            "it is left as it is: install that version again, or restore a backup"
        )


def _migrate(path: Path) -> None:
    ended = subprocess.run(  # noqa: S603 - our own module, with a path that never meets a shell
        [sys.executable, "-m", "ingle.store.migrate", str(path)], capture_output=True, text=True, check=False
    )
    if ended.returncode == 0:
        return
    words = ended.stderr.strip().splitlines()[-1:] or ["it ended without a word"]
    if ended.returncode == 4:
        raise sqlite3.OperationalError(words[0])
    raise Unreachable(f"{path}: cannot be brought to schema {VERSION}: {words[0]}; it is left as it is")


def open_readonly(path: Path) -> sqlite3.Connection:
    """Open a database for reading only, beside a running daemon or without one.

    Raises
    ------
    Unreachable
        Where there is none, it cannot be read, or another version of ingle made it.
    """
    if not path.exists():
        raise Unreachable(f"{path}: there is no database; `ingle house load` or `ingle serve` makes one")
    with ExitStack() as unless_fine:
        try:
            connection = unless_fine.enter_context(closing(_connect_readonly(path)))
            (version,) = connection.execute("PRAGMA user_version").fetchone()
        except sqlite3.Error as error:
            raise Unreachable(f"{path}: {reason(error)}") from error
        _refuse_newer(path, version)
        if version < VERSION:
            raise Unreachable(f"{path}: made by an older version of ingle; `ingle serve` brings it up to date")
        unless_fine.pop_all()
    return connection


def _connect_readonly(path: Path) -> sqlite3.Connection:
    where = f"file:{quote(str(path.absolute()))}?mode=ro"
    connection = sqlite3.connect(where, uri=True, isolation_level=None, check_same_thread=False)
    try:
        connection.execute(f"PRAGMA busy_timeout = {BUSY_MS}").fetchall()
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    except sqlite3.Error as error:
        connection.close()
        if not isinstance(error, sqlite3.OperationalError):
            raise
        # On a read-only file system WAL cannot make its index. Without a log beside it the file alone is the truth.
        log = path.with_name(path.name + "-wal")
        if log.exists() and log.stat().st_size > 0:
            raise
        connection = sqlite3.connect(where + "&immutable=1", uri=True, isolation_level=None, check_same_thread=False)
    connection.execute("PRAGMA query_only = 1").fetchall()
    return connection
