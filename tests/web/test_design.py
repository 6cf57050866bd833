"""The Design page against a real server: the house, a room's sheet, its picture and its working, also on paper."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator
from pathlib import Path

import pytest
import pytest_asyncio
from msgspec.structs import replace
from playwright.async_api import BrowserContext, Page, expect

from ingle.config.house import read_house_file
from ingle.model.house import House, Site
from web.axe import faults
from web.conftest import Watched
from web.looks import COLLISIONS, CONTRASTS, FOREIGN, OVERFLOW, TARGETS
from web.served import Served
from web.surveyed import SURVEYED

pytestmark = pytest.mark.asyncio(loop_scope="session")

#: An A4 page within the margins of the style sheet, at 96 px to the inch [px].
A4 = {"width": 688, "height": 1016}
HOUSES = Path(__file__).parents[2] / "config"


@pytest_asyncio.fixture(name="tern", loop_scope="session")
async def _tern(tmp_path: Path) -> AsyncIterator[Served]:
    served = await Served(tmp_path).start(SURVEYED)
    yield served
    await served.stop()


async def opened(page: Page, served: Served, view: str = "") -> None:
    """Open the page at one of its views."""
    await page.goto(f"{served.url}/design{view}")
    await page.wait_for_selector("body:not(.loading)")


async def test_the_house_at_first_glance(context: BrowserContext, tern: Served) -> None:
    """What the house needs, each room's load with its range and plates, and where the heat goes, in one look."""
    watched = Watched(await context.new_page())
    await opened(watched.page, tern)
    await expect(watched.page.locator("dl.figures > div").first).to_contain_text("Heat needed at −2\u202f°C outside")
    await expect(watched.page.locator("dl.figures > div").first).to_contain_text("95\u202f% range; 3 rooms")
    await expect(watched.page.locator("dl.figures")).to_contain_text("From one source for all")
    rows = watched.page.locator("load-row")
    await expect(rows).to_have_count(3)
    await expect(rows.first.locator(".load")).to_have_text("1,975\u202fW 72.6\u202fW/K")
    await expect(rows.first.locator("svg.interval-plot")).to_have_attribute(
        "aria-label",
        "Net Loft: 1,975\u202fW at design, 1,792 to 2,157\u202fW, 95\u202f% range. "
        "Plates 2,250\u202fW: 14\u202f% over.",
    )
    await expect(rows.nth(1).locator(".note")).to_contain_text("short")
    await expect(watched.page.locator("heat-shares.kinds li").first).to_contain_text("Walls")
    assert watched.complaints == []
    assert [url for url in watched.asked if not url.startswith(tern.url)] == []


@pytest.mark.parametrize("view", ["", "#room/net-loft", "#room/hall"])
async def test_it_fits_and_can_be_read_and_pressed(context: BrowserContext, tern: Served, size: int, view: str) -> None:
    """At 390 and 1280 px: no overflow, no figure on a shape, targets of 44 px, contrast, nothing inline or foreign."""
    page = await context.new_page()
    await page.set_viewport_size({"width": size, "height": 900})
    await opened(page, tern, view)
    assert await page.evaluate(OVERFLOW) == {"by": 0, "out": []}
    assert await page.evaluate(COLLISIONS, ".interval-plot") == []
    targets = await page.evaluate(TARGETS)
    assert [t for t in targets if t["height"] < 44 or t["width"] < 44 or not t["name"]] == []
    assert await page.evaluate(FOREIGN) == []
    assert await faults(page) == []
    for scheme in ("light", "dark"):
        await page.emulate_media(color_scheme=scheme, reduced_motion="reduce")  # type: ignore[arg-type]  # literals
        assert [text for text in await page.evaluate(CONTRASTS) if text["ratio"] < 4.5] == []


async def test_a_room_is_one_press_away_and_back(context: BrowserContext, tern: Served) -> None:
    """By keyboard: Enter on a room's name opens its sheet, and the browser's own back leads home."""
    page = await context.new_page()
    await opened(page, tern)
    await page.get_by_role("link", name="Net Loft").press("Enter")
    await expect(page.locator("h1")).to_have_text("Net Loft")
    assert await page.title() == "Net Loft · Design · Tern House · ingle"
    await page.go_back()
    await expect(page.locator("load-row")).to_have_count(3)


