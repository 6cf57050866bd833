"""Verdicts as they were given. The table refuses to change or delete a row.

A row holds the whole assessment with the span, the design's version, the method's version and the digest of the house's
revision: from the readings, that revision and that method it can be worked out again, whatever was surveyed since.
"""

from __future__ import annotations

import sqlite3

import msgspec

from ingle.model.instants import from_ms
from ingle.model.looks import Look, LookedAt
from ingle.model.verdicts import Assessment, ZoneVerdict

#: The most that a list gives at once, the newest first.
LISTED = 60


def save(conn: sqlite3.Connection, assessment: Assessment, *, t_ms: int, digest: str) -> int:
    """Keep an assessment inside the caller's transaction; return its number."""
    cursor = conn.execute(
        "INSERT INTO look (t, digest, design_version, method_version, document) VALUES (?, ?, ?, ?, ?)",
        (
            t_ms,
            digest,
            assessment.design_version,
            assessment.method_version,
            msgspec.json.encode(assessment).decode(),
        ),
    )
    return int(cursor.lastrowid or 0)


def newest_ms(conn: sqlite3.Connection) -> int | None:
    """Return when the newest look was taken; None where there is none [ms]."""
    row = conn.execute("SELECT t FROM look ORDER BY number DESC LIMIT 1").fetchone()
    return None if row is None else int(row[0])


def history(conn: sqlite3.Connection, zone: str | None = None, limit: int = LISTED) -> tuple[Look, ...]:
    """Return the newest looks, newest first, of one zone or of all."""
    rows = conn.execute(
        "SELECT number, t, digest, document FROM look ORDER BY number DESC LIMIT ?", (min(limit, LISTED),)
    )
    return tuple(_look(number, t_ms, digest, document, zone) for number, t_ms, digest, document in rows)


def newest_at(conn: sqlite3.Connection, t_ms: int) -> tuple[int, Assessment] | None:
    """Return the newest look at or before an instant with its time [ms]; None where there is none of this form."""
    row = conn.execute("SELECT t, document FROM look WHERE t <= ? ORDER BY number DESC LIMIT 1", (t_ms,)).fetchone()
    try:
        return None if row is None else (int(row[0]), msgspec.json.decode(row[1], type=Assessment))
    except msgspec.ValidationError:
        return None


def whole(conn: sqlite3.Connection, number: int) -> Assessment | None:
    """Return a look's assessment as it was given; None where there is no such look."""
    row = conn.execute("SELECT document FROM look WHERE number = ?", (number,)).fetchone()
    return None if row is None else msgspec.json.decode(row[0], type=Assessment)


def _look(number: int, t_ms: int, digest: str, document: str, zone: str | None) -> Look:
    given = msgspec.json.decode(document, type=Assessment)
    return Look(
        number=number,
        at=from_ms(t_ms),
        start=given.start,
        end=given.end,
        digest=digest,
        design_version=given.design_version,
        method_version=given.method_version,
        zones=tuple(_looked_at(each) for each in given.zones if zone is None or each.id == zone),
    )


def _looked_at(zone: ZoneVerdict) -> LookedAt:
    return LookedAt(
        id=zone.id,
        name=zone.name,
        design_w_per_k=zone.design_w_per_k,
        measured_w_per_k=zone.measured_w_per_k,
        low_w_per_k=zone.low_w_per_k,
        high_w_per_k=zone.high_w_per_k,
        probability=zone.probability,
        verdict=zone.verdict,
        against_house=zone.against_house,
        against_past=zone.against_past,
        causes=tuple(cause.code for cause in zone.causes),
        days_used=zone.days_used,
    )
