"""What ends a heating test before its time: people, openings, heaters that do not obey, silence.

Each has a patience: a look inside, one lost report, a restart of the daemon or of the broker are forgiven.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final, NamedTuple

from ingle.control.decide import bar
from ingle.control.situation import Situation, ZoneSeen
from ingle.control.words import degrees, listed
from ingle.model.heating_tests import SAFE_MAX_C, HeatingTest
from ingle.model.house import House, Zone

#: How long something must stand before it ends a test [s].
OPEN_S: Final = 600.0
BARRED_S: Final = 300.0
SILENT_S: Final = 7200.0
HOT_S: Final = 1800.0
#: How far over the test's limit a room is too hot [K]: sun, or a heater that does not obey.
HOT_K: Final = 2.0
#: A clock set by more than this while it was vouched for tears the record apart [s].
CLOCK_S: Final = 3600.0


class Trouble(NamedTuple):
    """Something that makes a test worthless: what it is on, its sentence, and how long it may stand [s]."""

    key: str
    reason: str
    patience_s: float


def troubles(house: House, test: HeatingTest, situation: Situation, now: datetime) -> tuple[Trouble, ...]:
    """Return all that speaks against a running test now."""
    found = [*_people(house, situation, now)]
    for zone_id in test.held:
        zone = house.zone(zone_id)
        if zone is None:
            found.append(Trouble(f"gone:{zone_id}", f"{zone_id} is no longer in the house", 0.0))
        else:
            found += [*_of_zone(zone, situation.zone(zone.id)), *_of_heaters(zone, situation)]
    return tuple(found)


def _people(house: House, situation: Situation, now: datetime) -> Iterator[Trouble]:
    for zone in house.zones:
        held = situation.hold(zone.id, now)
        if held is not None:
            yield Trouble(f"hold:{zone.id}", f"{held.origin.who} asked for heat in {zone.name}, so it is in use", 0.0)


def _of_zone(zone: Zone, seen: ZoneSeen) -> Iterator[Trouble]:
    if seen.open:
        text = f"{listed(seen.open)} stood open in {zone.name} for {OPEN_S / 60:.0f} min"
        yield Trouble(f"open:{zone.id}", text, OPEN_S)
    if seen.temp_c is None:
        text = f"no temperature came from {zone.name} for {SILENT_S / 3600:.0f} h"
        yield Trouble(f"silent:{zone.id}", text, SILENT_S)
    elif seen.temp_c > SAFE_MAX_C + HOT_K:
        text = f"{zone.name} stood at {degrees(seen.temp_c)}: sun, or a heater that does not obey"
        yield Trouble(f"hot:{zone.id}", text, HOT_S)


def _of_heaters(zone: Zone, situation: Situation) -> Iterator[Trouble]:
    for heater in zone.heaters:
        seen = situation.heater(heater.id)
        barred = bar(heater, seen)
        if barred:
            yield Trouble(f"barred:{heater.id}", f"heater {heater.id} in {zone.name}: {barred}", BARRED_S)
        elif seen.away:
            text = f"heater {heater.id} in {zone.name} could not be reached for {SILENT_S / 3600:.0f} h: {seen.away}"
            yield Trouble(f"away:{heater.id}", text, SILENT_S)
