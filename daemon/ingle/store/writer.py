"""The writer: one thread with the one writing connection.

The rules of this file:

* Readings wait in a batch, which is written when it is full, when its oldest reading has waited long enough, or when
  a job comes: a job (a function of the connection) takes the running batch with it, so that it sees all that came
  before it, and its caller waits for one COMMIT only.
* Nothing is reported as stored before COMMIT has returned.
* A disk that is full, read-only or failing does not end the thread. The batch stays in memory and is tried again,
  ever more slowly; jobs are answered with the reason. Beyond ``MOST_ROWS`` the oldest readings are let go without
  having been acknowledged: the broker still has them.
* A function that fails is undone alone; readings that no database could take are dropped alone, with a log line.
"""

from __future__ import annotations

import logging
import sqlite3
import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final, NamedTuple

from ingle.clock import Clock
from ingle.errors import Unreachable
from ingle.model.readings import Reading
from ingle.store.connect import Link, is_damage, is_disk, open_writer, reason
from ingle.store.readings import Outcome, insert
from ingle.store.schema import VERSION

log = logging.getLogger(__name__)

Committed = Callable[[Sequence[Outcome]], None]

#: Readings kept in memory while the disk refuses; some 300 bytes each, an hour of a large house at 5 s.
MOST_ROWS: Final = 20_000
#: Pauses between attempts on a disk that refuses [s].
FIRST_PAUSE_S: Final = 1.0
LONGEST_PAUSE_S: Final = 30.0
#: An idle thread still shows that it lives [s].
IDLE_S: Final = 2.0
#: Result codes after which the connection itself is as good as before.
KEEP_OPEN: Final = frozenset({sqlite3.SQLITE_BUSY, sqlite3.SQLITE_FULL})


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreHealth:
    """How the store does.

    ``reason`` and ``since`` say what keeps it from writing and since when; ``waiting`` counts readings not yet
    committed, ``dropped`` those let go unacknowledged since the start; ``progress`` grows while the writer lives.
    """

    ok: bool
    reason: str = ""
    since: datetime | None = None
    waiting: int = 0
    dropped: int = 0
    progress: int = 0


class _Entry(NamedTuple):
    readings: Sequence[Reading]
    committed: Committed | None


class _Job(NamedTuple):
    run: Callable[[sqlite3.Connection], Any]
    answer: Future[Any]


@dataclass(slots=True)
class _Trouble:
    reason: str
    since: datetime
    pause_s: float
    tried_at: float

    @property
    def retry_at(self) -> float:
        return self.tried_at + self.pause_s


