"""The store's async face and its writer thread, on real files."""

from __future__ import annotations

import asyncio
import resource
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import pytest

from fakes import FakeClock
from ingle.errors import Refused, Unreachable
from ingle.store import events, writer
from ingle.store.connect import open_readonly, open_writer
from ingle.store.db import Store
from ingle.store.readings import Outcome, newest, select
from reading_makers import HALL, LOFT, reading


async def until(condition: Callable[[], bool], what: str) -> None:
    """Wait until a condition holds, for ten seconds at most."""
    deadline = time.monotonic() + 10
    while not condition():
        assert time.monotonic() < deadline, f"not within ten seconds: {what}"
        await asyncio.sleep(0.005)


def count(conn: sqlite3.Connection) -> int:
    """Return the number of stored readings."""
    number: int = conn.execute("SELECT count(*) FROM reading").fetchone()[0]
    return number


def stored_beside(path: Path) -> int:
    """Return the number of readings that another connection sees."""
    conn = open_readonly(path)
    try:
        return count(conn)
    finally:
        conn.close()


async def test_committed_means_committed(store: Store) -> None:
    """The call-back comes on the writer's thread, after COMMIT, with one outcome for each reading."""
    seen: list[tuple[Sequence[Outcome], int, str]] = []

    def committed(outcomes: Sequence[Outcome]) -> None:
        seen.append((outcomes, stored_beside(store.path), threading.current_thread().name))

    store.append([reading(0, temp_c=19.0), reading(1)], committed)
    store.append([reading(0, temp_c=25.0)], committed)
    assert (stored_beside(store.path), store.health().waiting) == (0, 3)
    store.close_batch()
    await until(lambda: len(seen) == 2, "both call-backs")
    assert [outcomes for outcomes, _, _ in seen] == [["stored", "stored"], ["conflict"]]
    assert {(rows, thread) for _, rows, thread in seen} == {(2, "ingle-store-writer")}
    assert store.health().waiting == 0


async def test_a_full_batch_is_written(db: Path) -> None:
    """A batch that is full does not wait for its time."""
    store = await Store.open(db, batch_s=600, batch_rows=3)
    for at in range(3):
        store.append([reading(at)])
    await until(lambda: stored_beside(db) == 3, "the batch is written")
    await store.close()


async def test_a_reading_waits_for_its_batch_time_at_most(db: Path) -> None:
    """A single reading is written when its time is over."""
    store = await Store.open(db, batch_s=0.05, batch_rows=1000)
    store.append([reading(0)])
    await until(lambda: stored_beside(db) == 1, "the batch is written")
    await store.close()


async def test_a_write_takes_the_running_batch_along(store: Store) -> None:
    """A job sees all readings that came before it, and its answer comes after one COMMIT for both."""
    store.append([reading(0), reading(1)])
    assert await store.write(count) == 2
    assert stored_beside(store.path) == 2


async def test_a_failing_write_is_undone_alone(store: Store) -> None:
    """What a job raises comes back; its own rows are gone, the batch and other jobs stand."""

    def fails(conn: sqlite3.Connection) -> None:
        events.record(conn, 0, "test", "house", {})
        raise Refused("no")

    store.append([reading(0)])
    good, bad = await asyncio.gather(
        store.write(lambda conn: events.record(conn, 0, "kept", "house", {})),
        store.write(fails),
        return_exceptions=True,
    )
    assert good == 1
    assert isinstance(bad, Refused)
    kinds = [event.kind for event in await store.read(lambda conn: events.since(conn, 0))]
    assert (kinds, stored_beside(store.path)) == (["kept"], 1)


async def test_a_wrong_statement_is_the_callers_error(store: Store) -> None:
    """A job with wrong SQL does not make the store believe that the disk fails."""
    with pytest.raises(sqlite3.OperationalError):
        await store.write(lambda conn: conn.execute("SELECT nothing FROM nowhere"))
    with pytest.raises(sqlite3.OperationalError):
        await store.read(lambda conn: conn.execute("SELECT nothing FROM nowhere"))
    assert store.health().ok


