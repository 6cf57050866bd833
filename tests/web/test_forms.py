"""The forms as drawn, in every state, on a phone and on a sheet, in light and in dark."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest
import pytest_asyncio
from playwright.async_api import Browser, Page

from web.axe import faults
from web.looks import COLLISIONS, CONTRASTS, FOREIGN, OVERFLOW, TARGETS

pytestmark = pytest.mark.asyncio(loop_scope="session")

PHONE, SHEET = 390, 1280
#: WCAG 2.2, 1.4.3: the least contrast of text.
LEAST_CONTRAST = 4.5
#: PAGES: the least size of a target [px].
LEAST_TARGET = 44


@pytest_asyncio.fixture(name="forms", loop_scope="session", params=[PHONE, 800, SHEET])
async def _forms(request: pytest.FixtureRequest, browser: Browser, forms_url: str) -> AsyncIterator[Page]:
    context = await browser.new_context(viewport={"width": request.param, "height": 900})
    page = await context.new_page()
    await page.goto(forms_url)
    await page.wait_for_selector("body:not(.loading)")
    yield page
    await context.close()


async def test_nothing_is_wider_than_the_window(forms: Page) -> None:
    """Every form in every state, long names and long sentences included, fits the width of the window."""
    assert await forms.evaluate(OVERFLOW) == {"by": 0, "out": []}


async def test_no_figure_touches_a_shape(forms: Page) -> None:
    """Figures of a band gauge or interval plot stand clear of band, tick, dot and of each other."""
    assert await forms.locator(".band-gauge").count() == 13
    assert await forms.evaluate(COLLISIONS, ".band-gauge, .interval-plot") == []


async def test_every_target_is_large_enough(forms: Page) -> None:
    """Whatever can be pressed is at least 44 px high and wide, and has a name."""
    targets = await forms.evaluate(TARGETS)
    small = [t for t in targets if t["height"] < LEAST_TARGET or t["width"] < LEAST_TARGET or not t["name"]]
    assert len(targets) > 30
    assert small == []


async def test_nothing_is_inline_or_foreign(forms: Page) -> None:
    """No inline style or script, and no address outside this server."""
    assert await forms.evaluate(FOREIGN) == []


async def test_a_checker_of_accessibility_finds_nothing(forms: Page) -> None:
    """Names, roles, order of headings, contrast: no rule of WCAG 2.2 AA is broken by any form in any state."""
    assert await faults(forms) == []


async def test_all_rooms_share_one_scale(forms: Page) -> None:
    """Every band gauge has its grid lines at the same places and the same figures, so rooms compare by eye."""
    scales = await forms.evaluate(
        """() => [...document.querySelectorAll('.band-gauge')].map((drawing) =>
          [...drawing.querySelectorAll('.grid')].map((line) => line.getAttribute('x1')).join() + '|' +
          [...drawing.querySelectorAll('.figure')].map((text) => text.textContent).join() + '|' +
          drawing.getBoundingClientRect().width)"""
    )
    assert len(set(scales)) == 1


async def test_every_drawing_says_itself_in_a_sentence(forms: Page) -> None:
    """Each drawing is an image with a sentence for those who do not see it, units included."""
    said = await forms.evaluate(
        "() => [...document.querySelectorAll('svg[role=img]')].map((drawing) => drawing.getAttribute('aria-label'))"
    )
    assert len(said) > 30
    assert all(sentence.endswith(".") for sentence in said)
    assert "Net Loft: 18.6\u202f°C; wanted 21\u202f°C; warming; outside 5.5\u202f°C." in said
    assert "Room 6: 17.6\u202f°C, 14\u202fmin old; wanted 20\u202f°C; within; outside 5.5\u202f°C." in said
    assert "Room 8: no reading; wanted 20\u202f°C; unknown; outside 5.5\u202f°C." in said


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("contrast", ["no-preference", "more"])
async def test_text_can_be_read(browser: Browser, forms_url: str, scheme: str, contrast: str) -> None:
    """Every text stands at 4.5 : 1 or more against what lies behind it, in light and in dark."""
    context = await browser.new_context(color_scheme=scheme, contrast=contrast)  # type: ignore[arg-type]  # two literals
    page = await context.new_page()
    await page.goto(forms_url)
    await page.wait_for_selector("body:not(.loading)")
    texts = await page.evaluate(CONTRASTS)
    await context.close()
    assert len(texts) > 300
    assert [text for text in texts if text["ratio"] < LEAST_CONTRAST] == []


async def test_states_are_told_apart_without_colour(browser: Browser, forms_url: str) -> None:
    """With forced colours, held, heating, unreachable and stale still differ in line or shape, and in words."""
    context = await browser.new_context(forced_colors="active")
    page = await context.new_page()
    await page.goto(forms_url)
    await page.wait_for_selector("body:not(.loading)")
    lines = await page.evaluate(
        """() => Object.fromEntries(['held', 'unreachable', 'fault', 'satisfied'].map((state) => {
          const style = getComputedStyle(document.querySelector(`.power-bar .plate.${state}`));
          return [state, `${style.strokeWidth} ${style.strokeDasharray}`];
        }))"""
    )
    words = await page.locator("power-bar .caption").all_inner_texts()
    await context.close()
    assert len(set(lines.values())) == 4
    assert any("held: cap" in text for text in words)
    assert any("unreachable" in text for text in words)


async def test_a_stale_reading_is_hollow_with_its_age(forms: Page) -> None:
    """An old temperature is drawn as a hollow figure with its age beside it and a broken tick."""
    row = forms.locator("zone-row[data-zone=room-6]")
    assert await row.locator("text.hollow:not(.halo)").text_content() == "17.6\u202f°C"
    assert await row.locator("text.age:not(.halo)").text_content() == "14\u202fmin old"
    assert await row.locator(".tick.stale").count() == 1


async def test_no_reading_draws_no_tick(forms: Page) -> None:
    """A room nobody has heard of shows the wanted band and words, but no tick and no power of 0 W."""
    row = forms.locator("zone-row[data-zone=room-8]")
    assert await row.locator(".tick").count() == 0
    assert await row.locator("text.no-reading:not(.halo)").text_content() == "no reading"
    assert await row.locator("power-bar .heat").count() == 0
    assert "unknown" in await row.locator("power-bar .caption").inner_text()


async def test_what_cannot_be_said_yet_stands_in_a_dotted_frame(forms: Page) -> None:
    """A room without a verdict shows what is missing and the day it should be possible, dotted, its dot hollow."""
    row = forms.locator("verdict-row.cannot-say-yet", has_text="Laundry")
    frame = row.locator(".unsaid > .frame-of")
    assert await frame.evaluate("(node) => getComputedStyle(node).borderTopStyle") == "dotted"
    text = await frame.inner_text()
    assert "it was open 61\u202f% of the time" in text
    assert "Should be possible from 17 Feb 2026." in text
    dot = row.locator("circle.dot")
    paper = await row.evaluate("() => getComputedStyle(document.querySelector('.hatch-ground')).fill")
    assert await dot.evaluate("(node) => getComputedStyle(node).fill") == paper


async def test_rooms_are_sorted_by_ratio(forms: Page) -> None:
    """The room that loses most against its design stands first; those that cannot be judged yet stand last."""
    names = await forms.locator("verdict-row h3").all_inner_texts()
    assert names[:2] == ["Room 7", "Breakfast room"]
    assert names[7] == "Room 3"
    assert set(names[8:]) == {"Laundry", "Room 5 with the long landing and the north window", "Room 8"}