class Writer(threading.Thread):
    """The thread; ``start`` it, and ``opened`` tells how opening went."""

    def __init__(self, path: Path, *, batch_s: float, batch_rows: int, clock: Clock) -> None:
        super().__init__(name="ingle-store-writer", daemon=True)
        self.opened: Future[None] = Future()
        self._path = path
        self._batch_s = batch_s
        self._batch_rows = batch_rows
        self._clock = clock
        self._link: Link | None = None
        self._changed = threading.Condition()
        self._entries: deque[_Entry] = deque()
        self._rows = 0
        self._oldest = 0.0
        self._jobs: list[_Job] = []
        self._hurry = False
        self._stopping = False
        self._trouble: _Trouble | None = None
        self._dropped = 0
        self._progress = 0

    # What other threads call.

    def append(self, readings: Sequence[Reading], committed: Committed | None) -> None:
        """Put readings into the running batch."""
        with self._changed:
            if not self._entries:
                self._oldest = time.monotonic()
                self._changed.notify()
            self._entries.append(_Entry(readings, committed))
            self._rows += len(readings)
            if self._rows >= self._batch_rows:
                self._let_go()
                self._changed.notify()

    def submit(self, run: Callable[[sqlite3.Connection], Any]) -> Future[Any]:
        """Have a function run in a transaction, together with the running batch.

        Just after a disk refused it is not asked again: the answer is the known reason.
        """
        job = _Job(run, Future())
        with self._changed:
            trouble = self._trouble
            if self._stopping:
                job.answer.set_exception(Unreachable("the store is closed"))
            elif trouble is not None and time.monotonic() < trouble.tried_at + FIRST_PAUSE_S:
                job.answer.set_exception(_cannot_write(trouble.reason))
            else:
                self._jobs.append(job)
                self._changed.notify()
        return job.answer

    def hurry(self) -> None:
        """Write the running batch now."""
        with self._changed:
            self._hurry = True
            self._changed.notify()

    def stop(self) -> None:
        """Write what waits, if the disk takes it, and end."""
        with self._changed:
            self._stopping = True
            self._changed.notify()

    def health(self) -> StoreHealth:
        """Return how it does."""
        with self._changed:
            trouble = self._trouble
            return StoreHealth(
                ok=trouble is None,
                reason="" if trouble is None else trouble.reason,
                since=None if trouble is None else trouble.since,
                waiting=self._rows,
                dropped=self._dropped,
                progress=self._progress,
            )

    # The thread.

    def run(self) -> None:
        """Open, then write what comes until stopped."""
        if not self._open_first():
            return
        while True:
            entries, jobs, stopping = self._next()
            if self._trouble is not None and not entries and not jobs:
                jobs = [_Job(_probe, Future())]
            if jobs or entries:
                self._write(entries, jobs)
            if stopping:
                break
        self._end()

    def _open_first(self) -> bool:
        try:
            self._link = open_writer(self._path)
        except Unreachable as error:
            self._stopping = True
            self.opened.set_exception(error)
            return False
        except (sqlite3.Error, OSError) as error:
            self._note_trouble(error)
        self.opened.set_result(None)
        return True

    def _next(self) -> tuple[list[_Entry], list[_Job], bool]:
        """Wait for something to write and take it."""
        with self._changed:
            self._progress += 1
            while (pause := self._pause()) > 0:
                self._changed.wait(pause)
                self._progress += 1
            entries, self._entries = list(self._entries), deque()
            jobs, self._jobs = self._jobs, []
            self._hurry = False
            return entries, jobs, self._stopping

    def _pause(self) -> float:
        """Return how long there is nothing to do [s]; 0 when there is."""
        if self._jobs or self._stopping:
            return 0.0
        now = time.monotonic()
        if self._trouble is not None:
            return min(IDLE_S, max(0.0, self._trouble.retry_at - now))
        if not self._entries:
            return IDLE_S
        if self._hurry or self._rows >= self._batch_rows:
            return 0.0
        return min(IDLE_S, max(0.0, self._oldest + self._batch_s - now))

    def _write(self, entries: list[_Entry], jobs: list[_Job]) -> None:
        jobs = [job for job in jobs if not job.answer.cancelled()]
        try:
            link = self._opened_link()
            link.execute("BEGIN IMMEDIATE")
            kept, outcomes = _insert_all(link, entries)
            answers = [_run(link, job) for job in jobs]
            link.execute("COMMIT")
        except Exception as error:  # noqa: BLE001 - the thread must outlive whatever the disk or a row does
            self._failed(error, entries, jobs)
            return
        self._succeeded(link, entries)
        _report(kept, outcomes)
        for job, answer in zip(jobs, answers, strict=True):
            _settle(job, answer)

    def _opened_link(self) -> Link:
        if self._link is None:
            self._link = open_writer(self._path)
        return self._link

    def _succeeded(self, link: Link, entries: list[_Entry]) -> None:
        with self._changed:
            if self._trouble is not None:
                log.warning("history goes on: the database takes readings again")
            self._trouble = None
            self._rows -= sum(len(entry.readings) for entry in entries)
        try:
            link.done()
        except Exception as error:  # noqa: BLE001 - the commit stands, whatever follows it
            log.warning("what should follow a commit failed: %r", error)

    def _failed(self, error: Exception, entries: list[_Entry], jobs: list[_Job]) -> None:
        self._undo(error)
        self._note_trouble(error)
        with self._changed:
            self._entries.extendleft(reversed(entries))
            self._let_go()
        for job in jobs:
            _settle(job, _cannot_write(reason(error)))

    def _undo(self, error: Exception) -> None:
        """Roll back, and let the connection go unless it is known to be good."""
        link, code = self._link, getattr(error, "sqlite_errorcode", 0) & 0xFF
        if link is None:
            return
        try:
            link.undo()
            if code not in KEEP_OPEN:
                self._link = None
                link.close()
        except sqlite3.Error as second:
            log.warning("the database connection is given up: %s", reason(second))
            self._link = None

    def _note_trouble(self, error: Exception) -> None:
        words = reason(error)
        with self._changed:
            before = self._trouble
            pause = FIRST_PAUSE_S if before is None else min(LONGEST_PAUSE_S, before.pause_s * 2)
            since = self._clock.now() if before is None else before.since
            self._trouble = _Trouble(words, since, pause, time.monotonic())
        if before is None or before.reason != words:
            log.warning("history pauses, heating goes on: %s", words)
            if is_damage(error):
                log.error("%s is damaged: stop ingle and restore a backup", self._path)

    def _let_go(self) -> None:
        """While the disk refuses, drop the oldest readings beyond what memory may hold; nobody was told of them."""
        while self._trouble is not None and self._rows > MOST_ROWS and len(self._entries) > 1:
            dropped = len(self._entries.popleft().readings)
            self._rows -= dropped
            self._dropped += dropped

    def _end(self) -> None:
        link, self._link = self._link, None
        with self._changed:
            jobs, self._jobs = self._jobs, []
        for job in jobs:
            _settle(job, Unreachable("the store is closed"))
        if link is None:
            return
        try:
            link.close()
        except sqlite3.Error as error:
            log.warning("closing the database: %s", reason(error))


