"""The objects of now that every face shows, put together from the house, the plan and what is seen."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from ingle.control.situation import Situation
from ingle.live.senses import Senses
from ingle.model.decisions import HeaterDecision, Plan, ZoneDecision
from ingle.model.devices import Heater
from ingle.model.house import House, Zone
from ingle.model.now import HeaterNow, ZoneNow
from ingle.model.readings import Quality, Source

#: What a heater's row shows besides its state; the newest of them dates the row.
_HEATER_VALUES: Final = ("power_w", "temp_c", "setpoint_c")


def zones_now(house: House, plan: Plan, senses: Senses, situation: Situation) -> list[ZoneNow]:
    """Return every zone of the house as it is now, in the house's order."""
    decisions = {decision.id: decision for decision in plan.zones}
    return [
        _zone_now(zone, decisions[zone.id], senses, situation, plan.at) for zone in house.zones if zone.id in decisions
    ]


def total_w(powers: Iterable[float | None]) -> float | None:
    """Return the sum of powers; None where none is known, for no data is not 0 W [W].

    >>> total_w([500.0, None]), total_w([None])
    (500.0, None)
    """
    known = [power for power in powers if power is not None]
    return sum(known) if known else None


def _zone_now(zone: Zone, decision: ZoneDecision, senses: Senses, situation: Situation, at: datetime) -> ZoneNow:
    by_id = {heater.id: heater for heater in decision.heaters}
    heaters = tuple(_heater_now(heater, by_id[heater.id], senses, situation) for heater in zone.heaters)
    shown = senses.zone_shown(zone)
    return ZoneNow(
        id=zone.id,
        name=zone.name,
        use=zone.use,
        temp_c=shown.value,
        wanted_c=decision.wanted_c,
        level=decision.level,
        state=decision.state,
        rule=decision.rule,
        reason=decision.reason,
        until=decision.until,
        next=decision.next,
        power_w=None if any(h.power_w is None for h in heaters) else total_w(h.power_w for h in heaters),
        plate_w=sum(heater.rated_w for heater in zone.heaters),
        quality=_quality(fresh=shown.fresh),
        t=shown.t,
        held=situation.hold(zone.id, at) is not None,
        heaters=heaters,
    )


def _heater_now(heater: Heater, decision: HeaterDecision, senses: Senses, situation: Situation) -> HeaterNow:
    shown = {name: senses.shown(Source("heater", heater.id), name) for name in _HEATER_VALUES}
    times: list[datetime] = [one.t for one in shown.values() if one.t is not None]
    seen = situation.heater(heater.id)
    return HeaterNow(
        id=heater.id,
        zone=decision.zone,
        name=heater.name or heater.id,
        state=decision.state,
        held_by=decision.held_by,
        reason=decision.reason,
        until=decision.until,
        power_w=seen.power_w,
        plate_w=heater.rated_w,
        temp_c=shown["temp_c"].value,
        setpoint_c=shown["setpoint_c"].value,
        wanted_c=decision.setpoint_c,
        limit_w=decision.limit_w,
        driven=decision.driven,
        quality=_quality(fresh=any(one.fresh for one in shown.values())),
        t=max(times, default=None),
    )


def _quality(*, fresh: bool) -> Quality:
    return "metered" if fresh else "stale"
