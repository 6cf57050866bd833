"""Verdicts as they were given: kept whole, never changed, with the design of their day."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import msgspec
import pytest

from ingle.design import design_house
from ingle.reports.assess import assess
from ingle.store import verdicts
from ingle.store.connect import open_writer
from ingle.store.houses import current, digest, save
from ingle.store.readings import insert
from verdict.still import still_house, still_readings

NOW_MS = 1_770_000_000_000


@pytest.fixture(name="conn", scope="module")
def _conn(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sqlite3.Connection]:
    with closing(open_writer(tmp_path_factory.mktemp("looks") / "ingle.db")) as conn:
        conn.execute("BEGIN IMMEDIATE")
        insert(conn, list(still_readings(60, 30, every_s=1800)))
        house = still_house()
        save(conn, house, who="a", why="surveyed", t_ms=1, design_version=design_house(house).design_version)
        verdicts.save(conn, assess(conn, house, design_house(house)), t_ms=NOW_MS, digest=digest(house))
        conn.execute("COMMIT")
        yield conn


def test_an_old_look_keeps_the_design_of_its_day(conn: sqlite3.Connection) -> None:
    """After the survey is edited the look still shows the version that it was compared with, and its figure."""
    before = verdicts.history(conn, "hall")[0]
    house = still_house()
    edited = msgspec.structs.replace(
        house, zones=tuple(msgspec.structs.replace(zone, given_w_per_k=50.0) for zone in house.zones)
    )
    conn.execute("BEGIN IMMEDIATE")
    save(conn, edited, who="a", why="edited", t_ms=2, design_version=design_house(edited).design_version)
    number = verdicts.save(conn, assess(conn, edited, design_house(edited)), t_ms=NOW_MS + 1, digest=digest(edited))
    newer, older = verdicts.history(conn, "hall")
    conn.execute("ROLLBACK")
    assert older == before
    assert newer.number == number
    assert (older.zones[0].design_w_per_k, newer.zones[0].design_w_per_k) == (40.0, 50.0)
    assert older.design_version == design_house(house).design_version != newer.design_version


def test_a_look_can_be_worked_out_again(conn: sqlite3.Connection) -> None:
    """From the readings of its span, the revision that its digest names and its method: the same assessment."""
    look = verdicts.history(conn)[0]
    revision = current(conn)
    assert revision is not None
    assert revision.digest == look.digest
    again = assess(conn, revision.house, design_house(revision.house))
    assert (again.start, again.end, again.method_version) == (look.start, look.end, look.method_version)
    assert verdicts.whole(conn, look.number) == again


@pytest.mark.parametrize("statement", ["UPDATE look SET document = '{}'", "DELETE FROM look"])
def test_a_look_is_never_changed(conn: sqlite3.Connection, statement: str) -> None:
    """The database itself refuses."""
    with pytest.raises(sqlite3.IntegrityError, match="a verdict is never"):
        conn.execute(statement)


def test_history_is_of_one_zone_where_asked(conn: sqlite3.Connection) -> None:
    """Newest first, no more than asked; nothing before the first look."""
    assert [zone.id for zone in verdicts.history(conn, "loft", 1)[0].zones] == ["loft"]
    assert {zone.id for zone in verdicts.history(conn)[0].zones} == {"hall", "loft"}
    assert verdicts.newest_ms(conn) == NOW_MS
    assert verdicts.whole(conn, 99) is None


def test_a_database_without_looks_says_so(tmp_path: Path) -> None:
    """No look, no time of one."""
    with closing(open_writer(tmp_path / "ingle.db")) as conn:
        assert verdicts.newest_ms(conn) is None
        assert verdicts.history(conn) == ()
