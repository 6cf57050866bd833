"""What the heaters' energy comes to in carbon, by a factor file of the house's own."""

from __future__ import annotations

from pathlib import Path

from ingle.http.costs import span
from ingle.http.past import Span
from ingle.http.route import Call, Reply, Route
from ingle.model.carbon import Carbon
from ingle.reports import carbon as report


async def carbon(call: Call) -> Reply:
    """Return the carbon of a span."""
    start, end = span(call)
    house, named = call.parts.live.house, call.parts.settings.carbon
    factors, why_none = report.factors_of(None if named is None else Path(named))
    found = await call.parts.store.read(lambda conn: report.carbon(conn, house, start, end, factors, why_none))
    return Reply(value=found)


ROUTES = (
    Route(
        method="GET",
        path="/api/carbon",
        summary="Carbon of the heaters' energy by the house's own dated factors; this month's where no span is named",
        handler=carbon,
        answers=Carbon,
        query=Span,
        errors=(503,),
    ),
)
