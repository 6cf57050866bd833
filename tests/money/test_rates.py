"""Tariffs: rates at instants, windows on two clocks, standing charge and tax."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.model.tariff import Rate, Tariff
from ingle.money import before_tax, rate_at, rounded, tariff_on, with_tax

LONDON = ZoneInfo("Europe/London")
DAY_RATE = Rate(per_kwh=0.316)


def two_rate(clock: str = "local", start: str = "00:30", end: str = "07:30") -> Tariff:
    """Return a two-rate tariff with a night window."""
    night = Rate(per_kwh=0.142, start=start, end=end, clock=clock)  # type: ignore[arg-type]  # parametrised text
    return Tariff(start="2026-01-01", currency="GBP", tax_percent=20.0, standing_per_day=0.614, rates=(night, DAY_RATE))


def test_a_month_of_two_rates_adds_up_to_the_penny() -> None:
    """1480 kWh, 22 % of it at night, and 31 standing charges give 430.06 before and 516.07 with 20 % tax.

    Worked by hand: 325.6 x 0.142 + 1154.4 x 0.316 + 31 x 0.614 = 430.0596.
    """
    energy = [
        (datetime(2026, 1, 5, 3, 0, tzinfo=UTC), 325_600.0),
        (datetime(2026, 1, 5, 12, 0, tzinfo=UTC), 1_154_400.0),
    ]
    net = before_tax(two_rate(), energy, LONDON, days=31)
    assert rounded(net) == Decimal("430.06")
    assert rounded(with_tax(two_rate(), net)) == Decimal("516.07")


@pytest.mark.parametrize(
    ("clock", "at", "night"),
    [
        ("local", datetime(2026, 7, 1, 6, 29, tzinfo=UTC), True),
        ("local", datetime(2026, 7, 1, 6, 30, tzinfo=UTC), False),
        ("local", datetime(2026, 7, 1, 23, 30, tzinfo=UTC), True),
        ("utc", datetime(2026, 7, 1, 7, 29, tzinfo=UTC), True),
        ("utc", datetime(2026, 7, 1, 7, 30, tzinfo=UTC), False),
        ("utc", datetime(2026, 7, 1, 0, 29, tzinfo=UTC), False),
    ],
)
def test_a_window_keeps_to_its_clock(clock: str, at: datetime, *, night: bool) -> None:
    """In summer a local window opens an hour earlier, in UTC, than one that is fixed to UTC."""
    assert rate_at(two_rate(clock), at, LONDON) == (Decimal("0.142") if night else Decimal("0.316"))


@pytest.mark.parametrize(("hour", "night"), [(22, False), (23, True), (2, True), (6, False)])
def test_a_window_may_cross_midnight(hour: int, *, night: bool) -> None:
    """A window from 23:00 to 06:00 holds on both sides of midnight."""
    at = datetime(2026, 1, 5, hour, 0, tzinfo=UTC)
    assert rate_at(two_rate(start="23:00", end="06:00"), at, LONDON) == Decimal("0.142" if night else "0.316")


def test_both_passes_of_a_repeated_hour_are_in_the_window() -> None:
    """Where 01:15 comes twice, a night window holds both times, as the meter's switch does."""
    first = datetime(2026, 10, 25, 0, 15, tzinfo=UTC)
    for at in (first, first + timedelta(hours=1)):
        assert rate_at(two_rate(start="01:00", end="02:00"), at, LONDON) == Decimal("0.142")


def test_no_energy_is_free_by_an_oversight() -> None:
    """Outside every window of a tariff without an open rate, the last rate given holds."""
    only = Tariff(start="2026-01-01", currency="GBP", rates=(Rate(per_kwh=0.2, start="00:00", end="06:00"),))
    assert rate_at(only, datetime(2026, 1, 5, 12, 0, tzinfo=UTC), LONDON) == Decimal("0.2")


def test_the_tariff_that_started_last_is_in_force() -> None:
    """Tariffs follow one another by their dates, and before the first there is none."""
    tariffs = [Tariff(start=start, currency="GBP", rates=(DAY_RATE,)) for start in ("2026-04-01", "2026-01-01")]
    assert tariff_on(tariffs, date(2025, 12, 31)) is None
    assert tariff_on(tariffs, date(2026, 3, 31)) == tariffs[1]
    assert tariff_on(tariffs, date(2026, 4, 1)) == tariffs[0]


@given(st.lists(st.integers(0, 3000), max_size=30), st.integers(0, 29))
def test_parts_cost_what_the_whole_costs(energy_wh: list[int], cut: int) -> None:
    """Splitting a span anywhere changes nothing: money is exact until it is rounded."""
    start = datetime(2026, 1, 5, tzinfo=UTC)
    pieces = [(start + timedelta(minutes=15 * i), float(wh)) for i, wh in enumerate(energy_wh)]
    tariff = two_rate()
    parts = before_tax(tariff, pieces[:cut], LONDON) + before_tax(tariff, pieces[cut:], LONDON)
    assert parts == before_tax(tariff, pieces, LONDON)
