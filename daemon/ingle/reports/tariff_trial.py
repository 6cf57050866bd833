"""Whether another tariff would pay: the use as it was, quarter-hour by quarter-hour, at every rate of each.

Rules of this file: no rule of thumb, only the two tariffs and the use; the use is taken as it was, though at other
prices people may move it; a whole supply decides, so its meter is asked first, and the heaters alone only without one.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from msgspec import structs

from ingle.errors import BadInput, Fault, Refused
from ingle.model.costs import RateUse
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.readings import Source
from ingle.model.tariff import Tariff
from ingle.model.tariff_trial import AtTariff, TariffTrial, UseFrom
from ingle.money import exact, rounded, shared_out
from ingle.reports.energy import plain
from ingle.reports.priced import Amount, Priced, in_all, priced
from ingle.reports.use import parts_of, summed, uses

#: A tariff that is tried holds in every span that there are readings of.
_ALWAYS: Final = "1970-01-01"
#: The least share of a span for which the use must be known.
_KNOWN: Final = 0.95
#: A storage heater charges by night; one that heats when it is wanted cannot choose (common practice).
_DIRECT: Final = "direct heaters use little at night unless their hours are moved there"


class _Cost(NamedTuple):
    """What the use costs at one tariff; exact."""

    amount: Amount
    prices: Priced
    units: Decimal
    standing: Decimal
    tax: Decimal
    standing_with_tax: Decimal

    @property
    def total(self) -> Decimal:
        return self.units + self.standing + self.tax


class _Used(NamedTuple):
    """Whose use it is."""

    origin: UseFrom
    sources: tuple[Source, ...]
    missing: tuple[str, ...]


def tariff_trial(
    conn: sqlite3.Connection, house: House, start: datetime, end: datetime, tried: Sequence[Tariff]
) -> TariffTrial:
    """Return what the use of a span would have cost at other tariffs.

    Raises
    ------
    BadInput
        Where the span does not end after its start, or a tariff is in another currency than the first.
    Refused
        Where too little is known of the use to compare anything.
    """
    if not to_ms(start) < to_ms(end):
        raise BadInput([Fault(("to",), end.isoformat(), f"an instant after from ({start.isoformat()})")])
    span = (to_ms(start), to_ms(end))
    own = priced(conn, house, *span)
    currency = own.currency or tried[0].currency
    _check(tried, currency)
    used = _used(conn, house, span)
    costs = [
        _cost(conn, structs.replace(house, tariffs=(structs.replace(each, start=_ALWAYS),)), span, used)
        for each in tried
    ]
    present = None if any(piece.tariff is None for piece in own.pieces) else _cost(conn, house, span, used)
    listed = [(number, cost) for number, cost in enumerate([present, *costs]) if cost is not None]
    shown = sorted((_shown(number, cost, present) for number, cost in listed), key=lambda each: Decimal(each.total))
    whole = costs[0].amount
    return TariffTrial(
        start=start,
        end=end,
        currency=currency,
        use_from=used.origin,
        energy_wh=round(whole.energy_wh or 0.0, 3),
        quality=whole.quality,
        tariffs=tuple(shown),
        sentence=_sentence(shown, currency, present is not None),
        missing=(*used.missing, *(() if present else ("the house's own tariff does not cover the whole span",))),
    )


def _check(tried: Sequence[Tariff], currency: str) -> None:
    faults = [
        Fault(("tariff", place, "currency"), each.currency, f"{currency}, for money is compared")
        for place, each in enumerate(tried)
        if each.currency != currency
    ]
    if faults:
        raise BadInput(faults)


def _used(conn: sqlite3.Connection, house: House, span: tuple[int, int]) -> _Used:
    """Return whose use is known throughout: the supply's, else the heaters'."""
    seconds = (span[1] - span[0]) / 1000
    meters = tuple(Source("meter", meter.id) for meter in house.meters if meter.measures == "supply")
    if meters and all(parts_of(conn, each, span)[0].covered_s >= _KNOWN * seconds for each in meters):
        return _Used("supply meter", meters, ())
    known = [use for use in uses(conn, house, span) if use.covered_s > 0]
    heaters = tuple(dict.fromkeys(Source("heater", use.heater) for use in known))
    covered = min((parts_of(conn, each, span)[0].covered_s for each in heaters), default=0.0)
    if covered < _KNOWN * seconds:
        share = f"{covered / seconds:.0%}"
        raise Refused(f"the use is known for {share} of the span only; choose a span that readings cover")
    return _Used("heaters", heaters, ("the supply has no meter that was read: only the heaters are counted",))


def _cost(conn: sqlite3.Connection, house: House, span: tuple[int, int], used: _Used) -> _Cost:
    prices = priced(conn, house, *span)
    amount = Amount()
    by_source = [parts_of(conn, source, prices.edges_ms) for source in used.sources]
    for parts, price in zip(zip(*by_source, strict=True), prices.of_piece, strict=True):
        amount.add(summed(parts), price)
    money, charge = prices.money(amount), in_all(prices.standing(ZoneInfo(house.site.timezone)).values())
    return _Cost(amount, prices, money.units, charge.standing, money.tax + charge.tax, charge.total)


def _shown(number: int, cost: _Cost, present: _Cost | None) -> AtTariff:
    total = rounded(cost.total)
    units, standing, tax = (str(each) for each in shared_out(total, [cost.units, cost.standing, cost.tax]))
    by_rate = cost.prices.money(cost.amount).by_rate
    whole = sum(by_rate.values())
    lowest = by_rate[min(by_rate)] / whole * 100 if len(by_rate) > 1 and whole > 0 else None
    needed = None if present is None or number == 0 else _needed(cost, present)
    more = None if present is None else str(total - rounded(present.total))
    return AtTariff(
        number=number,
        rates=tuple(
            RateUse(per_kwh=str(rate), energy_wh=round(wh, 3), money=str(rounded(exact(wh) / 1000 * rate)))
            for rate, wh in sorted(by_rate.items())
        ),
        units=units,
        standing=standing,
        tax=tax,
        total=str(total),
        more=more,
        lowest_percent=plain(lowest),
        lowest_needed_percent=plain(needed),
        sentence=_words(number, more, lowest, needed),
    )


def _needed(cost: _Cost, present: _Cost) -> float | None:
    """Return the share at the lower of two rates from which on a tariff costs less than the present one [%]."""
    rates = sorted({rate for tariff, rate in cost.prices.prices if tariff is not None and rate is not None})
    kwh = exact(cost.amount.energy_wh or 0.0) / 1000
    tariff = cost.prices.prices[0].tariff
    if len(rates) != 2 or kwh <= 0 or tariff is None:
        return None
    with_tax = 1 + exact(tariff.tax_percent) / 100
    allowed = (present.total - cost.standing_with_tax) / with_tax / kwh
    share = (rates[1] - allowed) / (rates[1] - rates[0]) * 100
    return max(0.0, float(share)) if share <= 100 else None


def _words(number: int, more: str | None, lowest: float | None, needed: float | None) -> str:
    name = "the house's own tariff" if number == 0 else f"tariff {number}"
    words = [name]
    if number and more is not None:
        amount = Decimal(more)
        words.append(f"costs {abs(amount)} {'more' if amount > 0 else 'less'}" if amount else "costs the same")
    if lowest is not None:
        words.append(f"{lowest:.0f} % of the use fell at its lowest rate")
    if needed is not None:
        words.append(f"it pays from {needed:.0f} % on")
    return "; ".join(words)


def _sentence(shown: Sequence[AtTariff], currency: str, present: bool) -> str:  # noqa: FBT001 - a fact of the list
    best = shown[0]
    if not present:
        return f"Cheapest of those tried: tariff {best.number}, {best.total} {currency}."
    if best.number == 0 or Decimal(best.more or 0) == 0:
        two = any(each.lowest_needed_percent is not None for each in shown)
        return f"None of those tried is cheaper than the house's own{f'; {_DIRECT}' if two else ''}."
    return f"Tariff {best.number} would have cost {abs(Decimal(best.more or 0))} {currency} less than the house's own."
