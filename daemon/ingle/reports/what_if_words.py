"""The ways to run a room in words: what each takes against the others, when it is cold, what it all rests on."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal
from itertools import groupby
from typing import Final

from ingle import money
from ingle.control.programme import programmed
from ingle.control.words import degrees, listed
from ingle.model.house import House, Zone
from ingle.model.tariff import Tariff
from ingle.model.what_if import ColdSpell, WhatIf
from ingle.physics.moisture import MOULD_PERCENT
from ingle.reports.room_basis import Basis
from ingle.reports.what_if_cases import DAYS, Reckoned

Table = Callable[[Sequence[str], Sequence[Sequence[str]]], str]

_AS_RUN: Final = (
    "ingle starts heat when a period begins, as in the case 'late'; for a room that is warm on time, begin its periods "
    "earlier by the warm-up."
)


def shown(amount: Decimal | None) -> Decimal | None:
    """Return an amount as it is shown."""
    return None if amount is None else money.rounded(amount)


def percent(kwh: float, of: float) -> float | None:
    """Return how much more or less energy is than another, None where that is nothing [%].

    >>> percent(23.39, 25.45), percent(1.0, 0.0)
    (-8.1, None)
    """
    return round((kwh / of - 1) * 100, 1) if of > 0 else None


def sentence(
    found: Reckoned, programme: Reckoned, held: Reckoned, tariff: Tariff | None, surface_percent: float | None
) -> str:
    """Return a way in one sentence: energy, money, against what, when it is cold, and whether surfaces get damp."""
    other, name = (
        (held, f"held at {degrees(held.highest_c)} all day")
        if found is programme
        else (
            programme,
            "the programme with its warm-up on time",
        )
    )
    kwh = f"{found.way.title}: {found.kwh_per_day:.1f} kWh a day"
    cost = shown(found.money_per_day)
    if cost is not None and tariff is not None:
        kwh = f"{kwh}, {cost} {tariff.currency}"
    moved = percent(found.kwh_per_day, other.kwh_per_day)
    if moved is None or abs(moved) < 0.5:
        against = f"as much as {name}"
    else:
        against = f"{abs(moved):.0f} % {'less' if moved < 0 else 'more'} than {name}"
    return f"{kwh}, {against}{_yet(found, programme, tariff)}{_cold_words(found)}{_mould(surface_percent)}."


def _mould(surface_percent: float | None) -> str:
    if surface_percent is None or surface_percent <= MOULD_PERCENT:
        return ""
    return f"; its cold surfaces would stand at {surface_percent:.0f} %, where mould may grow"


def _yet(found: Reckoned, programme: Reckoned, tariff: Tariff | None) -> str:
    """Return what money says where it says the opposite of the energy: the same kWh are dearer at some hours."""
    cost, usual = shown(found.money_per_day), shown(programme.money_per_day)
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


def assumptions(house: House, zone: Zone, on: Basis, tariff: Tariff | None) -> Iterator[str]:
    """Yield everything that the ways rest on."""
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
    if cap_a is not None and cap_a * house.site.voltage_v * house.site.phases < on.power_w:
        yield f"The {cap_a:g} A cap of the supply is below the room's full power; of the cases only 'cap' counts it."
    elif cap_a is not None:
        yield f"Except in the case 'cap', the {cap_a:g} A cap of the supply is taken to leave the room its full power."
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
