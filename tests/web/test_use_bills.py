"""Bills on the Use page: entered, refused, changed, taken away with a way back, and explained by steps."""

from __future__ import annotations

from collections.abc import AsyncIterator
from decimal import Decimal
from pathlib import Path

import pytest
import pytest_asyncio
from playwright.async_api import BrowserContext, Page, expect

from web.axe import faults
from web.looks import CONTRASTS, OVERFLOW, TARGETS
from web.served import Served
from web.used import start_used

pytestmark = pytest.mark.asyncio(loop_scope="session")

DECEMBER = {"from": "2025-12-15", "to": "2025-12-29", "kwh": 600, "money": "190.00"}
JANUARY = {"from": "2025-12-29", "to": "2026-01-12", "kwh": 640, "money": "210.05"}


@pytest_asyncio.fixture(name="used", loop_scope="session")
async def _used(tmp_path: Path) -> AsyncIterator[Served]:
    used = await start_used(tmp_path)
    yield used
    await used.stop()


async def opened(page: Page, served: Served, view: str = "#bills") -> None:
    """Open the page at its bills."""
    await page.goto(f"{served.url}/use{view}")
    await page.wait_for_selector("body:not(.loading)")


async def entered(page: Page, served: Served, *bills: dict[str, object]) -> None:
    """Enter bills over HTTP."""
    for bill in bills:
        answer = await page.request.post(f"{served.url}/api/bills", data=bill)
        assert answer.status == 201, await answer.text()


async def filled(page: Page, first: str, last: str, kwh: str, money: str) -> None:
    """Fill in the form as a person does."""
    await page.get_by_label("From", exact=True).fill(first)
    await page.get_by_label("To and including").fill(last)
    await page.get_by_label("Energy", exact=True).fill(kwh)
    await page.get_by_label("Money, all in").fill(money)


async def test_a_bill_is_entered_and_undone(context: BrowserContext, used: Served) -> None:
    """By keyboard: a bill as people write it is kept, shown by the day beside the heaters' part, and undone in time."""
    page = await context.new_page()
    await opened(page, used)
    await expect(page.locator("#view")).to_contain_text("No bill or meter reading entered yet.")
    await filled(page, "2025-12-15", "2025-12-28", "1,600.5", "490,10")
    await page.get_by_role("button", name="Enter it").press("Enter")
    bill = page.locator(".bill")
    await expect(bill).to_contain_text("15 Dec 2025 to 28 Dec 2025")
    await expect(bill).to_contain_text("£490.10")
    await expect(bill).to_contain_text("14 days, 114.3\u202fkWh a day")
    # The porch's heater was never heard: its part of the bill is not known, and not nought.
    await expect(bill).to_contain_text("is known not at all")
    kept = (await (await page.request.get(f"{used.url}/api/bills")).json())["bills"]
    assert [(each["from"], each["to"], each["kwh"], each["money"]) for each in kept] == [
        ("2025-12-15", "2025-12-29", 1600.5, "490.10")
    ]
    await expect(page.get_by_label("Energy", exact=True)).to_have_value("")
    await expect(page.get_by_role("button", name="Undo")).to_be_focused()
    await page.keyboard.press("Enter")
    await expect(page.locator("#notes")).to_contain_text("It is as it was.")
    await expect(bill).to_have_count(0)


async def test_what_was_typed_outlives_a_reload(context: BrowserContext, used: Served) -> None:
    """A half-typed bill is there again after a reload, and with ingle gone it is kept and said so."""
    page = await context.new_page()
    await opened(page, used)
    await filled(page, "2025-12-15", "2025-12-28", "1600", "")
    await page.reload()
    await page.wait_for_selector("body:not(.loading)")
    await expect(page.get_by_label("Energy", exact=True)).to_have_value("1600")
    await page.route("**/api/bills", lambda route: route.abort())
    await page.get_by_role("button", name="Enter it").click()
    await expect(page.get_by_role("alert")).to_contain_text("what you typed is kept here")
    await expect(page.get_by_label("From", exact=True)).to_have_value("2025-12-15")


async def test_what_is_wrong_is_said_at_its_field(context: BrowserContext, used: Served) -> None:
    """A missing day, a last day too early and a figure that is none are said there; what ingle refuses, too."""
    page = await context.new_page()
    await entered(page, used, DECEMBER)
    await opened(page, used)
    await filled(page, "2025-12-20", "2025-12-19", "much", "")
    await page.get_by_role("button", name="Enter it").click()
    await expect(page.locator("[data-field=last] .said")).to_have_text("The last day must not lie before the first.")
    await expect(page.locator("[data-field=kwh] .said")).to_contain_text("A figure is needed")
    await expect(page.get_by_label("To and including")).to_be_focused()
    await filled(page, "2025-12-20", "2025-12-24", "300", "")
    await page.get_by_role("button", name="Enter it").click()
    await expect(page.locator("bill-form .field.wrong")).to_have_count(1)
    await expect(page.locator("bill-form .field.wrong .said")).to_contain_text("Allowed:")


