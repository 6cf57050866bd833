"""Readings in and out of the database: the rules of their keys, and nothing lost on the way."""

from __future__ import annotations

import sqlite3
from collections import Counter
from contextlib import closing
from typing import Any

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from databases import fresh
from ingle.model.readings import MEASURED, OUTDOOR, Reading, Source
from ingle.store.connect import Link
from ingle.store.readings import SCALES, insert, newest, select, sources
from reading_makers import HALL, LOFT, START_MS, reading

CALM = settings(deadline=None, max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])


def scaled(name: str) -> st.SearchStrategy[float]:
    """Return values of a field as the database can hold them."""
    return st.integers(-(10**9), 10**9).map(lambda number: number / SCALES[name])


values = st.fixed_dictionaries(
    {},
    optional={name: scaled(name) for name in MEASURED}
    | {
        "energy_is": st.sampled_from(["metered", "computed"]),
        "opening": st.booleans(),
        "fault": st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), max_size=10),
        "boot": st.sampled_from(["b1", "b2"]),
        "seq": st.integers(0, 2**40),
        "future": st.booleans(),
    },
)
any_source = st.sampled_from([LOFT, HALL, Source("sensor", "s1"), OUTDOOR, Source("meter", "supply")])
any_reading = st.builds(
    lambda source, at, late, rest: Reading(source=source, t_ms=at, arrived_ms=at + late, **rest),
    any_source,
    st.integers(0, 2**43),
    st.integers(-(2**40), 2**40),
    values,
)


def all_of(conn: sqlite3.Connection) -> list[Reading]:
    """Return all readings."""
    return list(select(conn))


@CALM
@given(one=any_reading)
def test_a_reading_comes_back_as_it_went_in(one: Reading) -> None:
    """Store, then read, is identity for every field, at the database's own resolution."""
    with fresh() as conn:
        assert insert(conn, [one]) == ["stored"]
        assert all_of(conn) == [one]


@CALM
@given(batch=st.lists(any_reading, max_size=12))
def test_a_second_delivery_changes_nothing(batch: list[Reading]) -> None:
    """Whatever came, all of it again is answered with "duplicate" or "conflict" and changes no row."""
    with fresh() as conn:
        insert(conn, batch)
        before = all_of(conn)
        again = insert(conn, batch)
        assert "stored" not in again
        assert all_of(conn) == before


@pytest.mark.parametrize(
    ("values", "shown"),
    [({"temp_c": 19.123}, 19.123), ({"power_w": 1499.994}, 1499.99), ({"energy_wh": 40_000_000.001}, 40_000_000.001)],
)
def test_resolution_is_finer_than_any_sensor(link: Link, values: dict[str, float], shown: float) -> None:
    """Temperatures are kept to 1 mK, power to 0.01 W, counters to 1 mWh."""
    insert(link, [reading(0, **values)])
    (stored,) = all_of(link)
    assert [getattr(stored, name) for name in values] == [shown]


def test_the_first_value_wins(link: Link) -> None:
    """The same key with another value is a conflict, and what was first stays."""
    assert insert(link, [reading(0, temp_c=19.0), reading(0, temp_c=25.0)]) == ["stored", "conflict"]
    assert [each.temp_c for each in all_of(link)] == [19.0]


def test_numbered_readings_at_one_time_are_both_kept(link: Link) -> None:
    """Two different (boot, seq) are two readings, also in the same millisecond."""
    pair = [reading(0, boot="b1", seq=seq, temp_c=19.0 + seq) for seq in (1, 2)]
    assert insert(link, pair) == ["stored", "stored"]
    assert all_of(link) == pair


def test_a_numbered_reading_is_known_by_its_number(link: Link) -> None:
    """Delivered again without a time of its own it arrives later, and is a duplicate all the same."""
    first, again = (reading(at, arrived_s=at, boot="b1", seq=7, temp_c=19.0) for at in (0, 9))
    assert insert(link, [first, again]) == ["stored", "duplicate"]
    moved = reading(9, boot="b1", seq=7, temp_c=19.0)
    assert insert(link, [moved]) == ["conflict"]
    assert all_of(link) == [first]


def test_another_boot_begins_a_new_count(link: Link) -> None:
    """After a restart a device numbers from the start again without meeting its old numbers."""
    pair = [reading(0, boot="b1", seq=0), reading(60, boot="b2", seq=0)]
    assert insert(link, pair) == ["stored", "stored"]


