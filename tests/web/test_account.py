"""The account page against a real server: the claim, signing in and out, a token, the people; by keyboard too."""

from __future__ import annotations

import pytest
from playwright.async_api import BrowserContext, Page, expect

from web.axe import faults
from web.conftest import Watched
from web.looks import CONTRASTS, FOREIGN, OVERFLOW, TARGETS
from web.served import Served

pytestmark = pytest.mark.asyncio(loop_scope="session")

PASSWORD = "ropes and tar on the quay"


async def claim(page: Page, served: Served) -> None:
    """Become the owner, by keyboard alone."""
    code = served.people.new_claim()
    await page.goto(f"{served.url}/account")
    await page.locator("[name=code]").focus()
    for text in (code, "wenna", "Wenna Trask", PASSWORD):
        await page.keyboard.type(text)
        await page.keyboard.press("Tab")
    await page.keyboard.press("Enter")
    await expect(page.locator("#summary")).to_contain_text("You are wenna, owner of this house.")


async def looks_right(page: Page) -> None:
    """Hold the page to no overflow, targets of 44 px, contrast in both schemes, nothing foreign, nothing for axe."""
    assert await page.evaluate(OVERFLOW) == {"by": 0, "out": []}
    targets = await page.evaluate(TARGETS)
    assert [t for t in targets if t["height"] < 44 or t["width"] < 44 or not t["name"]] == []
    assert await page.evaluate(FOREIGN) == []
    assert await faults(page) == []
    for scheme in ("light", "dark"):
        await page.emulate_media(color_scheme=scheme, reduced_motion="reduce")  # type: ignore[arg-type]  # literals
        assert [text for text in await page.evaluate(CONTRASTS) if text["ratio"] < 4.5] == []


async def test_the_claim_makes_the_owner(context: BrowserContext, served: Served, size: int) -> None:
    """What is wrong is said at its box, nothing typed is lost; the right code opens the page; both look right."""
    page = await context.new_page()
    await page.set_viewport_size({"width": size, "height": 800})
    await page.goto(f"{served.url}/account")
    await expect(page.locator("#summary")).to_contain_text("whoever is at this machine is taken for the owner")
    await page.fill("[name=code]", "WRONG")
    await page.fill("[name=id]", "wenna")
    await page.fill("[name=password]", "short")
    await page.click("button[type=submit]")
    await expect(page.locator(".field.wrong")).to_have_count(1)
    assert await page.input_value("[name=code]") == "WRONG"
    await looks_right(page)
    await claim(page, served)
    await looks_right(page)


async def test_a_page_sends_who_is_not_known_to_sign_in_and_back(context: BrowserContext, served: Served) -> None:
    """With an owner, every page asks who is there, and comes back to where one was going."""
    page = await context.new_page()
    await claim(page, served)
    await page.get_by_role("button", name="Sign out").click()
    await expect(page.locator("#heading")).to_have_text("Sign in")
    for path in ("/", "/use", "/check", "/design"):
        await page.goto(f"{served.url}{path}")
        await page.wait_for_url("**/account?next=*")
    await page.fill("[name=id]", "wenna")
    await page.fill("[name=password]", "not the one")
    await page.click("button[type=submit]")
    await expect(page.get_by_role("alert")).to_have_text("that name and password do not belong together")
    await page.fill("[name=password]", PASSWORD)
    await page.keyboard.press("Enter")
    await page.wait_for_url("**/design")


async def test_an_owner_adds_people_and_tokens(context: BrowserContext, served: Served) -> None:
    """A token is shown once; an occupant needs a room; an account is closed with one press."""
    watched = Watched(await context.new_page())
    page = watched.page
    await claim(page, served)
    await page.fill("[name=label]", "meter script")
    await page.get_by_role("button", name="Make it").click()
    token = await page.locator(".secret").inner_text()
    known = served.people.known(token)
    assert known is not None
    assert known.asker.who == "wenna"
    adding = page.locator("ask-form", has_text="Add somebody")
    for name, text in {"id": "guest", "name": "Guest", "password": PASSWORD}.items():
        await adding.locator(f"[name={name}]").fill(text)
    await adding.locator("[name=role]").select_option("occupant")
    await adding.get_by_role("button", name="Add").click()
    await expect(adding.locator(".field.wrong")).to_contain_text("at least one")
    await adding.locator("[name=zones]").fill("vestry")
    await adding.get_by_role("button", name="Add").click()
    row = page.locator(".people li", has_text="Guest (guest)")
    await expect(row).to_contain_text("occupant of vestry")
    await row.get_by_role("button", name="Close the account").click()
    await expect(row).to_contain_text("closed")
    assert [text for text in watched.complaints if "422" not in text] == []
    assert [url for url in watched.asked if not url.startswith(served.url)] == []


async def test_an_occupant_sees_their_room(context: BrowserContext, served: Served) -> None:
    """The Now page shows an occupant their own room, and neither the other rooms nor the watts of the house."""
    page = await context.new_page()
    await claim(page, served)
    await page.evaluate(
        """async ([password]) => {
          const headers = {"Content-Type": "application/json"};
          const json = (body) => ({method: "POST", headers, body: JSON.stringify(body)});
          await fetch("/api/people", json({id: "guest", name: "Guest", role: "occupant", zones: ["vestry"], password}));
          await fetch("/api/session/end", json({}));
          await fetch("/api/session", json({id: "guest", password}));
        }""",
        [PASSWORD],
    )
    await page.goto(served.url)
    await expect(page.locator("zone-row")).to_have_count(1)
    await expect(page.locator("zone-row")).to_contain_text("Vestry")
    await expect(page.locator("house-row")).to_be_hidden()
    await expect(page.locator("#name")).not_to_have_text("ingle")
