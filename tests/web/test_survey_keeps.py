"""The survey in a browser against the daemon itself: what the form does not show goes through a save untouched."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.async_api import BrowserContext, Page, expect

from harness import Daemon, ingle
from web.axe import faults
from web.conftest import Watched
from web.looks import CONTRASTS, OVERFLOW, TARGETS

pytestmark = pytest.mark.asyncio(loop_scope="session")

#: Of the box with the keyboard and of what is said beneath it, the parts that something else lies over.
COVERED = """() => {
  const field = document.activeElement.closest('.field');
  return [document.activeElement, field.querySelector('.said')].filter((node) => {
    const {left, right, top, bottom} = node.getBoundingClientRect();
    return !node.contains(document.elementFromPoint((left + right) / 2, (top + bottom) / 2));
  }).map((node) => node.className || node.id);
}"""

#: A house with what the form shows and what it does not: provenance of inner numbers, air streams, bridges in layers,
#: spaces, programmes, circuits, tariffs, a boiler, levels and months.
HOUSE = """
[house]
name = "Tern House"
timezone = "Europe/London"
outdoor_design_c = -2.0
outdoor_mean_c = 10.5
supply_cap_a = 60.0
levels = {occupied_c = 17.0, setback_c = 15.0}
mean_c_by_month = [5, 5, 7, 9, 12, 15, 17, 17, 15, 12, 8, 6]
boiler = {output_w = 18000, used_w = 12000}
provenance.outdoor_design_c = {kind = "assumed", low = -4.0, high = 0.0}

[[space]]
id = "roof-void"
name = "Roof void"
volume_m3 = 60.0
[[space.element]]
name = "slates"
kind = "roof"
area_m2 = 40.0
u_w_per_m2k = 2.0
provenance.u_w_per_m2k = {kind = "assumed", low = 1.5, high = 2.5}

[[zone]]
id = "net-loft"
name = "Net Loft"
use = "living"
vulnerable = true
cooler_reason = "Wenna Trask: the tenant asked for it in writing"
floor_area_m2 = 25.0
height_m = 2.4
design_c = 21.0
capacity_wh_per_k = 900.0
air = [{name = "fan", m3_per_h = 30, from = {factor = 0.3}}, {name = "door", m3_per_h = 10, from = "zone:hall"}]
neighbours = ["hall"]
levels = {occupied_c = 16.5, vacant_c = 11.0}
warm_up_h = 2.0
warm_up_from_c = 16.0
provenance."air.1.m3_per_h" = {kind = "measured", low = 25.0, high = 35.0}
provenance.air_changes_per_h = {kind = "assumed", low = 0.5, high = 1.5, note = "no test"}

[[zone.element]]
name = "gable"
kind = "wall"
area_m2 = 12.0
faces_deg = 270.0
psi_w_per_mk = 0.1
psi_length_m = 5.0
layers = [
  {mm = 102, lambda = 0.77}, {air_mm = 50, vent_mm2 = 900},
  {mm = 140, material = "mineral-wool", bridge = {share = 0.15, lambda = 0.12}},
  {mm = 60, material = "mineral-wool", gap_level = 1, fixings = {lambda = 50, area_mm2 = 10, per_m2 = 4}},
  {mm = 12.5, lambda = 0.25},
]
provenance."layers.1.lambda" = {kind = "assumed", low = 0.6, high = 0.9}
provenance."layers.5.lambda" = {kind = "measured", low = 0.2, high = 0.3, note = "label"}

[[zone.element]]
name = "window"
kind = "window"
area_m2 = 3.2
u_w_per_m2k = 1.6
g_value = 0.63
frame_share = 0.3

[[zone.element]]
name = "store wall"
kind = "wall"
area_m2 = 8.0
u_w_per_m2k = 1.2
beyond = {typical = "two-outside-walls-and-door"}
provenance."beyond.factor" = {kind = "assumed", low = 0.5, high = 0.7}

[[zone.element]]
name = "stair wall"
kind = "wall"
area_m2 = 6.0
u_w_per_m2k = 1.2
beyond = {factor = 0.4}
provenance."beyond.factor" = {kind = "observed", low = 0.3, high = 0.5}

[[zone.element]]
name = "ceiling"
kind = "roof"
area_m2 = 25.0
u_w_per_m2k = 0.3
beyond = "space:roof-void"

[[zone.element]]
name = "flags"
kind = "ground-floor"
area_m2 = 25.0
beyond = "ground"
[zone.element.ground]
floor = "slab"
perimeter_m = 9.0
soil_lambda = 2.0
water_table_m = 0.8
edge_insulation_r = 1.0
edge_insulation_width_m = 0.6
[zone.element.provenance]
"ground.soil_lambda" = {kind = "assumed", low = 1.5, high = 3.5}

[[zone.heater]]
id = "loft-1"
rated_w = 1500
circuit = "loft"

