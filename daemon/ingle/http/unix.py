"""The socket beside the database, also where its path is longer than a socket's may be.

The kernel takes at most 107 bytes of path. A longer one is reached through its folder, opened and named by number.
"""

from __future__ import annotations

import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

_LONGEST: Final = 107


def socket_path(database: Path) -> Path:
    """Return where the desk of a database is.

    >>> str(socket_path(Path("ingle.db")))
    'ingle.db.sock'
    """
    return database.with_name(database.name + ".sock")


def bind(path: Path) -> socket.socket:
    """Return a socket that listens at a path, readable by its owner only; what a crash left there is replaced.

    Raises
    ------
    OSError
        Where it cannot be made.
    """
    listening = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
    # The file has these rights from its first moment on.
    before = os.umask(0o177)
    try:
        with suppress(FileNotFoundError):
            path.unlink()
        with _short(path) as name:
            listening.bind(name)
    except OSError:
        listening.close()
        raise
    finally:
        os.umask(before)
    return listening


def connect(path: Path, timeout_s: float) -> socket.socket:
    """Return a connection to the socket at a path.

    Raises
    ------
    OSError
        Where nobody listens there.
    """
    connection = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
    connection.settimeout(timeout_s)
    try:
        with _short(path) as name:
            connection.connect(name)
    except OSError:
        connection.close()
        raise
    return connection


@contextmanager
def _short(path: Path) -> Iterator[str]:
    """Give a name of a path that a socket can take."""
    if len(os.fsencode(path)) <= _LONGEST:
        yield str(path)
        return
    folder = os.open(path.parent, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    try:
        yield f"/proc/self/fd/{folder}/{path.name}"
    finally:
        os.close(folder)
