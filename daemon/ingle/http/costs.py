"""What energy costs, day by day and in all, and prices that come by the half-hour."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Annotated
from zoneinfo import ZoneInfo

from msgspec import Meta, field

from ingle.config.tariffs import check_tried
from ingle.errors import Fault
from ingle.http.bodies import instant
from ingle.http.past import Span, When
from ingle.http.problems import BadQuery
from ingle.http.route import Call, Reply, Route
from ingle.model.costs import Costs
from ingle.model.days import Comparison, EnergyDays
from ingle.model.instants import to_ms
from ingle.model.tariff_trial import TariffsTried, TariffTrial
from ingle.reports.compare import compare as compare_report
from ingle.reports.cost import costs as cost_report
from ingle.reports.days import LONGEST_DAYS, energy_days
from ingle.reports.tariff_trial import tariff_trial


class ZoneSpan(Span, frozen=True, kw_only=True):
    """From when, up to when, and of which zone."""

    zone: Annotated[str, Meta(max_length=32, description="only this zone")] | None = None

    @property
    def zones(self) -> tuple[str, ...]:
        """The zone, if one is named."""
        return () if self.zone is None else (self.zone,)


class TwoSpans(ZoneSpan, frozen=True, kw_only=True):
    """A span, and the one that it is compared with."""

    with_start: When | None = field(name="with_from", default=None)
    with_end: When | None = field(name="with_to", default=None)


async def costs(call: Call) -> Reply:
    """Return what a span cost; this month's days so far where none is named."""
    start, end = span(call)
    house, now, zones = call.parts.live.house, call.parts.clock.now(), call.query.zones
    return Reply(
        value=await call.parts.store.read(lambda conn: cost_report(conn, house, start, end, now=now, zones=zones))
    )


async def days(call: Call) -> Reply:
    """Return the energy of each day of a span; this month's so far where none is named."""
    start, end = span(call)
    house, zones = call.parts.live.house, call.query.zones
    return Reply(value=await call.parts.store.read(lambda conn: energy_days(conn, house, start, end, zones)))


async def compare(call: Call) -> Reply:
    """Return how a span compares with another; with the same number of days before it where none is named."""
    start, end = span(call)
    house, query = call.parts.live.house, call.query
    timezone = house.site.timezone
    with_end = start if query.with_end is None else instant(query.with_end, "with_to", timezone)
    if query.with_start is not None:
        with_start = instant(query.with_start, "with_from", timezone)
    else:
        with_start = with_end - (end - start)
    _check(with_start, with_end, ("with_to", query.with_end))
    spans = ((start, end), (with_start, with_end))
    return Reply(value=await call.parts.store.read(lambda conn: compare_report(conn, house, *spans, query.zones)))


async def try_tariffs(call: Call) -> Reply:
    """Return what the use of a span would have cost at other tariffs; nothing is stored."""
    start, end = span(call)
    house, tried = call.parts.live.house, check_tried(call.body)
    return Reply(value=await call.parts.store.read(lambda conn: tariff_trial(conn, house, start, end, tried)))


def span(call: Call) -> tuple[datetime, datetime]:
    """Return the span that a query names: from the first of this month, to the end of today, on the house's clock.

    Raises
    ------
    BadQuery
        Where it does not end after its start, or is too long.
    """
    timezone = call.parts.live.house.site.timezone
    today = call.parts.clock.now().astimezone(ZoneInfo(timezone)).date()
    end = instant(call.query.end or today.isoformat(), "to", timezone)
    last_day = (end - timedelta(seconds=1)).astimezone(ZoneInfo(timezone)).date()
    start = instant(call.query.start or last_day.replace(day=1).isoformat(), "from", timezone)
    _check(start, end, ("to", call.query.end))
    return start, end


def _check(start: datetime, end: datetime, given: tuple[str, str | None]) -> None:
    """Refuse a span that goes backwards or is too long."""
    place, text = given
    if not to_ms(start) < to_ms(end):
        raise BadQuery([Fault((place,), text or end.isoformat(), f"an instant after {start.isoformat()}")])
    if (end - start).days > LONGEST_DAYS:
        raise BadQuery([Fault((place,), text or end.isoformat(), f"at most {LONGEST_DAYS} days after its from")])


ROUTES = (
    Route(
        method="GET",
        path="/api/costs",
        summary="What the heaters' energy cost, by zone, heater and day; this month's days where no span is named",
        handler=costs,
        answers=Costs,
        query=ZoneSpan,
        errors=(404, 503),
    ),
    Route(
        method="GET",
        path="/api/energy/days",
        summary="Energy day by day beside how cold it was; this month's days where no span is named",
        handler=days,
        answers=EnergyDays,
        query=ZoneSpan,
        errors=(404, 503),
    ),
    Route(
        method="GET",
        path="/api/energy/compare",
        summary="Two periods per day and per degree day, and whether they differ by more than chance",
        handler=compare,
        answers=Comparison,
        query=TwoSpans,
        errors=(404, 503),
    ),
    Route(
        method="POST",
        path="/api/costs/try",
        act="work-out",
        summary="What the use of a span would have cost at other tariffs; nothing is stored",
        handler=try_tariffs,
        answers=TariffTrial,
        query=Span,
        body=TariffsTried,
        raw=True,
        errors=(409, 503),
    ),
)
