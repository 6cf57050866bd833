"""Quarter-hour and day roll-ups of each source: energy, mean temperature, how much is known and how well.

The rules of this file:

* A quarter-hour's roll-up is a function of the stored readings alone. So the order in which they came cannot
  matter, and whatever is marked dirty can be thrown away and computed again.
* A reading changes more than its own quarter-hour: the counter's step into it and out of it reach to its neighbours
  in time. Therefore a mark stands for all quarter-hours between the counter readings around it.
* Readers use the tables where they are clean and compute the rest on the fly; ``settle`` (house-keeping) makes the
  tables clean again. Nobody ever sees a stale roll-up.
* Energy is the counter's wherever a counter reading lies on both sides. Outside of that, and where a step of the
  counter is suspect, it is power held until the next reading, if that came within a quarter of an hour.
* Worst word wins: ``estimated`` (a part is not from a meter) over ``filled`` (the total is metered, but a silence of
  more than a quarter of an hour was bridged) over ``metered``.

Quarter-hours and days are counted from 1970-01-01 UTC. All time zones in use are whole quarters away from UTC, so a
local day is a sum of quarters; UTC days only make long sums quick.
"""

from __future__ import annotations

import sqlite3
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final, NamedTuple

from ingle.model.base import Result
from ingle.model.counter import GAP_S, Step, step
from ingle.model.readings import Quality, Source
from ingle.store.readings import QUARTER_MS, SCALES

QUARTERS_A_DAY: Final = 96
GAP_MS: Final = round(GAP_S * 1000)

#: A heater may be away for a year; a counter further off is no neighbour (a device without a battery clock reports
#: from 1970 until it has found the time) [ms].
LONGEST_BRIDGE_MS: Final = 400 * 86_400_000

#: What a source without a plate could draw at most [W]: the model's largest heater, and a three-phase supply of
#: 400 A at 480 V.
CEILING_W: Final = {"heater": 30_000.0, "meter": 600_000.0}

#: Qualities as they are stored; the larger is the worse.
_NOTHING, _METERED, _FILLED, _ESTIMATED = range(4)
_QUALITY: Final[dict[int, Quality | None]] = {0: None, 1: "metered", 2: "filled", 3: "estimated"}

#: Quarter-hours computed at once: a week, some ten thousand readings in memory.
_AT_ONCE: Final = 7 * QUARTERS_A_DAY

_COMPUTED_FLAG: Final = 2  # the energy_is part of ``reading.flags`` that says "computed"


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


class EnergySum(Result, frozen=True, kw_only=True):
    """Energy over a span [Wh], None where nothing is known of it, and for how long it is known [s]."""

    energy_wh: float | None
    quality: Quality | None
    covered_s: float


@dataclass(slots=True)
class _Sum:
    """What is added up in a quarter-hour, a day or a span."""

    energy: float | None = None
    covered: float = 0.0
    temp: float = 0.0
    temps: int = 0
    count: int = 0
    quality: int = _NOTHING

    def add_energy(self, wh: float, ms: float, quality: int) -> None:
        """Add a piece of energy that is known for some time."""
        self.energy = (self.energy or 0.0) + wh
        self.covered += ms
        self.quality = max(self.quality, quality)

    def as_energy(self) -> EnergySum:
        """Return it as what readers see."""
        return EnergySum(energy_wh=self.energy, quality=_QUALITY[self.quality], covered_s=self.covered / 1000)


class _Point(NamedTuple):
    """What the roll-ups need of a reading."""

    t: int
    power_w: float | None
    energy_wh: float | None
    temp_c: float | None
    computed: bool


class _Piece(NamedTuple):
    """Energy drawn evenly over a stretch of time; ``known`` tells whether the stretch counts as covered."""

    start: int
    end: int
    wh: float
    quality: int
    known: bool = True


