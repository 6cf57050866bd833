"""What a source had last said by an instant, and its mean over a while, for looking back at one moment."""

from __future__ import annotations

import sqlite3
from typing import Final, NamedTuple

from ingle.model.readings import Source
from ingle.store.columns import COLUMN
from ingle.store.readings import SCALES

#: Older values say nothing of the moment [ms].
_LOOK_BACK_MS: Final = 7 * 86_400_000


class Moment(NamedTuple):
    """A value and its time [ms]."""

    value: float
    t_ms: int


def last_value(conn: sqlite3.Connection, source: Source, name: str, t_ms: int) -> Moment | None:
    """Return a source's newest value of a name at or before an instant, None where a week has none.

    Parameters
    ----------
    name
        A number of ``model.readings.MEASURED``.
    """
    column = COLUMN[name]
    row = conn.execute(
        f"SELECT {column}, t FROM reading WHERE series = (SELECT id FROM series WHERE kind = ? AND name = ?)"  # noqa: S608 - constants
        f" AND t <= ? AND t > ? AND {column} IS NOT NULL ORDER BY t DESC LIMIT 1",
        (*source, t_ms, t_ms - _LOOK_BACK_MS),
    ).fetchone()
    return None if row is None else Moment(row[0] / SCALES[name], row[1])


def mean_value(conn: sqlite3.Connection, source: Source, name: str, start_ms: int, end_ms: int) -> float | None:
    """Return the mean of a source's readings of a name over a span, its end not included; None without any."""
    column = COLUMN[name]
    row = conn.execute(
        f"SELECT avg({column}) FROM reading WHERE series = (SELECT id FROM series WHERE kind = ? AND name = ?)"  # noqa: S608 - constants
        " AND t >= ? AND t < ?",
        (*source, start_ms, end_ms),
    ).fetchone()
    return None if row[0] is None else row[0] / SCALES[name]
