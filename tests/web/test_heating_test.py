"""A heating test on a room's page: what it takes, start, progress, stop and result, by keyboard and on a phone."""

from __future__ import annotations

import sys
from collections.abc import AsyncIterator, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import msgspec
import pytest
import pytest_asyncio
from playwright.async_api import BrowserContext, Page, expect

from ingle.model.commands import Origin
from ingle.model.heating_tests import HeatingTestPlan, HeatingTestResult, NightSeen, RoomTested
from ingle.model.house import Zone
from ingle.model.instants import to_ms
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.model.verdicts import Assessment, ZoneVerdict
from ingle.reports.child import Verdicts
from web.axe import faults
from web.conftest import Watched
from web.looks import CONTRASTS, FOREIGN, OVERFLOW, TARGETS
from web.recorded import PRICED
from web.served import HOUSE, Served

pytestmark = pytest.mark.asyncio(loop_scope="session")


def _unsaid(zone: Zone) -> ZoneVerdict:
    nothing: dict[str, Any] = dict.fromkeys(ZoneVerdict.__struct_fields__[2:9])
    rest: dict[str, Any] = {"possible_from": None, "metered_kwh": None, "expected_kwh": None}
    return ZoneVerdict(
        id=zone.id, name=zone.name, verdict="cannot-say-yet", causes=(), days_used=0, missing=(), **nothing, **rest
    )


#: Verdicts that say nothing yet: the page's frame around what is looked at here.
ASSESSMENT = Assessment(
    start="2025-12-08T00:00:00Z",
    end="2026-01-12T00:00:00Z",
    design_version="0123456789abcdef",
    method="nothing",
    method_version=1,
    zones=tuple(_unsaid(zone) for zone in HOUSE.zones),
)
SAID = msgspec.json.encode(ASSESSMENT).decode()


@pytest_asyncio.fixture(name="chapel", loop_scope="session")
async def _chapel(tmp_path: Path) -> AsyncIterator[Served]:
    served = Served(tmp_path)
    served.verdicts = Verdicts(tmp_path / "ingle.db", served.clock, command=(sys.executable, "-c", f"print({SAID!r})"))
    await served.start(PRICED)
    served.intake.accept_all([*_spoken(served.clock.now())])
    await served.store.write(lambda _: None)
    yield served
    await served.stop()


def _spoken(now: datetime) -> Iterator[Reading]:
    """Yield a minute of metered heaters and a cold outdoor sensor."""
    for second in (60, 0):
        t_ms = to_ms(now - timedelta(seconds=second))
        for heater in ("vestry-1", "gallery-1", "gallery-2", "porch-1"):
            yield Reading(
                source=Source("heater", heater),
                t_ms=t_ms,
                arrived_ms=t_ms,
                temp_c=19.0,
                energy_wh=5000.0,
                energy_is="metered",
            )
        yield Reading(source=OUTDOOR, t_ms=t_ms, arrived_ms=t_ms, temp_c=3.0)


async def opened(page: Page, served: Served, zone: str = "vestry") -> None:
    """Open a room's page and wait for its heating test's place."""
    await page.goto(f"{served.url}/check?zone={zone}")
    await page.wait_for_selector("body:not(.loading)", timeout=60_000)
    await page.wait_for_selector("heating-test :is(form, .test-now, .test-last)")


def plan() -> HeatingTestPlan:
    """Return a test of the vestry."""
    return HeatingTestPlan(zones=("vestry",), temp_c=21.0, nights=4, empty=True, who="Wenna Trask")


async def begun(served: Served) -> None:
    """Start a test of the vestry, as another page would."""
    await served.commands.heating_tests.start(plan(), Origin(who="Wenna Trask", via="http"))


async def told(served: Served) -> None:
    """Keep a result with one night that does not count."""
    night = NightSeen(
        date="2026-01-13",
        power_w=1210.0,
        temp_c=21.0,
        outdoor_c=4.2,
        good=True,
        why_not=None,
        w_per_k=72.3,
        low_w_per_k=65.0,
        high_w_per_k=79.6,
    )
    room = RoomTested(
        id="vestry",
        name="Vestry",
        design_w_per_k=40.0,
        design_low_w_per_k=34.0,
        design_high_w_per_k=46.0,
        measured_w_per_k=72.3,
        low_w_per_k=65.0,
        high_w_per_k=79.6,
        time_constant_h=31.0,
        good_nights=3,
        converged=True,
        missing=(),
        nights=(night, msgspec.structs.replace(night, good=False, why_not="a window or door stood open"), night),
    )
    now = served.clock.now()
    result = HeatingTestResult(
        number=1,
        computed=now,
        start=now,
        end=now,
        final=True,
        design_version="0123456789abcdef",
        method="nights",
        method_version=1,
        zones=(room,),
    )
    await served.commands.heating_tests.keep_result(result)


