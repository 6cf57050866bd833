"""Half-hourly prices on their way in: checked as a whole, stored as a whole, noted for the audit."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Final, NamedTuple

from ingle.errors import BadInput, Fault
from ingle.model.commands import Origin
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.prices import PriceGiven, PricesTaken
from ingle.money import exact
from ingle.store import events, prices
from ingle.store.prices import Price

#: How long one price may hold.
SHORTEST, LONGEST = timedelta(minutes=5), timedelta(days=1)
#: Years in which prices may lie.
_YEARS: Final = range(2000, 2101)
#: The most faults that are told of one list; the rest is counted.
MOST_FAULTS: Final = 50


class Placed(NamedTuple):
    """A price and where it was given, for what is said of it."""

    price: PriceGiven
    place: tuple[str | int, ...]


def check(given: Sequence[Placed]) -> None:
    """Refuse prices that cannot hold.

    Raises
    ------
    BadInput
        With every fault, up to ``MOST_FAULTS``.
    """
    faults = list(_faults(given))
    if len(faults) > MOST_FAULTS:
        more = Fault(("prices",), len(faults), f"no faults; {len(faults) - MOST_FAULTS} more are not listed")
        faults = [*faults[:MOST_FAULTS], more]
    if faults:
        raise BadInput(faults)


def _faults(given: Sequence[Placed]) -> Iterator[Fault]:
    for price, place in given:
        for name, when in (("from", price.start), ("to", price.end)):
            if when.year not in _YEARS:
                yield Fault((*place, name), when.isoformat(), f"a year from {_YEARS[0]} to {_YEARS[-1]}")
        if not SHORTEST <= price.end - price.start <= LONGEST:
            yield Fault((*place, "to"), price.end.isoformat(), "5 minutes to 24 hours after from")
    ordered = sorted(given, key=lambda each: each.price.start)
    latest = None
    for each in ordered:
        if latest is not None and each.price.start < latest.price.end:
            allowed = f"a time when no other price given holds; one holds until {latest.price.end.isoformat()}"
            yield Fault((*each.place, "from"), each.price.start.isoformat(), allowed)
        if latest is None or each.price.end > latest.price.end:
            latest = each


def take(
    conn: sqlite3.Connection,
    series: str,
    given: Sequence[Placed],
    *,
    now: datetime,
    origin: Origin,
    why: str = "",
    in_use: bool,
) -> PricesTaken:
    """Store checked prices and their audit row inside the caller's transaction."""
    rows = [Price(to_ms(each.start), to_ms(each.end), exact(each.per_kwh)) for each, _ in given]
    stored = prices.save(conn, series, rows)
    start, end = min(each.start for each, _ in given), max(each.end for each, _ in given)
    data = {"who": origin.who, "via": origin.via, "why": why, "stored": stored}
    span = {"from": start.isoformat(), "to": end.isoformat()}
    events.record(conn, to_ms(now), "prices", series, {**data, **span})
    return PricesTaken(series=series, stored=stored, start=start, end=end, in_use=in_use)


def series_of(house: House) -> set[str]:
    """Return the series that a house's tariffs name."""
    return {tariff.series for tariff in house.tariffs if tariff.series is not None}
