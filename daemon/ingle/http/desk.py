"""The desk: what the command line hands to the running daemon, on a socket that only the same user can open.

It is never reachable over TCP: these routes belong to an application of their own.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Annotated, Final

import msgspec
from msgspec import Meta

from ingle.commands import prices
from ingle.commands.prices import Placed, series_of
from ingle.config.house import parse_house
from ingle.config.saving import check_saving
from ingle.http import bodies, explain, people, what_if
from ingle.http.health import Alive, healthz
from ingle.http.houses import RevisionMade, made
from ingle.http.problems import Refusal
from ingle.http.route import Call, Reply, Route
from ingle.intake import imports, price_table
from ingle.model.base import Id
from ingle.model.commands import Origin
from ingle.model.instants import to_ms
from ingle.model.prices import PricesTaken

#: The largest body at the desk [bytes]: a house file, or a chunk of readings.
DESK_MAX: Final = 16 * 1024 * 1024


class Loading(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What goes into the history beside a house file."""

    who: Annotated[str, Meta(min_length=1, max_length=200)]
    why: Annotated[str, Meta(max_length=1000)] = ""
    file: Annotated[str, Meta(max_length=4096)] = "house.toml"


async def load_house(call: Call) -> Reply:
    """Make a house file the next revision."""
    raw = await bodies.read(call.request, "application/toml")
    try:
        text = raw.decode()
    except UnicodeDecodeError:
        raise Refusal(400, "the house file is not UTF-8") from None
    about: Loading = call.query
    checked = parse_house(text, Path(about.file).name)
    check_saving(checked, why=about.why, source=Path(about.file).name)
    origin = Origin(who=about.who, via="cli")
    return Reply(value=made(await call.parts.commands.load_house(checked, origin=origin, why=about.why, expected=None)))


class Chunk(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Where in its file a chunk of readings begins; its body starts with the file's header all the same."""

    first_line: Annotated[int, Meta(ge=1)] = 2


async def take_readings(call: Call) -> Reply:
    """Store the rows of a chunk of CSV and say what became of them."""
    raw = await bodies.read(call.request, "text/csv")
    first_line, now_ms = call.query.first_line, to_ms(call.parts.clock.now())
    taken = await call.parts.store.write(
        lambda conn: imports.take_text(conn, raw, first_line=first_line, now_ms=now_ms)
    )
    return Reply(value=taken)


class Pricing(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Whose prices a file holds, and what goes into the history beside them."""

    series: Id
    who: Annotated[str, Meta(min_length=1, max_length=200)]
    why: Annotated[str, Meta(max_length=1000)] = ""
    file: Annotated[str, Meta(max_length=4096)] = "prices.csv"


async def take_prices(call: Call) -> Reply:
    """Store a file of half-hourly prices."""
    raw, about, now = await bodies.read(call.request, "text/csv"), call.query, call.parts.clock.now()
    placed = [Placed(price, (f"line {line}",)) for price, line in price_table.parse(raw, Path(about.file).name)]
    prices.check(placed)
    in_use = about.series in series_of(call.parts.live.house)
    origin = Origin(who=about.who, via="cli")
    return Reply(
        value=await call.parts.store.write(
            lambda conn: prices.take(conn, about.series, placed, now=now, origin=origin, why=about.why, in_use=in_use)
        )
    )


ROUTES: tuple[Route, ...] = (
    # What only the running house knows: the same answers as over the API, for the command line beside it.
    *(
        replace(route, path=f"/desk{route.path.removeprefix('/api')}")
        for route in (*explain.ROUTES, *what_if.ROUTES, *people.ROUTES)
    ),
    people.DESK_ROUTE,
    Route(method="GET", path="/desk/health", summary="Whether the daemon listens", handler=healthz, answers=Alive),
    Route(
        method="POST",
        path="/desk/house",
        summary="Load a house file",
        handler=load_house,
        answers=RevisionMade,
        query=Loading,
        described=False,
        act="change-house",
    ),
    Route(
        method="POST",
        path="/desk/readings",
        summary="Store a chunk of readings",
        handler=take_readings,
        answers=imports.Taken,
        query=Chunk,
        described=False,
        act="change-house",
    ),
    Route(
        method="POST",
        path="/desk/prices",
        act="keep-books",
        summary="Store a file of half-hourly prices",
        handler=take_prices,
        answers=PricesTaken,
        query=Pricing,
        described=False,
    ),
)
