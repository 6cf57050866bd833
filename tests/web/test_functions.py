"""The pages' pure functions, run where they are at home: imported by a page in the browser."""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import Any

import pytest
import pytest_asyncio
from playwright.async_api import Browser, Page

from ingle.control.states import BAND_K

pytestmark = pytest.mark.asyncio(loop_scope="session")


class Modules:
    """A page from which a module's functions can be called."""

    def __init__(self, page: Page) -> None:
        self._page = page

    async def run(self, module: str, body: str, *args: object) -> Any:
        """Return what the body, with the module as ``m`` and the arguments as ``a``, evaluates to."""
        script = f"async (a) => {{ const m = await import('/js/{module}.js'); return {body}; }}"
        return await self._page.evaluate(script, list(args))


@pytest_asyncio.fixture(name="js", scope="module", loop_scope="session")
async def _js(browser: Browser, forms_url: str) -> AsyncIterator[Modules]:
    context = await browser.new_context()
    page = await context.new_page()
    await page.goto(forms_url)
    yield Modules(page)
    await context.close()


@pytest.mark.parametrize(
    ("values", "low", "high"),
    [
        ([20.0, 18.5], 0, 25),
        ([20.0, -2.0], -5, 25),
        ([20.0, 4.2], 0, 25),
        ([24.5], 0, 30),
        ([], 0, 25),
        ([-17], -20, 25),
    ],
)
async def test_a_scale_of_degrees_holds_its_values(js: Modules, values: list[float], low: int, high: int) -> None:
    """A scale goes from 5 K step to 5 K step with at least 1 K to spare on either side."""
    scale = await js.run("scale", "m.degreeScale(a[0])", values)
    assert (scale["min"], scale["max"]) == (low, high)


async def test_a_scale_of_degrees_never_shrinks(js: Modules) -> None:
    """A colder night stretches the scale, and the next day leaves it: ticks do not jump about."""
    night, day = await js.run("scale", "[m.degreeScale([-8]), m.degreeScale([15], m.degreeScale([-8]))]")
    assert night == day
    assert night["min"] == -10


@pytest.mark.parametrize("top", [0.3, 7.0, 42.0, 101.0, 999.0])
async def test_a_scale_of_amounts_starts_at_zero_with_round_steps(js: Modules, top: float) -> None:
    """An amount scale holds its largest value in three to eight steps of 1, 2 or 5 times a power of ten."""
    scale = await js.run("scale", "m.amountScale([a[0], null])", top)
    step = scale["ticks"][1] - scale["ticks"][0]
    assert scale["min"] == 0
    assert scale["max"] >= top
    assert 3 <= len(scale["ticks"]) <= 8
    assert float(f"{step:.0e}".split("e")[0]) in {1, 2, 5}


async def test_a_value_beyond_a_scale_is_held_at_its_edge(js: Modules) -> None:
    """No shape leaves its drawing, whatever a sensor says."""
    held = await js.run("scale", "[-99, 12.5, 99].map((v) => m.percent({min: 0, max: 25, ticks: []}, v))")
    assert held == ["0.00%", "50.00%", "100.00%"]


async def test_an_arrow_needs_more_than_the_noise_of_the_sensor(js: Modules) -> None:
    """A change of 0.3 K in half an hour is noise; more is a trend; what is older than that does not count."""
    minute = 60_000
    trends = await js.run(
        "trend",
        """a[0].map((values) => m.trend(values.reduce(
          (kept, [minutes, tempC]) => m.remember(kept, {ms: minutes * a[1], tempC}), [])))""",
        [
            [[0, 18.0], [10, 18.3]],
            [[0, 18.0], [10, 18.2], [20, 18.5]],
            [[0, 18.5], [20, 18.0]],
            [[0, 17.0], [40, 18.0], [50, 18.1]],
            [[0, 18.0]],
        ],
        minute,
    )
    assert trends == [0, 1, -1, 0, 0]


