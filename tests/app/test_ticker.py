"""The control tick keeps its beat and survives what it calls."""

from __future__ import annotations

import asyncio
import logging
from contextlib import suppress

import pytest

from ingle.app.ticker import Ticker


async def ticks(ticker: Ticker, enough: asyncio.Event) -> None:
    """Run a ticker until it has done enough."""
    task = asyncio.create_task(ticker.run())
    await asyncio.wait_for(enough.wait(), 5)
    task.cancel()
    with suppress(asyncio.CancelledError):
        await task


async def test_it_counts_the_ticks_that_ended() -> None:
    """Progress rises by one a tick."""
    enough = asyncio.Event()
    seen: list[int] = []

    def act() -> None:
        seen.append(1)
        if len(seen) == 3:
            enough.set()

    ticker = Ticker(act, every_s=0.001)
    await ticks(ticker, enough)
    assert ticker.progress == len(seen) >= 3


async def test_a_failing_tick_is_logged_in_a_line_and_is_no_progress(caplog: pytest.LogCaptureFixture) -> None:
    """An error goes to the log without a traceback, the next tick comes, and progress stands still."""
    enough = asyncio.Event()
    seen: list[int] = []

    def act() -> None:
        seen.append(1)
        if len(seen) == 2:
            enough.set()
        raise ValueError("no such thing")

    ticker = Ticker(act, every_s=0.001)
    with caplog.at_level(logging.ERROR):
        await ticks(ticker, enough)
    assert ticker.progress == 0
    assert "the tick failed: ValueError: no such thing" in caplog.text
    assert "Traceback" not in caplog.text
