"""What the record of wants explains: a room kept warmer or longer than its programme says, or changed at the heater.

Nothing is wrong with such a room; but who pays may not know. The record notes what was ordered and what the programme
alone wanted; the heater reports what it holds. Only what lasts for days is told, and what it takes follows from the
room's coefficient: power = H · (warmer by so much, for so long).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np

from ingle.model.verdicts import Cause, CauseCode
from ingle.verdict.causes.amounts import of_power, taking
from ingle.verdict.causes.case import Case
from ingle.verdict.series import Bools, Floats

#: How far back wants are looked at [h], and how many hours of them must be known.
RECENT_H: Final = 28 * 24
LEAST_H: Final = 7 * 24
#: How much warmer than the programme counts [K], and for how many hours a day and on how many days.
WARMER_K: Final = 1.0
LONGER_H: Final = 2.0
LEAST_DAYS: Final = 5
#: Hours wanted this close to the day's warmest are its occupied ones [K].
NEAR_K: Final = 0.5
#: A heater that holds what it is ordered for less of the time than this has a will of its own.
FOLLOWS_SHARE: Final = 0.5
#: How well the coefficient is known where nothing better is, as a share of it.
LOSS_SPREAD: Final = 0.25


class _Hours(NamedTuple):
    day: np.typing.NDArray[np.intp]
    held_c: Floats
    ordered_c: Floats
    programme_c: Floats


def wants(case: Case) -> Iterator[Cause]:
    """Yield what people wanted beyond the programme."""
    seen = _seen(case)
    if seen is None:
        return
    programme, ordered = seen.programme_c, seen.ordered_c
    with np.errstate(invalid="ignore"):
        warm = programme >= _day_warmest(seen) - NEAR_K
        above = ordered - programme
        warmer, longer = warm & (above >= WARMER_K), ~warm & (above >= WARMER_K)
        apart = seen.held_c - ordered
        # A heater that hardly ever holds what it is ordered is not ordered at all.
        follows = np.nanmean(np.abs(apart) < NEAR_K) >= FOLLOWS_SHARE if np.isfinite(apart).any() else False
        by_hand = (apart >= WARMER_K) & follows
    yield from _told(
        case, seen, warmer, above, "target-high", "the room was ordered warmer than its programme in its occupied hours"
    )
    yield from _told(
        case, seen, longer, above, "hours-long", "the room was kept warm beyond the hours of its programme"
    )
    yield from _told(case, seen, by_hand, apart, "local-change", "the heater held more than it was ordered to")


_NEXT: Final[dict[CauseCode, str]] = {
    "target-high": "Ask whether the warmer level is wanted: put it into the programme, or let the override run out.",
    "hours-long": "Ask whether these hours are used: put them into the programme, or shorten the override.",
    "local-change": "Ask who turns the heater up; lock its knob, or raise the programme where the room is too cold.",
}


def _told(case: Case, seen: _Hours, which: Bools, above: Floats, code: CauseCode, words: str) -> Iterator[Cause]:
    days, counts = np.unique(seen.day[which], return_counts=True)
    many = days[counts >= LONGER_H]
    known = int(np.isfinite(above).sum())
    if len(many) < LEAST_DAYS or known < LEAST_H:
        return
    mean_k = float(above[which].mean())
    share = float(which.sum()) / known
    loss = case.found.loss_w_per_k if case.found is not None else case.design_w_per_k or 0.0
    cause = Cause(
        code=code,
        probability=round(min(0.95, 0.7 + 0.01 * len(many)), 3),
        evidence=f"On {len(many)} of {len(np.unique(seen.day))} days {words}, by {mean_k:.1f} K on average and for "
        f"{counts[counts >= LONGER_H].mean():.0f} hours a day.",
        against="It may be just what was wanted.",
        check_next=_NEXT[code],
    )
    watts = loss * mean_k * share
    yield taking(cause, of_power(watts, 1.96 * LOSS_SPREAD * watts))


def _seen(case: Case) -> _Hours | None:
    if case.record is None or not len(case.record.t_s) or not case.balance.days:
        return None
    balance = case.balance
    recent = slice(max(len(balance.hours_s) - 1 - RECENT_H, 0), None)
    middle = balance.hours_s[:-1][recent] + 1800.0
    ordered, programme, _ = case.record.at(middle)
    held = case.room.hour_setpoint_c[recent]
    day = np.searchsorted(balance.edges_s, middle) - 1
    return _Hours(day, held, ordered, programme)


def _day_warmest(seen: _Hours) -> Floats:
    """Return for each hour the warmest that the programme wants on its day [°C]."""
    found = np.full(len(seen.day), np.inf)
    for day in np.unique(seen.day):
        at = (seen.day == day) & np.isfinite(seen.programme_c)
        if at.any():
            found[seen.day == day] = seen.programme_c[at].max()
    return found