async def test_times_are_the_houses_own(js: Modules) -> None:
    """A time is written in the house's time zone, through a change of the clocks, with as much date as it needs."""
    texts = await js.run(
        "format",
        """(() => {
          const fmt = m.formats({locale: 'en-GB', timeZone: 'Europe/London'});
          const now = Date.parse('2026-03-28T20:00:00Z');
          return [
            fmt.when('2026-03-28T22:30:00Z', now), fmt.when('2026-03-29T05:30:00Z', now),
            fmt.when('2026-04-20T05:30:00Z', now), fmt.seconds('2026-03-29T01:00:05Z'), fmt.day('2026-02-03'),
          ];
        })()""",
    )
    assert texts == ["22:30", "Sun 06:30", "20 Apr 06:30", "02:00:05", "3 Feb 2026"]


async def test_numbers_have_fixed_decimals_and_a_true_minus(js: Modules) -> None:
    """Figures of one kind keep their decimals, a negative one has a minus sign, and there is no minus zero."""
    texts = await js.run(
        "format",
        """(() => {
          const fmt = m.formats({locale: 'en-GB', timeZone: 'UTC'});
          return [
            fmt.temperature(20), fmt.temperature(-2.04), fmt.temperature(-0.01), fmt.level(20.5), fmt.watts(1499.6),
            fmt.kilowatts(4070), fmt.kilowattHours(31400), fmt.money(8.1, 'GBP'),
            fmt.percent(0.999), fmt.percent(0.874),
          ];
        })()""",
    )
    assert texts == ["20.0", "−2.0", "0.0", "20.5", "1,500", "4.07", "31.4", "£8.10", "over 99", "87"]


@pytest.mark.parametrize(
    ("seconds", "count", "unit"), [(3, 3, "s"), (59, 59, "s"), (840, 14, "min"), (7300, 2, "h"), (400_000, 4, "d")]
)
async def test_an_age_is_told_in_its_largest_unit(js: Modules, seconds: int, count: int, unit: str) -> None:
    """An age is counted in the largest unit that still tells something."""
    assert await js.run("format", "m.age(a[0])", seconds * 1000) == {"count": count, "unit": unit}


async def test_no_number_parts_from_its_unit(js: Modules) -> None:
    """Sentences from the daemon are bound so that a line never breaks between a number and its unit."""
    bound = await js.run("format", "m.bound(a[0])", "Held at 16 °C, 1.5 kW of 13 W, 3 winters, 61 % for 20 min.")
    assert bound == "Held at 16\u202f°C, 1.5\u202fkW of 13\u202fW, 3 winters, 61\u202f% for 20\u202fmin."


async def test_events_may_come_in_any_pieces(js: Modules) -> None:
    """The feed's text parses to the same events however the network cuts it; comments and unknown fields are passed."""
    text = 'event: zone\ndata: {"a":\ndata: 1}\nid: 7\n\n: beat\n\r\nevent: house\r\ndata: {}\r\n\r\ndata: x\n\n'
    whole, bytewise = await js.run(
        "live",
        """[a[0].length, 1].map((size) => {
          const parser = new m.EventParser();
          const pieces = a[0].match(new RegExp(`[^]{1,${size}}`, 'g'));
          return pieces.flatMap((piece) => parser.push(piece));
        })""",
        text,
    )
    assert whole == [
        {"event": "zone", "data": '{"a":\n1}'},
        {"event": "house", "data": "{}"},
        {"event": "message", "data": "x"},
    ]
    assert bytewise == whole


@pytest.mark.parametrize(
    ("before", "request_"),
    [
        ({"held": False, "wanted_c": 20, "level": "occupied", "until": "T"}, {"do": "release"}),
        (
            {"held": True, "wanted_c": 21.5, "level": None, "until": "2026-01-12T16:30:00Z"},
            {"do": "override", "temp_c": 21.5, "until": "2026-01-12T16:30:00Z"},
        ),
        (
            {"held": True, "wanted_c": 12, "level": "vacant", "until": "2026-01-14T16:30:00Z"},
            {"do": "set-level", "level": "vacant", "until": "2026-01-14T16:30:00Z"},
        ),
    ],
)
async def test_undo_asks_for_what_was(js: Modules, before: dict[str, object], request_: dict[str, object]) -> None:
    """Undo gives back the programme, the override or the level that stood before, to its old end."""
    assert await js.run("present", "m.undoRequest(a[0])", before) == request_


