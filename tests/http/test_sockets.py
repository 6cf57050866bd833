"""What comes in on the sockets may be anything: the log stays calm, others are served, nothing is held for ever."""

from __future__ import annotations

import asyncio
import logging

import pytest

from ingle.http import listener
from served import Served

GARBAGE = [
    b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03",
    b"\x00" * 4096,
    b"GET\r\n\r\n",
    b"GET / HTTP/9.9\r\n\r\n",
    b"GET /\xff\xfe HTTP/1.1\r\nHost: x\r\n\r\n",
    b"GET / HTTP/1.1\r\n" + b"X" * 20_000 + b"\r\n\r\n",
    b"GET / HTTP/1.1\r\n" + b"A: b\r\n" * 1000 + b"\r\n",
    b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n",
    b"GET / HTTP/1.1\r\nHo\x00st: a\r\n\r\n",
    b"POST /api/limits HTTP/1.1\r\nHost: %s\r\nContent-Length: -5\r\n\r\n",
    b"POST /api/limits HTTP/1.1\r\nHost: %s\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n",
    b"PUT /api/house HTTP/1.1\r\nHost: %s\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\nZZ\r",
    b"POST /api/limits HTTP/1.1\r\nHost: %s\r\nContent-Type: application/json\r\nContent-Length: 99\r\n\r\n{",
    b"GET /api/events HTTP/1.1\r\nHost: %s\r\n\r\n",
    b"GET /api/zones HTTP/1.1\r\nHost: %s\r\nUpgrade: websocket\r\nConnection: upgrade\r\n\r\n\x81\x05hello",
    b"GET /api/zones HTTP/1.1\r\nHost: %s\r\nExpect: 200-maybe\r\n\r\n",
    b"GET http://evil.example/api/zones HTTP/1.1\r\nHost: %s\r\n\r\n",
    b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
    b"OPTIONS * HTTP/1.1\r\nHost: %s\r\n\r\n",
]


async def exchange(served: Served, sent: bytes, *, reset: bool) -> bytes:
    """Send bytes, read what comes for a moment, and leave politely or not."""
    reader, writer = await asyncio.open_connection("127.0.0.1", served.listener.port)
    writer.write(sent.replace(b"%s", f"127.0.0.1:{served.listener.port}".encode()))
    await writer.drain()
    got = b""
    try:
        async with asyncio.timeout(0.1):
            got = await reader.read(4096)
    except (TimeoutError, ConnectionError):
        pass
    if reset:
        writer.transport.abort()
    writer.close()
    return got


async def test_garbage_leaves_no_traceback(served: Served, caplog: pytest.LogCaptureFixture) -> None:
    """Whatever bytes come, and however their sender leaves: no error, no traceback, no server named, still alive."""
    caplog.set_level(logging.DEBUG)
    for sent in GARBAGE:
        for reset in (False, True):
            got = await exchange(served, sent, reset=reset)
            assert b"aiohttp" not in got
            assert b"Python" not in got
    assert await served.get("/healthz") == {"alive": True}
    assert not [record for record in caplog.records if record.exc_info]
    assert not [record for record in caplog.records if record.levelno >= logging.ERROR]
    assert "Traceback" not in caplog.text


async def test_what_is_not_http_gets_a_problem(served: Served) -> None:
    """A line that is no request is answered in the words of the API."""
    got = await exchange(served, b"HELO there\r\n\r\n", reset=False)
    assert got.startswith(b"HTTP/1.0 400")
    assert b"application/problem+json" in got


async def test_a_fault_of_ours_is_one_line(served: Served, caplog: pytest.LogCaptureFixture) -> None:
    """An unexpected error is answered with 500 and logged in one line with its place, without a traceback."""
    served.parts.live.house = None  # type: ignore[assignment]  # what no code of ours would do
    async with served.client.get(served.url("/api/zones")) as answer:
        assert answer.status == 500
        assert (await answer.json(content_type=None))["detail"] == "something in ingle failed; its log says what"
    (record,) = [record for record in caplog.records if record.levelno >= logging.ERROR]
    assert "GET /api/zones failed: AttributeError" in record.getMessage()
    assert "\n" not in record.getMessage()
    assert record.exc_info is None


async def test_half_a_header_is_not_waited_for(served: Served, monkeypatch: pytest.MonkeyPatch) -> None:
    """A connection that does not finish the head of its request is closed."""
    monkeypatch.setitem(listener._OPTIONS, "keepalive_timeout", 0.1)
    reader, writer = await asyncio.open_connection("127.0.0.1", served.listener.port)
    writer.write(b"GET /api/zones HTTP/1.1\r\nHo")
    async with asyncio.timeout(5):
        assert await reader.read() == b""
    writer.close()


async def test_two_hundred_idle_connections_leave_room(served: Served) -> None:
    """Others are served beside 200 connections that say nothing; beyond the limit new ones are closed."""
    opened = [await asyncio.open_connection("127.0.0.1", served.listener.port) for _ in range(200)]
    assert await served.get("/healthz") == {"alive": True}
    opened += [await asyncio.open_connection("127.0.0.1", served.listener.port) for _ in range(100)]
    async with asyncio.timeout(5):
        assert await opened[-1][0].read() == b""
    for _, writer in opened:
        writer.close()
