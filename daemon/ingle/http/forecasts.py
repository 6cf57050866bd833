"""What the coming days should take and cost: kept as it was said, and scored when they are over."""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta

from ingle.http.route import Call, Reply, Route
from ingle.model.forecasts import ForecastRequest, Forecasts, KeptForecast
from ingle.reports import forecast as report
from ingle.reports.forecast_score import keep, kept_forecast, listed


class Newest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How many, the newest first."""

    limit: Annotated[int, Meta(ge=1, le=100)] = 20


async def forecasts(call: Call) -> Reply:
    """Return the newest forecasts with their scores."""
    house, now, limit = call.parts.live.house, call.parts.clock.now(), call.query.limit
    return Reply(value=await call.parts.store.read(lambda conn: listed(conn, house, now, limit)))


async def make(call: Call) -> Reply:
    """Make a forecast and keep it for good."""
    house, now, asked = call.parts.live.house, call.parts.clock.now(), call.body
    who = call.who(asked.who)
    said = await call.parts.store.read(lambda conn: report.forecast(conn, house, asked, now, who))

    kept = await call.parts.store.write(lambda conn: kept_forecast(conn, house, keep(conn, said), now))
    return Reply(value=kept, status=201)


ROUTES = (
    Route(
        method="GET",
        path="/api/forecasts",
        summary="What was said of coming days, the newest first, and how near it came",
        handler=forecasts,
        answers=Forecasts,
        query=Newest,
        errors=(503,),
    ),
    Route(
        method="POST",
        path="/api/forecasts",
        act="keep-books",
        summary="Say what the coming days should take and cost; it is kept unchanged and scored when they are over",
        handler=make,
        answers=KeptForecast,
        status=201,
        body=ForecastRequest,
        errors=(503,),
    ),
)
