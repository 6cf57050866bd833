"""The Use page against a real server and a house that has used energy for thirty days."""

from __future__ import annotations

import csv
import io
from collections.abc import AsyncIterator
from pathlib import Path

import pytest
import pytest_asyncio
from playwright.async_api import BrowserContext, Page, expect

from web.axe import faults
from web.conftest import Watched
from web.looks import CONTRASTS, FOREIGN, OVERFLOW, TARGETS
from web.served import HOUSE, Served
from web.used import start_used

pytestmark = pytest.mark.asyncio(loop_scope="session")

#: The views of the page, by their addresses.
VIEWS = ("", "#compare", "#bills", "#what-if", "#tariff")


@pytest_asyncio.fixture(name="used", loop_scope="session")
async def _used(tmp_path: Path) -> AsyncIterator[Served]:
    used = await start_used(tmp_path)
    yield used
    await used.stop()


async def opened(page: Page, served: Served, address: str = "") -> None:
    """Open the page at one of its views."""
    await page.goto("about:blank")
    await page.goto(f"{served.url}/use{address}")
    await page.wait_for_selector("body:not(.loading)")


async def test_where_it_went_at_first_glance(context: BrowserContext, used: Served) -> None:
    """Energy and money of the last 28 days, rooms by use with how each is known, and the lines down to the total."""
    watched = Watched(await context.new_page())
    await opened(watched.page, used)
    costs = await (await watched.page.request.get(f"{used.url}/api/costs?from=2025-12-15&to=2026-01-11")).json()
    assert costs["energy_wh"] == 28 * 38_400
    figures = watched.page.locator("dl.figures > div")
    await expect(figures.nth(0)).to_contain_text("1,075.2\u202fkWh")
    await expect(figures.nth(1)).to_contain_text(f"£{costs['total']}")
    rows = watched.page.locator("use-bars ol > li")
    await expect(rows.locator(".what")).to_have_text(
        ["Vestry", "Gallery above the north door and its staircase", "Porch"]
    )
    await expect(rows.nth(0).locator(".said")).to_have_text("metered, 63\u202f% of the house")
    await expect(rows.nth(1).locator(".said")).to_contain_text("estimated")
    await expect(rows.nth(2).locator(".said")).to_have_text("no reading")
    await expect(watched.page.locator(".sums .total").last).to_contain_text(f"£{costs['total']}")
    await expect(watched.page.locator(".sums")).to_contain_text(f"£{costs['standing']}")
    assert watched.complaints == []
    assert [url for url in watched.asked if not url.startswith((used.url, "about:"))] == []
    await expect(watched.page.get_by_text("Carbon")).to_have_count(0)


async def test_a_room_opens_its_heaters_and_prices(context: BrowserContext, used: Served) -> None:
    """By keyboard: Enter on a room unfolds each heater with its quality, and what was used at each price."""
    page = await context.new_page()
    await opened(page, used)
    room = page.locator("use-bars li", has_text="Gallery")
    await room.locator("summary").press("Enter")
    heaters = room.get_by_role("table", name="Heaters of Gallery")
    await expect(heaters.locator("tbody tr").first).to_contain_text("gallery-1")
    await expect(heaters.locator("tbody tr").nth(1)).to_contain_text("metered")
    prices = room.get_by_role("table", name="at each price")
    await expect(prices.locator("tbody th")).to_have_text(["£0.142", "£0.316"])


@pytest.mark.parametrize("view", VIEWS)
async def test_it_fits_and_can_be_read_and_pressed(context: BrowserContext, used: Served, size: int, view: str) -> None:
    """Every view at 390 and 1280 px: no overflow, targets of 44 px, contrast, nothing inline or foreign, no fault."""
    page = await context.new_page()
    await page.set_viewport_size({"width": size, "height": 900})
    await opened(page, used, view)
    await page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    assert await page.evaluate(OVERFLOW) == {"by": 0, "out": []}
    targets = await page.evaluate(TARGETS)
    assert [t for t in targets if t["height"] < 44 or t["width"] < 44 or not t["name"]] == []
    assert await page.evaluate(FOREIGN) == []
    for scheme in ("light", "dark"):
        await page.emulate_media(color_scheme=scheme, reduced_motion="reduce")  # type: ignore[arg-type]  # literals
        assert [text for text in await page.evaluate(CONTRASTS) if text["ratio"] < 4.5] == []
    assert await faults(page) == []


