"""A zone's week as one temperature for each quarter of an hour, for reckoning a year; never for running a house.

A plain week without summer time: the exact instants of programmes are ``control``'s. A zone without a programme is
reckoned with an ordinary day, so that advice on a room that nobody has planned yet is not that of an empty one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ingle.model.house import House, Zone
from ingle.model.week import WEEKDAYS, Programme

#: Quarters of an hour in a day, and in a week.
QUARTERS_A_DAY: Final = 96
QUARTERS: Final = 7 * QUARTERS_A_DAY
_MINUTES_A_DAY: Final = 24 * 60
_MINUTES: Final = 7 * _MINUTES_A_DAY
#: The hours wanted warm where no programme says any (common practice).
ORDINARY_DAY: Final = (7 * 60, 22 * 60)


@dataclass(frozen=True, slots=True)
class Week:
    """What is wanted in each quarter of an hour from Monday 00:00 [°C]; ``planned``: by programmes of the zone."""

    wanted_c: tuple[float, ...]
    planned: bool

    @property
    def mean_c(self) -> float:
        """The week's mean [°C]."""
        return sum(self.wanted_c) / len(self.wanted_c)

    @property
    def warm_hours(self) -> float:
        """Hours wanted above the week's lowest temperature [h]."""
        lowest = min(self.wanted_c)
        return sum(wanted > lowest + 0.01 for wanted in self.wanted_c) / 4


def week(house: House, zone: Zone) -> Week:
    """Return a zone's week."""
    own = [programme for programme in house.programmes if programme.zone == zone.id]
    minutes = _planned(house, zone, own) if own else _ordinary(house, zone)
    quarters = (minutes[start : start + 15] for start in range(0, _MINUTES, 15))
    return Week(tuple(sum(each) / 15 for each in quarters), planned=bool(own))


def _ordinary(house: House, zone: Zone) -> list[float]:
    warm_c, cool_c = house.level_c(zone, "occupied"), house.level_c(zone, "setback")
    start, end = ORDINARY_DAY
    return [warm_c if start <= minute % _MINUTES_A_DAY < end else cool_c for minute in range(_MINUTES)]


def _planned(house: House, zone: Zone, programmes: list[Programme]) -> list[float]:
    """Return what programmes want minute by minute; a period that ends next day reaches into it."""
    minutes = [house.level_c(zone, "setback")] * _MINUTES
    for day, name in enumerate(WEEKDAYS):
        for programme in programmes:
            if name in programme.days:
                start = day * _MINUTES_A_DAY
                minutes[start : start + _MINUTES_A_DAY] = [house.level_c(zone, programme.otherwise)] * _MINUTES_A_DAY
    for day, name in enumerate(WEEKDAYS):
        for programme in programmes:
            for period in programme.periods if name in programme.days else ():
                level = period.level or "occupied"
                wanted_c = house.level_c(zone, level) if period.temp_c is None else period.temp_c
                start, end = _minute(period.start), _minute(period.end)
                length = (end - start) if end > start else (end + _MINUTES_A_DAY - start)
                for minute in range(day * _MINUTES_A_DAY + start, day * _MINUTES_A_DAY + start + length):
                    minutes[minute % _MINUTES] = wanted_c
    return minutes


def _minute(clock: str) -> int:
    hours, minutes = clock.split(":")
    return int(hours) * 60 + int(minutes)
