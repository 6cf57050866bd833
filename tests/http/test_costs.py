"""Costs and days over HTTP: the numbers of the reports, spans in words of a calendar, refusals that say which."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from ingle.model.instants import to_ms
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.model.tariff import Rate, Tariff
from served import HOUSE, Served, serving

TARIFF = Tariff(
    start="2026-01-01", currency="GBP", tax_percent=20.0, standing_per_day=0.614, rates=(Rate(per_kwh=0.316),)
)
START = datetime(2026, 1, 11, tzinfo=UTC)


@pytest.fixture(name="priced")
async def _priced(tmp_path: Path, empty: Path) -> AsyncIterator[Served]:
    """Serve a house with a tariff; its hall drew 1 kW all through 11 January, at 5.5 °C outdoors."""
    async with serving(tmp_path, replace(HOUSE, tariffs=(TARIFF,)), empty=empty) as served:
        times = [START + timedelta(minutes=15 * n) for n in range(97)]
        counted = [
            Reading(source=Source("heater", "hall-1"), t_ms=to_ms(at), arrived_ms=to_ms(at), energy_wh=250.0 * n)
            for n, at in enumerate(times)
        ]
        outdoors = [Reading(source=OUTDOOR, t_ms=to_ms(at), arrived_ms=to_ms(at), temp_c=5.5) for at in times]
        served.parts.intake.accept_all([*counted, *outdoors])
        await served.parts.store.write(lambda _: None)
        yield served


async def test_a_days_costs(priced: Served) -> None:
    """24 kWh at 0.316 and a day at 0.614, taxed: 9.84 in all; null where nothing is known."""
    found = await priced.get("/api/costs?from=2026-01-11&to=2026-01-11")
    assert {name: found[name] for name in ("currency", "days", "units", "standing", "tax", "total")} == {
        "currency": "GBP",
        "days": 1.0,
        "units": "7.59",  # 7.584: one of the parts goes up, so that they add up to the total
        "standing": "0.61",
        "tax": "1.64",
        "total": "9.84",  # (24 x 0.316 + 0.614) x 1.2 = 9.8376
    }
    hall = next(zone for zone in found["zones"] if zone["zone"] == "hall")
    assert hall["total"] == "9.10"
    assert hall["heaters"][0]["heater"] == "hall-1"
    assert next(zone for zone in found["zones"] if zone["zone"] == "loft")["total"] is None
    assert found["by_day"] == [{"date": "2026-01-11", "energy_wh": 24000.0, "total": "9.84", "quality": "metered"}]
    assert found["booked"] == []


async def test_days_and_how_cold_they_were(priced: Served) -> None:
    """The hall's 24 kWh on a day of 10 degree days below 15.5 °C; the day after is not over and not measured."""
    found = await priced.get("/api/energy/days?from=2026-01-11&to=2026-01-12")
    first, second = found["days"]
    assert (first["date"], first["outdoor_c"], first["degree_days_kd"], first["hours"]) == (
        "2026-01-11",
        5.5,
        10.0,
        24.0,
    )
    energy = {zone["zone"]: zone["energy_wh"] for zone in first["zones"]}
    assert energy == {"hall": pytest.approx(24_000), "loft": None, "store": None}
    assert second["degree_days_kd"] is None
    assert "nothing is known of the energy of loft-1" in found["missing"]


async def test_without_a_span_it_is_this_month(priced: Served) -> None:
    """From the first to the end of today; up to an earlier day, from the first of that day's month."""
    found = await priced.get("/api/costs")
    assert (found["from"], found["to"]) == ("2026-01-01T00:00:00Z", "2026-01-13T00:00:00Z")
    found = await priced.get("/api/energy/days?to=2025-12-31")
    assert (found["from"], len(found["days"])) == ("2025-12-01T00:00:00Z", 31)


async def test_one_zone(priced: Served) -> None:
    """Only the zone that is named."""
    found = await priced.get("/api/costs?from=2026-01-11&to=2026-01-11&zone=hall")
    assert [zone["zone"] for zone in found["zones"]] == ["hall"]


