"""Errors that nobody waits for: one line each in the log, never a traceback."""

from __future__ import annotations

import asyncio
import logging
from typing import Any

log = logging.getLogger(__name__)

#: The embedded broker cancels its own tasks when it ends and does not look after them; that is nobody's news.
_UNHEARD = "amqtt"


def say_strays(_loop: asyncio.AbstractEventLoop, context: dict[str, Any]) -> None:
    """Log what the event loop found: the exception of a task that nobody awaited, an error in a callback."""
    error = context.get("exception")
    words = f"{context.get('message', 'an error')}: {type(error).__name__}: {error}".splitlines()[0]
    level = logging.DEBUG if type(error).__module__.startswith(_UNHEARD) else logging.ERROR
    log.log(level, "%s", words)
