"""What the readings of a span hold, asked before they are read: how many, and whether any is of a rare kind."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection
from typing import NamedTuple

from ingle.model.readings import Source
from ingle.store.readings import FUTURE_BIT, LARGEST


class Extent(NamedTuple):
    """How many readings there are, whether any tells a fault, and whether any came dated ahead of the clock."""

    rows: int
    with_fault: bool
    with_future: bool


def extent(
    conn: sqlite3.Connection, sources: Collection[Source], start_ms: int | None = None, end_ms: int | None = None
) -> Extent:
    """Return the extent of some sources' readings from ``start_ms`` up to, not at, ``end_ms``."""
    start = -LARGEST if start_ms is None else start_ms
    end = LARGEST if end_ms is None else end_ms
    found = [
        conn.execute(
            "SELECT count(*), count(json_extract(rest, '$.fault')), total(flags & ? > 0) FROM reading, series "
            "WHERE series.kind = ? AND series.name = ? AND reading.series = series.id AND t >= ? AND t < ?",
            (FUTURE_BIT, *source, start, end),
        ).fetchone()
        for source in sources
    ]
    return Extent(
        rows=sum(rows for rows, _, _ in found),
        with_fault=any(faults for _, faults, _ in found),
        with_future=any(future for _, _, future in found),
    )
