"""Explanations over HTTP: of now by the running house, of a past time by the record."""

from __future__ import annotations

from datetime import timedelta

import pytest

from ingle.model.instants import to_ms
from ingle.model.readings import Reading, Source
from served import Served


def hear(served: Served, heater: str, temp_c: float, power_w: float) -> None:
    """Let a heater report a second later than the last one, and let the tick see it."""
    served.clock.jump(1)
    t_ms = to_ms(served.clock.now())
    reading = Reading(source=Source("heater", heater), t_ms=t_ms, arrived_ms=t_ms, temp_c=temp_c, power_w=power_w)
    served.parts.intake.accept(reading)
    served.parts.commands.tick()


def pass_time(served: Served, seconds: int) -> None:
    """Let time pass, tick by tick."""
    for _ in range(seconds // 2):
        served.clock.jump(2)
        served.parts.commands.tick()


async def test_the_cap_is_named_while_it_binds_and_no_longer(served: Served) -> None:
    """A cap too small for the loft's heaters: its answer names the cap, not the heater; released, it does not."""
    pass_time(served, 120)
    await served.post("/api/zones/loft/overrides", {"do": "override", "temp_c": 21, "for": "PT2H"})
    await served.post("/api/limits", {"do": "cap", "cap_a": 1.5, "for": "PT1H"})
    pass_time(served, 70)
    for heater, temp_c in (("loft-1", 15.0), ("loft-2", 15.0), ("hall-1", 19.0)):
        hear(served, heater, temp_c, 0.0)
    found = await served.get("/api/zones/loft/explain")
    assert "because the 1.5 A cap of the supply holds its heating back, not because of its heaters" in found["sentence"]
    assert [said["rule"] for said in found["rules"] if said["wins"]] == ["cap"]
    assert [said["rule"] for said in found["rules"]] == ["cap", "override", "programme"]
    assert {heater["held_by"] for heater in found["heaters"]} == {"cap"}
    await served.post("/api/limits", {"do": "release"})
    pass_time(served, 70)
    hear(served, "loft-1", 15.0, 1480.0)
    hear(served, "loft-2", 15.0, 495.0)
    after = await served.get("/api/zones/loft/explain")
    assert "cap" not in after["sentence"]
    assert after["sentence"] == "Loft is at 15 °C, 6.0 K below the 21 °C wanted: " + after["rules"][0][
        "sentence"
    ].replace("H", "h", 1)
    assert after["rules"][0]["rule"] == "override"
    assert after["rules"][0]["wins"]


async def test_what_was_read_stands_with_its_age(served: Served) -> None:
    """Each value of the room's sources with unit, time, age and quality; what comes next is said."""
    hear(served, "loft-1", 18.5, 1450.0)
    served.clock.jump(30)
    found = await served.get("/api/zones/loft/explain")
    temp = next(each for each in found["readings"] if (each["id"], each["what"]) == ("loft-1", "temp_c"))
    assert (temp["value"], temp["unit"], temp["age_s"], temp["quality"]) == (18.5, "°C", 30.0, "metered")
    assert found["source"] == "live"
    assert found["comes_next"] == "From 06:30: 20 °C (occupied)."
    assert found["verdict"] is None


async def test_a_past_time_is_told_by_the_record(served: Served) -> None:
    """The decision in force then with its reason, and the temperature read then, though the house has moved on."""
    hear(served, "loft-1", 18.5, 1450.0)
    then = served.clock.now() + timedelta(seconds=5)
    served.clock.jump(3 * 3600)
    served.parts.commands.tick()
    await served.parts.commands.flush()
    await served.parts.store.write(lambda _: None)
    now = await served.get("/api/zones/loft/explain")
    found = await served.get("/api/zones/loft/explain", params={"at": then.isoformat()})
    assert found["source"] == "record"
    assert (found["wanted_c"], found["temp_c"], found["temp_quality"]) == (16.0, 18.5, "metered")
    assert now["wanted_c"] == 16.0
    assert "From the record: the decision noted 06:00." in found["basis"]
    assert found["rules"][0]["wins"]
    assert found["heaters"][0]["power_w"] == 1450.0
    assert found["heaters"][0]["state"] == "heating"
    later = await served.get("/api/zones/loft/explain", params={"at": (then + timedelta(hours=1)).isoformat()})
    assert later["wanted_c"] == 16.0
    assert later["temp_quality"] == "stale"
    assert "Nothing was noted after it" in later["basis"]


async def test_the_future_and_a_wrong_time_are_refused(served: Served) -> None:
    """400, with the parameter and what is allowed."""
    for at in ("2031-01-01T00:00:00Z", "yesterday"):
        async with served.client.get(served.url("/api/zones/loft/explain"), params={"at": at}) as answer:
            assert answer.status == 400
            problem = await answer.json(content_type=None)
        (wrong,) = problem["errors"]
        assert wrong["pointer"] == "/at"
        assert wrong["allowed"]


@pytest.mark.parametrize("query", ["", "?at=2026-01-12T06:00:00Z"])
async def test_an_unknown_zone_is_named_with_the_known(served: Served, query: str) -> None:
    """404 in a sentence, of now and of the record."""
    async with served.client.get(served.url(f"/api/zones/attic/explain{query}")) as answer:
        assert answer.status == 404
        problem = await answer.json(content_type=None)
    assert "attic" in problem["detail"]
    assert "loft" in problem["detail"]
