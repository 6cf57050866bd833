"""The record of wants as it lies in the store."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pytest

from ingle.reports.wants import records
from ingle.store import events
from ingle.store.connect import open_writer
from verdict.still import START_MS, still_house

HOUR_MS = 3_600_000


def test_decisions_and_lost_heaters_become_a_record(tmp_path: Path) -> None:
    """Orders, programme and cap by time; each time out of reach counts until it ended."""
    with closing(open_writer(tmp_path / "ingle.db")) as conn:
        conn.execute("BEGIN IMMEDIATE")
        decided = {"rule": "override", "wanted_c": 22.0, "programme": {"level": "occupied", "wanted_c": 20.0}}
        events.record(conn, START_MS, "decision", "hall", decided)
        events.record(
            conn, START_MS + HOUR_MS, "decision", "hall", {"rule": "cap", "wanted_c": 20.0, "programme": None}
        )
        for start in (2, 5):
            events.record(conn, START_MS + start * HOUR_MS, "notice", "away:hall-1", {})
            events.record(conn, START_MS + (start + 1) * HOUR_MS, "notice-ended", "away:hall-1", {})
        events.record(conn, START_MS + 9 * HOUR_MS, "notice", "away:hall-1", {})
        conn.execute("COMMIT")
        found = records(conn, still_house(), START_MS, START_MS + 10 * HOUR_MS)
    assert set(found) == {"hall"}
    hall = found["hall"]
    assert hall.wanted_c.tolist() == [22.0, 20.0]
    assert hall.programme_c[0] == 20.0
    assert hall.capped.tolist() == [False, True]
    assert hall.away_times == 3
    assert hall.away_h == pytest.approx(3.0)
