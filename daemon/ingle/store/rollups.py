"""Quarter-hour and day roll-ups of each source: energy, mean temperature, how much is known and how well.

The rules of this file:

* A quarter-hour's roll-up is a function of the stored readings alone. So the order in which they came cannot
  matter, and whatever is marked dirty can be thrown away and computed again.
* A reading changes more than its own quarter-hour: the counter's step into it and out of it reach to its neighbours
  in time. Therefore a mark stands for all quarter-hours between the counter readings around it.
* Readers use the tables where they are clean and compute the rest on the fly; ``settle`` (house-keeping) makes the
  tables clean again. Nobody ever sees a stale roll-up.
* What a quarter-hour holds is worked out in ``quarter_hours``.

Quarter-hours and days are counted from 1970-01-01 UTC. All time zones in use are whole quarters away from UTC, so a
local day is a sum of quarters; UTC days only make long sums quick.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import Final

from ingle.model.base import Result
from ingle.model.readings import Quality, Source
from ingle.store.quarter_hours import AT_ONCE, NOTHING, QUALITY, QUARTERS_A_DAY, EnergySum, Series, Sum, series_of
from ingle.store.readings import QUARTER_MS

__all__ = ["EnergySum", "Quarter", "energy", "quarters", "settle", "spans"]


class Quarter(Result, frozen=True, kw_only=True):
    """A quarter-hour of a source; None where nothing is known.

    ``mean_power_w`` is the mean over the seconds whose energy is known, ``covered_s``; ``mean_temp_c`` is the mean of
    the readings in it.
    """

    start_ms: int
    energy_wh: float | None
    mean_power_w: float | None
    mean_temp_c: float | None
    count: int
    covered_s: float
    quality: Quality | None


_COLUMNS: Final = "bucket, energy, covered, temp, temps, count, quality"


def _rows(conn: sqlite3.Connection, table: str, series: int, first: int, end: int) -> dict[int, Sum]:
    rows = conn.execute(
        f"SELECT {_COLUMNS} FROM {table} WHERE series = ? AND bucket >= ? AND bucket < ?",  # noqa: S608 - constants
        (series, first, end),
    )
    return {
        bucket: Sum(energy, covered, temp, temps, count, quality)
        for bucket, energy, covered, temp, temps, count, quality in rows
    }


def quarters(conn: sqlite3.Connection, source: Source, start_ms: int, end_ms: int) -> list[Quarter]:
    """Return the quarter-hours of a source that touch a span and of which anything is known, in time order."""
    series = series_of(conn, source)
    if series is None or start_ms >= end_ms:
        return []
    first, end = start_ms // QUARTER_MS, -(-end_ms // QUARTER_MS)
    sums = _rows(conn, "quarter", series.number, first, end)
    for low, high in _overlaps(series.dirty(), first, end):
        for bucket in [bucket for bucket in sums if low <= bucket < high]:
            del sums[bucket]
        sums |= series.compute(low, high)
    return [_quarter(bucket, sums[bucket]) for bucket in sorted(sums)]


def _quarter(bucket: int, found: Sum) -> Quarter:
    power = None
    if found.energy is not None and found.covered > 0:
        power = found.energy * 3_600_000 / found.covered
    return Quarter(
        start_ms=bucket * QUARTER_MS,
        energy_wh=found.energy,
        mean_power_w=power,
        mean_temp_c=found.temp / found.temps if found.temps else None,
        count=found.count,
        covered_s=found.covered / 1000,
        quality=QUALITY[found.quality],
    )


def energy(conn: sqlite3.Connection, sources: Iterable[Source], start_ms: int, end_ms: int) -> dict[Source, EnergySum]:
    """Return the energy of each source over a span; a source of which nothing is known has None and 0 s."""
    return {source: spans(conn, source, (start_ms, end_ms))[0] for source in sources}


def spans(conn: sqlite3.Connection, source: Source, edges_ms: Sequence[int]) -> list[EnergySum]:
    """Return the energy of a source between each two successive instants, such as local midnights."""
    series = series_of(conn, source)
    if series is None:
        return [Sum().as_energy() for _ in pairwise(edges_ms)]
    first, end = edges_ms[0] // QUARTER_MS, -(-edges_ms[-1] // QUARTER_MS)
    short = len(edges_ms) * _FEW_QUARTERS > end - first
    at_hand = _energies(conn, series.number, first, end) if short else {}
    apart = _overlaps(series.dirty(), first, end)
    for bucket in [bucket for bucket in at_hand if any(low <= bucket < high for low, high in apart)]:
        del at_hand[bucket]
    for low, high in apart:
        for start in range(low, high, AT_ONCE):
            fresh = series.compute(start, min(high, start + AT_ONCE))
            at_hand |= {bucket: (bucket, each.energy, each.covered, each.quality) for bucket, each in fresh.items()}
    known = ([(first, end)] if short else apart, at_hand)
    return [
        _whole(at_hand, start, last)
        if short and start % QUARTER_MS == last % QUARTER_MS == 0
        else _span(conn, series, known, start, last)
        for start, last in pairwise(edges_ms)
    ]


#: A quarter-hour's number, energy [Wh], known time [ms] and stored quality: rows as they come, for they are many.
_Row = tuple[int, float | None, float, int]


def _energies(conn: sqlite3.Connection, series: int, first: int, end: int) -> dict[int, _Row]:
    rows = conn.execute(
        "SELECT bucket, energy, covered, quality FROM quarter WHERE series = ? AND bucket >= ? AND bucket < ?",
        (series, first, end),
    )
    return {row[0]: row for row in rows}


def _whole(at_hand: dict[int, _Row], start_ms: int, end_ms: int) -> EnergySum:
    """Add up whole quarter-hours that are all at hand."""
    total, covered, quality = None, 0.0, NOTHING
    for bucket in range(start_ms // QUARTER_MS, end_ms // QUARTER_MS):
        row = at_hand.get(bucket)
        if row is not None and row[1] is not None:
            total = row[1] if total is None else total + row[1]
            covered += row[2]
            quality = max(quality, row[3])
    return EnergySum(energy_wh=total, quality=QUALITY[quality], covered_s=covered / 1000)


#: Spans shorter than this on average are summed from rows that are read once [quarter-hours].
_FEW_QUARTERS: Final = 6


def _span(
    conn: sqlite3.Connection,
    series: Series,
    known: tuple[Sequence[tuple[int, int]], dict[int, _Row]],
    start_ms: int,
    end_ms: int,
) -> EnergySum:
    """Add up a span; ``known`` is where the tables are not to be asked, and the quarter-hours there."""
    first, end = -(-start_ms // QUARTER_MS), end_ms // QUARTER_MS
    if first > end:
        return series.clipped(start_ms, end_ms).as_energy()
    total = Sum()
    if start_ms < first * QUARTER_MS:
        _join(total, [series.clipped(start_ms, first * QUARTER_MS)])
    at = first
    apart, at_hand = known
    for low, high in _overlaps(apart, first, end):
        _join(total, _clean(conn, series.number, at, low))
        for _, wh, covered, quality in (at_hand[bucket] for bucket in range(low, high) if bucket in at_hand):
            if wh is not None:
                total.add_energy(wh, covered, quality)
        at = high
    _join(total, _clean(conn, series.number, at, end))
    if end * QUARTER_MS < end_ms:
        _join(total, [series.clipped(end * QUARTER_MS, end_ms)])
    return total.as_energy()


def _overlaps(runs: Iterable[tuple[int, int]], first: int, end: int) -> list[tuple[int, int]]:
    """Return the parts of runs that lie between two quarter-hours."""
    return [(max(low, first), min(high, end)) for low, high in runs if low < end and high > first]


def _join(total: Sum, parts: Iterable[Sum]) -> None:
    for part in parts:
        if part.energy is not None:
            total.add_energy(part.energy, part.covered, part.quality)


def _clean(conn: sqlite3.Connection, series: int, first: int, end: int) -> Iterator[Sum]:
    """Return sums of the tables over clean quarter-hours: whole days from ``day``, the rest from ``quarter``."""
    first_day, end_day = -(-first // QUARTERS_A_DAY), end // QUARTERS_A_DAY
    if first_day >= end_day:
        yield _total(conn, "quarter", series, first, end)
        return
    yield _total(conn, "quarter", series, first, first_day * QUARTERS_A_DAY)
    yield _total(conn, "day", series, first_day, end_day)
    yield _total(conn, "quarter", series, end_day * QUARTERS_A_DAY, end)


def _total(conn: sqlite3.Connection, table: str, series: int, first: int, end: int) -> Sum:
    if first >= end:
        return Sum()
    wh, covered, quality = conn.execute(
        f"SELECT sum(energy), total(covered), max(quality) FROM {table} "  # noqa: S608 - constants
        "WHERE series = ? AND bucket >= ? AND bucket < ?",
        (series, first, end),
    ).fetchone()
    return Sum(energy=wh, covered=covered, quality=quality or NOTHING)


def settle(conn: sqlite3.Connection, *, most: int = 50_000) -> int:
    """Make the tables follow the readings again, inside the caller's transaction.

    Parameters
    ----------
    most
        About how many quarter-hours to compute before stopping, so that the writer is not held up for long.

    Returns
    -------
    int
        How many marks are left.
    """
    done = 0
    dirty = conn.execute(
        "SELECT DISTINCT id, kind, name, has_energy FROM dirty JOIN series ON series.id = dirty.series"
    ).fetchall()
    for number, kind, name, has_energy in dirty:
        series = Series(conn, number, Source(kind, name), has_energy=bool(has_energy))
        for first, end in series.dirty():
            if done >= most:
                break
            _settle_run(conn, series, first, end)
            done += end - first
    (left,) = conn.execute("SELECT count(*) FROM dirty").fetchone()
    return int(left)


def _settle_run(conn: sqlite3.Connection, series: Series, first: int, end: int) -> None:
    for low in range(first, end, AT_ONCE):
        high = min(end, low + AT_ONCE)
        _replace(conn, "quarter", series.number, (low, high), series.compute(low, high))
    first_day, end_day = first // QUARTERS_A_DAY, -(-end // QUARTERS_A_DAY)
    for day in range(first_day, end_day):
        parts = _rows(conn, "quarter", series.number, day * QUARTERS_A_DAY, (day + 1) * QUARTERS_A_DAY)
        _replace(conn, "day", series.number, (day, day + 1), {day: _day(parts.values())} if parts else {})
    conn.execute("DELETE FROM dirty WHERE series = ? AND bucket >= ? AND bucket < ?", (series.number, first, end))


def _day(parts: Iterable[Sum]) -> Sum:
    total = Sum()
    for part in parts:
        _join(total, [part])
        total.temp += part.temp
        total.temps += part.temps
        total.count += part.count
    return total


def _replace(conn: sqlite3.Connection, table: str, series: int, span: tuple[int, int], sums: dict[int, Sum]) -> None:
    conn.execute(f"DELETE FROM {table} WHERE series = ? AND bucket >= ? AND bucket < ?", (series, *span))  # noqa: S608
    conn.executemany(
        f"INSERT INTO {table} (series, {_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",  # noqa: S608 - constants
        [(series, bucket, s.energy, s.covered, s.temp, s.temps, s.count, s.quality) for bucket, s in sums.items()],
    )