async def test_a_period_has_an_address(context: BrowserContext, used: Served) -> None:
    """A usual period is a real link; other days are typed, kept in the address, and read back from it."""
    page = await context.new_page()
    await opened(page, used)
    await page.get_by_role("link", name="last week").click()
    await page.wait_for_url("**/use?period=last-week")
    await expect(page.locator(".period .days")).to_contain_text("5 Jan 2026 to 11 Jan 2026 (7 days)")
    await page.get_by_text("other days").click()
    await page.get_by_label("From", exact=True).fill("2025-12-24")
    await page.get_by_label("To and including").fill("2025-12-26")
    await page.get_by_role("button", name="show").press("Enter")
    await page.wait_for_url("**/use?from=2025-12-24&to=2025-12-26")
    await expect(page.locator("dl.figures > div").first).to_contain_text("115.2")


async def test_a_wrong_period_is_said_and_sends_nothing(context: BrowserContext, used: Served) -> None:
    """A last day before the first is refused beside the fields; nonsense in the address is said too."""
    page = await context.new_page()
    await opened(page, used, "?from=2026-01-09&to=tomorrow")
    await expect(page.locator("#view > .note").first).to_contain_text("The address names no period")
    await expect(page.locator(".period .days")).to_contain_text("(28 days)")
    await page.get_by_text("other days").click()
    await page.get_by_label("From", exact=True).fill("2026-01-09")
    await page.get_by_label("To and including").fill("2026-01-08")
    await page.get_by_role("button", name="show").click()
    await expect(page.get_by_role("alert")).to_contain_text("must not lie before the first")


async def test_days_can_be_read_one_by_one(context: BrowserContext, used: Served) -> None:
    """The slider reads a day in words, by arrow keys; the chart has a sentence, and a table behind it."""
    page = await context.new_page()
    await opened(page, used)
    slider = page.get_by_role("slider", name="Read a day")
    await slider.press("Home")
    # (11.2 kWh × 0.142 + 27.2 kWh × 0.316 + 0.614) × 1.2
    await expect(page.locator("day-bars .read")).to_contain_text("Mon 15 Dec: 38.4\u202fkWh, £12.96, estimated")
    await slider.press("ArrowRight")
    await expect(page.locator("day-bars .read")).to_contain_text("Tue 16 Dec")
    await expect(page.locator("svg.day-bars")).to_have_attribute(
        "aria-label", "Energy of 28 days: from 38.4\u202fkWh to 38.4\u202fkWh."
    )
    await page.get_by_text("The days as a table").click()
    rows = page.get_by_role("table", name="Day by day").locator("tbody tr")
    await expect(rows).to_have_count(28)
    await expect(rows.first).to_contain_text("9.5")  # 15.5 - 6.0: degree days of the first half
    await expect(rows.last).to_contain_text("13.5")


async def test_every_day_leaves_as_csv(context: BrowserContext, used: Served) -> None:
    """The export has a line for each day of the period, with each room's kWh, named after its days."""
    page = await context.new_page()
    await opened(page, used, "?from=2026-01-05&to=2026-01-11")
    async with page.expect_download() as waiting:
        await page.get_by_role("button", name="Every day as CSV").click()
    download = await waiting.value
    assert download.suggested_filename == "use-2026-01-05-to-2026-01-11.csv"
    rows = _rows(Path(await download.path()))
    assert [row["date"] for row in rows] == [f"2026-01-{day:02}" for day in range(5, 12)]
    assert {(row["vestry_kwh"], row["gallery_kwh"], row["porch_kwh"]) for row in rows} == {("24", "14.4", "")}


def _rows(file: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(file.read_text("utf-8"))))


