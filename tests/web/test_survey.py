"""The survey against a real server: stepped round, worked out while typing, kept, saved and undone."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
import pytest_asyncio
from playwright.async_api import BrowserContext, Locator, Page, expect

from ingle.design import design_house
from ingle.model.commands import Origin
from ingle.model.house import House
from ingle.physics.materials import MATERIALS
from web.axe import faults
from web.conftest import Watched
from web.looks import CONTRASTS, FOREIGN, OVERFLOW, TARGETS
from web.served import Served
from web.surveyed import SURVEYED

pytestmark = pytest.mark.asyncio(loop_scope="session")

GABLE_U = "#field-element-0-u_w_per_m2k"


@pytest_asyncio.fixture(name="tern", loop_scope="session")
async def _tern(tmp_path: Path) -> AsyncIterator[Served]:
    served = await Served(tmp_path).start(SURVEYED)
    yield served
    await served.stop()


@pytest_asyncio.fixture(name="loft", loop_scope="session")
async def _loft(context: BrowserContext, tern: Served) -> Watched:
    """Return the survey of the Net Loft at its first wall, the gable."""
    watched = Watched(await context.new_page())
    await opened(watched.page, tern, "#survey/net-loft/3")
    return watched


async def opened(page: Page, served: Served, view: str) -> None:
    """Open the page at one of its views."""
    await page.goto(f"{served.url}/design{view}")
    await page.wait_for_selector("body:not(.loading)")


def changed(change: Any, zone: int = 0, house: House = SURVEYED) -> House:
    """Return the house after a change to one of its rooms' tables."""
    document = msgspec.json.decode(msgspec.json.encode(house))
    change(document["zone"][zone])
    return msgspec.convert(document, House)


def gable_at(u: float) -> House:
    """Return the house with another U of the gable."""
    return changed(lambda zone: zone["element"][0].update(u_w_per_m2k=u))


def load(house: House, zone: str = "net-loft") -> str:
    """Return a room's load and coefficient as the page writes them."""
    found = design_house(house).zone(zone)
    assert found is not None
    return f"{found.heat_loss_w:,.0f}\u202fW {found.heat_loss_w_per_k:.1f}\u202fW/K"


def bar(page: Page) -> Locator:
    """Return what follows while typing."""
    return page.locator("survey-bar .live")


async def test_watts_follow_while_typing(loft: Watched, tern: Served) -> None:
    """Typing a U moves W and W/K to what the design is with it; the house that runs stays as it is."""
    await expect(bar(loft.page)).to_contain_text(load(SURVEYED))
    await loft.page.fill(GABLE_U, "1,2")
    await expect(bar(loft.page)).to_contain_text(load(gable_at(1.2)))
    assert tern.live.house == SURVEYED
    assert loft.complaints == []


async def test_the_picture_follows_too(loft: Watched) -> None:
    """The gable's hatch darkens with its loss, and the wall under the pen is outlined."""
    gable = loft.page.locator("developed-room rect.picked")
    await expect(gable).to_have_attribute("fill", "url(#hatch-loss-4)")
    await loft.page.fill(GABLE_U, "2")
    await expect(gable).to_have_attribute("fill", "url(#hatch-loss-4)")
    await loft.page.fill("#field-element-0-provenance-u_w_per_m2k-high", "6.5")
    await loft.page.fill(GABLE_U, "6")
    await expect(gable).to_have_attribute("fill", "url(#hatch-loss-5)")


async def test_a_wrong_value_is_said_at_its_field(loft: Watched) -> None:
    """What is not allowed is said under the box with what is; the figure leaves the piece out and says so."""
    page = loft.page
    await page.fill(GABLE_U, "-3")
    field = page.locator(".field", has=page.locator(GABLE_U))
    await expect(field.locator(".said")).to_contain_text("Allowed: a number above 0")
    await expect(page.locator(GABLE_U)).to_have_attribute("aria-invalid", "true")
    await expect(page.locator("survey-bar")).to_contain_text("So far, without gable. 1 value to mend.")
    without = changed(lambda zone: zone["element"].pop(0))
    await expect(bar(page)).to_contain_text(load(without))
    await expect(page.locator(".steps a.wrong")).to_have_text("gable, 1 to mend")
    assert loft.complaints == []


