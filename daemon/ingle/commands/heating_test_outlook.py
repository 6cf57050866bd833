"""What a heating test would do and cost, and all that stands against it, looked at before it starts.

Wrong values are faults of the request. What stands against it now - people, heaters that may not be driven, silent
thermometers, mild weather - is a list of sentences: a page shows them all at once, and a start is refused with them.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from ingle import money
from ingle.control.decide import bar
from ingle.control.heating_test import Times, guards, times
from ingle.control.levels import warm_enough_c
from ingle.control.programme import due
from ingle.control.situation import Situation
from ingle.control.words import degrees, listed
from ingle.design import design_house
from ingle.errors import BadInput, Fault
from ingle.model.design import Design
from ingle.model.heating_tests import (
    LEAST_DIFFERENCE_K,
    SAFE_MAX_C,
    HeatingTest,
    HeatingTestOutlook,
    HeatingTestPlan,
)
from ingle.model.house import House, Zone
from ingle.model.tariff import Tariff
from ingle.physics.dynamics import capacity_wh_per_k

#: How far ahead a test may begin.
LATEST_START: Final = timedelta(days=30)
#: A start a little in the past is now: a form takes its time.
_SLACK: Final = timedelta(minutes=5)
#: Share of the plates that holding the level may take at the mean of the last days: colder nights need the rest.
PLATE_SHARE: Final = 0.8
#: The step in which a tariff's rates are averaged; its windows begin on quarter-hours as half-hourly meters do.
_QUARTER: Final = timedelta(minutes=15)
_CAUTIONS: Final = (
    "Nobody may be in the house: people, lamps and machines give heat that no meter tells apart.",
    "Nothing may stand before, on or hang over a heater: no bed, curtain, clothes or paper.",
    "Close windows and outside doors, leave inner doors as they are in use, draw no curtains over heaters.",
    "Switch off what gives heat and can be off; leave smoke alarms, fridges and frost protection on.",
    "ingle is not a safety device: the heaters' own cut-outs protect, and local rules and the electrician decide.",
)


class Recorded(NamedTuple):
    """What the store tells: heaters that measure their energy, and the outdoor mean of the last days [°C]."""

    metered: frozenset[str]
    outdoor_c: float | None


def check_plan(house: House, plan: HeatingTestPlan, now: datetime) -> None:
    """Check a request for a test as far as its values go.

    Raises
    ------
    BadInput
        With every fault.
    """
    faults = [*_faults(house, plan, now)]
    if faults:
        raise BadInput(faults)


def _faults(house: House, plan: HeatingTestPlan, now: datetime) -> Iterator[Fault]:
    known = ", ".join(zone.id for zone in house.zones) or "none: the house has no zone yet"
    for place, zone_id in enumerate(plan.zones):
        if house.zone(zone_id) is None:
            yield Fault(("zones", place), zone_id, f"a zone of this house: {known}")
        elif zone_id in plan.zones[:place]:
            yield Fault(("zones", place), zone_id, "each zone once")
    if not plan.empty:
        yield Fault(("empty",), plan.empty, "true, once nobody lives in the house until the test is over")
    floors = [(warm_enough_c(house, zone, 0.0), zone) for zone in _held(house, plan)]
    floor_c, zone = max(floors, key=lambda one: one[0], default=(0.0, None))
    if zone is not None and plan.temp_c < floor_c:
        allowed = f"{degrees(floor_c)} (the floor of {zone.name}) to {degrees(SAFE_MAX_C)}"
        yield Fault(("temp_c",), plan.temp_c, allowed)
    if plan.start is not None and not now - _SLACK <= plan.start <= now + LATEST_START:
        allowed = f"an instant from now ({now:%Y-%m-%dT%H:%M:%SZ}) to {LATEST_START.days} days ahead"
        yield Fault(("start",), plan.start.isoformat(), allowed)


def _held(house: House, plan: HeatingTestPlan) -> list[Zone]:
    held = {*plan.zones, *guards(house, plan.zones)}
    return [zone for zone in house.zones if zone.id in held]


def outlook(
    house: House,
    plan: HeatingTestPlan,
    situation: Situation,
    recorded: Recorded,
    now: datetime,
    running: HeatingTest | None = None,
) -> HeatingTestOutlook:
    """Return what a test would do, take and cost, and what stands against it.

    Takes a moment in large houses, for it asks their design and programmes; pure, so that a thread may do it.
    """
    timezone = ZoneInfo(house.site.timezone)
    start = now if plan.start is None else max(plan.start.astimezone(now.tzinfo), now)
    when = times(start, plan.nights, timezone, cool_down=plan.cool_down)
    held = _held(house, plan)
    drivable = [zone for zone in held if zone.id in plan.zones or not _unfit(zone, situation)]
    design = design_house(house)
    taken = (
        None
        if recorded.outdoor_c is None
        else _energy_kwh(drivable, design, plan.temp_c, recorded.outdoor_c, start, when)
    )
    tariff = money.tariff_on(house.tariffs, start.astimezone(timezone).date())
    cost = None if tariff is None or taken is None else _money(tariff, taken, start, when.end, timezone)
    return HeatingTestOutlook(
        zones=tuple(zone.id for zone in house.zones if zone.id in plan.zones),
        guards=tuple(zone.id for zone in drivable if zone.id not in plan.zones),
        start=start,
        measure_from=when.measure_from,
        cool_from=when.cool_from,
        end=when.end,
        outdoor_c=None if recorded.outdoor_c is None else round(recorded.outdoor_c, 1),
        expected_kwh=None if taken is None else round(taken, 1),
        usual_kwh=_usual_kwh(house, drivable, design, recorded.outdoor_c, start, when.end),
        money=None if cost is None else str(money.rounded(cost)),
        currency=None if tariff is None or cost is None else tariff.currency,
        cautions=(*_CAUTIONS, *_unheld(held, drivable, situation)),
        refusals=tuple(_refusals(house, plan, situation, recorded, design, now, running)),
    )


def _barred(zone: Zone, situation: Situation) -> str:
    """Return why a zone cannot be held by a test, empty when it can."""
    bars = ((heater, bar(heater, situation.heater(heater.id))) for heater in zone.heaters)
    return next((f"heater {heater.id} in {zone.name}: {why}" for heater, why in bars if why), "")


def _unfit(zone: Zone, situation: Situation) -> str:
    """Return why a neighbour cannot be held and watched for days, empty when it can."""
    if situation.zone(zone.id).temp_c is None:
        return f"{zone.name} has no live thermometer"
    away = next((heater.id for heater in zone.heaters if situation.heater(heater.id).away), "")
    return f"heater {away} in {zone.name} cannot be reached" if away else _barred(zone, situation)


def _unheld(held: list[Zone], drivable: list[Zone], situation: Situation) -> Iterator[str]:
    for zone in held:
        if zone not in drivable:
            yield f"{zone.name} is beside and cannot be held ({_unfit(zone, situation)}): the interval gets wider."


def _refusals(
    house: House,
    plan: HeatingTestPlan,
    situation: Situation,
    recorded: Recorded,
    design: Design,
    now: datetime,
    running: HeatingTest | None,
) -> Iterator[str]:
    if running is not None:
        yield f"heating test {running.number} is {running.stage}; stop it first, for two would disturb each other"
    if not situation.clock_trusted:
        yield "nobody vouches for the clock; connect a time server, or confirm the time"
    for zone in house.zones:
        held = situation.hold(zone.id, now)
        if held is not None:
            yield f"{held.origin.who} asked for heat in {zone.name}, so somebody is in the house; release it first"
    zones = [zone for zone in house.zones if zone.id in plan.zones]
    for zone in zones:
        yield from _of_zone(zone, situation, recorded)
    if recorded.outdoor_c is None:
        yield "no outdoor temperature came in the last days; a test needs one"
        return
    difference_k = plan.temp_c - recorded.outdoor_c
    if difference_k < LEAST_DIFFERENCE_K and not plan.mild_accepted:
        yield (
            f"the last days were {degrees(recorded.outdoor_c)} outside, {difference_k:.0f} K below the level: under "
            f"{LEAST_DIFFERENCE_K:g} K the interval gets wide; wait for colder weather, or set mild_accepted"
        )
    yield from _power(house, plan, design, difference_k)


def _of_zone(zone: Zone, situation: Situation, recorded: Recorded) -> Iterator[str]:
    seen = situation.zone(zone.id)
    if not zone.heaters:
        yield f"{zone.name} has no heater"
    barred = _barred(zone, situation)
    if barred:
        yield barred
    silent = tuple(heater.id for heater in zone.heaters if heater.id not in recorded.metered)
    if silent:
        yield f"{zone.name}: heater {listed(silent)} reports no metered energy, so nothing could be measured"
    away = tuple(heater.id for heater in zone.heaters if situation.heater(heater.id).away)
    if away:
        yield f"{zone.name}: heater {listed(away)} cannot be reached"
    if seen.temp_c is None:
        yield f"{zone.name} has no live thermometer"
    if seen.open:
        yield f"{listed(seen.open)} in {zone.name} stands open"


def _power(house: House, plan: HeatingTestPlan, design: Design, difference_k: float) -> Iterator[str]:
    """Say which rooms the plates cannot hold at the level, and whether the supply can hold all of them."""
    needs = {zone.id: zone.in_use_w_per_k * max(0.0, difference_k) for zone in design.zones}
    total_w = 0.0
    for zone in _held(house, plan):
        plate_w = sum(heater.rated_w for heater in zone.heaters)
        total_w += needs[zone.id]
        if zone.id in plan.zones and needs[zone.id] > PLATE_SHARE * plate_w:
            per_k = needs[zone.id] / difference_k
            reach_c = plan.temp_c - difference_k + PLATE_SHARE * plate_w / per_k
            yield (
                f"{zone.name} needs {needs[zone.id]:.0f} W by design to stay at {degrees(plan.temp_c)} and its plates "
                f"make {plate_w:.0f} W: with some in hand for a colder night ask for at most {degrees(int(reach_c))}"
            )
    cap_a = house.site.supply_cap_a
    if cap_a is not None and total_w > PLATE_SHARE * cap_a * house.site.voltage_v * house.site.phases:
        yield f"all rooms held need {total_w:.0f} W together, too much for the cap of {cap_a:g} A; test fewer at a time"


def _energy_kwh(
    zones: list[Zone], design: Design, temp_c: float, outdoor_c: float, start: datetime, when: Times
) -> float:
    """Return what holding the rooms takes by design, with a first warming through of 3 K or so [kWh]."""
    hours = ((when.cool_from or when.end) - start).total_seconds() / 3600
    per_k = {zone.id: zone.in_use_w_per_k for zone in design.zones}
    held_wh = sum(per_k[zone.id] for zone in zones) * max(0.0, temp_c - outdoor_c) * hours
    return (held_wh + 3.0 * sum(_capacity(zone) for zone in zones)) / 1000


def _capacity(zone: Zone) -> float:
    return zone.capacity_wh_per_k or capacity_wh_per_k(zone.floor_area_m2, zone.thermal_mass)


def _usual_kwh(
    house: House, zones: list[Zone], design: Design, outdoor_c: float | None, start: datetime, end: datetime
) -> float | None:
    """Return what the rooms' programmes would take in the same time by design [kWh]."""
    if outdoor_c is None:
        return None
    per_k = {zone.id: zone.in_use_w_per_k for zone in design.zones}
    total_wh = 0.0
    for zone in zones:
        at = start
        while at < end:
            wanted = due(house, zone, at)
            until = min(end, wanted.until or end)
            total_wh += per_k[zone.id] * max(0.0, wanted.wanted_c - outdoor_c) * (until - at).total_seconds() / 3600
            at = until
    return round(total_wh / 1000, 1)


def _money(tariff: Tariff, kwh: float, start: datetime, end: datetime, timezone: ZoneInfo) -> Decimal:
    """Return what energy spread evenly over the test costs, tax included, without the standing charge."""
    steps = max(1, int((end - start) / _QUARTER))
    mean = sum((money.rate_at(tariff, start + step * _QUARTER, timezone) for step in range(steps)), Decimal(0)) / steps
    return money.with_tax(tariff, mean * money.exact(kwh))
