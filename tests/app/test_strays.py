"""Errors that nobody waits for are a line in the log."""

from __future__ import annotations

import asyncio
import gc
import logging

import pytest
from amqtt.errors import ProtocolHandlerError

from ingle.app.strays import say_strays


@pytest.mark.parametrize(("error", "level"), [(ValueError("no\nsuch"), "ERROR"), (ProtocolHandlerError("x"), "DEBUG")])
async def test_a_task_that_nobody_awaits_is_a_line(
    caplog: pytest.LogCaptureFixture, error: Exception, level: str
) -> None:
    """One line, no traceback; what the embedded broker leaves behind is only worth a debug line."""
    loop = asyncio.get_running_loop()
    before = loop.get_exception_handler()
    loop.set_exception_handler(say_strays)

    async def fail() -> None:
        raise error

    with caplog.at_level(logging.DEBUG):
        await asyncio.wait({asyncio.ensure_future(fail())})
        gc.collect()
        await asyncio.sleep(0)
    loop.set_exception_handler(before)
    lines = [record for record in caplog.records if record.name == "ingle.app.strays"]
    assert [record.levelname for record in lines] == [level]
    assert "\n" not in lines[0].getMessage()
    assert "Traceback" not in caplog.text
