"""Orders on their way to heaters: which changed, which must be renewed, and who starts when.

An order is absolute and expires by itself, so it is handed over again well before that. Orders that let a heater heat
are spread: after a start of the daemon each heater's first one goes out in turn, and heaters that were cut off (a
power cut, a gateway) are ordered no heat until their turn, ``TURN_S`` apart. 18 heaters start within 34 s. What stops
heat, and what a person asks for, waits for nobody's turn.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, NamedTuple

from ingle.commands.publisher import Publisher
from ingle.control.decide import fallback_c
from ingle.control.situation import Given, HeaterSeen
from ingle.model.decisions import HeaterDecision, Plan, Wanted, ZoneDecision
from ingle.model.devices import Heater
from ingle.model.house import House, Zone

#: How long an order holds in a heater, and after how long it is renewed [s].
VALID_S: Final = 1800
RENEW_S: Final = 600.0
#: How far apart heaters start after a power cut or a restart [s]: one a tick.
TURN_S: Final = 2.0


class _Order(NamedTuple):
    setpoint_c: float
    limit_w: float
    locked: bool
    fallback_c: float


@dataclass(slots=True)
class _Handed:
    """An order that went out: when it went, when it last changed, when its limit last went to or from 0 [s]."""

    order: _Order
    at: float
    changed_at: float
    flipped_at: float


class Orders:
    """What was handed to the publisher for every heater."""

    def __init__(self, publisher: Publisher, monotonic: float) -> None:
        self._publisher = publisher
        self._handed: dict[str, _Handed] = {}
        self._withdrawn: set[str] = set()
        self._cut_off: set[str] = set()
        self._first: dict[str, float] = {}
        self._returns: dict[str, float] = {}
        self._next_turn = monotonic

    def given(self, monotonic: float) -> dict[str, Given]:
        """Return the order that stands for every heater, and for how long."""
        return {
            heater_id: Given(
                setpoint_c=handed.order.setpoint_c,
                limit_w=handed.order.limit_w,
                since_s=monotonic - handed.flipped_at,
                unchanged_s=monotonic - handed.changed_at,
            )
            for heater_id, handed in self._handed.items()
        }

    def waiting(self, heaters: Mapping[str, HeaterSeen], monotonic: float) -> frozenset[str]:
        """Return the heaters that came back and whose turn to start has not come."""
        cut_off = {heater_id for heater_id, seen in heaters.items() if seen.cut_off}
        for heater_id in heaters:
            if heater_id in self._cut_off and heater_id not in cut_off:
                self._returns[heater_id] = self._take_turn(monotonic)
        self._cut_off = cut_off
        self._returns = {heater_id: turn for heater_id, turn in self._returns.items() if turn > monotonic}
        return frozenset(self._returns)

    def clock_set(self, monotonic: float) -> None:
        """Have every order renewed in turn: those that stand carry an end by a clock that was wrong."""
        for place, handed in enumerate(self._handed.values()):
            handed.at = monotonic - RENEW_S + place * TURN_S

    def hand(self, house: House, plan: Plan, now: datetime, monotonic: float, at_once: str | None = None) -> None:
        """Hand over what changed or must be renewed; ``at_once`` is a zone whose heaters need not wait their turn."""
        decisions = {decision.id: decision for decision in plan.zones}
        for zone in house.zones:
            by_id = {heater.id: heater for heater in decisions[zone.id].heaters}
            for heater in zone.heaters:
                if by_id[heater.id].driven:
                    order = _order(house, zone, decisions[zone.id], by_id[heater.id])
                    self._hand_one(heater, zone, order, now, monotonic, waits=zone.id != at_once)
                else:
                    self._withdraw(heater.id)

    def close(self, heater_ids: frozenset[str]) -> None:
        """Take back the orders of heaters that the house no longer has."""
        for heater_id in heater_ids:
            self._withdraw(heater_id)
            self._withdrawn.discard(heater_id)

    def _hand_one(
        self, heater: Heater, zone: Zone, order: _Order, now: datetime, monotonic: float, *, waits: bool
    ) -> None:
        before = self._handed.get(heater.id)
        if before is not None and before.order == order and monotonic - before.at < RENEW_S:
            return
        if before is None and order.limit_w > 0 and waits and not self._turn_has_come(heater.id, monotonic):
            return
        self._withdrawn.discard(heater.id)
        self._handed[heater.id] = _handed(before, order, monotonic)
        self._publisher.wanted(
            heater,
            zone,
            Wanted(
                setpoint_c=order.setpoint_c,
                limit_w=order.limit_w,
                locked=order.locked,
                fallback_c=order.fallback_c,
                valid_for_s=VALID_S,
                valid_until=now + timedelta(seconds=VALID_S),
            ),
        )

    def _withdraw(self, heater_id: str) -> None:
        if heater_id in self._withdrawn:
            return
        self._handed.pop(heater_id, None)
        self._withdrawn.add(heater_id)
        self._publisher.withdraw(heater_id)

    def _turn_has_come(self, heater_id: str, monotonic: float) -> bool:
        """Return whether a heater that was never ordered anything may start; the first time, it gets its turn."""
        if heater_id not in self._first:
            self._first[heater_id] = self._take_turn(monotonic)
        return self._first[heater_id] <= monotonic

    def _take_turn(self, monotonic: float) -> float:
        turn = max(self._next_turn, monotonic)
        self._next_turn = turn + TURN_S
        return turn


def _handed(before: _Handed | None, order: _Order, monotonic: float) -> _Handed:
    if before is None:
        return _Handed(order, monotonic, monotonic, monotonic)
    flipped = (before.order.limit_w > 0) != (order.limit_w > 0)
    changed_at = before.changed_at if before.order.setpoint_c == order.setpoint_c else monotonic
    return _Handed(order, monotonic, changed_at, monotonic if flipped else before.flipped_at)


def _order(house: House, zone: Zone, decision: ZoneDecision, heater: HeaterDecision) -> _Order:
    return _Order(heater.setpoint_c, heater.limit_w, heater.locked, fallback_c(house, zone, decision, heater))
