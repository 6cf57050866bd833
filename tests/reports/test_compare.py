"""Periods compared from the record: the longer is not the higher, the colder is not the leakier, gaps do not count."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from houses import make_house, make_zone
from ingle.errors import BadInput, Unknown
from ingle.model.days import Comparison
from ingle.model.devices import Heater
from ingle.reports.compare import compare
from ingle.reports.days import energy_days
from ingle.store.connect import open_writer
from reports.metered import outdoors, run

DAY = timedelta(days=1)
START = datetime(2026, 1, 1, tzinfo=UTC)
MIDDLE = START + 28 * DAY
END = MIDDLE + 35 * DAY
HOUSE = make_house(
    make_zone("loft", Heater(id="loft-1", rated_w=2000.0)), make_zone("hall", Heater(id="hall-1", rated_w=2000.0))
)


@pytest.fixture(name="conn")
def _conn(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    link = open_writer(tmp_path / "ingle.db")
    link.execute("BEGIN IMMEDIATE")
    yield link
    link.undo()
    link.close()


def outdoor_c(at: datetime) -> float:
    """Return a winter that gets colder from its 29th day on, every third day milder."""
    return (9.5 if at < MIDDLE else 3.5) + (2.0 if (at - START) // DAY % 3 == 0 else 0.0)


def compared(conn: sqlite3.Connection, zones: tuple[str, ...] = ()) -> Comparison:
    """Return how the later 35 days compare with the earlier 28."""
    return compare(conn, HOUSE, (MIDDLE, END), (START, MIDDLE), zones)


def test_28_and_35_days_of_the_same_use_are_no_change(conn: sqlite3.Connection) -> None:
    """672 kWh in 28 days and 840 in 35 are 24 a day; the longer period used more and is not higher."""
    for heater in ("loft-1", "hall-1"):
        run(conn, heater, 500.0, start=START, end=END, every=timedelta(hours=1))
    found = compared(conn)
    assert (found.other.days, found.other.kwh) == (28, pytest.approx(672))
    assert (found.period.days, found.period.kwh) == (35, pytest.approx(840))
    assert found.per_day.word == "no change"
    assert found.per_day.percent == pytest.approx(0, abs=1e-9)
    assert found.sentence.startswith("No change")
    assert found.per_degree_day.word == "cannot say"
    assert "no outdoor readings" in found.missing[0]


def test_colder_weeks_are_not_a_leakier_house(conn: sqlite3.Connection) -> None:
    """120 W/K below 15.5 °C all through: more a day, as much a degree day, and the sentence says so."""
    for heater in ("loft-1", "hall-1"):
        run(conn, heater, lambda at: 60.0 * (15.5 - outdoor_c(at)), start=START, end=END, every=timedelta(hours=1))
    outdoors(conn, outdoor_c, start=START, end=END)
    found = compared(conn)
    assert found.per_day.word == "more"
    assert found.per_degree_day.word == "no change"
    assert found.period.kwh_per_degree_day == pytest.approx(120 * 0.024, rel=1e-6)
    assert "the weather accounts for it" in found.sentence
    assert found.missing == ()


def test_a_leakier_house_is_not_the_weather(conn: sqlite3.Connection) -> None:
    """Half as much again for the same cold is more by both measures, by 50 per cent a degree day."""

    def watts(at: datetime) -> float:
        return (60.0 if at < MIDDLE else 90.0) * (15.5 - outdoor_c(at))

    for heater in ("loft-1", "hall-1"):
        run(conn, heater, watts, start=START, end=END, every=timedelta(hours=1))
    outdoors(conn, outdoor_c, start=START, end=END)
    found = compared(conn)
    assert (found.per_day.word, found.per_degree_day.word) == ("more", "more")
    assert found.per_degree_day.percent == pytest.approx(50, abs=0.5)
    assert "not the weather" in found.sentence


def test_days_with_a_gap_are_left_out_and_counted(conn: sqlite3.Connection) -> None:
    """A heater that began to report on the fifth day: four days and the day it began on do not count."""
    run(conn, "loft-1", 500.0, start=START, end=END, every=timedelta(hours=1))
    run(conn, "hall-1", 500.0, start=START + 4.5 * DAY, end=END, every=timedelta(hours=1))
    found = compared(conn)
    assert (found.other.days, found.other.days_left_out) == (23, 5)
    assert found.other.kwh == pytest.approx(23 * 24)
    assert any("with_from: 5 days are left out" in said for said in found.missing)


def test_a_heater_known_on_one_side_only_is_named(conn: sqlite3.Connection) -> None:
    """A heater that came with the second period makes it higher; the comparison says which."""
    run(conn, "loft-1", 500.0, start=START, end=END, every=timedelta(hours=1))
    run(conn, "hall-1", 500.0, start=MIDDLE, end=END, every=timedelta(hours=1))
    found = compared(conn)
    assert found.per_day.word == "more"
    assert "hall-1 is known in one of the periods only" in found.missing


def test_nothing_known_is_cannot_say(conn: sqlite3.Connection) -> None:
    """No readings: null everywhere, the reason, and no word."""
    found = compared(conn)
    assert (found.period.kwh, found.period.kwh_per_day, found.period.quality) == (None, None, None)
    assert found.per_day.word == "cannot say"
    assert found.sentence.startswith("Cannot say")
    assert found.missing


def test_one_zone_and_bad_words(conn: sqlite3.Connection) -> None:
    """Only the zone that is named; a zone that is not there, and a span backwards, are refused."""
    run(conn, "loft-1", 500.0, start=START, end=END, every=timedelta(hours=1))
    run(conn, "hall-1", 100.0, start=START, end=END, every=timedelta(hours=1))
    assert compared(conn, ("loft",)).period.kwh_per_day == pytest.approx(12)
    with pytest.raises(Unknown, match="cellar"):
        compared(conn, ("cellar",))
    with pytest.raises(BadInput):
        compare(conn, HOUSE, (END, MIDDLE), (START, MIDDLE))


def test_day_by_day_beside_the_cold(conn: sqlite3.Connection) -> None:
    """Each day its energy by zone, its mean outdoors and its degree days; a day half measured has none."""
    run(conn, "loft-1", 500.0, start=START, end=START + 3 * DAY, every=timedelta(hours=1))
    outdoors(conn, lambda at: 5.5 if at.hour < 12 else 19.5, start=START, end=START + 1.6 * DAY)
    found = energy_days(conn, HOUSE, START, START + 3 * DAY)
    first, second, _ = found.days
    assert (first.outdoor_c, first.degree_days_kd) == (pytest.approx(12.5), pytest.approx(5.0))
    assert (second.outdoor_c, second.degree_days_kd) == (None, None)
    assert [zone.energy_wh for zone in first.zones] == [pytest.approx(12_000), None]
    assert found.missing == (
        "nothing is known of the energy of hall-1",
        "outdoor readings are missing for 2 of 3 days, which have no degree days",
    )
