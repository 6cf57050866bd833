"""The demo's time: it stands still while history is made, then runs ``speed`` times as fast as the machine's.

Both faces run alike. ``now()`` is the simulated wall time, ``monotonic()`` simulated seconds; so an order that is
valid for 1800 s is valid for 1800 s of the heaters' own time, whatever the speed. What sleeps for real seconds (the
tick of 2 s) then acts every 2 x ``speed`` simulated seconds.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from ingle.clock import Clock


class DemoClock:
    """A clock that can be held, and run fast.

    Parameters
    ----------
    machine
        The real clock beneath.
    speed
        Simulated seconds in a real one.
    start
        The wall time at which it stands; the machine's by default.
    """

    def __init__(self, machine: Clock, *, speed: float = 1.0, start: datetime | None = None) -> None:
        if speed <= 0:
            raise ValueError(f"speed {speed} is not above 0")
        self._machine = machine
        self.speed = speed
        self.start = machine.now() if start is None else start
        self._offset = machine.monotonic()
        self._running_since: float | None = None

    def run(self) -> None:
        """Let time pass from here on."""
        if self._running_since is None:
            self._running_since = self._machine.monotonic()

    def _elapsed_s(self) -> float:
        if self._running_since is None:
            return 0.0
        return (self._machine.monotonic() - self._running_since) * self.speed

    def now(self) -> datetime:
        """Return the simulated wall time, aware, in UTC."""
        return self.start + timedelta(seconds=self._elapsed_s())

    def monotonic(self) -> float:
        """Return simulated seconds that never go back [s]."""
        return self._offset + self._elapsed_s()
