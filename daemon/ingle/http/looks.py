"""One room's verdict with the days it rests on, and the verdicts of the weeks before."""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta

from ingle.commands.service import house_etag
from ingle.errors import Unknown
from ingle.http.bodies import instant
from ingle.http.past import Span
from ingle.http.route import Call, Reply, Route
from ingle.model.house import House
from ingle.model.looks import Looks
from ingle.model.verdicts import Assessment
from ingle.store import verdicts as store


class Weeks(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Of which zone, and how many looks, the newest first."""

    zone: Annotated[str, Meta(max_length=32)] | None = None
    limit: Annotated[int, Meta(ge=1, le=store.LISTED)] = store.LISTED


async def history(call: Call) -> Reply:
    """Return the stored weekly looks."""
    zone, limit = call.query.zone, call.query.limit
    if zone is not None:
        _known(call.parts.live.house, zone)
    return Reply(value=Looks(looks=await call.parts.store.read(lambda conn: store.history(conn, zone, limit))))


async def of_zone(call: Call) -> Reply:
    """Return one zone's verdict with its fit, worked out lately."""
    house, zone = call.parts.live.house, call.path("id")
    _known(house, zone)
    start, end = (
        None if text is None else instant(text, name, house.site.timezone).isoformat()
        for name, text in (("from", call.query.start), ("to", call.query.end))
    )
    found = await call.parts.verdicts.assess(house_etag(house), start, end, zone=zone)
    return Reply(value=found.assessment, headers={"Age": str(round(found.age_s))})


def _known(house: House, zone: str) -> None:
    if house.zone(zone) is None:
        known = ", ".join(each.id for each in house.zones) or "none"
        raise Unknown(f"zone {zone!r} is not in this house; it has: {known}")


ROUTES = (
    # Before the route with a name in its path: no zone is looked for under this word.
    Route(
        method="GET",
        path="/api/verdicts/history",
        summary="The verdicts of the weeks before as they were given, with the design and the method of their day",
        handler=history,
        answers=Looks,
        query=Weeks,
        errors=(404, 503),
    ),
    Route(
        method="GET",
        path="/api/verdicts/{id}",
        summary="One zone's verdict with the days that its figure rests on: metered and predicted, or why not used",
        handler=of_zone,
        answers=Assessment,
        query=Span,
        errors=(503,),
    ),
)
