"""A zone's programme as lengths of time and temperatures from Monday 00:00, for reckoning; never for running a house.

It asks ``programme.due``, which runs the house, on a clock that is never changed, so both always want the same.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Final

from msgspec.structs import replace

from ingle.control.programme import due
from ingle.model.house import House, Zone
from ingle.physics.warm_spells import Stretch

#: Any Monday would do: programmes know weekdays, not dates.
_MONDAY: Final = datetime(2001, 1, 1, tzinfo=UTC)
DAY_H: Final = 24.0
WEEK_H: Final = 7 * DAY_H


def pattern(house: House, zone: Zone) -> tuple[Stretch, ...]:
    """Return what a zone's programme wants: over one day where every day is alike, else over the week.

    Neighbouring stretches want different temperatures, except over midnight of days that are told one by one.
    """
    still = replace(house, site=replace(house.site, timezone="UTC"))
    days = [_day(still, zone, _MONDAY + timedelta(days=day)) for day in range(7)]
    if all(day == days[0] for day in days):
        return tuple(days[0])
    return tuple(stretch for day in days for stretch in day)


def _day(house: House, zone: Zone, start: datetime) -> list[Stretch]:
    end, at, found = start + timedelta(days=1), start, list[Stretch]()
    while at < end:
        now = due(house, zone, at)
        until = end if now.until is None else min(now.until, end)
        hours = (until - at).total_seconds() / 3600
        if found and found[-1].wanted_c == now.wanted_c:
            found[-1] = Stretch(found[-1].hours + hours, now.wanted_c)
        else:
            found.append(Stretch(hours, now.wanted_c))
        at = until
    return found


def by_day(found: tuple[Stretch, ...]) -> list[list[Stretch]]:
    """Return a pattern day by day.

    >>> by_day((Stretch(24.0, 20.0), Stretch(6.0, 16.0), Stretch(18.0, 20.0)))[1]
    [Stretch(hours=6.0, wanted_c=16.0), Stretch(hours=18.0, wanted_c=20.0)]
    """
    days: list[list[Stretch]] = [[]]
    filled_h = 0.0
    for stretch in found:
        if filled_h >= DAY_H - 1e-6:
            days.append([])
            filled_h = 0.0
        days[-1].append(stretch)
        filled_h += stretch.hours
    return days
