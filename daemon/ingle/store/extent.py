"""What the readings of a span hold, asked before they are read: how many, of whom, and whether any tells a fault."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection
from typing import NamedTuple

from ingle.model.readings import Source
from ingle.store.readings import LARGEST


class Extent(NamedTuple):
    """How many readings there are, and whether any of them tells a fault."""

    rows: int
    with_fault: bool


def extent(
    conn: sqlite3.Connection, sources: Collection[Source], start_ms: int | None = None, end_ms: int | None = None
) -> Extent:
    """Return the extent of some sources' readings from ``start_ms`` up to, not at, ``end_ms``."""
    start = -LARGEST if start_ms is None else start_ms
    end = LARGEST if end_ms is None else end_ms
    found = [
        conn.execute(
            "SELECT count(*), count(json_extract(rest, '$.fault')) FROM reading, series "
            "WHERE series.kind = ? AND series.name = ? AND reading.series = series.id AND t >= ? AND t < ?",
            (*source, start, end),
        ).fetchone()
        for source in sources
    ]
    return Extent(sum(count for count, _ in found), any(faults for _, faults in found))