async def test_a_bill_is_changed_and_put_back(context: BrowserContext, used: Served) -> None:
    """Change opens the bill in its place; what is kept is what was typed, and Undo puts the old one back."""
    page = await context.new_page()
    await entered(page, used, DECEMBER)
    await opened(page, used)
    await page.get_by_role("button", name="Change: 15 Dec 2025").click()
    form = page.locator(".bills bill-form")
    await expect(form.get_by_label("Energy", exact=True)).to_have_value("600")
    await form.get_by_label("Energy", exact=True).fill("620")
    await form.get_by_label("Its reading was").select_option("estimated")
    await form.get_by_role("button", name="Keep the change").click()
    await expect(page.locator(".bill")).to_contain_text("620\u202fkWh")
    await expect(page.locator(".bill")).to_contain_text("its reading was estimated")
    await page.get_by_role("button", name="Undo").click()
    await expect(page.locator(".bill")).to_contain_text("600\u202fkWh")


async def test_a_bill_is_taken_away_and_put_back(context: BrowserContext, used: Served) -> None:
    """Take away takes it at once, with ten seconds to undo; then it is there as before."""
    page = await context.new_page()
    await entered(page, used, DECEMBER)
    await opened(page, used)
    await page.get_by_role("button", name="Take away: 15 Dec 2025").click()
    await expect(page.locator("undo-line")).to_contain_text("is taken away.")
    await expect(page.locator(".bill")).to_have_count(0)
    await page.get_by_role("button", name="Undo").click()
    await expect(page.locator(".bill")).to_contain_text("£190.00")


async def test_a_bill_that_somebody_changed_is_not_overwritten(context: BrowserContext, used: Served) -> None:
    """What ingle answers to a change of a bill that is gone is said in its words, and nothing is lost."""
    page = await context.new_page()
    await entered(page, used, DECEMBER)
    await opened(page, used)
    tag = (await page.request.get(f"{used.url}/api/bills/1")).headers["etag"]
    await page.request.delete(f"{used.url}/api/bills/1", headers={"If-Match": tag})
    await page.get_by_role("button", name="Take away: 15 Dec 2025").click()
    await expect(page.locator("#notes .note")).to_contain_text("there is no bill 1")


async def test_what_stands_is_dated_when_ingle_goes(context: BrowserContext, used: Served) -> None:
    """A change that was taken but cannot be read back leaves the old list, and says how old it is."""
    page = await context.new_page()
    await entered(page, used, DECEMBER)
    await opened(page, used)
    await page.route("**/api/house/now", lambda route: route.abort())
    await page.get_by_role("button", name="Take away: 15 Dec 2025").click()
    await expect(page.locator(".stale-since")).to_contain_text("What stands below was read")
    await page.unroute("**/api/house/now")
    await page.get_by_role("button", name="Try again").click()
    await expect(page.locator("#view")).to_contain_text("No bill or meter reading entered yet.")


async def test_why_a_bill_is_high(context: BrowserContext, used: Served, size: int) -> None:
    """The steps hang on each other, sum to the difference, the unexplained one drawn alike; a table stands behind."""
    page = await context.new_page()
    await page.set_viewport_size({"width": size, "height": 900})
    await entered(page, used, DECEMBER, JANUARY)
    await opened(page, used)
    await page.get_by_role("link", name="why so much?").press("Enter")
    await expect(page.locator("h1")).to_have_text("Why is the bill high?")
    answer = await (await page.request.get(f"{used.url}/api/bills/2/why?against=1")).json()
    assert sum(Decimal(step["money"]) for step in answer["steps"]) == Decimal("20.05")
    rungs = page.locator("step-chart li")
    await expect(rungs).to_have_count(len(answer["steps"]) + 2)
    await expect(rungs.first.locator(".money")).to_have_text("£190.00")
    await expect(rungs.last.locator(".money")).to_have_text("£210.05")
    shapes = "(all) => all.map((rung) => rung.querySelectorAll('rect.step, line.joint').length)"
    assert await page.locator("step-chart li:not(.end)").evaluate_all(shapes) == [3] * len(answer["steps"])
    await page.locator("summary", has_text="The steps as a table").click()
    await expect(page.get_by_role("table").locator("tbody tr")).to_have_count(len(answer["steps"]) + 2)
    assert await page.evaluate(OVERFLOW) == {"by": 0, "out": []}
    targets = await page.evaluate(TARGETS)
    assert [t for t in targets if t["height"] < 44 or t["width"] < 44 or not t["name"]] == []
    assert [text for text in await page.evaluate(CONTRASTS) if text["ratio"] < 4.5] == []
    assert await faults(page) == []


async def test_a_bill_that_is_gone_is_said(context: BrowserContext, used: Served) -> None:
    """An old address of steps says that there is no such bill; it is no empty chart."""
    page = await context.new_page()
    await opened(page, used, "#why/7/1")
    await expect(page.locator("#notes")).to_contain_text("there is no bill 7")
