"""The tariff-clock check over the record: which room has load beside its cheap window, what it costs, what to set."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from decimal import Decimal
from math import sqrt
from statistics import fmean, stdev
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from msgspec.structs import replace

from ingle import money
from ingle.model.devices import Heater
from ingle.model.house import House, Zone
from ingle.model.instants import from_ms
from ingle.model.readings import Source
from ingle.model.tariff import Tariff
from ingle.model.verdicts import Assessment, Cause
from ingle.money.blocks import Quarter
from ingle.money.stretches import Stretch
from ingle.money.tariff_clock import LEAST_NIGHTS, LOOK_BACK_DAYS, OF_ALL, Misplaced, Window, cheap_windows, misplaced
from ingle.store.moments import last_value
from ingle.store.rollups import quarters

_DAY_MS: Final = 86_400_000
#: The check looks at so many days first, and reads on only where a block shows in them.
_GLANCE_DAYS: Final = LEAST_NIGHTS + 2
_DAYS_A_MONTH: Final = 30
#: How far beside its window a block may lie to be found [ms].
_AROUND_MS: Final = 4 * 3_600_000
_PROBABILITY: Final = 0.95

Windows = Sequence[tuple[Window, Sequence[Stretch]]]


class Found(NamedTuple):
    """A heater and its block beside the window."""

    heater: Heater
    block: Misplaced


def with_tariff_clock(conn: sqlite3.Connection, house: House, assessed: Assessment, end_ms: int) -> Assessment:
    """Return an assessment with the cause ``tariff-clock`` where a room's load runs beside its cheap window."""
    zones = []
    for verdict in assessed.zones:
        zone = house.zone(verdict.id)
        cause = None if zone is None else tariff_clock(conn, house, zone, end_ms)
        if cause is not None:
            listed = (*verdict.causes, cause)
            verdict = replace(verdict, causes=tuple(sorted(listed, key=lambda each: -each.probability)))  # noqa: PLW2901 - the same verdict with one cause more
        zones.append(verdict)
    return replace(assessed, zones=tuple(zones))


def tariff_clock(conn: sqlite3.Connection, house: House, zone: Zone, end_ms: int) -> Cause | None:
    """Return the cause of a zone, looking back from an instant; None where no heater's block runs beside a window."""
    timezone = ZoneInfo(house.site.timezone)
    if not any(len(tariff.rates) > 1 for tariff in house.tariffs):
        return None
    glance = _windows(house.tariffs, end_ms, _GLANCE_DAYS, timezone)
    if not glance:
        return None
    found = []
    for heater in zone.heaters:
        if not _by_night(conn, heater, glance, end_ms):
            continue
        if _misplaced(conn, heater, glance, end_ms, _GLANCE_DAYS, timezone) is None:
            continue
        whole = _windows(house.tariffs, end_ms, LOOK_BACK_DAYS, timezone)
        block = _misplaced(conn, heater, whole, end_ms, LOOK_BACK_DAYS, timezone)
        if block is not None:
            found.append(Found(heater, block))
    return _cause(found, timezone) if found else None


def _by_night(conn: sqlite3.Connection, heater: Heater, windows: Windows, end_ms: int) -> bool:
    """Return whether a heater may take most of its energy around the windows, by a few readings of its counter.

    A glance that spares nearly every heater the sums over its quarter-hours. A counter that began anew, or none at
    all, says nothing, and then the sums decide.
    """
    source = Source("heater", heater.id)

    def between(start_ms: int, finish_ms: int) -> float | None:
        first, last = (last_value(conn, source, "energy_wh", t_ms) for t_ms in (start_ms, finish_ms))
        return None if first is None or last is None or last.value < first.value else last.value - first.value

    whole = between(end_ms - _GLANCE_DAYS * _DAY_MS, end_ms)
    parts = [between(window.start_ms - _AROUND_MS, min(end_ms, window.end_ms + _AROUND_MS)) for window, _ in windows]
    known = [part for part in parts if part is not None]
    if whole is None or len(known) < len(parts):
        return True
    return whole > 0 and sum(known) >= OF_ALL * whole


def _windows(tariffs: Sequence[Tariff], end_ms: int, days: int, timezone: ZoneInfo) -> Windows:
    return cheap_windows(tariffs, end_ms - days * _DAY_MS, end_ms, timezone)


