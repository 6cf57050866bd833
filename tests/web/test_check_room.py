"""A room of the Check page against a real server and a real assessment: all that its verdict rests on."""

from __future__ import annotations

import csv
import io
from collections.abc import AsyncIterator
from pathlib import Path

import pytest
import pytest_asyncio
from playwright.async_api import BrowserContext, Page, expect

from web.conftest import Watched
from web.recorded import keep_looks, start_recorded
from web.served import Served

pytestmark = pytest.mark.asyncio(loop_scope="session")


@pytest_asyncio.fixture(name="chapel", scope="module", loop_scope="session")
async def _chapel(tmp_path_factory: pytest.TempPathFactory) -> AsyncIterator[Served]:
    served = await start_recorded(tmp_path_factory.mktemp("chapel"))
    await keep_looks(served, (28, 14, 0))
    yield served
    await served.stop()


@pytest_asyncio.fixture(name="vestry", loop_scope="session")
async def _vestry(context: BrowserContext, chapel: Served) -> Watched:
    watched = Watched(await context.new_page())
    await opened(watched.page, chapel, "vestry")
    return watched


async def opened(page: Page, served: Served, zone: str) -> None:
    """Open a room and wait for all of its parts."""
    await page.goto(f"{served.url}/check?zone={zone}")
    await page.wait_for_selector("body:not(.loading)", timeout=60_000)
    await expect(page.locator("[aria-busy=true]")).to_have_count(0, timeout=60_000)


async def test_a_room_opens_from_its_name_and_back(context: BrowserContext, chapel: Served) -> None:
    """Enter on a room's name is a real link to its page; the browser's back and the link above lead home."""
    page = await context.new_page()
    await page.goto(f"{chapel.url}/check")
    await page.get_by_role("link", name="Vestry").press("Enter")
    await expect(page.locator("h1")).to_have_text("Vestry")
    assert await page.title() == "Vestry · Check · Quay Chapel · ingle"
    await page.go_back()
    await expect(page.locator("verdict-row")).to_have_count(3)
    await page.get_by_role("link", name="Vestry").press("Enter")
    await page.get_by_role("link", name="All rooms").press("Enter")
    await expect(page.locator("verdict-row")).to_have_count(3)


async def test_a_room_leads_to_its_design_and_to_now(vestry: Watched) -> None:
    """The design that it is compared with is one press away, and leads back; so is the room as it is now."""
    page = vestry.page
    await page.get_by_role("link", name="Its design").press("Enter")
    await expect(page.locator("h1")).to_have_text("Vestry")
    await expect(page.locator("dl.figures")).to_contain_text("In use, for Check")
    await page.get_by_role("link", name="Metered against it").press("Enter")
    await expect(page.locator(".verdict-of")).to_be_visible()
    await page.get_by_role("link", name="How it is now").press("Enter")
    await expect(page.locator("#zone-vestry zone-row")).to_be_in_viewport()


async def test_the_verdict_comes_first(vestry: Watched, chapel: Served) -> None:
    """At the top: the plot, the verdict with its probability, the likeliest cause, the next check, what it takes."""
    top = vestry.page.locator(".verdict-of")
    label = await top.locator("svg.interval-plot").get_attribute("aria-label") or ""
    assert label.startswith("Vestry: 72 metered, 40\u202fW/K designed (")
    await expect(top.locator(".line")).to_have_text("Loses more than designed, over 99\u202f% sure.")
    await expect(top.locator(".next")).to_contain_text("Next: Look for open vents")
    await expect(top.locator(".causes")).to_contain_text("kWh")
    await expect(top.locator(".causes")).to_contain_text("£")
    await expect(vestry.page.locator("dl.figures")).to_contain_text("Rests on33 days")
    assert vestry.complaints == []
    assert [url for url in vestry.asked if not url.startswith(chapel.url)] == []