@pytest.mark.parametrize("path", ["/api/costs", "/api/energy/days"])
@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ("from=yesterday", "/from"),
        ("from=2026-01-12&to=2026-01-11", "/to"),
        ("from=2020-01-01&to=2026-01-11", "/to"),
        ("from=2026-01-01T00:00:00.0004Z&to=2026-01-01T00:00:00.0005Z", "/to"),
        ("zones=hall", "/zones"),
    ],
)
async def test_a_bad_query_is_pointed_at(priced: Served, path: str, query: str, pointer: str) -> None:
    """Neither words nor spans backwards nor six years day by day."""
    async with priced.client.get(priced.url(f"{path}?{query}")) as answer:
        problem: Any = await answer.json(content_type=None)
        assert answer.status == 400, problem
    assert [wrong["pointer"] for wrong in problem["errors"]] == [pointer]


async def test_two_periods_side_by_side(priced: Served) -> None:
    """Without a second span it is as many days before the first; too little is known here to say more."""
    found = await priced.get("/api/energy/compare?from=2026-01-11&to=2026-01-11&zone=hall")
    assert (found["period"]["kwh"], found["other"]["kwh"]) == (pytest.approx(24), None)
    assert (found["other"]["from"], found["other"]["to"]) == ("2026-01-10T00:00:00Z", "2026-01-11T00:00:00Z")
    assert found["per_day"]["word"] == "cannot say"
    named = await priced.get(
        "/api/energy/compare?from=2026-01-11&to=2026-01-11&with_from=2025-12-01&with_to=2025-12-31"
    )
    assert (named["other"]["from"], named["other"]["to"]) == ("2025-12-01T00:00:00Z", "2026-01-01T00:00:00Z")


async def test_a_bad_second_span_is_pointed_at(priced: Served) -> None:
    """The parameter by its own name."""
    path = "/api/energy/compare?from=2026-01-11&with_from=2026-01-05&with_to=2026-01-01"
    async with priced.client.get(priced.url(path)) as answer:
        problem: Any = await answer.json(content_type=None)
    assert (answer.status, problem["errors"][0]["pointer"]) == (400, "/with_to")


async def test_the_same_use_at_other_tariffs(priced: Served) -> None:
    """24 kWh at 0.25 with nothing standing, taxed as the house's own: 7.20 instead of 9.84."""
    other = {"from": "2026-01-01", "currency": "GBP", "tax_percent": 20, "rates": [{"per_kwh": 0.25}]}
    found = await priced.post("/api/costs/try?from=2026-01-11&to=2026-01-11", {"tariff": [other]})
    assert [(each["number"], each["total"], each["more"]) for each in found["tariffs"]] == [
        (1, "7.20", "-2.64"),
        (0, "9.84", "0.00"),
    ]
    assert found["sentence"] == "Tariff 1 would have cost 2.64 GBP less than the house's own."
    dear = {**other, "rates": [{"per_kwh": 0.1, "from": "00:00", "to": "07:00"}, {"per_kwh": 0.9}]}
    found = await priced.post("/api/costs/try?from=2026-01-11&to=2026-01-11", {"tariff": [dear]})
    assert "None of those tried is cheaper" in found["sentence"]
    assert "direct heaters use little at night" in found["sentence"]


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"tariff": []}, "/tariff"),
        ({"tariff": [{"currency": "GBP", "rates": [{"per_kwh": "dear"}]}]}, "/tariff/0/rates/0/per_kwh"),
        ({"tariff": [{"currency": "EUR", "rates": [{"per_kwh": 0.2}]}]}, "/tariff/0/currency"),
        ({"tariff": [{"currency": "GBP", "rates": [{"per_kwh": 0.2}]}] * 9}, "/tariff"),
        ({"tariffs": []}, "/tariffs"),
        ([], "/tariff"),
    ],
)
async def test_a_tried_tariff_is_checked_as_a_house_files(priced: Served, body: object, pointer: str) -> None:
    """The place of the fault, and nothing is worked out."""
    problem = await priced.post("/api/costs/try?from=2026-01-11&to=2026-01-11", body, 422)
    assert pointer in [wrong["pointer"] for wrong in problem["errors"]]


async def test_what_is_not_known_is_not_compared(priced: Served) -> None:
    """A span without readings is refused with a sentence."""
    other = {"currency": "GBP", "rates": [{"per_kwh": 0.25}]}
    problem = await priced.post("/api/costs/try?from=2025-01-11&to=2025-02-11", {"tariff": [other]}, 409)
    assert "known for 0% of the span" in problem["detail"]