def _misplaced(
    conn: sqlite3.Connection, heater: Heater, windows: Windows, end_ms: int, days: int, timezone: ZoneInfo
) -> Misplaced | None:
    stores = heater.kind in {"storage", "underfloor"}
    return misplaced(_quarters(conn, heater, end_ms, days), heater.rated_w, windows, timezone, stores=stores)


def _quarters(conn: sqlite3.Connection, heater: Heater, end_ms: int, days: int) -> list[Quarter]:
    found = quarters(conn, Source("heater", heater.id), end_ms - days * _DAY_MS, end_ms)
    return [Quarter(each.start_ms, each.energy_wh) for each in found if each.energy_wh is not None]


def _cause(found: Sequence[Found], timezone: ZoneInfo) -> Cause:
    newest = max((each.block for each in found), key=lambda block: block.nights[-1].window.end_ms)
    tariff = newest.nights[-1].window.tariff
    kwh = sum(each.block.kwh for each in found)
    lost = sum((each.block.lost for each in found), Decimal(0))
    a_month = [_DAYS_A_MONTH / len(each.block.nights) for each in found]
    kwh_month = sum(each.block.kwh * times for each, times in zip(found, a_month, strict=True))
    cost_month = sum(
        (
            money.with_tax(tariff, each.block.lost * money.exact(times))
            for each, times in zip(found, a_month, strict=True)
        ),
        Decimal(0),
    )
    spread = _spread(found)
    low, high = max(0.0, 1 - spread), 1 + spread
    return Cause(
        code="tariff-clock",
        probability=_PROBABILITY,
        evidence=" ".join(
            [
                *_evidence(found, timezone),
                f"That is {kwh:,.1f} kWh at the wrong rate, {money.rounded(lost)} {tariff.currency} lost before tax.",
            ]
        ),
        check_next=_check_next(newest, timezone),
        kwh=round(kwh_month, 1),
        kwh_low=round(kwh_month * low, 1),
        kwh_high=round(kwh_month * high, 1),
        money=_amount(cost_month),
        money_low=_amount(cost_month * money.exact(low)),
        money_high=_amount(cost_month * money.exact(high)),
        currency=tariff.currency,
    )


def _evidence(found: Sequence[Found], timezone: ZoneInfo) -> Iterator[str]:
    for each in found:
        block, night = each.block, each.block.nights[-1]
        side = "past the end" if night.after_min >= night.before_min else "before the start"
        edge = night.window.end_ms if night.after_min >= night.before_min else night.window.start_ms
        ran = f"{_clock(night.block.start_ms, timezone)} to {_clock(night.block.end_ms, timezone)}"
        yield (
            f"{each.heater.id} runs from {ran}: {block.minutes:.0f} min {side} of the cheap window at "
            f"{_clock(edge, timezone)}, {len(block.nights)} nights in a row to {night.day.isoformat()}, "
            f"at {night.dear} instead of {night.window.rate} a kWh."
        )


def _check_next(block: Misplaced, timezone: ZoneInfo) -> str:
    start_ms, end_ms = block.moved
    window = block.nights[-1].window
    set_to = f"{_clock(start_ms, timezone)} to {_clock(end_ms, timezone)}"
    utc = any(rate.clock == "utc" for rate in window.tariff.rates)
    moves = " The window is on UTC: on the house's clock it moves by an hour whenever clocks change." if utc else ""
    look = "and look whether the timer's own clock is right."
    return f"Set its timer to {set_to} on the house's clock as it is now, {look}{moves}"


def _spread(found: Sequence[Found]) -> float:
    """Return the half-width of the mean night's share, 95 %: two standard errors over the nights."""
    nights = [night.wh for each in found for night in each.block.nights]
    return 2 * stdev(nights) / sqrt(len(nights)) / fmean(nights) if len(nights) > 1 and fmean(nights) > 0 else 0.0


def _amount(amount: Decimal) -> float:
    return float(money.rounded(amount))


def _clock(t_ms: int, timezone: ZoneInfo) -> str:
    at = from_ms(t_ms + 30_000).astimezone(timezone)
    return f"{at:%H:%M}"