async def test_each_surface_is_inked_by_its_share(context: BrowserContext, tern: Served) -> None:
    """The unfolded room shows ceiling, walls and floor with their openings; the more a surface loses the darker."""
    page = await context.new_page()
    await opened(page, tern, "#room/net-loft")
    room = page.locator("developed-room svg")
    await expect(room.locator("text.figure").first).to_have_text("ceiling")
    inks = await room.locator("rect.surface").evaluate_all("(all) => all.map((rect) => rect.getAttribute('fill'))")
    # slopes, rooflight, gable, knee walls, window, the hall's wall, floor, then air and bridges beside it
    assert inks == [f"url(#hatch-loss-{ink})" for ink in (3, 1, 4, 2, 2, 1, 3, 4, 2)]
    label = await room.get_attribute("aria-label") or ""
    assert label.startswith("Net Loft unfolded: 1,975\u202fW; Air changes 27\u202f%, gable 23\u202f%")


async def test_a_warmer_neighbour_is_drawn_as_heat_that_comes_in(context: BrowserContext, tern: Served) -> None:
    """A party wall to a warmer room is hatched the other way, its watts are below nought, and it stands last."""
    page = await context.new_page()
    await opened(page, tern, "#room/hall")
    last = page.locator("heat-shares li").last
    await expect(last.locator(".what")).to_contain_text("to Net Loft")
    await expect(last.locator(".watts")).to_contain_text("−")
    assert await page.locator('developed-room rect[fill="url(#hatch-gain)"]').count() == 1


async def test_a_part_opens_its_working(context: BrowserContext, tern: Served) -> None:
    """A press on a surface, or Enter on its row, unfolds the lines with inputs, formula, value, unit and source."""
    page = await context.new_page()
    await opened(page, tern, "#room/net-loft")
    row = page.locator("heat-shares li", has_text="gable")
    await row.locator("summary").press("Enter")
    line = row.locator("working-sheet tbody tr")
    await expect(line).to_have_count(1)
    await expect(line).to_contain_text("A·U")
    await expect(line).to_contain_text("area\u00a012\u202fm²; U\u00a01.4\u202fW/(m²·K)")
    await expect(line.locator(".value")).to_have_text("16.80\u202fW/K")
    await expect(line.locator(".source")).to_contain_text("assumed (solid brick, age guessed)")
    await page.locator("developed-room rect.surface").nth(3).click(position={"x": 10, "y": 10})
    await expect(page.locator("heat-shares details[open] summary", has_text="knee walls")).to_be_focused()


async def test_the_whole_working_is_a_real_table(context: BrowserContext, tern: Served, size: int) -> None:
    """Every line of the sheet is a row with its header, also where a phone stacks the cells."""
    page = await context.new_page()
    await page.set_viewport_size({"width": size, "height": 900})
    await opened(page, tern, "#room/net-loft")
    design = await (await page.request.get(f"{tern.url}/api/design")).json()
    lines = page.locator("section:last-child working-sheet").get_by_role("row")
    assert await lines.count() == len(design["zones"][0]["working"]) + (size > 720)
    await expect(page.get_by_role("rowheader", name="heat loss coefficient")).to_be_visible()


async def test_warnings_stand_in_the_margin(context: BrowserContext, tern: Served) -> None:
    """What the design warns of is said beside the figures, in its own words, and what to measure first."""
    page = await context.new_page()
    await opened(page, tern, "#room/net-loft")
    design = await (await page.request.get(f"{tern.url}/api/design")).json()
    room = design["zones"][0]
    notes = page.locator(".margin .note")
    await expect(notes).to_have_count(len(room["warnings"]))
    await expect(page.locator(".margin")).to_contain_text("Measure the U of gable first")


async def test_heaters_that_would_do_are_listed(context: BrowserContext, tern: Served) -> None:
    """What is installed stands first, then what would fit, each with its margin; Enter opens what to know of it."""
    page = await context.new_page()
    await opened(page, tern, "#room/net-loft")
    answer = await (await page.request.get(f"{tern.url}/api/zones/net-loft/options")).json()
    rows = page.locator("heater-options li > details")
    await expect(rows).to_have_count(len(answer["options"]) + 1)
    await expect(rows.first).to_contain_text("as listed")
    await rows.nth(1).locator("summary").press("Enter")
    await expect(rows.nth(1).locator(".lines")).to_contain_text("On the design day it holds")
    await expect(page.locator("heater-options .note").first).to_contain_text("competent electrician")