async def test_every_day_is_drawn_and_can_be_read(vestry: Watched, chapel: Served) -> None:
    """A dot for each metered day over its band; the slider reads a day by arrow keys; the table has them all."""
    answer = await (await vestry.page.request.get(f"{chapel.url}/api/verdicts/vestry")).json()
    days = answer["zones"][0]["fit"]
    plot = vestry.page.locator(".fit fit-plot")
    used = [each for each in days if each["used"]]
    await expect(plot.locator("circle.day")).to_have_count(len(used))
    await expect(plot.locator(".fit-band")).to_have_count(sum(each["predicted_w"] is not None for each in days))
    slider = plot.get_by_role("slider", name="Day to read")
    await expect(plot.locator("output")).to_contain_text(f"{days[-1]['metered_w']:,.0f}\u202fW metered")
    await slider.press("ArrowLeft")
    await expect(plot.locator("output")).to_contain_text(f"{days[-2]['metered_w']:,.0f}\u202fW metered")
    await vestry.page.locator("summary", has_text="The days as a table").press("Enter")
    table = vestry.page.get_by_role("table", name="The days as a table")
    await expect(table.locator("tbody tr")).to_have_count(len(days))


async def test_a_day_that_was_not_used_says_why(vestry: Watched, chapel: Served) -> None:
    """The day on which the heater fell silent is counted, with its date and the reason that the daemon gave."""
    answer = await (await vestry.page.request.get(f"{chapel.url}/api/verdicts/vestry")).json()
    left = [each for each in answer["zones"][0]["fit"] if not each["used"]]
    assert left
    await vestry.page.locator("summary", has_text="not used").press("Enter")
    await expect(vestry.page.locator(".reasons")).to_contain_text(left[0]["why_not"].removesuffix("."))


async def test_the_days_can_be_taken_away(vestry: Watched, chapel: Served) -> None:
    """The CSV holds every day as the API gives it, nothing rounded."""
    answer = await (await vestry.page.request.get(f"{chapel.url}/api/verdicts/vestry")).json()
    async with vestry.page.expect_download() as download:
        await vestry.page.get_by_role("button", name="Every day as CSV").press("Enter")
    saved = await (await download.value).path()
    rows = read_csv(saved)
    days = answer["zones"][0]["fit"]
    assert [row["date"] for row in rows] == [each["date"] for each in days]
    assert float(rows[0]["metered_w"]) == days[0]["metered_w"]


def read_csv(path: Path) -> list[dict[str, str]]:
    """Return the rows of a file."""
    return list(csv.DictReader(io.StringIO(path.read_text())))


async def test_it_is_compared_with_design_house_and_past(vestry: Watched) -> None:
    """Three comparisons stand under each other; what nobody can say yet says so."""
    rows = vestry.page.locator(".against")
    assert await rows.locator("h3").all_inner_texts() == ["its design", "the house's other rooms", "its own past"]
    await expect(rows.first).to_contain_text("1.80 (")
    await expect(rows.first).to_contain_text("loses more than designed, over 99\u202f% sure.")
    await expect(rows.nth(1).locator("p")).not_to_be_empty()


async def test_each_cause_has_its_evidence(vestry: Watched, chapel: Served) -> None:
    """Every cause with its probability, what speaks for and against it, the next check, energy and money a month."""
    answer = await (await vestry.page.request.get(f"{chapel.url}/api/verdicts")).json()
    causes = answer["zones"][0]["causes"]
    items = vestry.page.locator("cause-list article")
    await expect(items).to_have_count(len(causes))
    await expect(items.first).to_contain_text("A leak in the room's envelope")
    await expect(items.first.locator(".likely")).to_have_text(f"{100 * causes[0]['probability']:.0f}\u202f% likely")
    assert await items.first.locator("dt").all_inner_texts() == ["For it", "Against it", "Next on site", "In 30 days"]
    await expect(items.first.locator("dd").last).to_contain_text(f"{causes[0]['kwh']:,.0f}\u202fkWh (")


