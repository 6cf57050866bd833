"""Forecasts over HTTP: made, kept unchanged, listed with their scores; and by the weekly job."""

from __future__ import annotations

import pytest

from ingle import jobs
from served import Served


async def test_a_forecast_is_made_kept_and_listed(served: Served) -> None:
    """POST says the next seven days; GET has it again to the letter, to come, then running, then without a score."""
    made = await served.post("/api/forecasts", {"outdoor_c": 5, "who": "Wenna"}, 201)
    said = made["forecast"]
    assert (made["number"], made["intact"], made["score"]["state"]) == (1, True, "to-come")
    assert (said["from"], said["to"], said["days"]) == ("2026-01-13T00:00:00Z", "2026-01-20T00:00:00Z", 7)
    assert said["who"] == "Wenna"
    assert [zone["zone"] for zone in said["zones"]] == ["loft", "hall", "store"]
    assert said["kwh"] == pytest.approx(sum(zone["kwh"] for zone in said["zones"]), abs=0.02)
    assert said["money"] is None
    assert any("No tariff" in line for line in said["missing"])
    served.clock.jump(3 * 86_400)
    found = await served.get("/api/forecasts")
    assert found["forecasts"][0]["forecast"] == said
    assert found["forecasts"][0]["score"]["state"] == "running"
    served.clock.jump(6 * 86_400)
    after = await served.get("/api/forecasts?limit=1")
    score = after["forecasts"][0]["score"]
    assert score["state"] == "cannot-score"
    assert score["missing"][0] == "loft: nothing is known of its heaters, 95 % is needed."
    assert (after["scored"], after["typical_error_percent"]) == (0, None)


async def test_the_weekly_job_says_the_week(served: Served) -> None:
    """The job keeps a forecast of its own under ingle's name; twice makes two, and the first stays."""
    await jobs.say_the_week(served.parts)
    served.clock.jump(7 * 86_400)
    await jobs.say_the_week(served.parts)
    found = await served.get("/api/forecasts")
    assert [(each["number"], each["forecast"]["who"]) for each in found["forecasts"]] == [(2, "ingle"), (1, "ingle")]


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"from": "2026-01-12"}, "/from"),
        ({"from": "tomorrow"}, "/from"),
        ({"from": "2026-01-20", "to": "2026-01-20"}, "/to"),
        ({"outdoor_c": 500}, "/outdoor_c"),
        ({"weather": "cold"}, "/weather"),
    ],
)
async def test_a_wrong_wish_is_named(served: Served, body: dict[str, object], pointer: str) -> None:
    """422 with the field and what is allowed, and nothing is kept."""
    problem = await served.post("/api/forecasts", body, 422)
    (wrong,) = problem["errors"]
    assert wrong["pointer"] == pointer
    assert wrong["allowed"]
    assert (await served.get("/api/forecasts"))["forecasts"] == []
