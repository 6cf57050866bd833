"""Programmes: what is due when, through midnights, weeks and clock changes."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from due_reference import MINUTE, wants
from houses import every_day, make_house, make_zone
from ingle.control.programme import due, instant, programmed
from ingle.model.house import House
from ingle.model.week import Period, Programme, ZoneLevels

LOFT = make_zone("loft")


def at(text: str) -> datetime:
    """Return an instant given in UTC."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def house_with(*programmes: Programme, timezone: str = "Europe/London") -> House:
    """Return a house with one zone and some programmes."""
    return make_house(LOFT, programmes=programmes, site={"timezone": timezone})


def test_a_period_holds_from_its_start_up_to_its_end() -> None:
    """The first instant of a period is in it, the last one is the next period's."""
    house = house_with(every_day("loft", ("06:30", "09:00", "occupied")))
    assert due(house, LOFT, at("2026-01-12T06:29:59")).level == "setback"
    assert due(house, LOFT, at("2026-01-12T06:30:00")).level == "occupied"
    assert due(house, LOFT, at("2026-01-12T08:59:59")).level == "occupied"
    assert due(house, LOFT, at("2026-01-12T09:00:00")).level == "setback"


def test_due_says_until_when_and_what_follows() -> None:
    """Within a period its end is known, and what comes then."""
    found = due(house_with(every_day("loft", ("06:30", "09:00", "occupied"))), LOFT, at("2026-01-12T07:00"))
    assert (found.wanted_c, found.until) == (20.0, at("2026-01-12T09:00"))
    assert found.next is not None
    assert (found.next.at, found.next.level, found.next.wanted_c) == (at("2026-01-12T09:00"), "setback", 16.0)


def test_two_periods_that_want_the_same_are_one() -> None:
    """Until is when something changes, not when a period ends that another continues."""
    house = house_with(every_day("loft", ("06:00", "09:00", "occupied"), ("09:00", "11:00", "occupied")))
    assert due(house, LOFT, at("2026-01-12T08:00")).until == at("2026-01-12T11:00")


def test_a_period_may_cross_midnight() -> None:
    """An end at or before the start is on the next day, and belongs to the day on which the period begins."""
    friday = Programme(zone="loft", days=("fri",), periods=(Period(start="22:00", end="02:00", level="occupied"),))
    house = house_with(friday)
    assert due(house, LOFT, at("2026-01-17T01:59")).level == "occupied"  # Saturday
    assert due(house, LOFT, at("2026-01-17T02:00")).level == "setback"
    assert due(house, LOFT, at("2026-01-16T01:59")).level == "setback"  # Friday, before


def test_twenty_four_hundred_is_the_next_midnight() -> None:
    """A period to 24:00 ends where the day does, and one from 00:00 to 24:00 is the whole day."""
    house = house_with(every_day("loft", ("20:00", "24:00", "occupied")))
    assert due(house, LOFT, at("2026-01-12T23:59")).until == at("2026-01-13T00:00")
    whole = house_with(every_day("loft", ("00:00", "24:00", "occupied")))
    assert due(whole, LOFT, at("2026-01-12T23:59")).until is None


def test_a_temperature_has_no_level() -> None:
    """A period may name a temperature instead of a level."""
    found = due(house_with(every_day("loft", ("06:00", "09:00", 20.5))), LOFT, at("2026-01-12T07:00"))
    assert (found.level, found.wanted_c) == (None, 20.5)


def test_otherwise_rules_between_periods_of_its_own_days() -> None:
    """What a day wants between its periods changes at local midnight with the day's programme."""
    weekend = Programme(zone="loft", days=("sat", "sun"), otherwise="vacant")
    house = house_with(weekend)
    found = due(house, LOFT, at("2026-01-16T12:00"))  # Friday: no programme
    assert (found.level, found.until) == ("setback", at("2026-01-17T00:00"))
    assert due(house, LOFT, at("2026-01-17T12:00")).level == "vacant"


def test_a_zone_without_a_programme_runs_at_setback_for_good() -> None:
    """No programme means setback, with no end known."""
    found = due(make_house(LOFT), LOFT, at("2026-01-12T07:00"))
    assert (found.level, found.wanted_c, found.until, found.next) == ("setback", 16.0, None, None)
    assert not programmed(make_house(LOFT), LOFT)


def test_zone_levels_override_the_house() -> None:
    """A level means what the zone says, else what the house says; a vulnerable person's room has a floor of 18 °C."""
    frail = make_zone("loft", vulnerable=True)
    house = make_house(frail, programmes=(every_day("loft", ("06:00", "09:00", 17.0), otherwise="vacant"),))
    assert due(house, frail, at("2026-01-12T07:00")).wanted_c == 18.0
    assert due(house, frail, at("2026-01-12T12:00")).wanted_c == 12.0


@pytest.mark.parametrize(("reason", "held"), [(None, 18.0), (" ", 18.0), ("their doctor advises it", 17.0)])
def test_the_floor_for_someone_vulnerable_gives_way_only_to_a_reason(reason: str | None, held: float) -> None:
    """With one the room's own level holds, and nothing goes below that either."""
    frail = make_zone("loft", vulnerable=True, cooler_reason=reason, levels=ZoneLevels(occupied_c=17.0))
    house = make_house(frail, programmes=(every_day("loft", ("06:00", "09:00", 16.5)),))
    assert due(house, frail, at("2026-01-12T07:00")).wanted_c == held
    assert due(house, frail, at("2026-01-12T12:00")).wanted_c == held


