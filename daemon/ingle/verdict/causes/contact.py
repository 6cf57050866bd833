"""What a contact says of a window or door, held against what the room takes while it is open.

With a contact nothing has to be guessed from the clock: the hours in which it says open are compared with those in
which it says shut, day by day, so that weather, sun and people lie on both sides.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from ingle.model.verdicts import Cause
from ingle.verdict.causes.amounts import of_days, taking
from ingle.verdict.causes.case import Case, Clocked
from ingle.verdict.hours import Hours

#: An hour is open from this share on, and shut below that [-].
OPEN_SHARE: Final = 0.5
SHUT_SHARE: Final = 0.05
#: Days with open and shut hours that must be there, how much more the open ones take as a share of the room's
#: coefficient, and on what share of these days.
LEAST_DAYS: Final = 5
NEED: Final = 0.2
LEAST_SHARE: Final = 0.6

NEXT: Final = (
    "Ask who opens what and when; a few minutes wide open change the air as well as hours ajar. "
    "Look for a window, vent or door that does not close; a contact on it would settle it."
)


def by_contact(case: Case, hours: Hours, scale: float) -> Clocked | None:
    """Return the opening whose contact agrees with what the room takes, or None.

    Parameters
    ----------
    case, hours
        The room.
    scale
        Its coefficient [W/K].
    """
    best: Clocked | None = None
    for name, row in case.room.hour_open.items():
        found = _agreeing(name, row[-len(hours.clock) :], hours, scale)
        if found is not None and (best is None or (found.cause.kwh or 0.0) > (best.cause.kwh or 0.0)):
            best = found
    return best


def _agreeing(name: str, opened: np.typing.NDArray[np.float64], hours: Hours, scale: float) -> Clocked | None:
    known = np.isfinite(opened) & np.isfinite(hours.beyond_w)
    rows = []
    for day in np.unique(hours.day[known & (hours.day >= 0)]):
        at = known & (hours.day == day)
        ajar, shut = at & (opened >= OPEN_SHARE), at & (opened <= SHUT_SHARE)
        if ajar.any() and shut.sum() >= 3:
            more = hours.beyond_w / np.maximum(hours.difference_k, 1.0)
            extra = float(np.median(more[ajar]) - np.median(more[shut]))
            rows.append((extra, int(ajar.sum()), float(hours.difference_k[ajar].mean())))
    if len(rows) < LEAST_DAYS:
        return None
    step = float(np.median([extra for extra, _, _ in rows]))
    agreeing = sum(extra > step / 2 for extra, _, _ in rows)
    if step < NEED * scale or agreeing < LEAST_SHARE * len(rows):
        return None
    cause = Cause(
        code="opening",
        probability=round(min(0.98, 0.8 + 0.15 * agreeing / len(rows)), 3),
        evidence=f"While the contact {name} says open the room takes {step:.0f} W/K more than while it says shut, "
        f"on {agreeing} of {len(rows)} days with both.",
        check_next=NEXT,
    )
    a_day = [extra * apart * count / 1000 for extra, count, apart in rows]
    days = len(np.unique(hours.day[known & (hours.day >= 0)]))
    mean_hours = float(np.mean([count for _, count, _ in rows]))
    return Clocked(taking(cause, of_days(a_day, len(rows) / days)), step / scale / mean_hours)
