"""What a heating test asks of the rooms at an instant.

A test holds all its rooms at one level, night and day, while nobody is inside, so that what the heaters take is what
the rooms lose. Their heated neighbours are held at the same level: between rooms at one temperature no heat flows.

* It settles for at least a day, because walls that still warm through take more heat than they lose.
* It measures whole nights, from evening to morning: then no sun comes in and nobody is awake to open a window.
* It may end with a night without heat down to setback, which shows how fast the rooms cool.

The times are fixed when it starts, as instants, so what it asks is a function of the test and now. It stands where an
override does in the order of rules: an opening holds heat from it, caps and plates bind it, and a person's own request
ends it (``heating_watch``). It never asks for less than the frost level or more than ``SAFE_MAX_C``.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from ingle.control.levels import frost_c, level_c, warm_enough_c
from ingle.control.programme import instant
from ingle.control.words import clock_text
from ingle.model.heating_tests import SAFE_MAX_C, HeatingTest, Stage
from ingle.model.house import House, Zone

#: How long rooms warm through before nights count [h]; common practice in co-heating tests is one day and more.
SETTLE_H: Final = 24
#: When a night begins and ends on the house's clock [min after midnight].
DUSK_MIN: Final = 20 * 60
DAWN_MIN: Final = 7 * 60

_INSTANT: Final = timedelta(microseconds=1)


class Times(NamedTuple):
    """When a test measures, cools down and ends."""

    measure_from: datetime
    cool_from: datetime | None
    end: datetime


class Ask(NamedTuple):
    """What a test asks of a zone, until when, and whether it then goes on with another temperature."""

    wanted_c: float
    until: datetime
    cooling: bool


def times(start: datetime, nights: int, timezone: ZoneInfo, *, cool_down: bool) -> Times:
    """Return when a test that starts at an instant measures, cools down and ends.

    >>> from datetime import UTC
    >>> found = times(datetime(2026, 1, 12, 9, tzinfo=UTC), 4, ZoneInfo("UTC"), cool_down=False)
    >>> found.measure_from.isoformat(), found.end.isoformat()
    ('2026-01-13T20:00:00+00:00', '2026-01-17T07:00:00+00:00')
    """
    settled = start + timedelta(hours=SETTLE_H)
    day = settled.astimezone(timezone).date()
    if instant(day, DUSK_MIN, timezone) < settled:
        day += timedelta(days=1)
    last = day + timedelta(days=nights)
    end = instant(last, DAWN_MIN, timezone)
    if not cool_down:
        return Times(instant(day, DUSK_MIN, timezone), None, end)
    cool_from = instant(last, DUSK_MIN, timezone)
    return Times(instant(day, DUSK_MIN, timezone), cool_from, instant(last + timedelta(days=1), DAWN_MIN, timezone))


def nights(test: HeatingTest, timezone: ZoneInfo) -> tuple[tuple[datetime, datetime], ...]:
    """Return the nights that a test measures, each from evening to morning."""
    first = test.measure_from.astimezone(timezone).date()
    days = [first + timedelta(days=number) for number in range(test.nights)]
    return tuple(
        (instant(day, DUSK_MIN, timezone), instant(day + timedelta(days=1), DAWN_MIN, timezone)) for day in days
    )


def stage(test: HeatingTest, now: datetime) -> Stage:
    """Return how far a test has come at an instant; one that has ended stays so."""
    if not test.open:
        return test.stage
    if now >= test.end:
        return "done"
    if now >= test.measure_from:
        return "measuring"
    return "settling" if now >= test.start else "planned"


def waits_for(test: HeatingTest, now: datetime, timezone: ZoneInfo) -> str:
    """Return what a test waits for now, as a sentence; empty once it is over."""
    if not test.open:
        return ""
    if now < test.start:
        return f"It begins {clock_text(test.start, now, timezone)}."
    if now < test.measure_from:
        until = clock_text(test.measure_from, now, timezone)
        return f"The rooms warm through until {until}; walls that still take up heat would look like loss."
    for number, (dusk, dawn) in enumerate(nights(test, timezone), start=1):
        if now < dusk:
            return (
                f"Night {number} of {test.nights} begins {clock_text(dusk, now, timezone)}; by day the sun heats too."
            )
        if now < dawn:
            return f"Night {number} of {test.nights} ends {clock_text(dawn, now, timezone)}."
    return f"The rooms cool down until {clock_text(test.end, now, timezone)}."


def ask(house: House, test: HeatingTest, zone: Zone, now: datetime, *, trusted: bool = True) -> Ask | None:
    """Return what a test asks of a zone at an instant, None where it asks nothing.

    Parameters
    ----------
    house
        For the levels.
    test
        A test that may or may not run.
    zone
        Any zone of the house.
    now
        The instant; before the start and from the end on nothing is asked.
    trusted
        Whether somebody vouches for the clock that ``now`` is read from.
    """
    now = now if trusted else _believed(test, now)
    if not test.open or zone.id not in test.held or not test.start <= now < test.end:
        return None
    if test.cool_from is not None and now >= test.cool_from:
        return Ask(_within(house, zone, min(test.temp_c, level_c(house, zone, "setback"))), test.end, cooling=True)
    return Ask(_within(house, zone, test.temp_c), test.cool_from or test.end, cooling=False)


def _believed(test: HeatingTest, now: datetime) -> datetime:
    """Return an instant to go by while nobody vouches for the clock: a test that ran holds its level meanwhile."""
    if test.stage not in {"settling", "measuring"}:
        return test.start - _INSTANT
    return min(max(now, test.start), (test.cool_from or test.end) - _INSTANT)


def _within(house: House, zone: Zone, temp_c: float) -> float:
    """Return a temperature between the zone's frost level and the safe maximum; of the two the frost level counts."""
    return max(min(warm_enough_c(house, zone, temp_c), SAFE_MAX_C), frost_c(house, zone))


def guards(house: House, zone_ids: tuple[str, ...]) -> tuple[str, ...]:
    """Return the heated neighbours of some zones, in the house's order: those that share an element or are named."""
    chosen = frozenset(zone_ids)
    beside = {other for one, other in _pairs(house) if one in chosen} - chosen
    return tuple(zone.id for zone in house.zones if zone.id in beside and zone.heaters)


def _pairs(house: House) -> Iterator[tuple[str, str]]:
    """Yield every pair of neighbours, both ways: naming one side is enough."""
    for zone in house.zones:
        named = [each.beyond for each in zone.elements if isinstance(each.beyond, str)]
        others = [text.removeprefix("zone:") for text in named if text.startswith("zone:")]
        for other in (*zone.neighbours, *others):
            yield zone.id, other
            yield other, zone.id
