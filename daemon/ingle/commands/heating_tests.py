"""The heating test that is planned or runs: kept over a restart, moved on by the tick, ended by what speaks against it.

Its times are instants of a clock that was vouched for when it was planned. So while nobody vouches for the clock it
neither moves on nor ends by it, but never lasts longer than it was planned to by the running time; a clock that is set
by more than an hour although it was vouched for tears the record apart, and ends it.
"""

from __future__ import annotations

from datetime import datetime
from typing import Final

import msgspec

from ingle.control.heating_test import stage
from ingle.control.heating_watch import CLOCK_S, troubles
from ingle.control.situation import Situation
from ingle.control.words import degrees, listed
from ingle.model.decisions import Notice
from ingle.model.heating_tests import HeatingTest
from ingle.model.house import House

#: The notice of a test, one at a time.
NOTICE: Final = "heating-test"
_RUNS: Final = frozenset({"settling", "measuring"})


class HeatingTests:
    """At most one test at a time: it needs the whole house empty."""

    def __init__(self) -> None:
        self._test: HeatingTest | None = None
        self._ends_at = 0.0
        self._since: dict[str, float] = {}

    @property
    def current(self) -> HeatingTest | None:
        """The test that is planned or runs."""
        return self._test

    def begin(self, test: HeatingTest, now: datetime, monotonic: float) -> None:
        """Take a new test."""
        self._test, self._since = test, {}
        self._ends_at = monotonic + (test.end - now).total_seconds()

    def resume(self, test: HeatingTest, monotonic: float) -> None:
        """Take a test that was read back; the clock may be wrong, so that what is left of it is not known yet."""
        self._test, self._since = test, {}
        self._ends_at = monotonic + (test.end - test.asked).total_seconds()

    def stop(self, reason: str, now: datetime) -> HeatingTest:
        """End the test before its time and return it as it ended."""
        if self._test is None:
            raise ValueError("there is no heating test to stop")
        ended = msgspec.structs.replace(self._test, stage="ended-early", ended=now, reason=reason)
        self._test, self._since = None, {}
        return ended

    def watch(self, house: House, situation: Situation, now: datetime, monotonic: float) -> HeatingTest | None:
        """Move the test on; return it where its stage has changed."""
        test = self._test
        if test is None:
            return None
        if situation.clock_trusted and stage(test, now) != test.stage:
            moved = msgspec.structs.replace(test, stage=stage(test, now))
            if not moved.open:
                moved = msgspec.structs.replace(moved, ended=min(now, test.end))
            self._test = moved if moved.open else None
            return moved
        reason = self._reason(house, test, situation, now, monotonic)
        return self.stop(reason, now) if reason else None

    def clock_set(self, step_s: float, now: datetime, *, trusted: bool) -> HeatingTest | None:
        """Know that the wall clock was set; return the test where that ends it.

        Parameters
        ----------
        step_s
            By how much.
        now
            The new time.
        trusted
            Whether the clock was vouched for before: one that only finds the time after a start ends nothing.
        """
        if self._test is None or self._test.stage not in _RUNS or not trusted or abs(step_s) <= CLOCK_S:
            return None
        return self.stop(f"the clock was set by {step_s / 3600:+.1f} h, so that its nights do not fit together", now)

    def _reason(self, house: House, test: HeatingTest, situation: Situation, now: datetime, monotonic: float) -> str:
        """Return why the test ends before its time, empty where it goes on."""
        if monotonic >= self._ends_at:
            return "it has lasted as long as it was planned to, and nobody vouches for the clock"
        found = troubles(house, test, situation, now) if test.stage in _RUNS else ()
        self._since = {one.key: self._since.get(one.key, monotonic) for one in found}
        return next((one.reason for one in found if monotonic - self._since[one.key] >= one.patience_s), "")


def notice(house: House, test: HeatingTest, now: datetime) -> Notice | None:
    """Return what a person should know of a test, None where there is nothing."""
    if test.stage in {"planned", "done"}:
        return None
    names = listed(tuple(zone.name for zone in house.zones if zone.id in test.held)) if test.held else ""
    if test.stage == "ended-early":
        return Notice(
            key=NOTICE,
            severity="attention",
            zone=None,
            cause=f"Heating test {test.number} ended early: {test.reason}.",
            effect="Its rooms follow their programmes again.",
            next_step="See what its nights tell so far, and start it again when nothing stands in its way.",
            since=now,
        )
    return Notice(
        key=NOTICE,
        severity="attention",
        zone=None,
        cause=f"Heating test {test.number} holds {names} at {degrees(test.temp_c)}, night and day.",
        effect="It takes more energy than usual, and the house must stay empty.",
        next_step="Stop it on the Check page when somebody comes home; a request for heat ends it too.",
        since=now,
    )
