"""What a room would cost run another way, and what coming days should take, on the Use page."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest
import pytest_asyncio
from playwright.async_api import BrowserContext, Page, expect

from web.served import Served
from web.used import start_used

pytestmark = pytest.mark.asyncio(loop_scope="session")


@pytest_asyncio.fixture(name="used", loop_scope="session")
async def _used(tmp_path: Path) -> AsyncIterator[Served]:
    used = await start_used(tmp_path)
    yield used
    await used.stop()


async def opened(page: Page, served: Served, view: str = "#what-if") -> None:
    """Open the page at its ways."""
    await page.goto(f"{served.url}/use{view}")
    await page.wait_for_selector("body:not(.loading)")


async def test_the_ways_of_a_room_side_by_side(context: BrowserContext, used: Served) -> None:
    """Each way has kWh and money a day and its difference to the programme; all they rest on stands beneath."""
    page = await context.new_page()
    await opened(page, used, "#what-if/vestry")
    answer = await (await page.request.get(f"{used.url}/api/zones/vestry/what-if")).json()
    rows = page.locator("use-bars ol > li")
    await expect(rows).to_have_count(len(answer["cases"]))
    await expect(rows.filter(has_text="1\u202fK less").locator(".said")).to_contain_text("against the programme.")
    await expect(rows.first.locator(".kwh")).to_have_text(f"{answer['cases'][0]['kwh_per_day']:.1f}\u202fkWh")
    notes = page.get_by_text("What this takes for granted").locator("xpath=..").locator("li")
    await expect(notes).to_have_count(len(answer["assumptions"]))
    await rows.nth(1).locator("summary").press("Enter")
    await expect(rows.nth(1).locator(".lines p")).to_contain_text("kWh a day")


async def test_a_question_has_an_address(context: BrowserContext, used: Served) -> None:
    """What is typed is worked out, stands in the address, and is there again after a reload."""
    page = await context.new_page()
    await opened(page, used, "#what-if/vestry")
    await page.get_by_label("Cooler by").fill("2,5")
    await page.get_by_role("button", name="Work it out").press("Enter")
    await expect(page.locator("use-bars")).to_contain_text("2.5\u202fK less")
    await page.reload()
    await expect(page.locator("use-bars")).to_contain_text("2.5\u202fK less")
    await expect(page.get_by_label("Cooler by")).to_have_value("2.5")


async def test_what_cannot_be_is_said(context: BrowserContext, used: Served) -> None:
    """A change that is none is refused in ingle's words with what is allowed, and the form keeps it."""
    page = await context.new_page()
    await opened(page, used, "#what-if/vestry")
    await page.get_by_label("Cooler by").fill("much")
    await page.get_by_role("button", name="Work it out").click()
    await expect(page.locator("#view > .note").first).to_contain_text("Allowed:")
    await expect(page.get_by_label("Cooler by")).to_have_value("much")


async def test_without_a_word_from_outside_it_says_what_it_needs(context: BrowserContext, served: Served) -> None:
    """A house that heard nothing from outside is asked for the temperature there."""
    page = await context.new_page()
    await opened(page, served, "#what-if/vestry")
    await page.get_by_label("Outside", exact=True).fill("4")
    await page.get_by_role("button", name="Work it out").click()
    await expect(page.locator("use-bars ol > li").first).to_be_visible()


async def test_coming_days_are_said_and_kept(context: BrowserContext, used: Served) -> None:
    """A forecast is made, listed with its limits and money, and waits for its days; a wrong one is refused in words."""
    page = await context.new_page()
    await opened(page, used)
    await expect(page.locator("#view")).to_contain_text("Nothing has been said of coming days yet.")
    ask = page.get_by_role("button", name="Say it and keep it")
    await page.get_by_label("Outside, mean").fill("cold")
    await ask.click()
    await expect(page.get_by_role("alert")).to_contain_text("must be a figure")
    await page.get_by_label("Outside, mean").fill("\u22121,5")
    await ask.press("Enter")
    row = page.locator(".forecast")
    await expect(row).to_have_count(1)
    kept = (await (await page.request.get(f"{used.url}/api/forecasts")).json())["forecasts"][0]
    assert kept["forecast"]["outdoor_c"] == -1.5
    await expect(row.locator(".what")).to_have_text("13 Jan 2026 to 19 Jan 2026")
    await expect(row.locator(".money")).to_have_text(f"£{kept['forecast']['money']}")
    await expect(row.locator(".said")).to_contain_text(kept["score"]["sentence"])
    await row.locator("summary").press("Enter")
    await expect(row.get_by_role("table", name="Room by room").locator("tbody tr")).to_have_count(3)
