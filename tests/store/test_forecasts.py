"""Forecasts in the database: kept as they were made, for good."""

from __future__ import annotations

import sqlite3

import pytest

from databases import fresh
from ingle.store import events, forecasts


def saved(conn: sqlite3.Connection, start_ms: int, text: bytes) -> int:
    """Keep a forecast of a week."""
    return forecasts.save(conn, made_ms=1, start_ms=start_ms, end_ms=start_ms + 7, document=text, who="test")


def test_a_forecast_comes_back_as_it_was_made() -> None:
    """Text and span are what was kept, the newest first, with an event that carries the text's digest."""
    with fresh() as conn:
        first, second = saved(conn, 10, b'{"kwh": 1}'), saved(conn, 20, b'{"kwh": 2}')
        assert [each.number for each in forecasts.newest(conn)] == [second, first]
        found = forecasts.covering(conn, 10, 17)
        assert found is not None
        assert (found.number, found.document) == (first, b'{"kwh": 1}')
        event = events.newest(conn, "forecast", str(first))
        assert event is not None
        assert event.data["digest"] == forecasts.digest(b'{"kwh": 1}')


@pytest.mark.parametrize("statement", ["UPDATE forecast SET document = '{}'", "DELETE FROM forecast"])
def test_nobody_changes_or_deletes_one(statement: str) -> None:
    """The database itself refuses, in words."""
    with fresh() as conn:
        saved(conn, 10, b'{"kwh": 1}')
        with pytest.raises(sqlite3.IntegrityError, match="a forecast is never"):
            conn.execute(statement)
        assert forecasts.newest(conn)[0].document == b'{"kwh": 1}'


def test_the_newest_event_of_a_kind_can_be_asked_as_of_a_time() -> None:
    """Of two events about one subject, the one at or before the instant; none before the first."""
    with fresh() as conn:
        for t_ms, wanted in ((100, 16), (200, 20)):
            events.record(conn, t_ms, "decision", "loft", {"wanted_c": wanted})
        events.record(conn, 300, "decision", "hall", {"wanted_c": 12})
        newest = events.newest(conn, "decision", "loft")
        earlier = events.newest(conn, "decision", "loft", 199)
        assert newest is not None
        assert earlier is not None
        assert (newest.data["wanted_c"], earlier.data["wanted_c"]) == (20, 16)
        assert events.newest(conn, "decision", "loft", 99) is None
