"""Taking a room out of the house on its sheet: what goes with it, what stands in the way, and the way back."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
import pytest_asyncio
from msgspec.structs import replace
from playwright.async_api import Browser, BrowserContext, Page, expect

from ingle.model.house import CalendarSource, House
from ingle.model.week import WEEKDAYS, Period, Programme
from web.served import Served
from web.surveyed import SURVEYED
from web.test_functions import Modules

pytestmark = pytest.mark.asyncio(loop_scope="session")

WEEK = Programme(zone="store", days=WEEKDAYS, periods=(Period(start="08:00", end="18:00", level="occupied"),))
HOUSE = replace(SURVEYED, programmes=(WEEK,))


@pytest_asyncio.fixture(name="tern", loop_scope="session")
async def _tern(tmp_path: Path) -> AsyncIterator[Served]:
    served = await Served(tmp_path).start(HOUSE)
    yield served
    await served.stop()


@pytest_asyncio.fixture(name="js", scope="module", loop_scope="session")
async def _js(browser: Browser, forms_url: str) -> AsyncIterator[Modules]:
    context = await browser.new_context()
    page = await context.new_page()
    await page.goto(forms_url)
    yield Modules(page)
    await context.close()


async def opened(page: Page, served: Served, room: str) -> None:
    """Open a room's sheet."""
    await page.goto(f"{served.url}/design#room/{room}")
    await page.wait_for_selector("body:not(.loading)")


async def test_a_room_goes_with_its_week_and_comes_back(context: BrowserContext, tern: Served) -> None:
    """Two presses by keyboard take a room out with its programme; Undo brings back the house as it was."""
    page = await context.new_page()
    await opened(page, tern, "store")
    await page.get_by_role("button", name="Remove this room").press("Enter")
    await expect(page.locator("remove-room")).to_contain_text("Take Store out of the house, with its programme?")
    await page.get_by_role("button", name="Remove it").press("Enter")
    await expect(page.locator("load-row")).to_have_count(2)
    assert tern.live.house == SURVEYED_WITHOUT_STORE
    await page.locator("undo-line button").press("Enter")
    await expect(page.locator("#notes")).to_contain_text("Store is back as it was.")
    assert tern.live.house == HOUSE


SURVEYED_WITHOUT_STORE: House = replace(SURVEYED, zones=SURVEYED.zones[:2])


async def test_nothing_goes_at_the_first_press(context: BrowserContext, tern: Served) -> None:
    """The first press asks; keeping the room leaves everything as it is and the keyboard where it was."""
    page = await context.new_page()
    await opened(page, tern, "store")
    await page.get_by_role("button", name="Remove this room").press("Enter")
    await page.get_by_role("button", name="Keep it").press("Enter")
    await expect(page.get_by_role("button", name="Remove this room")).to_be_focused()
    assert tern.live.house == HOUSE


async def test_a_room_that_others_lead_to_stays(context: BrowserContext, tern: Served) -> None:
    """Where a wall of another room leads here, the page says which and goes to it; the room cannot be removed."""
    page = await context.new_page()
    await opened(page, tern, "net-loft")
    await page.get_by_role("button", name="Remove this room").press("Enter")
    await expect(page.get_by_role("button", name="Remove it")).to_have_count(0)
    await page.get_by_role("link", name="wall to the loft of Hall").press("Enter")
    await expect(page.locator("form h2")).to_have_text("wall to the loft")


async def test_a_lost_server_is_said_and_nothing_goes(context: BrowserContext, tern: Served) -> None:
    """When ingle does not answer, the room stays and the reason stands beside the button."""
    page = await context.new_page()
    await opened(page, tern, "store")
    await page.route("**/api/house*", lambda route: route.abort())
    await page.get_by_role("button", name="Remove this room").press("Enter")
    await page.get_by_role("button", name="Remove it").press("Enter")
    await expect(page.locator("remove-room [role=alert]")).to_contain_text("ingle does not answer.")
    assert tern.live.house == HOUSE


async def test_lists_no_longer_name_it(js: Modules) -> None:
    """Neighbours and calendars lose its id; a calendar of that room alone goes, for without rooms it would mean all."""
    zones = (SURVEYED.zones[0], replace(SURVEYED.zones[1], neighbours=("store",)), SURVEYED.zones[2])
    both = CalendarSource(file="let.ics", zones=("hall", "store"))
    own = CalendarSource(file="store.ics", zones=("store",))
    every = CalendarSource(file="house.ics")
    house = replace(HOUSE, zones=zones, calendars=(both, own, every))
    document: Any = msgspec.json.decode(msgspec.json.encode(house))
    rest = msgspec.convert(await js.run("removing", "m.withoutZone(a[0], 'store')", document), House)
    assert [zone.id for zone in rest.zones] == ["net-loft", "hall"]
    assert rest.zones[1].neighbours == ()
    assert rest.calendars == (replace(both, zones=("hall",)), every)
