"""Readings in and out of the database.

The rules of this file:

* A reading that numbers itself is known by (source, boot, seq); any other by (source, time in ms).
* A key that comes again with the same values is a duplicate. With values that the first did not have, these are
  added, as two topics of one device may report in one millisecond. With other values the first wins: a conflict.
* ``insert`` is the hot path: it first hopes that the whole batch is new, and only looks at single rows where not.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Final, Literal

import msgspec

from ingle.model.readings import EnergyIs, Reading, Source, SourceKind
from ingle.store.connect import Caches, Link

Outcome = Literal["stored", "duplicate", "conflict"]

#: Quarter-hours are counted from 1970-01-01 UTC [ms].
QUARTER_MS: Final = 900_000

#: What one unit is on disk: 0.01 W, 1 mWh, 0.01 V, 1 mK, 0.01 %, 0.1 W/m², 0.01 m/s.
SCALES: Final = {
    "power_w": 100,
    "energy_wh": 1000,
    "voltage_v": 100,
    "temp_c": 1000,
    "setpoint_c": 1000,
    "humidity_percent": 100,
    "irradiance_w_per_m2": 10,
    "wind_m_per_s": 100,
}
#: SQLite's integers; what a broken device sends beyond them is kept at the limit rather than lost with its batch.
LARGEST: Final = 2**63 - 1

_COLUMNS: Final = (
    "series, t, boot, seq, late, power, energy, voltage, temp, setpoint, humidity, irradiance, wind, flags, rest"
)
_INSERT: Final = "INSERT OR IGNORE INTO reading VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
_FIRST_VALUE: Final = 5  # the columns from here to flags are measured values
_FLAGS: Final = 13
_REST: Final = 14

_ENERGY_IS: Final[dict[EnergyIs | None, int]] = {None: 0, "metered": 1, "computed": 2}
_OPENING: Final[dict[bool | None, int]] = {None: 0, False: 4, True: 8}
#: The part of ``flags`` that marks what came dated ahead of the clock.
FUTURE_BIT: Final = 16
_ENERGY_IS_BACK: Final[dict[int, EnergyIs | None]] = {code: word for word, code in _ENERGY_IS.items()}
_OPENING_BACK: Final = {code: word for word, code in _OPENING.items()}

Row = tuple[Any, ...]


class _Rest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What few readings have: a fault, or half a number of its own."""

    fault: str | None = None
    boot: str | None = None
    seq: int | None = None


def insert(conn: sqlite3.Connection, readings: Sequence[Reading]) -> list[Outcome]:
    """Store readings inside the caller's transaction and mark what their roll-ups must follow.

    Returns
    -------
    list
        What became of each: stored, duplicate or conflict.
    """
    if not readings:
        return []
    caches = conn.caches if isinstance(conn, Link) else Caches()
    rows = _rows(conn, readings, caches)
    conn.execute("SAVEPOINT readings")
    try:
        stored = conn.executemany(_INSERT, rows).rowcount
    except OverflowError:
        rows = [_clamped(row) for row in rows]
        stored = 0
    if stored == len(rows):
        conn.execute("RELEASE readings")
        outcomes: list[Outcome] = ["stored"] * len(rows)
    else:
        conn.execute("ROLLBACK TO readings")
        conn.execute("RELEASE readings")
        outcomes = [_insert_one(conn, row) for row in rows]
    _mark(conn, rows, outcomes, caches)
    return outcomes


def _rows(conn: sqlite3.Connection, readings: Sequence[Reading], caches: Caches) -> list[Row]:
    """Lay readings out as rows; written out field by field because every message of the house passes here."""
    series_ids = caches.series
    rows: list[Row] = []
    for r in readings:
        series = series_ids.get(r.source) or _series_id(conn, r.source, caches)
        boot = seq = 0
        rest = None
        if r.boot is not None and r.seq is not None:
            boot, seq = _boot_id(conn, r.boot, caches), r.seq
            if r.fault is not None:
                rest = _rest(r)
        elif r.boot is not None or r.seq is not None or r.fault is not None:
            rest = _rest(r)
        w, wh, v, c, s = r.power_w, r.energy_wh, r.voltage_v, r.temp_c, r.setpoint_c
        h, i, m = r.humidity_percent, r.irradiance_w_per_m2, r.wind_m_per_s
        flags = _ENERGY_IS[r.energy_is] | _OPENING[r.opening] | (FUTURE_BIT if r.future else 0)
        rows.append(
            (
                series,
                r.t_ms,
                boot,
                seq,
                r.arrived_ms - r.t_ms,
                w if w is None else round(w * 100),
                wh if wh is None else round(wh * 1000),
                v if v is None else round(v * 100),
                c if c is None else round(c * 1000),
                s if s is None else round(s * 1000),
                h if h is None else round(h * 100),
                i if i is None else round(i * 10),
                m if m is None else round(m * 100),
                flags,
                rest,
            )
        )
    return rows


