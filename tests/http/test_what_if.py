"""What-if over HTTP."""

from __future__ import annotations

import pytest

from ingle.model.instants import to_ms
from ingle.model.readings import OUTDOOR, Reading
from served import Served


async def test_ways_of_a_zone_side_by_side(served: Served) -> None:
    """40 W/K held at 20 °C at 5 °C outside take 14.4 kWh a day; every assumption is said."""
    found = await served.get("/api/zones/loft/what-if?outdoor_c=5&tau_h=14&cap_a=20")
    held = next(case for case in found["cases"] if case["code"] == "held")
    assert held["kwh_per_day"] == pytest.approx(14.4, abs=0.01)
    assert {case["code"] for case in found["cases"]} == {"programme", "late", "held", "cooler", "shorter", "cap"}
    assert found["loss_from"] == "design"
    assert any("5 °C outside" in line for line in found["assumptions"])


async def test_the_weather_is_what_was_measured_lately(served: Served) -> None:
    """Without a temperature given, the mean of the newest week of outdoor readings, with its dates."""
    now_ms = to_ms(served.clock.now())
    for hour in range(1, 49):
        t_ms = now_ms - hour * 3_600_000
        served.parts.store.append([Reading(source=OUTDOOR, t_ms=t_ms, arrived_ms=t_ms, temp_c=3.0 + hour % 2)])
    await served.parts.store.write(lambda _: None)
    found = await served.get("/api/zones/loft/what-if")
    assert found["outdoor_c"] == pytest.approx(3.5)
    assert any("the mean measured from 2026-01-10 to 2026-01-12" in line for line in found["assumptions"])


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ("", "/outdoor_c"),
        ("outdoor_c=-90", "/outdoor_c"),
        ("outdoor_c=5&less_k=0", "/less_k"),
        ("outdoor_c=5&tau_h=nan", "/tau_h"),
        ("outdoor_c=5&cap_a=many", "/cap_a"),
        ("outdoor_c=5&colour=red", "/colour"),
    ],
)
async def test_a_wrong_question_is_named(served: Served, query: str, pointer: str) -> None:
    """400 with the parameter and what is allowed."""
    async with served.client.get(served.url(f"/api/zones/loft/what-if?{query}")) as answer:
        assert answer.status == 400
        problem = await answer.json(content_type=None)
    (wrong,) = problem["errors"]
    assert wrong["pointer"] == pointer
    assert wrong["allowed"]
