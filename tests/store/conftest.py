"""Real database files."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import pytest
import pytest_asyncio

from ingle.store.connect import Link, open_writer
from ingle.store.db import Store


@pytest.fixture(scope="session", name="made")
def _made(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Return an empty database of this version, made once by the real migrations."""
    path = tmp_path_factory.mktemp("made") / "ingle.db"
    open_writer(path).close()
    return path.read_bytes()


@pytest.fixture(name="db")
def _db(tmp_path: Path, made: bytes) -> Path:
    """Return a database file of this version."""
    path = tmp_path / "ingle.db"
    path.write_bytes(made)
    return path


@pytest.fixture(name="link")
def _link(db: Path) -> Iterator[Link]:
    """Return a writing connection inside a transaction."""
    link = open_writer(db)
    link.execute("BEGIN IMMEDIATE")
    yield link
    link.undo()
    link.close()


@pytest_asyncio.fixture(name="store")
async def _store(db: Path) -> AsyncIterator[Store]:
    """Return an open store whose batches end only when they are told to."""
    store = await Store.open(db, batch_s=600, batch_rows=1000)
    yield store
    await store.close()
