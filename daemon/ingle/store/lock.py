"""The lock that says who writes a database: the daemon, or one command while no daemon runs.

It is the kernel's lock on a file beside the database: it ends with its process, however that ends. The file stays;
removing it would let two processes hold locks on two files of one name.
"""

from __future__ import annotations

import fcntl
import os
from pathlib import Path
from types import TracebackType
from typing import Self

from ingle.errors import Unreachable


class Lock:
    """A held lock; leaving the ``with`` block or ``release`` gives it back."""

    def __init__(self, descriptor: int) -> None:
        self._descriptor: int | None = descriptor

    def release(self) -> None:
        """Give the lock back; a second time does nothing."""
        descriptor, self._descriptor = self._descriptor, None
        if descriptor is not None:
            os.close(descriptor)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.release()


def lock_path(database: Path) -> Path:
    """Return the lock file of a database.

    >>> str(lock_path(Path("ingle.db")))
    'ingle.db.lock'
    """
    return database.with_name(database.name + ".lock")


def try_lock(database: Path) -> Lock | None:
    """Take the lock of a database, or return None where another process holds it.

    Raises
    ------
    Unreachable
        Where the lock file cannot be made.
    """
    path = lock_path(database)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    except OSError as error:
        raise Unreachable(f"{path}: cannot be made: {error.strerror or error}") from error
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(descriptor)
        return None
    return Lock(descriptor)


def take_lock(database: Path) -> Lock:
    """Take the lock of a database.

    Raises
    ------
    Unreachable
        Where another process holds it.
    """
    lock = try_lock(database)
    if lock is None:
        raise Unreachable(f"{database}: in use by a running ingle")
    return lock
