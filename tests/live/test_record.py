"""How long a value may be believed: fresh, stale, lost; merged by its own time; never live when it must not be."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.live.record import Record
from ingle.model.readings import Reading, Source

SOURCE = Source("heater", "loft-1")


def reading(t_s: float = 0.0, **values: Any) -> Reading:
    """Return a reading taken at a time in seconds."""
    t_ms = round(t_s * 1000)
    return Reading(source=SOURCE, t_ms=t_ms, arrived_ms=values.pop("arrived_ms", t_ms), **values)


def heard(interval_s: float | None = 60.0, *, every_s: float = 60.0, times: int = 3) -> Record:
    """Return a record that heard a temperature at a steady beat, the last one at 0 s."""
    record = Record(interval_s)
    for i in range(times - 1, -1, -1):
        record.take(reading(1e6 - i * every_s, temp_c=20.0), -i * every_s, lag_s=0.0)
    return record


def test_a_subset_merges() -> None:
    """A reading of some values leaves the others as they were."""
    record = Record()
    record.take(reading(1, temp_c=20.0, power_w=500.0), 1.0, lag_s=0.0)
    record.take(reading(2, power_w=0.0), 2.0, lag_s=0.0)
    assert (record.number("temp_c", 2.0), record.number("power_w", 2.0)) == (20.0, 0.0)


@pytest.mark.parametrize(("interval_s", "stale_s"), [(60.0, 180.0), (10.0, 30.0), (300.0, 900.0)])
def test_a_value_is_stale_after_three_intervals(interval_s: float, stale_s: float) -> None:
    """Up to three intervals it may be acted on, and not after."""
    record = heard(interval_s)
    assert record.number("temp_c", stale_s) == 20.0
    assert record.number("temp_c", stale_s + 0.1) is None


@pytest.mark.parametrize(("interval_s", "lost_s"), [(60.0, 300.0), (10.0, 300.0), (300.0, 1200.0)])
def test_a_source_is_lost_after_five_minutes_or_four_intervals(interval_s: float, lost_s: float) -> None:
    """It is lost after the longer of the two."""
    record = heard(interval_s)
    assert not record.lost(lost_s, 0.0)
    assert record.lost(lost_s + 0.1, 0.0)


def test_a_source_never_heard_is_lost_counted_from_the_start() -> None:
    """After a start every source has its time to speak."""
    assert not Record().lost(1300.0, since=1000.0)
    assert Record().lost(1301.0, since=1000.0)


def test_the_interval_is_learned_where_it_is_not_given() -> None:
    """A source that reports every 300 s is not stale after three minutes, once it has shown its rhythm."""
    assert heard(None, every_s=300.0).number("temp_c", 899.0) == 20.0
    assert heard(None, every_s=10.0).number("temp_c", 31.0) is None


def test_one_gap_does_not_move_the_rhythm() -> None:
    """The learned interval is a median."""
    record = heard(None, every_s=60.0, times=8)
    record.take(reading(1e6 + 1000, temp_c=20.0), 1000.0, lag_s=0.0)
    record.take(reading(1e6 + 1060, temp_c=20.0), 1060.0, lag_s=0.0)
    assert record.interval_s("temp_c") == 60.0


def test_what_waited_in_a_broker_does_not_hurry_the_rhythm() -> None:
    """The rhythm is learned from the source's own times: a backlog that comes at once, twice over, is one a minute."""
    record = Record()
    for i in range(20):
        for _ in range(2):
            record.take(reading(60 * i, temp_c=20.0), 5000.0, lag_s=60.0 * (19 - i))
    assert record.interval_s("temp_c") == 60.0
    assert record.number("temp_c", 5001.0) == 20.0


def test_a_source_with_a_wrong_clock_is_heard_and_lacks_its_values() -> None:
    """Readings that arrive too old are not acted on, and it shows that they do."""
    record = Record(60.0)
    record.take(reading(0, temp_c=20.0), 1000.0, lag_s=400.0)
    assert not record.lost(1000.0, since=0.0)
    assert record.lacks("temp_c", 1000.0, since=990.0)
    assert record.behind_s() == 400.0
    assert Record().behind_s() == 0.0


