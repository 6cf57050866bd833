"""A room against its own past: whether its loss changed for good within the record, and when.

Every day of the record with enough days on both sides is tried as the day of a change; the largest change in standard
errors decides. The largest of many is larger than one: for one break at an unknown day, with 15 % left at both ends, a
change has to reach about 3.5 instead of 2.6 standard errors to be seen by chance once in a hundred records (Andrews,
Tests for parameter instability and structural change with unknown change point, Econometrica 61 (1993), 821: 12.16
for the square). With all rooms of a house, looked at each week of a winter, ``SURE_ERRORS`` was chosen on training
seeds (``tests/long/verdict_table.py``).

What all rooms have in common has been taken off in the system, so weather nobody measures is no change.
"""

from __future__ import annotations

from math import erfc, hypot, sqrt
from typing import Final

import numpy as np

from ingle.verdict.series import Bools
from ingle.verdict.system import Step, System

#: Days that have to stand on either side of a change.
LEAST_BEFORE: Final = 8
LEAST_AFTER: Final = 6
#: A change of this many standard errors is said.
SURE_ERRORS: Final = 4.5
#: It has to be one worth talking of.
LEAST_CHANGE: Final = 0.10
#: A long record is first searched in this many places.
_PLACES: Final = 40
#: The search over days counts for about this many independent tries.
_TRIES: Final = 8.0


def first_look(system: System, name: str, days: Bools) -> tuple[int, float] | None:
    """Return the likeliest day of a change of a room's loss, and the change in standard errors; None with few days."""
    at = np.flatnonzero(days)
    candidates = at[LEAST_BEFORE : len(at) - LEAST_AFTER + 1]
    if not len(candidates):
        return None
    coarse = candidates[:: max(1, len(candidates) // _PLACES)]
    size = np.abs(system.changes(name, coarse.tolist()))
    best = int(coarse[size.argmax()])
    if len(coarse) < len(candidates):
        place = int(np.searchsorted(candidates, best))
        near = candidates[max(place - len(candidates) // _PLACES, 0) : place + len(candidates) // _PLACES + 1]
        size = np.abs(system.changes(name, near.tolist()))
        best = int(near[size.argmax()])
    return best, float(size.max())


def is_lasting(step: Step) -> bool:
    """Whether a change is sure and large enough to be said."""
    after = step.before_w_per_k + step.more_w_per_k
    if step.before_w_per_k <= 0 or after <= 0 or abs(step.sureness) < SURE_ERRORS:
        return False
    return max(after / step.before_w_per_k, step.before_w_per_k / after) > 1 + LEAST_CHANGE


def probability(step: Step) -> float:
    """Return the chance that the loss changed at all, the search over days taken into account."""
    return max(0.0, 1.0 - _TRIES * erfc(abs(step.sureness) / sqrt(2)))


def probability_of_more(step: Step) -> float:
    """Return the chance that the loss grew by more than a tenth."""
    if step.before_w_per_k <= 0:
        return 0.0
    error = hypot(step.more_error_w_per_k, 0.1 * step.before_error_w_per_k)
    return erfc((0.1 * step.before_w_per_k - step.more_w_per_k) / error / sqrt(2)) / 2
