"""What was noted of rooms in the last weeks of a span: decisions, and heaters out of reach."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from typing import Final

import numpy as np

from ingle.model.house import House, Zone
from ingle.store import events
from ingle.verdict.record import Record

#: How far back the record is looked at [days].
LOOK_BACK_DAYS: Final = 28
_DAY_MS: Final = 86_400_000


def records(conn: sqlite3.Connection, house: House, start_ms: int, end_ms: int) -> dict[str, Record]:
    """Return what was noted of each zone up to an instant, for zones of which anything was."""
    first = max(start_ms, end_ms - LOOK_BACK_DAYS * _DAY_MS)
    found = {zone.id: _record(conn, zone, first, end_ms) for zone in house.zones}
    return {name: each for name, each in found.items() if len(each.t_s) or each.away_times}


def _record(conn: sqlite3.Connection, zone: Zone, start_ms: int, end_ms: int) -> Record:
    decided = events.about(conn, "decision", zone.id, start_ms - _DAY_MS, end_ms)
    rows = [(each.t_ms / 1000, each.data) for each in decided]
    away = [span for heater in zone.heaters for span in _away(conn, heater.id, start_ms, end_ms)]
    return Record(
        t_s=np.array([t_s for t_s, _ in rows]),
        wanted_c=np.array([_number(data.get("wanted_c")) for _, data in rows]),
        programme_c=np.array([_number((data.get("programme") or {}).get("wanted_c")) for _, data in rows]),
        capped=np.array([data.get("rule") == "cap" for _, data in rows], dtype=np.bool_),
        away_h=sum(away) / 3_600_000,
        away_times=len(away),
        days=(end_ms - start_ms) / _DAY_MS,
    )


def _number(value: object) -> float:
    return float(value) if isinstance(value, int | float) else float("nan")


def _away(conn: sqlite3.Connection, heater: str, start_ms: int, end_ms: int) -> Iterator[int]:
    """Yield for how long a heater was out of reach each time [ms], as far as it lies within the span."""
    key = f"away:{heater}"
    open_from: int | None = None
    for each in events.about(conn, "notice", key, start_ms, end_ms):
        ended = events.first_after(conn, "notice-ended", key, each.t_ms)
        if open_from is None or each.t_ms >= open_from:
            open_from = min(end_ms, ended.t_ms if ended is not None else end_ms)
            yield open_from - each.t_ms
