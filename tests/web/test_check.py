"""The Check page against a real server and a real assessment."""

from __future__ import annotations

import pytest
from playwright.async_api import BrowserContext, Page, expect

from web.conftest import Watched
from web.looks import COLLISIONS, CONTRASTS, FOREIGN, OVERFLOW, TARGETS
from web.served import Served

pytestmark = pytest.mark.asyncio(loop_scope="session")


async def opened(page: Page, served: Served) -> None:
    """Open the page and wait for its verdicts, which a child process works out."""
    await page.goto(f"{served.url}/check")
    await page.wait_for_selector("body:not(.loading)", timeout=60_000)


async def test_a_new_house_is_told_what_is_missing(context: BrowserContext, served: Served) -> None:
    """With a few readings no room can be judged: each has a dotted frame with what is missing, and it is summed up."""
    watched = Watched(await context.new_page())
    await opened(watched.page, served)
    await expect(watched.page.locator("verdict-row")).to_have_count(3)
    frames = watched.page.locator("verdict-row .unsaid > .frame-of")
    await expect(frames).to_have_count(3)
    assert await frames.first.evaluate("(node) => getComputedStyle(node).borderTopStyle") == "dotted"
    await expect(frames.first).to_contain_text("Cannot say yet.")
    await expect(watched.page.locator("#summary")).to_contain_text("Of 3 rooms, 3 cannot be judged yet")
    assert watched.complaints == []
    assert [url for url in watched.asked if not url.startswith(served.url)] == []


async def test_it_fits_and_can_be_read_and_pressed(context: BrowserContext, served: Served, size: int) -> None:
    """At 390 and 1280 px: no overflow, no figure on a shape, targets of 44 px, contrast, nothing inline or foreign."""
    page = await context.new_page()
    await page.set_viewport_size({"width": size, "height": 900})
    await opened(page, served)
    assert await page.evaluate(OVERFLOW) == {"by": 0, "out": []}
    assert await page.evaluate(COLLISIONS, ".interval-plot") == []
    targets = await page.evaluate(TARGETS)
    assert [t for t in targets if t["height"] < 44 or t["width"] < 44 or not t["name"]] == []
    assert await page.evaluate(FOREIGN) == []
    for scheme in ("light", "dark"):
        await page.emulate_media(color_scheme=scheme)
        assert [text for text in await page.evaluate(CONTRASTS) if text["ratio"] < 4.5] == []


async def test_the_figures_are_also_a_real_table(context: BrowserContext, served: Served) -> None:
    """Behind the plot is a table with every figure, a dash where there is none."""
    page = await context.new_page()
    await opened(page, served)
    await page.locator("#tabular > summary").click()
    table = page.get_by_role("table", name="Does each room perform as designed?")
    await expect(table.locator("tbody tr")).to_have_count(3)
    await expect(table.locator("tr", has_text="Porch").locator("td").first).to_have_text("20")


async def test_the_frame_stands_while_verdicts_are_worked_out(context: BrowserContext, served: Served) -> None:
    """Before the answer is there, the page shows its own frame and says what it waits for; no spinner."""
    page = await context.new_page()
    await page.goto(f"{served.url}/check", wait_until="commit")
    await expect(page.locator("#summary")).to_contain_text("Weighing the readings against the design.")
    await expect(page.locator(".rows li").first).to_be_visible()
    await page.wait_for_selector("body:not(.loading)", timeout=60_000)


async def test_a_lost_server_is_said_with_what_to_do(context: BrowserContext, served: Served) -> None:
    """When verdicts cannot be read, the page says so, what to look at, and offers to try again, which works."""
    page = await context.new_page()
    await opened(page, served)
    await page.route("**/api/verdicts", lambda route: route.abort())
    await page.reload()
    await expect(page.locator("#notes")).to_contain_text("ingle does not answer.")
    await page.unroute("**/api/verdicts")
    await page.get_by_role("button", name="Try again").click()
    await expect(page.locator("verdict-row")).to_have_count(3)
