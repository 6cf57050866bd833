"""What was said of each room last, from the record: the verdicts noted every night, and kept whole every week."""

from __future__ import annotations

import sqlite3
from datetime import datetime
from typing import Any, Final

from msgspec.structs import replace

from ingle.model.explanation import CauseSaid, VerdictSaid
from ingle.model.instants import from_ms
from ingle.model.verdicts import Assessment, ZoneVerdict
from ingle.store import events
from ingle.store import verdicts as stored

_EVER_MS: Final = 2**62


def of_assessment(assessment: Assessment, zone_id: str, at: datetime | None) -> VerdictSaid | None:
    """Return what an assessment says of a zone."""
    found = next((zone for zone in assessment.zones if zone.id == zone_id), None)
    return None if found is None else _of_zone(found, at)


def noted(conn: sqlite3.Connection, zone_id: str, before_ms: int | None = None) -> VerdictSaid | None:
    """Return what was noted of a zone last, at or before an instant; None where nothing was.

    Every night's note has the codes of the causes; their evidence is kept once a week, and taken from there.
    """
    look = stored.newest_at(conn, _EVER_MS if before_ms is None else before_ms)
    full = None if look is None else of_assessment(look[1], zone_id, from_ms(look[0]))
    event = events.newest(conn, "verdicts", "", before_ms)
    if event is None or (look is not None and look[0] >= event.t_ms):
        return full
    zone = event.data["zones"].get(zone_id) if isinstance(event.data.get("zones"), dict) else None
    if not isinstance(zone, dict):
        return full
    said = _of_note(zone, from_ms(event.t_ms))
    known = {} if full is None else {cause.code: cause for cause in full.causes}
    return replace(said, causes=tuple(known.get(cause.code, cause) for cause in said.causes))


def _of_zone(zone: ZoneVerdict, at: datetime | None) -> VerdictSaid:
    causes = tuple(
        CauseSaid(code=each.code, probability=each.probability, evidence=each.evidence, check_next=each.check_next)
        for each in zone.causes
    )
    return VerdictSaid(
        at=at,
        verdict=zone.verdict,
        measured_w_per_k=zone.measured_w_per_k,
        low_w_per_k=zone.low_w_per_k,
        high_w_per_k=zone.high_w_per_k,
        probability=zone.probability,
        causes=causes,
    )


def _of_note(zone: dict[str, Any], at: datetime) -> VerdictSaid:
    causes = tuple(
        CauseSaid(code=str(code), probability=None, evidence=None, check_next=None) for code in zone.get("causes", ())
    )
    return VerdictSaid(
        at=at,
        verdict=str(zone.get("verdict", "cannot-say-yet")),
        measured_w_per_k=zone.get("w_per_k"),
        low_w_per_k=zone.get("low_w_per_k"),
        high_w_per_k=zone.get("high_w_per_k"),
        probability=zone.get("probability"),
        causes=causes,
    )
