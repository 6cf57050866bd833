"""Rows of a table become readings, or are refused with their line and reason."""

from __future__ import annotations

import sqlite3
from contextlib import suppress
from typing import Any

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ingle.errors import BadInput, Refused
from ingle.intake import imports, table
from ingle.model.devices import Sensor
from ingle.model.readings import OUTDOOR, Source
from ingle.store import houses
from ingle.store.readings import select

T = "2026-01-12T06:00:00+00:00"
FULL = ",".join((*table.COLUMNS, *table.OPTIONAL))


def test_a_heater_row_becomes_its_reading(book: Any) -> None:
    """Every column arrives under its own name; the offset of the time counts."""
    line = (
        "2026-01-12T07:00:00.250+01:00,loft,loft-1,812.5,1234.5,18.65,20,,,231.5,,computed,true,b7,4,,,probe open,true"
    )
    assert book.take(line, head=FULL) == imports.Taken(stored=1)
    (stored,) = select(book.conn)
    assert stored.source == Source("heater", "loft-1")
    assert stored.t_ms == 1768197600250
    assert (stored.power_w, stored.energy_wh, stored.temp_c, stored.setpoint_c) == (812.5, 1234.5, 18.65, 20.0)
    assert (stored.voltage_v, stored.energy_is, stored.opening) == (231.5, "computed", True)
    assert (stored.boot, stored.seq, stored.fault, stored.future) == ("b7", 4, "probe open", True)


def test_an_empty_cell_is_no_value(book: Any) -> None:
    """An empty cell is neither 0 nor anything else."""
    book.take(f"{T},loft,loft-1,,,18.5,")
    (stored,) = select(book.conn)
    assert (stored.power_w, stored.energy_wh, stored.setpoint_c) == (None, None, None)


@pytest.mark.parametrize(
    ("cells", "source"),
    [
        ({"zone": "outdoor"}, OUTDOOR),
        ({"zone": "hall"}, Source("sensor", "hall")),
        ({"zone": "loft"}, Source("sensor", "loft-air")),
        ({"sensor": "loft", "zone": "loft"}, Source("sensor", "loft")),
        ({"heater": "hall-1"}, Source("heater", "hall-1")),
        ({"zone": "hall", "heater": "hall-1"}, Source("heater", "hall-1")),
        ({"zone": "loft", "sensor": "loft-air"}, Source("sensor", "loft-air")),
        ({"meter": "main"}, Source("meter", "main")),
    ],
)
def test_who_a_row_is_of(book: Any, cells: dict[str, str], source: Source) -> None:
    """Heater, sensor and meter are named; a zone alone is its thermometer, listed or not, and outdoor the station."""
    given_cells = {"time": T, "temp_c": "10.5", **cells}
    book.take(",".join(given_cells.get(name, "") for name in table.header(FULL)), head=FULL)
    assert [each.source for each in select(book.conn)] == [source]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("2026-01-12T06:00:00,loft,loft-1,,,18.5,", "has no offset"),
        ("yesterday,loft,loft-1,,,18.5,", "is no time"),
        (",loft,loft-1,,,18.5,", "is no time"),
        ("1768194000,loft,loft-1,,,18.5,", "is no time"),
        ("1850-01-12T06:00:00+00:00,loft,loft-1,,,18.5,", "the years 2000 to 2099"),
        (f"{T},loft,loft-1,,,nan,", "temp_c: 'nan' is not allowed; allowed: a number from -60 to 100"),
        (f"{T},loft,loft-1,inf,,,", "power_w: 'inf'"),
        (f"{T},loft,loft-1,1e999,,,", "power_w: '1e999'"),
        (f"{T},loft,loft-1,,,680,", "temp_c: '680' is not allowed; allowed: a number from -60 to 100"),
        (f"{T},loft,loft-1,,-5,,", "energy_wh: '-5' is not allowed; allowed: a number from 0"),
        (f"{T},loft,loft-1,-5000,,,", "not allowed for a heater"),
        (f"{T},loft,loft-1,many,,,", "power_w: 'many'"),
        (f"{T},loft,loft-1,,,,", "no measured value"),
        (f"{T},loft,loft-9,,,18.5,", "heater: 'loft-9' is not in this house"),
        (f"{T},attic,,,,18.5,", "zone: 'attic' is not in this house"),
        (f"{T},hall,loft-1,,,18.5,", "heater loft-1 stands in loft"),
        (f"{T},outdoor,loft-1,,,18.5,", "heater loft-1 stands in loft"),
        (f"{T},,,,,18.5,", "a line names a zone"),
        (f"{T},loft,loft-1,,,18.5", "6 fields, but the header names 7"),
        (f'{T},loft,"loft-1,,,18.5,', "not CSV"),
        (f"{T},loft,loft-1,,,18.5,{'9' * 3000}", "longer than 2000"),
        (f"{T},loft,\udcff,,,18.5,", "not text in UTF-8"),
    ],
)
def test_a_bad_row_is_refused_by_its_line(book: Any, line: str, words: str) -> None:
    """A row that cannot be taken is named with line and reason; its neighbours are stored."""
    taken = book.take(f"{T},hall,hall-1,,,18.5,", line, f"{T},loft,loft-2,,,18.5,")
    assert (taken.stored, taken.rejected) == (2, 1)
    (reject,) = taken.rejects
    assert reject.line == 3
    assert words in reject.reason


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({"heater": "loft-1", "seq": "1.5"}, "seq: '1.5' is not allowed; allowed: a whole number"),
        ({"heater": "loft-1", "opening": "ajar"}, "opening: 'ajar' is not allowed; allowed: true or false"),
        ({"heater": "loft-1", "energy_is": "guessed"}, "allowed: one of"),
        ({"heater": "loft-1", "boot": "b" * 65}, "allowed: text of at most 64 characters"),
        ({"sensor": "attic"}, "sensor: 'attic' is not in this house"),
        ({"sensor": "loft-air", "zone": "hall"}, "sensor loft-air stands in loft"),
        ({"meter": "main", "zone": "hall"}, "meter main stands in no zone"),
        ({"meter": "cellar"}, "meter: 'cellar' is not in this house"),
    ],
)
def test_a_bad_cell_of_the_further_columns_is_named(book: Any, cells: dict[str, str], words: str) -> None:
    """Column, value and what is allowed stand in the reason."""
    given_cells = {"time": T, "temp_c": "10.5", **cells}
    taken = book.take(",".join(given_cells.get(name, "") for name in table.header(FULL)), head=FULL)
    assert words in taken.rejects[0].reason


