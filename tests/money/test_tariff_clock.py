"""A timed load beside its cheap window, against what was worked out by hand; and loads that are none of that."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ingle.model.instants import from_ms, to_ms
from ingle.model.tariff import Rate, Tariff
from ingle.money import rounded
from ingle.money.blocks import QUARTER_MS, Quarter, blocks
from ingle.money.tariff_clock import Misplaced, cheap_windows, misplaced

LONDON = ZoneInfo("Europe/London")
TARIFF = Tariff(
    start="2025-04-01",
    currency="GBP",
    tax_percent=20.0,
    standing_per_day=0.614,
    rates=(
        Rate(per_kwh=0.142, start="00:30", end="07:30", clock="utc"),
        Rate(per_kwh=0.316, start="07:30", end="00:30", clock="utc"),
    ),
)
#: Clocks go back on 25 October 2026.
BEFORE, CHANGE, AFTER = (datetime(2026, *day, 12, tzinfo=UTC) for day in ((10, 10), (10, 24), (11, 3)))

Power = Callable[[datetime], float]


def load(power_w: Power, start: datetime, end: datetime) -> list[Quarter]:
    """Return quarter-hours of a load, worked out minute by minute."""
    found = []
    for t_ms in range(to_ms(start), to_ms(end), QUARTER_MS):
        wh = sum(power_w(from_ms(t_ms + minute * 60_000)) / 60 for minute in range(15))
        found.append(Quarter(t_ms, wh))
    return found


def timed(first: str, last: str, power_w: float = 9000.0, clock: ZoneInfo = LONDON) -> Power:
    """Return a load that a timer switches by wall-clock times."""

    def power(at: datetime) -> float:
        return power_w if first <= f"{at.astimezone(clock):%H:%M}" < last else 0.0

    return power


def look(power_w: Power, start: datetime = BEFORE, end: datetime = AFTER, plate_w: float = 9000.0) -> Misplaced | None:
    """Return what is found of a load."""
    windows = cheap_windows([TARIFF], to_ms(start), to_ms(end), LONDON)
    return misplaced(load(power_w, start, end), plate_w, windows, LONDON)


def test_a_block_left_an_hour_late_by_the_change_of_clocks() -> None:
    """9 kW from 01:30 to 08:30 on the wall: 60 min past the window for 10 nights, 90 kWh, 15.66 (by hand)."""
    found = look(timed("01:30", "08:30"))
    assert found is not None
    assert len(found.nights) == 10
    assert found.minutes == pytest.approx(60, abs=0.5)
    assert found.kwh == pytest.approx(90.0, abs=0.01)
    assert rounded(found.lost) == Decimal("15.66")
    start, end = (from_ms(t_ms).astimezone(LONDON) for t_ms in found.moved)
    assert (f"{start:%H:%M}", f"{end:%H:%M}") == ("00:30", "07:30")


def test_ninety_minutes_outside() -> None:
    """01:00 to 09:00 UTC: 90 min a night past the window; the shifted block is cut to it."""
    found = look(timed("01:00", "09:00", clock=ZoneInfo("UTC")), CHANGE)
    assert found is not None
    assert found.minutes == pytest.approx(90)
    assert found.kwh == pytest.approx(9 * 1.5 * 10)
    start, end = (from_ms(t_ms) for t_ms in found.moved)
    assert (f"{start:%H:%M}", f"{end:%H:%M}") == ("00:30", "07:30")


def test_a_block_that_begins_too_early() -> None:
    """23:30 to 06:30 UTC: an hour before the window, though the day's end lies between."""

    def power(at: datetime) -> float:
        clock = f"{at:%H:%M}"
        return 3000.0 if clock >= "23:30" or clock < "06:30" else 0.0

    found = look(power, CHANGE, plate_w=3000.0)
    assert found is not None
    assert {round(night.before_min) for night in found.nights} == {60}
    assert {round(night.after_min) for night in found.nights} == {0}


