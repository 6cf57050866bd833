"""Energy by heater and zone: whole, by quality, by the zone a heater stood in, on the house's own midnight."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from houses import make_house, make_zone
from ingle.errors import BadInput
from ingle.model.devices import Heater
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.readings import EnergyIs, Reading, Source
from ingle.reports.energy import energy, midnight_before, today, worst
from ingle.store import houses
from ingle.store.connect import open_writer
from ingle.store.readings import insert

START = datetime(2026, 1, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)


def house(*placed: tuple[str, tuple[str, ...]]) -> House:
    """Return a house with these heaters in these zones."""
    return make_house(*[make_zone(zone, *[Heater(id=one, rated_w=2000.0) for one in some]) for zone, some in placed])


HOUSE = house(("loft", ("loft-1", "loft-2")), ("hall", ("hall-1",)))


@pytest.fixture(name="conn")
def _conn(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    link = open_writer(tmp_path / "ingle.db")
    link.execute("BEGIN IMMEDIATE")
    yield link
    link.undo()
    link.close()


def count(
    conn: sqlite3.Connection,
    heater: str,
    hourly_wh: float,
    *,
    first: datetime = START,
    hours: int = 4,
    how: EnergyIs = "metered",
) -> None:
    """Let a heater's counter run, a reading every five minutes."""
    steps = [first + timedelta(minutes=5 * step) for step in range(12 * hours + 1)]
    insert(
        conn,
        [
            Reading(
                source=Source("heater", heater),
                t_ms=to_ms(at),
                arrived_ms=to_ms(at),
                energy_wh=1000.0 + hourly_wh * ((at - first) / HOUR),
                energy_is=how,
            )
            for at in steps
        ],
    )


def test_sums_are_whole(conn: sqlite3.Connection) -> None:
    """Heaters add up to zones, zones to the total, over exactly the span that was asked for."""
    for heater, hourly_wh in (("loft-1", 600.0), ("loft-2", 300.0), ("hall-1", 1200.0)):
        count(conn, heater, hourly_wh)
    found = energy(conn, HOUSE, START + HOUR, START + 3 * HOUR)
    assert {one.heater: one.energy_wh for one in found.heaters} == pytest.approx(
        {"loft-1": 1200, "loft-2": 600, "hall-1": 2400}
    )
    assert {one.zone: one.energy_wh for one in found.zones} == pytest.approx({"loft": 1800, "hall": 2400})
    assert found.total_wh == pytest.approx(4200)
    assert (found.quality, found.missing) == ("metered", ())


def test_the_worst_part_rules_the_sum(conn: sqlite3.Connection) -> None:
    """One computed counter makes its zone and the house estimated; the other zone stays metered."""
    count(conn, "loft-1", 600.0)
    count(conn, "loft-2", 300.0, how="computed")
    count(conn, "hall-1", 100.0)
    found = energy(conn, HOUSE, START, START + HOUR)
    assert {one.zone: one.quality for one in found.zones} == {"loft": "estimated", "hall": "metered"}
    assert found.quality == "estimated"


def test_no_data_is_not_nothing_used(conn: sqlite3.Connection) -> None:
    """A heater without readings has null, not 0 Wh, and is named."""
    count(conn, "loft-1", 600.0)
    found = energy(conn, HOUSE, START, START + HOUR)
    assert [(one.heater, one.energy_wh) for one in found.heaters][1:] == [("loft-2", None), ("hall-1", None)]
    assert (found.zones[1].energy_wh, found.zones[1].quality) == (None, None)
    assert found.total_wh == pytest.approx(600)
    assert found.missing == ("hall-1", "loft-2")


def test_a_house_without_any_reading_has_no_total(conn: sqlite3.Connection) -> None:
    """Nothing known: null everywhere."""
    found = energy(conn, HOUSE, START, START + HOUR)
    assert (found.total_wh, found.quality) == (None, None)


