"""Heat in the rooms that no heater gives: guests, breakfast, washing machines, lights.

A seated adult gives about 70 W of sensible heat (ISO 7730, 1 met less what goes off as vapour). The rest is invented
for the simulated house, so that a bedroom comes to the 3 W/m² or so of ISO 13790:2008, table G.8. The answer depends
on seed, zone and local time only.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from functools import lru_cache
from random import Random

PERSON_W = 70.0
#: What stays on in an empty room [W/m²]: a clock, standby, a smoke alarm; invented.
EMPTY_W_PER_M2 = 0.4


@lru_cache(maxsize=4096)
def _guests(seed: int, zone_id: str, night: date) -> int:
    """Return how many sleep in a room in the night that begins on a date."""
    chance = Random(f"guests {seed} {zone_id} {night.toordinal()}")
    return 0 if chance.random() < 0.25 else chance.choice((1, 1, 2))


@lru_cache(maxsize=4096)
def _measure(seed: int, zone_id: str, day: date) -> float:
    """Return how busy a day is, about 1."""
    return Random(f"day {seed} {zone_id} {day.toordinal()}").uniform(0.7, 1.3)


def gains_w(use: str, zone_id: str, local: datetime, seed: int) -> float:
    """Return the heat that people and appliances give in a zone at a local time [W].

    >>> from datetime import datetime
    >>> gains_w("hall", "hall", datetime(2026, 1, 12, 12, 0), 1)
    30.0
    """
    hour = local.hour + local.minute / 60
    if use in ("bedroom", "living"):
        # A night belongs to the evening it begins on.
        night = local.date() if hour >= 12 else local.date() - timedelta(days=1)
        guests = _guests(seed, zone_id, night)
        here = hour >= 22 or hour < 8.5 or (use == "living" and hour >= 17)
        awake = 7 <= hour < 9 or 18 <= hour < 23
        return 8.0 + (guests * PERSON_W if here else 0.0) + (25.0 if awake and guests else 0.0)
    if use == "dining":
        busy = 7 <= hour < 10
        return 35.0 + (500.0 * _measure(seed, zone_id, local.date()) if busy else 0.0)
    if use == "utility":
        busy = 9 <= hour < 13 and local.weekday() != 6
        return 10.0 + (250.0 * _measure(seed, zone_id, local.date()) if busy else 0.0)
    return 30.0 + (40.0 if 16 <= hour < 23 else 0.0)


def other_load_w(local: datetime, seed: int) -> float:
    """Return what the house draws besides its heaters [W]."""
    hour = local.hour + local.minute / 60
    wave = _measure(seed, "supply", local.date())
    if 6.5 <= hour < 9.5:
        return 900.0 * wave
    if 17 <= hour < 22:
        return 600.0 * wave
    return 260.0
