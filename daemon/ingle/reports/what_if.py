"""What if: the ways to run a room side by side, with what they take, what they cost and when the room would be cold.

Compared is a room that does the same day after day (or week after week) at one outdoor temperature, so that every
difference is of the way it is run. That is a comparison, not a forecast of a certain week.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from itertools import groupby
from typing import Final
from zoneinfo import ZoneInfo

import msgspec

from ingle import money
from ingle.config.request import fault
from ingle.control.levels import warm_enough_c
from ingle.control.pattern import DAY_H, by_day, pattern
from ingle.control.programme import programmed
from ingle.control.words import degrees, listed
from ingle.errors import BadInput, Unknown
from ingle.model.explanation import VerdictSaid
from ingle.model.house import House, Zone
from ingle.model.tariff import Tariff
from ingle.model.what_if import Case, Changes, ColdSpell, WhatIf
from ingle.physics.warm_spells import Room, Stretch
from ingle.reports import newest_verdicts, outdoors
from ingle.reports.outdoors import Lately
from ingle.reports.room_basis import Basis, basis
from ingle.reports.what_if_cases import DAYS, Reckoned, Way, reckon

Table = Callable[[Sequence[str], Sequence[Sequence[str]]], str]

_AS_RUN: Final = (
    "ingle starts heat when a period begins, as in the case 'late'; for a room that is warm on time, begin its periods "
    "earlier by the warm-up."
)


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
    return reckoned(house, zone, asked, now, verdict or newest_verdicts.noted(conn, zone_id), weather)


def reckoned(
    house: House, zone: Zone, asked: Changes, now: datetime, verdict: VerdictSaid | None, weather: Lately | None
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
    cases = tuple(_case(each, by_code["programme"], by_code["held"], tariff) for each in found)
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
        assumptions=tuple(_assumptions(house, zone, on, tariff)),
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
    shared_w = _shared_w(house, zone, on.power_w, asked.cap_a)
    if shared_w is not None:
        cap_a = asked.cap_a or house.site.supply_cap_a
        title = f"Its share of a {cap_a:g} A cap while every heater wants heat: {shared_w:,.0f} W"
        yield Way(code="cap", title=title, room=room._replace(power_w=shared_w), pattern=wanted)
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


def _shared_w(house: House, zone: Zone, power_w: float, cap_a: float | None) -> float | None:
    """Return what a zone has of a cap that all heaters share by their plates [W]; None where the cap holds nothing."""
    amps = house.site.supply_cap_a if cap_a is None else cap_a
    if amps is None:
        return None
    cap_w = amps * house.site.voltage_v * house.site.phases
    others_w = sum(heater.rated_w for each in house.zones if each.id != zone.id for heater in each.heaters)
    shared_w = min(power_w, cap_w * power_w / (power_w + others_w)) if power_w else 0.0
    return shared_w if shared_w < power_w - 1e-6 or cap_a is not None else None


def _case(found: Reckoned, programme: Reckoned, held: Reckoned, tariff: Tariff | None) -> Case:
    cost, of_programme = _shown(found.money_per_day), _shown(programme.money_per_day)
    return Case(
        code=found.way.code,
        title=found.way.title,
        kwh_per_day=round(found.kwh_per_day, 2),
        money_per_day=cost,
        against_programme_kwh=round(found.kwh_per_day - programme.kwh_per_day, 2),
        against_programme_percent=_percent(found.kwh_per_day, programme.kwh_per_day),
        against_held_percent=_percent(found.kwh_per_day, held.kwh_per_day),
        against_programme_money=None if cost is None or of_programme is None else cost - of_programme,
        mean_c=round(found.mean_c, 1),
        warm_up_h=round(found.warm_up_h, 2),
        cold=found.cold,
        reaches=found.reaches,
        sentence=_sentence(found, programme, held, tariff),
    )


def _shown(amount: Decimal | None) -> Decimal | None:
    return None if amount is None else money.rounded(amount)


def _percent(kwh: float, of: float) -> float | None:
    return round((kwh / of - 1) * 100, 1) if of > 0 else None


def _sentence(found: Reckoned, programme: Reckoned, held: Reckoned, tariff: Tariff | None) -> str:
    other, name = (
        (held, f"held at {degrees(held.highest_c)} all day")
        if found is programme
        else (
            programme,
            "the programme with its warm-up on time",
        )
    )
    kwh = f"{found.way.title}: {found.kwh_per_day:.1f} kWh a day"
    cost = _shown(found.money_per_day)
    if cost is not None and tariff is not None:
        kwh = f"{kwh}, {cost} {tariff.currency}"
    percent = _percent(found.kwh_per_day, other.kwh_per_day)
    if percent is None or abs(percent) < 0.5:
        against = f"as much as {name}"
    else:
        against = f"{abs(percent):.0f} % {'less' if percent < 0 else 'more'} than {name}"
    return f"{kwh}, {against}{_yet(found, programme, tariff)}{_cold_words(found)}."


def _yet(found: Reckoned, programme: Reckoned, tariff: Tariff | None) -> str:
    """Return what money says where it says the opposite of the energy: the same kWh are dearer at some hours."""
    cost, usual = _shown(found.money_per_day), _shown(programme.money_per_day)
    if cost is None or usual is None or tariff is None or found.way.code == "tax":
        return ""
    saved_kwh, saved = programme.kwh_per_day - found.kwh_per_day, usual - cost
    if saved_kwh > 0 > saved:
        return f", and yet {-saved} {tariff.currency} dearer, for more of it falls into dear hours"
    if saved_kwh < 0 < saved:
        return f", and yet {saved} {tariff.currency} cheaper, for more of it falls into cheap hours"
    return ""


def _cold_words(found: Reckoned) -> str:
    if not found.reaches:
        full_c = degrees(found.way.room.full_c)
        return f"; the room never reaches {degrees(found.highest_c)}: full power ends at {full_c}"
    return f", but the room is cold {listed(tuple(_spells(found.cold)))}" if found.cold else ""


def _spells(cold: Sequence[ColdSpell]) -> Iterator[str]:
    """Yield cold spells in words, those alike on several days as one.

    >>> late = ColdSpell(day="Mon", start="05:30", until="08:00", wanted_c=20.0, lowest_c=15.0, reached=False)
    >>> from msgspec.structs import replace
    >>> list(_spells([late, replace(late, day="Tue"), replace(late, day="Wed"), replace(late, day="Sat")]))
    ['until 08:00 on Mon to Wed and Sat (20 °C wanted from 05:30, never reached)']
    """
    alike: dict[tuple[object, ...], list[str]] = {}
    for each in cold:
        alike.setdefault((each.start, each.until, each.wanted_c, each.reached), []).append(each.day or "")
    for (start, until, wanted_c, reached), days in alike.items():
        on = f" on {listed(tuple(_runs(days)))}" if days[0] else ""
        missed = "" if reached else ", never reached"
        yield f"until {until}{on} ({wanted_c:g} °C wanted from {start}{missed})"


def _runs(days: Sequence[str]) -> Iterator[str]:
    """Yield days in a row as one."""
    places = [DAYS.index(day) for day in days]
    for _, run in groupby(enumerate(places), key=lambda each: each[1] - each[0]):
        row = [place for _, place in run]
        if len(row) > 2:
            yield f"{DAYS[row[0]]} to {DAYS[row[-1]]}"
        else:
            yield from (DAYS[place] for place in row)


def _assumptions(house: House, zone: Zone, on: Basis, tariff: Tariff | None) -> Iterator[str]:
    yield from on.sentences
    if not programmed(house, zone):
        yield f"The zone has no programme: it runs at {degrees(house.level_c(zone, 'setback'))} (setback)."
    low, high = on.loss.low, on.loss.high
    if low is not None and high is not None and on.loss.w_per_k > 0:
        below, above = 1 - low / on.loss.w_per_k, high / on.loss.w_per_k - 1
        yield (
            f"The kWh go with the W/K: {100 * below:.0f} % less or {100 * above:.0f} % more within its limits; the "
            "comparison between ways moves far less."
        )
    if tariff is not None:
        yield (
            f"Money: unit rates of the tariff from {tariff.start} with {tariff.tax_percent:g} % tax; the standing "
            "charge is the same in every case and not in it."
        )
    cap_a = house.site.supply_cap_a
    if cap_a is not None:
        yield f"Except in the case 'cap', the {cap_a:g} A cap of the supply leaves the room its full power."
    yield _AS_RUN


def text(found: WhatIf, table: Table) -> str:
    """Return the ways as text for a person."""
    cost = "-" if found.currency is None else f"{found.currency}/d"
    headers = ["case", "kWh/d", cost, "against programme", "mean °C", "longest warm-up h"]
    rows = [
        [
            case.code,
            f"{case.kwh_per_day:.1f}",
            "-" if case.money_per_day is None else str(case.money_per_day),
            "-" if case.against_programme_percent is None else f"{case.against_programme_percent:+.1f} %",
            f"{case.mean_c:.1f}",
            f"{case.warm_up_h:.1f}",
        ]
        for case in found.cases
    ]
    head = f"{found.name} ({found.zone}) at {degrees(found.outdoor_c)} outside"
    said = [f"- {case.sentence}" for case in found.cases]
    assumed = [f"  {line}" for line in (*found.assumptions, *found.missing)]
    return "\n".join([head, "", table(headers, rows), "", *said, "", "assumed:", *assumed])