async def test_saving_leads_to_what_is_wrong(loft: Watched, tern: Served) -> None:
    """With a value to mend, saving changes nothing and puts the keyboard on that value, on whichever step it is."""
    page = loft.page
    await page.fill(GABLE_U, "thick")
    await page.get_by_role("link", name="Ceiling").click()
    await page.get_by_role("button", name="Save").click()
    await expect(page.locator(GABLE_U)).to_be_focused()
    assert tern.live.house == SURVEYED


async def test_a_slip_is_noticed_at_its_field(loft: Watched) -> None:
    """A number that is allowed and cannot be right is doubted in a sentence beneath it."""
    page = loft.page
    await page.fill("#field-element-0-provenance-u_w_per_m2k-high", "7")
    await page.fill(GABLE_U, "6.9")
    doubted = page.locator(".field.doubt", has=page.locator(GABLE_U)).locator(".said")
    await expect(doubted).to_contain_text("a decimal point in the wrong place?")
    await page.fill(GABLE_U, "1.4")
    await expect(page.locator(".field.doubt")).to_have_count(0)


async def test_what_was_typed_survives_a_reload(loft: Watched) -> None:
    """Whatever stands in a box, right or wrong, is there again on the same step after a reload."""
    page = loft.page
    await page.fill(GABLE_U, "1.1x")
    await page.reload()
    await expect(page.locator(GABLE_U)).to_have_value("1.1x")
    await expect(page.locator(".steps [aria-current=step]")).to_contain_text("gable")
    await page.goto(page.url.partition("#")[0])
    await expect(page.locator(".draft")).to_contain_text("The survey of Net Loft")
    await page.get_by_role("link", name="Go on with it").click()
    await page.get_by_role("link", name="gable").click()
    await expect(page.locator(GABLE_U)).to_have_value("1.1x")


async def test_a_draft_can_be_thrown_away_and_had_back(loft: Watched) -> None:
    """A draft is thrown away in one press, and for ten seconds it comes back in one."""
    page = loft.page
    await page.fill(GABLE_U, "1.1")
    await page.goto(page.url.partition("#")[0])
    await page.get_by_role("button", name="Throw it away").click()
    await expect(page.locator(".draft")).to_have_count(0)
    await page.get_by_role("button", name="Undo").click()
    await expect(page.locator(".draft")).to_have_count(1)


async def test_a_lost_server_takes_nothing_that_was_typed(loft: Watched, tern: Served) -> None:
    """While the server is away the page says so and keeps what is typed; the watts return with it, and it is saved."""
    page = loft.page
    await tern.stop()
    await page.fill(GABLE_U, "1.25")
    await expect(page.locator("survey-bar")).to_contain_text("ingle does not answer. What you type is kept here")
    await tern.start(SURVEYED)
    await expect(bar(page)).to_contain_text(load(gable_at(1.25)))
    await page.get_by_role("button", name="Save").click()
    await expect(page.locator("undo-line")).to_contain_text("Net Loft is saved")
    assert tern.live.house == gable_at(1.25)


async def test_saving_makes_a_revision_and_undo_takes_it_back(loft: Watched, tern: Served) -> None:
    """Save puts the room into the house and shows its new sheet; Undo puts the house back as it was."""
    page = loft.page
    await page.fill(GABLE_U, "1.2")
    await page.get_by_role("button", name="Save").click()
    saved = f"Net Loft is saved: {load(gable_at(1.2)).partition(' ')[0]}."
    await expect(page.locator("undo-line")).to_contain_text(saved)
    await expect(page.locator("h1")).to_have_text("Net Loft")
    assert tern.live.house == gable_at(1.2)
    assert await page.evaluate("() => localStorage.length") == 0
    await page.get_by_role("button", name="Undo").click()
    await expect(page.locator("#notes")).to_contain_text("Net Loft is as it was before.")
    await expect(page.locator("dl.figures")).to_contain_text(load(SURVEYED).partition(" ")[0])
    assert tern.live.house == SURVEYED
    history = (await (await page.request.get(f"{tern.url}/api/house/history")).json())["revisions"]
    assert [line["why"] for line in history[1:]] == ["survey of Net Loft", "undo: survey of Net Loft"]
    assert loft.complaints == []


async def elsewhere(tern: Served, house: House, who: str = "Wenna Trask") -> None:
    """Let somebody else change the house."""
    await tern.commands.load_house(house, origin=Origin(who=who, via="cli"), why="", expected=None)