def _rest(reading: Reading) -> str:
    numbered = reading.boot is not None and reading.seq is not None
    rest = _Rest(
        fault=reading.fault,
        boot=None if numbered else reading.boot,
        seq=None if numbered else reading.seq,
    )
    return msgspec.json.encode(rest).decode()


def _clamped(row: Row) -> Row:
    return tuple(max(-LARGEST, min(LARGEST, each)) if isinstance(each, int) else each for each in row)


def _series_id(conn: sqlite3.Connection, source: Source, caches: Caches) -> int:
    conn.execute("INSERT OR IGNORE INTO series (kind, name) VALUES (?, ?)", source)
    found: tuple[int, int] = conn.execute(
        "SELECT id, has_energy FROM series WHERE kind = ? AND name = ?", source
    ).fetchone()
    caches.series[source] = found[0]
    if found[1]:
        caches.with_energy.add(found[0])
    return found[0]


def _boot_id(conn: sqlite3.Connection, boot: str, caches: Caches) -> int:
    known = caches.boots.get(boot)
    if known is not None:
        return known
    conn.execute("INSERT OR IGNORE INTO boot (name) VALUES (?)", (boot,))
    found: int = conn.execute("SELECT id FROM boot WHERE name = ?", (boot,)).fetchone()[0]
    if len(caches.boots) >= 10_000:  # a device that invents a boot for each message must not fill the memory
        caches.boots.clear()
    caches.boots[boot] = found
    return found


def _insert_one(conn: sqlite3.Connection, row: Row) -> Outcome:
    if conn.execute(_INSERT, row).rowcount == 1:
        return "stored"
    first = _first_with_key(conn, row)
    own_time = row[4] != 0  # a reading without a time of its own carries its arrival's, which differs every time
    if own_time and first[1] != row[1]:
        return "conflict"
    merged = [_merged(old, new) for old, new in zip(first[_FIRST_VALUE:_FLAGS], row[_FIRST_VALUE:_FLAGS], strict=True)]
    flags = _merged_flags(first[_FLAGS], row[_FLAGS])
    rest = _merged(first[_REST], row[_REST])
    after = [*merged, flags, rest]
    if _CONFLICT in after:
        return "conflict"
    if after == list(first[_FIRST_VALUE:]):
        return "duplicate"
    conn.execute(
        "UPDATE reading SET power = ?, energy = ?, voltage = ?, temp = ?, setpoint = ?, humidity = ?, irradiance = ?, "
        "wind = ?, flags = ?, rest = ? WHERE series = ? AND t = ? AND boot = ? AND seq = ?",
        (*after, *first[:4]),
    )
    return "stored"


def _first_with_key(conn: sqlite3.Connection, row: Row) -> Row:
    series, t, boot, seq = row[:4]
    key: Row = (series, boot, seq) if boot else (series, t)
    where = "boot = ? AND seq = ? AND boot > 0" if boot else "t = ? AND boot = 0 AND seq = 0"
    found: Row = conn.execute(f"SELECT {_COLUMNS} FROM reading WHERE series = ? AND {where}", key).fetchone()  # noqa: S608 - constants
    return found


_CONFLICT: Final = object()


def _merged(old: object, new: object) -> object:
    if new is None or new == old:
        return old
    return new if old is None else _CONFLICT


def _merged_flags(old: int, new: int) -> object:
    """Merge the flags part by part: what energy is, and the opening, each unknown or fixed."""
    merged = old & FUTURE_BIT
    for mask in (3, 12):
        part = _merged((old & mask) or None, (new & mask) or None)
        if part is _CONFLICT:
            return _CONFLICT
        merged |= int(part or 0)  # type: ignore[call-overload] # narrowed by hand: an int or None
    return merged


