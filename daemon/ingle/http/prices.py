"""Half-hourly prices over HTTP: give them as they are published, look at what is stored."""

from __future__ import annotations

import sqlite3
from datetime import timedelta
from typing import Annotated

from msgspec import Meta

from ingle.commands.prices import Placed, check, series_of, take
from ingle.errors import Fault
from ingle.http.bills import About
from ingle.http.bodies import instant
from ingle.http.past import Span
from ingle.http.problems import BadQuery
from ingle.http.route import Call, Reply, Route
from ingle.model.commands import Origin
from ingle.model.instants import from_ms, to_ms
from ingle.model.prices import PricesGiven, PriceShown, PricesShown, PricesTaken
from ingle.store import prices as stored

#: The longest span of prices that is shown at once.
_LONGEST = timedelta(days=62)


class SeriesSpan(Span, frozen=True, kw_only=True):
    """Whose prices, from when, up to when."""

    series: Annotated[str, Meta(max_length=32, description="as a tariff names it; the house's first")] | None = None


async def give(call: Call) -> Reply:
    """Store prices."""
    given: PricesGiven = call.body
    placed = [Placed(price, ("prices", place)) for place, price in enumerate(given.prices)]
    check(placed)
    now, about, in_use = call.parts.clock.now(), call.query, given.series in series_of(call.parts.live.house)

    def write(conn: sqlite3.Connection) -> PricesTaken:
        origin = Origin(who=call.who(about.who), via="http")
        return take(conn, given.series, placed, now=now, origin=origin, why=about.why, in_use=in_use)

    return Reply(value=await call.parts.store.write(write), status=201)


async def look(call: Call) -> Reply:
    """Return the prices of a series; today's and tomorrow's where no span is named."""
    house, now = call.parts.live.house, call.parts.clock.now()
    timezone = house.site.timezone
    start = instant(call.query.start or now.date().isoformat(), "from", timezone)
    end = start + timedelta(days=2) if call.query.end is None else instant(call.query.end, "to", timezone)
    if not start < end <= start + _LONGEST:
        raise BadQuery([Fault(("to",), call.query.end or end.isoformat(), "later than from, by at most 62 days")])
    series = call.query.series or next(iter(sorted(series_of(house))), "")
    found = await call.parts.store.read(lambda conn: stored.series(conn, series, to_ms(start), to_ms(end)))
    shown = tuple(
        PriceShown(start=from_ms(low), end=from_ms(high), per_kwh=str(price))
        for low, high, price in zip(found.starts_ms, found.ends_ms, found.per_kwh, strict=True)
    )
    return Reply(value=PricesShown(series=series, start=start, end=end, prices=shown))


ROUTES = (
    Route(
        method="GET",
        path="/api/prices",
        summary="Half-hourly prices of a series; today's and tomorrow's where no span is named",
        handler=look,
        answers=PricesShown,
        query=SeriesSpan,
        errors=(503,),
    ),
    Route(
        method="POST",
        path="/api/prices",
        act="keep-books",
        summary="Give half-hourly prices of a series; what they cover of those before is replaced",
        handler=give,
        answers=PricesTaken,
        status=201,
        query=About,
        body=PricesGiven,
        errors=(503,),
    ),
)