async def test_a_test_is_started_by_keyboard(context: BrowserContext, chapel: Served) -> None:
    """Look first, read what it takes, say that the house is empty, start: then its progress stands there."""
    watched = Watched(await context.new_page())
    page = watched.page
    await opened(page, chapel)
    await page.get_by_label("Level").fill("21")
    await page.get_by_label("Your name").fill("Wenna Trask")
    await page.keyboard.press("Enter")
    outlook = page.locator(".outlook")
    await expect(outlook.locator("h4").first).to_be_focused()
    await expect(outlook.locator(".figures")).to_contain_text("kWh")
    await expect(outlook.locator(".figures")).to_contain_text("£")
    await expect(outlook.locator(".cautions li")).to_have_count(5)
    start = page.get_by_role("button", name="Start the heating test")
    await start.press("Enter")
    empty = page.get_by_label("Nobody lives in the house until the test is over")
    await expect(empty).to_be_focused()
    await expect(page.get_by_text("Tick this once the house is empty.")).to_be_visible()
    await page.keyboard.press("Space")
    await start.press("Enter")
    await expect(page.locator(".test-now h3")).to_have_text("Heating test 1: settling")
    await expect(page.locator(".waits")).to_contain_text("The rooms warm through until")
    current = chapel.commands.heating_tests.current
    assert current is not None
    assert (current.zones, current.temp_c, current.who) == (("vestry",), 21.0, "Wenna Trask")
    assert watched.complaints == []


async def test_what_stands_against_it_is_said(context: BrowserContext, chapel: Served) -> None:
    """In a room with a portable heater there is no button to start, but the reasons; wrong values are said at once."""
    page = await context.new_page()
    await opened(page, chapel, "porch")
    await page.get_by_label("Level").fill("31")
    await page.get_by_label("Your name").fill("")
    await page.get_by_role("button", name="See what it takes").click()
    await expect(page.locator("[data-field=temp_c] .said")).to_have_text("a temperature from 14 to 26 °C")
    await expect(page.get_by_label("Level")).to_be_focused()
    await page.get_by_label("Level").fill("20,5")
    await page.get_by_label("Your name").fill("Wenna Trask")
    await page.get_by_role("button", name="See what it takes").click()
    await expect(page.locator(".outlook")).to_contain_text("it is portable")
    await expect(page.get_by_role("button", name="Start the heating test")).to_have_count(0)


async def test_what_was_typed_survives_a_reload(context: BrowserContext, chapel: Served) -> None:
    """Level, nights and name are still there after a reload."""
    page = await context.new_page()
    await opened(page, chapel)
    await page.get_by_label("Level").fill("22.5")
    await page.get_by_label("Nights that count").fill("6")
    await page.reload()
    await page.wait_for_selector("heating-test form", timeout=60_000)
    assert await page.get_by_label("Level").input_value() == "22.5"
    assert await page.get_by_label("Nights that count").input_value() == "6"


async def test_stopping_takes_two_steps(context: BrowserContext, chapel: Served) -> None:
    """The first press asks, Escape takes it back, the second stops; the reason stands in its place."""
    await begun(chapel)
    page = await context.new_page()
    await opened(page, chapel, "gallery")
    await expect(page.locator(".test-now")).to_contain_text("It measures Vestry, not this room.")
    await page.get_by_role("button", name="Stop the test").click()
    await page.keyboard.press("Escape")
    await expect(page.get_by_role("button", name="Stop now")).to_be_hidden()
    assert chapel.commands.heating_tests.current is not None
    await page.get_by_role("button", name="Stop the test").press("Enter")
    await page.keyboard.press("Enter")
    await expect(page.locator("heating-test form")).to_be_visible()
    assert chapel.commands.heating_tests.current is None
    await opened(page, chapel)
    await expect(page.locator(".test-last")).to_contain_text("Ended early: stopped by Wenna Trask.")


async def test_the_result_stands_with_its_nights(context: BrowserContext, chapel: Served) -> None:
    """Figure, interval and design in a sentence and a picture, each night with why it does not count."""
    await begun(chapel)
    await told(chapel)
    chapel.pass_time(timedelta(days=7).total_seconds())
    await chapel.commands.flush()
    page = await context.new_page()
    await opened(page, chapel)
    last = page.locator(".test-last")
    await expect(last.locator("p.figure")).to_have_text(
        "Loses 72.3 W/K, between 65.0 and 79.6 (95 %). Designed for 40 W/K. "
        "It cools with a time constant of about 31 h."
    )
    await expect(last.locator("interval-plot .interval-plot")).to_be_visible()
    await expect(last.locator("tbody tr")).to_have_count(3)
    await expect(last.locator("tr.unused")).to_contain_text("a window or door stood open")
    await expect(page.locator("heating-test-form")).to_be_visible()


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("state", ["outlook", "running", "done"])
async def test_it_fits_and_can_be_read_and_pressed(
    context: BrowserContext, chapel: Served, width: int, state: str
) -> None:
    """No overflow, targets of 44 px, contrast, nothing inline or foreign, nothing for axe, in every state."""
    if state != "outlook":
        await begun(chapel)
        await told(chapel)
    if state == "done":
        chapel.pass_time(timedelta(days=7).total_seconds())
    await chapel.commands.flush()
    page = await context.new_page()
    await page.set_viewport_size({"width": width, "height": 900})
    await opened(page, chapel)
    if state == "outlook":
        await page.get_by_label("Your name").fill("Wenna Trask")
        await page.get_by_role("button", name="See what it takes").click()
        await page.wait_for_selector(".outlook .save")
    await expect(page.locator("[aria-busy=true]")).to_have_count(0, timeout=60_000)
    assert await page.evaluate(OVERFLOW) == {"by": 0, "out": []}
    targets = await page.evaluate(TARGETS)
    assert [t for t in targets if t["height"] < 44 or t["width"] < 44 or not t["name"]] == []
    assert await page.evaluate(FOREIGN) == []
    assert await faults(page) == []
    assert [text for text in await page.evaluate(CONTRASTS) if text["ratio"] < 4.5] == []
