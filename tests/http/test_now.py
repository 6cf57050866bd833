"""What the API says of now, and what can be asked of it."""

from __future__ import annotations

from ingle.model.readings import Reading, Source
from served import Served


def report(served: Served, heater: str, **values: float) -> None:
    """Let a heater report now."""
    now_ms = int(served.clock.now().timestamp() * 1000)
    served.parts.intake.accept(Reading(source=Source("heater", heater), t_ms=now_ms, arrived_ms=now_ms, **values))


async def test_zones_show_what_was_reported(served: Served) -> None:
    """GET /api/zones lists every zone with temperature, wanted temperature and reason."""
    report(served, "hall-1", temp_c=17.25, power_w=900.0)
    served.parts.commands.tick()
    zones = (await served.get("/api/zones"))["zones"]
    assert [zone["id"] for zone in zones] == ["loft", "hall", "store"]
    hall = zones[1]
    assert (hall["temp_c"], hall["power_w"], hall["quality"]) == (17.25, 900.0, "metered")
    assert hall["reason"]
    assert await served.get("/api/zones/hall") == hall


async def test_an_override_is_obeyed_and_released(served: Served) -> None:
    """POST overrides returns the zone as it is then, hands the order over, and release gives the zone back."""
    held = await served.post("/api/zones/hall/overrides", {"do": "override", "temp_c": 21.5, "for": "PT90M"})
    assert (held["wanted_c"], held["held"], held["rule"]) == (21.5, True, "override")
    assert served.told.orders[-1][0] == "hall-1"
    assert served.told.orders[-1][1].setpoint_c == 21.5
    released = await served.post("/api/zones/hall/overrides", {"do": "release"})
    assert (released["wanted_c"], released["held"]) == (16.0, False)


async def test_do_may_be_left_out(served: Served) -> None:
    """A request without ``do`` is an override."""
    assert (await served.post("/api/zones/hall/overrides", {"temp_c": 19}))["wanted_c"] == 19


async def test_a_cap_can_be_lowered_and_given_back(served: Served) -> None:
    """POST limits answers with the house as it is then."""
    house = await served.post("/api/limits", {"do": "cap", "cap_a": 10, "for": "PT1H"})
    assert house["cap_w"] == 2300.0
    assert (await served.post("/api/limits", {"do": "release"}))["cap_w"] is None


async def test_heaters_list_strangers(served: Served) -> None:
    """A heater that reports and that no zone has is listed as unbound."""
    report(served, "nobodys", temp_c=18.0)
    heaters = await served.get("/api/heaters")
    assert [heater["id"] for heater in heaters["heaters"]] == ["loft-1", "loft-2", "hall-1", "store-1"]
    assert [(one["id"], one["heard"]) for one in heaters["unbound"]] == [("nobodys", 1)]


async def test_notices_name_what_is_not_driven(served: Served) -> None:
    """GET /api/notices tells of the zone whose only heater is portable."""
    notices = (await served.get("/api/notices"))["notices"]
    assert any(notice["zone"] == "store" for notice in notices)


async def test_a_person_can_vouch_for_the_clock(served: Served) -> None:
    """POST clock/confirm is taken without a body, kept with who did it, and answered with the house."""
    async with served.client.post(served.url("/api/clock/confirm")) as answer:
        assert answer.status == 200
        assert (await answer.json())["name"] == "Tern House"


async def test_health_and_readiness(served: Served) -> None:
    """/healthz is 200 whatever is missing; /readyz says what is, and is 200 when nothing is."""
    assert await served.get("/healthz") == {"alive": True}
    async with served.client.get(served.url("/readyz")) as answer:
        assert answer.status == 503
        assert "broker" in (await answer.json())["missing"][0]
    served.parts.live.set_broker(up=True)
    assert await served.get("/readyz") == {"ready": True, "missing": []}
