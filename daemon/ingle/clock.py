"""The only place that asks the machine what time it is.

Everything below ``app`` is handed a ``Clock`` or a time. Wall time says when; monotonic time says how long, and
is the only one that may drive a wait: a board without a battery clock jumps by years when it finds a time server.
"""

from __future__ import annotations

import time
from datetime import UTC, datetime
from typing import Protocol


class Clock(Protocol):
    """Wall time and monotonic time."""

    def now(self) -> datetime:
        """Return the wall time, aware, in UTC."""

    def monotonic(self) -> float:
        """Return seconds that never go back [s]."""


class SystemClock:
    """The machine's own clocks."""

    def now(self) -> datetime:
        """Return the wall time, aware, in UTC."""
        return datetime.now(UTC)  # noqa: TID251 - this is the one place

    def monotonic(self) -> float:
        """Return seconds since some fixed instant [s]."""
        return time.monotonic()
