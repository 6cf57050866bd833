"""Which decisions and notices are news, as rows for the audit trail; and what of them the next start reads back.

A zone's decision is news when what rules, what is wanted or how long changes, not when a temperature moves. Each row
also carries what the programme alone wanted, and whether the zone is locked: that is what a start on an untrusted
clock goes on from.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, Final, NamedTuple

from ingle.model.decisions import Due, Notice, Plan, Rule, ZoneDecision
from ingle.model.instants import to_ms
from ingle.store import events

#: A decision that stands is recorded again after a day, so that a start need not look back further for it.
AGAIN_MS: Final = 86_400_000
#: How many of the newest events a start looks through for each zone's last decision: first few, then many.
LOOK_BACK: Final = (2_000, 50_000)


class Row(NamedTuple):
    """One event to be recorded."""

    t_ms: int
    kind: str
    subject: str
    data: dict[str, Any]

    def write(self, connection: sqlite3.Connection) -> object:
        """Record it inside the caller's transaction."""
        return events.record(connection, self.t_ms, self.kind, self.subject, self.data)


class Kept(NamedTuple):
    """What a start reads back: each zone's last programme, and the locked zones."""

    dues: dict[str, Due]
    locked: frozenset[str]


class _Said(NamedTuple):
    rule: Rule
    level: str | None
    wanted_c: float
    until: datetime | None
    locked: bool
    due: tuple[str | None, float] | None


class Journal:
    """Remembers what was recorded last of every zone and notice."""

    def __init__(self) -> None:
        self._said: dict[str, tuple[_Said, int]] = {}
        self._notices: dict[str, Notice] = {}

    def rows(self, plan: Plan, dues: Mapping[str, Due], locked: frozenset[str]) -> list[Row]:
        """Return what is news in a plan."""
        t_ms = to_ms(plan.at)
        rows = [row for zone in plan.zones if (row := self._decision(zone, dues.get(zone.id), locked, t_ms))]
        return [*rows, *self._notice_rows(plan.notices, t_ms)]

    def _decision(self, zone: ZoneDecision, due: Due | None, locked: frozenset[str], t_ms: int) -> Row | None:
        of_programme = None if due is None else (due.level, due.wanted_c)
        said = _Said(zone.rule, zone.level, zone.wanted_c, zone.until, zone.id in locked, of_programme)
        before, at_ms = self._said.get(zone.id, (None, 0))
        if before == said and abs(t_ms - at_ms) < AGAIN_MS:
            return None
        self._said[zone.id] = said, t_ms
        data = {
            "rule": zone.rule,
            "level": zone.level,
            "wanted_c": zone.wanted_c,
            "reason": zone.reason,
            "until": zone.until,
            "locked": said.locked,
            "programme": None if due is None else {"level": due.level, "wanted_c": due.wanted_c},
        }
        return Row(t_ms, "decision", zone.id, data)

    def _notice_rows(self, notices: Iterable[Notice], t_ms: int) -> list[Row]:
        now = {notice.key: notice for notice in notices}
        before, self._notices = self._notices, now
        begun = [now[key] for key in now if key not in before]
        ended = [before[key] for key in before if key not in now]
        return [
            *(Row(t_ms, "notice", n.key, {"severity": n.severity, "zone": n.zone, "cause": n.cause}) for n in begun),
            *(Row(t_ms, "notice-ended", n.key, {"zone": n.zone, "since": n.since}) for n in ended),
        ]


def read_back(connection: sqlite3.Connection, zones: frozenset[str]) -> Kept:
    """Return the last recorded programme of each zone, and which are locked."""
    found: dict[str, dict[str, Any]] = {}
    for limit in LOOK_BACK:
        found = {}
        for event in events.latest(connection, limit):
            if event.kind == "decision":
                found.setdefault(event.subject, event.data)
        if zones <= found.keys():
            break
    dues = {zone: due for zone in zones & found.keys() if (due := _due(found[zone].get("programme"))) is not None}
    return Kept(dues, frozenset(zone for zone in zones & found.keys() if found[zone].get("locked")))


def _due(programme: dict[str, Any] | None) -> Due | None:
    if programme is None:
        return None
    return Due(level=programme["level"], wanted_c=float(programme["wanted_c"]), until=None, next=None)
