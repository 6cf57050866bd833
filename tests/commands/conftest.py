"""A running house on a fake clock and a real database."""

from __future__ import annotations

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


@pytest.fixture(name="store")
async def _store(tmp_path: Path, clock: FakeClock) -> AsyncIterator[Store]:
    store = await Store.open(tmp_path / "ingle.db", clock=clock)
    yield store
    await store.close()


@pytest.fixture(name="running")
async def _running(store: Store, clock: FakeClock) -> Running:
    running = Running(store, clock)
    await running.start()
    return running
