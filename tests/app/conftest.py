"""A small house, loaded and ready to be served, and outside MQTT clients."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from harness import SMALL_HOUSE, Outside, ingle


@pytest.fixture(name="outside")
def _outside(broker: Any) -> Iterator[Outside]:
    client = Outside(broker.port)
    yield client
    client.close()


@pytest.fixture(name="db")
def _db(tmp_path: Path) -> Path:
    """Return a database that holds the small house."""
    db = tmp_path / "ingle.db"
    house = tmp_path / "house.toml"
    house.write_text(SMALL_HOUSE)
    loaded = ingle("house", "load", str(house), "--db", str(db))
    assert loaded.returncode == 0, loaded.stderr
    return db
