"""Server-Sent Events: every change as it happens, to a few readers, none of whom can hold ingle up.

A stream starts with the newest state of everything, or with what changed since ``Last-Event-ID``. Each reader has a
bounded feed in which a newer state replaces an unread older one; a reader that takes nothing for a while is dropped,
and comes back by itself. A comment every 15 s shows both ends that the link lives.
"""

from __future__ import annotations

import asyncio
from contextlib import suppress
from typing import Final

import msgspec
from aiohttp import web

from ingle.http.askers import who_asks
from ingle.http.problems import Refusal
from ingle.http.route import Call, Route
from ingle.live.feed import Change, Feed
from ingle.model.decisions import Notice
from ingle.model.now import HouseNow

#: Streams at once; a house has fewer open pages.
MOST: Final = 16
HEARTBEAT_S: Final = 15.0
#: How long a reader may take nothing [s].
STUCK_S: Final = 10.0
#: When the browser's own reader tries again after a break [ms].
RETRY_MS: Final = 2000

TOLD: Final = frozenset({"zone", "house", "notices"})


class Streams:
    """The open streams."""

    def __init__(self) -> None:
        self._open: dict[Feed, web.Request] = {}
        self._closed = False

    def __len__(self) -> int:
        return len(self._open)

    async def follow(self, call: Call) -> web.StreamResponse:
        """Send changes until the reader leaves or ingle stops.

        Raises
        ------
        Refusal
            Where too many read already.
        """
        self._drop_gone()
        if self._closed or len(self._open) >= MOST:
            raise Refusal(503, f"{MOST} streams are open already", headers={"Retry-After": "15"})
        with call.parts.live.subscribe(_last_id(call.request)) as feed:
            self._open[feed] = call.request
            try:
                return await _send(call, feed)
            finally:
                self._open.pop(feed, None)  # the next reader may have dropped it as gone

    async def close(self, _: web.Application | None = None) -> None:
        """End every stream; one that is stuck in the middle of a write is cut."""
        self._closed = True
        for feed, request in tuple(self._open.items()):
            feed.close()
            transport = request.transport
            if isinstance(transport, asyncio.Transport) and transport.get_write_buffer_size() > 0:
                _cut(request)

    def _drop_gone(self) -> None:
        """End the feeds of readers that left; a write would tell only at the next heartbeat."""
        for feed, request in tuple(self._open.items()):
            if request.transport is None or request.transport.is_closing():
                feed.close()
                self._open.pop(feed)


STREAMS = web.AppKey("streams", Streams)


async def events(call: Call) -> web.StreamResponse:
    """Follow what changes."""
    return await call.request.app[STREAMS].follow(call)


async def _send(call: Call, feed: Feed) -> web.StreamResponse:
    request = call.request
    response = web.StreamResponse(headers={"Cache-Control": "no-store", "Content-Type": "text/event-stream"})
    response.charset = "utf-8"
    response.enable_chunked_encoding()
    with suppress(ConnectionError, TimeoutError):
        await response.prepare(request)
        await _write(response, f"retry: {RETRY_MS}\n\n".encode())
        while (text := await _next(feed, call.scope)) is not None:
            if not _still_known(call):
                break  # signed out, or the account was closed, while the stream was open
            await _write(response, text)
        return response
    _cut(request)
    return response


def _cut(request: web.Request) -> None:
    """Close a connection without waiting for what its reader has not taken."""
    if isinstance(request.transport, asyncio.Transport):
        request.transport.abort()


async def _next(feed: Feed, scope: frozenset[str] | None) -> bytes | None:
    """Return the next change that is told, or a heartbeat; None at the end."""
    try:
        async with asyncio.timeout(HEARTBEAT_S):
            async for change in feed:
                if change.kind in TOLD and (seen := _within(change, scope)) is not None:
                    return message(seen)
    except TimeoutError:
        return b": still here\n\n"
    return None


async def _write(response: web.StreamResponse, text: bytes) -> None:
    async with asyncio.timeout(STUCK_S):
        await response.write(text)


def _still_known(call: Call) -> bool:
    known = who_asks(call.request)
    return known is not None and known.asker == call.known.asker


def _within(change: Change, scope: frozenset[str] | None) -> Change | None:
    """Return as much of a change as somebody with these zones may see."""
    if scope is None:
        return change
    if change.kind == "zone":
        return change if change.subject in scope else None
    if change.kind == "notices" and isinstance(change.data, tuple):
        return change._replace(data=tuple(one for one in change.data if isinstance(one, Notice) and one.zone in scope))
    if isinstance(change.data, HouseNow):
        return change._replace(data=change.data.narrowed(scope))
    return None


def message(change: Change) -> bytes:
    """Return a change as an event."""
    data = {"notices": change.data} if change.kind == "notices" else change.data
    return b"id: %d\nevent: %s\ndata: %s\n\n" % (change.id, change.kind.encode(), msgspec.json.encode(data))


def _last_id(request: web.Request) -> int | None:
    text = request.headers.get("Last-Event-ID", "")
    return int(text) if text.isascii() and text.isdecimal() and len(text) <= 18 else None


ROUTES = (
    Route(
        method="GET",
        path="/api/events",
        summary="What changes, as it happens: events zone, house and notices, first the state of now",
        handler=events,
        answers=None,
        act="look-zone",
        media="text/event-stream",
        errors=(503,),
    ),
)
