"""A window or door that lets heat out at some hours only, or in steps of whole days.

Three things may speak of it: the hourly balance, in which the same hours of most days take more than the rest; the
daily balance, which jumps between two levels up and down; and a contact, where there is one. A leak takes at all hours
alike. A slow wall looks a little like an opened window while a room is heated up in the morning, so short stretches,
and those after a rise of the wanted temperature, must stand out further.
"""

from __future__ import annotations

from math import inf
from typing import Final

import numpy as np

from ingle.model.verdicts import Cause
from ingle.verdict.causes.amounts import of_days, taking
from ingle.verdict.causes.case import Case, Clocked
from ingle.verdict.causes.contact import NEXT, by_contact
from ingle.verdict.clockwise import Stretch, by_day, stretch_above
from ingle.verdict.hours import Hours
from ingle.verdict.series import Floats

#: How far hours must stand out, as a share of the room's own coefficient: stretches through the night, in which little
#: else happens; others; and those in the hours after a rise of the wanted temperature. Chosen on simulated homes with
#: seeds below 1000.
NIGHT_NEED: Final = 0.26
DAY_NEED: Final = 0.6
AFTER_RISE_NEED: Final = 1.1
NIGHT_H: Final = 5
RISE_K: Final = 0.4
#: How long after a rise slow walls still take more than the balance knows [h].
RISE_LASTS_H: Final = 6
#: The habit must show on so many days and such a share of them.
LEAST_DAYS: Final = 5
LEAST_SHARE: Final = 0.5
#: Steps of whole days: how far apart the two levels, how many days and changes, how tight each level, and how many days
#: the lower one must have: a few days that need less are guests or sun.
STEP_NEED: Final = 0.45
STEP_DAYS: Final = 2
STEP_CHANGES: Final = 3
STEP_SCATTER: Final = 0.3
STEP_SHUT: Final = 0.25
#: The share of the coefficient found in the hours that counts at least, however small the survey's.
LEAST_SCALE: Final = 0.6
#: And the share of the survey's: where links to other rooms take most of the flow, little is left in the hours.
OF_DESIGN: Final = 0.8
#: How long a stretch by day may be [h]: who airs all day has no clock.
DAY_LONGEST_H: Final = 8
#: Hours in which the sun needs no window to be open: they make no rest to compare with.
SUNNY: Final = (10, 11, 12, 13, 14, 15)
#: A contact agrees with an hour when it stood open for this share of it.
OPEN_SHARE: Final = 0.5


def opening(case: Case) -> Clocked | None:
    """Return that the room loses heat through something that is opened, or None."""
    hours = case.hours
    if hours is None or case.stored or case.room.computed or case.room.silent:
        return None
    # What is open makes the room's own coefficient look larger; the survey's holds it down, as far as it may.
    loss, design = hours.loss_w_per_k, case.design_w_per_k or hours.loss_w_per_k
    scale = max(min(loss, design), LEAST_SCALE * loss, OF_DESIGN * design)
    if scale <= 0:
        return None
    return _by_clock(case, hours, scale) or by_contact(case, hours, scale) or _by_steps(case, hours, scale)


def _by_clock(case: Case, hours: Hours, scale: float) -> Clocked | None:
    rising = _after_rises(case).tolist()

    def need(start: int, length: int) -> float:
        of_day = [hour % 24 for hour in range(start, start + length)]
        if length >= NIGHT_H and 2 in of_day and 3 in of_day:
            return NIGHT_NEED * scale
        if length > DAY_LONGEST_H:
            return inf
        after_rise = sum(rising[hour] for hour in of_day) * 2 >= length
        return (AFTER_RISE_NEED if after_rise else DAY_NEED) * scale

    of_day = np.arange(24)
    stretch = stretch_above(hours.special_w_per_k, need, of_day >= 0, ~np.isin(of_day, SUNNY))
    if stretch is None:
        return None
    days = by_day(hours, stretch)
    agreeing = [day for day, (watts, apart) in days.items() if watts > 0.5 * stretch.above * apart]
    if len(agreeing) < LEAST_DAYS or len(agreeing) < LEAST_SHARE * len(days):
        return None
    night = stretch.of_day[2]
    evidence = (
        f"From {stretch.words()} the room takes {stretch.above:.0f} W/K more than at other hours, "
        f"on {len(agreeing)} of {len(days)} {'nights' if night else 'days'}"
    )
    agrees, said = _contact(case, hours, stretch, agreeing)
    times = stretch.above / scale
    share = len(agreeing) / max(len(days), 1)
    probability = 0.72 + 0.12 * min(times, 1.0) + 0.12 * share
    cause = Cause(
        code="opening",
        probability=round(_with_contact(probability, agrees), 3),
        evidence=f"{evidence}{said}.",
        against=_against(agrees),
        check_next=NEXT,
    )
    taken = of_days([watts * stretch.length / 1000 for watts, _ in days.values()])
    return Clocked(taking(cause, taken), times / stretch.length)


