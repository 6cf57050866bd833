"""The event stream: state first, then changes; bounded in number, time and memory."""

from __future__ import annotations

import asyncio
import json
import socket
import sys
import time
from pathlib import Path
from typing import Any

import aiohttp
import pytest

from ingle.http import events
from served import Served, serving


async def block(stream: aiohttp.ClientResponse) -> dict[str, str]:
    """Return the next block of a stream: its fields, comments under an empty name."""
    fields: dict[str, str] = {}
    async with asyncio.timeout(10):
        while (line := (await stream.content.readline()).decode()) != "\n":
            assert line, "the stream has ended"
            name, _, text = line.rstrip("\n").partition(":")
            fields[name] = text.removeprefix(" ")
    return fields


async def named(stream: aiohttp.ClientResponse, event: str) -> dict[str, Any]:
    """Return the data of the next event of a name, with its id."""
    while True:
        fields = await block(stream)
        if fields.get("event") == event:
            return {**json.loads(fields["data"]), "event_id": int(fields["id"])}


async def test_the_state_of_now_comes_first(served: Served) -> None:
    """A new reader is told every zone, the house and the notices before anything changes."""
    async with served.client.get(served.url("/api/events")) as stream:
        assert stream.content_type == "text/event-stream"
        assert (await block(stream))["retry"] == "2000"
        told = [await block(stream) for _ in range(5)]
    assert sorted(fields["event"] for fields in told) == ["house", "notices", "zone", "zone", "zone"]
    zones = {json.loads(fields["data"])["id"] for fields in told if fields["event"] == "zone"}
    assert zones == {"loft", "hall", "store"}
    notices = next(json.loads(fields["data"]) for fields in told if fields["event"] == "notices")
    assert notices == await served.get("/api/notices")


async def test_a_change_is_told_and_a_reader_can_come_back(served: Served) -> None:
    """An override arrives as a zone event; a reader that names it as its last gets only what came later."""
    async with served.client.get(served.url("/api/events")) as stream:
        await served.post("/api/zones/hall/overrides", {"temp_c": 21.5})
        while (zone := await named(stream, "zone"))["wanted_c"] != 21.5:
            pass
    await served.post("/api/zones/loft/overrides", {"temp_c": 18.5})
    headers = {"Last-Event-ID": str(zone["event_id"])}
    async with served.client.get(served.url("/api/events"), headers=headers) as stream:
        again = await named(stream, "zone")
        assert (again["name"], again["wanted_c"]) == ("Loft", 18.5)
        assert again["event_id"] > zone["event_id"]


async def test_silence_is_broken_by_heartbeats(served: Served, monkeypatch: pytest.MonkeyPatch) -> None:
    """While nothing changes a comment shows that the link lives."""
    monkeypatch.setattr(events, "HEARTBEAT_S", 0.02)
    async with served.client.get(served.url("/api/events")) as stream:
        while "" not in await block(stream):
            pass


async def test_a_place_is_free_again_when_a_reader_leaves(served: Served) -> None:
    """The seventeenth stream is refused, with the time to wait; as soon as one has left there is room."""
    open_streams = [await served.client.get(served.url("/api/events")) for _ in range(events.MOST)]
    async with served.client.get(served.url("/api/events")) as refused:
        assert refused.status == 503
        assert refused.headers["Retry-After"]
    open_streams.pop().close()
    async with asyncio.timeout(10):
        while True:
            async with served.client.get(served.url("/api/events")) as stream:
                if stream.status == 200:
                    break
    for one in open_streams:
        one.close()


async def test_a_reader_that_takes_nothing_is_dropped(served: Served, monkeypatch: pytest.MonkeyPatch) -> None:
    """A reader whose buffers are full loses its stream; ingle goes on."""
    monkeypatch.setattr(events, "STUCK_S", 0.2)
    app = served.listener.app
    assert app is not None
    streams = app[events.STREAMS]
    with socket.socket() as stuck:
        stuck.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        stuck.setblocking(False)
        await asyncio.get_running_loop().sock_connect(stuck, ("127.0.0.1", served.listener.port))
        request = f"GET /api/events HTTP/1.1\r\nHost: 127.0.0.1:{served.listener.port}\r\n\r\n".encode()
        await asyncio.get_running_loop().sock_sendall(stuck, request)
        board = served.parts.live._board
        zone = served.parts.live.zones_now(served.clock.now())[0]
        deadline, turn = time.monotonic() + 20, 0
        while turn < 10 or len(streams):
            assert time.monotonic() < deadline
            turn += 1
            board.post("zone", "loft", type(zone)(**{**as_fields(zone), "reason": str(turn) + "x" * 200_000}))
            await asyncio.sleep(0)
    assert (await served.get("/healthz"))["alive"]


def as_fields(zone: Any) -> dict[str, Any]:
    """Return a value's fields."""
    return {name: getattr(zone, name) for name in zone.__struct_fields__}


async def test_stopping_ends_sixteen_streams_at_once(served: Served) -> None:
    """With every place taken, closing takes well under the ten seconds that a service manager gives."""
    open_streams = [await served.client.get(served.url("/api/events")) for _ in range(events.MOST)]
    began = time.monotonic()
    await served.listener.close()
    assert time.monotonic() - began < 4
    for stream in open_streams:
        async with asyncio.timeout(5):
            assert (await stream.read()).startswith(b"retry")


async def test_stopping_does_not_wait_for_verdicts(tmp_path: Path, empty: Path) -> None:
    """A page that waits for a long assessment is told that ingle stops, and the stop takes no longer for it."""
    command = (sys.executable, "-c", "import time; time.sleep(60)")
    async with serving(tmp_path, empty=empty, command=command) as served:
        asked = asyncio.ensure_future(served.client.get(served.url("/api/verdicts")))
        async with asyncio.timeout(20):
            while served.parts.verdicts._child is None:
                await asyncio.wait({asked}, timeout=0.01)
        began = time.monotonic()
        await served.listener.close()
        assert time.monotonic() - began < 2
        async with await asked as answer:
            assert answer.status == 503