def test_values_that_were_missing_are_added(link: Link) -> None:
    """Two topics of one device that report in one millisecond make one reading of both values."""
    parts = [reading(0, temp_c=19.0), reading(0, power_w=600.0, opening=False), reading(0, energy_is="metered")]
    assert insert(link, parts) == ["stored"] * 3
    (whole,) = all_of(link)
    assert (whole.temp_c, whole.power_w, whole.opening, whole.energy_is) == (19.0, 600.0, False, "metered")
    assert insert(link, [reading(0, opening=True), reading(0, energy_is="computed")]) == ["conflict", "conflict"]


def test_a_value_beyond_the_database_does_not_take_its_batch_along(link: Link) -> None:
    """A number that no column holds is cut to the largest; its neighbours are stored as they are."""
    batch = [reading(0, energy_wh=1e300), reading(1, energy_wh=5.0)]
    assert insert(link, batch) == ["stored", "stored"]
    stored = all_of(link)
    assert stored[1] == batch[1]
    assert stored[0].energy_wh == pytest.approx(2**63 / 1000)


def test_a_span_holds_its_start_and_not_its_end(link: Link) -> None:
    """Readings are chosen from the start up to, not at, the end, so that spans can be laid end to end."""
    insert(link, [reading(at, temp_c=20.0) for at in range(4)])
    chosen = select(link, sources=[LOFT], start_ms=START_MS + 1000, end_ms=START_MS + 3000)
    assert [each.t_ms - START_MS for each in chosen] == [1000, 2000]


def test_readings_come_source_by_source_in_time_order(link: Link) -> None:
    """Whatever the order of arrival, each source is read in the order of time, and only the sources asked for."""
    insert(link, [reading(2, HALL), reading(1, LOFT), reading(1, HALL), reading(0, LOFT), reading(0, OUTDOOR)])
    order = [(each.source.id, each.t_ms - START_MS) for each in select(link, sources=[LOFT, HALL])]
    assert order == [("hall-1", 1000), ("hall-1", 2000), ("loft-1", 0), ("loft-1", 1000)]
    assert sources(link) == [HALL, LOFT, OUTDOOR]


@CALM
@given(seqs=st.lists(st.integers(0, 50), unique=True, max_size=20), chunk=st.integers(1, 5))
def test_chunks_lose_nothing(seqs: list[int], chunk: int) -> None:
    """However rows are chunked, also amid one millisecond, each comes once."""
    with fresh() as conn:
        insert(conn, [reading(seq // 10, boot="b1", seq=seq) for seq in seqs])
        assert [each.seq for each in select(conn, chunk=chunk)] == sorted(seqs)


def test_an_open_selection_does_not_hold_the_log(link: Link) -> None:
    """Between two chunks no statement is open, so that a slow export does not keep the log from being emptied."""
    insert(link, [reading(at) for at in range(10)])
    link.execute("COMMIT")
    with closing(sqlite3.connect(link.path)) as other:
        slow = select(other, chunk=2)
        next(slow)
        busy, *_ = link.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        assert busy == 0
        assert Counter(each.t_ms for each in slow) == {START_MS + 1000 * at: 1 for at in range(1, 10)}
    other.close()


def test_the_newest_values_are_gathered_for_display(link: Link) -> None:
    """A restart shows the newest value of each field, though the newest reading held only one; old faults are over."""
    insert(link, [reading(0, temp_c=18.0, power_w=600.0, fault="E1"), reading(60, temp_c=19.0), reading(0, HALL)])
    found = newest(link)
    assert set(found) == {LOFT, HALL}
    assert found[LOFT] == msgspec.structs.replace(reading(60, temp_c=19.0), power_w=600.0)


def test_marks_and_readings_share_a_transaction(link: Link) -> None:
    """What is rolled back leaves neither readings nor marks, and the connection's memory of ids goes with them."""
    insert(link, [reading(0, boot="b1", seq=1, energy_wh=1.0)])
    link.undo()
    assert link.execute("SELECT count(*) FROM dirty").fetchone() == (0,)
    link.execute("BEGIN")
    late: Any = reading(0, HALL, boot="b0", seq=1)
    insert(link, [late, reading(0, boot="b1", seq=1)])
    assert all_of(link) == [late, reading(0, boot="b1", seq=1)]
