"""Roll-ups: the same whatever the order of arrival, honest about how they know."""

from __future__ import annotations

import math
import sqlite3
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from databases import fresh
from ingle.config.house import check_house
from ingle.model.readings import Reading, Source
from ingle.store import houses
from ingle.store.connect import Link
from ingle.store.readings import QUARTER_MS, insert
from ingle.store.rollups import Quarter, energy, quarters, settle, spans
from reading_makers import HALL, LOFT, START_MS, reading

CALM = settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.too_slow])
DAY_S = 86_400
FAR_MS = START_MS + 40 * DAY_S * 1000


def heater(at_s: float, counter: float | None = None, power: float | None = None, **values: Any) -> Reading:
    """Return a reading of a counter, a power, or both."""
    return reading(at_s, energy_wh=counter, power_w=power, **values)


def plate(conn: sqlite3.Connection, rated_w: float) -> None:
    """Load a house whose loft heater has this plate."""
    zone = {"id": "loft", "name": "Net Loft", "floor_area_m2": 20, "height_m": 2}
    zone["heater"] = [{"id": LOFT.id, "rated_w": rated_w}]
    house = check_house({"house": {"name": "Tern House", "outdoor_design_c": -2}, "zone": [zone]})
    houses.save(conn, house, who="test", why="", t_ms=START_MS)


def every(conn: sqlite3.Connection) -> list[Quarter]:
    """Return all quarter-hours of the loft heater."""
    return quarters(conn, LOFT, START_MS - 2 * DAY_S * 1000, FAR_MS)


def total(
    conn: sqlite3.Connection, start_s: float = -DAY_S, end_s: float = 40 * DAY_S
) -> tuple[float | None, str | None]:
    """Return the loft heater's energy over a span, and its quality."""
    found = energy(conn, [LOFT], START_MS + round(start_s * 1000), START_MS + round(end_s * 1000))[LOFT]
    return found.energy_wh, found.quality


