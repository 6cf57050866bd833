"""Zones, heaters and the house as they are now, and what may be asked of them."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from msgspec import Meta

from ingle.errors import Unknown
from ingle.http.route import Call, Reply, Route
from ingle.model.base import Result
from ingle.model.commands import LimitRequest, LockLocal, UnlockLocal, ZoneRequest
from ingle.model.decisions import Notice
from ingle.model.instants import from_ms
from ingle.model.now import HeaterNow, HouseNow, ZoneNow

Instant = Annotated[datetime, Meta(tz=True)]


class Zones(Result, frozen=True, kw_only=True):
    """Every zone as it is now, in the house's order."""

    zones: tuple[ZoneNow, ...]


class UnboundHeater(Result, frozen=True, kw_only=True):
    """A heater that reports and that no zone has."""

    id: str
    first: Instant
    last: Instant
    heard: int


class Heaters(Result, frozen=True, kw_only=True):
    """Every heater as it is now, and those that report without having a zone."""

    heaters: tuple[HeaterNow, ...]
    unbound: tuple[UnboundHeater, ...]


class Notices(Result, frozen=True, kw_only=True):
    """What a person should know now, the urgent first."""

    notices: tuple[Notice, ...]


async def zones(call: Call) -> Reply:
    """Return every zone."""
    seen = call.parts.live.zones_now(call.parts.clock.now())
    return Reply(value=Zones(zones=tuple(zone for zone in seen if call.scope is None or zone.id in call.scope)))


async def zone(call: Call) -> Reply:
    """Return one zone."""
    found = call.parts.live.zone_now(call.path("id"), call.parts.clock.now())
    if found is None:
        raise Unknown(f"zone {call.path('id')!r} is not in this house")
    return Reply(value=found)


async def ask_zone(call: Call) -> Reply:
    """Do what is asked of a zone."""
    if isinstance(call.body, LockLocal | UnlockLocal):
        call.require("lock-buttons", call.path("id"))
    return Reply(value=await call.parts.commands.zone_request(call.path("id"), call.body, call.origin))


async def ask_limit(call: Call) -> Reply:
    """Lower the supply's cap for a while, or give it back."""
    return Reply(value=await call.parts.commands.limit_request(call.body, call.origin))


async def house_now(call: Call) -> Reply:
    """Return the house at a glance."""
    return Reply(value=call.parts.live.house_now(call.parts.clock.now()).narrowed(call.scope))


async def heaters(call: Call) -> Reply:
    """Return every heater."""
    unbound = tuple(
        UnboundHeater(id=one.id, first=from_ms(one.first_ms), last=from_ms(one.last.arrived_ms), heard=one.heard)
        for one in call.parts.intake.unbound.values()
    )
    return Reply(value=Heaters(heaters=tuple(call.parts.live.heaters_now(call.parts.clock.now())), unbound=unbound))


async def notices(call: Call) -> Reply:
    """Return what a person should know."""
    notices = call.parts.live.notices(call.parts.clock.now())
    return Reply(value=Notices(notices=tuple(one for one in notices if call.scope is None or one.zone in call.scope)))


async def confirm_clock(call: Call) -> Reply:
    """Take the asker's word that the clock is right."""
    return Reply(value=await call.parts.commands.confirm_clock(call.origin))


ROUTES = (
    Route(
        method="GET",
        path="/api/zones",
        act="look-zone",
        summary="Every zone as it is now",
        handler=zones,
        answers=Zones,
    ),
    Route(
        method="GET",
        path="/api/zones/{id}",
        act="look-zone",
        summary="One zone as it is now",
        handler=zone,
        answers=ZoneNow,
    ),
    Route(
        method="POST",
        path="/api/zones/{id}/overrides",
        act="ask-zone",
        summary="Hold a temperature or a level, release either, or lock the heaters' own buttons",
        handler=ask_zone,
        answers=ZoneNow,
        body=ZoneRequest,
        default_tag="override",
        errors=(409,),
    ),
    Route(
        method="POST",
        path="/api/limits",
        act="lower-cap",
        summary="Lower the supply's cap for a while, or give it back",
        handler=ask_limit,
        answers=HouseNow,
        body=LimitRequest,
    ),
    Route(
        method="GET",
        path="/api/house/now",
        act="look-zone",
        summary="The house at a glance; to an occupant without the others' watts, kWh and money",
        handler=house_now,
        answers=HouseNow,
    ),
    Route(method="GET", path="/api/heaters", summary="Every heater as it is now", handler=heaters, answers=Heaters),
    Route(
        method="GET",
        path="/api/notices",
        act="look-zone",
        summary="What a person should know now",
        handler=notices,
        answers=Notices,
    ),
    Route(
        method="POST",
        path="/api/clock/confirm",
        act="confirm-clock",
        summary="Say that the clock of this machine is right",
        handler=confirm_clock,
        answers=HouseNow,
    ),
)
