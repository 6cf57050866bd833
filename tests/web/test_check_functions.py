"""The Check page's pure functions: the days behind a verdict, comparisons, costs and earlier looks in words."""

from __future__ import annotations

import csv
import io
from collections.abc import AsyncIterator
from typing import Any

import pytest
import pytest_asyncio
from playwright.async_api import Browser

from web.test_functions import Modules

pytestmark = pytest.mark.asyncio(loop_scope="session")

FORMATS = "(await import('/js/format.js')).formats({locale: 'en-GB', timeZone: 'Europe/London'})"


def day(date: str, metered: float | None = 900.0, **also: object) -> dict[str, Any]:
    """Return a day of a fit, predicted at 1000 W from 880 to 1120 W."""
    quality = None if metered is None else "metered"
    return {
        "date": date,
        "metered_w": metered,
        "predicted_w": 1000.0,
        "low_w": 880.0,
        "high_w": 1120.0,
        "temp_c": 19.5,
        "outdoor_c": -1.5,
        "used": True,
        "why_not": None,
        "quality": quality,
        **also,
    }


DAYS = [
    day("2026-01-01"),
    day("2026-01-02", 1300.0),
    day("2026-01-03", 950.0, used=False, why_not='a gap, "long"', quality="filled"),
    day("2026-01-04", None, used=False, why_not="no energy reading"),
    day("2026-01-05", 1010.0, quality="estimated"),
    day("2026-01-06", 940.0, used=False, why_not='a gap, "long"', quality="filled"),
]


@pytest_asyncio.fixture(name="js", scope="module", loop_scope="session")
async def _js(browser: Browser, forms_url: str) -> AsyncIterator[Modules]:
    context = await browser.new_context()
    page = await context.new_page()
    await page.goto(forms_url)
    yield Modules(page)
    await context.close()


async def said(js: Modules, module: str, call: str, *args: object) -> Any:
    """Return what a call says, with the house's formats as ``fmt``."""
    return await js.run(module, f"(async () => {{ const fmt = {FORMATS}; return {call}; }})()", *args)


async def test_the_fit_is_summed_up_in_a_sentence(js: Modules) -> None:
    """Days used and how many of them lie in the band are said for those who do not see the plot."""
    zone = {"name": "Room 7", "against_past": None}
    summary = await said(js, "fit", "m.fitValue(a[0], a[1], fmt).summary", zone, DAYS)
    assert summary == "Room 7: 3 of 6 days used; 2 of them lie within the 95\u202f% band."


async def test_a_change_is_marked_at_its_day(js: Modules) -> None:
    """The mark stands before the first day after the change; a change on the first day of the record has no before."""
    zone = {"name": "Room 7", "against_past": {"since": "2026-01-03"}}
    change = await said(js, "fit", "m.fitValue(a[0], a[1], fmt).change", zone, DAYS)
    assert change == {"at": 2, "text": "changed 3 Jan"}
    zone["against_past"]["since"] = "2026-01-01"  # type: ignore[index]  # a mixed literal
    assert await said(js, "fit", "m.fitValue(a[0], a[1], fmt).change", zone, DAYS) is None


async def test_a_day_is_read_in_words(js: Modules) -> None:
    """Metered and predicted with the band, both temperatures, and why a day was not used."""
    columns = await said(js, "fit", "m.fitValue(a[0], a[1], fmt).columns", {"name": "", "against_past": None}, DAYS)
    assert columns[0]["said"] == (
        "Thu 1 Jan: 900\u202fW metered; 1,000\u202fW predicted (880 to 1,120); "
        "19.5\u202f°C inside, \u22121.5\u202f°C outside."
    )
    assert columns[3]["said"].endswith("not used: no energy reading.")
    assert columns[4]["said"].startswith("Mon 5 Jan: 1,010\u202fW, estimated;")
    assert [column["sure"] for column in columns] == [True, True, False, False, False, False]