def _by_steps(case: Case, hours: Hours, scale: float) -> Clocked | None:
    """Whole days at one of two levels, with changes both up and down."""
    levels = np.full(case.balance.days, np.nan)
    apart = np.full(case.balance.days, np.nan)
    for day in range(case.balance.days):
        at = (hours.day == day) & np.isfinite(hours.left_w)
        if at.sum() >= 12:
            apart[day] = hours.difference_k[at].mean()
            levels[day] = np.median(hours.left_w[at]) / max(apart[day], 1.0)
    known = np.flatnonzero(np.isfinite(levels))
    if len(known) < 3 * STEP_DAYS:
        return None
    row = levels[known]
    high = _upper(row)
    above, below = row[high], row[~high]
    if min(len(above), len(below)) < STEP_DAYS or len(below) < STEP_SHUT * len(row):
        return None
    step = float(np.median(above) - np.median(below))
    scatter = float(np.hypot(_middling(above), _middling(below)))
    changes = int((np.diff(high.astype(int)) != 0).sum())
    if step < STEP_NEED * scale or scatter > STEP_SCATTER * step or changes < STEP_CHANGES:
        return None
    extra = [step * float(apart[day]) * 24 / 1000 for day in known[high]]
    cause = Cause(
        code="opening",
        probability=round(min(0.95, 0.75 + 0.03 * changes + 0.05 * min(step / scale, 2.0)), 3),
        evidence=f"The loss goes up and down in steps: on {len(above)} of {len(row)} days the room takes about "
        f"{step:.0f} W/K more than on the others, with {changes} changes between them.",
        against=None,
        check_next=NEXT,
    )
    return Clocked(taking(cause, of_days(extra, len(above) / len(row))), step / scale / 24)


def _upper(row: Floats) -> np.typing.NDArray[np.bool_]:
    """Return which values belong to the upper of two groups, parted where they are tightest (Otsu's threshold)."""
    ordered = np.sort(row)
    best, cut = -1.0, float(ordered[-1])
    for place in range(1, len(ordered)):
        low, up = ordered[:place], ordered[place:]
        between = place * (len(ordered) - place) * float(up.mean() - low.mean()) ** 2
        if between > best:
            best, cut = between, float(up[0])
    return np.asarray(row >= cut)


def _middling(row: Floats) -> float:
    """Return the scatter of a group by its middle, so that the days of a change do not count."""
    return float(1.48 * np.median(np.abs(row - np.median(row))))


def _after_rises(case: Case) -> np.typing.NDArray[np.bool_]:
    """Return the hours of the day around and after a rise of the wanted temperature."""
    hours = case.hours
    found = np.zeros(24, dtype=np.bool_)
    wanted = case.room.hour_setpoint_c
    if hours is None or not len(wanted):
        return found
    step = np.diff(wanted[-len(hours.clock) :], prepend=np.nan)
    for hour in range(24):
        each = step[hours.clock == hour]
        if np.isfinite(each).any() and np.nanmean(each) > RISE_K / 2:
            found[(hour - 1 + np.arange(RISE_LASTS_H + 1)) % 24] = True
    return found


def _contact(case: Case, hours: Hours, stretch: Stretch, days: list[int]) -> tuple[float | None, str]:
    """Return the share of days on which a contact agrees, and a sentence; None without a contact."""
    best: tuple[int, int, str] | None = None
    for name, row in case.room.hour_open.items():
        recent = row[-len(hours.clock) :]
        within = stretch.of_day[hours.clock] & np.isfinite(recent)
        known = [day for day in days if (within & (hours.day == day)).any()]
        open_then = sum(bool((recent[within & (hours.day == day)] >= OPEN_SHARE).any()) for day in known)
        if known and (best is None or open_then > best[0]):
            best = open_then, len(known), name
    if best is None:
        return None, ""
    return best[0] / best[1], f"; the contact {best[2]} says open on {best[0]} of {best[1]} of them"


def _with_contact(probability: float, agrees: float | None) -> float:
    if agrees is None:
        return probability
    return min(0.99, probability + 0.1) if agrees >= 0.7 else probability - 0.25 if agrees < 0.3 else probability


def _against(agrees: float | None) -> str | None:
    if agrees is None:
        return "No contact shows it; a fan that runs at these hours would look alike."
    if agrees < 0.3:
        return "The contact says shut at these hours: another opening, or a fan."
    return None