async def test_a_change_to_another_room_is_kept(loft: Watched, tern: Served) -> None:
    """If somebody changed another room meanwhile, both changes stand after saving, and the page says who it was."""
    page = loft.page
    await page.fill(GABLE_U, "1.2")
    await elsewhere(tern, changed(lambda zone: zone.update(name="Great Hall"), 1))
    await page.get_by_role("button", name="Save").click()
    await expect(page.locator("undo-line")).to_contain_text(
        "Wenna Trask changed the house meanwhile; that change is kept."
    )
    assert tern.live.house == changed(lambda zone: zone.update(name="Great Hall"), 1, gable_at(1.2))


async def test_a_change_to_the_same_room_is_kept_and_said(loft: Watched, tern: Served) -> None:
    """Another's change to this very room is laid into the survey and said before anything is saved; both then stand."""
    page = loft.page
    await page.fill(GABLE_U, "1.2")
    await elsewhere(tern, changed(lambda zone: zone.update(design_c=22.0)))
    await page.get_by_role("button", name="Save").click()
    said = page.locator(".said-of-draft")
    await expect(said).to_contain_text("Wenna Trask changed Net Loft")
    await expect(said).to_contain_text("Inside temperature at design is now 22.")
    assert tern.live.house == changed(lambda zone: zone.update(design_c=22.0))
    await expect(page.locator(GABLE_U)).to_have_value("1.2")
    await page.get_by_role("button", name="Save").click()
    await expect(page.locator("undo-line")).to_contain_text("Net Loft is saved")
    assert tern.live.house == changed(lambda zone: zone.update(design_c=22.0), 0, gable_at(1.2))


async def test_of_two_values_for_one_field_theirs_stands_and_mine_is_told(loft: Watched, tern: Served) -> None:
    """Where both changed the same number, theirs is kept in the box and mine is named, so that I can decide."""
    page = loft.page
    await page.fill(GABLE_U, "1.2")
    await elsewhere(tern, gable_at(1.3))
    await page.get_by_role("button", name="Save").click()
    await expect(page.locator(".said-of-draft")).to_contain_text("gable, U: 1.3 is kept; yours was 1.2.")
    await expect(page.locator(GABLE_U)).to_have_value("1.3")


async def test_an_undo_that_came_too_late_changes_nothing(loft: Watched, tern: Served) -> None:
    """If the house was changed again after my save, undoing would take that away too: it is refused in words."""
    page = loft.page
    await page.fill(GABLE_U, "1.2")
    await page.get_by_role("button", name="Save").click()
    await expect(page.locator("undo-line")).to_be_visible()
    later = changed(lambda zone: zone.update(name="Great Hall"), 1, gable_at(1.2))
    await elsewhere(tern, later)
    await page.get_by_role("button", name="Undo").click()
    await expect(page.locator("#notes")).to_contain_text("nothing was undone")
    assert tern.live.house == later


async def test_a_room_is_added_by_keyboard_alone(context: BrowserContext, tern: Served, size: int) -> None:
    """Round a new room without a mouse: name, floor, a wall with a window, ceiling; saved, and in the house."""
    watched = Watched(await context.new_page())
    page = watched.page
    await page.set_viewport_size({"width": size, "height": 844})
    await opened(page, tern, "")
    await page.get_by_role("link", name="Add a room").press("Enter")

    async def type_into(label: str, text: str, turn: int = 0) -> None:
        box = page.get_by_label(label, exact=True).nth(turn)
        await box.focus()
        await box.press("Control+a")
        await page.keyboard.type(text)

    async def press(name: str) -> None:
        await page.get_by_role("button", name=name, exact=True).press("Enter")

    await type_into("Name", "Sail Room")
    await type_into("Floor area", "5 x 4")
    await expect(page.locator(".field", has=page.get_by_label("Floor area"))).to_contain_text("= 20\u202fm²")
    await page.keyboard.press("Enter")
    await expect(page.locator("h2").first).to_be_focused()
    await press("Add the floor")
    await expect(page.locator("#field-element-0-name")).to_be_focused()
    await type_into("Exposed edge", "9")
    await press("Next: Walls")
    await press("Add a wall")
    await type_into("Width", "5")
    await type_into("U", "1.5")
    await press("Add a window")
    await type_into("Width", "1.5", 1)
    await type_into("Height", "1.2", 1)
    await type_into("U", "1.8", 1)
    await press("Another wall")
    await type_into("Width", "4")
    await type_into("U", "1.6")
    beyond = page.get_by_label("What lies beyond")
    await beyond.focus()
    await page.keyboard.type("Hall")
    await press("Next: Ceiling")
    await press("Add the ceiling")
    await type_into("U", "0.3")
    await press("Save")
    await expect(page.locator("undo-line")).to_contain_text("Sail Room is saved")
    added = tern.live.house.zones[-1]
    assert (added.id, added.name, added.floor_area_m2, added.height_m) == ("sail-room", "Sail Room", 20.0, 2.4)
    assert [(each.name, each.kind, each.beyond) for each in added.elements] == [
        ("floor", "ground-floor", "ground"),
        ("wall", "wall", "outside"),
        ("window", "window", "outside"),
        ("wall 2", "wall", "zone:hall"),
        ("ceiling", "roof", "outside"),
    ]
    assert added.elements[1].openings == ("window",)
    assert watched.complaints == []


