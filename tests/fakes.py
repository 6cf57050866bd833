"""Fakes that tests share: a clock moved by hand. Nothing of ours is mocked."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta


class FakeClock:
    """Wall and monotonic time that stand still until a test moves them."""

    def __init__(self, now: datetime = datetime(2026, 1, 12, 6, 0, tzinfo=UTC)) -> None:
        self._now = now
        self._monotonic = 1000.0

    def now(self) -> datetime:
        """Return the wall time."""
        return self._now

    def monotonic(self) -> float:
        """Return the monotonic time [s]."""
        return self._monotonic

    def jump(self, seconds: float) -> None:
        """Let time pass on both clocks; it cannot go back."""
        if seconds < 0:
            raise ValueError("time passes forwards; use step() to set the wall clock")
        self._now += timedelta(seconds=seconds)
        self._monotonic += seconds

    def step(self, seconds: float) -> None:
        """Set the wall clock forwards or back, as a time server does; monotonic time does not notice."""
        self._now += timedelta(seconds=seconds)
