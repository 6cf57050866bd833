"""Readings from a file, a chunk at a time: the same function for the daemon's writer and for a command without one."""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Sequence
from typing import Final

from ingle.intake import table
from ingle.intake.intake import FUTURE_MS
from ingle.model.base import Result
from ingle.store.readings import insert

#: Rejects that a sum of chunks goes on naming; a file may hold millions.
REJECTS_KEPT: Final = 100


class Reject(Result, frozen=True, kw_only=True):
    """A line that was not taken; the header is line 1."""

    line: int
    reason: str


class Taken(Result, frozen=True, kw_only=True):
    """What became of rows: stored anew, known already, known otherwise (the first wins), rejected.

    ``future`` counts rows dated ahead of the clock. ``rejects`` has all of a chunk's, and of a sum of chunks the first.
    """

    stored: int = 0
    known: int = 0
    conflicts: int = 0
    future: int = 0
    rejected: int = 0
    rejects: tuple[Reject, ...] = ()

    @property
    def rows(self) -> int:
        """How many rows there were."""
        return self.stored + self.known + self.conflicts + self.rejected

    def __add__(self, other: Taken) -> Taken:
        return Taken(
            stored=self.stored + other.stored,
            known=self.known + other.known,
            conflicts=self.conflicts + other.conflicts,
            future=self.future + other.future,
            rejected=self.rejected + other.rejected,
            rejects=(self.rejects + other.rejects)[:REJECTS_KEPT],
        )


def take(
    conn: sqlite3.Connection, columns: Sequence[str], lines: Sequence[str], *, first_line: int, now_ms: int
) -> Taken:
    """Store the good rows of a chunk inside the caller's transaction; blank lines count for nothing.

    Parameters
    ----------
    columns
        What the header names, checked by ``table.header``.
    first_line
        The number of the chunk's first line in its file.
    now_ms
        The time of the import [ms].

    Raises
    ------
    Refused
        Where no house is loaded.
    """
    known = table.places(conn)
    good, rejects = [], []
    for number, line in enumerate(lines, first_line):
        if not line.strip():
            continue
        try:
            good.append(table.reading(line, columns, known, now_ms))
        except table.BadRow as why:
            rejects.append(Reject(line=number, reason=str(why)))
    outcomes = Counter(insert(conn, good))
    return Taken(
        stored=outcomes["stored"],
        known=outcomes["duplicate"],
        conflicts=outcomes["conflict"],
        future=sum(1 for each in good if each.t_ms > now_ms + FUTURE_MS),
        rejected=len(rejects),
        rejects=tuple(rejects),
    )


def take_text(conn: sqlite3.Connection, text: bytes, *, first_line: int, now_ms: int) -> Taken:
    """Store a chunk that came as bytes: the header's line, then rows of which the first is ``first_line``.

    Raises
    ------
    BadInput
        Where the header names columns that there are not.
    Refused
        Where no house is loaded.
    """
    head, *lines = text.decode("utf-8", "surrogateescape").split("\n")
    stripped = [line.removesuffix("\r") for line in lines]
    return take(conn, table.header(head.strip()), stripped, first_line=first_line, now_ms=now_ms)
