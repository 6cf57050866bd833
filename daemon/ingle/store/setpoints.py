"""What heaters were set to, by the quarter-hour: the roll-ups do not hold it."""

from __future__ import annotations

import sqlite3
from typing import Final

from ingle.model.readings import Source
from ingle.store.readings import QUARTER_MS, SCALES

#: A setpoint is taken to stand for so long after it was last reported [quarter-hours].
_STANDS: Final = 24


def setpoints(conn: sqlite3.Connection, source: Source, start_ms: int, end_ms: int) -> dict[int, float]:
    """Return the mean setpoint of each quarter-hour of a span [°C], by its start [ms].

    A heater that reports its setpoint only when it changes keeps it for six hours of silence.
    """
    first, end = start_ms // QUARTER_MS, -(-end_ms // QUARTER_MS)
    rows = conn.execute(
        "SELECT t / ?, avg(setpoint) FROM reading WHERE series = (SELECT id FROM series WHERE kind = ? AND name = ?) "
        "AND t >= ? AND t < ? AND setpoint IS NOT NULL GROUP BY 1 ORDER BY 1",
        (QUARTER_MS, *source, (first - _STANDS) * QUARTER_MS, end * QUARTER_MS),
    ).fetchall()
    found: dict[int, float] = {}
    for place, (bucket, mean) in enumerate(rows):
        until = rows[place + 1][0] if place + 1 < len(rows) else end
        for each in range(max(bucket, first), min(until, bucket + _STANDS, end)):
            found[each * QUARTER_MS] = mean / SCALES["setpoint_c"]
    return found
