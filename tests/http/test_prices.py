"""Half-hourly prices over HTTP: given, shown, replaced, used for costs; every fault at its place."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from ingle.model.instants import to_ms
from ingle.model.readings import Reading, Source
from ingle.model.tariff import Rate, Tariff
from ingle.store import events
from served import HOUSE, Served, serving

START = datetime(2026, 1, 11, tzinfo=UTC)
TARIFF = Tariff(start="2026-01-01", currency="GBP", rates=(Rate(per_kwh=0.3),), series="grid")


def price(half_hour: int, value: object, **other: Any) -> dict[str, Any]:
    """Return the price of a half-hour of 11 January."""
    start = START + half_hour * timedelta(minutes=30)
    return {
        "from": start.isoformat(),
        "to": (start + timedelta(minutes=30)).isoformat(),
        "per_kwh": value,
        **other,
    }


@pytest.fixture(name="priced")
async def _priced(tmp_path: Path, empty: Path) -> AsyncIterator[Served]:
    """Serve a house whose tariff takes its prices from a series; its hall drew 1 kW through 11 January."""
    async with serving(tmp_path, replace(HOUSE, tariffs=(TARIFF,)), empty=empty) as served:
        times = [START + timedelta(minutes=15 * n) for n in range(97)]
        served.parts.intake.accept_all(
            [
                Reading(source=Source("heater", "hall-1"), t_ms=to_ms(at), arrived_ms=to_ms(at), energy_wh=250.0 * n)
                for n, at in enumerate(times)
            ]
        )
        await served.parts.store.write(lambda _: None)
        yield served


async def test_prices_are_used_for_costs(priced: Served) -> None:
    """Two half-hours at their prices, one of them below zero; the other 23 hours at the tariff's own rate."""
    given = {"series": "grid", "prices": [price(0, 0.1), price(1, -0.2)]}
    taken = await priced.post("/api/prices?who=Wenna&why=day%20ahead", given, 201)
    assert (taken["stored"], taken["in_use"]) == (2, True)
    found = await priced.get("/api/costs?from=2026-01-11&to=2026-01-11")
    # 0.5 x 0.1 - 0.5 x 0.2 + 23 x 0.3
    assert found["units"] == "6.85"
    shown = await priced.get("/api/prices?from=2026-01-11&to=2026-01-11")
    assert [each["per_kwh"] for each in shown["prices"]] == ["0.1", "-0.2"]
    (told,) = [
        each for each in await priced.parts.store.read(lambda conn: events.since(conn, 0)) if each.kind == "prices"
    ]
    assert (told.subject, told.data["who"], told.data["why"], told.data["stored"]) == ("grid", "Wenna", "day ahead", 2)


async def test_prices_that_come_again_replace_the_first(priced: Served) -> None:
    """The same half-hour given twice has the second price; a series that no tariff names is kept and said."""
    await priced.post("/api/prices", {"series": "grid", "prices": [price(0, 0.1)]}, 201)
    await priced.post("/api/prices", {"series": "grid", "prices": [price(0, 0.4)]}, 201)
    shown = await priced.get("/api/prices?series=grid&from=2026-01-11")
    assert [each["per_kwh"] for each in shown["prices"]] == ["0.4"]
    assert (await priced.post("/api/prices", {"series": "other", "prices": [price(0, 0.1)]}, 201))["in_use"] is False


@pytest.mark.parametrize(
    ("prices", "pointer"),
    [
        ([], "/prices"),
        ([price(0, "0.1")], "/prices/0/per_kwh"),
        ([price(0, 101)], "/prices/0/per_kwh"),
        ([price(0, 0.1, **{"from": "2026-01-11T00:00:00"})], "/prices/0/from"),
        ([price(0, 0.1), price(1, 0.1, to=START.isoformat())], "/prices/1/to"),
        ([price(0, 0.1, to="2026-02-11T00:00:00Z")], "/prices/0/to"),
        ([price(0, 0.1), price(0, 0.2)], "/prices/1/from"),
        ([price(0, 0.1, **{"from": "1026-01-11T00:00:00Z"})], "/prices/0/from"),
        ([price(0, 0.1, tax=1)], "/prices/0/tax"),
    ],
)
async def test_a_fault_of_a_price_is_pointed_at(priced: Served, prices: list[dict[str, Any]], pointer: str) -> None:
    """The price and its field, and nothing is stored of the whole list."""
    problem = await priced.post("/api/prices", {"series": "grid", "prices": prices}, 422)
    assert pointer in [wrong["pointer"] for wrong in problem["errors"]]
    assert all(wrong["allowed"] for wrong in problem["errors"])
    assert (await priced.get("/api/prices?series=grid&from=2026-01-11"))["prices"] == []


async def test_a_list_of_faults_is_bounded(priced: Served) -> None:
    """Fifty faults are told and the rest is counted."""
    backwards = [price(n, 0.1, to=START.isoformat()) for n in range(1, 200)]
    problem = await priced.post("/api/prices", {"series": "grid", "prices": backwards}, 422)
    assert len(problem["errors"]) == 51
    assert "more are not listed" in problem["errors"][-1]["allowed"]


async def test_a_span_of_prices_is_bounded(priced: Served) -> None:
    """A year of half-hours is not shown at once; the parameter is named."""
    async with priced.client.get(priced.url("/api/prices?from=2025-01-01&to=2026-01-01")) as answer:
        problem: Any = await answer.json(content_type=None)
    assert (answer.status, problem["errors"][0]["pointer"]) == (400, "/to")


async def test_who_gave_prices_is_never_nobody(priced: Served) -> None:
    """Without a name it is whoever is at this machine."""
    await priced.post("/api/prices", {"series": "grid", "prices": [price(0, 0.1)]}, 201)
    history = await priced.parts.store.read(lambda conn: events.since(conn, 0))
    assert [each.data["who"] for each in history if each.kind == "prices"] == ["local user"]
