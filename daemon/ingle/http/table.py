"""Every route of the API."""

from __future__ import annotations

from functools import cache
from typing import Any

import msgspec
from aiohttp import web

from ingle.http import (
    bills,
    carbon,
    costs,
    events,
    explain,
    forecasts,
    health,
    heating_tests,
    houses,
    looks,
    materials,
    past,
    people,
    prices,
    sizes,
    tariff_day,
    what_if,
    zones,
)
from ingle.http.openapi import describe
from ingle.http.route import Call, Route


async def openapi(_: Call) -> web.StreamResponse:
    """Return the description of the API."""
    return web.Response(body=_document(), content_type="application/json", headers={"Cache-Control": "no-cache"})


ROUTES: tuple[Route, ...] = (
    *zones.ROUTES,
    *houses.ROUTES,
    *sizes.ROUTES,
    *what_if.ROUTES,
    *explain.ROUTES,
    *materials.ROUTES,
    *past.ROUTES,
    *looks.ROUTES,
    *costs.ROUTES,
    *tariff_day.ROUTES,
    *bills.ROUTES,
    *prices.ROUTES,
    *forecasts.ROUTES,
    *carbon.ROUTES,
    *heating_tests.ROUTES,
    *people.ROUTES,
    *events.ROUTES,
    *health.ROUTES,
    Route(
        method="GET",
        path="/api/openapi.json",
        summary="This description",
        handler=openapi,
        answers=dict[str, Any],
        act="keep-own-account",
    ),
)


@cache
def _document() -> bytes:
    return msgspec.json.encode(describe(ROUTES))
