"""Quarter-hours from readings: the counter's steps and held power, cut at the quarters of an hour.

Energy is the counter's wherever a counter reading lies on both sides. Outside of that, and where a step of the counter
is suspect, it is power held until the next reading, if that came within a quarter of an hour. Worst word wins:
``estimated`` (a part is not from a meter) over ``filled`` (the total is metered, but a silence of more than a quarter
of an hour was bridged) over ``metered``.
"""

from __future__ import annotations

import sqlite3
from bisect import bisect_left
from collections.abc import Iterator, Sequence
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
NOTHING, _METERED, _FILLED, _ESTIMATED = range(4)
QUALITY: Final[dict[int, Quality | None]] = {0: None, 1: "metered", 2: "filled", 3: "estimated"}

#: Quarter-hours computed at once: a week, some ten thousand readings in memory.
AT_ONCE: Final = 7 * QUARTERS_A_DAY

_COMPUTED_FLAG: Final = 2  # the energy_is part of ``reading.flags`` that says "computed"


class EnergySum(Result, frozen=True, kw_only=True):
    """Energy over a span [Wh], None where nothing is known of it, and for how long it is known [s]."""

    energy_wh: float | None
    quality: Quality | None
    covered_s: float


@dataclass(slots=True)
class Sum:
    """What is added up in a quarter-hour, a day or a span."""

    energy: float | None = None
    covered: float = 0.0
    temp: float = 0.0
    temps: int = 0
    count: int = 0
    quality: int = NOTHING

    def add_energy(self, wh: float, ms: float, quality: int) -> None:
        """Add a piece of energy that is known for some time."""
        self.energy = (self.energy or 0.0) + wh
        self.covered += ms
        self.quality = max(self.quality, quality)

    def as_energy(self) -> EnergySum:
        """Return it as what readers see."""
        return EnergySum(energy_wh=self.energy, quality=QUALITY[self.quality], covered_s=self.covered / 1000)


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


class Series:
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

    def compute(self, first: int, end: int) -> dict[int, Sum]:
        """Compute quarter-hours from the readings."""
        start_ms, end_ms = first * QUARTER_MS, end * QUARTER_MS
        points = self._points(start_ms, end_ms)
        sums: dict[int, Sum] = {}
        for point in points:
            if start_ms <= point.t < end_ms:
                into = sums.setdefault(point.t // QUARTER_MS, Sum())
                into.count += 1
                if point.temp_c is not None:
                    into.temp += point.temp_c
                    into.temps += 1
        for piece in _pieces(points, self._rated_w):
            for part in _split(piece, start_ms, end_ms):
                into = sums.setdefault(part.start // QUARTER_MS, Sum())
                into.add_energy(part.wh, part.end - part.start if part.known else 0, part.quality)
        return sums

    def clipped(self, start_ms: int, end_ms: int) -> Sum:
        """Compute the energy of a span that need not begin or end with a quarter-hour."""
        into = Sum()
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


def series_of(conn: sqlite3.Connection, source: Source) -> Series | None:
    """Return a source as the database knows it; None where it never reported."""
    row = conn.execute("SELECT id, has_energy FROM series WHERE kind = ? AND name = ?", source).fetchone()
    return None if row is None else Series(conn, row[0], source, has_energy=bool(row[1]))
