"""Readings go out as a table and come back without loss."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import msgspec
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ingle.intake import exports, imports, table
from ingle.model.instants import to_ms
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.store import houses
from ingle.store.readings import SCALES, insert, select

HEAD = (
    "time,zone,heater,power_w,energy_wh,temp_c,setpoint_c,"
    "irradiance_w_per_m2,wind_m_per_s,voltage_v,humidity_percent,energy_is,opening,boot,seq"
)
START_MS = to_ms(datetime(2026, 1, 12, 6, tzinfo=UTC))
SOURCES = [
    Source("heater", "loft-1"),
    Source("heater", "hall-1"),
    OUTDOOR,
    Source("sensor", "loft-air"),
    Source("sensor", "loft"),  # kept under the zone's id before the house listed loft-air
    Source("sensor", "hall"),
    Source("meter", "main"),
]


def test_the_columns_are_those_of_the_import(book: Any) -> None:
    """Without sensors, meters and faults the header is the plain one; lines are in order of time."""
    book.take("2026-01-12T07:00:00+00:00,hall,hall-1,0,10,17.25,16", "2026-01-12T08:00:00+02:00,outdoor,,,,4.5,")
    assert book.text().splitlines() == [
        HEAD,
        "2026-01-12T06:00:00+00:00,outdoor,,,,4.5,,,,,,,,,",
        "2026-01-12T07:00:00+00:00,hall,hall-1,0,10,17.25,16,,,,,,,,",
    ]


def test_rare_columns_come_with_what_needs_them(book: Any) -> None:
    """A meter, a listed sensor or a fault adds its column at the end."""
    insert(book.conn, [Reading(source=Source("meter", "main"), t_ms=START_MS, arrived_ms=START_MS, power_w=900.0)])
    assert exports.plan(book.conn).columns[-1:] == ("meter",)
    fault = Reading(source=Source("heater", "loft-1"), t_ms=START_MS, arrived_ms=START_MS, fault='probe, "open"')
    insert(book.conn, [fault])
    assert exports.plan(book.conn).columns[-2:] == ("meter", "fault")
    assert '"probe, ""open"""' in book.text()


def test_a_span_and_a_zone_can_be_chosen(book: Any) -> None:
    """From is taken, to is not; a zone takes its heaters and its thermometers."""
    hours = [
        f"2026-01-12T{hour:02d}:00:00+00:00,{zone},{zone}-1,,,18," for hour in range(6) for zone in ("loft", "hall")
    ]
    book.take(*hours)
    hour = 3_600_000
    midnight = START_MS - 6 * hour
    chosen = exports.plan(book.conn, zones=["loft"], start_ms=midnight + hour, end_ms=midnight + 3 * hour)
    written = list(exports.lines(book.conn, chosen))[1:]
    assert chosen.rows == 2
    assert [line.split(",")[:3] for line in written] == [
        ["2026-01-12T01:00:00+00:00", "loft", "loft-1"],
        ["2026-01-12T02:00:00+00:00", "loft", "loft-1"],
    ]


def values(name: str) -> st.SearchStrategy[float | None]:
    """Return values of a field as the store keeps them."""
    low, high = {"temp_c": (-60, 100), "setpoint_c": (-60, 100), "humidity_percent": (0, 100)}.get(name, (0, 120))
    scale = SCALES[name]
    return st.none() | st.integers(low * scale, high * scale).map(lambda number: number / scale)


def readings_of(source: Source) -> st.SearchStrategy[Reading]:
    """Return readings that a source may have sent."""
    fields: dict[str, st.SearchStrategy[Any]] = {name: values(name) for name in SCALES}
    return st.builds(
        Reading,
        source=st.just(source),
        t_ms=st.integers(0, 50).map(lambda step: START_MS + step * 500),
        arrived_ms=st.just(START_MS + 60_000),
        boot=st.none() | st.sampled_from(["b1", "b2", "a, b", "0", "b\u00fc"]),
        seq=st.none() | st.integers(0, 5),
        energy_is=st.sampled_from([None, "metered", "computed"]),
        opening=st.sampled_from([None, True, False]),
        fault=st.sampled_from([None, "", "probe", 'x,"y"']),
        future=st.booleans(),
        **{**fields, "temp_c": values("temp_c").map(lambda value: 20.0 if value is None else value)},
    )


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(SOURCES).flatmap(readings_of), max_size=30))
def test_what_is_exported_comes_back(new_book: Any, readings: list[Reading]) -> None:
    """Export, import into a new database, export: the same bytes, and nothing refused."""
    first, second = new_book(), new_book()
    insert(first.conn, readings)
    text = first.text()
    head, *lines = text.splitlines()
    taken = imports.take(second.conn, table.header(head), lines, first_line=2, now_ms=START_MS + 60_000)
    assert taken.rejects == ()
    assert taken.stored == len(lines)
    assert second.text() == text
    assert sorted(map(_told, select(second.conn))) == sorted(map(_told, select(first.conn)))


def _told(reading: Reading) -> str:
    """Return all that a reading tells but when it arrived, which an import cannot know."""
    return repr(msgspec.structs.replace(reading, arrived_ms=0))


def test_what_has_left_the_house_is_still_written_and_known(book: Any) -> None:
    """Heaters, zones, sensors and meters of earlier revisions are exported, and such lines are taken again."""
    gone = [
        Source("heater", "hall-1"),
        Source("sensor", "hall"),
        Source("sensor", "loft-air"),
        Source("meter", "main"),
    ]
    insert(book.conn, [Reading(source=source, t_ms=START_MS, arrived_ms=START_MS, temp_c=18.0) for source in gone])
    smaller = msgspec.structs.replace(book.house, zones=book.house.zones[:1], sensors=(), meters=())
    houses.save(book.conn, smaller, who="Wenna", why="the hall is let", t_ms=START_MS)
    head, *lines = book.text().splitlines()
    assert [line.split(",")[1:3] for line in lines] == [["hall", "hall-1"], ["hall", ""], ["", ""], ["", ""]]
    assert [line.split(",")[15:] for line in lines] == [["", ""], ["", ""], ["loft-air", ""], ["", "main"]]
    assert book.take(*lines, head=head) == imports.Taken(known=4)
    assert exports.plan(book.conn, zones=["hall"]).rows == 2


def test_a_fault_that_is_over_is_told(book: Any) -> None:
    """That a fault ended is news: it is written as a dash, and comes back as no fault, not as no news."""
    insert(book.conn, [Reading(source=Source("heater", "loft-1"), t_ms=START_MS, arrived_ms=START_MS, fault="")])
    head, line = book.text().splitlines()
    assert (head.split(",")[-1], line.split(",")[-1]) == ("fault", "-")
    assert book.take(line, head=head) == imports.Taken(known=1)