async def test_two_periods_are_set_side_by_side(context: BrowserContext, used: Served) -> None:
    """The same use on colder days is no change a day, and less a degree day; the sentence is the one the API gives."""
    page = await context.new_page()
    await opened(page, used, "?from=2025-12-29&to=2026-01-11#compare")
    query = "from=2025-12-29&to=2026-01-11&with_from=2025-12-15&with_to=2025-12-28"
    answer = await (await page.request.get(f"{used.url}/api/energy/compare?{query}")).json()
    assert answer["per_day"]["word"] == "no change"
    assert answer["per_degree_day"]["word"] == "less"
    await expect(page.locator(".said-of-both")).to_have_text(answer["sentence"].replace(" %", "\u202f%"))
    pairs = page.locator("pair-bars ol > li")
    await expect(pairs).to_have_count(3)
    # 38.4 kWh a day cost the same on each: (11.2 kWh × 0.142 + 27.2 kWh × 0.316 + 0.614) × 1.2
    await expect(pairs.nth(2).locator(".amount")).to_have_text(["£12.96", "£12.96"])
    await expect(pairs.first.locator(".amount")).to_have_text(["38.4\u202fkWh", "38.4\u202fkWh"])
    await expect(pairs.nth(1).locator("dt").nth(1)).to_contain_text("15 Dec 2025 to 28 Dec 2025, 14 whole days")


async def test_energy_without_a_tariff_has_no_money(context: BrowserContext, tmp_path: Path) -> None:
    """Where no tariff is, kWh stand alone: no amount anywhere, not nought either, and a note on what to add."""
    used = await start_used(tmp_path, HOUSE)
    page = await context.new_page()
    await opened(page, used)
    await expect(page.locator("dl.figures > div").nth(0)).to_contain_text("1,075.2")
    await expect(page.locator("#view > .note").first).to_contain_text("Add a [[tariff]] to the house file")
    assert "£" not in await page.locator("#view").inner_text()
    await used.stop()


async def test_carbon_is_shown_by_the_houses_own_factors_only(context: BrowserContext, tmp_path: Path) -> None:
    """With a factor file its name, region and year stand beside the kg; a year without a factor is said."""
    file = tmp_path / "factors.toml"
    file.write_text('name = "Invented factors"\nregion = "Haverlock"\n[[factor]]\nyear = 2026\nkg_per_kwh = 0.15\n')
    used = await start_used(tmp_path, carbon=file)
    page = await context.new_page()
    await opened(page, used, "?from=2026-01-02&to=2026-01-11")
    carbon = page.locator("section", has_text="Carbon")
    await expect(carbon).to_contain_text("57.6\u202fkg CO₂e")  # 384 kWh x 0.15
    await expect(carbon).to_contain_text("0.15\u202fkg/kWh for 2026 (Invented factors, Haverlock)")
    await opened(page, used)
    await expect(page.locator("section", has_text="Carbon")).to_contain_text("no factor for 2025")
    await used.stop()


async def test_no_tariff_is_said_with_what_to_do(context: BrowserContext, served: Served) -> None:
    """Without a tariff kWh are shown and money is not: not nought, but a note on what to add, and an example of it."""
    page = await context.new_page()
    await opened(page, served, "?period=this-week")
    await expect(page.locator("#view")).to_contain_text("No heater has reported any energy in these days.")
    await opened(page, served, "#tariff")
    await expect(page.locator("#view .note")).to_contain_text("No tariff covers this day")
    await expect(page.locator("pre")).to_contain_text("[[tariff]]")


async def test_the_tariff_is_a_strip_of_the_day(context: BrowserContext, used: Served) -> None:
    """Windows stand in local time with prices before and with tax; in summer the fixed one has moved by an hour."""
    page = await context.new_page()
    await opened(page, used, "#tariff")
    rows = page.get_by_role("table", name="Prices of the day").locator("tbody tr")
    await expect(rows).to_have_count(3)
    await expect(rows.nth(1)).to_contain_text("00:30 to 07:30")
    await expect(rows.nth(1)).to_contain_text("£0.142/kWh")
    await expect(rows.nth(1)).to_contain_text("£0.1704/kWh")
    await expect(page.locator("dl.figures")).to_contain_text("£0.614")
    await opened(page, used, "#tariff/2026-07-01")
    await expect(rows.nth(1)).to_contain_text("01:30 to 08:30")
    await opened(page, used, "#tariff/2026-10-25")
    await expect(page.locator(".days")).to_contain_text("25 hours")


