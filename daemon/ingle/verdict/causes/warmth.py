"""Heat that nobody meters: a portable heater, a stove, a door to a warm place.

Two things may speak of it. In the hourly balance the same hours of most days need less than the rest, by more than
people, lights and cooking give. And on evenings with its heater off the room grows warmer, though no neighbour is. By
day the sun would look alike, so nothing is said of the hours around noon.
"""

from __future__ import annotations

from math import inf
from typing import Final

import numpy as np

from ingle.model.verdicts import Cause
from ingle.verdict.causes.amounts import of_days, taking
from ingle.verdict.causes.case import Case, Clocked
from ingle.verdict.clockwise import by_day, stretch_below
from ingle.verdict.hours import Hours
from ingle.verdict.series import Bools, Floats

#: Rooms in which unmetered warmth in the evening is normal.
COOKING: Final = frozenset({"kitchen", "dining", "bath", "utility", "workshop"})
#: Heat beyond that of the other hours [W/m²]: an evening's people, lights and screens give up to about 10 in a living
#: room (ISO 13790:2008, table G.8: 9 with a kitchen, from memory), an hour's cooking up to 40. Chosen on simulated
#: homes with seeds below 1000.
NEED_W_PER_M2: Final = 10.0
SHORT_W_PER_M2: Final = 16.0
SHORT_H: Final = 2
#: A portable heater runs for an evening, not for all the hours in which a room is wanted warm [h].
LONGEST_H: Final = 6
#: And so much of the room's own coefficient, for what is small beside it drowns.
NEED_SHARE: Final = 0.25
#: Hours in which the sun may be it.
SUNNY: Final = tuple(range(9, 17))
#: Hours wanted this close to the day's warmest: in the others the room lives on stored heat [K].
NEAR_WARMEST_K: Final = 0.6
#: Without a record of what was wanted, the hours in which a portable heater is likely.
EVENING: Final = (17, 18, 19, 20, 21, 22)
LEAST_DAYS: Final = 5
LEAST_SHARE: Final = 0.5
#: Evenings on which the room warmed with its heater off.
WARM_EVENINGS: Final = 8
#: How sharply they stand out beside a cause found in the balance: as an ordinary one does.
EVENINGS_SHARP: Final = 0.15

NEXT: Final = (
    "Ask about a portable heater, a stove, or pipes and appliances that give off heat. Anything that burns needs air "
    "and a flue that a competent person has looked at, and a carbon monoxide alarm."
)


def other_heat(case: Case) -> Clocked | None:
    """Return that something warms the room that nobody meters, or None."""
    if not case.balance.days or case.room.silent or case.room.computed:
        return None
    found = _by_clock(case, case.hours) if case.hours is not None and not case.stored else None
    return found or _warm_evenings(case)


def _by_clock(case: Case, hours: Hours) -> Clocked | None:
    zone = case.room.zone
    apart = float(np.nanmean(hours.difference_k))
    if apart <= 0 or hours.loss_w_per_k <= 0:
        return None
    per_k = zone.floor_area_m2 / apart
    share = NEED_SHARE * hours.loss_w_per_k
    warm = _warm_hours(case, hours)

    wanted = warm.tolist()

    def need(start: int, length: int) -> float:
        of_day = [hour % 24 for hour in range(start, start + length)]
        sunny = sum(hour in SUNNY for hour in of_day) * 2 > length
        short = length <= SHORT_H
        if length > LONGEST_H or sunny or (short and zone.use in COOKING) or not all(wanted[hour] for hour in of_day):
            return inf
        return max((SHORT_W_PER_M2 if short else NEED_W_PER_M2) * per_k, share)

    stretch = stretch_below(hours.special_w_per_k, need, warm)
    if stretch is None:
        return None
    days = by_day(hours, stretch)
    agreeing = [day for day, (watts, difference) in days.items() if -watts > 0.5 * stretch.above * difference]
    if len(agreeing) < LEAST_DAYS or len(agreeing) < LEAST_SHARE * len(days):
        return None
    watts = -float(np.median([days[day][0] for day in agreeing]))
    often = len(agreeing) / len(days)
    cause = Cause(
        code="other-heat",
        probability=round(
            min(0.97, 0.7 + 0.1 * often + 0.08 * min(stretch.above / (NEED_W_PER_M2 * per_k) - 1, 2.0)), 3
        ),
        evidence=f"From {stretch.words()} the room needs about {watts:,.0f} W less from its heaters than at other "
        f"hours, on {len(agreeing)} of {len(days)} days.",
        against="People, cooking and lights give some of it; guests would look alike.",
        check_next=NEXT,
    )
    taken = of_days([max(-each, 0.0) * stretch.length / 1000 for each, _ in days.values()])
    return Clocked(taking(cause, taken), stretch.above / hours.loss_w_per_k / stretch.length)


def _warm_hours(case: Case, hours: Hours) -> Bools:
    """Return the hours of the day for which the room is wanted warm."""
    wanted = case.room.hour_setpoint_c[-len(hours.clock) :]
    known = np.isfinite(wanted)
    if not known.any():
        return np.isin(np.arange(24), EVENING)
    means = np.array(
        [wanted[at].mean() if (at := known & (hours.clock == hour)).any() else -np.inf for hour in range(24)]
    )
    return np.asarray(means >= means.max() - NEAR_WARMEST_K)


def _warm_evenings(case: Case) -> Clocked | None:
    room, balance = case.room, case.balance
    temp, power = room.hour_temp_c, room.hour_power_w
    if room.zone.use in COOKING or len(temp) < 48:
        return None
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
    if len(days) < WARM_EVENINGS:
        return None
    total = float(np.nansum(np.where(event & recent, rise, 0.0)))
    cause = Cause(
        code="other-heat",
        probability=round(min(0.97, 0.6 + 0.03 * len(days)), 3),
        evidence=f"On {len(days)} evenings of the last 28 days the room warmed after dark with its heater off, "
        f"by {total / len(days):.1f} K on average.",
        against="Sun on a late evening, or a warm room below, would look alike.",
        check_next=NEXT,
    )
    return Clocked(cause, EVENINGS_SHARP)


def warmest_neighbour(case: Case) -> Floats:
    """Return the warmest other heated room of the house, hour by hour [°C]."""
    others = [
        each.hour_temp_c for name, each in case.balance.rooms.items() if name != case.room.zone.id and each.zone.heaters
    ]
    if not others:
        return np.full(len(case.room.hour_temp_c), np.nan)
    stack = np.stack([np.where(np.isfinite(row), row, -99.0) for row in others])
    return np.asarray(stack.max(axis=0))
