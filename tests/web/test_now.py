"""The Now page against a real server: seen live, acted on by hand and by keyboard, told when the server is gone."""

from __future__ import annotations

import msgspec
import pytest
from playwright.async_api import BrowserContext, expect

from ingle.model.devices import Heater
from ingle.model.house import House, Site
from web.conftest import Watched
from web.looks import COLLISIONS, CONTRASTS, FOREIGN, OVERFLOW, TARGETS
from web.served import HOUSE, Served

pytestmark = pytest.mark.asyncio(loop_scope="session")

ROOM = "#zone-vestry"


async def test_every_room_is_there_at_first_glance(now: Watched) -> None:
    """Each room shows its temperature, power and one sentence why; the house shows power against the cap."""
    room = now.page.locator(ROOM)
    await expect(room.locator("h3")).to_have_text("Vestry")
    await expect(room.locator("svg.band-gauge")).to_have_attribute(
        "aria-label", "Vestry: 18.2\u202f°C; wanted 20\u202f°C; warming; outside 5.5\u202f°C."
    )
    await expect(room.locator("power-bar svg")).to_have_attribute(
        "aria-label", "Vestry: 1,460\u202fW of 1,500\u202fW, heating."
    )
    assert (await room.locator(".sentence").inner_text()).strip()
    await expect(now.page.locator("house-row .power")).to_contain_text("of 13.8\u202fkW cap")
    await expect(now.page.locator("house-row .outside")).to_contain_text("5.5")
    assert await now.page.title() == "Now · Quay Chapel · ingle"


async def test_rooms_that_want_a_look_come_first(now: Watched) -> None:
    """The room whose only heater is portable stands first, with its notice in words, and the house row leads to it."""
    await expect(now.page.locator("zone-row").first).to_have_attribute("data-zone", "porch")
    await expect(now.page.locator("#zone-porch .note")).to_be_visible()
    await expect(now.page.locator("house-row .wanting a")).to_have_attribute("href", "#zone-porch")


async def test_it_fits_and_can_be_read_and_pressed(context: BrowserContext, served: Served, size: int) -> None:
    """At 390 and 1280 px: no overflow, no figure on a shape, targets of 44 px, nothing inline or foreign."""
    page = await context.new_page()
    await page.set_viewport_size({"width": size, "height": 900})
    await page.goto(served.url)
    await page.wait_for_selector("body:not(.loading)")
    assert await page.evaluate(OVERFLOW) == {"by": 0, "out": []}
    assert await page.evaluate(COLLISIONS, ".band-gauge") == []
    targets = await page.evaluate(TARGETS)
    assert [t for t in targets if t["height"] < 44 or t["width"] < 44 or not t["name"]] == []
    assert await page.evaluate(FOREIGN) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
async def test_its_text_has_contrast(now: Watched, scheme: str) -> None:
    """Every text of the page, its panel open, stands at 4.5 : 1 or more in light and in dark."""
    await now.page.emulate_media(color_scheme=scheme, reduced_motion="reduce")  # type: ignore[arg-type]  # two literals
    await now.page.locator(f"{ROOM} .warmer").click()
    await now.page.locator(f"{ROOM} .told button").click()
    texts = await now.page.evaluate(CONTRASTS)
    assert len(texts) > 80
    assert [text for text in texts if text["ratio"] < 4.5] == []


async def test_a_reading_moves_the_room_without_a_reload(now: Watched, served: Served) -> None:
    """What a heater reports is on the page by the live feed, with its trend, and an open explanation stays open."""
    await now.page.evaluate("() => { globalThis.sameDocument = true; }")
    await now.page.locator(f"{ROOM} .told button").click()
    served.hear("vestry-1", 19.7, 730.0)
    await expect(now.page.locator(f"{ROOM} text.value:not(.halo)")).to_have_text("19.7\u202f°C↗")
    await expect(now.page.locator(f"{ROOM} power-bar .caption")).to_contain_text("730")
    await expect(now.page.locator(f"{ROOM} .full")).to_be_visible()
    assert await now.page.evaluate("() => globalThis.sameDocument") is True


async def test_an_override_takes_two_presses(now: Watched, served: Served) -> None:
    """Warmer, then an end: the server holds the room, the page says so, and the feed brings the new band."""
    await now.page.locator(f"{ROOM} .warmer").click()
    await now.page.get_by_role("button", name="for 2").click()
    await expect(now.page.locator("undo-line")).to_contain_text("Vestry holds 21.0\u202f°C until 08:00.")
    held = served.live.zone_now("vestry", served.clock.now())
    assert held is not None
    assert (held.wanted_c, held.rule, held.held) == (21.0, "override", True)
    await expect(now.page.locator(f"{ROOM} text.target:not(.halo)")).to_have_text("21\u202f°C")