async def test_a_room_is_stepped_round_by_hand(loft: Watched) -> None:
    """A press on a surface of the picture, or on the next button, leads to its step; back leads back."""
    page = loft.page
    await page.locator("developed-room rect.surface").first.click(position={"x": 8, "y": 8})
    await expect(page.locator("form h2")).to_have_text("Ceiling")
    await page.get_by_role("button", name="Next: Air and extras").click()
    await expect(page.locator("form h2")).to_have_text("Air and extras")
    await page.get_by_role("button", name="Back", exact=True).click()
    await expect(page.locator("form h2")).to_have_text("Ceiling")
    await page.go_back()
    await expect(page.locator("form h2")).to_have_text("Air and extras")


async def test_on_a_phone_the_next_step_begins_at_the_picture(context: BrowserContext, tern: Served) -> None:
    """Stepping on, the page scrolls past its own head to the picture; the title has the name that was typed."""
    page = await context.new_page()
    await page.set_viewport_size({"width": 390, "height": 844})
    await opened(page, tern, "#survey/new/1")
    await page.fill("#field-name", "Sail Room")
    await expect(page.locator("h1")).to_have_text("Survey of Sail Room")
    await page.get_by_role("button", name="Next: Floor").click()
    await expect(page.locator("form h2")).to_be_focused()
    await expect(page.locator("form h2")).to_be_in_viewport()
    await page.get_by_role("button", name="Add the floor").click()
    await page.get_by_role("button", name="Next: Walls").click()
    await expect(page.locator("nav[aria-label=Pages]")).not_to_be_in_viewport()
    await expect(page.locator("developed-room")).to_be_in_viewport()


async def test_a_size_the_other_way_keeps_the_room(context: BrowserContext, tern: Served) -> None:
    """From sides to area the openings are taken off: the watts stay what they were."""
    page = await context.new_page()
    await opened(page, tern, "#survey/hall/3")
    await expect(bar(page)).to_contain_text(load(SURVEYED, "hall"))
    await page.select_option("#field-element-0-size", "area")
    await expect(page.locator("#field-element-0-area_m2")).to_have_value("11.7")
    await expect(page.locator("survey-bar")).to_contain_text("Kept in this browser")
    await expect(bar(page)).to_contain_text(load(SURVEYED, "hall"))


async def test_a_piece_is_removed_and_had_back(context: BrowserContext, tern: Served) -> None:
    """Removing a window takes it out of its wall's list too; Undo brings both back."""
    page = await context.new_page()
    await opened(page, tern, "#survey/hall/3")
    await page.get_by_role("button", name="Remove stair window").click()
    without = changed(lambda zone: (zone["element"].pop(2), zone["element"][0].update(openings=["front door"])), 1)
    await expect(bar(page)).to_contain_text(load(without, "hall"))
    await page.locator("undo-line button").press("Enter")
    await expect(page.locator("survey-bar")).to_contain_text("Nothing changed yet.")


async def test_a_renamed_window_stays_in_its_wall(context: BrowserContext, tern: Served) -> None:
    """A new name of a window reaches the wall that lists it: nothing to mend, the watts stay."""
    page = await context.new_page()
    await opened(page, tern, "#survey/hall/3")
    await page.fill("#field-element-2-name", "tall window")
    await expect(page.locator("survey-bar")).to_contain_text("Kept in this browser")
    await page.get_by_role("button", name="Save").click()
    await expect(page.locator("undo-line")).to_be_visible()
    wall = tern.live.house.zones[1].elements[0]
    assert wall.openings == ("front door", "tall window")


