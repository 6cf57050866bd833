"""A span cut at its rates: nothing left out, every instant at the rate that holds in it, days of 23 to 25 hours."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.model.instants import from_ms, to_ms
from ingle.model.tariff import Rate, Tariff
from ingle.model.week import WEEKDAYS
from ingle.money import Series, Stretch, local_days, rate_at, stretches

LONDON = ZoneInfo("Europe/London")
HOUR_MS = 3_600_000
DAY_RATE = Rate(per_kwh=0.316)
TIMES = st.integers(0, 23 * 60 + 59).map(lambda minute: f"{minute // 60:02d}:{minute % 60:02d}")


def tariff(*rates: Rate, series: str | None = None, start: str = "2020-01-01") -> Tariff:
    """Return a tariff."""
    return Tariff(start=start, currency="GBP", rates=rates or (DAY_RATE,), series=series)


def two_rate(clock: str) -> Tariff:
    """Return a tariff with a window of seven hours."""
    night = Rate(per_kwh=0.142, start="00:30", end="07:30", clock=clock)  # type: ignore[arg-type]  # parametrised text
    return tariff(night, DAY_RATE)


def hours_at(found: list[Stretch], rate: str) -> float:
    """Return how long a rate holds [h]."""
    return sum(each.end_ms - each.start_ms for each in found if each.rate == Decimal(rate)) / HOUR_MS


@pytest.mark.parametrize(
    ("day", "hours", "local", "utc"),
    [("2026-03-29", 23, 6, 7), ("2026-10-25", 25, 8, 7), ("2026-01-12", 24, 7, 7), ("2026-07-01", 24, 7, 7)],
)
def test_a_window_lasts_as_its_clock_says(day: str, hours: int, local: int, utc: int) -> None:
    """On the days of clock changes a local window loses or gains an hour; one that is fixed to UTC has seven always."""
    noon = to_ms(datetime.fromisoformat(f"{day}T12:00:00+00:00"))
    (whole,) = local_days(noon, noon + 1, LONDON)
    assert whole.hours == hours
    for clock, expected in (("local", local), ("utc", utc)):
        found = stretches([two_rate(clock)], whole.start_ms, whole.end_ms, LONDON)
        assert hours_at(found, "0.142") == expected
        assert hours_at(found, "0.316") == hours - expected


def test_a_window_fixed_to_utc_keeps_to_it_all_year() -> None:
    """Two windows of 2026 that open at 00:30 UTC in every month are 365 times seven hours."""
    start, end = (to_ms(datetime(year, 1, 1, tzinfo=UTC)) for year in (2026, 2027))
    found = [each for each in stretches([two_rate("utc")], start, end, LONDON) if each.rate == Decimal("0.142")]
    assert hours_at(found, "0.142") == 365 * 7
    assert {from_ms(each.start_ms).strftime("%H:%M") for each in found} <= {"00:30", "23:00"}


def test_three_windows_a_day() -> None:
    """A ten-hour tariff in three blocks has ten cheap hours a day."""
    blocks = [("00:00", "05:00"), ("13:00", "16:00"), ("20:00", "22:00")]
    cheap = [Rate(per_kwh=0.1, start=start, end=end) for start, end in blocks]
    start = to_ms(datetime(2026, 1, 5, tzinfo=UTC))
    found = stretches([tariff(*cheap, DAY_RATE)], start, start + 24 * HOUR_MS, LONDON)
    assert hours_at(found, "0.1") == 10
    assert len(found) == 6


def test_weekends_have_their_own_rate() -> None:
    """A window of weekdays ends on Saturday morning where it began on Friday; the weekend's open rate goes first."""
    night = Rate(per_kwh=0.1, start="22:00", end="06:00", days=("mon", "tue", "wed", "thu", "fri"))
    weekend = Rate(per_kwh=0.2, days=("sat", "sun"))
    friday = datetime(2026, 1, 9, tzinfo=UTC)
    found = stretches([tariff(night, DAY_RATE, weekend)], to_ms(friday), to_ms(friday + timedelta(days=3)), LONDON)
    told = [(from_ms(each.start_ms).strftime("%a %H:%M"), str(each.rate)) for each in found]
    assert told == [
        ("Fri 00:00", "0.1"),
        ("Fri 06:00", "0.316"),
        ("Fri 22:00", "0.1"),
        ("Sat 00:00", "0.1"),
        ("Sat 06:00", "0.2"),
        ("Sun 00:00", "0.2"),
    ]


