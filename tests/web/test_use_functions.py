"""The Use page's pure functions, run where they are at home: imported by a page in the browser."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import date, timedelta
from typing import Any

import pytest
import pytest_asyncio
from playwright.async_api import Browser

from web.test_functions import Modules

pytestmark = pytest.mark.asyncio(loop_scope="session")

FORMATS = "(await import('/js/format.js')).formats({locale: 'en-GB', timeZone: 'Europe/London'})"


@pytest_asyncio.fixture(name="js", scope="module", loop_scope="session")
async def _js(browser: Browser, forms_url: str) -> AsyncIterator[Modules]:
    context = await browser.new_context()
    page = await context.new_page()
    await page.goto(forms_url)
    yield Modules(page)
    await context.close()


@pytest.mark.parametrize(
    ("name", "start", "end"),
    [
        ("28-days", "2026-01-31", "2026-02-28"),
        ("this-week", "2026-02-23", "2026-03-01"),
        ("last-week", "2026-02-16", "2026-02-23"),
        ("this-month", "2026-02-01", "2026-03-01"),
        ("last-month", "2026-01-01", "2026-02-01"),
        ("this-year", "2026-01-01", "2026-03-01"),
    ],
)
async def test_usual_periods_follow_the_calendar(js: Modules, name: str, start: str, end: str) -> None:
    """On Saturday 28 February 2026: weeks begin on Monday, months on the first, and today counts in what still runs."""
    found = await js.run("period", "m.named(a[0], '2026-02-28')", name)
    assert found == {"period": {"from": start, "to": end}, "name": name}


@pytest.mark.parametrize(
    ("query", "start", "end", "refused"),
    [
        ("from=2026-01-01&to=2026-01-31", "2026-01-01", "2026-02-01", False),
        ("from=2026-02-27", "2026-02-27", "2026-03-01", False),
        ("period=last-week", "2026-02-16", "2026-02-23", False),
        ("", "2026-01-31", "2026-02-28", False),
        ("period=next-week", "2026-01-31", "2026-02-28", True),
        ("from=2026-02-10&to=2026-02-09", "2026-01-31", "2026-02-28", True),
        ("from=2026-02-30&to=2026-03-09", "2026-01-31", "2026-02-28", True),
        ("from=2020-01-01&to=2026-01-01", "2026-01-31", "2026-02-28", True),
        ("to=2026-01-01", "2026-01-31", "2026-02-28", True),
        ("from=%3Cb%3E&to=x", "2026-01-31", "2026-02-28", True),
    ],
)
async def test_an_address_names_a_period(js: Modules, query: str, start: str, end: str, refused: bool) -> None:  # noqa: FBT001 - a parameter
    """A date that ends a period is its last day; nonsense gives the usual period, and is told."""
    found = await js.run("period", "m.read(new URLSearchParams(a[0]), '2026-02-28')", query)
    assert found["period"] == {"from": start, "to": end}
    assert found["refused"] is refused


async def test_an_address_leads_back_to_what_it_shows(js: Modules) -> None:
    """Read from its own address, a period with what it is set against is the same, by name or by days."""
    same = await js.run(
        "period",
        """a[0].map((query) => {
          const [asked, today] = [new URLSearchParams(query), '2026-02-28'];
          const chosen = m.read(asked, today);
          const other = m.readOther(asked, chosen.period);
          const again = new URL(m.address(chosen, other, 'compare'), 'http://x').searchParams;
          const back = m.read(again, today);
          return JSON.stringify([chosen, other]) === JSON.stringify([back, m.readOther(again, back.period)]);
        })""",
        [
            "period=this-week&with=year-before",
            "from=2026-01-01&to=2026-01-28",
            "from=2026-01-01&to=2026-01-28&with_from=2025-01-01&with_to=2025-02-04",
        ],
    )
    assert same == [True, True, True]


async def test_the_days_before_are_as_many(js: Modules) -> None:
    """A period is set against as many days just before it, or 52 weeks earlier, where weekdays agree."""
    before, year = await js.run(
        "period",
        "['', 'with=year-before'].map((q) => m.readOther(new URLSearchParams(q), a[0]))",
        {"from": "2026-03-02", "to": "2026-04-06"},
    )
    assert before["period"] == {"from": "2026-01-26", "to": "2026-03-02"}
    assert year["period"] == {"from": "2025-03-03", "to": "2025-04-07"}


def _days(count: int) -> list[dict[str, Any]]:
    first = date(2026, 1, 1)
    return [
        {
            "date": (first + timedelta(days=day)).isoformat(),
            "zones": [],
            "energy_wh": 1000.0 * (day + 1),
            "quality": "estimated" if day == 3 else "metered",
            "outdoor_c": float(day),
            "degree_days_kd": 10.0,
            "hours": 24,
        }
        for day in range(count)
    ]


async def test_days_add_up_to_weeks(js: Modules) -> None:
    """A week has the sum of its days' energy and cold, the mean of their temperatures, and its worst day's quality."""
    weeks = await js.run(
        "spent", "m.grouped(m.spells({from: '2026-01-01', to: '2026-01-12'}, a[0], []), 'week')", _days(11)
    )
    assert [week["days"] for week in weeks] == [4, 7]
    assert [week["energy_wh"] for week in weeks] == [10_000, 56_000]
    assert [week["outdoor_c"] for week in weeks] == [1.5, 7]
    assert [week["degree_days_kd"] for week in weeks] == [40, 70]
    assert [week["quality"] for week in weeks] == ["estimated", "metered"]


async def test_a_day_without_an_answer_is_empty_not_nought(js: Modules) -> None:
    """No data is not 0 kWh: the day is there, its energy unknown."""
    days = await js.run("spent", "m.spells({from: '2026-01-01', to: '2026-01-04'}, a[0], [])", _days(2))
    assert [day["energy_wh"] for day in days] == [1000, 2000, None]


@pytest.mark.parametrize(("days", "stretch"), [(1, "day"), (62, "day"), (63, "week"), (366, "week"), (800, "month")])
async def test_long_periods_are_cut_into_longer_stretches(js: Modules, days: int, stretch: str) -> None:
    """Bars stay wide enough for a phone: at most some sixty of them."""
    assert await js.run("spent", "m.stretchOf(a[0])", days) == stretch


async def test_the_export_has_every_day_and_room(js: Modules) -> None:
    """A line a day with plain figures, empty where nothing is known; a comma in a name is quoted."""
    days = _days(1)
    days[0]["zones"] = [{"zone": "loft", "energy_wh": 400.0, "quality": "metered"}]
    text = await js.run(
        "spent",
        "m.csv(m.spells({from: '2026-01-01', to: '2026-01-03'}, a[0], a[1].by_day), a[0], a[1])",
        days,
        {
            "currency": "GBP",
            "zones": [{"zone": "loft"}, {"zone": 'the, "hall"'}],
            "by_day": [{"date": "2026-01-01", "energy_wh": 1000, "total": "1.05"}],
        },
    )
    assert text.split("\r\n") == [
        'date,outdoor_c,degree_days_kd,total_kwh,total_money_GBP,quality,loft_kwh,"the, ""hall""_kwh"',
        "2026-01-01,0,10,1,1.05,metered,0.4,",
        "2026-01-02,,,,,,,",
    ]


async def test_steps_lead_from_one_bill_to_the_other(js: Modules) -> None:
    """Each step begins where the one before it ended, to the cent, and the last ends at the bill in question."""
    bill = {"from": "2026-01-01", "to": "2026-01-29", "kwh": 100, "estimated_read": False, "kind": "bill", "note": ""}
    steps = [("days", "0.10"), ("price", "0.20"), ("weather", "-0.30"), ("unexplained", "7.77")]
    value = await js.run(
        "steps",
        f"m.stepsValue(a[0], a[1], a[2], {FORMATS})",
        {
            "difference": "7.77",
            "currency": "GBP",
            "order": "averaged over all orders",
            "steps": [{"code": code, "money": money, "kwh": None, "sentence": code} for code, money in steps],
        },
        {**bill, "money": "33.30"},
        {**bill, "money": "41.07"},
    )
    ends = [33.3, 33.4, 33.6, 33.3, 41.07]
    assert [step["from"] for step in value["steps"]] == ends[:-1]
    assert [step["to"] for step in value["steps"]] == ends[1:]
    assert value["steps"][3]["text"] == "+£7.77"
    assert value["scale"]["min"] <= 33.3
    assert value["scale"]["max"] >= 41.07
    assert len(value["rows"]) == 6


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("1480", "1480"),
        ("1,480", "1480"),
        ("1,480.5", "1480.5"),
        ("430.06", "430.06"),
        ("430,06", "430.06"),
        ("1 480", "1480"),
        ("-12.5", "-12.5"),
        ("", None),
        ("12a", None),
        ("1,48,0", None),
        ("Infinity", None),
    ],
)
async def test_a_figure_is_read_as_people_write_it(js: Modules, text: str, amount: str | None) -> None:
    """A comma before three digits parts thousands, any other is a decimal comma; what is no figure is none."""
    assert await js.run("forms/bill-form", "m.readAmount(a[0])", text) == amount


async def test_a_long_night_has_its_hours(js: Modules) -> None:
    """The strip of the day on which clocks go back is 25 hours long, its times as the clock shows them."""
    value = await js.run(
        "tariff",
        f"m.stripValue((await import('/js/pages/specimens-use.js')).longDay, {FORMATS}, null)",
    )
    assert value["minutes"] == 1500
    assert value["blocks"][-1]["to"] == 1500
    assert value["blocks"][-1]["ink"] == 0
    assert value["hours"][-1] == {"at": 1500, "label": "24:00"}
    assert value["summary"].startswith("A day of 25 hours: 00:00 to 01:30 £0.316/kWh")
