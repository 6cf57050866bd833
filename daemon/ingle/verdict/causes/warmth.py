"""Other heat: warm rises after dark with the heater off, the neighbours no warmer, again and again."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from ingle.model.verdicts import Cause
from ingle.verdict.causes.case import Case
from ingle.verdict.series import Floats

#: Rooms in which unmetered warmth in the evening is normal.
COOKING: Final = frozenset({"kitchen", "dining", "bath", "utility", "workshop"})


def other_heat(case: Case) -> Iterator[Cause]:
    """Yield that something warms the room that nobody meters."""
    room, balance = case.room, case.balance
    if room.zone.use in COOKING or not balance.days or room.silent or room.computed:
        return
    temp, power = room.hour_temp_c, room.hour_power_w
    if len(temp) < 48:
        return
    hour = ((balance.hours_s[:-1] - balance.edges_s[0]) / 3600 + 4) % 24  # local, but for the hour of summer time
    dark = (hour >= 19) | (hour <= 4)
    with np.errstate(invalid="ignore"):
        off = power < 5.0
        rise = np.diff(temp, prepend=np.nan)
        warmest = warmest_neighbour(case)
        cooler = ~(warmest > temp + 1.0)
        event = dark & off & np.roll(off, 1) & np.roll(off, 2) & (rise > 0.25) & cooler
        event &= temp - balance.hour_outdoor_c > 8.0
    recent = np.arange(len(event)) >= len(event) - 28 * 24
    evening = (balance.hours_s[:-1] - balance.edges_s[0]) / 3600 - 15  # an evening begins at 19:00
    days = np.unique(evening[event & recent] // 24)
    if len(days) >= 8:
        total = float(np.nansum(np.where(event & recent, rise, 0.0)))
        yield Cause(
            code="other-heat",
            probability=round(min(0.97, 0.6 + 0.03 * len(days)), 3),
            evidence=f"On {len(days)} evenings of the last 28 days the room warmed after dark with its heater off, "
            f"by {total / len(days):.1f} K on average.",
            check_next="Ask about a portable heater, a stove, or pipes and appliances that give off heat.",
        )


def warmest_neighbour(case: Case) -> Floats:
    """Return the warmest other heated room of the house, hour by hour [°C]."""
    others = [
        each.hour_temp_c for name, each in case.balance.rooms.items() if name != case.room.zone.id and each.zone.heaters
    ]
    if not others:
        return np.full(len(case.room.hour_temp_c), np.nan)
    stack = np.stack([np.where(np.isfinite(row), row, -99.0) for row in others])
    return np.asarray(stack.max(axis=0))
