"""Requests in force, and what becomes of them when the clock is set.

A request "for 90 minutes" means 90 minutes of life, so its end moves with a clock that is set; a request "until 18:00"
means the instant, whatever the clock said when it was made. After a restart only the instant is known.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

import msgspec

from ingle.model.commands import Held

#: What a hold is on: a zone, or (None) the supply.
Subject = str | None


@dataclass(frozen=True, slots=True)
class _Running:
    held: Held
    ends_at: float | None


class Holds:
    """At most one request for each zone, and one for the supply."""

    def __init__(self) -> None:
        self._running: dict[Subject, _Running] = {}

    def __iter__(self) -> Iterator[Held]:
        return iter([running.held for running in self._running.values()])

    def start(self, held: Held, monotonic: float) -> None:
        """Put a request in force, in place of the one before it."""
        ends_at = None
        if held.request.duration is not None:
            ends_at = monotonic + (held.until - held.since).total_seconds()
        self._running[held.zone] = _Running(held, ends_at)

    def resume(self, held: Held) -> None:
        """Put a request that was read back in force; the store gives the oldest first, so the newest stays."""
        self._running[held.zone] = _Running(held, None)

    def end(self, subject: Subject) -> Held | None:
        """End a request now; return it, None when there was none."""
        running = self._running.pop(subject, None)
        return None if running is None else running.held

    def expire(self, now: datetime) -> list[Held]:
        """End and return the requests whose time is over."""
        over = [running.held for running in self._running.values() if running.held.until <= now]
        for held in over:
            del self._running[held.zone]
        return over

    def clock_set(self, now: datetime, monotonic: float) -> list[Held]:
        """Move the ends of requests for a duration along with a clock that was set; return those moved."""
        moved = []
        for subject, running in self._running.items():
            if running.ends_at is not None:
                until = now + timedelta(seconds=running.ends_at - monotonic)
                since = until - (running.held.until - running.held.since)
                held = msgspec.structs.replace(running.held, since=since, until=until)
                self._running[subject] = _Running(held, running.ends_at)
                moved.append(held)
        return moved
