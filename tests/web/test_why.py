"""The full explanation behind a room's why line, against a real server."""

from __future__ import annotations

import pytest
from playwright.async_api import BrowserContext, expect

from ingle.model.commands import Cap, Origin, Release
from web.conftest import Watched
from web.looks import CONTRASTS, FOREIGN, OVERFLOW, TARGETS
from web.served import Served

pytestmark = pytest.mark.asyncio(loop_scope="session")

ROOM = "#zone-vestry"
WENNA = Origin(who="Wenna", via="http")


async def test_the_why_line_opens_the_full_explanation(now: Watched, served: Served) -> None:
    """One sentence with the temperature, the rules and which rules, what was read with its age, what comes next."""
    await now.page.locator(f"{ROOM} .told button").click()
    proof = now.page.locator(f"{ROOM} .proof")
    await expect(proof).to_contain_text("Vestry is at 18.2\u00a0°C, 1.8\u00a0K below the 20\u00a0°C wanted")
    await expect(proof).to_contain_text("What comes next: From 22:30: 16\u00a0°C (setback).")
    rules = proof.get_by_role("table", name="Rules that spoke")
    await expect(rules.locator("tbody tr")).to_have_count(1)
    await expect(rules.locator("tbody td").last).to_have_text("yes")
    readings = proof.get_by_role("table", name="Readings of Vestry, and outside")
    await expect(readings.locator("tbody tr", has_text="heater vestry-1").first).to_contain_text("18.2\u202f°C")
    await expect(readings.locator("tbody tr", has_text="outdoor station")).to_contain_text("5.5\u202f°C")
    await expect(proof).to_contain_text("No verdict on this room has been worked out yet.")
    assert not served.live.holds
    assert now.complaints == []


async def test_a_cap_is_named_while_it_binds_and_no_longer(now: Watched, served: Served) -> None:
    """With the explanation left open: a cap that binds becomes the reason, not the heater; released, it is gone."""
    await now.page.locator(f"{ROOM} .told button").click()
    proof = now.page.locator(f"{ROOM} .proof")
    await expect(proof).to_contain_text("Vestry is at")
    await served.commands.limit_request(Cap(cap_a=1.0, duration="PT1H"), WENNA)
    for _ in range(40):
        served.pass_time(2)
    served.hear("vestry-1", 17.5, 0.0)
    await expect(proof).to_contain_text(
        "because the 1\u00a0A cap of the supply holds its heating back, not because of its heaters"
    )
    await served.commands.limit_request(Release(), WENNA)
    for _ in range(40):
        served.pass_time(2)
    served.hear("vestry-1", 17.6, 1460.0)
    await expect(proof).not_to_contain_text("holds its heating back")


async def test_an_earlier_time_is_one_press_away(now: Watched, served: Served) -> None:
    """Three hours later, "an hour ago" tells by the record what was noted, and "now" comes back; the focus stays."""
    await served.commands.flush()
    served.pass_time(3 * 3600)
    served.hear("vestry-1", 20.1, 400.0)
    await now.page.reload()
    await now.page.locator(f"{ROOM} .told button").click()
    proof = now.page.locator(f"{ROOM} .proof")
    await expect(proof).to_contain_text("Vestry is at 20.1\u00a0°C, as wanted")
    await proof.get_by_role("button", name="an hour ago").press("Enter")
    await expect(proof).to_contain_text("From the record: the decision noted")
    await expect(proof).to_contain_text("Vestry was last at 18.2\u00a0°C")
    await expect(proof.get_by_role("button", name="an hour ago")).to_be_focused()
    await expect(proof.get_by_role("button", name="an hour ago")).to_have_attribute("aria-pressed", "true")
    await proof.get_by_role("button", name="now").click()
    await expect(proof).to_contain_text("From the running house, now.")


async def test_it_fits_and_can_be_read(context: BrowserContext, served: Served, size: int) -> None:
    """At 390 and 1280 px with the explanation open: no overflow, enough contrast, targets of 44 px, nothing foreign."""
    page = await context.new_page()
    await page.set_viewport_size({"width": size, "height": 900})
    await page.goto(served.url)
    await page.wait_for_selector("body:not(.loading)")
    await page.locator(f"{ROOM} .told button").click()
    await page.wait_for_selector(f"{ROOM} .proof table")
    assert await page.evaluate(OVERFLOW) == {"by": 0, "out": []}
    texts = await page.evaluate(CONTRASTS)
    assert [text for text in texts if text["ratio"] < 4.5] == []
    targets = await page.evaluate(TARGETS)
    assert [t for t in targets if t["height"] < 44 or t["width"] < 44 or not t["name"]] == []
    assert await page.evaluate(FOREIGN) == []


async def test_by_keyboard_and_closed_again(now: Watched) -> None:
    """Enter opens it, Escape closes it and gives the focus back."""
    button = now.page.locator(f"{ROOM} .told button")
    await button.press("Enter")
    await expect(now.page.locator(f"{ROOM} .proof")).to_be_visible()
    await now.page.keyboard.press("Escape")
    await expect(now.page.locator(f"{ROOM} .proof")).to_be_hidden()
    await expect(button).to_be_focused()


async def test_a_lost_server_is_said_in_its_place(now: Watched, served: Served) -> None:
    """Where the explanation cannot be asked for, a sentence stands in its place, and the row goes on."""
    await served.stop()
    await now.page.locator(f"{ROOM} .told button").click()
    await expect(now.page.locator(f"{ROOM} .proofs .note")).to_be_visible()
    await expect(now.page.locator(f"{ROOM} .full .facts")).to_be_visible()
