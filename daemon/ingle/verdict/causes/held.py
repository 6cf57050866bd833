"""A room that was cold because it was held: the cap left it no heat, or its heater was out of reach."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from ingle.model.verdicts import Cause
from ingle.verdict.causes.case import Case

#: How far back is looked [h], for how many hours the room must have been held, and how cold it must have been [K].
RECENT_H: Final = 28 * 24
HELD_H: Final = 6
BELOW_K: Final = 0.5
#: For how long in all, or how often, a heater may be out of reach before it is worth a look [h], [times].
AWAY_H: Final = 12.0
AWAY_TIMES: Final = 10


def held(case: Case) -> Iterator[Cause]:
    """Yield what held a room back, by what was noted."""
    if case.record is None or not case.balance.days:
        return
    yield from _by_cap(case)
    away = case.record
    if away.away_h >= AWAY_H or away.away_times >= AWAY_TIMES:
        yield Cause(
            code="radio-lost",
            probability=round(min(0.95, 0.75 + 0.01 * away.away_times), 3),
            evidence=f"In the last {away.days:.0f} days heaters of the room were out of reach {away.away_times} times, "
            f"for {away.away_h:.0f} hours in all; then they hold what they were last told, and later their fall-back.",
            against="A heater that is switched off at the wall looks the same.",
            check_next="Look whether the heater has mains; then move the gateway nearer, or away from metal.",
        )


def _by_cap(case: Case) -> Iterator[Cause]:
    record, balance, room = case.record, case.balance, case.room
    if record is None or not len(record.t_s):
        return
    recent = slice(max(len(balance.hours_s) - 1 - RECENT_H, 0), None)
    wanted, _, capped = record.at(balance.hours_s[:-1][recent] + 1800.0)
    with np.errstate(invalid="ignore"):
        cold = capped & (wanted - room.hour_temp_c[recent] >= BELOW_K)
    if cold.sum() < HELD_H:
        return
    short = float(np.median((wanted - room.hour_temp_c[recent])[cold]))
    days = len(np.unique(np.searchsorted(balance.edges_s, balance.hours_s[:-1][recent][cold] + 1.0)))
    yield Cause(
        code="cap-binding",
        probability=round(min(0.95, 0.75 + 0.02 * days), 3),
        evidence=f"For {int(cold.sum())} hours on {days} of the last 28 days the cap left the room no heat, "
        f"{short:.1f} K below the wanted temperature.",
        against="The heater itself is sound.",
        check_next="Let rooms warm up one after another, earlier; have a competent electrician say whether the supply "
        "allows a higher cap.",
    )
