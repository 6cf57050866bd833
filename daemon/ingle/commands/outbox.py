"""What must reach the database, in order, whether or not the database can be written just now.

Everything that ``commands`` writes goes through here, so that the audit trail keeps its order also over a full disk:
heating acts from memory, and the rows follow when the disk is back. Memory is bounded; past the bound the oldest rows
go, and are counted.
"""

from __future__ import annotations

import asyncio
import logging
import sqlite3
from collections import deque
from collections.abc import Callable
from typing import Final, Protocol, TypeVar

from ingle.clock import Clock
from ingle.errors import Unreachable

T = TypeVar("T")
Write = Callable[[sqlite3.Connection], object]

#: Rows that may wait; at some 300 bytes each a few megabytes.
BOUND: Final = 10_000
#: How long a store that refused is left alone [s].
RETRY_S: Final = 5.0

log = logging.getLogger(__name__)


class Writes(Protocol):
    """What is needed of the store to write."""

    async def write(self, fn: Callable[[sqlite3.Connection], T]) -> T:
        """Run a function in a transaction; raise Unreachable where the store cannot write."""


class Outbox:
    """Writes waiting for the store, oldest first."""

    def __init__(self, store: Writes, clock: Clock) -> None:
        self._store = store
        self._clock = clock
        self._waiting: deque[Write] = deque()
        self._busy = asyncio.Lock()
        self._retry_at = clock.monotonic()
        self._task: asyncio.Task[bool] | None = None
        self.lost = 0

    def __len__(self) -> int:
        return len(self._waiting)

    def put(self, write: Write) -> None:
        """Let a write wait for the next flush."""
        self._waiting.append(write)
        if len(self._waiting) > BOUND:
            self._waiting.popleft()
            self.lost += 1

    async def commit(self, write: Write) -> bool:
        """Write now, after all that waits; return False where the store refuses and it waits as well."""
        self.put(write)
        return await self.flush()

    def kick(self) -> None:
        """Start a flush in the background if something waits and none is under way."""
        idle = self._task is None or self._task.done()
        if self._waiting and idle and self._clock.monotonic() >= self._retry_at:
            self._task = asyncio.get_running_loop().create_task(self.flush())

    async def flush(self) -> bool:
        """Write all that waits in one transaction; return whether it is written."""
        async with self._busy:
            batch = tuple(self._waiting)
            if not batch:
                return True
            self._waiting.clear()
            try:
                await self._store.write(lambda connection: [write(connection) for write in batch])
            except Unreachable:
                self._waiting.extendleft(reversed(batch))
                self._retry_at = self._clock.monotonic() + RETRY_S
                return False
            except sqlite3.Error as error:
                # A row that the database will never take must not stand in the way of all later ones.
                log.error("%d rows were refused by the database: %s", len(batch), error)  # noqa: TRY400 - no tracebacks
                self.lost += len(batch)
            return True
