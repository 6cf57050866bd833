"""The prices of a day, over HTTP."""

from __future__ import annotations

from pathlib import Path

import pytest

from houses import make_house, make_zone
from ingle.model.devices import Heater
from ingle.model.tariff import Rate, Tariff
from served import Served, serving

NIGHT = Rate(per_kwh=0.142, start="00:30", end="07:30", clock="utc")
TARIFFS = (
    Tariff(
        start="2025-04-01", currency="GBP", tax_percent=20.0, standing_per_day=0.614, rates=(NIGHT, Rate(per_kwh=0.316))
    ),
)
HOUSE = make_house(make_zone("loft", Heater(id="loft-1", rated_w=1500.0)), tariffs=TARIFFS)


async def test_a_winters_day_has_its_cheap_window(tmp_path: Path, empty: Path) -> None:
    """In winter a window on UTC is one on the wall; standing charge and tax stand beside it, as they were written."""
    async with serving(tmp_path, HOUSE, empty=empty) as served:
        day = await served.get("/api/tariff?date=2026-01-12")
    assert (day["hours"], day["currency"], day["standing"], day["tax_percent"]) == (24, "GBP", "0.614", 20)
    assert [(each["from"], each["per_kwh"]) for each in day["stretches"]] == [
        ("2026-01-12T00:00:00Z", "0.316"),
        ("2026-01-12T00:30:00Z", "0.142"),
        ("2026-01-12T07:30:00Z", "0.316"),
    ]


@pytest.mark.parametrize(("date", "hours"), [("2026-03-29", 23), ("2026-10-25", 25)])
async def test_a_night_of_changing_clocks_has_its_hours(tmp_path: Path, empty: Path, date: str, hours: int) -> None:
    """The stretches of a day follow each other without holes from midnight to midnight, 23 or 25 hours apart."""
    async with serving(tmp_path, HOUSE, empty=empty) as served:
        day = await served.get(f"/api/tariff?date={date}")
    assert day["hours"] == hours
    edges = [each["from"] for each in day["stretches"]]
    assert edges[1:] == [each["to"] for each in day["stretches"]][:-1]


async def test_a_day_before_every_tariff_has_no_price(tmp_path: Path, empty: Path) -> None:
    """Nobody knows what a kWh cost then: null, not nought."""
    async with serving(tmp_path, HOUSE, empty=empty) as served:
        day = await served.get("/api/tariff?date=2025-03-31")
    assert (day["currency"], day["standing"], day["since"]) == (None, None, None)
    assert [each["per_kwh"] for each in day["stretches"]] == [None]


async def test_today_is_meant_where_no_day_is_named(served: Served) -> None:
    """Without a query it is the house's own today; a house without a tariff answers too."""
    day = await served.get("/api/tariff")
    assert day["date"] == served.clock.now().date().isoformat()
    assert day["currency"] is None


@pytest.mark.parametrize("date", ["yesterday", "2026-02-30", "0001-01-01", "9999-12-31", ""])
async def test_a_wrong_day_is_named(served: Served, date: str) -> None:
    """400 with the parameter and what is allowed."""
    async with served.client.get(served.url(f"/api/tariff?date={date}")) as answer:
        assert answer.status == 400
        problem = await answer.json(content_type=None)
    (wrong,) = problem["errors"]
    assert wrong["pointer"] == "/date"
    assert "date" in wrong["allowed"]
