"""A served house."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from ingle.store.db import Store
from served import Served, serving


@pytest.fixture(name="empty", scope="session")
def _empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a database with its schema and nothing else, to be copied."""
    path = tmp_path_factory.mktemp("empty") / "ingle.db"

    async def make() -> None:
        await (await Store.open(path)).close()

    asyncio.run(make())
    return path


@pytest.fixture(name="served")
async def _served(tmp_path: Path, empty: Path) -> AsyncIterator[Served]:
    async with serving(tmp_path, empty=empty) as served:
        yield served
