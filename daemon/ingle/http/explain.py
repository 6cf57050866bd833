"""Why a zone is as it is, or was as it was."""

from __future__ import annotations

from contextlib import suppress
from typing import Annotated, Final

import msgspec
from msgspec import Meta

from ingle.commands.service import house_etag
from ingle.errors import Fault, Unknown, Unreachable
from ingle.http.bodies import instant
from ingle.http.problems import BadQuery
from ingle.http.route import Call, Reply, Route
from ingle.model.explanation import Explanation
from ingle.reports import explain, explain_record
from ingle.reports.newest_verdicts import noted, of_assessment

#: What is answered for, told as why the record is asked.
_PAST: Final = "From the record:"


class Moment(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Of when; now where it is left out."""

    at: Annotated[str, Meta(max_length=40, description="an ISO 8601 instant with its offset, not after now")] | None = (
        None
    )


async def explanation(call: Call) -> Reply:
    """Return why a zone is as it is."""
    parts, zone_id, now = call.parts, call.path("id"), call.parts.clock.now()
    if call.query.at is not None:
        at = instant(call.query.at, "at", parts.live.house.site.timezone)
        if at > now:
            raise BadQuery([Fault(("at",), call.query.at, f"an instant up to now ({now.isoformat()})")])
        return Reply(
            value=await parts.store.read(lambda conn: explain_record.of_record(conn, zone_id, at, why_record=_PAST))
        )
    zone = parts.live.zone_now(zone_id, now)
    if zone is None:
        known = ", ".join(each.id for each in parts.live.house.zones) or "none"
        raise Unknown(f"zone {zone_id!r} is not in this house; it has: {known}")
    kept = parts.verdicts.newest(house_etag(parts.live.house))
    verdict = None if kept is None else of_assessment(kept.assessment, zone_id, None)
    if verdict is None:
        # What the house does now can be explained without a disk.
        with suppress(Unreachable):
            verdict = await parts.store.read(lambda conn: noted(conn, zone_id))
    found = explain.of_now(
        parts.live.house,
        zone,
        parts.commands.explain(zone_id),
        parts.live.witnesses(zone_id, now),
        parts.live.notices(now),
        verdict,
        now,
    )
    return Reply(value=found)


ROUTES = (
    Route(
        method="GET",
        path="/api/zones/{id}/explain",
        summary="Why a zone is as cold or warm as it is: one sentence, and all that it rests on",
        handler=explanation,
        answers=Explanation,
        act="look-zone",
        query=Moment,
        errors=(503,),
    ),
)
