"""The store as the rest of the daemon sees it: an async face on the writer thread and on readers of its own."""

from __future__ import annotations

import asyncio
import sqlite3
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Final, Self, TypeVar

from ingle.clock import Clock, SystemClock
from ingle.errors import Unreachable
from ingle.model.readings import Reading
from ingle.store.connect import is_disk, open_readonly, reason
from ingle.store.writer import Committed, StoreHealth, Writer

__all__ = ["Store", "StoreHealth", "open_readonly"]

T = TypeVar("T")

#: Readers beside the writer: a page and a report at the same time, on a board with few cores.
READERS: Final = 2
#: How long ``close`` waits for the last commit [s]; systemd asks for an end within ten.
CLOSE_S: Final = 6.0


class Store:
    """A database that is written by one thread and read by others.

    A database that cannot be opened because the disk is full, read-only or failing still makes a store: it reports
    the reason in ``health``, keeps what comes in bounded memory and goes on trying, so that the daemon can run from
    memory meanwhile. Only a file that must be left alone (damaged, not ours, of a newer version) refuses to open.
    """

    def __init__(self, path: Path, writer: Writer) -> None:
        self.path = path
        self._writer = writer
        self._readers = ThreadPoolExecutor(READERS, thread_name_prefix="ingle-store-reader")
        self._own = threading.local()
        self._open: list[sqlite3.Connection] = []
        self._closing = False

    @classmethod
    async def open(cls, path: Path, *, batch_s: float = 1.0, batch_rows: int = 500, clock: Clock | None = None) -> Self:
        """Open or create a database; the caller holds its lock (``lock``).

        Parameters
        ----------
        path
            The file.
        batch_s
            How long a reading may wait for others before it is written [s].
        batch_rows
            How many readings make a batch full.
        clock
            What ``health().since`` is read from.

        Raises
        ------
        Unreachable
            Where the file must be left alone.
        """
        writer = Writer(path, batch_s=batch_s, batch_rows=batch_rows, clock=clock or SystemClock())
        writer.start()
        await asyncio.wrap_future(writer.opened)
        return cls(path, writer)

    async def write(self, fn: Callable[[sqlite3.Connection], T]) -> T:
        """Run a function in a transaction and return its answer after COMMIT.

        It takes the running batch with it. What it raises comes back, and its work alone is undone.

        Raises
        ------
        Unreachable
            With the reason, where the database cannot be written.
        """
        answer: T = await asyncio.wrap_future(self._writer.submit(fn))
        return answer

    def append(self, readings: Sequence[Reading], committed: Committed | None = None) -> None:
        """Put readings into the running batch.

        Parameters
        ----------
        committed
            Called on the writer thread after COMMIT with one outcome for each reading; never called for readings
            that had to be let go.
        """
        self._writer.append(readings, committed)

    def close_batch(self) -> None:
        """Have the running batch written now."""
        self._writer.hurry()

    async def read(self, fn: Callable[[sqlite3.Connection], T]) -> T:
        """Run a function on a read-only connection in a thread and return its answer.

        Raises
        ------
        Unreachable
            With the reason, where the database cannot be read.
        """
        if self._closing:
            raise Unreachable("the store is closed")
        return await asyncio.get_running_loop().run_in_executor(self._readers, self._read, fn)

    def _read(self, fn: Callable[[sqlite3.Connection], T]) -> T:
        connection: sqlite3.Connection | None = getattr(self._own, "connection", None)
        if connection is None:
            connection = self._own.connection = open_readonly(self.path)
            self._open.append(connection)
        try:
            return fn(connection)
        except sqlite3.Error as error:
            if not is_disk(error):
                raise
            self._own.connection = None
            self._open.remove(connection)
            connection.close()
            raise Unreachable(f"the database cannot be read: {reason(error)}") from error

    def health(self) -> StoreHealth:
        """Return how the store does."""
        return self._writer.health()

    async def close(self) -> None:
        """Write what waits, then close; a disk that does not answer is not waited for beyond ``CLOSE_S``."""
        if self._closing:
            return
        self._closing = True
        self._writer.hurry()
        for connection in self._open:
            connection.interrupt()
        await asyncio.to_thread(self._readers.shutdown)
        while self._open:
            self._open.pop().close()
        # The last connection to go folds the write-ahead log into the file; only the writer's can.
        self._writer.stop()
        await asyncio.to_thread(self._writer.join, CLOSE_S)
