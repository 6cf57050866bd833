"""The house as a document with its revisions, and what is computed from it alone."""

from __future__ import annotations

import asyncio
from datetime import datetime
from typing import Annotated

import msgspec
from msgspec import Meta

from ingle.commands.service import house_etag
from ingle.config.house import check_house
from ingle.config.saving import check_saving
from ingle.design import design_house
from ingle.errors import BadInput, Fault
from ingle.http.problems import BadQuery, Wrong, wrongs
from ingle.http.route import Call, Reply, Route, quoted
from ingle.model.base import Result
from ingle.model.design import Design
from ingle.model.house import House
from ingle.model.instants import from_ms
from ingle.store import houses
from ingle.store.houses import Entry

Instant = Annotated[datetime, Meta(tz=True)]


class Why(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What goes into the history beside a change."""

    why: Annotated[str, Meta(max_length=200, description="why, for the history")] = ""


class OneZone(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Whose design is wanted."""

    zone: Annotated[str, Meta(description="only this zone of the document; total_w stays the whole's")] | None = None


class Tried(Result, frozen=True, kw_only=True):
    """What came of trying a document: its design, or every fault that keeps it from having one."""

    design: Design | None
    faults: tuple[Wrong, ...]


class RevisionMade(Result, frozen=True, kw_only=True):
    """A line of the house's history."""

    revision: int
    t: Instant
    who: str
    why: str
    digest: str
    design_version: str


class History(Result, frozen=True, kw_only=True):
    """Who changed the house, when and why; oldest first."""

    revisions: tuple[RevisionMade, ...]


def made(entry: Entry) -> RevisionMade:
    """Return a line of the history as it is shown."""
    return RevisionMade(
        revision=entry.number,
        t=from_ms(entry.t_ms),
        who=entry.who,
        why=entry.why,
        digest=entry.digest,
        design_version=entry.design_version,
    )


async def house(call: Call) -> Reply:
    """Return the house document with its digest."""
    running = call.parts.live.house
    headers = {"ETag": quoted(house_etag(running)), "Cache-Control": "no-cache"}
    return Reply(value=running, headers=headers)


async def put_house(call: Call) -> Reply:
    """Make a document the house's next revision."""
    checked = check_house(call.body)
    # Pages make up their own words for the history, so here only the survey itself can have the reason.
    check_saving(checked, before=call.parts.live.house)
    revision = await call.parts.commands.load_house(
        checked, origin=call.origin, why=call.query.why, expected=call.match
    )
    return Reply(value=made(revision), headers={"ETag": quoted(revision.digest)})


async def history(call: Call) -> Reply:
    """Return the history."""
    entries = await call.parts.store.read(houses.history)
    return Reply(value=History(revisions=tuple(made(entry) for entry in entries)))


async def design(call: Call) -> Reply:
    """Return the design of the house that runs."""
    # In a thread: a large house takes longer than a tick may wait.
    return Reply(value=await asyncio.to_thread(design_house, call.parts.live.house))


async def try_design(call: Call) -> Reply:
    """Return the design that a document would have, or what is wrong with it; nothing is stored."""
    try:
        tried = check_house(call.body)
    except BadInput as error:
        # Who types is half-way through most of the time: that is an answer, not a failed request.
        return Reply(value=Tried(design=None, faults=wrongs(error.faults)))
    only = call.query.zone
    if only is not None and tried.zone(only) is None:
        raise BadQuery([Fault(("zone",), only, "the id of a zone of the document")])
    return Reply(value=Tried(design=await asyncio.to_thread(design_house, tried, only), faults=()))


ROUTES = (
    Route(method="GET", path="/api/house", summary="The house document", handler=house, answers=House, etag=True),
    Route(
        method="PUT",
        path="/api/house",
        act="change-house",
        summary="Make a document the house's next revision",
        handler=put_house,
        answers=RevisionMade,
        query=Why,
        body=House,
        raw=True,
        etag=True,
        match=True,
        errors=(503,),
    ),
    Route(
        method="GET",
        path="/api/house/history",
        summary="Who changed the house, when and why",
        handler=history,
        answers=History,
        errors=(503,),
    ),
    Route(
        method="GET", path="/api/design", summary="Heat loss of each room, line by line", handler=design, answers=Design
    ),
    Route(
        method="POST",
        path="/api/design/try",
        act="work-out",
        summary="Heat loss of a house document, which is not stored",
        handler=try_design,
        answers=Tried,
        query=OneZone,
        body=House,
        raw=True,
        faults_told=True,
    ),
)