async def test_layers_and_ground_are_filled_in_too(loft: Watched) -> None:
    """A wall by its layers and a floor by the ground rule are worked out as the house file's would be."""
    page = loft.page
    await page.select_option("#field-element-0-how", "layers")
    await page.select_option("#field-element-0-layers-0-material", "brick-outer")
    await page.fill("#field-element-0-layers-0-mm", "220")
    await page.get_by_role("button", name="Add a layer").click()
    await page.select_option("#field-element-0-layers-1-given", "air")
    await page.fill("#field-element-0-layers-1-air_mm", "50")

    def layered(zone: Any) -> None:
        del zone["element"][0]["u_w_per_m2k"], zone["element"][0]["provenance"]
        zone["element"][0]["layers"] = [{"material": "brick-outer", "mm": 220}, {"air_mm": 50}]

    await expect(bar(page)).to_contain_text(load(changed(layered)))
    await page.get_by_role("link", name="Floor").click()
    await page.select_option("#field-element-5-beyond", "ground")
    await page.select_option("#field-element-5-how", "ground")
    await page.fill("#field-element-5-ground-perimeter_m", "12")

    def grounded(zone: Any) -> None:
        layered(zone)
        floor = zone["element"][5]
        del floor["u_w_per_m2k"]
        floor |= {"kind": "ground-floor", "beyond": "ground", "ground": {"floor": "slab", "perimeter_m": 12}}

    await expect(bar(page)).to_contain_text(load(changed(grounded)))


async def test_a_material_is_picked_with_its_conductivity(loft: Watched) -> None:
    """Every material of ingle's table is offered by name with its conductivity; none is to be typed."""
    page = loft.page
    await page.select_option("#field-element-0-how", "layers")
    offered = await page.locator("#field-element-0-layers-0-material option").all_inner_texts()
    assert len(offered) == len(MATERIALS) + 1
    assert "mineral wool, λ 0.04" in offered


async def test_a_high_room_asks_for_its_warmer_air(loft: Watched) -> None:
    """From 4 m on the room's step asks how much warmer each metre up is; the watts follow it."""
    page = loft.page
    await page.get_by_role("link", name="Room", exact=True).click()
    await expect(page.locator("#field-air_gradient_k_per_m")).to_have_count(0)
    await page.select_option("#field-height-given", "height_m")
    await page.fill("#field-height_m", "5")
    await page.get_by_role("link", name="Floor").click()
    await page.get_by_role("link", name="Room", exact=True).click()
    await page.fill("#field-air_gradient_k_per_m", "0.6")

    def high(zone: Any) -> None:
        del zone["volume_m3"]
        zone |= {"height_m": 5, "air_gradient_k_per_m": 0.6}

    await expect(bar(page)).to_contain_text(load(changed(high)))


async def test_what_the_form_does_not_know_stays(loft: Watched, tern: Served) -> None:
    """Saving changes what was typed and nothing else: heaters, notes and the other rooms are as they were."""
    page = loft.page
    await page.fill("#field-element-0-provenance-u_w_per_m2k-note", "measured twice")
    await page.get_by_role("button", name="Save").click()
    await expect(page.locator("undo-line")).to_be_visible()

    def noted(zone: Any) -> None:
        zone["element"][0]["provenance"]["u_w_per_m2k"]["note"] = "measured twice"

    assert tern.live.house == changed(noted)


@pytest.mark.parametrize("view", ["net-loft/1", "net-loft/2", "hall/3", "net-loft/5", "hall/6", "new"])
async def test_it_fits_and_can_be_read_and_pressed(context: BrowserContext, tern: Served, size: int, view: str) -> None:
    """At 390 and 1280 px every step: no overflow, targets of 44 px with a name, contrast, nothing inline or foreign."""
    page = await context.new_page()
    await page.set_viewport_size({"width": size, "height": 844})
    await opened(page, tern, f"#survey/{view}")
    await expect(page.locator("survey-bar .small")).not_to_be_empty()
    assert await page.evaluate(OVERFLOW) == {"by": 0, "out": []}
    targets = await page.evaluate(TARGETS)
    assert [t for t in targets if t["height"] < 44 or t["width"] < 44 or not t["name"]] == []
    assert await page.evaluate(FOREIGN) == []
    assert await faults(page) == []
    for scheme in ("light", "dark"):
        await page.emulate_media(color_scheme=scheme, reduced_motion="reduce")  # type: ignore[arg-type]  # literals
        assert [text for text in await page.evaluate(CONTRASTS) if text["ratio"] < 4.5] == []