async def test_an_offer_is_tried_on_the_use_as_it_was(context: BrowserContext, used: Served) -> None:
    """An offer's prices give what the period would have cost, beside the house's own; half an offer is refused."""
    page = await context.new_page()
    await opened(page, used, "?from=2026-01-05&to=2026-01-11#tariff")
    work = page.get_by_role("button", name="Work it out")
    await work.click()
    await expect(page.get_by_role("alert")).to_contain_text("The price of a kWh is needed")
    await page.get_by_label("Price", exact=True).fill("0,20")
    await page.get_by_label("Cheaper from").fill("00:00")
    await work.click()
    await expect(page.get_by_role("alert")).to_contain_text("needs both its times")
    await page.get_by_label("Cheaper from").fill("")
    await page.get_by_label("Standing charge a day").fill("0.5")
    await work.press("Enter")
    rows = page.locator("use-bars ol > li")
    await expect(rows.locator(".what")).to_have_text(["The offer", "The house's own"])
    # 7 × (38.4 kWh × 0.20 + 0.50) × 1.2, and (11.2 kWh × 0.142 + 27.2 kWh × 0.316 + 0.614) × 1.2 a day
    await expect(rows.locator(".money")).to_have_text(["£68.71", "£90.72"])
    await expect(page.locator(".said-of-both")).to_contain_text("The offer would have cost 22.01 GBP less")
    await page.reload()
    await expect(page.get_by_label("Price", exact=True)).to_have_value("0,20")


async def test_a_lost_server_is_said_with_what_to_do(context: BrowserContext, used: Served) -> None:
    """When figures cannot be read the page says so and offers to try again, which works."""
    page = await context.new_page()
    await opened(page, used)
    await page.route("**/api/house/now", lambda route: route.abort())
    await page.get_by_role("link", name="Tariff").click()
    await expect(page.locator("#notes")).to_contain_text("ingle does not answer.")
    await page.unroute("**/api/house/now")
    await page.get_by_role("button", name="Try again").click()
    await expect(page.locator("day-strip svg")).to_be_visible()


async def test_a_part_that_fails_leaves_the_rest(context: BrowserContext, used: Served) -> None:
    """Where only the days cannot be read, rooms and money stand, and the page says what is not there."""
    page = await context.new_page()
    await page.route("**/api/energy/days**", lambda route: route.abort())
    await opened(page, used)
    await expect(page.locator("use-bars li")).to_have_count(3)
    await expect(page.locator("#view")).to_contain_text("Degree days could not be read.")


async def test_a_view_is_one_press_away_and_back(context: BrowserContext, used: Served) -> None:
    """By keyboard to another view, the period kept; the browser's own back leads home."""
    page = await context.new_page()
    await opened(page, used, "?period=last-week")
    await page.get_by_role("link", name="Compare").press("Enter")
    await expect(page.locator("h1")).to_have_text("Is it more than before?")
    await expect(page).to_have_title("Compare · Use · Quay Chapel · ingle")
    await expect(page.locator(".period .days").first).to_contain_text("5 Jan 2026 to 11 Jan 2026")
    await page.go_back()
    await expect(page.locator("use-bars")).to_be_visible()


async def test_the_skip_link_leads_into_the_sheet(context: BrowserContext, used: Served) -> None:
    """The first Tab stop is the way past the navigation; it leaves the view as it is."""
    page = await context.new_page()
    await opened(page, used, "#tariff")
    await page.keyboard.press("Tab")
    await page.keyboard.press("Enter")
    await expect(page.locator("day-strip svg")).to_be_visible()
    await page.keyboard.press("Tab")
    assert await page.evaluate("document.activeElement.closest('main') !== null")


async def test_the_energy_report_fits_one_page(context: BrowserContext, used: Served) -> None:
    """On A4 the sheet stands without the screen's furniture: no navigation, no buttons, one page."""
    page = await context.new_page()
    await opened(page, used)
    await page.emulate_media(media="print")
    for hidden in (".views", ".period nav", ".doing", "day-bars input"):
        await expect(page.locator(hidden).first).to_be_hidden()
    await expect(page.locator(".sums .total").last).to_be_visible()
    pages = await page.pdf(format="A4", prefer_css_page_size=True)
    assert pages.count(b"/Type /Page\n") + pages.count(b"/Type /Page ") == 1
