"""Opening and migrating real files."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from ingle.errors import Unreachable
from ingle.store import connect
from ingle.store.connect import Link, open_readonly, open_writer, reason, set_pragmas
from ingle.store.readings import insert, select
from ingle.store.schema import MIGRATIONS, VERSION
from reading_makers import reading


def migrate(path: Path) -> subprocess.CompletedProcess[str]:
    """Run the migrations as the daemon does."""
    return subprocess.run(
        [sys.executable, "-m", "ingle.store.migrate", str(path)], capture_output=True, text=True, check=False
    )


def shape(path: Path) -> list[tuple[str, str]]:
    """Return the statements that made a database's tables."""
    conn = sqlite3.connect(path)
    found = conn.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY name").fetchall()
    conn.close()
    return found


def test_migrating_twice_changes_nothing(tmp_path: Path) -> None:
    """The migrations run once each, and a second run leaves the file as it is."""
    path = tmp_path / "ingle.db"
    assert migrate(path).returncode == 0
    before = shape(path)
    assert migrate(path).returncode == 0
    assert shape(path) == before
    conn = open_readonly(path)
    (applied,) = conn.execute("SELECT count(*) FROM _sqlite_migrations").fetchone()
    (version,) = conn.execute("PRAGMA user_version").fetchone()
    conn.close()
    assert (applied, version) == (len(MIGRATIONS), VERSION)


def test_an_interrupted_migration_starts_over(tmp_path: Path) -> None:
    """A migration that fails half-way leaves nothing of itself, and runs whole next time."""
    path = tmp_path / "ingle.db"
    conn = sqlite3.connect(path)
    conn.execute("CREATE TABLE event (id)")  # in the way of a later statement of the first migration
    conn.close()
    assert migrate(path).returncode != 0
    assert [name for name, _ in shape(path) if "_sqlite" not in name] == ["event"]
    conn = sqlite3.connect(path)
    conn.execute("DROP TABLE event")
    conn.close()
    open_writer(path).close()
    assert {"reading", "event", "quarter"} <= {name for name, _ in shape(path)}


def test_a_failed_migration_is_one_sentence(tmp_path: Path) -> None:
    """A migration that cannot run says why in one line, with no traceback, and the opener passes it on."""
    path = tmp_path / "ingle.db"
    path.write_bytes(b"SQLite format 3\x00" + b"\x00" * 4096)
    done = migrate(path)
    assert (done.returncode, done.stderr.count("\n")) == (5, 1)
    with pytest.raises(Unreachable, match=r"ingle\.db"):
        open_writer(path)


def test_durability_is_asked_for_and_checked(link: Link) -> None:
    """The writing connection has the log, syncs every commit, and a refused PRAGMA is an error."""
    answers = [link.execute(f"PRAGMA {name}").fetchone()[0] for name in ("journal_mode", "synchronous")]
    assert answers == ["wal", 2]
    memory = sqlite3.connect(":memory:", isolation_level=None)
    with pytest.raises(sqlite3.OperationalError, match="refuses journal_mode"):
        set_pragmas(memory)  # a database in memory has no write-ahead log
    memory.close()


@pytest.mark.parametrize("beside", [True, False])
def test_readers_work_beside_a_writer_and_without_one(db: Path, *, beside: bool) -> None:
    """A read-only connection sees what is committed, also with the writer gone, and cannot write."""
    with closing(open_writer(db)) as link:
        insert(link, [reading(0, temp_c=19.0)])
        if not beside:
            link.close()
        conn = open_readonly(db)
        assert [each.temp_c for each in select(conn)] == [19.0]
        with pytest.raises(sqlite3.OperationalError):
            conn.execute("DELETE FROM reading")
        conn.close()


def test_readers_refuse_what_they_cannot_read(tmp_path: Path, db: Path) -> None:
    """No database, no database file, another version: each is a sentence with the path."""
    with pytest.raises(Unreachable, match="there is no database"):
        open_readonly(tmp_path / "none.db")
    text = tmp_path / "text.db"
    text.write_text("a letter from Haverlock harbour, long enough to be looked at" * 20)
    with pytest.raises(Unreachable, match="not a database"):
        open_readonly(text)
    for version, words in ((VERSION - 1, "older version"), (VERSION + 1, "newer version")):
        conn = sqlite3.connect(db)
        conn.execute(f"PRAGMA user_version = {version}")
        conn.close()
        with pytest.raises(Unreachable, match=words):
            open_readonly(db)


def test_odd_file_names_are_only_names(tmp_path: Path) -> None:
    """A path with characters that mean something in addresses is opened as it stands."""
    path = tmp_path / "tern house?mode=memory#1.db"
    open_writer(path).close()
    open_readonly(path).close()
    assert path.exists()


def test_every_reason_is_a_phrase() -> None:
    """Each database error that speaks of the disk has words for a person."""
    for code, words in connect._REASONS.items():
        error = sqlite3.OperationalError("raw")
        error.sqlite_errorcode = code
        assert reason(error) == words
        assert connect.is_disk(error)
    assert not connect.is_disk(ValueError("odd"))
