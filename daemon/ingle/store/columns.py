"""Readings of one source as bare rows, for questions that look at every reading of a winter.

``readings.select`` makes a value of each row, which costs more than all the arithmetic that follows. Here rows stay
tuples of scaled integers, in chunks; the caller divides whole columns by ``readings.SCALES``.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from typing import Final

from ingle.model.readings import Source
from ingle.store.readings import FUTURE_BIT, SCALES

#: The database's column of each measured value.
COLUMN: Final = {name: name.split("_", 1)[0] for name in SCALES}
#: The part of ``flags`` that says what energy is, and its value for computed energy.
ENERGY_IS_BITS: Final = 3
ENERGY_IS_COMPUTED: Final = 2
#: The part that says whether something stands open, and its value for open.
OPENING_BITS: Final = 12
OPENING_OPEN: Final = 8
WEEK_MS: Final = 7 * 86_400_000

Row = tuple[int | None, ...]


def chunks(
    conn: sqlite3.Connection,
    source: Source,
    names: Sequence[str],
    *,
    start_ms: int,
    end_ms: int,
) -> Iterator[list[Row]]:
    """Return a source's readings from ``start_ms`` up to, not at, ``end_ms``, in time order, a week at a time.

    Parameters
    ----------
    names
        Measured values, as in ``model.readings.MEASURED``.

    Returns
    -------
    Iterator
        Lists of rows: time [ms], flags, then the values asked for as scaled integers, None where not reported.
        Between chunks no statement stays open.
    """
    found = conn.execute("SELECT id FROM series WHERE kind = ? AND name = ?", source).fetchone()
    limits = None if found is None else _limits(conn, found[0], start_ms, end_ms)
    if limits is None:
        return
    columns = ", ".join(("t", "flags", *(COLUMN[name] for name in names)))
    statement = f"SELECT {columns} FROM reading WHERE series = ? AND t >= ? AND t < ? ORDER BY t, boot, seq"  # noqa: S608 - constants
    for start in range(limits[0], limits[1] + 1, WEEK_MS):
        rows: list[Row] = conn.execute(statement, (found[0], start, min(start + WEEK_MS, limits[1] + 1))).fetchall()
        if rows:
            yield rows


def _limits(conn: sqlite3.Connection, series: int, start_ms: int, end_ms: int) -> tuple[int, int] | None:
    """Return a series' first and last time within a span [ms]."""
    low, high = (
        conn.execute(
            f"SELECT t FROM reading WHERE series = ? AND t >= ? AND t < ? ORDER BY t {way} LIMIT 1",  # noqa: S608
            (series, start_ms, end_ms),
        ).fetchone()
        for way in ("ASC", "DESC")
    )
    return None if low is None or high is None else (low[0], high[0])


def span(conn: sqlite3.Connection, *, start_ms: int, end_ms: int) -> tuple[int, int] | None:
    """Return the first and the last time of any reading within a span [ms], or None where there is none.

    What came dated ahead of the clock ends a record only where there is nothing else: a clock that once jumped would
    otherwise push the whole year before it out of sight.
    """
    every = [series for (series,) in conn.execute("SELECT id FROM series").fetchall()]
    found = [limits for series in every if (limits := _limits(conn, series, start_ms, end_ms)) is not None]
    if not found:
        return None
    own = [last for series in every if (last := _newest_own(conn, series, start_ms, end_ms)) is not None]
    return min(low for low, _ in found), max(own or [high for _, high in found])


def _newest_own(conn: sqlite3.Connection, series: int, start_ms: int, end_ms: int) -> int | None:
    """Return the time of a series' newest reading that was not dated ahead of the clock [ms]."""
    found: tuple[int] | None = conn.execute(
        "SELECT t FROM reading WHERE series = ? AND t >= ? AND t < ? AND flags & ? = 0 ORDER BY t DESC LIMIT 1",
        (series, start_ms, end_ms, FUTURE_BIT),
    ).fetchone()
    return None if found is None else found[0]
