"""What was said of each room last, from the record: the verdicts that are noted every night."""

from __future__ import annotations

import sqlite3
from datetime import datetime
from typing import Any

from ingle.model.explanation import CauseSaid, VerdictSaid
from ingle.model.instants import from_ms
from ingle.model.verdicts import Assessment, ZoneVerdict
from ingle.store import events


def of_assessment(assessment: Assessment, zone_id: str, at: datetime | None) -> VerdictSaid | None:
    """Return what an assessment says of a zone."""
    found = next((zone for zone in assessment.zones if zone.id == zone_id), None)
    return None if found is None else _of_zone(found, at)


def noted(conn: sqlite3.Connection, zone_id: str, before_ms: int | None = None) -> VerdictSaid | None:
    """Return what was noted of a zone last, at or before an instant; None where nothing was."""
    event = events.newest(conn, "verdicts", "", before_ms)
    if event is None or not isinstance(event.data.get("zones"), dict):
        return None
    zone = event.data["zones"].get(zone_id)
    return None if not isinstance(zone, dict) else _of_note(zone, from_ms(event.t_ms))


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
