"""Heat that goes to a colder room of the house: not lost, but metered here.

The balance knows the flow through each link. Where that flow is a good part of what the room takes, and the room on
its own does not lose more than designed, the cold neighbour is what explains its consumption.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from ingle.model.verdicts import Cause
from ingle.verdict.causes.amounts import of_power, taking
from ingle.verdict.causes.case import Case

#: How much colder the neighbour must be on average [K], and what share of the room's power must go there.
COLDER_K: Final = 4.0
SHARE: Final = 0.25
#: How well a surveyed link is known, as a share of it; an unsurveyed one is not believed.
LINK_SPREAD: Final = 0.4
LEAST_DAYS: Final = 7


def cold_neighbour(case: Case) -> Iterator[Cause]:
    """Yield the neighbour that draws a good part of the room's heat."""
    found, room = case.found, case.room
    if found is None or case.judgement.verdict == "loses-more" or found.days.sum() < LEAST_DAYS:
        return
    used = found.days
    power = float(room.power_w[used].mean())
    for link in case.links:
        if room.zone.id not in link.zones or link.w_per_k <= 0:
            continue
        other = case.balance.rooms.get(link.zones[link.zones[0] == room.zone.id])
        if other is None:
            continue
        apart = (room.temp_c - other.temp_c)[used]
        apart = apart[np.isfinite(apart)]
        if len(apart) < LEAST_DAYS:
            continue
        flow = link.w_per_k * float(apart.mean())
        if float(apart.mean()) < COLDER_K or flow < SHARE * power:
            continue
        cause = Cause(
            code="cold-neighbour",
            probability=round(min(0.95, 0.6 + flow / power / 2), 3),
            evidence=f"{other.zone.name} was {apart.mean():.1f} K colder on average; through what joins them about "
            f"{flow:,.0f} W of this room's {power:,.0f} W go there.",
            against="The link between the two is only as good as its survey.",
            check_next="Close the door between them, or heat the other room a little: whichever is used.",
        )
        yield taking(cause, of_power(flow, 1.96 * LINK_SPREAD * flow))
