"""How much heat the house lost per kelvin in the days of two bills, from the verdicts that were noted then.

Two estimates of one room differ by chance, and a step made of chance would be a false finding. So a room counts as
changed only where its two 95 % intervals leave no room for the same coefficient; all others keep one for both bills.
"""

from __future__ import annotations

import sqlite3
from math import hypot
from typing import Any, Final, NamedTuple

from ingle.design import design_house
from ingle.model.house import House
from ingle.reports.bills import Span
from ingle.store import events

_DAY_MS: Final = 86_400_000
#: A verdict speaks for a bill when it was noted in its second half, or up to so long after it [ms].
_AFTER_MS: Final = 7 * _DAY_MS


class Losses(NamedTuple):
    """The house's coefficient on both sides [W/K], None where no room is known to have changed; what changed; gaps."""

    both: tuple[float, float] | None
    changed: tuple[str, ...]
    missing: tuple[str, ...]


class _Estimate(NamedTuple):
    w_per_k: float
    half_width: float


def losses(conn: sqlite3.Connection, house: House, spans: tuple[Span, Span]) -> Losses:
    """Return the house's heat loss coefficients in two spans."""
    noted = [_noted(conn, span) for span in spans]
    if not all(noted):
        return Losses(None, (), ("no verdicts were noted in both bills' days: more loss is in what is unexplained",))
    before, after = noted
    sums = [0.0, 0.0]
    changed: list[str] = []
    for zone in design_house(house).zones:
        first, second = before.get(zone.id), after.get(zone.id)
        if first is None or second is None:
            pair = (zone.in_use_w_per_k, zone.in_use_w_per_k)
        elif abs(second.w_per_k - first.w_per_k) > hypot(first.half_width, second.half_width):
            pair = (first.w_per_k, second.w_per_k)
            changed.append(f"{zone.name} {first.w_per_k:.0f} to {second.w_per_k:.0f} W/K")
        else:
            pair = ((first.w_per_k + second.w_per_k) / 2,) * 2
        sums = [total + each for total, each in zip(sums, pair, strict=True)]
    return Losses((sums[0], sums[1]) if changed else None, tuple(changed), ())


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