@pytest.mark.parametrize(
    ("why", "power_w"),
    [
        ("in its window", timed("00:30", "07:30", clock=ZoneInfo("UTC"))),
        ("a room that is warm in the morning", timed("06:30", "09:00", 2000.0)),
        ("a breakfast room, half in the window", timed("05:30", "08:30", 2000.0)),
        ("on all day", lambda _: 9000.0),
        ("never on", lambda _: 0.0),
        ("a block by day", timed("10:00", "17:00")),
        ("shorter than half the window", timed("05:00", "08:00")),
        ("drawing far less than its plate", timed("01:30", "08:30", 3000.0)),
        (
            "heating by thermostat all night, a third of the time",
            lambda at: 9000.0 if at.minute % 15 < 5 and (at.hour >= 22 or at.hour < 9) else 0.0,
        ),
        ("by night and as much by day", lambda at: 9000.0 if not 9 <= at.hour < 12 and at.hour < 20 else 0.0),
    ],
)
def test_what_is_none_of_that_is_not_named(why: str, power_w: Power) -> None:
    """Silence where the load is in its window or does not plainly follow a block."""
    assert look(power_w, CHANGE) is None, why


def test_a_store_that_is_full_early_is_named_and_a_short_heating_is_not() -> None:
    """Four hours from 23:30: a charge an hour too soon, or a bedroom's evening: the kind of heater decides."""

    def power(at: datetime) -> float:
        return 3000.0 if f"{at:%H:%M}" >= "23:30" or f"{at:%H:%M}" < "03:30" else 0.0

    windows = cheap_windows([TARIFF], to_ms(CHANGE), to_ms(AFTER), LONDON)
    quarters = load(power, CHANGE, AFTER)
    assert misplaced(quarters, 3000.0, windows, LONDON) is None
    found = misplaced(quarters, 3000.0, windows, LONDON, stores=True)
    assert found is not None
    assert found.minutes == pytest.approx(60)
    start, end = (from_ms(t_ms) for t_ms in found.moved)
    assert (f"{start:%H:%M}", f"{end:%H:%M}") == ("00:30", "04:30")


def test_once_is_not_a_setting() -> None:
    """Four nights in a row are not yet enough, and a night in the window begins the count anew."""
    late, right = timed("01:30", "08:30", clock=ZoneInfo("UTC")), timed("00:30", "07:30", clock=ZoneInfo("UTC"))

    def few(at: datetime) -> float:
        return late(at) if at >= AFTER - timedelta(days=4) else right(at)

    def mended(at: datetime) -> float:
        return right(at) if at >= AFTER - timedelta(days=1) else late(at)

    assert look(few, CHANGE) is None
    assert look(mended, CHANGE) is None


def test_nights_that_nobody_recorded_say_nothing() -> None:
    """With holes in the record over most nights too few are known, and nothing is said."""
    windows = cheap_windows([TARIFF], to_ms(CHANGE), to_ms(AFTER), LONDON)
    whole = load(timed("01:30", "08:30"), CHANGE, AFTER)
    holes = [
        quarter for quarter in whole if from_ms(quarter.start_ms).day % 3 == 0 or from_ms(quarter.start_ms).hour >= 10
    ]
    assert misplaced(whole, 9000.0, windows, LONDON) is not None
    assert misplaced(holes, 9000.0, windows, LONDON) is None


def test_one_rate_has_no_window() -> None:
    """Nor have half-hourly prices, nor two rates that hardly differ."""
    flat = Tariff(start="2025-04-01", currency="GBP", rates=(Rate(per_kwh=0.3),))
    alike = Tariff(
        start="2025-04-01", currency="GBP", rates=(Rate(per_kwh=0.29, start="00:30", end="07:30"), Rate(per_kwh=0.3))
    )
    moving = Tariff(start="2025-04-01", currency="GBP", rates=TARIFF.rates, series="prices")
    for tariff in (flat, alike, moving):
        assert cheap_windows([tariff], to_ms(CHANGE), to_ms(AFTER), LONDON) == []


@settings(max_examples=60)
@given(st.integers(0, 1439), st.integers(31, 600), st.floats(500, 9000))
def test_a_block_is_known_to_the_minute(start_min: int, minutes: int, power_w: float) -> None:
    """Whatever its times, a block is found with them, out of quarter-hours alone."""
    start = CHANGE + timedelta(minutes=start_min)
    end = start + timedelta(minutes=minutes)
    quarters = load(lambda at: power_w if start <= at < end else 0.0, CHANGE, CHANGE + timedelta(days=2))
    [found] = blocks(quarters, power_w)
    assert abs(found.start_ms - to_ms(start)) <= 60_000
    assert abs(found.end_ms - to_ms(end)) <= 60_000
    assert found.wh == pytest.approx(power_w * minutes / 60)
