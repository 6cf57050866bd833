"""Readings page by page, energy of a span, verdicts from the child."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from ingle.design import design_version
from ingle.model.instants import to_ms
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.reports.child import Verdicts
from served import ASSESSMENT, HOUSE, Served

START = datetime(2026, 1, 11, tzinfo=UTC)


async def fill(served: Served) -> int:
    """Let three sources report every ten minutes for a day, twice at each instant by two boots; return how many."""
    sources = [Source("heater", "hall-1"), Source("heater", "loft-1"), OUTDOOR]
    readings = [
        Reading(
            source=source,
            t_ms=to_ms(START + timedelta(minutes=10 * step)),
            arrived_ms=to_ms(START + timedelta(minutes=10 * step)),
            boot=boot,
            seq=step,
            temp_c=float(step % 20),
            energy_wh=float(step) if source.kind == "heater" else None,
        )
        for source in sources
        for step in range(144)
        for boot in ("a", "b")
    ]
    served.parts.intake.accept_all(readings)
    await served.parts.store.write(lambda _: None)
    return len(readings)


async def pages(served: Served, query: str, limit: int) -> list[Any]:
    """Follow ``next`` to the end; return all readings."""
    found: list[Any] = []
    cursor: str | None = ""
    while cursor is not None:
        more = f"&next={cursor}" if cursor else ""
        page = await served.get(f"/api/readings?{query}&limit={limit}{more}")
        assert len(page["readings"]) <= limit
        found += page["readings"]
        cursor = page["next"]
    return found


@pytest.mark.parametrize("limit", [1, 7, 288, 5000])
async def test_pages_lose_and_repeat_nothing(served: Served, limit: int) -> None:
    """Whatever the size of the pages, together they are all readings, each once, source by source in time order."""
    await fill(served)
    query = "zone=hall&from=2026-01-11&to=2026-01-11" if limit == 1 else "from=2026-01-11&to=2026-01-11"
    found = await pages(served, query, limit)
    keys = [(one["kind"], one["id"], one["t"], one["boot"]) for one in found]
    assert len(keys) == (288 if limit == 1 else 864)
    assert len(set(keys)) == len(keys)
    assert keys == sorted(keys)


async def test_a_zone_a_heater_and_outdoors(served: Served) -> None:
    """The zone is that in which the source stands; outdoor readings are asked for as a zone of their own."""
    await fill(served)
    for query, place, name in (
        ("zone=loft", "loft", "loft-1"),
        ("heater=hall-1", "hall", "hall-1"),
        ("zone=outdoor", "outdoor", "outdoor"),
    ):
        found = await pages(served, f"{query}&from=2026-01-11T00:00:00Z&to=2026-01-11T01:00:00Z", 100)
        assert {(one["zone"], one["id"]) for one in found} == {(place, name)}
        assert len(found) == 12


async def test_an_unescaped_offset_is_understood(served: Served) -> None:
    """A plus sign that arrives as a space is still an offset; a date is the house's own midnight."""
    page = await served.get("/api/readings?from=2026-07-01&to=2026-07-02T00:00:00+02:00")
    assert (page["from"], page["to"]) == ("2026-07-01T00:00:00+01:00", "2026-07-02T00:00:00+02:00")


async def test_a_date_is_a_whole_day(served: Served) -> None:
    """From a date to the same date is that day on the house's clock, 23 hours long in spring."""
    page = await served.get("/api/readings?from=2026-03-29&to=2026-03-29")
    assert (page["from"], page["to"]) == ("2026-03-29T00:00:00Z", "2026-03-30T00:00:00+01:00")


async def test_without_a_span_it_is_the_last_day(served: Served) -> None:
    """The last 24 hours, up to now."""
    page = await served.get("/api/readings")
    assert (page["from"], page["to"]) == ("2026-01-11T06:00:00Z", "2026-01-12T06:00:00Z")


async def test_energy_of_a_span_and_of_today(served: Served) -> None:
    """A span as asked for; without one, from local midnight to now."""
    await fill(served)
    asked = await served.get("/api/energy?from=2026-01-11T00:00:00Z&to=2026-01-11T12:00:00Z")
    hall = next(one for one in asked["heaters"] if one["heater"] == "hall-1")
    assert hall["zone"] == "hall"
    assert hall["energy_wh"] == pytest.approx(72)
    assert asked["total_wh"] == pytest.approx(144)
    assert asked["missing"] == ["loft-2", "store-1"]
    today = await served.get("/api/energy")
    assert (today["from"], today["to"]) == ("2026-01-12T00:00:00Z", "2026-01-12T06:00:00Z")


async def test_verdicts_come_with_their_age(served: Served) -> None:
    """The child's words, and in the Age header how old they are; refresh makes them new."""
    assert await served.get("/api/verdicts") == ASSESSMENT
    served.clock.jump(90)
    async with served.client.get(served.url("/api/verdicts")) as answer:
        assert answer.headers["Age"] == "90"
    async with served.client.post(served.url("/api/verdicts/refresh")) as answer:
        assert (answer.status, answer.headers["Age"]) == (200, "0")


async def test_the_real_verb_answers(served: Served) -> None:
    """What `ingle assess` says of a house without history: every zone, and what is missing."""
    verdicts = Verdicts(served.parts.store.path, served.clock)
    found = (await verdicts.assess("v1", "2026-01-01T00:00:00+00:00", "2026-01-12T00:00:00+00:00")).assessment
    assert [zone.verdict for zone in found.zones] == ["cannot-say-yet"] * 3
    assert all(zone.missing for zone in found.zones)
    assert found.design_version == design_version(HOUSE)