async def test_what_is_said_of_the_whole_survey_is_said_once(context: BrowserContext, tern: Served) -> None:
    """Notes on the survey as a whole stand once, before the rooms, in the design's own words."""
    page = await context.new_page()
    await opened(page, tern)
    design = await (await page.request.get(f"{tern.url}/api/design")).json()
    await page.locator("#view > details > summary").first.press("Enter")
    notes = page.locator("#view > details .note")
    await expect(notes).to_have_count(len(design["notes"]))
    await expect(notes.first).to_contain_text("Without provenance")


async def test_a_sheet_fits_on_paper(context: BrowserContext, tern: Served) -> None:
    """On A4 a room's sheet is one page without the screen's furniture, as wide as the paper."""
    page = await context.new_page()
    await page.set_viewport_size(A4)  # type: ignore[arg-type]  # a width and a height
    await page.emulate_media(media="print")
    await opened(page, tern, "#room/net-loft")
    assert await page.evaluate(OVERFLOW) == {"by": 0, "out": []}
    for furniture in ("nav", ".doing", ".back", ".skip"):
        await expect(page.locator(furniture)).to_be_hidden()
    await expect(page.locator("working-sheet thead").last).to_be_visible()
    await expect(page.locator("working-sheet .sources").last).to_contain_text("domestic method (UK practice)")
    assert await pages(page) == 1


async def test_a_whole_house_and_its_longest_room_fit_on_a_page_each(context: BrowserContext, tern: Served) -> None:
    """Thirteen rooms, and a room of a dozen pieces, print on one A4 page; figures on the drawing can be read there."""
    house = read_house_file(HOUSES / "tern-house.toml")
    wall = house.zones[0].elements[0]
    more = tuple(replace(wall, name=f"wall {number}", openings=()) for number in range(6))
    longest = replace(house.zones[0], elements=(*house.zones[0].elements, *more))
    await tern.stop()
    await tern.start(replace(house, zones=(longest, *house.zones[1:])))
    page = await context.new_page()
    for view in ("", f"#room/{longest.id}"):
        await opened(page, tern, view)
        await page.reload()
        await page.wait_for_selector("body:not(.loading)")
        assert await pages(page) == 1
    sizes = await page.evaluate(
        """() => {
          dispatchEvent(new Event('beforeprint'));
          const [, , wide] = document.querySelector('.developed').getAttribute('viewBox').split(' ');
          return Number(wide);
        }"""
    )
    assert sizes == 280


async def pages(page: Page) -> int:
    """Return on how many pages it prints."""
    paper = await page.pdf(prefer_css_page_size=True)
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", paper))


async def test_the_rooms_are_also_a_real_table(context: BrowserContext, tern: Served) -> None:
    """Behind the plots is a table with a row a room."""
    page = await context.new_page()
    await opened(page, tern)
    await page.locator("#tabular > summary").click()
    table = page.get_by_role("table", name="Rooms")
    await expect(table.locator("tbody tr")).to_have_count(3)
    await expect(table.locator("tr", has_text="Net Loft").locator("td").nth(4)).to_have_text("1,975")


async def test_a_lost_server_is_said_with_what_to_do(context: BrowserContext, tern: Served) -> None:
    """When the design cannot be read, the page says so and offers to try again, which works."""
    page = await context.new_page()
    await opened(page, tern)
    await page.route("**/api/design", lambda route: route.abort())
    await page.reload()
    await expect(page.locator("#notes")).to_contain_text("ingle does not answer.")
    await page.unroute("**/api/design")
    await page.get_by_role("button", name="Try again").click()
    await expect(page.locator("load-row")).to_have_count(3)


async def test_an_empty_house_says_how_to_begin(context: BrowserContext, tern: Served) -> None:
    """Without rooms the page says how to add the first."""
    await tern.stop()
    await tern.start(House(site=Site(name="Empty House", outdoor_design_c=0.0)))
    page = await context.new_page()
    await opened(page, tern)
    await expect(page.locator("#view")).to_contain_text("No room surveyed yet.")
    await expect(page.get_by_role("link", name="Add a room")).to_be_visible()
