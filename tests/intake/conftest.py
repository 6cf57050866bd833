"""An intake with its store and state of now; and a database with a house in it, as tables of readings."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import AsyncIterator, Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from fakes import FakeClock
from ingle.config.house import parse_house
from ingle.intake import Intake, exports, imports, table
from ingle.live.state import Live
from ingle.model.house import House
from ingle.model.instants import from_ms, to_ms
from ingle.store import houses
from ingle.store.connect import Link, open_writer
from ingle.store.db import Store
from reading_makers import START_MS
from small_house import HOUSE as SMALL_HOUSE

HOUSE = """
[house]
name = "Net Store"
timezone = "Europe/London"
outdoor_design_c = -2.0

[[zone]]
id = "loft"
name = "Net Loft"
floor_area_m2 = 25.0
volume_m3 = 58.5
[[zone.heater]]
id = "loft-1"
rated_w = 1500
[[zone.heater]]
id = "loft-2"
rated_w = 750

[[zone]]
id = "hall"
name = "Hall"
floor_area_m2 = 8.0
volume_m3 = 20.0
[[zone.heater]]
id = "hall-1"
rated_w = 1000

[[sensor]]
id = "loft-air"
zone = "loft"

[[meter]]
id = "main"
"""
NOW_MS = to_ms(datetime(2026, 2, 1, tzinfo=UTC))
HEAD = ",".join(table.COLUMNS)


class Book:
    """A database as a table: lines in, lines out."""

    def __init__(self, path: Path) -> None:
        self.conn: Link = open_writer(path)

    @property
    def house(self) -> House:
        """The house that is loaded."""
        revision = houses.current(self.conn)
        assert revision is not None
        return revision.house

    def take(self, *lines: str, head: str = HEAD, now_ms: int = NOW_MS) -> imports.Taken:
        """Import rows below a header."""
        return imports.take(self.conn, table.header(head), lines, first_line=2, now_ms=now_ms)

    def text(self) -> str:
        """Export everything."""
        return "".join(exports.lines(self.conn, exports.plan(self.conn)))

    def rows(self) -> list[str]:
        """Export the lines below the header."""
        return self.text().splitlines()[1:]


@pytest.fixture(name="blank", scope="session")
def _blank(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make a database with the house and no readings, to be copied."""
    path = tmp_path_factory.mktemp("blank") / "blank.db"
    conn = open_writer(path)
    houses.save(conn, parse_house(HOUSE, "house.toml"), who="Wenna", why="", t_ms=NOW_MS)
    conn.close()
    return path


@pytest.fixture(name="new_book")
def _new_book(tmp_path: Path, blank: Path) -> Iterator[Callable[[], Book]]:
    made: list[Book] = []

    def make() -> Book:
        path = tmp_path / f"book-{len(made)}.db"
        shutil.copyfile(blank, path)
        made.append(Book(path))
        return made[-1]

    yield make
    for book in made:
        book.conn.close()


@pytest.fixture(name="book")
def _book(new_book: Callable[[], Book]) -> Book:
    return new_book()


@pytest.fixture(name="empty")
def _empty(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    conn = open_writer(tmp_path / "empty.db")
    yield conn
    conn.close()


@pytest.fixture(name="clock")
def _clock() -> FakeClock:
    return FakeClock(from_ms(START_MS))


@pytest.fixture(name="db")
def _db(tmp_path: Path) -> Path:
    return tmp_path / "ingle.db"


@pytest.fixture(name="store")
async def _store(db: Path) -> AsyncIterator[Store]:
    """Open a store that waits to be asked before it commits."""
    store = await Store.open(db, batch_s=3600.0)
    yield store
    await store.close()


@pytest.fixture(name="live")
def _live(clock: FakeClock) -> Live:
    live = Live(clock)
    live.set_house(SMALL_HOUSE)
    live.set_clock("trusted", "trusted")
    return live


@pytest.fixture(name="intake")
def _intake(store: Store, live: Live, clock: FakeClock) -> Intake:
    return Intake(store, live, clock)
