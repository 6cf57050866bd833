"""The Check page against a real server and a real assessment: all rooms on one scale, and the states of the page."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest
import pytest_asyncio
from playwright.async_api import BrowserContext, Page, expect

from web.axe import faults
from web.conftest import Watched
from web.looks import COLLISIONS, CONTRASTS, FOREIGN, OVERFLOW, TARGETS
from web.recorded import start_recorded
from web.served import Served

pytestmark = pytest.mark.asyncio(loop_scope="session")


@pytest_asyncio.fixture(name="chapel", scope="module", loop_scope="session")
async def _chapel(tmp_path_factory: pytest.TempPathFactory) -> AsyncIterator[Served]:
    served = await start_recorded(tmp_path_factory.mktemp("chapel"))
    yield served
    await served.stop()


async def opened(page: Page, served: Served, query: str = "") -> None:
    """Open the page and wait for its verdicts, which a child process works out."""
    await page.goto(f"{served.url}/check{query}")
    await page.wait_for_selector("body:not(.loading)", timeout=60_000)


async def test_the_house_at_first_glance(context: BrowserContext, chapel: Served) -> None:
    """The room worst against its design stands first with what may explain it; what cannot be said stands last."""
    watched = Watched(await context.new_page())
    await opened(watched.page, chapel)
    rows = watched.page.locator("verdict-row")
    assert await rows.locator("h3").all_inner_texts() == [
        "Vestry",
        "Gallery above the north door and its staircase",
        "Porch",
    ]
    await expect(rows.first.locator(".line")).to_have_text("Loses more than designed, over 99\u202f% sure.")
    await expect(rows.first.locator(".name")).to_contain_text("1.80 × design")
    await expect(rows.first.locator(".causes")).to_contain_text("A leak in the room's envelope")
    await expect(rows.first.locator(".causes")).to_contain_text("in 30 days.")
    await expect(rows.first.locator(".interval-plot .surplus")).to_have_count(1)
    await expect(rows.first.locator(".besides")).to_contain_text("Damp: ")
    await expect(rows.nth(1).locator(".line")).to_contain_text("As designed")
    await expect(rows.last.locator(".frame-of")).to_contain_text("Heater porch-1 has reported no energy.")
    await expect(watched.page.locator("#summary")).to_have_text(
        "Of 3 rooms, 1 loses more than designed, 1 is as designed and 1 cannot be judged yet."
    )
    assert watched.complaints == []
    assert [url for url in watched.asked if not url.startswith(chapel.url)] == []


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


@pytest.mark.parametrize("width", [390, 768, 1280])
@pytest.mark.parametrize("query", ["", "?zone=vestry", "?zone=porch"])
async def test_it_fits_and_can_be_read_and_pressed(
    context: BrowserContext, chapel: Served, width: int, query: str
) -> None:
    """No overflow, no figure on a shape, targets of 44 px, contrast, nothing inline or foreign, nothing for axe."""
    page = await context.new_page()
    await page.set_viewport_size({"width": width, "height": 900})
    await opened(page, chapel, query)
    await expect(page.locator("[aria-busy=true]")).to_have_count(0)
    assert await page.evaluate(OVERFLOW) == {"by": 0, "out": []}
    assert await page.evaluate(COLLISIONS, ".interval-plot, .damp-gauge") == []
    targets = await page.evaluate(TARGETS)
    assert [t for t in targets if t["height"] < 44 or t["width"] < 44 or not t["name"]] == []
    assert await page.evaluate(FOREIGN) == []
    assert await faults(page) == []
    for scheme in ("light", "dark"):
        await page.emulate_media(color_scheme=scheme, reduced_motion="reduce")  # type: ignore[arg-type]  # literals
        assert [text for text in await page.evaluate(CONTRASTS) if text["ratio"] < 4.5] == []


async def test_the_figures_are_also_a_real_table(context: BrowserContext, chapel: Served) -> None:
    """Behind the plot is a table with every figure, a dash where there is none."""
    page = await context.new_page()
    await opened(page, chapel)
    await page.locator("#tabular > summary").press("Enter")
    table = page.get_by_role("table", name="Does each room perform as designed?")
    await expect(table.locator("tbody tr")).to_have_count(3)
    assert await table.locator("tr", has_text="Porch").locator("td").all_inner_texts() == [
        "20", "20 to 20", "–", "–", "–", "Cannot say yet", "–", "–", "–", "–",
    ]  # fmt: skip


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


async def test_what_was_read_stays_when_ingle_falls_silent(context: BrowserContext, chapel: Served) -> None:
    """Asked to work out anew without an answer, the page keeps its rows, with their age and when the silence began."""
    page = await context.new_page()
    await opened(page, chapel)
    await page.route("**/api/verdicts/refresh", lambda route: route.abort())
    await page.get_by_role("button", name="work out anew").press("Enter")
    await expect(page.locator("#worked")).to_contain_text("ingle stopped answering at")
    await expect(page.locator("#worked")).to_have_class("worked stale")
    await expect(page.locator("verdict-row")).to_have_count(3)
    await expect(page.locator("#notes")).to_contain_text("ingle does not answer.")


async def test_a_room_that_is_not_there_is_said(context: BrowserContext, chapel: Served) -> None:
    """An address of a room that this house has not leads to the house, and says so."""
    page = await context.new_page()
    await opened(page, chapel, "?zone=attic")
    await expect(page.locator("#view .note")).to_have_text("This house has no such room.")
    await expect(page.locator("verdict-row")).to_have_count(3)