def _probe(conn: sqlite3.Connection) -> None:
    """Write a page that says what it said before: an empty transaction would succeed on a full disk."""
    conn.execute(f"PRAGMA user_version = {VERSION}")


def _cannot_write(words: str) -> Unreachable:
    return Unreachable(f"the database cannot be written: {words}")


def _insert_all(link: Link, entries: list[_Entry]) -> tuple[list[_Entry], list[Outcome]]:
    """Store a batch; if something in it cannot be stored by any database, find it, drop it and store the rest."""
    if not entries:
        return entries, []
    try:
        return entries, insert(link, [reading for entry in entries for reading in entry.readings])
    except Exception as error:
        if is_disk(error) or not link.in_transaction:
            raise
        link.rollback()
        link.caches.forget()
        link.execute("BEGIN IMMEDIATE")
    kept, outcomes = [], []
    for entry in entries:
        answer = _run(link, _Job(lambda conn, entry=entry: insert(conn, entry.readings), Future()))  # type: ignore[misc] # mypy cannot type a default of a lambda
        if isinstance(answer, Exception):
            log.error("readings of %s cannot be stored and are dropped: %s", entry.readings[0].source, answer)
        else:
            kept.append(entry)
            outcomes += answer
    return kept, outcomes


def _run(link: Link, job: _Job) -> Any:  # noqa: ANN401 - whatever the job returns
    """Run one function so that, where it fails, only its own work is undone; return its answer or its error."""
    waiting = len(link.after_commit)
    link.execute("SAVEPOINT job")
    try:
        answer = job.run(link)
    except Exception as error:
        if is_disk(error) or not link.in_transaction:
            raise
        del link.after_commit[waiting:]
        link.caches.forget()
        link.execute("ROLLBACK TO job")
        answer = error
    link.execute("RELEASE job")
    return answer


def _report(entries: list[_Entry], outcomes: list[Outcome]) -> None:
    start = 0
    for readings, committed in entries:
        end = start + len(readings)
        if committed is not None:
            try:
                committed(outcomes[start:end])
            except Exception as error:  # noqa: BLE001 - the reading is stored, and the others want to know
                log.warning("what should follow a stored reading failed: %r", error)
        start = end


def _settle(job: _Job, answer: object) -> None:
    if not job.answer.set_running_or_notify_cancel():
        return
    if isinstance(answer, Exception):
        job.answer.set_exception(answer)
    else:
        job.answer.set_result(answer)
