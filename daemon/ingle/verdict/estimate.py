"""Which days can speak, and what the joint system (``system``) makes of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from ingle.verdict.balance import Balance, RoomDays
from ingle.verdict.changed import first_look, is_lasting
from ingle.verdict.prior import LinkPrior, RoomPrior
from ingle.verdict.series import Bools, Floats
from ingle.verdict.system import Estimate, System

#: A day with less difference between inside and outside says little about losses [K].
LEAST_DIFFERENCE_K: Final = 3.0
#: Fewer usable days than this give no figure at all: two ends of a day and some scatter are needed.
LEAST_DAYS: Final = 3
#: A change of this many standard errors at first sight is tried in a fit of its own.
SUSPECT_ERRORS: Final = 2.5


def usable(room: RoomDays, balance: Balance) -> Bools:
    """Return which days of a room can speak: energy, temperatures at both ends, outdoors, and some difference."""
    ends = np.isfinite(room.start_c[:-1]) & np.isfinite(room.start_c[1:]) if len(room.start_c) else room.complete
    with np.errstate(invalid="ignore"):
        apart = room.temp_c - balance.outdoor_c >= LEAST_DIFFERENCE_K
    return np.asarray(room.complete & ends & np.isfinite(balance.outdoor_c) & apart)


def t_quantile(freedom: float) -> float:
    """Return the two-sided 95 % quantile of Student's t, by an expansion good to 1 % from 3 degrees on.

    >>> t_quantile(5), t_quantile(1e9)
    (2.56, 1.96)
    """
    return 1.96 + 2.37 / freedom + 3.2 / freedom**2


def estimate(
    balance: Balance,
    priors: Mapping[str, RoomPrior],
    links: Sequence[LinkPrior],
    sun: Mapping[str, Floats],
    *,
    outdoor_mean_c: float | None = None,
) -> dict[str, Estimate]:
    """Return each room's coefficient as far as its days allow.

    Parameters
    ----------
    balance
        Daily balances.
    priors, links
        What the survey says.
    sun
        For each room the sun its glass lets in by the survey [W], one value a day.
    outdoor_mean_c
        Mean outdoor temperature of the year, for the soil [°C].
    """
    days = {
        name: which
        for name, room in balance.rooms.items()
        if name in priors and (which := usable(room, balance)).sum() >= LEAST_DAYS and _heated(room, which)
    }
    if not days:
        return {}
    soil_c = _soil(balance, outdoor_mean_c)
    model = _solved(System(balance, priors, links, sun, days, soil_c))
    steps = _steps(model, days)
    if steps:
        model = _solved(System(balance, priors, links, sun, days, soil_c, steps))
        kept = {name: day for name, day in steps.items() if _is_kept(model, name)}
        if kept != steps:
            model = _solved(System(balance, priors, links, sun, days, soil_c, kept))
    return {name: model.answer(name) for name in days}


def _solved(model: System) -> System:
    model.solve()
    model.bound_gains()
    model.solve()
    return model


def _steps(model: System, days: Mapping[str, Bools]) -> dict[str, int]:
    """Return the rooms whose loss seems to have changed within the record, and when."""
    found = {}
    for name, which in days.items():
        seen = first_look(model, name, which)
        if seen is not None and seen[1] > SUSPECT_ERRORS:
            found[name] = seen[0]
    return found


def _is_kept(model: System, name: str) -> bool:
    step = model.answer(name).change
    return step is not None and is_lasting(step)


def _heated(room: RoomDays, which: Bools) -> bool:
    """Whether the heaters drew anything worth the name in the days that count."""
    return bool(room.power_w[which].mean() > 1.0)


def _soil(balance: Balance, outdoor_mean_c: float | None) -> Floats:
    """Return the temperature that drives the floor's loss [°C]: half way between the record's mean and the year's.

    The soil under a house follows the year with about half its swing (ISO 13370, periodic part). An outdoor
    temperature that stands still for the whole record has no year to it.
    """
    known = balance.outdoor_c[np.isfinite(balance.outdoor_c)]
    if not len(known):
        return np.zeros(balance.days)
    mean = float(known.mean())
    if outdoor_mean_c is not None and known.std() > 0.3:
        mean = (mean + outdoor_mean_c) / 2
    return np.full(balance.days, mean)
