"""Why one bill is higher than another, from the bills and the record: what is known of each, and the steps between."""

from __future__ import annotations

import sqlite3
from decimal import Decimal
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from ingle.errors import BadInput, Fault, Unknown
from ingle.model.bills import Bill, BillStep, BillWhy
from ingle.model.house import House
from ingle.money import exact, local_days, rounded
from ingle.money.steps import Account, Known, known, steps
from ingle.reports.bill_loss import Losses, losses
from ingle.reports.bill_rooms import Both, rooms_of_both
from ingle.reports.bill_words import per_day, sentence
from ingle.reports.bills import Metered, Span, metered, span_of
from ingle.reports.days import outdoors
from ingle.reports.priced import in_all, priced
from ingle.store import bills
from ingle.store.bills import Numbered

ORDER: Final = "averaged over all orders"
#: The least share of a bill's days whose cold must be known.
_COLD_KNOWN: Final = 0.8


class _Side(NamedTuple):
    """A bill with what the record says of its days, before both are looked at together."""

    bill: Bill
    span: Span
    days: int
    metered: Metered
    outdoor_c: tuple[float, ...]
    standing: Decimal
    has_tariff: bool


def why(conn: sqlite3.Connection, house: House, number: int, against: int | None = None) -> BillWhy:
    """Return the steps from one bill to another.

    Parameters
    ----------
    number
        The bill that is asked about.
    against
        The one it is compared with; None for the newest of its kind that ended before it began.

    Raises
    ------
    Unknown
        Where there is no such bill, or none before it.
    BadInput
        Where both are the same, or in different currencies.
    """
    after = _find(conn, number)
    before = _find(conn, against) if against is not None else _before(conn, after)
    _check(before, after)
    sides = (_side(conn, house, before.bill), _side(conn, house, after.bill))
    told = _told(sides)
    rooms = rooms_of_both(conn, house, (sides[0].span, sides[1].span)) if told.outdoor else Both(None, ())
    lost = losses(conn, house, (sides[0].span, sides[1].span)) if told.outdoor else Losses(None, (), ())
    first, second = (_account(side, rooms, lost, place) for place, side in enumerate(sides))
    found = steps(first, second, house.site.gains_k)
    money = [side.bill.money for side in sides]
    difference = None if None in money else rounded(Decimal(money[1] or 0)) - rounded(Decimal(money[0] or 0))
    return BillWhy(
        from_bill=before.number,
        to_bill=after.number,
        currency=None if difference is None else after.bill.currency,
        difference=None if difference is None else str(difference),
        difference_kwh=float(second.kwh - first.kwh),
        steps=tuple(
            BillStep(
                code=step.code,
                money=None if step.money is None else str(step.money),
                kwh=float(step.kwh),
                sentence=sentence(step.code, first, second, lost.changed, house.site.gains_k),
            )
            for step in found
        ),
        order=ORDER,
        from_kwh_per_day=round(sides[0].bill.kwh / sides[0].days, 3),
        to_kwh_per_day=round(sides[1].bill.kwh / sides[1].days, 3),
        sentence=per_day(first, second),
        missing=(*_missing(before, after, sides), *rooms.missing, *lost.missing),
    )


def _find(conn: sqlite3.Connection, number: int) -> Numbered:
    found = bills.find(conn, number)
    if found is None:
        raise Unknown(f"there is no bill {number}")
    return found


def _before(conn: sqlite3.Connection, after: Numbered) -> Numbered:
    earlier = [
        each for each in bills.every(conn) if each.bill.kind == after.bill.kind and each.bill.end <= after.bill.start
    ]
    if not earlier:
        raise Unknown(f"there is no bill before bill {after.number}; name the one to compare with: against")
    return max(earlier, key=lambda each: each.bill.end)


def _check(before: Numbered, after: Numbered) -> None:
    if before.number == after.number:
        raise BadInput([Fault(("against",), before.number, "another bill than the one that is asked about")])
    currencies = {before.bill.currency, after.bill.currency} - {None}
    if len(currencies) > 1:
        raise BadInput([Fault(("against",), before.number, f"a bill in {after.bill.currency}, as the one asked about")])


def _side(conn: sqlite3.Connection, house: House, bill: Bill) -> _Side:
    timezone = ZoneInfo(house.site.timezone)
    span = span_of(bill, timezone)
    days = local_days(span.start_ms, span.end_ms, timezone)
    cold = [each for each in outdoors(conn, house, days) if each is not None]
    charges = priced(conn, house, span.start_ms, span.end_ms).standing(timezone)
    return _Side(
        bill=bill,
        span=span,
        days=len(days),
        metered=metered(conn, house, span),
        outdoor_c=tuple(each.mean_c for each in cold) if len(cold) >= _COLD_KNOWN * len(days) else (),
        standing=in_all(charges.values()).total / len(days),
        has_tariff=bool(charges),
    )


def _told(sides: tuple[_Side, _Side]) -> Known:
    before, after = (_account(side, Both(None, ()), Losses(None, (), ()), place) for place, side in enumerate(sides))
    return known(before, after)


def _account(side: _Side, rooms: Both, lost: Losses, place: int) -> Account:
    bill = side.bill
    return Account(
        days=side.days,
        kwh=rounded(exact(bill.kwh)),
        money=None if bill.money is None else rounded(Decimal(bill.money)),
        standing=side.standing,
        heaters_kwh=side.metered.heaters_kwh,
        outdoor_c=side.outdoor_c,
        rooms=None if rooms.rooms is None else rooms.rooms[place],
        loss_w_per_k=None if lost.both is None else lost.both[place],
    )


def _missing(before: Numbered, after: Numbered, sides: tuple[_Side, _Side]) -> list[str]:
    said: list[str] = []
    for (number, bill), side in zip((before, after), sides, strict=True):
        if bill.money is None:
            said.append(f"bill {number} has no amount, so there are steps of energy and none of money")
        elif not side.has_tariff:
            said.append(f"no tariff covers bill {number}: its standing charge is in the price")
        if side.metered.heaters_kwh is None:
            said.append(
                f"the heaters' counters are known for {side.metered.heaters_known:.0%} of bill {number}: what heats "
                "and what does not cannot be told apart, and is in what is unexplained"
            )
        elif not side.outdoor_c:
            said.append(f"outdoor readings are missing in bill {number}: the weather is in what is unexplained")
        if bill.estimated_read:
            said.append(f"bill {number} rests on an estimated reading; the steps explain what was billed")
    return said
