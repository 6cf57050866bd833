"""What a heating test's record tells, from the store: asked on the command line, and by the daemon through a child.

Imports numpy, so the serving process asks through ``reports.child``.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from ingle.control.heating_test import nights
from ingle.design import design_house
from ingle.errors import Unknown
from ingle.model.base import Result
from ingle.model.heating_tests import HeatingTest, HeatingTestResult, RoomTested
from ingle.model.house import House
from ingle.model.instants import from_ms, to_ms
from ingle.reports.assess import columns, links
from ingle.store import heating_tests as stored
from ingle.store.columns import span
from ingle.verdict.trial import BEFORE_H, METHOD, METHOD_VERSION, judge_test

#: The newest reading may be this much older than the end of a night that is over.
SLACK: Final = timedelta(minutes=15)

Table = Callable[[Sequence[str], Sequence[Sequence[str]]], str]


class Tested(Result, frozen=True, kw_only=True):
    """A test with what its record tells."""

    test: HeatingTest
    result: HeatingTestResult


def heating_test(conn: sqlite3.Connection, house: House, number: int) -> Tested:
    """Return what a heating test's record tells so far.

    Raises
    ------
    Unknown
        Where no test has the number.
    """
    found = stored.find(conn, number)
    if found is None:
        raise Unknown(f"there is no heating test {number}")
    test, design = found[0], design_house(house)
    start_ms = to_ms(test.start - timedelta(hours=BEFORE_H))
    until = _until(conn, test, start_ms)
    end_ms = to_ms(until) + 3_600_000
    zones = judge_test(
        house,
        design,
        links(house),
        lambda source: columns(conn, source, start_ms, end_ms),
        test,
        nights(test, ZoneInfo(house.site.timezone)),
        until,
    )
    result = HeatingTestResult(
        number=number,
        computed=until,
        start=test.start,
        end=until,
        final=not test.open,
        design_version=design.design_version,
        method=METHOD,
        method_version=METHOD_VERSION,
        zones=zones,
    )
    return Tested(test=test, result=result)


def _until(conn: sqlite3.Connection, test: HeatingTest, start_ms: int) -> datetime:
    """Return where a test's record ends: where the test ended, else a little after the newest reading."""
    if test.ended is not None:
        return test.ended
    newest = span(conn, start_ms=start_ms, end_ms=to_ms(test.end) + 1)
    return test.start if newest is None else min(from_ms(newest[1]) + SLACK, test.end)


def has_finding(result: HeatingTestResult) -> bool:
    """Whether a room's design lies outside of what its nights tell."""
    return any(
        zone.low_w_per_k is not None
        and zone.high_w_per_k is not None
        and zone.design_w_per_k is not None
        and not zone.low_w_per_k <= zone.design_w_per_k <= zone.high_w_per_k
        for zone in result.zones
    )


def summary(tested: Tested, timezone: str, table: Table) -> str:
    """Return a test and its result as text for a person."""
    test, result = tested.test, tested.result
    where = ZoneInfo(timezone)
    ended = f": {test.reason}" if test.reason else ""
    title = (
        f"heating test {test.number}, {test.temp_c:g} °C for {test.nights} nights from "
        f"{test.start.astimezone(where):%Y-%m-%d %H:%M}, {test.stage}{ended}; design {result.design_version}, "
        f"method {result.method_version} ({result.method})"
    )
    headers = ("zone", "design W/K", "tested W/K", "95 %", "good nights", "settled")
    rows = [_row(zone) for zone in result.zones]
    return "\n\n".join([title, table(headers, rows), *(_words(zone, table) for zone in result.zones)])


def _row(zone: RoomTested) -> tuple[str, ...]:
    return (
        zone.id,
        _number(zone.design_w_per_k),
        _number(zone.measured_w_per_k),
        _between(zone.low_w_per_k, zone.high_w_per_k),
        f"{zone.good_nights} of {len(zone.nights)}",
        "yes" if zone.converged else "no",
    )


def _words(zone: RoomTested, table: Table) -> str:
    headers = ("night of", "W", "°C", "outside °C", "so far W/K", "95 %", "counts")
    rows = [
        (
            night.date,
            _number(night.power_w),
            _number(night.temp_c),
            _number(night.outdoor_c),
            _number(night.w_per_k),
            _between(night.low_w_per_k, night.high_w_per_k),
            night.why_not or "yes",
        )
        for night in zone.nights
    ]
    slow = (
        [] if zone.time_constant_h is None else [f"  cools with a time constant of about {zone.time_constant_h:.0f} h"]
    )
    lines = [*slow, *(f"  missing: {sentence}" for sentence in zone.missing)]
    return "\n".join([zone.name, *([table(headers, rows)] if rows else []), *lines])


def _number(value: float | None) -> str:
    return "-" if value is None else f"{value:.1f}"


def _between(low: float | None, high: float | None) -> str:
    return "-" if low is None or high is None else f"{low:.1f} to {high:.1f}"
