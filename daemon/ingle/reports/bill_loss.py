"""How much heat the house lost per kelvin in the days of two bills, from the verdicts that were kept.

Two estimates of one room differ by chance, and a step made of chance would be a false finding. So a room counts as
changed only where a look at the verdicts found a change in its own past and its date, or, where no look was kept yet,
where two nights' 95 % intervals leave no room for the same coefficient. All other rooms keep one for both bills.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from datetime import date, datetime
from math import hypot
from typing import Any, Final, NamedTuple
from zoneinfo import ZoneInfo

from ingle.design import design_house
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.looks import Look, LookedAt
from ingle.reports.bills import Span
from ingle.store import events, verdicts

_DAY_MS: Final = 86_400_000
#: A verdict speaks for a bill when it was noted in its second half, or up to so long after it [ms].
_AFTER_MS: Final = 7 * _DAY_MS
#: How sure a look must be of a change in a room's past.
_SURE: Final = 0.95


class Losses(NamedTuple):
    """The house's coefficient on both sides [W/K], None where no room is known to have changed; what changed; gaps."""

    both: tuple[float, float] | None
    changed: tuple[str, ...]
    missing: tuple[str, ...]


class _Estimate(NamedTuple):
    w_per_k: float
    half_width: float


#: A room's coefficient in both bills [W/K], by zone; and the rooms that changed.
_Pairs = Mapping[str, tuple[float, float]]


def losses(conn: sqlite3.Connection, house: House, spans: tuple[Span, Span]) -> Losses:
    """Return the house's heat loss coefficients in two spans."""
    pairs = _of_look(conn, house, spans)
    if pairs is None:
        pairs = _of_nights(conn, spans)
    if pairs is None:
        return Losses(None, (), ("no verdicts were kept from both bills' days: more loss is in what is unexplained",))
    sums = [0.0, 0.0]
    changed: list[str] = []
    for zone in design_house(house).zones:
        pair = pairs.get(zone.id, (zone.in_use_w_per_k, zone.in_use_w_per_k))
        sums = [total + each for total, each in zip(sums, pair, strict=True)]
        if pair[0] != pair[1]:
            changed.append(f"{zone.name} {pair[0]:.0f} to {pair[1]:.0f} W/K")
    return Losses((sums[0], sums[1]) if changed else None, tuple(changed), ())


def _of_look(conn: sqlite3.Connection, house: House, spans: tuple[Span, Span]) -> _Pairs | None:
    """Return each room's pair from a look taken once the second bill was half over; None without one.

    The first look after the bill's end has seen all of it and least of what came later; without one, the last in it.
    """
    first, second = spans
    looks = sorted(verdicts.history(conn), key=lambda each: each.at)
    over = [each for each in looks if to_ms(each.at) >= second.end_ms]
    inside = [each for each in looks if (second.start_ms + second.end_ms) / 2 <= to_ms(each.at) < second.end_ms]
    look = next(iter([*over[:1], *inside[-1:]]), None)
    if look is None or _start_ms(look) > (first.start_ms + first.end_ms) / 2:
        return None
    timezone = ZoneInfo(house.site.timezone)
    found = {zone.id: _pair(zone, spans, timezone) for zone in look.zones}
    return {zone: pair for zone, pair in found.items() if pair is not None}


def _start_ms(look: Look) -> int:
    return to_ms(datetime.fromisoformat(look.start))


def _pair(zone: LookedAt, spans: tuple[Span, Span], timezone: ZoneInfo) -> tuple[float, float] | None:
    """Return a room's coefficient in both spans; a change in the middle of one counts by its days."""
    past = zone.against_past
    if past is None or past.probability < _SURE:
        return None if zone.measured_w_per_k is None else (zone.measured_w_per_k, zone.measured_w_per_k)
    since = date.fromisoformat(past.since[:10])
    since_ms = to_ms(datetime(since.year, since.month, since.day, tzinfo=timezone))
    shares = [min(1.0, max(0.0, (span.end_ms - since_ms) / (span.end_ms - span.start_ms))) for span in spans]
    first, second = (share * past.after_w_per_k + (1 - share) * past.before_w_per_k for share in shares)
    return first, second


def _of_nights(conn: sqlite3.Connection, spans: tuple[Span, Span]) -> _Pairs | None:
    """Return each room's pair from the notes of two nights; None where one of the bills has none."""
    before, after = (_noted(conn, span) for span in spans)
    if not before or not after:
        return None
    found: dict[str, tuple[float, float]] = {}
    for zone in before.keys() & after.keys():
        first, second = before[zone], after[zone]
        if abs(second.w_per_k - first.w_per_k) > hypot(first.half_width, second.half_width):
            found[zone] = (first.w_per_k, second.w_per_k)
        else:
            found[zone] = ((first.w_per_k + second.w_per_k) / 2,) * 2
    return found


def _noted(conn: sqlite3.Connection, span: Span) -> dict[str, _Estimate]:
    """Return what was noted last of each room in a span; empty where nothing was."""
    event = events.newest(conn, "verdicts", "", span.end_ms + _AFTER_MS)
    if event is None or event.t_ms < (span.start_ms + span.end_ms) / 2:
        return {}
    zones = event.data.get("zones")
    found = {zone: _estimate(told) for zone, told in zones.items()} if isinstance(zones, dict) else {}
    return {zone: each for zone, each in found.items() if each is not None}


def _estimate(told: Any) -> _Estimate | None:  # noqa: ANN401 - JSON of an event
    if not isinstance(told, dict) or told.get("verdict") == "cannot-say-yet":
        return None
    value, low, high = (told.get(name) for name in ("w_per_k", "low_w_per_k", "high_w_per_k"))
    if not all(isinstance(each, int | float) for each in (value, low, high)):
        return None
    return _Estimate(float(value), (float(high) - float(low)) / 2)  # type: ignore[arg-type]  # numbers, as just seen