# Histories with everything in them: counters that grow, stand still, jump, fall back and are silent; bare power.
counter_values = st.one_of(st.none(), st.integers(0, 4000).map(float), st.sampled_from([0.0, 1e6, 5e9]))
histories = st.lists(
    st.tuples(
        st.integers(0, 3 * DAY_S // 60),
        counter_values,
        st.one_of(st.none(), st.integers(0, 1500).map(float)),
        st.one_of(st.none(), st.integers(10, 25).map(float)),
        st.sampled_from([None, "metered", "computed"]),
    ),
    min_size=1,
    max_size=25,
    unique_by=lambda row: row[0],
).map(
    lambda rows: [
        heater(60 * minute, counter, power, temp_c=temp, energy_is=word) for minute, counter, power, temp, word in rows
    ]
)


@CALM
@given(history=histories, data=st.data())
def test_the_order_of_arrival_does_not_matter(history: list[Reading], data: st.DataObject) -> None:
    """Late and out-of-order readings, with roll-ups settled at any moment between, end in the same roll-ups."""
    with fresh() as conn:
        insert(conn, sorted(history, key=lambda each: each.t_ms))
        settle(conn)
        expected, expected_total = every(conn), total(conn)
    with fresh() as conn:
        for late in data.draw(st.permutations(history)):
            insert(conn, [late])
            if data.draw(st.booleans()):
                settle(conn)
        assert every(conn) == expected  # some from the tables, some on the fly
        assert settle(conn) == 0
        assert every(conn) == expected  # all from the tables
        assert total(conn) == (pytest.approx(expected_total[0]), expected_total[1])


@CALM
@given(history=histories, cuts=st.lists(st.integers(-3600, 4 * DAY_S), max_size=6), settled=st.booleans())
def test_a_span_is_the_sum_of_its_parts(history: list[Reading], cuts: list[int], *, settled: bool) -> None:
    """However a span is cut, also amid a quarter-hour, the energies of its parts add up to its own."""
    edges = [START_MS + 1000 * cut for cut in sorted({-3600, 4 * DAY_S, *cuts})]
    with fresh() as conn:
        insert(conn, history)
        if settled:
            settle(conn)
        parts = spans(conn, LOFT, edges)
        (whole,) = spans(conn, LOFT, (edges[0], edges[-1]))
        by_quarter = [each.energy_wh or 0.0 for each in every(conn)]
    assert math.fsum(part.energy_wh or 0.0 for part in parts) == pytest.approx(whole.energy_wh or 0.0, abs=1e-6)
    assert math.fsum(by_quarter) == pytest.approx(whole.energy_wh or 0.0, abs=1e-6)
    assert sum(part.covered_s for part in parts) == pytest.approx(whole.covered_s, abs=0.01)


@CALM
@given(
    history=histories,
    steps=st.lists(st.sampled_from([300, 900, 1800, 2700, 3600, 86_400]), min_size=2, max_size=40),
    first=st.sampled_from([-900, -300, 0, 450, 3600]),
    settled=st.booleans(),
)
def test_many_short_spans_are_what_each_is_alone(
    history: list[Reading], steps: list[int], first: int, *, settled: bool
) -> None:
    """Asked for at once, from rows that are read once, or one by one: the same energy, quality and known time."""
    edges = [START_MS + 1000 * (first + sum(steps[:count])) for count in range(len(steps) + 1)]
    with fresh() as conn:
        insert(conn, history[: len(history) // 2])
        if settled:
            settle(conn)
        insert(conn, history[len(history) // 2 :])
        together = spans(conn, LOFT, edges)
        alone = [energy(conn, [LOFT], *each)[LOFT] for each in pairwise(edges)]
    for one, other in zip(together, alone, strict=True):
        assert (one.quality, one.covered_s) == (other.quality, pytest.approx(other.covered_s, abs=1e-3))
        assert one.energy_wh == (None if other.energy_wh is None else pytest.approx(other.energy_wh, abs=1e-6))


def test_a_steady_heater(link: Link) -> None:
    """600 W for two hours is 150 Wh in each quarter-hour, metered."""
    insert(link, [heater(300 * step, 50.0 * step, 600.0, temp_c=20.0) for step in range(25)])
    found = every(link)
    assert [each.energy_wh for each in found[:8]] == [150.0] * 8
    assert found[0] == Quarter(
        start_ms=START_MS,
        energy_wh=150.0,
        mean_power_w=600.0,
        mean_temp_c=20.0,
        count=3,
        covered_s=900.0,
        quality="metered",
    )
    assert total(link) == (1200.0, "metered")


def test_a_silence_is_bridged_by_the_counter(link: Link) -> None:
    """Over a gap of hours the counter's total is kept, spread evenly and called filled."""
    insert(link, [heater(0, 0.0), heater(7200, 800.0)])
    assert [(each.energy_wh, each.quality) for each in every(link)] == [(100.0, "filled")] * 8 + [(None, None)]


def test_power_without_a_counter_is_estimated_and_not_stretched(link: Link) -> None:
    """Held power counts up to the next reading, but never over a silence: no data is not 0 W, nor the last value."""
    insert(link, [heater(0, power=600.0), heater(600, power=600.0), heater(600 + 7200, power=600.0)])
    assert total(link) == (pytest.approx(100.0), "estimated")
    (known,) = spans(link, LOFT, (START_MS, FAR_MS))
    assert known.covered_s == 600


def test_a_computed_counter_is_estimated(link: Link) -> None:
    """A counter that the firmware works out from its plate is not a meter."""
    insert(link, [heater(0, 0.0), heater(300, 50.0, energy_is="computed")])
    assert total(link) == (50.0, "estimated")


def test_a_reset_is_not_booked_as_consumption(link: Link) -> None:
    """After a reset what the counter shows was drawn since; the old count is not drawn again."""
    insert(link, [heater(0, 83_000.0), heater(300, 20.0), heater(600, 45.0)])
    assert total(link) == (45.0, "estimated")


def test_a_register_that_begins_again_loses_nothing(link: Link) -> None:
    """A roll-over is metered energy."""
    insert(link, [heater(0, 99_990.0), heater(300, 10.0), heater(600, 30.0)])
    assert total(link) == (40.0, "metered")


def test_a_jump_beyond_the_plate_is_not_believed(link: Link) -> None:
    """A counter step that the plate cannot draw gives way to the measured power, else to nothing."""
    plate(link, 1500)
    insert(link, [heater(0, 100.0), heater(300, 90_000.0), heater(600, 90_050.0)])
    assert total(link) == (50.0, "estimated")
    insert(link, [heater(0, power=600.0), heater(300, power=600.0)])
    assert total(link) == (pytest.approx(100.0), "estimated")


def test_without_a_plate_the_largest_heater_is_the_limit(link: Link) -> None:
    """An unbound heater is judged by what any room heater could draw."""
    insert(link, [heater(0, 0.0), heater(300, 1000.0), heater(600, 900_000.0)])
    assert total(link) == (1000.0, "estimated")


def test_readings_of_one_instant_count_what_lies_between_them(link: Link) -> None:
    """Two numbered readings in one millisecond differ by energy that is in no stretch of time, yet was drawn."""
    batch = [reading(at, boot="b1", seq=seq, energy_wh=wh) for at, seq, wh in ((0, 1, 0.0), (60, 2, 5.0), (60, 3, 6.0))]
    insert(link, [*batch, reading(120, boot="b1", seq=4, energy_wh=10.0)])
    assert total(link) == (10.0, "metered")
    settle(link)
    assert total(link) == (10.0, "metered")


def test_a_span_may_cut_a_quarter_hour(link: Link) -> None:
    """Ten minutes of 600 W are 100 Wh wherever they begin."""
    insert(link, [heater(300 * step, 50.0 * step) for step in range(25)])
    assert total(link, 400, 1000) == (pytest.approx(100.0), "metered")
    assert total(link, 400, 460) == (pytest.approx(10.0), "metered")


def test_nothing_known_is_none_and_not_zero(link: Link) -> None:
    """A source that never reported, and a span without readings, have no energy rather than 0 Wh."""
    insert(link, [heater(0, 0.0), heater(300, 50.0)])
    assert energy(link, [HALL], START_MS, FAR_MS)[HALL].energy_wh is None
    assert total(link, DAY_S, 2 * DAY_S) == (None, None)
    assert quarters(link, HALL, START_MS, FAR_MS) == []


def test_a_device_that_reports_from_1970_bridges_nothing(link: Link) -> None:
    """A counter reading of decades ago is no neighbour: it neither makes energy nor millions of quarter-hours."""
    ancient = Reading(source=LOFT, t_ms=60_000, arrived_ms=START_MS, energy_wh=0.0)
    insert(link, [ancient, heater(0, 500.0), heater(300, 550.0)])
    assert settle(link) == 0
    assert total(link, -60 * 365 * DAY_S) == (50.0, "metered")
    assert link.execute("SELECT count(*) FROM quarter").fetchone()[0] < 10


def test_temperatures_are_the_mean_of_the_readings(link: Link) -> None:
    """A sensor without energy has roll-ups of its temperature."""
    sensor = Source("sensor", "s1")
    insert(link, [reading(at, sensor, temp_c=temp) for at, temp in ((0, 18.0), (60, 20.0), (1000, 25.0))])
    settle(link)
    found = quarters(link, sensor, START_MS, START_MS + 2 * QUARTER_MS)
    assert [(each.mean_temp_c, each.energy_wh, each.count) for each in found] == [(19.0, None, 2), (25.0, None, 1)]


def test_settled_sums_need_no_single_readings(link: Link) -> None:
    """Once settled, months are summed from the tables alone, by day, and a late reading still corrects them."""
    insert(link, [heater(1800 * step, 300.0 * step) for step in range(48 * 60 + 1)])
    midnights = [START_MS + DAY_S * 1000 * day for day in range(61)]
    expected = spans(link, LOFT, midnights)
    assert settle(link) == 0
    link.execute("SAVEPOINT before")
    link.execute("DELETE FROM reading")
    assert spans(link, LOFT, midnights) == expected
    link.execute("ROLLBACK TO before")
    insert(link, [heater(1800 * 100 + 60, 300.0 * 100 + 10)])
    after = spans(link, LOFT, midnights)
    assert [now == then for now, then in zip(after, expected, strict=True)].count(False) <= 1
    assert sum(each.energy_wh or 0.0 for each in after) == pytest.approx(60 * 14_400)


def test_settling_can_stop_and_go_on(link: Link) -> None:
    """House-keeping in small steps ends in the same tables, and says how much is left."""
    for day in range(6):
        insert(link, [heater(DAY_S * day * 2 + 300 * step, 10_000.0 * day + 50.0 * step) for step in range(50)])
    expected = every(link)
    left = [settle(link, most=1)]
    while left[-1]:
        left.append(settle(link, most=1))
    assert all(now < before for before, now in pairwise(left))
    assert every(link) == expected
