"""Bills and hand-read meters: enter, look, correct, remove."""

from __future__ import annotations

import sqlite3
from typing import Annotated, Final

import msgspec
from msgspec import Meta

from ingle.commands.bills import Bills, bill_etag
from ingle.errors import BadInput, Unknown
from ingle.http.problems import BadQuery
from ingle.http.route import Call, Reply, Route, quoted
from ingle.model.bills import Bill, BillShown, BillsShown, BillWhy
from ingle.model.commands import Origin
from ingle.reports import bills as report
from ingle.reports.bill_why import why as explained
from ingle.store import bills as stored
from ingle.store.bills import Numbered

#: More digits than any bill's number has.
_DIGITS: Final = 15


class About(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What goes into the history beside a change."""

    who: Annotated[str, Meta(max_length=200, description="who changes it, where nobody has an account")] = ""
    why: Annotated[str, Meta(max_length=200, description="why, for the history")] = ""


class Against(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Which bill another is compared with."""

    against: Annotated[int, Meta(ge=1, le=10**_DIGITS, description="a bill's number; the one before it")] | None = None


async def every(call: Call) -> Reply:
    """Return all bills."""
    house = call.parts.live.house

    def read(conn: sqlite3.Connection) -> BillsShown:
        return BillsShown(bills=tuple(report.shown(conn, house, each) for each in stored.every(conn)))

    return Reply(value=await call.parts.store.read(read))


async def one(call: Call) -> Reply:
    """Return a bill."""
    asked = number(call.path("number"))
    found = await call.parts.store.read(lambda conn: stored.find(conn, asked))
    if found is None:
        raise Unknown(f"there is no bill {asked}")
    return await _reply(call, found)


async def enter(call: Call) -> Reply:
    """Keep a new bill."""
    made = await _bills(call).enter(call.parts.live.house, call.body, _origin(call), call.query.why)
    return await _reply(call, made, status=201)


async def change(call: Call) -> Reply:
    """Put another bill in a bill's place."""
    made = await _bills(call).change(
        call.parts.live.house,
        number(call.path("number")),
        call.body,
        expected=call.match,
        origin=_origin(call),
        why=call.query.why,
    )
    return await _reply(call, made)


async def remove(call: Call) -> Reply:
    """Remove a bill; the answer is what it was."""
    gone = await _bills(call).remove(
        number(call.path("number")), expected=call.match, origin=_origin(call), why=call.query.why
    )
    return await _reply(call, gone)


async def why(call: Call) -> Reply:
    """Return the steps between two bills."""
    house, asked = call.parts.live.house, number(call.path("number"))

    def read(conn: sqlite3.Connection) -> BillWhy:
        return explained(conn, house, asked, call.query.against)

    try:
        return Reply(value=await call.parts.store.read(read))
    except BadInput as error:
        raise BadQuery(error.faults) from error


def number(text: str) -> int:
    """Return the number of a bill in a path.

    Raises
    ------
    Unknown
        Where it is none.
    """
    if not (text.isascii() and text.isdigit() and len(text) <= _DIGITS):
        raise Unknown(f"there is no bill {text[:40]}; bills are numbered from 1")
    return int(text)


def _bills(call: Call) -> Bills:
    return Bills(call.parts.store, call.parts.clock)


def _origin(call: Call) -> Origin:
    return Origin(who=call.who(call.query.who), via="http")


async def _reply(call: Call, found: Numbered, status: int = 200) -> Reply:
    house = call.parts.live.house
    shown = await call.parts.store.read(lambda conn: report.shown(conn, house, found))
    headers = {"ETag": quoted(bill_etag(found.bill)), "Cache-Control": "no-cache"}
    return Reply(value=shown, status=status, headers=headers)


ROUTES = (
    Route(
        method="GET",
        path="/api/bills",
        summary="Bills and hand-read meters beside what ingle metered in their days",
        handler=every,
        answers=BillsShown,
        errors=(503,),
    ),
    Route(
        method="POST",
        path="/api/bills",
        act="keep-books",
        summary="Enter a bill, or two readings of the meter by hand",
        handler=enter,
        answers=BillShown,
        status=201,
        query=About,
        body=Bill,
        etag=True,
        errors=(503,),
    ),
    Route(
        method="GET",
        path="/api/bills/{number}",
        summary="One bill",
        handler=one,
        answers=BillShown,
        etag=True,
        errors=(503,),
    ),
    Route(
        method="PUT",
        path="/api/bills/{number}",
        act="keep-books",
        summary="Correct a bill",
        handler=change,
        answers=BillShown,
        query=About,
        body=Bill,
        etag=True,
        match=True,
        errors=(503,),
    ),
    Route(
        method="DELETE",
        path="/api/bills/{number}",
        act="keep-books",
        summary="Remove a bill; what it was stays in the history",
        handler=remove,
        answers=BillShown,
        query=About,
        match=True,
        errors=(503,),
    ),
    Route(
        method="GET",
        path="/api/bills/{number}/why",
        summary="Why a bill is higher or lower than another, by default the one before: steps that add up exactly",
        handler=why,
        answers=BillWhy,
        query=Against,
        errors=(503,),
    ),
)