async def test_rooms_that_want_a_look_stand_first(js: Modules) -> None:
    """Urgent rooms come first, then those with a notice, then silent ones; the rest keep the house's order."""
    order = await js.run(
        "present",
        "m.attentionOrder(a[0], a[1])",
        [{"id": name, "state": "unknown" if name == "c" else "within", "quality": "metered"} for name in "abcde"],
        [
            {"zone": "d", "severity": "attention"},
            {"zone": "e", "severity": "urgent"},
            {"zone": None, "severity": "urgent"},
        ],
    )
    assert order == ["e", "d", "c", "a", "b"]


async def test_a_refusal_is_told_with_what_is_allowed(js: Modules) -> None:
    """A problem becomes sentences with what is allowed; silence and a bare status have their own words."""
    texts = await js.run(
        "present",
        "a[0].map((problem) => m.problemInWords(problem))",
        [
            {"status": 400, "title": "Bad input", "detail": "40 is too warm", "errors": [{"allowed": "1 to 35"}]},
            {"status": 0, "title": "", "detail": "", "errors": []},
            {"status": 502, "title": "", "detail": "", "errors": []},
        ],
    )
    assert texts[0] == "40 is too warm. Allowed: 1 to 35."
    assert "does not answer" in texts[1]
    assert "502" in texts[2]


async def test_one_odd_heater_is_not_lost_among_its_neighbours(js: Modules) -> None:
    """A heater that fails or is held is named although another one of the room heats."""
    heater = {"held_by": None, "quality": "metered"}
    texts = await js.run(
        "present",
        "a[0].map((heaters) => m.heatersInWords(heaters))",
        [
            [heater | {"state": "heating"}, heater | {"state": "fault"}],
            [heater | {"state": "held", "held_by": "opening"}] * 2,
            [heater | {"state": "heating", "quality": "estimated"}],
            [],
        ],
    )
    assert texts == ["1 of 2 fault", "held: opening", "heating, estimated", "no heater"]


async def test_the_summary_counts_every_verdict(js: Modules) -> None:
    """All rooms are summed up in one sentence, with the first day on which more can be said."""
    zones = [{"verdict": name, "possible_from": day} for name, day in [
        ("loses-more", None), ("as-designed", None), ("as-designed", None), ("cannot-say-yet", "2026-02-03"),
        ("cannot-say-yet", "2026-01-30"),
    ]]  # fmt: skip
    text = await js.run(
        "judge",
        """(async () => {
          const {formats} = await import('/js/format.js');
          return m.summarySentence(a[0], formats({locale: 'en-GB', timeZone: 'UTC'}));
        })()""",
        zones,
    )
    assert text == (
        "Of 5 rooms, 1 loses more than designed, 2 are as designed and 2 cannot be judged yet "
        "(the first should be from 30 Jan 2026)."
    )


async def test_the_wanted_band_is_the_daemons(js: Modules) -> None:
    """The band that a page draws is the band in which the daemon calls a room `within`."""
    assert await js.run("present", "m.HALF_BAND_K") == BAND_K


async def test_every_word_of_the_daemon_has_one_for_people(js: Modules) -> None:
    """Each state, rule, level, verdict and cause that the daemon may say has its words on the page."""
    from typing import get_args

    from ingle.model import decisions, house, verdicts

    words = await js.run("words", "({...m, now: null, gauge: null, power: null, act: null})")
    assert set(get_args(decisions.ZoneState)) | set(get_args(decisions.HeaterState)) == set(words["states"])
    assert set(get_args(decisions.Rule)) == set(words["rules"])
    assert set(get_args(decisions.HeldBy)) == set(words["heldBy"])
    assert set(get_args(house.LevelName)) == set(words["levels"])
    assert set(get_args(verdicts.VerdictName)) == set(words["check"]["verdicts"])
    assert set(get_args(verdicts.CauseCode)) == set(words["check"]["names"])
    assert set(get_args(verdicts.MouldVerdict)) == set(words["check"]["mould"]["verdicts"])
