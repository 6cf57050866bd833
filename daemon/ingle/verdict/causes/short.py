"""Heaters too small: wholly on for hours and still below the wanted temperature, on days milder than design.

A sound heater is wholly on too while it warms a room up; but it gets there. So the first hours after a rise of the
wanted temperature do not count.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from ingle.model.verdicts import Cause
from ingle.verdict.causes.case import Case
from ingle.verdict.series import Bools, Floats

#: Power from this share of the plate at the real voltage on is all there is [-].
WHOLE_SHARE: Final = 0.92
#: A room so far below its wanted temperature is not only settling [K].
BELOW_K: Final = 0.5
#: For so many hours in a row while the room was wanted warm [h], not counting those in which it was warming up.
RUN_H: Final = 4
WARM_UP_H: Final = 3
LEAST_DAYS: Final = 3
#: On such a share of the recent days that were as cold.
LEAST_SHARE: Final = 0.5
#: How far back [days]: a winter, because a small heater only shows in the cold.
RECENT_DAYS: Final = 84


def too_small(case: Case) -> Iterator[Cause]:
    """Yield that a room's heaters cannot hold it."""
    room = case.room
    if not room.zone.heaters or room.computed or room.silent or not case.balance.days:
        return
    whole = wholly_on(case)
    days, short_k = _short_days(case, whole)
    if len(days) < LEAST_DAYS:
        return
    coldest = np.nanmax(case.balance.outdoor_c[days])
    as_cold = case.balance.outdoor_c[-RECENT_DAYS:] <= coldest
    share = len(days) / max(int(as_cold.sum()), 1)
    if share < LEAST_SHARE:
        return
    zone = room.zone
    installed = sum(heater.rated_w for heater in zone.heaters)
    found = case.design.zone(zone.id)
    loss = found.heat_loss_w if found is not None else 0.0
    short = f" The design asks for {loss:,.0f} W." if loss > installed else ""
    yield Cause(
        code="too-small",
        probability=round(min(0.97, 0.75 + 0.02 * len(days) + 0.1 * min(share, 1.0)), 3),
        evidence=f"On {len(days)} of {int(as_cold.sum())} days milder than design {installed:,.0f} W ran wholly on for "
        f"{RUN_H} hours and more, and the room stayed {short_k:.1f} K below the wanted temperature.{short}",
        against=None if short else f"By the design {installed:,.0f} W should do: a room that loses more looks alike.",
        check_next="Compare the plates with the room's design heat loss; look for a door or window that stands open.",
    )


def wholly_on(case: Case) -> Bools:
    """Return in which hours all of a room's heaters gave all they can."""
    room = case.room
    full = sum(_full_w(case, name) for name in room.plateaus)
    with np.errstate(invalid="ignore"):
        return np.asarray(room.hour_power_w >= WHOLE_SHARE * full)


def _full_w(case: Case, name: str) -> float:
    """Return a heater's plate at the voltage it has while it heats [W]; a self-limiting one's as seen."""
    heater = next(each for each in case.room.zone.heaters if each.id == name)
    seen = case.room.plateaus[name]
    volts = seen.voltage_v[np.isfinite(seen.voltage_v)]
    supply_v = float(np.median(volts)) if len(volts) else case.house.site.voltage_v
    if heater.element == "ptc" and len(seen.power_w):
        return float(np.quantile(seen.power_w, 0.9))
    return heater.rated_w * (supply_v / heater.rated_v) ** 2


def _short_days(case: Case, whole: Bools) -> tuple[list[int], float]:
    """Return the days on which the room stayed too cold though all was on, and by how much in the middle [K]."""
    room, balance = case.room, case.balance
    wanted: Floats = room.hour_setpoint_c
    first = np.searchsorted(balance.hours_s, balance.edges_s)
    found, missing = [], []
    for day in range(max(balance.days - RECENT_DAYS, 0), balance.days):
        at = slice(first[day], first[day + 1])
        row, temp = wanted[at], room.hour_temp_c[at]
        known = np.isfinite(row) & np.isfinite(temp)
        if known.sum() < RUN_H or not balance.outdoor_c[day] > case.house.site.outdoor_here_c + 1:
            continue
        warm = known & (row >= np.nanmax(row) - 0.3)
        below = np.where(warm & whole[at] & (row - temp >= BELOW_K), row - temp, 0.0)
        # Warming up is over some hours after the wanted temperature has risen.
        for hour in range(WARM_UP_H):
            below[hour:][warm[: len(warm) - hour] & ~_before(warm)[: len(warm) - hour]] = 0.0
        run = _longest(below > 0)
        if run >= RUN_H:
            found.append(day)
            missing.append(float(np.median(below[below > 0])))
    return found, float(np.median(missing)) if missing else 0.0


def _before(row: Bools) -> Bools:
    """Return a row an hour later; before the first hour it was as in it."""
    return np.concatenate([row[:1], row[:-1]])


def _longest(row: Bools) -> int:
    """Return the most hours in a row.

    >>> _longest(np.array([True, False, True, True]))
    2
    """
    best = now = 0
    for each in row.tolist():
        now = now + 1 if each else 0
        best = max(best, now)
    return best
