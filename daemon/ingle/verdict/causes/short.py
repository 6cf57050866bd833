"""Heaters too small: full power for hours and still well below the wanted temperature, on days milder than design."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Final

import numpy as np

from ingle.model.devices import Heater
from ingle.model.verdicts import Cause
from ingle.verdict.causes.case import Case
from ingle.verdict.causes.plate import FULL_SHARE, plate_share

#: A room this far below its wanted temperature has its heater wholly on [K].
DEMAND_K: Final = 1.0
LONG_RUN_S: Final = 5 * 3600.0


def too_small(case: Case) -> Iterator[Cause]:
    """Yield that a room's heaters cannot hold it."""
    zone = case.room.zone
    if not zone.heaters:
        return
    days: set[date] | None = None
    for heater in zone.heaters:
        of_heater = _strained_days(case, heater)
        days = of_heater if days is None else days & of_heater
    if days is None or len(days) < 3:
        return
    wanting = case.design.zone(zone.id)
    installed = sum(heater.rated_w for heater in zone.heaters)
    loss = wanting.heat_loss_w if wanting is not None else 0.0
    short = f" The design asks for {loss:,.0f} W." if loss > installed else ""
    yield Cause(
        code="too-small",
        probability=0.95 if len(days) >= 5 else 0.85,
        evidence=f"On {len(days)} days milder than design {installed:,.0f} W ran for five hours and more and the room "
        f"stayed over {DEMAND_K:.0f} K below the wanted temperature.{short}",
        check_next="Compare the plates with the room's design heat loss; look for a door that stands open.",
    )


def _strained_days(case: Case, heater: Heater) -> set[date]:
    seen = case.room.plateaus.get(heater.id)
    if seen is None or not len(seen.end_s):
        return set()
    share = plate_share(seen, heater, case.house.site.voltage_v)
    with np.errstate(invalid="ignore"):
        strained = (share >= FULL_SHARE) & (seen.setpoint_c - seen.temp_c >= DEMAND_K)
    strained &= seen.end_s >= seen.end_s[-1] - 28 * 86400.0
    at = np.flatnonzero(strained)
    if not len(at):
        return set()
    breaks = np.flatnonzero((seen.start_s[at][1:] - seen.end_s[at][:-1] > 1800.0) | (np.diff(at) > 1))
    firsts, lasts = np.concatenate([[0], breaks + 1]), np.concatenate([breaks, [len(at) - 1]])
    found = set()
    for start_s, end_s in zip(seen.start_s[at[firsts]], seen.end_s[at[lasts]], strict=True):
        edges = np.clip(case.balance.edges_s, start_s, end_s)
        for day in np.flatnonzero(np.diff(edges) >= LONG_RUN_S):
            if case.balance.outdoor_c[day] > case.house.site.outdoor_here_c + 1:
                found.add(case.balance.dates[day])
    return found
