"""The weekly look that is kept, its history, and one zone with the days it rests on."""

from __future__ import annotations

from ingle import jobs
from ingle.design import design_version
from ingle.reports.child import Verdicts
from ingle.store.houses import digest
from served import ASSESSMENT, HOUSE, Served

DAY_S = 86_400


async def test_a_look_is_kept_each_week(served: Served) -> None:
    """The first night keeps one, the nights after none, the eighth the next; newest first, with its revision."""
    for _ in range(9):
        await jobs.note_verdicts(served.parts)
        served.clock.jump(DAY_S)
    looks = (await served.get("/api/verdicts/history"))["looks"]
    assert [look["number"] for look in looks] == [2, 1]
    assert looks[0]["digest"] == digest(HOUSE)
    assert looks[0]["method_version"] == ASSESSMENT["method_version"]
    assert (looks[0]["from"], looks[0]["to"]) == (ASSESSMENT["from"], ASSESSMENT["to"])
    assert [look["number"] for look in (await served.get("/api/verdicts/history?limit=1"))["looks"]] == [2]


async def test_a_clock_that_was_ahead_keeps_no_looks_away(served: Served) -> None:
    """A look dated a year ahead does not silence the weeks until then."""
    served.clock.step(365 * DAY_S)
    await jobs.note_verdicts(served.parts)
    served.clock.step(-364 * DAY_S)
    await jobs.note_verdicts(served.parts)
    assert len((await served.get("/api/verdicts/history"))["looks"]) == 2


async def test_one_zone_comes_with_its_fit(served: Served) -> None:
    """Through the real verb: this zone alone, compared with the design that stands."""
    verdicts = Verdicts(served.parts.store.path, served.clock)
    found = (await verdicts.assess("v1", zone="loft")).assessment
    assert [zone.id for zone in found.zones] == ["loft"]
    assert found.design_version == design_version(HOUSE)
    assert found.zones[0].fit == ()  # no readings, no days


async def test_a_zone_that_is_not_there_is_named(served: Served) -> None:
    """404 with the zones that there are."""
    for path in ("/api/verdicts/cellar", "/api/verdicts/history?zone=cellar"):
        async with served.client.get(served.url(path)) as answer:
            assert answer.status == 404
            assert "'cellar' is not in this house" in (await answer.json())["detail"]
