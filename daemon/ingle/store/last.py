"""``house.last.toml`` beside the database: what the daemon starts from when the database cannot be opened."""

from __future__ import annotations

import os
from pathlib import Path

import msgspec

from ingle.model.house import House

NAME = "house.last.toml"


def path_beside(database: Path) -> Path:
    """Return where the last house of a database lies.

    >>> str(path_beside(Path("/var/lib/ingle/ingle.db")))
    '/var/lib/ingle/house.last.toml'
    """
    return database.with_name(NAME)


def write(database: Path, house: House) -> None:
    """Write a house beside its database so that, whatever happens, the old file or the new one is there."""
    import tomli_w  # noqa: PLC0415 - only when a revision is made

    target = path_beside(database)
    part = target.with_name(target.name + ".part")
    descriptor = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | os.O_CLOEXEC, 0o600)
    with os.fdopen(descriptor, "w", encoding="utf-8") as file:
        file.write(tomli_w.dumps(msgspec.to_builtins(house)))
        file.flush()
        os.fsync(file.fileno())
    part.replace(target)
    folder = os.open(target.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
