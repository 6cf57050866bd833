"""Entering, changing and removing bills: checked, guarded against two people at once, each with its row for the audit.

Two bills may not share a day, nor may two hand-read meters: money and energy would be counted twice. A bill and a
hand-read meter may, for each checks the other.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import date
from typing import Any, Final, Literal

import msgspec

from ingle.clock import Clock
from ingle.errors import BadInput, Fault, Refused, Unknown
from ingle.model.bills import Bill
from ingle.model.commands import Origin
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.money import tariff_on
from ingle.store import bills, events
from ingle.store.bills import Numbered
from ingle.store.db import Store
from ingle.store.houses import digest

Done = Literal["enter", "change", "remove"]

#: The longest time that one bill may be for [d].
LONGEST_DAYS: Final = 1100
_FIRST, _LAST = date(1990, 1, 1), date(2100, 1, 1)


def bill_etag(bill: Bill) -> str:
    """Return the digest that guards a bill against being changed by two people at once."""
    return digest(bill)


class Bills:
    """What is asked of the bills of a house."""

    def __init__(self, store: Store, clock: Clock) -> None:
        self._store = store
        self._clock = clock

    async def enter(self, house: House, bill: Bill, origin: Origin, why: str) -> Numbered:
        """Keep a new bill.

        Raises
        ------
        BadInput
            With every fault of it.
        """
        whole = _with_currency(house, bill)

        def write(conn: sqlite3.Connection) -> Numbered:
            _check(conn, whole, None)
            made = bills.add(conn, whole)
            self._note(conn, "enter", made.number, (None, whole), origin, why)
            return made

        return await self._store.write(write)

    async def change(
        self, house: House, number: int, bill: Bill, *, expected: str | None, origin: Origin, why: str
    ) -> Numbered:
        """Put another bill in a bill's place.

        Raises
        ------
        Unknown
            Where there is no such bill.
        Refused
            Where it is no longer the one that was looked at.
        BadInput
            With every fault of the new one.
        """
        whole = _with_currency(house, bill)

        def write(conn: sqlite3.Connection) -> Numbered:
            before = _guarded(conn, number, expected)
            _check(conn, whole, number)
            self._note(conn, "change", number, (before, whole), origin, why)
            return bills.replace(conn, number, whole)

        return await self._store.write(write)

    async def remove(self, number: int, *, expected: str | None, origin: Origin, why: str) -> Numbered:
        """Remove a bill and return what it was.

        Raises
        ------
        Unknown
            Where there is no such bill.
        Refused
            Where it is no longer the one that was looked at.
        """

        def write(conn: sqlite3.Connection) -> Numbered:
            before = _guarded(conn, number, expected)
            self._note(conn, "remove", number, (before, None), origin, why)
            bills.remove(conn, number)
            return Numbered(number, before)

        return await self._store.write(write)

    def _note(
        self,
        conn: sqlite3.Connection,
        do: Done,
        number: int,
        bill: tuple[Bill | None, Bill | None],
        origin: Origin,
        why: str,
    ) -> None:
        before, after = (None if each is None else msgspec.to_builtins(each) for each in bill)
        data: dict[str, Any] = {"do": do, "who": origin.who, "via": origin.via, "why": why}
        events.record(conn, to_ms(self._clock.now()), "bill", str(number), {**data, "before": before, "after": after})


def days_of(bill: Bill) -> int:
    """Return how many days a bill is for."""
    return (date.fromisoformat(bill.end) - date.fromisoformat(bill.start)).days


def _with_currency(house: House, bill: Bill) -> Bill:
    """Return a bill in the currency of the tariff of its last day, where it names none."""
    if bill.money is None or bill.currency is not None:
        return bill
    try:
        tariff = tariff_on(house.tariffs, date.fromisoformat(bill.end))
    except ValueError:
        return bill
    return bill if tariff is None else msgspec.structs.replace(bill, currency=tariff.currency)


def _guarded(conn: sqlite3.Connection, number: int, expected: str | None) -> Bill:
    found = bills.find(conn, number)
    if found is None:
        raise Unknown(f"there is no bill {number}")
    if expected is not None and bill_etag(found.bill) != expected:
        raise Refused(f"bill {number} was changed meanwhile; get it again first")
    return found.bill


def _check(conn: sqlite3.Connection, bill: Bill, own: int | None) -> None:
    faults = list(_date_faults(bill)) or list(_overlap_faults(conn, bill, own))
    if bill.kind == "meter" and bill.money is not None:
        faults.append(Fault(("money",), bill.money, "nothing; a hand-read meter has no amount, a bill has"))
    if bill.money is not None and bill.currency is None and bill.kind == "bill":
        faults.append(Fault(("currency",), None, "an ISO 4217 code; no tariff of the house covers the bill's last day"))
    if faults:
        raise BadInput(faults)


def _date_faults(bill: Bill) -> Iterator[Fault]:
    dates: list[date] = []
    for name, text in (("from", bill.start), ("to", bill.end)):
        try:
            found = date.fromisoformat(text)
        except ValueError:
            yield Fault((name,), text, "a date that exists, YYYY-MM-DD")
            continue
        if not _FIRST <= found <= _LAST:
            yield Fault((name,), text, f"a date from {_FIRST} to {_LAST}")
            continue
        dates.append(found)
    if len(dates) == 2 and not dates[0] < dates[1]:
        yield Fault(("to",), bill.end, f"a date after from ({bill.start}): the first day that is not in the bill")
    elif len(dates) == 2 and (dates[1] - dates[0]).days > LONGEST_DAYS:
        yield Fault(("to",), bill.end, f"a date at most {LONGEST_DAYS} days after from")


def _overlap_faults(conn: sqlite3.Connection, bill: Bill, own: int | None) -> Iterator[Fault]:
    for number, other in bills.every(conn):
        if number != own and other.kind == bill.kind and bill.start < other.end and other.start < bill.end:
            what = "bill" if bill.kind == "bill" else "hand-read meter"
            allowed = f"days that no other {what} has; number {number} is from {other.start} to {other.end}"
            yield Fault(("from",), bill.start, allowed)