async def test_days_not_used_are_listed_by_reason(js: Modules) -> None:
    """The commonest reason stands first with its days; many days of one reason are counted."""
    assert await said(js, "fit", "m.unusedInWords(a[0], fmt)", DAYS) == [
        'a gap, "long": 3 Jan, 6 Jan',
        "no energy reading: 4 Jan",
    ]
    many = [day(f"2026-01-{number:02}", used=False, why_not="mild") for number in range(1, 11)]
    assert await said(js, "fit", "m.unusedInWords(a[0], fmt)", many) == [
        "mild: 1 Jan, 2 Jan, 3 Jan, 4 Jan, 5 Jan, 6 Jan and 4 more"
    ]


async def test_the_days_as_csv_can_be_read_back(js: Modules) -> None:
    """Every key of a day with its value as it came; commas and quotes in a reason do not break a row."""
    rows = list(csv.DictReader(io.StringIO(await said(js, "fit", "m.fitCsv(a[0])", DAYS))))
    assert [row["date"] for row in rows] == [each["date"] for each in DAYS]
    assert rows[2]["why_not"] == 'a gap, "long"'
    assert rows[3]["metered_w"] == ""
    assert float(rows[0]["high_w"]) == 1120.0
    assert set(rows[0]) == set(DAYS[0])


async def test_three_comparisons_share_one_scale(js: Modules) -> None:
    """Against design, house and past as ratios on one scale; the design's own range lies about 1."""
    found = await said(js, "verdict-facts", "m.comparisons((await import('/js/pages/specimens-check.js')).zone, fmt)")
    assert [each["name"] for each in found] == ["its design", "the house's other rooms", "its own past"]
    assert len({each["plot"]["scale"]["max"] for each in found}) == 1
    design = found[0]["plot"]["design"]
    assert (design["low"], design["high"]) == pytest.approx((37 / 42, 48 / 42))
    assert found[0]["said"] == "1.69 (1.55 to 1.86): loses more than designed, over 99\u202f% sure"
    assert found[1]["said"] == "1.62 (1.41 to 1.86): loses more than they do of their design, 99\u202f% sure"
    assert found[2]["said"] == "from 43 to 71\u202fW/K since 26 Dec 2025; 98\u202f% sure that it changed"


async def test_what_is_not_known_is_said_without_a_plot(js: Modules) -> None:
    """Without figures each comparison says so and draws nothing."""
    zone = {"design_w_per_k": 42, "measured_w_per_k": None, "verdict": "cannot-say-yet", "probability": None}
    found = await said(js, "verdict-facts", "m.comparisons(a[0], fmt)", zone)
    assert [each["said"] for each in found] == ["not known yet"] * 3
    assert [each["plot"] for each in found] == [None] * 3


@pytest.mark.parametrize(
    ("cost", "words"),
    [
        ({"kwh": None, "money": None}, "Nothing that could be reckoned."),
        ({"kwh": 291.6, "money": None}, "292\u202fkWh"),
        ({"kwh": 291.6, "kwh_low": 222.0, "kwh_high": 360.0, "money": None}, "292\u202fkWh (222 to 360)"),
        (
            {"kwh": 291.6, "money": 84.7, "money_low": 64.4, "money_high": 104.4, "currency": "GBP"},
            "292\u202fkWh; £85 (£64 to £104)",
        ),
    ],
)
async def test_a_cause_says_what_it_takes(js: Modules, cost: dict[str, object], words: str) -> None:
    """Energy and money in 30 days, each with its band where there is one; nothing is said to cost 0."""
    assert await said(js, "verdict-facts", "m.costInWords(a[0], fmt)", cost) == words


async def test_looks_are_listed_newest_first(js: Modules) -> None:
    """Each look with its interval, the design and the method it was worked out by; a first look may have no figure."""
    table = await said(js, "looks", "m.looksTable((await import('/js/pages/specimens-check.js')).looks, fmt)")
    newest = ["11 Jan 2026", "71", "65 to 78", "42", "Loses more than designed", "over 99\u202f%", "8f2c51d09ab3"]
    assert table["rows"][0][:7] == newest
    assert table["rows"][0][7] == "version 2"
    assert table["rows"][-1][:6] == ["14 Dec 2025", "–", "–", "42", "Cannot say yet", "–"]