async def test_damp_is_drawn_where_it_is_measured(vestry: Watched, context: BrowserContext, chapel: Served) -> None:
    """A room with a humidity sensor shows its coldest surface against the limit of mould; one without shows nothing."""
    answer = await (await vestry.page.request.get(f"{chapel.url}/api/verdicts")).json()
    moisture = answer["zones"][0]["moisture"]
    damp = vestry.page.locator(".damp")
    await expect(damp.locator("svg.damp-gauge")).to_have_attribute(
        "aria-label",
        f"Humidity at the coldest surface {moisture['surface_rh_percent']:.0f}\u202f%; "
        f"mould from {moisture['limit_percent']:.0f}\u202f%.",
    )
    await expect(damp.locator("strong")).not_to_be_empty()
    page = await context.new_page()
    await opened(page, chapel, "gallery")
    await expect(page.locator(".damp")).to_have_count(0)


async def test_earlier_looks_are_kept_in_sight(vestry: Watched) -> None:
    """Each kept look stands with what it found; the newest is read first, and all are in the table."""
    past = vestry.page.locator(".past")
    await expect(past.locator("circle.day")).to_have_count(3)
    await expect(past.locator("output")).to_contain_text("12 Jan 2026: 72\u202fW/K (")
    await past.locator("summary").press("Enter")
    rows = vestry.page.get_by_role("table", name="The looks as a table").locator("tbody tr")
    await expect(rows).to_have_count(3)
    await expect(rows.first).to_contain_text("version ")
    await expect(rows.last).to_contain_text("15 Dec 2025")


async def test_what_it_rests_on_is_named(vestry: Watched, chapel: Served) -> None:
    """The foot names the days, the design's version and the method with its version."""
    answer = await (await vestry.page.request.get(f"{chapel.url}/api/verdicts")).json()
    title = vestry.page.locator("title-block")
    await expect(title).to_contain_text(answer["design_version"][:12])
    await expect(title).to_contain_text(f"{answer['method']}, version {answer['method_version']}")
    await expect(title).to_contain_text("8 Dec 2025 to 12 Jan 2026")


async def test_one_part_that_fails_leaves_the_others(context: BrowserContext, chapel: Served) -> None:
    """Where the days cannot be read the verdict stands, the part says so, and trying again brings them."""
    page = await context.new_page()
    await page.route("**/api/verdicts/vestry", lambda route: route.abort())
    await opened(page, chapel, "vestry")
    await expect(page.locator(".fit")).to_contain_text("What this room's verdict rests on could not be read.")
    await expect(page.locator(".verdict-of .line")).to_contain_text("Loses more than designed")
    await expect(page.locator(".past circle.day")).to_have_count(3)
    await page.unroute("**/api/verdicts/vestry")
    await page.locator(".fit").get_by_role("button", name="Try again").press("Enter")
    await expect(page.locator(".fit circle.day").first).to_be_attached(timeout=60_000)


async def test_a_room_that_said_nothing_says_what_is_missing(context: BrowserContext, chapel: Served) -> None:
    """Without a reading the page has the dotted frame with what is missing, and no empty drawing."""
    page = await context.new_page()
    await opened(page, chapel, "porch")
    frame = page.locator(".verdict-of .frame-of")
    assert await frame.evaluate("(node) => getComputedStyle(node).borderTopStyle") == "dotted"
    await expect(frame).to_contain_text("Heater porch-1 has reported no energy.")
    await expect(page.locator(".against svg")).to_have_count(0)


async def test_it_prints_without_the_screens_furniture(vestry: Watched) -> None:
    """On paper buttons, sliders and the heating test's form are left out; the verdict and its figures stay."""
    await vestry.page.emulate_media(media="print")
    for furniture in ("nav", ".back", "fit-plot input", ".worked button", "#heating-test"):
        await expect(vestry.page.locator(furniture).first).to_be_hidden()
    await expect(vestry.page.locator("cause-list article").first).to_be_visible()


async def test_a_heating_test_has_its_place(vestry: Watched) -> None:
    """On a room's page a heating test can be started."""
    section = vestry.page.locator("#heating-test")
    await expect(section.locator("h2")).to_have_text("A heating test")
    await expect(section.get_by_role("button").first).to_be_visible()
