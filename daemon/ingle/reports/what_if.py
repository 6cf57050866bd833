"""What if: the ways to run a room side by side, with what they take, what they cost and when the room would be cold.

Compared is a room that does the same day after day (or week after week) at one outdoor temperature, so that every
difference is of the way it is run. That is a comparison, not a forecast of a certain week.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

import msgspec

from ingle import money
from ingle.config.request import fault
from ingle.control.levels import warm_enough_c
from ingle.control.pattern import DAY_H, by_day, pattern
from ingle.control.words import degrees
from ingle.errors import BadInput, Unknown
from ingle.model.explanation import VerdictSaid
from ingle.model.house import House, Zone
from ingle.model.tariff import Tariff
from ingle.model.what_if import Case, Changes, WhatIf
from ingle.physics.warm_spells import Room, Stretch
from ingle.reports import newest_verdicts, outdoors
from ingle.reports.dampness import Damp, damp_sentence, lately_damp
from ingle.reports.outdoors import Lately
from ingle.reports.room_basis import Basis, basis
from ingle.reports.what_if_cases import Reckoned, Way, reckon
from ingle.reports.what_if_words import assumptions, percent, sentence, shown

#: Less than this is no less power [W].
_LEAST_W: Final = 0.5


def changes(given: Mapping[str, str]) -> Changes:
    """Return a question from words.

    Raises
    ------
    BadInput
        Naming the word and what is allowed.
    """
    try:
        return msgspec.convert(dict(given), Changes, strict=False)
    except msgspec.ValidationError as error:
        raise BadInput([fault(str(error), dict(given), Changes)]) from None


def what_if(
    conn: sqlite3.Connection, house: House, zone_id: str, asked: Changes, now: datetime, verdict: VerdictSaid | None
) -> WhatIf:
    """Return a zone's ways side by side.

    Parameters
    ----------
    verdict
        What is known of the room by metering, if it is known better than in the record.

    Raises
    ------
    Unknown
        Where the house has no such zone.
    BadInput
        Where something is neither known nor given.
    """
    zone = house.zone(zone_id)
    if zone is None:
        known = ", ".join(each.id for each in house.zones) or "none"
        raise Unknown(f"zone {zone_id!r} is not in this house; it has: {known}")
    weather = None if asked.outdoor_c is not None else outdoors.lately(conn, house, now)
    damp = lately_damp(conn, house, zone, now)
    return reckoned(house, zone, asked, now, verdict or newest_verdicts.noted(conn, zone_id), weather, damp)


def reckoned(
    house: House,
    zone: Zone,
    asked: Changes,
    now: datetime,
    verdict: VerdictSaid | None,
    weather: Lately | None,
    damp: Damp | None = None,
) -> WhatIf:
    """Return the ways of a zone from what is known; a pure function of it.

    Raises
    ------
    BadInput
        As ``what_if``.
    """
    on = basis(house, zone, verdict, weather, asked)
    timezone = ZoneInfo(house.site.timezone)
    day = now.astimezone(timezone).date()
    tariff = money.tariff_on(house.tariffs, day)
    found = [reckon(way, tariff, timezone, day) for way in _ways(house, zone, on, asked, tariff)]
    by_code = {each.way.code: each for each in found}
    against = (by_code["programme"], by_code["held"])
    cases = tuple(_case(each, *against, tariff, _surface_percent(each, damp, on)) for each in found)
    at_surfaces = [case.surface_rh_percent for case in cases if case.surface_rh_percent is not None]
    moisture = [] if damp is None else [damp_sentence(damp, at_surfaces)]
    return WhatIf(
        zone=zone.id,
        name=zone.name,
        outdoor_c=on.outdoor_c,
        loss_w_per_k=round(on.loss.w_per_k, 2),
        loss_from=on.loss.origin,
        loss_low_w_per_k=on.loss.low,
        loss_high_w_per_k=on.loss.high,
        tau_h=round(on.tau_h, 2),
        power_w=on.power_w,
        gains_k=asked.gains_k,
        currency=None if tariff is None else tariff.currency,
        cases=cases,
        assumptions=(*assumptions(house, zone, on, tariff), *moisture),
        missing=() if tariff is not None else (f"No tariff covers {day}, so no money is shown.",),
    )


def _ways(house: House, zone: Zone, on: Basis, asked: Changes, tariff: Tariff | None) -> Iterator[Way]:
    room = Room(on.loss.w_per_k, on.tau_h, on.power_w, on.outdoor_c + asked.gains_k)
    wanted = pattern(house, zone)
    warmest_c = max(stretch.wanted_c for stretch in wanted)
    held_c = warmest_c if asked.held_c is None else warm_enough_c(house, zone, asked.held_c)
    yield Way(code="programme", title="By the programme, warm on time", room=room, pattern=wanted)
    yield Way(code="late", title="Heat only from the start of each period", room=room, pattern=wanted, on_time=False)
    yield Way(code="held", title=f"Held at {degrees(held_c)} all day", room=room, pattern=(Stretch(DAY_H, held_c),))
    cooler = tuple(Stretch(s.hours, warm_enough_c(house, zone, s.wanted_c - asked.less_k)) for s in wanted)
    yield Way(code="cooler", title=f"{asked.less_k:g} K less", room=room, pattern=cooler)
    shorter = _shorter(wanted, asked.less_h)
    if shorter != wanted:
        yield Way(code="shorter", title=f"{asked.less_h:g} h less a day", room=room, pattern=shorter)
    cap_a = house.site.supply_cap_a if asked.cap_a is None else asked.cap_a
    capped = None if cap_a is None else _capped(house, zone, on.power_w, cap_a)
    if capped is not None and (capped[0] < on.power_w - _LEAST_W or asked.cap_a is not None):
        yield Way(code="cap", title=capped[1], room=room._replace(power_w=capped[0]), pattern=wanted)
    if asked.tax_percent is not None and tariff is not None:
        title = f"Tax {asked.tax_percent:g} % instead of {tariff.tax_percent:g} %"
        yield Way(code="tax", title=title, room=room, pattern=wanted, tax_percent=asked.tax_percent)


def _shorter(wanted: tuple[Stretch, ...], less_h: float) -> tuple[Stretch, ...]:
    """Return a pattern whose last warm period of each day ends sooner, for what is wanted after it.

    A day that is warm through to midnight, or warm from midnight on without a break, has no such end.

    >>> day = (Stretch(7.0, 16.0), Stretch(15.0, 20.0), Stretch(2.0, 16.0))
    >>> _shorter(day, 1.0)
    (Stretch(hours=7.0, wanted_c=16.0), Stretch(hours=14.0, wanted_c=20.0), Stretch(hours=3.0, wanted_c=16.0))
    """
    found: list[Stretch] = []
    for day in by_day(wanted):
        ends = [n for n in range(len(day) - 1) if day[n].wanted_c > day[n + 1].wanted_c]
        if ends and day[ends[-1]].hours > less_h:
            last = ends[-1]
            day[last] = Stretch(day[last].hours - less_h, day[last].wanted_c)
            day[last + 1] = Stretch(day[last + 1].hours + less_h, day[last + 1].wanted_c)
        found += day
    return tuple(found)


def _capped(house: House, zone: Zone, power_w: float, cap_a: float) -> tuple[float, str]:
    """Return what a cap of the supply leaves a zone [W], and in which case.

    A zone that alone is over the cap has all of it; another one its part by plates while every heater wants heat.
    """
    cap_w = cap_a * house.site.voltage_v * house.site.phases
    if cap_w < power_w:
        return cap_w, f"Under a {cap_a:g} A cap with nothing else on: {cap_w:,.0f} W"
    others_w = sum(heater.rated_w for each in house.zones if each.id != zone.id for heater in each.heaters)
    shared_w = min(power_w, cap_w * power_w / (power_w + others_w)) if power_w else 0.0
    return shared_w, f"Its share of a {cap_a:g} A cap while every heater wants heat: {shared_w:,.0f} W"


def _surface_percent(found: Reckoned, damp: Damp | None, on: Basis) -> float | None:
    return None if damp is None else round(damp.at_surface_percent(found.mean_c, on.outdoor_c), 1)


def _case(
    found: Reckoned, programme: Reckoned, held: Reckoned, tariff: Tariff | None, surface_percent: float | None
) -> Case:
    cost, of_programme = shown(found.money_per_day), shown(programme.money_per_day)
    return Case(
        code=found.way.code,
        title=found.way.title,
        kwh_per_day=round(found.kwh_per_day, 3),
        money_per_day=cost,
        against_programme_kwh=round(found.kwh_per_day - programme.kwh_per_day, 3),
        against_programme_percent=percent(found.kwh_per_day, programme.kwh_per_day),
        against_held_percent=percent(found.kwh_per_day, held.kwh_per_day),
        against_programme_money=None if cost is None or of_programme is None else cost - of_programme,
        mean_c=round(found.mean_c, 1),
        warm_up_h=round(found.warm_up_h, 2),
        surface_rh_percent=surface_percent,
        cold=found.cold,
        reaches=found.reaches,
        sentence=sentence(found, programme, held, tariff, surface_percent),
    )