async def test_an_override_needs_no_mouse(now: Watched, served: Served) -> None:
    """By keyboard alone: tab to cooler, Enter, Enter; then Enter again takes it back, and the focus comes home."""
    page = now.page
    for _ in range(60):
        await page.keyboard.press("Tab")
        if await page.evaluate("() => document.activeElement.getAttribute('aria-label')") == "Cooler: Vestry":
            break
    await page.keyboard.press("Enter")
    await page.keyboard.press("Enter")
    await expect(page.locator("undo-line button")).to_be_focused()
    held = served.live.zone_now("vestry", served.clock.now())
    assert held is not None
    assert held.wanted_c == 19.0
    await page.keyboard.press("Enter")
    await expect(page.locator(f"{ROOM} .said")).to_have_text("Vestry is as it was.")
    await expect(page.locator(f"{ROOM} .cooler")).to_be_focused()
    back = served.live.zone_now("vestry", served.clock.now())
    assert back is not None
    assert (back.wanted_c, back.held) == (20.0, False)


async def test_escape_leaves_everything_as_it_is(now: Watched, served: Served) -> None:
    """Escape closes the panel and the explanation, gives the focus back, and asks nothing of the server."""
    page = now.page
    await page.locator(f"{ROOM} .warmer").press("Enter")
    await page.keyboard.press("Escape")
    await expect(page.locator("hold-panel")).to_have_count(0)
    await expect(page.locator(f"{ROOM} .warmer")).to_be_focused()
    await page.locator(f"{ROOM} .told button").press("Enter")
    await page.keyboard.press("Escape")
    await expect(page.locator(f"{ROOM} .full")).to_be_hidden()
    await expect(page.locator(f"{ROOM} .told button")).to_be_focused()
    assert not served.live.holds
    assert not [url for url in now.asked if url.endswith("/overrides")]


async def test_a_held_room_goes_back_in_one_press(now: Watched, served: Served) -> None:
    """While an override stands, its row has a way back to the programme; it is gone afterwards."""
    await now.page.locator(f"{ROOM} .warmer").click()
    await now.page.get_by_role("button", name="for 1").click()
    await now.page.locator(f"{ROOM} .release").click()
    await expect(now.page.locator("undo-line")).to_contain_text("follows its programme again")
    assert not served.live.holds
    await expect(now.page.locator(f"{ROOM} .release")).to_be_hidden()


async def test_a_refusal_is_said_where_it_was_asked(now: Watched, served: Served) -> None:
    """A room that may not be driven says why, in its own row, and keeps what was chosen."""
    await now.page.locator("#zone-porch .warmer").click()
    await now.page.get_by_role("button", name="for 1").click()
    alert = now.page.locator("#zone-porch [role=alert]")
    await expect(alert).to_be_visible()
    assert (await alert.inner_text()).endswith(".")
    await expect(now.page.locator("#zone-porch hold-panel")).to_be_visible()
    assert not served.live.holds


async def test_a_choice_survives_a_reload(now: Watched) -> None:
    """A temperature that was being chosen is still there after a reload."""
    await now.page.locator(f"{ROOM} .warmer").click()
    await now.page.get_by_role("button", name="Half a degree more").click()
    await now.page.reload()
    await expect(now.page.locator(f"{ROOM} hold-panel output")).to_have_text("21.5\u202f°C")


async def test_a_lost_server_is_said_in_words(now: Watched, served: Served) -> None:
    """When the server ends, the page says since when and what heaters do, and its figures become old ones."""
    await served.stop()
    notes = now.page.locator("#notes")
    await expect(notes).to_contain_text("ingle stopped answering at 06:00; heaters keep their last orders.")
    await expect(now.page.locator(f"{ROOM} text.hollow:not(.halo)")).to_have_text("18.2\u202f°C")
    await expect(now.page.locator(f"{ROOM} text.age:not(.halo)")).to_contain_text("old")
    await served.start()
    await expect(notes).not_to_contain_text("stopped answering")
    await expect(now.page.locator("#link")).to_contain_text("live")