async def test_a_reading_that_no_database_takes_is_dropped_alone(
    store: Store, caplog: pytest.LogCaptureFixture
) -> None:
    """A value of the wrong kind neither stops the writer nor takes its neighbours along, and is never acknowledged."""
    done: list[str] = []
    store.append([reading(0)], lambda _: done.append("first"))
    store.append([reading(1, temp_c="warm")], lambda _: done.append("wrong"))
    store.append([reading(2)], lambda _: done.append("last"))
    assert await store.write(count) == 2
    assert done == ["first", "last"]
    assert "dropped" in caplog.text
    assert (store.health().ok, store.health().waiting) == (True, 0)


async def test_a_failing_call_back_harms_nobody(store: Store, caplog: pytest.LogCaptureFixture) -> None:
    """What one call-back raises is logged in a line; the next is called all the same."""
    done: list[str] = []

    def fails(_: Sequence[Outcome]) -> None:
        raise ValueError("gone")

    store.append([reading(0)], fails)
    store.append([reading(1)], lambda _: done.append("told"))
    assert await store.write(count) == 2
    assert done == ["told"]
    assert "Traceback" not in caplog.text


async def test_closing_writes_what_waits(db: Path) -> None:
    """Nothing that was appended before close is lost; afterwards the store says that it is closed."""
    store = await Store.open(db, batch_s=600)
    store.append([reading(0)])
    assert await store.read(count) == 0
    await store.close()
    await store.close()
    assert [path.name for path in db.parent.iterdir()] == [db.name]  # the log is folded into the file
    assert stored_beside(db) == 1
    for attempt in (store.write(count), store.read(count)):
        with pytest.raises(Unreachable, match="closed"):
            await attempt


async def test_a_missing_database_is_created(tmp_path: Path) -> None:
    """Opening makes folder and file, readable by their owner only, and a second opening finds what the first wrote."""
    path = tmp_path / "data" / "house.db"
    store = await Store.open(path)
    store.append([reading(0, temp_c=19.0), reading(0, HALL)])
    await store.close()
    assert path.stat().st_mode & 0o077 == 0
    store = await Store.open(path)
    assert set(await store.read(newest)) == {LOFT, HALL}
    await store.close()


