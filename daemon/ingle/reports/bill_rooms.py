"""How warm the rooms were in the days of two bills, and for how long they were held at their occupied level.

Rules of this file: only rooms that are known on both sides count, each by its heat loss, for a room that loses little
makes little of a bill; an hour is one at the occupied level where the room's setpoint was nearer to that level than
to the setback level, by the house as it is now. Where setpoints are not known on both sides there are only means, and
"warmer" and "longer" are one.
"""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from statistics import fmean
from typing import Final, NamedTuple

from ingle.design import design_house
from ingle.model.house import House, Zone
from ingle.model.readings import Source
from ingle.money.steps import Rooms
from ingle.reports.bills import Span
from ingle.store.readings import QUARTER_MS
from ingle.store.rollups import quarters
from ingle.store.setpoints import setpoints

#: The least share of a bill's quarter-hours for which a room must be known.
_KNOWN: Final = 0.5
#: The least share of the house's heat loss that known rooms must make up.
_MOST: Final = 0.7


class Warmth(NamedTuple):
    """A room over a span: its mean [°C], and, where setpoints are known, the parts at the occupied level and not."""

    mean_c: float
    split: Rooms | None


class Both(NamedTuple):
    """How warm rooms were in two spans, None where it is not known; and what is missing."""

    rooms: tuple[Rooms, Rooms] | None
    missing: tuple[str, ...]


def rooms_of_both(conn: sqlite3.Connection, house: House, spans: tuple[Span, Span]) -> Both:
    """Return how warm the house's rooms were in both of two spans."""
    before, after = ({zone.id: _warmth(conn, house, zone, span) for zone in house.zones} for span in spans)
    design = {zone.id: zone.in_use_w_per_k for zone in design_house(house).zones}
    weights = {
        zone: max(0.0, loss) for zone, loss in design.items() if before[zone] is not None and after[zone] is not None
    }
    if sum(weights.values()) < _MOST * sum(max(0.0, loss) for loss in design.values()) or not any(weights.values()):
        return Both(None, ("room temperatures are not known on both sides: warmer rooms are in what is unexplained",))
    pairs = [(weights[zone], before[zone], after[zone]) for zone in weights]
    split = all(each is not None and each.split is not None for _, *both in pairs for each in both)
    first, second = (
        _together([(weight, each) for weight, *both in pairs if (each := both[side]) is not None], split=split)
        for side in (0, 1)
    )
    missing = () if split else ("setpoints are not known on both sides: longer hours are in warmer rooms",)
    return Both((first, second), missing)


def _together(rooms: Sequence[tuple[float, Warmth]], *, split: bool) -> Rooms:
    """Return rooms as one, each by its weight."""
    if not split:
        mean_c = _mean((weight, each.mean_c) for weight, each in rooms)
        return Rooms(warm_c=None, cool_c=mean_c, share=0.0)
    parts = [(weight, each.split) for weight, each in rooms if each.split is not None]
    return Rooms(
        warm_c=_mean((weight * part.share, part.warm_c) for weight, part in parts if part.warm_c is not None),
        cool_c=_mean((weight * (1 - part.share), part.cool_c) for weight, part in parts if part.cool_c is not None),
        share=_mean((weight, part.share) for weight, part in parts) or 0.0,
    )


def _mean(weighted: Iterator[tuple[float, float]]) -> float | None:
    listed = list(weighted)
    weight = sum(each for each, _ in listed)
    return sum(each * value for each, value in listed) / weight if weight > 0 else None


def _warmth(conn: sqlite3.Connection, house: House, zone: Zone, span: Span) -> Warmth | None:
    """Return how warm a room was; None where too little of it is known."""
    wanted = (span.end_ms - span.start_ms) / QUARTER_MS
    temps = _temperatures(conn, house, zone, span)
    if len(temps) < _KNOWN * wanted:
        return None
    return Warmth(fmean(temps.values()), _split(temps, _setpoints(conn, zone, span), _threshold(house, zone)))


def _threshold(house: House, zone: Zone) -> float:
    """Return the setpoint from which on a room is held at its occupied level [°C]."""
    return (house.level_c(zone, "occupied") + house.level_c(zone, "setback")) / 2


def _split(temps: Mapping[int, float], wanted: Mapping[int, float], threshold_c: float) -> Rooms | None:
    """Return a room's temperature in and outside of its hours at the occupied level."""
    warm = [temp for at, temp in temps.items() if at in wanted and wanted[at] >= threshold_c]
    cool = [temp for at, temp in temps.items() if at in wanted and wanted[at] < threshold_c]
    if len(warm) + len(cool) < _KNOWN * len(temps):
        return None
    return Rooms(
        warm_c=fmean(warm) if warm else None,
        cool_c=fmean(cool) if cool else None,
        share=len(warm) / (len(warm) + len(cool)),
    )


def _temperatures(conn: sqlite3.Connection, house: House, zone: Zone, span: Span) -> dict[int, float]:
    """Return a room's temperature by the quarter-hour: its sensors' mean, without any its heaters'."""
    sensors = [
        (Source("sensor", sensor.id), sensor.offset_k)
        for sensor in house.sensors
        if sensor.zone == zone.id and sensor.measures == "temperature"
    ]
    return _means(conn, sensors, span) or _means(
        conn, [(Source("heater", heater.id), 0.0) for heater in zone.heaters], span
    )


def _means(conn: sqlite3.Connection, sources: Sequence[tuple[Source, float]], span: Span) -> dict[int, float]:
    found: dict[int, list[float]] = defaultdict(list)
    for source, offset_k in sources:
        for quarter in quarters(conn, source, span.start_ms, span.end_ms):
            if quarter.mean_temp_c is not None:
                found[quarter.start_ms].append(quarter.mean_temp_c + offset_k)
    return {at: fmean(each) for at, each in found.items()}


def _setpoints(conn: sqlite3.Connection, zone: Zone, span: Span) -> dict[int, float]:
    """Return a room's setpoint by the quarter-hour: that of its first heater that reports one."""
    for heater in zone.heaters:
        found = setpoints(conn, Source("heater", heater.id), span.start_ms, span.end_ms)
        if found:
            return found
    return {}
