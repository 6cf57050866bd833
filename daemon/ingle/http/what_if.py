"""What a zone would take if it were run another way."""

from __future__ import annotations

import sqlite3

from ingle.commands.service import house_etag
from ingle.errors import BadInput
from ingle.http.problems import BadQuery
from ingle.http.route import Call, Reply, Route
from ingle.model.what_if import Changes, WhatIf
from ingle.reports import what_if as report
from ingle.reports.newest_verdicts import of_assessment


async def what_if(call: Call) -> Reply:
    """Return a zone's ways side by side."""
    house, now, zone_id = call.parts.live.house, call.parts.clock.now(), call.path("id")
    kept = call.parts.verdicts.newest(house_etag(house))
    verdict = None if kept is None else of_assessment(kept.assessment, zone_id, None)

    def ask(conn: sqlite3.Connection) -> WhatIf:
        return report.what_if(conn, house, zone_id, call.query, now, verdict)

    try:
        return Reply(value=await call.parts.store.read(ask))
    except BadInput as error:
        raise BadQuery(error.faults) from error


ROUTES = (
    Route(
        method="GET",
        path="/api/zones/{id}/what-if",
        summary="What a zone would take and cost if it were run another way, and when it would be cold",
        handler=what_if,
        answers=WhatIf,
        query=Changes,
        errors=(503,),
    ),
)
