"""What a person should look at though it names no cause: switching too often, never warm, a sensor that stands."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from ingle.model.verdicts import Finding
from ingle.verdict.causes.case import Case
from ingle.verdict.causes.short import wholly_on
from ingle.verdict.series import Bools, Floats

#: How far back [h]: a week.
RECENT_H: Final = 168
#: Switching on more often than this wears a relay out: 100 000 operations, an ordinary endurance of a thermostat's
#: contact (EN 60730-1, from memory), are two winters at 20 an hour. Electronic control at 6 to 12 an hour is usual.
OFTEN_PER_H: Final = 15.0
OFTEN_HOURS: Final = 3
#: Wholly on for so long, still falling by so much, below the wanted temperature by so much.
WHOLE_H: Final = 3
FALLING_K: Final = 0.1
BELOW_K: Final = 0.5
#: A thermometer that has not moved for so long [h], by less than its step [K], while power or weather did.
STUCK_H: Final = 48
STILL_K: Final = 0.05
MOVED_K: Final = 2.0
MOVED_SHARE: Final = 0.3


def findings(case: Case) -> tuple[Finding, ...]:
    """Return what a room's devices show."""
    if not case.balance.days:
        return ()
    return (*_short_cycling(case), *_never_reaches(case), *_stuck(case))


def _short_cycling(case: Case) -> Iterator[Finding]:
    for name, row in case.room.switchings_per_h.items():
        recent = row[-RECENT_H:]
        often = recent[np.isfinite(recent) & (recent > OFTEN_PER_H)]
        if len(often) >= OFTEN_HOURS:
            yield Finding(
                code="short-cycling",
                sentence=f"{name} went on {np.median(often):.0f} times an hour in {len(often)} hours of the last week; "
                "up to a dozen is usual.",
                check_next="Look at the thermostat's switching difference and where its sensor hangs; "
                "a relay wears out so. A loose contact is for a competent electrician.",
            )


def _never_reaches(case: Case) -> Iterator[Finding]:
    """Yield a room that grows colder with everything on."""
    room = case.room
    if not room.zone.heaters or room.silent or room.computed or not len(room.hour_setpoint_c):
        return
    temp, wanted = room.hour_temp_c, room.hour_setpoint_c
    with np.errstate(invalid="ignore"):
        short = wholly_on(case) & (wanted - temp >= BELOW_K)
    runs = [run for run in _runs(short[-RECENT_H:]) if run[1] - run[0] >= WHOLE_H]
    start = max(len(temp) - RECENT_H, 0)
    falling = [(first, last) for first, last in runs if temp[start + last - 1] <= temp[start + first] - FALLING_K]
    if falling:
        first, last = max(falling, key=lambda run: run[1] - run[0])
        fell = temp[start + first] - temp[start + last - 1]
        below = wanted[start + last - 1] - temp[start + last - 1]
        yield Finding(
            code="never-reaches-target",
            sentence=f"{last - first} hours wholly on and still {fell:.1f} K colder, "
            f"{below:.1f} K below the wanted temperature: too small or losing.",
            check_next="Look for something that stands open; then compare the plates with the room's design heat loss.",
        )


def _stuck(case: Case) -> Iterator[Finding]:
    room = case.room
    rows = room.sensors_c or room.heater_temps_c
    outdoors = case.balance.hour_outdoor_c[-STUCK_H:]
    for name, row in rows.items():
        recent = row[-STUCK_H:]
        if np.isfinite(recent).sum() < STUCK_H * 0.9 or float(np.nanmax(recent) - np.nanmin(recent)) > STILL_K:
            continue
        if _moved(outdoors, MOVED_K) or _power_moved(room.hour_power_w[-STUCK_H:]):
            yield Finding(
                code="sensor-stuck",
                sentence=f"{name} has stood at {np.nanmedian(recent):.1f} °C for {STUCK_H} hours "
                "while power or weather changed.",
                check_next="Breathe on the thermometer: it must move within minutes. If not, change battery or sensor.",
            )


def _moved(row: Floats, least: float) -> bool:
    return bool(np.isfinite(row).any() and np.nanmax(row) - np.nanmin(row) > least)


def _power_moved(row: Floats) -> bool:
    known = row[np.isfinite(row)]
    return bool(len(known) and known.mean() > 1.0 and np.ptp(known) > MOVED_SHARE * known.mean())


def _runs(row: Bools) -> list[tuple[int, int]]:
    """Return where a row is true, as half-open spans.

    >>> _runs(np.array([True, True, False, True]))
    [(0, 2), (3, 4)]
    """
    edges = np.diff(np.concatenate([[0], row.astype(np.int8), [0]]))
    return list(zip(np.flatnonzero(edges == 1).tolist(), np.flatnonzero(edges == -1).tolist(), strict=True))