def _mark(conn: sqlite3.Connection, rows: Sequence[Row], outcomes: Sequence[Outcome], caches: Caches) -> None:
    """Mark the quarter-hours that changed, each once, and the series that count energy."""
    dirty: set[tuple[int, int]] = set()
    counting: set[int] = set()
    for row, outcome in zip(rows, outcomes, strict=True):
        if outcome == "stored":
            dirty.add((row[0], row[1] // QUARTER_MS))
            if row[6] is not None:
                counting.add(row[0])
    if dirty:
        conn.executemany("INSERT OR IGNORE INTO dirty VALUES (?, ?)", dirty)
    if counting - caches.with_energy:
        conn.executemany("UPDATE series SET has_energy = 1 WHERE id = ?", [(series,) for series in counting])
        caches.with_energy |= counting


def sources(conn: sqlite3.Connection) -> list[Source]:
    """Return every source that ever reported."""
    return [Source(kind, name) for kind, name in conn.execute("SELECT kind, name FROM series ORDER BY kind, name")]


def select(
    conn: sqlite3.Connection,
    *,
    sources: Iterable[Source] | None = None,
    start_ms: int | None = None,
    end_ms: int | None = None,
    chunk: int = 5000,
) -> Iterator[Reading]:
    """Return readings from ``start_ms`` up to, not at, ``end_ms``: source by source, each in time order.

    Rows are fetched in chunks with no statement left open between them, so that a slow reader neither holds much
    memory nor keeps the write-ahead log from being emptied.

    Parameters
    ----------
    sources
        Whose; None for all.
    """
    chosen = conn.execute("SELECT id, kind, name FROM series ORDER BY kind, name").fetchall()
    wanted = None if sources is None else set(sources)
    start = -LARGEST if start_ms is None else start_ms
    end = LARGEST if end_ms is None else end_ms
    for series, kind, name in chosen:
        if wanted is None or (kind, name) in wanted:
            yield from _select_one(conn, series, Source(kind, name), start, end, chunk)


_SELECT: Final = (
    f"SELECT {_COLUMNS}, (SELECT name FROM boot WHERE boot.id = reading.boot) FROM reading "  # noqa: S608 - constants
    "WHERE series = ? AND t >= ? AND t < ? AND (t, boot, seq) > (?, ?, ?) ORDER BY t, boot, seq LIMIT ?"
)


def _select_one(
    conn: sqlite3.Connection, series: int, source: Source, start: int, end: int, chunk: int
) -> Iterator[Reading]:
    last = (start, -1, -LARGEST)
    while True:
        rows = conn.execute(_SELECT, (series, last[0], end, *last, chunk)).fetchall()
        for row in rows:
            yield _reading(source, row)
        if len(rows) < chunk:
            return
        last = rows[-1][1:4]


def _reading(source: Source, row: Row) -> Reading:
    _, t, boot, seq, late, w, wh, v, c, s, h, i, m, flags, rest, boot_name = row
    extra = _NO_REST if rest is None else msgspec.json.decode(rest, type=_Rest)
    return Reading(
        source=source,
        t_ms=t,
        arrived_ms=t + late,
        boot=boot_name if boot else extra.boot,
        seq=seq if boot else extra.seq,
        power_w=w if w is None else w / 100,
        energy_wh=wh if wh is None else wh / 1000,
        energy_is=_ENERGY_IS_BACK[flags & 3],
        voltage_v=v if v is None else v / 100,
        temp_c=c if c is None else c / 1000,
        setpoint_c=s if s is None else s / 1000,
        humidity_percent=h if h is None else h / 100,
        irradiance_w_per_m2=i if i is None else i / 10,
        wind_m_per_s=m if m is None else m / 100,
        opening=_OPENING_BACK[flags & 12],
        fault=extra.fault,
        future=bool(flags & FUTURE_BIT),
    )


_NO_REST: Final = _Rest()

#: A restart looks back this many rows for values to show; a field not seen in them is old news anyway.
NEWEST_ROWS: Final = 60
_SHOWN: Final = (*SCALES, "energy_is", "opening", "fault")


def newest(conn: sqlite3.Connection) -> dict[Source, Reading]:
    """Return, for each source, its newest reading, with what that leaves out filled from those before it.

    It is for display after a restart: the fields may be of different ages, up to ``NEWEST_ROWS`` readings back.
    """
    found: dict[Source, Reading] = {}
    for series, kind, name in conn.execute("SELECT id, kind, name FROM series ORDER BY kind, name").fetchall():
        rows = conn.execute(
            f"SELECT {_COLUMNS}, (SELECT name FROM boot WHERE boot.id = reading.boot) FROM reading "  # noqa: S608
            "WHERE series = ? ORDER BY t DESC, boot DESC, seq DESC LIMIT ?",
            (series, NEWEST_ROWS),
        ).fetchall()
        if rows:
            source = Source(_kind(kind), name)
            found[source] = _newest_of([_reading(source, row) for row in rows])
    return found


def _kind(text: str) -> SourceKind:
    kinds: dict[str, SourceKind] = {"heater": "heater", "sensor": "sensor", "outdoor": "outdoor", "meter": "meter"}
    return kinds[text]


def _newest_of(readings: Sequence[Reading]) -> Reading:
    """Merge readings, newest first; a fault is only shown if the newest reading reports it."""
    values = {name: getattr(readings[0], name) for name in _SHOWN}
    for older in readings[1:]:
        for name in _SHOWN:
            if values[name] is None and name != "fault":
                values[name] = getattr(older, name)
    return msgspec.structs.replace(readings[0], **values)
