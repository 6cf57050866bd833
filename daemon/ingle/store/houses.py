"""Revisions of the house: each one the whole document, with who, when and why. Nothing is ever changed or deleted."""

from __future__ import annotations

import hashlib
import sqlite3

import msgspec

from ingle.errors import Unreachable
from ingle.model.base import Result
from ingle.model.house import House
from ingle.store import last
from ingle.store.connect import Link

_COLUMNS = "number, t, who, why, digest, design_version"


class Entry(Result, frozen=True, kw_only=True):
    """A line of the house's history."""

    number: int
    t_ms: int
    who: str
    why: str
    digest: str
    design_version: str = ""


class Revision(Entry, frozen=True, kw_only=True):
    """A revision with its house."""

    house: House


class Lifetime(Result, frozen=True, kw_only=True):
    """From when to when a zone existed, or a heater stood in a zone; ``finish_ms`` None for still."""

    kind: str
    id: str
    zone: str
    start_ms: int
    finish_ms: int | None


def digest(value: msgspec.Struct) -> str:
    """Return a short digest of a value, for ETags and for telling revisions apart.

    >>> from ingle.model.week import Levels
    >>> digest(Levels()) == digest(Levels(occupied_c=20.0)), len(digest(Levels()))
    (True, 32)
    """
    # The defaults are written out: a house that spells one out is the same house.
    spelled_out = {field: getattr(value, field) for field in value.__struct_fields__}
    return hashlib.sha256(msgspec.json.encode(_spelled_out(spelled_out), order="deterministic")).hexdigest()[:32]


def _spelled_out(value: object) -> object:
    if isinstance(value, msgspec.Struct):
        return {field: _spelled_out(getattr(value, field)) for field in value.__struct_fields__}
    if isinstance(value, dict):
        return {key: _spelled_out(each) for key, each in value.items()}
    if isinstance(value, tuple | list):
        return [_spelled_out(each) for each in value]
    # 20 and 20.0 are the same temperature.
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def save(
    conn: sqlite3.Connection, house: House, *, who: str, why: str, t_ms: int, design_version: str = ""
) -> Revision:
    """Make a revision inside the caller's transaction.

    After the commit the house is also written beside the database (``last``). Zones and heaters that the new house
    no longer has are closed from ``t_ms`` on, never deleted.
    """
    entry = (t_ms, who, why, digest(house), design_version)
    document = msgspec.json.encode(house).decode()
    cursor = conn.execute(
        "INSERT INTO revision (t, who, why, digest, design_version, document) VALUES (?, ?, ?, ?, ?, ?)",
        (*entry, document),
    )
    _follow_lifetimes(conn, house, t_ms)
    _follow_plates(conn, house)
    if isinstance(conn, Link):
        path = conn.path
        conn.after_commit.append(lambda: last.write(path, house))
    return _revision((int(cursor.lastrowid or 0), *entry, document))


def current(conn: sqlite3.Connection) -> Revision | None:
    """Return the newest revision, or None where no house was ever loaded."""
    row = conn.execute(f"SELECT {_COLUMNS}, document FROM revision ORDER BY number DESC LIMIT 1").fetchone()  # noqa: S608
    return None if row is None else _revision(row)


def numbered(conn: sqlite3.Connection, number: int) -> Revision | None:
    """Return a revision by its number, or None."""
    row = conn.execute(f"SELECT {_COLUMNS}, document FROM revision WHERE number = ?", (number,)).fetchone()  # noqa: S608
    return None if row is None else _revision(row)


def history(conn: sqlite3.Connection) -> list[Entry]:
    """Return who made which revision, when and why; oldest first."""
    rows = conn.execute(f"SELECT {_COLUMNS} FROM revision ORDER BY number")  # noqa: S608 - constants
    return [
        Entry(number=number, t_ms=t, who=who, why=why, digest=digest, design_version=version)
        for number, t, who, why, digest, version in rows
    ]


def lifetimes(conn: sqlite3.Connection) -> list[Lifetime]:
    """Return when each zone existed and each heater stood in each zone, in order of their start."""
    rows = conn.execute("SELECT kind, name, zone, start, finish FROM lifetime ORDER BY start, kind, name")
    return [
        Lifetime(kind=kind, id=name, zone=zone, start_ms=start, finish_ms=finish)
        for kind, name, zone, start, finish in rows
    ]


def _revision(row: tuple[int, int, str, str, str, str, str]) -> Revision:
    number, t, who, why, of_house, version, document = row
    try:
        house = msgspec.json.decode(document, type=House)
    except msgspec.ValidationError as error:
        raise Unreachable(f"revision {number} of the house cannot be read by this version of ingle: {error}") from error
    return Revision(number=number, t_ms=t, who=who, why=why, digest=of_house, design_version=version, house=house)


def _follow_lifetimes(conn: sqlite3.Connection, house: House, t_ms: int) -> None:
    now = {("zone", zone.id, zone.id) for zone in house.zones}
    now |= {("heater", heater.id, zone.id) for zone in house.zones for heater in zone.heaters}
    before = set(conn.execute("SELECT kind, name, zone FROM lifetime WHERE finish IS NULL"))
    conn.executemany(
        "UPDATE lifetime SET finish = ? WHERE kind = ? AND name = ? AND zone = ? AND finish IS NULL",
        [(t_ms, *gone) for gone in before - now],
    )
    conn.executemany(
        "INSERT INTO lifetime (kind, name, zone, start) VALUES (?, ?, ?, ?)",
        [(*new, t_ms) for new in sorted(now - before)],
    )


def _follow_plates(conn: sqlite3.Connection, house: House) -> None:
    """Keep each heater's rated power where the roll-ups look for it, also after the heater has gone."""
    plates = [("heater", heater.id, heater.rated_w) for zone in house.zones for heater in zone.heaters]
    conn.executemany("INSERT OR REPLACE INTO plate VALUES (?, ?, ?)", plates)
