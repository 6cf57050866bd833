"""Heating tests: look at one before it starts, start it, watch it, stop it."""

from __future__ import annotations

import sqlite3
from typing import Final
from zoneinfo import ZoneInfo

from ingle.control.heating_test import nights, waits_for
from ingle.errors import Unknown
from ingle.http.route import Call, Reply, Route
from ingle.model.base import Result
from ingle.model.commands import Origin
from ingle.model.heating_tests import (
    HeatingTest,
    HeatingTestOutlook,
    HeatingTestPlan,
    HeatingTestResult,
    HeatingTestShown,
    HeatingTestStop,
)
from ingle.store import heating_tests as stored

#: More digits than any test's number has.
_DIGITS: Final = 15


class HeatingTestsShown(Result, frozen=True, kw_only=True):
    """The newest heating tests, newest first."""

    tests: tuple[HeatingTestShown, ...]


async def every(call: Call) -> Reply:
    """Return the newest tests."""
    found = await call.parts.store.read(stored.every)
    return Reply(value=HeatingTestsShown(tests=tuple(_shown(call, test, result) for test, result in found)))


async def one(call: Call) -> Reply:
    """Return one test."""
    number = _number(call)

    def read(connection: sqlite3.Connection) -> tuple[HeatingTest, HeatingTestResult | None] | None:
        return stored.find(connection, number)

    found = await call.parts.store.read(read)
    if found is None:
        raise Unknown(f"there is no heating test {number}")
    return Reply(value=_shown(call, *found))


async def look(call: Call) -> Reply:
    """Return what a test would do and cost, and what stands against it."""
    return Reply(value=await call.parts.commands.heating_tests.look(call.body))


async def start(call: Call) -> Reply:
    """Start a test."""
    test = await call.parts.commands.heating_tests.start(call.body, Origin(who=call.who(call.body.who), via="http"))
    return Reply(value=_shown(call, test, None), status=201)


async def stop(call: Call) -> Reply:
    """End a test before its time."""
    origin = Origin(who=call.who(call.body.who), via="http")
    test = await call.parts.commands.heating_tests.stop(_number(call), call.body, origin)
    return Reply(value=_shown(call, test, None))


def _number(call: Call) -> int:
    text = call.path("number")
    if not (text.isascii() and text.isdigit() and len(text) <= _DIGITS):
        raise Unknown(f"there is no heating test {text}; tests are numbered from 1")
    return int(text)


def _shown(call: Call, test: HeatingTest, result: HeatingTestResult | None) -> HeatingTestShown:
    """Return a test with its progress; what the running one has come to is newer in memory than in the store."""
    now, timezone = call.parts.clock.now(), ZoneInfo(call.parts.live.house.site.timezone)
    current = call.parts.commands.heating_tests.current
    if current is not None and current.number == test.number:
        test = current
    last = now if test.ended is None else test.ended
    return HeatingTestShown(
        test=test,
        nights_done=sum(1 for _, dawn in nights(test, timezone) if dawn <= last),
        waits_for=waits_for(test, now, timezone),
        result=result,
    )


ROUTES = (
    Route(
        method="GET",
        path="/api/heating-tests",
        summary="The newest heating tests with their progress and results",
        handler=every,
        answers=HeatingTestsShown,
        errors=(503,),
    ),
    Route(
        method="GET",
        path="/api/heating-tests/{number}",
        summary="One heating test: nights over, what it waits for, what its record tells so far",
        handler=one,
        answers=HeatingTestShown,
        errors=(503,),
    ),
    Route(
        method="POST",
        path="/api/heating-tests/look",
        act="work-out",
        summary="What a heating test would do and cost, and what stands against it; nothing starts",
        handler=look,
        answers=HeatingTestOutlook,
        body=HeatingTestPlan,
        errors=(503,),
    ),
    Route(
        method="POST",
        path="/api/heating-tests",
        act="test-heating",
        summary="Hold rooms and their neighbours at one level for some nights in an empty house",
        handler=start,
        answers=HeatingTestShown,
        status=201,
        body=HeatingTestPlan,
        errors=(409, 503),
    ),
    Route(
        method="POST",
        path="/api/heating-tests/{number}/stop",
        act="test-heating",
        summary="End a heating test before its time",
        handler=stop,
        answers=HeatingTestShown,
        body=HeatingTestStop,
        errors=(409, 503),
    ),
)