def test_a_zone_alone_is_never_another_zones_sensor(book: Any) -> None:
    """Where a sensor elsewhere has the zone's own id, a row that names the zone alone is refused as ambiguous."""
    house = book.house
    elsewhere = msgspec.structs.replace(house, sensors=(Sensor(id="hall", zone="loft"),))
    houses.save(book.conn, elsewhere, who="Wenna", why="", t_ms=0)
    taken = book.take(f"{T},hall,,,,18.5,")
    assert "ambiguous" in taken.rejects[0].reason


def test_two_thermometers_in_a_zone_leave_the_row_to_the_zone(book: Any) -> None:
    """With several listed thermometers none is guessed: the row is of one that the house does not list."""
    two = (Sensor(id="loft-air", zone="loft"), Sensor(id="loft-bed", zone="loft"))
    houses.save(book.conn, msgspec.structs.replace(book.house, sensors=two), who="Wenna", why="", t_ms=0)
    book.take(f"{T},loft,,,,18.5,")
    assert [each.source for each in select(book.conn)] == [Source("sensor", "loft")]


def test_a_row_of_two_things_is_refused(book: Any) -> None:
    """A line is of one heater, sensor or meter."""
    taken = book.take(f"{T},,loft-1,main,18.5", head="time,zone,heater,meter,temp_c")
    assert "loft-1 and main" in taken.rejects[0].reason


def test_a_second_import_changes_nothing(book: Any) -> None:
    """The same rows again are all known, and the export stays the same."""
    lines = [f"2026-01-12T06:{minute:02d}:00+00:00,loft,loft-1,700,{minute},18.5," for minute in range(60)]
    assert book.take(*lines).stored == 60
    before = book.text()
    again = book.take(*lines)
    assert (again.stored, again.known, again.conflicts) == (0, 60, 0)
    assert book.text() == before


def test_of_two_values_the_first_stays(book: Any) -> None:
    """A row that contradicts a stored one is counted and not taken."""
    book.take(f"{T},loft,loft-1,,,18.5,")
    taken = book.take(f"{T},loft,loft-1,,,19.5,")
    assert (taken.stored, taken.conflicts) == (0, 1)
    assert ",18.5," in book.rows()[0]


def test_rows_ahead_of_the_clock_are_kept_and_flagged(book: Any) -> None:
    """A clock without a battery may be behind the file: the rows keep their time and are counted."""
    taken = book.take("2026-03-01T00:00:00+00:00,loft,loft-1,,,18.5,")
    assert (taken.stored, taken.future) == (1, 1)
    assert [each.future for each in select(book.conn)] == [True]
    assert book.rows()[0].startswith("2026-03-01T00:00:00+00:00")


def test_blank_lines_count_for_nothing(book: Any) -> None:
    """Blank lines are neither rows nor rejects, and keep the numbers of those after them right."""
    taken = book.take("", f"{T},loft,loft-1,,,18.5,", "   ", "bad")
    assert (taken.stored, [reject.line for reject in taken.rejects]) == (1, [5])


@pytest.mark.parametrize(
    ("head", "words"),
    [
        ("time;zone;heater", "time, zone, heater"),
        ("time,zone,heater,temp", "'temp'"),
        ("time,zone,heater,temp_c,temp_c", "each column once"),
        ("", "time, zone, heater"),
        ('time,"zone', "column names parted by commas"),
    ],
)
def test_a_bad_header_is_refused(head: str, words: str) -> None:
    """A file whose columns are not known is refused whole, before any row."""
    with pytest.raises(BadInput) as refused:
        table.header(head, "x.csv")
    assert words in str(refused.value)
    assert "x.csv: line 1" in str(refused.value)


def test_without_a_house_nothing_is_taken(empty: sqlite3.Connection) -> None:
    """With no house loaded an id cannot be told from a slip: the import says what to do first."""
    with pytest.raises(Refused, match="ingle house load"):
        imports.take(empty, table.header(FULL), [], first_line=2, now_ms=0)


def test_a_chunk_of_bytes_is_the_same(book: Any) -> None:
    """What comes over the desk in bytes, with either line end, is taken like lines."""
    text = f"time,zone,heater,temp_c\r\n{T},loft,loft-1,18.5\r\n\xff,,\n".encode("latin-1")
    taken = imports.take_text(book.conn, text, first_line=70, now_ms=0)
    assert (taken.stored, [reject.line for reject in taken.rejects]) == (1, [71])


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(max_size=200))
def test_any_line_is_taken_or_refused(book: Any, line: str) -> None:
    """No text at all raises anything else than a refusal."""
    known = table.places(book.conn)
    with suppress(table.BadRow):
        table.reading(line, table.COLUMNS, known, 0)
