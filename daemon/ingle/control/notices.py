"""What a person should know now: each with its cause, its effect on heating, and the next step.

A notice keeps its key while it stands, and the instant it first stood, so that nobody is told the same thing twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Final, Literal, NamedTuple

from ingle.control.levels import frost_c
from ingle.control.situation import Given, HeaterSeen, Situation
from ingle.control.words import degrees, listed
from ingle.model.decisions import HeaterDecision, Notice, ZoneDecision
from ingle.model.devices import Heater
from ingle.model.house import House, Zone

#: How long a heater may report another setpoint than it was ordered before somebody is told [s]: several reports.
CONFIRMS_S: Final = 300.0
#: Setpoints closer than this are the same [K]: heaters round to a tenth or a half degree.
SAME_K: Final = 0.3
#: Readings that arrive this long after their own time are too old to act on at one a minute [s].
BEHIND_S: Final = 180.0


class _Said(NamedTuple):
    key: str
    severity: Literal["attention", "urgent"]
    zone: str | None
    cause: str
    effect: str
    next_step: str


def collect(
    house: House,
    situation: Situation,
    now: datetime,
    zones: tuple[ZoneDecision, ...],
    disobeying: frozenset[str],
) -> tuple[Notice, ...]:
    """Return everything a person should know, the urgent first."""
    said = [
        *_of_clock(situation),
        *_of_supply(house, situation),
        *_of_gateways(house, situation),
        *(
            notice
            for zone, decision in zip(house.zones, zones, strict=True)
            for notice in _of_zone(house, zone, decision, situation)
        ),
        *(notice for zone in house.zones for heater in zone.heaters for notice in _of_heater(zone, heater, situation)),
        *_of_disobeying(house, disobeying),
    ]
    notices = [_notice(one, situation.standing.get(one.key, now)) for one in said]
    return tuple(sorted(notices, key=lambda notice: notice.severity != "urgent"))


def _notice(said: _Said, since: datetime) -> Notice:
    return Notice(
        key=said.key,
        severity=said.severity,
        zone=said.zone,
        cause=said.cause,
        effect=said.effect,
        next_step=said.next_step,
        since=since,
    )


def _of_clock(situation: Situation) -> Iterator[_Said]:
    if not situation.clock_trusted:
        yield _Said(
            "clock",
            "attention",
            None,
            "The clock has not been set since the start: no time server was reached and nobody confirmed the time.",
            "No programme runs; what was decided last goes on, overrides and the frost floor work.",
            "Connect a time server, or confirm the time.",
        )
    elif situation.clock_assumed:
        yield _Said(
            "clock",
            "attention",
            None,
            "The clock was not set by a time server; it is assumed to be right.",
            "Programmes run by this clock and are off by as much as it is.",
            "Connect a time server, or confirm the time.",
        )


def _of_supply(house: House, situation: Situation) -> Iterator[_Said]:
    cap_a = house.site.supply_cap_a
    if cap_a is None or situation.supply_w is None:
        return
    amps = situation.supply_w / (situation.supply_v or house.site.voltage_v)
    if amps > cap_a * house.site.phases:
        yield _Said(
            "supply",
            "attention",
            None,
            f"The supply meter reads {amps:.0f} A, more than the cap of {cap_a:g} A: other appliances draw as well.",
            "Heaters together stay within the cap; the supply as a whole does not.",
            "Switch other appliances off, or have the installer lower the cap to leave room for them.",
        )


def _of_gateways(house: House, situation: Situation) -> Iterator[_Said]:
    for gateway in house.gateways:
        behind = [(z, h) for z in house.zones for h in z.heaters if h.gateway == gateway.id]
        down = tuple(h.id for _, h in behind if situation.heater(h.id).away == _gateway_down(gateway.id))
        if down:
            yield _Said(
                f"gateway:{gateway.id}",
                "attention",
                None,
                f"Gateway {gateway.id} is down; behind it: {listed(down)}.",
                "What sits there keeps its last order until that runs out, then holds its fall-back temperature.",
                "Look at the gateway's power and network.",
            )


def _gateway_down(gateway_id: str) -> str:
    return f"gateway {gateway_id} is down"


def _of_zone(house: House, zone: Zone, decision: ZoneDecision, situation: Situation) -> Iterator[_Said]:
    seen = situation.zone(zone.id)
    if zone.heaters and not any(heater.driven for heater in decision.heaters):
        yield _Said(
            f"not-driven:{zone.id}",
            "attention",
            zone.id,
            f"Frost floor not assured here: no heater of {zone.name} may be driven.",
            f"{zone.name} is observed only; ingle starts no heat there, not even against frost.",
            decision.heaters[0].reason,
        )
    if seen.lost:
        yield _Said(
            f"sensor:{zone.id}",
            "attention",
            zone.id,
            f"Nothing has been heard from {listed(seen.lost)} in {zone.name}.",
            "It no longer counts for the zone's temperature; a lost sensor is not taken for cold.",
            "Look at its battery and its radio link.",
        )
    if seen.temp_c is not None and seen.temp_c < frost_c(house, zone) and _capped(decision.heaters):
        yield _Said(
            f"frost-capped:{zone.id}",
            "urgent",
            zone.id,
            f"{zone.name} is at {degrees(seen.temp_c)}, below its frost floor, and a cap leaves it no heat.",
            "Colder zones are heated first.",
            "Switch other heaters off, or raise the cap if the supply allows it.",
        )


def _capped(heaters: Iterable[HeaterDecision]) -> bool:
    driven = [heater for heater in heaters if heater.driven]
    return bool(driven) and all(heater.held_by == "cap" for heater in driven)


def _of_heater(zone: Zone, heater: Heater, situation: Situation) -> Iterator[_Said]:
    seen = situation.heater(heater.id)
    if seen.fault:
        yield _Said(
            f"fault:{heater.id}",
            "urgent",
            zone.id,
            f"Heater {heater.id} in {zone.name} reports a fault: {seen.fault}.",
            "It is not driven until the fault is gone.",
            "Isolate it and have it looked at; do not reset a thermal cut-out more than once.",
        )
    if seen.away and seen.away != _gateway_down(heater.gateway or ""):
        yield _Said(
            f"away:{heater.id}",
            "attention",
            zone.id,
            f"Heater {heater.id} in {zone.name} cannot be reached: {seen.away}.",
            "It keeps its last order until that runs out, then its fall-back; the cap counts it as heating.",
            "Look at its switch, its breaker and its network.",
        )
    if seen.behind_s > BEHIND_S:
        yield _Said(
            f"behind:{heater.id}",
            "attention",
            zone.id,
            f"Readings of heater {heater.id} in {zone.name} arrive {seen.behind_s / 60:.0f} min after their own time.",
            "They are stored and shown, and too old to be acted on.",
            "Set the heater's clock, or look at its link.",
        )
    given = situation.given.get(heater.id)
    own_c = None if given is None else _own_setpoint_c(heater, seen, given)
    if given is not None and own_c is not None:
        yield _Said(
            f"unconfirmed:{heater.id}",
            "attention",
            zone.id,
            f"Heater {heater.id} reports {degrees(own_c)} where {degrees(given.setpoint_c)} was ordered.",
            "It heats to its own setpoint.",
            "See whether it was changed at its buttons, and whether it takes orders.",
        )


def _own_setpoint_c(heater: Heater, seen: HeaterSeen, given: Given) -> float | None:
    """Return what a heater holds instead of its order, None where it obeys [°C].

    One that is only limited or switched keeps the setpoint of its own thermostat, and need not confirm another.
    """
    echoes = "setpoint" in (heater.drives or seen.drives) and not seen.away and given.unchanged_s > CONFIRMS_S
    if not echoes or seen.setpoint_c is None or abs(seen.setpoint_c - given.setpoint_c) <= SAME_K:
        return None
    return seen.setpoint_c


def _of_disobeying(house: House, disobeying: frozenset[str]) -> Iterator[_Said]:
    for zone in house.zones:
        for heater in zone.heaters:
            if heater.id in disobeying:
                yield _Said(
                    f"on-while-off:{heater.id}",
                    "urgent",
                    zone.id,
                    f"Heater {heater.id} in {zone.name} draws power although it is ordered off.",
                    "It heats without control, and its draw is taken off what others may have.",
                    "Isolate it; its relay may be welded. Have a competent electrician look at it.",
                )
