"""Bills beside what ingle metered in their days: heaters, the supply's own meter, and what is left for all else.

Rules of this file: the heaters' share of a bill is told only where their counters are known for nearly all of it;
a part that nobody measured is not nothing; the difference of two meters may come out below zero, and is then said.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import date, datetime, time
from decimal import Decimal
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from ingle.model.bills import Bill, BillShown, OtherFrom
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.readings import Quality, Source
from ingle.money import rounded
from ingle.reports.energy import plain
from ingle.reports.use import Part, parts_of, summed, uses
from ingle.store.bills import Numbered

#: The least share of a bill's time for which counters must be known.
KNOWN: Final = 0.95
#: Two meters of the same energy may differ by this before it is worth a word; household meters may be off by 2 % each
#: in use (EN 50470-3 class B allows 1 % when new, from memory).
_METERS_DIFFER: Final = 0.05


class Span(NamedTuple):
    """A bill's days as instants [ms]."""

    start_ms: int
    end_ms: int

    @property
    def seconds(self) -> float:
        """How long it is."""
        return (self.end_ms - self.start_ms) / 1000


class Metered(NamedTuple):
    """What meters say of a bill's days; None where too little is known, and for how much of the time it is."""

    heaters_kwh: float | None
    quality: Quality | None
    heaters_known: float
    supply_kwh: float | None


def span_of(bill: Bill, timezone: ZoneInfo) -> Span:
    """Return a bill's days as instants, from local midnight to local midnight."""
    start, end = (
        to_ms(datetime.combine(date.fromisoformat(text), time(), timezone)) for text in (bill.start, bill.end)
    )
    return Span(start, end)


def metered(conn: sqlite3.Connection, house: House, span: Span) -> Metered:
    """Return what the heaters' counters and the supply's meter say of a span."""
    used = uses(conn, house, span)
    whole = summed(use.parts[0] for use in used)
    known: dict[str, float] = {}
    for use in used:
        known[use.heater] = known.get(use.heater, 0.0) + use.covered_s
    # A heater that never reported may have drawn anything; the least known one says how much the sum is worth.
    share = min((min(1.0, each / span.seconds) for each in known.values()), default=0.0)
    enough = share >= KNOWN and whole.energy_wh is not None
    return Metered(
        heaters_kwh=whole.energy_wh / 1000 if enough and whole.energy_wh is not None else None,
        quality=whole.quality if enough else None,
        heaters_known=share,
        supply_kwh=_supply_kwh(conn, house, span),
    )


def _supply_kwh(conn: sqlite3.Connection, house: House, span: Span) -> float | None:
    parts: list[Part] = [
        parts_of(conn, Source("meter", meter.id), span)[0] for meter in house.meters if meter.measures == "supply"
    ]
    if not parts or any(part.energy_wh is None or part.covered_s < KNOWN * span.seconds for part in parts):
        return None
    whole = summed(parts).energy_wh
    return None if whole is None else whole / 1000


def shown(conn: sqlite3.Connection, house: House, numbered: Numbered) -> BillShown:
    """Return a bill with what is known of its days."""
    number, bill = numbered
    found = metered(conn, house, span_of(bill, ZoneInfo(house.site.timezone)))
    days = (date.fromisoformat(bill.end) - date.fromisoformat(bill.start)).days
    other_kwh, other_from = _other(bill, found)
    money = None if bill.money is None else rounded(Decimal(bill.money))
    return BillShown(
        number=number,
        start=bill.start,
        end=bill.end,
        days=days,
        kwh=bill.kwh,
        money=None if money is None else str(money),
        currency=bill.currency,
        estimated_read=bill.estimated_read,
        kind=bill.kind,
        note=bill.note,
        kwh_per_day=round(bill.kwh / days, 3),
        money_per_day=None if money is None else str(rounded(money / days)),
        heaters_kwh=plain(found.heaters_kwh),
        heaters_quality=found.quality,
        supply_kwh=plain(found.supply_kwh),
        other_kwh=plain(other_kwh),
        other_from=other_from,
        missing=tuple(_missing(bill, found, other_kwh)),
    )


def _other(bill: Bill, found: Metered) -> tuple[float | None, OtherFrom | None]:
    """Return the load that no heater drew [kWh], and what it was taken from."""
    if found.heaters_kwh is None:
        return None, None
    if found.supply_kwh is not None:
        return found.supply_kwh - found.heaters_kwh, "supply meter"
    return bill.kwh - found.heaters_kwh, "bill"


def _missing(bill: Bill, found: Metered, other_kwh: float | None) -> Iterator[str]:
    if found.heaters_kwh is None:
        known = "not at all" if found.heaters_known == 0 else f"for {found.heaters_known:.0%} of the time"
        yield f"the heaters' share: the energy of the least known heater is known {known}"
    if bill.estimated_read:
        yield "a reading of the meter was estimated: the next bill may set right what this one got wrong"
    if other_kwh is not None and other_kwh < 0:
        yield f"the heaters' own counters say {-other_kwh:.1f} kWh more than the supply: a meter, or a date, is wrong"
    if found.supply_kwh is not None and abs(bill.kwh - found.supply_kwh) > _METERS_DIFFER * max(bill.kwh, 1.0):
        yield f"the supply's own meter counted {found.supply_kwh:,.1f} kWh, not the {bill.kwh:,.1f} of the bill"