async def test_an_idle_writer_shows_that_it_lives(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Progress grows though there is nothing to write, so that a watchdog can tell idle from stuck."""
    monkeypatch.setattr(writer, "IDLE_S", 0.01)
    store.close_batch()
    before = store.health().progress
    await until(lambda: store.health().progress > before + 3, "progress grows")


# Disks that refuse.


@contextmanager
def largest_file(size: int) -> Iterator[None]:
    """Let no file of this process grow beyond a size: SQLite's writes then fail as on a failing disk."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.fixture(name="impatient")
def _impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """Try a disk again after milliseconds, not seconds."""
    monkeypatch.setattr(writer, "FIRST_PAUSE_S", 0.02)
    monkeypatch.setattr(writer, "LONGEST_PAUSE_S", 0.05)


async def test_a_disk_that_refuses_is_said_and_recovers_by_itself(db: Path, impatient: None) -> None:
    """Readings stay unacknowledged in memory while the disk refuses, and are committed once it takes them again."""
    del impatient
    clock = FakeClock()
    store = await Store.open(db, batch_s=0.01, clock=clock)
    assert await store.write(count) == 0
    acknowledged: list[Outcome] = []
    with largest_file(1000):
        store.append([reading(at, fault="x" * 100) for at in range(3000)], acknowledged.extend)
        await until(lambda: not store.health().ok, "the store says that it cannot write")
        with pytest.raises(Unreachable, match="cannot be written: the disk"):
            await store.write(count)
        health = store.health()
        assert (health.since, health.waiting, acknowledged) == (clock.now(), 3000, [])
        before = health.progress
        await until(lambda: store.health().progress > before, "the writer lives on")
    await until(lambda: store.health().ok, "the store recovers")
    assert acknowledged == ["stored"] * 3000
    assert stored_beside(db) == 3000
    assert store.health() == writer.StoreHealth(ok=True, progress=store.health().progress)
    await store.close()


async def test_a_full_database_recovers_without_new_readings(db: Path, impatient: None) -> None:
    """SQLITE_FULL itself: the job is told, and the store finds out alone that there is room again."""
    del impatient
    store = await Store.open(db)
    (pages,) = await store.write(lambda conn: conn.execute("PRAGMA page_count").fetchone())
    await store.write(lambda conn: conn.execute(f"PRAGMA max_page_count = {pages}").fetchone())
    with pytest.raises(Unreachable, match="full"):
        await store.write(lambda conn: events.record(conn, 0, "test", "house", {"text": "x" * 20_000}))
    await until(lambda: store.health().ok, "a page can be written again")
    assert await store.read(lambda conn: events.since(conn, 0)) == []
    await store.close()


async def test_memory_is_bounded_while_the_disk_refuses(
    db: Path, impatient: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Beyond the bound the oldest readings are let go without having been acknowledged, and counted."""
    del impatient
    monkeypatch.setattr(writer, "MOST_ROWS", 50)
    store = await Store.open(db, batch_s=0.01, batch_rows=10)
    told: list[int] = []
    with largest_file(1):
        for at in range(120):
            store.append([reading(at)], lambda _, at=at: told.append(at))  # type: ignore[misc] # a lambda's default
        await until(lambda: not store.health().ok and store.health().dropped > 0, "the oldest are let go")
        assert store.health().waiting <= 60
        assert told == []
    await until(lambda: store.health().ok, "the store recovers")
    dropped = store.health().dropped
    assert told == list(range(dropped, 120))
    assert await store.write(count) == 120 - dropped
    await store.close()


async def test_a_store_that_cannot_be_opened_keeps_trying(tmp_path: Path, impatient: None) -> None:
    """Where the database's folder cannot be made the store still opens, says so, and starts once it can."""
    del impatient
    (tmp_path / "data").write_text("in the way")
    path = tmp_path / "data" / "ingle.db"
    store = await Store.open(path, batch_s=0.01)
    assert not store.health().ok
    told: list[Outcome] = []
    store.append([reading(0)], told.extend)
    with pytest.raises(Unreachable):
        await store.read(count)
    (tmp_path / "data").unlink()
    await until(lambda: store.health().ok, "the store opens at last")
    assert told == ["stored"]
    assert await store.read(count) == 1
    await store.close()


async def test_another_programs_lock_is_waited_for(store: Store, impatient: None) -> None:
    """While another program holds the database readings wait in memory; they are stored when it lets go."""
    del impatient
    await store.write(lambda conn: conn.execute("PRAGMA busy_timeout = 20").fetchone())
    with sqlite3.connect(store.path, isolation_level=None) as other:
        other.execute("BEGIN IMMEDIATE")
        store.append([reading(0)])
        store.close_batch()
        await until(lambda: store.health().reason == "another program holds the database", "the lock is met")
        other.execute("ROLLBACK")
    other.close()
    await until(lambda: store.health().ok, "the reading is stored")
    assert stored_beside(store.path) == 1


async def test_a_closing_store_does_not_wait_for_a_disk_that_refuses(db: Path) -> None:
    """Closing tries once more and then ends, with whatever could not be written unacknowledged."""
    store = await Store.open(db, batch_s=600)
    told: list[Outcome] = []
    with largest_file(1):
        store.append([reading(0)], told.extend)
        await store.close()
    assert told == []
    assert stored_beside(db) == 0


# Files that must be left alone.


def damaged(path: Path, made: bytes) -> None:
    """Overwrite the middle of a database."""
    half = len(made) // 2
    path.write_bytes(made[:half] + b"\x5a" * 8192 + made[half + 8192 :])


def foreign(path: Path, _: bytes) -> None:
    """Make a database of something else."""
    conn = sqlite3.connect(path)
    conn.execute("CREATE TABLE stamps (id)")
    conn.close()


def newer(path: Path, made: bytes) -> None:
    """Make a database of a later version."""
    path.write_bytes(made)
    conn = sqlite3.connect(path)
    conn.execute("PRAGMA user_version = 99")
    conn.close()


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda path, _: path.write_bytes(b"not a database, but long enough to be looked at " * 50), "not a database"),
        (lambda path, made: path.write_bytes(made[: len(made) // 2 + 100]), "damaged"),
        (damaged, "damaged"),
        (foreign, "not one of ingle's"),
        (newer, "newer version of ingle"),
    ],
)
async def test_a_file_that_is_not_ours_to_write_is_left_alone(
    tmp_path: Path, made: bytes, spoil: Callable[[Path, bytes], object], words: str
) -> None:
    """Damaged, foreign and newer files are refused with a sentence, and not one byte of them is changed."""
    path = tmp_path / "ingle.db"
    spoil(path, made)
    before = path.read_bytes()
    with pytest.raises(Unreachable, match=words):
        await Store.open(path)
    assert path.read_bytes() == before


# Kills.

VICTIM = """
import asyncio, sys
from pathlib import Path
from ingle.store import events
from ingle.store.db import Store
from reading_makers import reading

async def main():
    store = await Store.open(Path(sys.argv[1]), batch_s=0.002, batch_rows=20)
    at = int(sys.argv[2])
    def tell(first):
        return lambda outcomes: print(first, first + 1, flush=True)
    while True:
        store.append([reading(at, seq=at, boot="b"), reading(at + 1, seq=at + 1, boot="b")], tell(at))
        at += 2
        await asyncio.sleep(0.0005)

asyncio.run(main())
"""


def test_a_kill_loses_nothing_that_was_committed(db: Path) -> None:
    """Killed at a random moment, again and again, the database has all that was reported, and pairs stay whole."""
    reported: set[int] = set()
    start = 0
    for lines in (1, 7, 30, 60):
        victim = subprocess.Popen(
            [sys.executable, "-c", VICTIM, str(db), str(start)],
            stdout=subprocess.PIPE,
            text=True,
            cwd=Path(__file__).parents[1],
        )
        assert victim.stdout is not None
        for _ in range(lines):
            reported.update(map(int, victim.stdout.readline().split()))
        victim.send_signal(signal.SIGKILL)
        rest, _ = victim.communicate()
        for line in rest.splitlines(keepends=True):
            if line.endswith("\n"):
                reported.update(map(int, line.split()))
        start = (max(reported) // 2 + 500) * 2
    conn = open_writer(db)
    stored = [each.seq for each in select(conn) if each.seq is not None]
    marks = conn.execute("SELECT count(*) FROM dirty").fetchone()[0]
    integrity = conn.execute("PRAGMA integrity_check").fetchone()
    conn.close()
    assert len(reported) >= 2 * 98
    assert reported <= set(stored)
    assert len(stored) == len(set(stored))
    assert all(seq ^ 1 in stored for seq in stored)
    assert (marks > 0, integrity) == (True, ("ok",))


def test_the_serving_process_stays_light(db: Path) -> None:
    """Opening a database, also a new one, loads neither sqlite-utils nor numpy into the process that serves."""
    code = (
        "import asyncio, sys; from pathlib import Path; from ingle.store.db import Store\n"
        "async def main():\n"
        "    for name in sys.argv[1:]:\n"
        "        store = await Store.open(Path(name)); await store.close()\n"
        "asyncio.run(main()); print(sorted({'sqlite_utils', 'numpy', 'click'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(db), str(db.with_name("new.db"))], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
