"""Heaters that would fit a room, and what circuits and supply carry; computed from the house alone."""

from __future__ import annotations

import asyncio

from ingle.errors import BadInput
from ingle.http.problems import BadQuery
from ingle.http.route import Call, Reply, Route
from ingle.model.circuits import Circuits
from ingle.model.options import Wishes, ZoneOptions
from ingle.reports import size


async def options(call: Call) -> Reply:
    """Return heaters for a zone of the house that runs."""
    try:
        # In a thread: a large house takes longer than a tick may wait.
        found = await asyncio.to_thread(size.options, call.parts.live.house, call.path("id"), call.query)
    except BadInput as error:
        raise BadQuery(error.faults) from error
    return Reply(value=found)


async def circuits(call: Call) -> Reply:
    """Return the circuits of the house that runs."""
    return Reply(value=await asyncio.to_thread(size.circuits, call.parts.live.house))


ROUTES = (
    Route(
        method="GET",
        path="/api/zones/{id}/options",
        summary="Heaters that meet the zone's load, where they go and how they would run",
        handler=options,
        answers=ZoneOptions,
        query=Wishes,
    ),
    Route(
        method="GET",
        path="/api/circuits",
        summary="Plugs, circuits and supply under the heaters, and where these may stand",
        handler=circuits,
        answers=Circuits,
    ),
)