def test_values_have_rhythms_of_their_own() -> None:
    """Power every 10 s does not make a temperature every 300 s stale."""
    record = Record()
    for at in range(0, 901, 10):
        record.take(reading(at, power_w=100.0), float(at), lag_s=0.0)
        if at % 300 == 0:
            record.take(reading(at, temp_c=20.0), float(at), lag_s=0.0)
    assert (record.interval_s("power_w"), record.interval_s("temp_c")) == (10.0, 300.0)


def test_an_older_value_does_not_replace_a_newer_one() -> None:
    """What is late is history; the newest by its own time stays."""
    record = Record()
    record.take(reading(100, temp_c=20.0), 100.0, lag_s=0.0)
    assert not record.take(reading(50, temp_c=5.0), 101.0, lag_s=51.0)
    assert record.number("temp_c", 101.0) == 20.0


def test_time_under_way_counts_as_age() -> None:
    """A reading that was under way for three minutes is as old when it arrives."""
    record = Record(60.0)
    record.take(reading(0, temp_c=20.0), 1000.0, lag_s=181.0)
    assert record.number("temp_c", 1000.0) is None


@pytest.mark.parametrize("mark", [{"retained": True}, {"future": True}])
def test_what_must_not_be_live_is_only_shown(mark: dict[str, bool]) -> None:
    """A retained or future-dated value can be shown, and is never fresh; a live one is not replaced by it."""
    record = Record()
    assert not record.take(reading(1, temp_c=4.0, **mark), 1.0, lag_s=0.0)
    assert record.number("temp_c", 1.0) is None
    assert record.values["temp_c"].value == 4.0
    record.take(reading(2, temp_c=20.0), 2.0, lag_s=0.0)
    record.take(reading(3, temp_c=4.0, **mark), 3.0, lag_s=0.0)
    assert record.number("temp_c", 3.0) == 20.0


def test_a_live_value_goes_before_a_shown_one_of_any_time() -> None:
    """On a clock that starts in the past live readings carry earlier times than stored ones, and count all the same."""
    record = Record()
    record.take(reading(7200, temp_c=4.0, retained=True), 0.0, lag_s=0.0)
    assert record.take(reading(60, temp_c=20.0), 1.0, lag_s=0.0)
    assert record.number("temp_c", 1.0) == 20.0


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_not_finite_is_none(value: float) -> None:
    """It never becomes live, and what was known stays."""
    record = heard()
    assert not record.take(reading(2e6, temp_c=value), 1.0, lag_s=0.0)
    assert record.number("temp_c", 1.0) == 20.0


def test_a_fault_stands_while_it_is_repeated_or_until_it_is_cleared() -> None:
    """An empty fault clears it at once; one that is no longer repeated is over when its source would be lost."""
    record = Record(60.0)
    record.take(reading(1, fault="E4"), 1.0, lag_s=0.0)
    assert record.fault(2.0) == "E4"
    assert record.fault(302.0) is None
    record.take(reading(400, fault="E4"), 400.0, lag_s=0.0)
    record.take(reading(401, fault=""), 401.0, lag_s=0.0)
    assert record.fault(402.0) is None


def test_a_contact_that_only_speaks_when_it_moves_counts_for_hours() -> None:
    """Without an interval an open contact counts until it closes, for four hours at most; with one, until lost."""
    record = Record()
    record.take(reading(0, opening=True), 0.0, lag_s=0.0)
    assert record.open(3 * 3600.0)
    assert not record.open(4 * 3600.0 + 1)
    record.take(reading(20_000, opening=False), 20_000.0, lag_s=0.0)
    assert not record.open(20_001.0)
    regular = Record(60.0)
    regular.take(reading(0, opening=True), 0.0, lag_s=0.0)
    assert not regular.open(301.0)


def test_a_clock_set_back_lets_new_readings_in() -> None:
    """After a step back readings carry earlier times, and are new all the same."""
    record = Record()
    record.take(reading(7200, temp_c=20.0), 0.0, lag_s=0.0)
    record.clock_stepped(3_600_000)
    assert record.take(reading(3602, temp_c=19.0), 2.0, lag_s=0.0)
    assert record.number("temp_c", 2.0) == 19.0


@given(st.permutations(range(8)))
def test_the_order_of_arrival_does_not_matter(order: list[int]) -> None:
    """However readings are shuffled, the newest by its own time is the one that counts."""
    record = Record(60.0)
    for place, i in enumerate(order):
        record.take(reading(i, temp_c=float(i)), float(place), lag_s=0.0)
    assert record.number("temp_c", 8.0) == 7.0
