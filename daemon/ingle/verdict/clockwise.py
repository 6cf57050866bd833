"""Finding a stretch of the clock that stands out: the same hours of most days, above or below all others."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np

from ingle.verdict.hours import Hours
from ingle.verdict.series import Bools, Floats

#: A stretch is at most so long [h]: beyond that it is the other hours that stand out.
LONGEST_H: Final = 11
SHORTEST_H: Final = 2
#: What the rest of the clock is taken to be: not its middle, because hours with people or sun in them lie lower.
REST_SHARE: Final = 0.7
#: Fewer hours than this make no rest to compare with [h].
LEAST_REST_H: Final = 4
#: From this length on, the first and last hour may be broken ones.
BROKEN_ENDS_H: Final = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Hours of the clock from ``start`` on that stand ``above`` the rest [W/K]; ``of_day`` says which."""

    start: int
    length: int
    above: float
    rest: float

    @property
    def end(self) -> int:
        """The hour at which it ends."""
        return (self.start + self.length) % 24

    @property
    def of_day(self) -> Bools:
        """Which hours of the day belong to it."""
        found = np.zeros(24, dtype=np.bool_)
        found[(self.start + np.arange(self.length)) % 24] = True
        return found

    def words(self) -> str:
        """Return it as clock times."""
        return f"{self.start:02d}:00 to {self.end:02d}:00"


def stretch_above(values: Floats, need: Callable[[int, int], float], *among: Bools) -> Stretch | None:
    """Return the hours whose values stand above the rest by what is needed, the largest such area, or None.

    Parameters
    ----------
    values
        One value for each hour of the day.
    need
        What each hour must stand above the rest, by start and length of the stretch.
    among
        Which hours make the rest; of several such choices the one that asks most. None for all hours.

    >>> night = np.where((np.arange(24) >= 22) | (np.arange(24) < 6), 30.0, 0.0)
    >>> found = stretch_above(night, lambda start, length: 10.0)
    >>> found.words(), found.above
    ('22:00 to 06:00', 30.0)
    """
    row, choices = values.tolist(), [each.tolist() for each in among] or [[True] * 24]
    best: tuple[float, Stretch] | None = None
    for length in range(SHORTEST_H, LONGEST_H + 1):
        for start in range(24):
            rest = _rest(row, [hour % 24 for hour in range(start + length, start + 24)], choices)
            least = need(start, length) if rest is not None else inf
            if rest is None or least == inf:
                continue
            inside = [row[hour % 24] for hour in range(start, start + length)]
            core = inside[1:-1] if length >= BROKEN_ENDS_H else inside
            if min(core) - rest < least or min(inside[0], inside[-1]) - rest < least / 3:
                continue
            area = sum(inside) - length * (rest + least / 2)
            if best is None or area > best[0]:
                best = area, Stretch(start=start, length=length, above=sum(core) / len(core) - rest, rest=rest)
    return None if best is None else best[1]


def _rest(row: Sequence[float], others: Sequence[int], choices: Sequence[Sequence[bool]]) -> float | None:
    """Return what the hours beside a stretch stand at; None where there are too few."""
    found = []
    for choice in choices:
        some = sorted(row[hour] for hour in others if choice[hour])
        if len(some) < LEAST_REST_H:
            return None
        place = REST_SHARE * (len(some) - 1)
        low = int(place)
        found.append(some[low] + (place - low) * (some[min(low + 1, len(some) - 1)] - some[low]))
    return max(found)


def stretch_below(values: Floats, need: Callable[[int, int], float], *among: Bools) -> Stretch | None:
    """Return the hours whose values stand below the rest; ``above`` then is how far below, and ``rest`` the rest."""
    found = stretch_above(-values, need, *among)
    return (
        None if found is None else Stretch(start=found.start, length=found.length, above=found.above, rest=-found.rest)
    )


def by_day(hours: Hours, stretch: Stretch) -> dict[int, tuple[float, float]]:
    """Return for each day with a whole stretch how much it takes beyond the rest [W] and the difference there [K].

    A stretch across 04:00, where days part, belongs to the day on which it begins.
    """
    within = stretch.of_day[hours.clock] & np.isfinite(hours.beyond_w)
    begun = hours.day.copy()
    if stretch.start < 4 < stretch.start + stretch.length or stretch.start + stretch.length > 28:
        begun = np.where((hours.clock >= 4) & (hours.clock < stretch.end), begun - 1, begun)
    found = {}
    for day in np.unique(begun[within]):
        at = within & (begun == day)
        if day >= 0 and at.sum() >= max(stretch.length - 2, 1):
            apart = float(hours.difference_k[at].mean())
            found[int(day)] = float(hours.beyond_w[at].mean()) - stretch.rest * apart, apart
    return found
