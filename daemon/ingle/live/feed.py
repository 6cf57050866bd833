"""Who wants to hear of changes: feeds that hold the newest change of each thing and nothing older.

A slow reader never makes memory grow and never sees an old value after a new one: a change replaces an unread one
with the same key, and past the bound the oldest unread goes (and is counted). Change ids rise by one; a reader that
comes back with the last id it saw gets the newest change of every key since then, so that it ends up with the same
state as one that never left.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterable
from typing import Literal, NamedTuple, Self

from ingle.model.base import Result

ChangeKind = Literal["house", "zone", "heater", "notices"]
#: Unread changes that one reader may hold; a large house has some 100 keys.
BOUND = 512


class Change(NamedTuple):
    """One change: its id, what kind of thing, which one (empty for the house), and its new state."""

    id: int
    kind: ChangeKind
    subject: str
    data: Result | tuple[Result, ...]


class Feed:
    """An endless, bounded stream of changes for one reader. Use it as a context manager, or close it."""

    def __init__(self, backlog: Iterable[Change], leave: Callable[[Feed], None]) -> None:
        self._unread: dict[tuple[ChangeKind, str], Change] = {}
        self._wake = asyncio.Event()
        self._leave = leave
        self.closed = False
        self.dropped = 0
        for change in backlog:
            self.offer(change)

    def offer(self, change: Change) -> None:
        """Put a change in line, in place of an unread older one of the same thing."""
        key = (change.kind, change.subject)
        self._unread.pop(key, None)
        self._unread[key] = change
        if len(self._unread) > BOUND:
            del self._unread[next(iter(self._unread))]
            self.dropped += 1
        self._wake.set()

    def close(self) -> None:
        """End the stream; a waiting reader is let go."""
        self.closed = True
        self._leave(self)
        self._wake.set()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def __aiter__(self) -> Self:
        return self

    async def __anext__(self) -> Change:
        while not self._unread:
            if self.closed:
                raise StopAsyncIteration
            self._wake.clear()
            await self._wake.wait()
        return self._unread.pop(next(iter(self._unread)))


class Board:
    """The newest change of everything, and the feeds that follow it."""

    def __init__(self, first_id: int) -> None:
        self._id = first_id
        self._newest: dict[tuple[ChangeKind, str], Change] = {}
        self._feeds: set[Feed] = set()

    def post(self, kind: ChangeKind, subject: str, data: Result | tuple[Result, ...]) -> bool:
        """Tell every feed that a thing is now so; return False when it already was."""
        key = (kind, subject)
        before = self._newest.pop(key, None)
        if before is not None and before.data == data:
            self._newest[key] = before
            return False
        self._id += 1
        change = self._newest[key] = Change(self._id, kind, subject, data)
        for feed in tuple(self._feeds):
            feed.offer(change)
        return True

    def forget(self, kind: ChangeKind, keep: frozenset[str]) -> None:
        """Drop the states of things that are no longer there."""
        for key in [key for key in self._newest if key[0] == kind and key[1] not in keep]:
            del self._newest[key]

    def subscribe(self, after: int | None = None) -> Feed:
        """Follow from now on, first getting the newest state of all that changed after an id (None: of everything).

        An id from the future was given out by an earlier life of the daemon: then everything is told.
        """
        known = after if after is not None and after <= self._id else 0
        backlog = sorted(change for change in self._newest.values() if change.id > known)
        feed = Feed(backlog, self._feeds.discard)
        self._feeds.add(feed)
        return feed

    def close(self) -> None:
        """End every feed."""
        for feed in tuple(self._feeds):
            feed.close()