def test_half_hourly_prices_may_be_below_zero() -> None:
    """Where a series has a price it holds, whatever its sign; elsewhere the tariff's own rate does."""
    start = to_ms(datetime(2026, 1, 5, tzinfo=UTC))
    half = HOUR_MS // 2
    series = Series((start, start + half), (start + half, start + 2 * half), (Decimal("0.08"), Decimal("-0.031")))
    found = stretches([tariff(series="grid")], start, start + 2 * HOUR_MS, LONDON, {"grid": series})
    assert [(each.start_ms - start, str(each.rate)) for each in found] == [
        (0, "0.08"),
        (half, "-0.031"),
        (2 * half, "0.316"),
    ]


def test_a_day_before_the_first_tariff_has_none() -> None:
    """No tariff is not a price of zero."""
    start = to_ms(datetime(2026, 3, 31, tzinfo=UTC))
    found = stretches([tariff(start="2026-04-01")], start, start + 48 * HOUR_MS, ZoneInfo("UTC"))
    assert [(each.tariff is None, each.rate) for each in found] == [(True, None), (False, Decimal("0.316"))]


@st.composite
def tariffs(draw: st.DrawFn) -> Tariff:
    """Return a tariff with any windows, also ones that collide: the first holds."""
    rates = [
        Rate(
            per_kwh=n / 10,
            start=draw(TIMES),
            end=draw(TIMES),
            clock=draw(st.sampled_from(("local", "utc"))),
            days=tuple(draw(st.lists(st.sampled_from(WEEKDAYS), unique=True, max_size=3))),
        )
        for n in range(draw(st.integers(0, 3)))
    ]
    weekend = [Rate(per_kwh=5.0, days=("sun",), clock="utc")] if draw(st.booleans()) else []
    return tariff(*rates, DAY_RATE, *weekend)


@given(
    tariffs(),
    st.sampled_from(("Europe/London", "UTC", "Asia/Kathmandu", "Australia/Lord_Howe", "America/St_Johns")),
    st.sampled_from(("2026-03-28", "2026-10-24", "2026-04-04", "2026-10-03", "2026-03-07", "2026-06-30")),
    st.integers(0, 86_400_000),
    st.integers(1, 3 * 86_400_000),
)
def test_every_instant_is_in_one_stretch_at_the_rate_that_holds_in_it(
    of: Tariff, zone: str, day: str, offset_ms: int, length_ms: int
) -> None:
    """Stretches follow one another from start to end, lie within one local day, and agree with the rate at any time."""
    timezone = ZoneInfo(zone)
    start = to_ms(datetime.fromisoformat(f"{day}T00:00:00+00:00")) + offset_ms
    found = stretches([of], start, start + length_ms, timezone)
    assert (found[0].start_ms, found[-1].end_ms) == (start, start + length_ms)
    assert all(one.end_ms == other.start_ms for one, other in pairwise(found))
    for each in found:
        for at in probes(each):
            assert rate_at(of, from_ms(at), timezone) == each.rate
            assert from_ms(at).astimezone(timezone).date() == each.day


def probes(stretch: Stretch) -> Iterator[int]:
    """Yield instants inside a stretch: its first and last, and every ten minutes between."""
    yield from range(stretch.start_ms, stretch.end_ms, 600_000)
    yield stretch.end_ms - 1
