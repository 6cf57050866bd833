"""What was noted of a room: what it was ordered to hold, what its programme alone wanted, and what held it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ingle.verdict.series import Bools, Floats

#: A decision that stands is noted again every day; after a longer silence nobody knows what held [s].
STANDS_S: Final = 25 * 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """Decisions of one room in time order, and how long its heaters were out of reach.

    Attributes
    ----------
    t_s
        When each decision was noted, since 1970 [s].
    wanted_c, programme_c
        What was ordered, and what the programme alone wanted; NaN where there was none [°C].
    capped
        Whether the cap left the room no heat.
    away_h, away_times
        Hours for which a heater was out of reach, and how often it was lost.
    days
        How many days this looks back.
    """

    t_s: Floats
    wanted_c: Floats
    programme_c: Floats
    capped: Bools
    away_h: float = 0.0
    away_times: int = 0
    days: float = 28.0

    def at(self, times_s: Floats) -> tuple[Floats, Floats, Bools]:
        """Return what was wanted, what the programme wanted and whether the cap ruled, at times; NaN where unknown."""
        if not len(self.t_s):
            nothing = np.full(len(times_s), np.nan)
            return nothing, nothing, np.zeros(len(times_s), np.bool_)
        at = np.searchsorted(self.t_s, times_s, side="right") - 1
        stands = (at >= 0) & (times_s - self.t_s[np.maximum(at, 0)] <= STANDS_S)
        at = np.maximum(at, 0)
        return (
            np.where(stands, self.wanted_c[at], np.nan),
            np.where(stands, self.programme_c[at], np.nan),
            np.asarray(stands & self.capped[at]),
        )