async def test_silence_becomes_an_old_reading(now: Watched, served: Served) -> None:
    """A room that stops reporting shows a hollow figure with its age."""
    served.pass_time(240.0)
    row = now.page.locator(ROOM)
    await expect(row.locator("text.hollow:not(.halo)")).to_have_text("18.2\u202f°C")
    await expect(row.locator("text.age:not(.halo)")).to_contain_text("4\u202fmin old")


async def test_the_rooms_are_also_a_real_table(now: Watched) -> None:
    """Behind the drawings is a table with a caption, headers and one row a room."""
    await now.page.locator("#tabular > summary").click()
    table = now.page.get_by_role("table", name="Rooms")
    await expect(table.locator("tbody tr")).to_have_count(3)
    await expect(table.locator("thead th")).to_have_count(9)
    await expect(table.locator("tbody th").first).to_have_text("Vestry")


async def test_it_asks_only_its_own_server_and_complains_of_nothing(now: Watched, served: Served) -> None:
    """No request leaves for elsewhere, and the console stays empty, through opening, holding and undoing."""
    await now.page.locator(f"{ROOM} .warmer").click()
    await now.page.get_by_role("button", name="for 4").click()
    await now.page.get_by_role("button", name="Undo").click()
    await expect(now.page.locator(f"{ROOM} .said")).to_be_visible()
    assert len(now.asked) > 10
    assert [url for url in now.asked if not url.startswith(served.url)] == []
    assert now.complaints == []


async def test_nothing_moves_where_motion_is_not_wanted(now: Watched) -> None:
    """With reduced motion no element has a transition or an animation; without, none is longer than 200 ms."""
    longest = """() => Math.max(...[...document.querySelectorAll('*')].map((node) => {
      const {transitionDuration, animationDuration} = getComputedStyle(node);
      return Math.max(...`${transitionDuration},${animationDuration}`.split(',').map((text) => parseFloat(text)));
    }))"""
    assert 0 < await now.page.evaluate(longest) <= 0.2
    await now.page.emulate_media(reduced_motion="reduce")
    assert await now.page.evaluate(longest) == 0


async def test_pages_are_linked_by_real_links(now: Watched, served: Served) -> None:
    """The navigation lists the pages that exist, marks this one, and works without scripts."""
    read = "(all) => all.map((a) => [a.textContent, a.getAttribute('href')])"
    links = await now.page.locator("nav a").evaluate_all(read)
    assert links == [["Now", "/"], ["Use", "/use"], ["Design", "/design"], ["Check", "/check"]]
    await expect(now.page.locator("nav a[aria-current=page]")).to_have_text("Now")
    for _, address in links:
        answer = await now.page.request.get(f"{served.url}{address}")
        assert answer.status == 200
        assert "text/html" in answer.headers["content-type"]


async def test_a_house_without_rooms_says_how_to_load_one(context: BrowserContext, served: Served) -> None:
    """Where no room is there yet, the page says which command brings them."""
    await served.stop()
    await served.start(House(site=Site(name="Empty House", outdoor_design_c=0.0)))
    page = await context.new_page()
    await page.goto(served.url)
    await expect(page.locator(".rows")).to_contain_text("ingle house load FILE")


async def test_another_house_takes_over_without_a_reload(now: Watched, served: Served) -> None:
    """A newly loaded house file changes the rooms on the page: one gone, one new, in the file's order."""
    porch, gallery = HOUSE.zones[2], HOUSE.zones[1]
    tower = msgspec.structs.replace(gallery, id="tower", name="Tower", heaters=(Heater(id="tower-1", rated_w=900.0),))
    await served.load(msgspec.structs.replace(HOUSE, zones=(tower, porch), programmes=()))
    await expect(now.page.locator("zone-row h3")).to_have_text(["Porch", "Tower"])
    await expect(now.page.locator("house-row .power")).to_contain_text("1.4\u202fkW connected")


async def test_a_person_can_vouch_for_the_clock(context: BrowserContext, served: Served) -> None:
    """While nobody vouches for the clock the page says what that means, and one press says that the time is right."""
    await served.stop()
    await served.start(trusted=False)
    page = await context.new_page()
    await page.goto(served.url)
    await expect(page.locator("#notes")).to_contain_text("No programme runs")
    await page.get_by_role("button", name="Yes, it is 06:00").click()
    await expect(page.locator("#title")).to_contain_text("confirmed by a person")
    await expect(page.locator("#notes button")).to_have_count(0)
    assert served.live.house_now(served.clock.now()).clock == "confirmed"
