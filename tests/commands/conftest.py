"""A running house on a fake clock and a real database."""

from __future__ import annotations

import asyncio
import shutil
from collections.abc import AsyncIterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from fakes import FakeClock
from ingle.store.db import Store
from running import Running


@pytest.fixture(name="clock")
def _clock() -> FakeClock:
    return FakeClock(datetime(2026, 1, 12, 6, 0, tzinfo=UTC))


@pytest.fixture(name="empty", scope="session")
def _empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return an empty database; making its tables takes a child process, which need not run for every test."""

    async def make(path: Path) -> None:
        await (await Store.open(path)).close()

    path = tmp_path_factory.mktemp("empty") / "ingle.db"
    asyncio.run(make(path))
    return path


@pytest.fixture(name="store")
async def _store(tmp_path: Path, clock: FakeClock, empty: Path) -> AsyncIterator[Store]:
    shutil.copy(empty, tmp_path / "ingle.db")
    store = await Store.open(tmp_path / "ingle.db", clock=clock)
    yield store
    await store.close()


@pytest.fixture(name="running")
async def _running(store: Store, clock: FakeClock) -> Running:
    running = Running(store, clock)
    await running.start()
    return running