@pytest.mark.parametrize(
    ("timezone", "day", "minutes", "expected"),
    [
        ("Europe/London", date(2026, 3, 29), 90, "2026-03-29T01:00"),  # gap 01:00-02:00
        ("Europe/London", date(2026, 10, 25), 90, "2026-10-25T00:30"),  # 01:30 twice
        ("America/Havana", date(2026, 3, 8), 15, "2026-03-08T05:00"),  # midnight itself is missing
        ("America/Havana", date(2026, 3, 8), 0, "2026-03-08T05:00"),
        ("Australia/Lord_Howe", date(2026, 10, 4), 135, "2026-10-03T15:30"),  # a gap of half an hour
        ("Pacific/Apia", date(2011, 12, 30), 720, "2011-12-30T10:00"),  # a whole day is missing
    ],
)
def test_a_wall_time_is_one_instant(timezone: str, day: date, minutes: int, expected: str) -> None:
    """A time that happens twice is its first pass; one that never happens is the first instant after the gap."""
    assert instant(day, minutes, ZoneInfo(timezone)) == at(expected)


def test_a_period_inside_a_gap_is_empty() -> None:
    """On the night on which it does not exist, a period from 01:15 to 01:45 does not happen."""
    house = house_with(every_day("loft", ("01:15", "01:45", "occupied")))
    night = [due(house, LOFT, at("2026-03-29T00:00") + i * MINUTE).level for i in range(180)]
    assert set(night) == {"setback"}


def test_a_period_in_a_repeated_hour_happens_once() -> None:
    """On the night on which 01:15 comes twice, a period from 01:15 to 01:45 happens in the first pass only."""
    house = house_with(every_day("loft", ("01:15", "01:45", "occupied")))
    night = [due(house, LOFT, at("2026-10-25T00:00") + i * MINUTE).level for i in range(180)]
    assert [i for i, level in enumerate(night) if level == "occupied"] == list(range(15, 45))


NIGHTS = [
    ("Europe/London", date(2026, 3, 28)),
    ("Europe/London", date(2026, 10, 24)),
    ("Europe/Paris", date(2027, 3, 27)),
    ("Atlantic/Azores", date(2026, 10, 24)),
    ("America/New_York", date(2026, 10, 31)),
    ("America/Havana", date(2026, 3, 7)),
    ("America/Havana", date(2026, 10, 31)),
    ("America/Sao_Paulo", date(2018, 11, 3)),
    ("Asia/Beirut", date(2026, 3, 28)),
    ("Asia/Kolkata", date(2026, 3, 28)),
    ("Africa/Casablanca", date(2026, 2, 14)),
    ("Africa/Cairo", date(2026, 4, 23)),
    ("Antarctica/Troll", date(2026, 3, 28)),
    ("Australia/Lord_Howe", date(2026, 4, 4)),
    ("Australia/Lord_Howe", date(2026, 10, 3)),
    ("Pacific/Chatham", date(2026, 4, 4)),
    ("Pacific/Apia", date(2011, 12, 29)),
]


@pytest.mark.parametrize(("timezone", "eve"), NIGHTS)
def test_due_agrees_with_counting_minutes(timezone: str, eve: date) -> None:
    """Around clock changes, what is due and until when is what a count of minutes gives."""
    programmes = (
        every_day("loft", ("00:00", "00:20", 19.0), ("01:15", "01:45", "occupied"), ("02:10", "03:05", 21.0)),
        every_day("hall", ("23:30", "00:30", "occupied"), ("02:30", "01:30", "vacant"), otherwise="frost"),
    )
    hall = make_zone("hall")
    house = make_house(LOFT, hall, programmes=programmes, site={"timezone": timezone})
    for zone in (LOFT, hall):
        expected = wants(house, zone, eve, 3)
        start = datetime.combine(eve, datetime.min.time(), UTC) + timedelta(hours=2)
        ends: datetime | None = None
        for i in range(0, 46 * 60, 10):
            now = start + i * MINUTE
            found = due(house, zone, now)
            assert (found.level, found.wanted_c) == expected[now]
            if ends != found.until and found.until is not None:
                ends = found.until
                assert expected[ends] != expected[now]
                assert all(expected[now + k * MINUTE] == expected[now] for k in range(round((ends - now) / MINUTE)))


TIMES = st.integers(0, 24 * 60 - 1).map(lambda minutes: f"{minutes // 60:02}:{minutes % 60:02}")


@given(
    st.tuples(TIMES, TIMES),
    st.sampled_from(["Europe/London", "America/Havana", "Australia/Lord_Howe", "Pacific/Apia"]),
    st.datetimes(datetime(2011, 1, 1), datetime(2027, 1, 1)),  # noqa: DTZ001 - made aware below
)
def test_nothing_changes_before_until(times: tuple[str, str], timezone: str, when: datetime) -> None:
    """Until is the next change: the same is due right before it, and what was announced is due from it on."""
    house = house_with(every_day("loft", (*times, "occupied")), timezone=timezone)
    now = when.replace(tzinfo=UTC)
    found = due(house, LOFT, now)
    if found.until is None or found.next is None:
        assert times[0] == times[1]  # a period of 24 hours on all days
        return
    before, then = due(house, LOFT, found.until - timedelta(seconds=1)), due(house, LOFT, found.until)
    assert (before.level, before.until) == (found.level, found.until)
    assert (then.level, then.wanted_c) == (found.next.level, found.next.wanted_c) != (found.level, found.wanted_c)