def test_a_moved_heater_counts_where_it_stood(conn: sqlite3.Connection) -> None:
    """Energy from before the move stays with the old zone, what came after goes to the new one."""
    before, after = house(("loft", ("one",)), ("hall", ("two",))), house(("loft", ("two",)), ("hall", ("one",)))
    houses.save(conn, before, who="test", why="", t_ms=to_ms(START + HOUR))
    houses.save(conn, after, who="test", why="", t_ms=to_ms(START + 2 * HOUR))
    count(conn, "one", 600.0)
    count(conn, "two", 60.0)
    found = energy(conn, after, START, START + 3 * HOUR)
    assert {(one.heater, one.zone): one.energy_wh for one in found.heaters} == pytest.approx(
        {("one", "loft"): 1200, ("two", "hall"): 120, ("one", "hall"): 600, ("two", "loft"): 60}
    )
    assert {one.zone: one.energy_wh for one in found.zones} == pytest.approx({"loft": 1260, "hall": 720})


def test_a_heater_that_has_gone_still_used_what_it_used(conn: sqlite3.Connection) -> None:
    """History is not lost with the heater: its energy stays in the total, under the zone it stood in."""
    houses.save(conn, HOUSE, who="test", why="", t_ms=to_ms(START))
    smaller = house(("loft", ("loft-1",)))
    houses.save(conn, smaller, who="test", why="", t_ms=to_ms(START + 2 * HOUR))
    count(conn, "hall-1", 600.0, hours=2)
    found = energy(conn, smaller, START, START + 4 * HOUR)
    assert found.total_wh == pytest.approx(1200)
    assert found.zones[-1].zone == "hall"
    assert "hall-1" not in {one.heater for one in energy(conn, smaller, START + 3 * HOUR, START + 4 * HOUR).heaters}


def test_a_heater_that_went_and_came_back_has_one_line(conn: sqlite3.Connection) -> None:
    """Two stays in one zone are one heater's energy."""
    smaller = house(("loft", ("loft-1",)))
    for hours, each in enumerate((HOUSE, smaller, HOUSE)):
        houses.save(conn, each, who="test", why="", t_ms=to_ms(START + hours * HOUR))
    count(conn, "hall-1", 600.0)
    lines = [one for one in energy(conn, HOUSE, START, START + 4 * HOUR).heaters if one.heater == "hall-1"]
    assert [line.zone for line in lines] == ["hall"]
    assert lines[0].energy_wh == pytest.approx(600 * 3)


def test_today_begins_at_the_houses_midnight(conn: sqlite3.Connection) -> None:
    """In British summer time the day begins at 23:00 UTC."""
    midnight = datetime(2026, 6, 30, 23, tzinfo=UTC)
    count(conn, "hall-1", 600.0, first=midnight - 2 * HOUR, hours=5)
    found = today(conn, HOUSE, midnight + 3 * HOUR)
    assert found.start == midnight
    assert found.total_wh == pytest.approx(1800)


def test_the_moment_of_midnight_has_a_day_too(conn: sqlite3.Connection) -> None:
    """At midnight itself nothing is used yet, and nothing fails."""
    count(conn, "hall-1", 600.0, first=START - 2 * HOUR)
    assert today(conn, HOUSE, START).total_wh == pytest.approx(0, abs=0.1)


@pytest.mark.parametrize(("day", "hours"), [("2026-03-29", 23), ("2026-10-25", 25), ("2026-01-12", 24)])
def test_days_of_clock_changes_have_their_length(day: str, hours: int) -> None:
    """From one local midnight to the next there are 23, 25 or 24 hours."""
    noon = datetime.fromisoformat(f"{day}T12:00:00+00:00")
    length = midnight_before(noon + timedelta(days=1), "Europe/London") - midnight_before(noon, "Europe/London")
    assert length == timedelta(hours=hours)


def test_a_span_must_go_forwards(conn: sqlite3.Connection) -> None:
    """An end at or before the start is refused by name."""
    with pytest.raises(BadInput) as refused:
        energy(conn, HOUSE, START, START)
    assert refused.value.faults[0].pointer == "/to"


def test_the_order_of_qualities() -> None:
    """Metered is better than estimated, that than filled, that than stale; nothing has none."""
    assert worst(["filled", "stale", None]) == "stale"
    assert worst(["metered", "estimated"]) == "estimated"
    assert worst([None]) is None
