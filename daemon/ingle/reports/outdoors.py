"""How cold it was outside, by the house's own readings: day by day, and on the mean of the last week of them."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise
from statistics import fmean
from typing import Final, NamedTuple

from ingle.model.house import House
from ingle.model.instants import from_ms, to_ms
from ingle.model.readings import OUTDOOR, Source
from ingle.store.rollups import quarters

_DAY_MS: Final = 86_400_000
_HOUR_MS: Final = 3_600_000
#: What counts as lately [d].
LATELY_DAYS: Final = 7
#: A day is known where so much of it has a temperature: a night alone would be too cold a day.
LEAST_SHARE: Final = 0.75


class Lately(NamedTuple):
    """The mean outdoor temperature of some days [°C], and which days those were."""

    mean_c: float
    start: datetime
    end: datetime


def sources(house: House) -> list[tuple[Source, float]]:
    """Return what measures outdoors, with the offset to add [K]: the outdoor station first."""
    sensors = [each for each in house.sensors if each.zone == "outdoor" and each.measures == "temperature"]
    return [(OUTDOOR, 0.0), *((Source("sensor", each.id), each.offset_k) for each in sensors)]


def daily_means(conn: sqlite3.Connection, house: House, edges_ms: Sequence[int]) -> list[float | None]:
    """Return the mean outdoor temperature between each two instants [°C]; None where too little of it is known."""
    found: list[float | None] = [None] * (len(edges_ms) - 1)
    for source, offset_k in sources(house):
        for place, mean_c in enumerate(_means(conn, source, edges_ms)):
            if found[place] is None and mean_c is not None:
                found[place] = mean_c + offset_k
    return found


def lately(conn: sqlite3.Connection, house: House, now: datetime) -> Lately | None:
    """Return the mean of the newest week of outdoor readings up to now; None where there are none.

    The week is counted back from the newest reading, so that it is also found in a record that ended some time ago.
    """
    now_ms = to_ms(now)
    for source, offset_k in sources(house):
        newest = conn.execute(
            "SELECT max(t) FROM reading WHERE series = (SELECT id FROM series WHERE kind = ? AND name = ?) AND t <= ?"
            " AND temp IS NOT NULL AND t > ? - 400 * 86400000",
            (*source, now_ms, now_ms),
        ).fetchone()[0]
        if newest is None:
            continue
        start_ms, end_ms = newest - LATELY_DAYS * _DAY_MS, newest + 1
        known = [q for q in quarters(conn, source, start_ms, end_ms) if q.mean_temp_c is not None]
        temps = [each.mean_temp_c for each in known if each.mean_temp_c is not None]
        if temps:
            return Lately(fmean(temps) + offset_k, from_ms(known[0].start_ms), from_ms(newest))
    return None


def _means(conn: sqlite3.Connection, source: Source, edges_ms: Sequence[int]) -> list[float | None]:
    """Return a source's mean between each two instants, hour by hour: many stations report no oftener."""
    hours: list[dict[int, list[float]]] = [{} for _ in edges_ms[1:]]
    place = 0
    for quarter in quarters(conn, source, edges_ms[0], edges_ms[-1]):
        while place < len(hours) - 1 and quarter.start_ms >= edges_ms[place + 1]:
            place += 1
        if quarter.mean_temp_c is not None:
            hours[place].setdefault(quarter.start_ms // _HOUR_MS, []).append(quarter.mean_temp_c)
    return [
        fmean(map(fmean, known.values())) if len(known) * _HOUR_MS >= LEAST_SHARE * (end - start) else None
        for known, (start, end) in zip(hours, pairwise(edges_ms), strict=True)
    ]