class _Series:
    """One source's stored readings and roll-ups."""

    def __init__(self, conn: sqlite3.Connection, number: int, source: Source, *, has_energy: bool) -> None:
        self.number = number
        self._conn = conn
        self._has_energy = has_energy
        plate = conn.execute("SELECT rated_w FROM plate WHERE kind = ? AND name = ?", source).fetchone()
        self._rated_w = float(plate[0]) if plate else CEILING_W.get(source.kind, 0.0)

    def dirty(self) -> list[tuple[int, int]]:
        """Return the runs of quarter-hours whose tables must not be read: first, and one past the last."""
        marks = self._conn.execute("SELECT bucket FROM dirty WHERE series = ? ORDER BY bucket", (self.number,))
        runs: list[tuple[int, int]] = []
        for low, high in _runs([bucket for (bucket,) in marks]):
            first, end = self._reach(low, high)
            if runs and first <= runs[-1][1]:
                runs[-1] = (runs[-1][0], max(end, runs[-1][1]))
            else:
                runs.append((first, end))
        return runs

    def _reach(self, low: int, high: int) -> tuple[int, int]:
        """Widen a run of marks to the counter readings around it, and by one for power that is held."""
        before = self._counter_before(low * QUARTER_MS)
        after = self._counter_from(high * QUARTER_MS)
        first = low - 1 if before is None else min(low - 1, before.t // QUARTER_MS)
        end = high + 1 if after is None else max(high + 1, after.t // QUARTER_MS + 1)
        return first, end

    def _counter_before(self, t: int) -> _Point | None:
        return self._counter("t DESC, boot DESC, seq DESC", t - LONGEST_BRIDGE_MS, t)

    def _counter_from(self, t: int) -> _Point | None:
        return self._counter("t, boot, seq", t, t + LONGEST_BRIDGE_MS)

    def _counter(self, order: str, start: int, end: int) -> _Point | None:
        if not self._has_energy:
            return None
        row = self._conn.execute(
            f"SELECT {_POINT} FROM reading WHERE series = ? AND t >= ? AND t < ? AND energy IS NOT NULL "  # noqa: S608
            f"ORDER BY {order} LIMIT 1",
            (self.number, start, end),
        ).fetchone()
        return None if row is None else _point(row)

    def _points(self, start: int, end: int) -> list[_Point]:
        """Return the readings of a span, with those that reach into it from either side."""
        low, high = start - GAP_MS, end + GAP_MS
        rows = self._conn.execute(
            f"SELECT {_POINT} FROM reading WHERE series = ? AND t >= ? AND t < ? ORDER BY t, boot, seq",  # noqa: S608
            (self.number, low, high),
        )
        around = [self._counter_before(low), *map(_point, rows), self._counter_from(high)]
        return [point for point in around if point is not None]

    def compute(self, first: int, end: int) -> dict[int, _Sum]:
        """Compute quarter-hours from the readings."""
        start_ms, end_ms = first * QUARTER_MS, end * QUARTER_MS
        points = self._points(start_ms, end_ms)
        sums: dict[int, _Sum] = {}
        for point in points:
            if start_ms <= point.t < end_ms:
                into = sums.setdefault(point.t // QUARTER_MS, _Sum())
                into.count += 1
                if point.temp_c is not None:
                    into.temp += point.temp_c
                    into.temps += 1
        for piece in _pieces(points, self._rated_w):
            for part in _split(piece, start_ms, end_ms):
                into = sums.setdefault(part.start // QUARTER_MS, _Sum())
                into.add_energy(part.wh, part.end - part.start if part.known else 0, part.quality)
        return sums

    def clipped(self, start_ms: int, end_ms: int) -> _Sum:
        """Compute the energy of a span that need not begin or end with a quarter-hour."""
        into = _Sum()
        for piece in _pieces(self._points(start_ms, end_ms), self._rated_w):
            part = _clip(piece, start_ms, end_ms)
            if part is not None:
                into.add_energy(part.wh, part.end - part.start if part.known else 0, part.quality)
        return into


_POINT: Final = "t, power, energy, temp, flags"


def _point(row: tuple[Any, ...]) -> _Point:
    t, power, energy, temp, flags = row
    return _Point(
        t,
        None if power is None else power / SCALES["power_w"],
        None if energy is None else energy / SCALES["energy_wh"],
        None if temp is None else temp / SCALES["temp_c"],
        flags & 3 == _COMPUTED_FLAG,
    )


def _runs(buckets: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Group sorted numbers into runs: first, and one past the last.

    >>> list(_runs([3, 4, 5, 9]))
    [(3, 6), (9, 10)]
    """
    start = previous = None
    for bucket in buckets:
        if start is None or previous is None:
            start = bucket
        elif bucket != previous + 1:
            yield start, previous + 1
            start = bucket
        previous = bucket
    if start is not None and previous is not None:
        yield start, previous + 1


def _pieces(points: Sequence[_Point], rated_w: float) -> Iterator[_Piece]:
    """Turn readings into pieces of energy: the counter's steps, and power held where there is none."""
    counters = [point for point in points if point.energy_wh is not None]
    bare: list[tuple[int, int]] = []
    for before, after in pairwise(counters):
        if after.t - before.t > LONGEST_BRIDGE_MS:
            bare.append((before.t, after.t))
            continue
        found = _step(before, after, rated_w)
        if found.kind == "suspect":
            bare.append((before.t, after.t))
            yield _Piece(before.t, after.t, 0.0, _ESTIMATED, known=False)
        else:
            yield _Piece(before.t, after.t, found.energy_wh, _quality(found, after))
    yield from _held(points, counters, bare)


def _step(before: _Point, after: _Point, rated_w: float) -> Step:
    seconds = (after.t - before.t) / 1000
    return step(before.energy_wh or 0.0, after.energy_wh or 0.0, seconds, rated_w=rated_w)


def _quality(found: Step, after: _Point) -> int:
    if found.kind == "reset" or after.computed:
        return _ESTIMATED
    return _FILLED if found.kind == "gap" else _METERED


def _held(points: Sequence[_Point], counters: Sequence[_Point], bare: Sequence[tuple[int, int]]) -> Iterator[_Piece]:
    """Hold power until the next reading of it, outside the counter's reach and inside its suspect steps."""
    powers = [point for point in points if point.power_w is not None]
    bare = [(_ALWAYS[0], counters[0].t), *bare, (counters[-1].t, _ALWAYS[1])] if counters else [_ALWAYS]
    ends = [end for _, end in bare]
    for before, after in pairwise(powers):
        if after.t - before.t > GAP_MS:
            continue
        held = _Piece(before.t, after.t, (before.power_w or 0.0) * (after.t - before.t) / 3_600_000, _ESTIMATED)
        # The stretches are in time order, so only those from the first that ends later can overlap.
        for start, end in bare[bisect_left(ends, before.t) :]:
            if start >= after.t:
                break
            part = _clip(held, start, end)
            if part is not None:
                yield part


_ALWAYS: Final = (-(2**62), 2**62)


def _clip(piece: _Piece, start: int, end: int) -> _Piece | None:
    """Return the part of a piece that lies in a span; energy without duration belongs to its instant."""
    low, high = max(piece.start, start), min(piece.end, end)
    if piece.start == piece.end:
        return piece if start <= piece.start < end else None
    if low >= high:
        return None
    return piece._replace(start=low, end=high, wh=piece.wh * (high - low) / (piece.end - piece.start))


def _split(piece: _Piece, start: int, end: int) -> Iterator[_Piece]:
    """Cut the part of a piece that lies in a span at the quarter-hours."""
    first = max(piece.start, start) // QUARTER_MS
    last = min(piece.end, end - 1) // QUARTER_MS
    for bucket in range(first, last + 1):
        part = _clip(piece, bucket * QUARTER_MS, (bucket + 1) * QUARTER_MS)
        if part is not None:
            yield part


def _series_of(conn: sqlite3.Connection, source: Source) -> _Series | None:
    row = conn.execute("SELECT id, has_energy FROM series WHERE kind = ? AND name = ?", source).fetchone()
    return None if row is None else _Series(conn, row[0], source, has_energy=bool(row[1]))


_COLUMNS: Final = "bucket, energy, covered, temp, temps, count, quality"


def _rows(conn: sqlite3.Connection, table: str, series: int, first: int, end: int) -> dict[int, _Sum]:
    rows = conn.execute(
        f"SELECT {_COLUMNS} FROM {table} WHERE series = ? AND bucket >= ? AND bucket < ?",  # noqa: S608 - constants
        (series, first, end),
    )
    return {
        bucket: _Sum(energy, covered, temp, temps, count, quality)
        for bucket, energy, covered, temp, temps, count, quality in rows
    }


def quarters(conn: sqlite3.Connection, source: Source, start_ms: int, end_ms: int) -> list[Quarter]:
    """Return the quarter-hours of a source that touch a span and of which anything is known, in time order."""
    series = _series_of(conn, source)
    if series is None or start_ms >= end_ms:
        return []
    first, end = start_ms // QUARTER_MS, -(-end_ms // QUARTER_MS)
    sums = _rows(conn, "quarter", series.number, first, end)
    for low, high in _overlaps(series.dirty(), first, end):
        for bucket in [bucket for bucket in sums if low <= bucket < high]:
            del sums[bucket]
        sums |= series.compute(low, high)
    return [_quarter(bucket, sums[bucket]) for bucket in sorted(sums)]


def _quarter(bucket: int, found: _Sum) -> Quarter:
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
        quality=_QUALITY[found.quality],
    )


def energy(conn: sqlite3.Connection, sources: Iterable[Source], start_ms: int, end_ms: int) -> dict[Source, EnergySum]:
    """Return the energy of each source over a span; a source of which nothing is known has None and 0 s."""
    return {source: spans(conn, source, (start_ms, end_ms))[0] for source in sources}


def spans(conn: sqlite3.Connection, source: Source, edges_ms: Sequence[int]) -> list[EnergySum]:
    """Return the energy of a source between each two successive instants, such as local midnights."""
    series = _series_of(conn, source)
    if series is None:
        return [_Sum().as_energy() for _ in pairwise(edges_ms)]
    first, end = edges_ms[0] // QUARTER_MS, -(-edges_ms[-1] // QUARTER_MS)
    short = len(edges_ms) * _FEW_QUARTERS > end - first
    sums = _rows(conn, "quarter", series.number, first, end) if short else {}
    apart = _overlaps(series.dirty(), first, end)
    for bucket in [bucket for bucket in sums if any(low <= bucket < high for low, high in apart)]:
        del sums[bucket]
    for low, high in apart:
        for start in range(low, high, _AT_ONCE):
            sums |= series.compute(start, min(high, start + _AT_ONCE))
    known = ([(first, end)] if short else apart, sums)
    return [_span(conn, series, known, *each) for each in pairwise(edges_ms)]


#: Spans shorter than this on average are summed from rows that are read once [quarter-hours].
_FEW_QUARTERS: Final = 6


def _span(
    conn: sqlite3.Connection,
    series: _Series,
    known: tuple[Sequence[tuple[int, int]], dict[int, _Sum]],
    start_ms: int,
    end_ms: int,
) -> EnergySum:
    """Add up a span; ``known`` is where the tables are not to be asked, and the quarter-hours there."""
    first, end = -(-start_ms // QUARTER_MS), end_ms // QUARTER_MS
    if first > end:
        return series.clipped(start_ms, end_ms).as_energy()
    total = _Sum()
    if start_ms < first * QUARTER_MS:
        _join(total, [series.clipped(start_ms, first * QUARTER_MS)])
    at = first
    apart, sums = known
    for low, high in _overlaps(apart, first, end):
        _join(total, _clean(conn, series.number, at, low))
        _join(total, [sums[bucket] for bucket in range(low, high) if bucket in sums])
        at = high
    _join(total, _clean(conn, series.number, at, end))
    if end * QUARTER_MS < end_ms:
        _join(total, [series.clipped(end * QUARTER_MS, end_ms)])
    return total.as_energy()


def _overlaps(runs: Iterable[tuple[int, int]], first: int, end: int) -> list[tuple[int, int]]:
    """Return the parts of runs that lie between two quarter-hours."""
    return [(max(low, first), min(high, end)) for low, high in runs if low < end and high > first]


def _join(total: _Sum, parts: Iterable[_Sum]) -> None:
    for part in parts:
        if part.energy is not None:
            total.add_energy(part.energy, part.covered, part.quality)


def _clean(conn: sqlite3.Connection, series: int, first: int, end: int) -> Iterator[_Sum]:
    """Return sums of the tables over clean quarter-hours: whole days from ``day``, the rest from ``quarter``."""
    first_day, end_day = -(-first // QUARTERS_A_DAY), end // QUARTERS_A_DAY
    if first_day >= end_day:
        yield _total(conn, "quarter", series, first, end)
        return
    yield _total(conn, "quarter", series, first, first_day * QUARTERS_A_DAY)
    yield _total(conn, "day", series, first_day, end_day)
    yield _total(conn, "quarter", series, end_day * QUARTERS_A_DAY, end)


def _total(conn: sqlite3.Connection, table: str, series: int, first: int, end: int) -> _Sum:
    if first >= end:
        return _Sum()
    wh, covered, quality = conn.execute(
        f"SELECT sum(energy), total(covered), max(quality) FROM {table} "  # noqa: S608 - constants
        "WHERE series = ? AND bucket >= ? AND bucket < ?",
        (series, first, end),
    ).fetchone()
    return _Sum(energy=wh, covered=covered, quality=quality or _NOTHING)


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
        series = _Series(conn, number, Source(kind, name), has_energy=bool(has_energy))
        for first, end in series.dirty():
            if done >= most:
                break
            _settle_run(conn, series, first, end)
            done += end - first
    (left,) = conn.execute("SELECT count(*) FROM dirty").fetchone()
    return int(left)


def _settle_run(conn: sqlite3.Connection, series: _Series, first: int, end: int) -> None:
    for low in range(first, end, _AT_ONCE):
        high = min(end, low + _AT_ONCE)
        _replace(conn, "quarter", series.number, (low, high), series.compute(low, high))
    first_day, end_day = first // QUARTERS_A_DAY, -(-end // QUARTERS_A_DAY)
    for day in range(first_day, end_day):
        parts = _rows(conn, "quarter", series.number, day * QUARTERS_A_DAY, (day + 1) * QUARTERS_A_DAY)
        _replace(conn, "day", series.number, (day, day + 1), {day: _day(parts.values())} if parts else {})
    conn.execute("DELETE FROM dirty WHERE series = ? AND bucket >= ? AND bucket < ?", (series.number, first, end))


def _day(parts: Iterable[_Sum]) -> _Sum:
    total = _Sum()
    for part in parts:
        _join(total, [part])
        total.temp += part.temp
        total.temps += part.temps
        total.count += part.count
    return total


def _replace(conn: sqlite3.Connection, table: str, series: int, span: tuple[int, int], sums: dict[int, _Sum]) -> None:
    conn.execute(f"DELETE FROM {table} WHERE series = ? AND bucket >= ? AND bucket < ?", (series, *span))  # noqa: S608
    conn.executemany(
        f"INSERT INTO {table} (series, {_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",  # noqa: S608 - constants
        [(series, bucket, s.energy, s.covered, s.temp, s.temps, s.count, s.quality) for bucket, s in sums.items()],
    )