[[zone]]
id = "hall"
name = "Hall"
floor_area_m2 = 10.0
height_m = 2.4
design_c = 18.0
given_w_per_k = 20.0
ground_share = 0.4

[[circuit]]
id = "loft"
rated_a = 16

[[programme]]
zone = "net-loft"
days = ["mon", "sun"]
periods = [{from = "06:30", to = "09:00", level = "occupied"}, {from = "17:00", to = "22:30", temp_c = 20.5}]
otherwise = "setback"

[[tariff]]
from = "2025-04-01"
currency = "GBP"
tax_percent = 5.0
standing_per_day = 0.52
rates = [{per_kwh = 0.30}, {per_kwh = 0.12, from = "00:30", to = "05:30"}]
"""


@pytest.fixture(name="house")
def _house() -> str:
    return HOUSE


@pytest.fixture(name="daemon")
def _daemon(tmp_path: Path, house: str) -> Iterator[Daemon]:
    file = tmp_path / "house.toml"
    file.write_text(house)
    db = tmp_path / "ingle.db"
    loaded = ingle("house", "load", str(file), "--db", str(db))
    assert loaded.returncode == 0, loaded.stderr
    with Daemon(db, "--clock", "trusted") as daemon:
        yield daemon.ready()
        daemon.stop()


async def opened(page: Page, daemon: Daemon, step: int) -> None:
    """Open the survey of the Net Loft at one of its steps."""
    await page.goto(f"{daemon.page}/design#survey/net-loft/{step}")
    await page.wait_for_selector("body:not(.loading)")
    await expect(page.locator("survey-bar .live b").first).not_to_be_empty()


async def saved(page: Page) -> None:
    """Save by keyboard and wait until the house has it."""
    await page.get_by_role("button", name="Save", exact=True).press("Enter")
    await expect(page.locator("undo-line")).to_contain_text("Net Loft is saved")


async def test_a_save_changes_what_was_typed_and_nothing_else(context: BrowserContext, daemon: Daemon) -> None:
    """Each step of a room is opened and one note typed; the house read back is the one before with that note."""
    watched = Watched(await context.new_page())
    page = watched.page
    before = daemon.get("/api/house")
    for step in range(1, 9):
        await opened(page, daemon, step)
        await expect(page.locator(".field.wrong, .field.missing, .homeless .note")).to_have_count(0)
    await opened(page, daemon, 8)
    await page.fill("#field-provenance-air_changes_per_h-note", "tested on a windy day")
    await saved(page)
    before["zone"][0]["provenance"]["air_changes_per_h"]["note"] = "tested on a windy day"
    assert daemon.get("/api/house") == before
    assert watched.complaints == []


async def test_each_kind_of_key_can_be_typed_and_the_rest_stays(context: BrowserContext, daemon: Daemon) -> None:
    """A layer, a kind of space, the ground water and the reason are changed in one survey; all around them stays."""
    page = await context.new_page()
    want = daemon.get("/api/house")
    await opened(page, daemon, 1)
    await page.fill("#field-cooler_reason", "asked for again")
    await opened(page, daemon, 2)
    await expect(page.locator("details.more-of")).to_have_attribute("open", "")
    await page.fill("#field-element-5-ground-water_table_m", "1.5")
    await opened(page, daemon, 3)
    await page.fill("#field-element-0-layers-0-mm", "105")
    await opened(page, daemon, 4)
    kind = page.locator("#field-element-2-beyond-typical")
    await expect(kind).to_have_value("two-outside-walls-and-door")
    await expect(kind.locator("option:checked")).to_have_text("room with two outside walls and a door, 0.6 assumed")
    await kind.select_option("two-outside-walls")
    await saved(page)
    loft = want["zone"][0]
    loft["cooler_reason"] = "asked for again"
    loft["element"][0]["layers"][0]["mm"] = 105.0
    loft["element"][2]["beyond"] = {"typical": "two-outside-walls"}
    del loft["element"][2]["provenance"]  # its limits were those of the kind before
    loft["element"][5]["ground"]["water_table_m"] = 1.5
    assert daemon.get("/api/house") == want


async def test_what_is_known_of_a_layer_goes_with_it(context: BrowserContext, daemon: Daemon) -> None:
    """Without the second layer the fifth is the fourth, with what is known of it; of layers gone nothing is."""
    page = await context.new_page()
    await opened(page, daemon, 3)
    await page.get_by_role("button", name="Remove layer 2").press("Enter")
    await page.get_by_role("button", name="Remove layer 1").press("Enter")
    await saved(page)
    wall = daemon.get("/api/house")["zone"][0]["element"][0]
    assert len(wall["layers"]) == 3
    assert wall["provenance"] == {"layers.3.lambda": {"kind": "measured", "low": 0.2, "high": 0.3, "note": "label"}}
    await opened(page, daemon, 3)
    await page.select_option("#field-element-0-how", "given")
    await page.fill("#field-element-0-u_w_per_m2k", "0.4")
    await saved(page)
    wall = daemon.get("/api/house")["zone"][0]["element"][0]
    assert "provenance" not in wall
    assert wall["psi_w_per_mk"] == 0.1


async def test_another_surroundings_forget_what_was_known_of_the_old(context: BrowserContext, daemon: Daemon) -> None:
    """A share replaced by a kind of space takes its provenance with it; the kind is still to come at first."""
    page = await context.new_page()
    await opened(page, daemon, 5)
    await expect(page.locator("#field-element-3-provenance-beyond\\.factor-low")).to_have_value("0.3")
    await page.select_option("#field-element-3-beyond", "typical")
    await expect(page.locator(".field.missing", has=page.locator("#field-element-3-beyond-typical"))).to_be_visible()
    await page.select_option("#field-element-3-beyond-typical", "basement")
    await saved(page)
    wall = daemon.get("/api/house")["zone"][0]["element"][3]
    assert wall["beyond"] == {"typical": "basement"}
    assert "provenance" not in wall


WARM = HOUSE.replace('vulnerable = true\ncooler_reason = "Wenna Trask: the tenant asked for it in writing"\n', "")


@pytest.mark.parametrize("house", [WARM], ids=["nobody vulnerable"])
async def test_a_cooler_room_for_someone_vulnerable_wants_a_reason(
    context: BrowserContext, daemon: Daemon, size: int
) -> None:
    """A reason is asked for once someone vulnerable lives there; a refused save says so at its field."""
    page = await context.new_page()
    await page.set_viewport_size({"width": size, "height": 844})
    await opened(page, daemon, 1)
    reason = page.locator("#field-cooler_reason")
    await expect(reason).to_have_count(0)
    await page.locator("#field-vulnerable").focus()
    await page.keyboard.type("yes")
    await expect(page.locator(".field", has=reason)).to_contain_text("The level occupied is 16.5\u202f°C here.")
    await expect(page.locator("#field-vulnerable")).to_be_focused()
    before = daemon.get("/api/house")
    await reason.evaluate("(box) => scrollBy(0, box.getBoundingClientRect().bottom + 10 - innerHeight)")
    await page.get_by_role("button", name="Save", exact=True).press("Enter")
    await expect(reason).to_be_focused()
    field = page.locator(".field.wrong", has=reason)
    await expect(field.locator(".said")).to_contain_text("Not saved: the level occupied is 16.5\u202f°C, and below 18")
    assert daemon.get("/api/house") == before
    assert await page.evaluate(COVERED) == []
    await looks(page)
    await page.keyboard.type("She wants it so")
    await expect(page.locator(".field.wrong")).to_have_count(0)
    await saved(page)
    before["zone"][0] |= {"vulnerable": True, "cooler_reason": "She wants it so"}
    assert daemon.get("/api/house") == before
    await opened(page, daemon, 1)
    await page.select_option("#field-vulnerable", "no")
    await expect(reason).to_have_count(0)
    await saved(page)
    del before["zone"][0]["vulnerable"], before["zone"][0]["cooler_reason"]
    assert daemon.get("/api/house") == before


async def test_ground_water_is_folded_away_until_it_is_known(context: BrowserContext, daemon: Daemon) -> None:
    """The depth of ground water stands behind a line that opens by keyboard, and opens by itself for what is wrong."""
    page = await context.new_page()
    await opened(page, daemon, 2)
    water = page.locator("#field-element-5-ground-water_table_m")
    await page.fill("#field-element-5-ground-soil_lambda", "")
    await water.fill("")
    await saved(page)
    await opened(page, daemon, 2)
    await expect(water).to_be_hidden()
    await page.locator("details.more-of summary").press("Enter")
    await water.fill("-2")
    await expect(page.locator(".field.wrong", has=water).locator(".said")).to_contain_text("Allowed:")
    await page.locator("details.more-of summary").press("Enter")
    await page.reload()
    await expect(water).to_be_visible()


@pytest.mark.parametrize("step", [1, 2, 4])
async def test_it_fits_and_can_be_read_and_pressed(
    context: BrowserContext, daemon: Daemon, size: int, step: int
) -> None:
    """At 390 and 1280 px the steps with reason, ground and kind of space fit, read well and can be pressed."""
    page = await context.new_page()
    await page.set_viewport_size({"width": size, "height": 844})
    await opened(page, daemon, step)
    await looks(page)


async def looks(page: Page) -> None:
    """Ask of a step what is asked of every page."""
    assert await page.evaluate(OVERFLOW) == {"by": 0, "out": []}
    targets: list[dict[str, Any]] = await page.evaluate(TARGETS)
    assert [each for each in targets if each["height"] < 44 or each["width"] < 44 or not each["name"]] == []
    assert await faults(page) == []
    for scheme in ("light", "dark"):
        await page.emulate_media(color_scheme=scheme, reduced_motion="reduce")  # type: ignore[arg-type]  # literals
        assert [text for text in await page.evaluate(CONTRASTS) if text["ratio"] < 4.5] == []
