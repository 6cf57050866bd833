"""What programmes want, remembered: a programme's answer holds until its own ``until``, so it is asked for once."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final, NamedTuple

from ingle.control.programme import due
from ingle.model.decisions import Due
from ingle.model.house import House, Zone

#: How long an answer without an end is believed; well within the days that ``due`` looks ahead.
_ENDLESS: Final = timedelta(days=1)
#: Answers kept for each zone: now, the end of an override, and what lies around a clock that was set.
_KEPT: Final = 4


class _Known(NamedTuple):
    start: datetime
    end: datetime
    due: Due


class Timetable:
    """Stands in for ``due`` of one house."""

    def __init__(self, house: House) -> None:
        self._house = house
        self._known: dict[str, list[_Known]] = {}

    def due(self, zone: Zone, at: datetime) -> Due:
        """Return what the zone's programmes want at an instant."""
        known = self._known.setdefault(zone.id, [])
        for answer in known:
            if answer.start <= at < answer.end:
                return answer.due
        found = due(self._house, zone, at)
        known.insert(0, _Known(at, found.until or at + _ENDLESS, found))
        del known[_KEPT:]
        return found
