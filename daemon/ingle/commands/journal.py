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

#: How many of the newest events are looked through at the start for each zone's last decision.
LOOK_BACK: Final = 5000


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
        self._said: dict[str, _Said] = {}
        self._notices: dict[str, Notice] = {}

    def rows(self, plan: Plan, dues: Mapping[str, Due], locked: frozenset[str]) -> list[Row]:
        """Return what is news in a plan."""
        t_ms = to_ms(plan.at)
        rows = [row for zone in plan.zones if (row := self._decision(zone, dues.get(zone.id), locked, t_ms))]
        return [*rows, *self._notice_rows(plan.notices, t_ms)]

    def _decision(self, zone: ZoneDecision, due: Due | None, locked: frozenset[str], t_ms: int) -> Row | None:
        of_programme = None if due is None else (due.level, due.wanted_c)
        said = _Said(zone.rule, zone.level, zone.wanted_c, zone.until, zone.id in locked, of_programme)
        if self._said.get(zone.id) == said:
            return None
        self._said[zone.id] = said
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


def read_back(connection: sqlite3.Connection) -> Kept:
    """Return each zone's last recorded programme and lock."""
    dues: dict[str, Due] = {}
    locked: dict[str, bool] = {}
    for event in events.latest(connection, LOOK_BACK):
        if event.kind != "decision" or event.subject in locked:
            continue
        locked[event.subject] = bool(event.data.get("locked"))
        programme = event.data.get("programme")
        if programme is not None:
            wanted_c = float(programme["wanted_c"])
            dues[event.subject] = Due(level=programme["level"], wanted_c=wanted_c, until=None, next=None)
    return Kept(dues, frozenset(zone for zone, is_locked in locked.items() if is_locked))
