"""Metered use against design: the store's readings, the rooms' design, and what the verdicts make of both.

Imports numpy, so the serving process asks through ``reports.child``.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Final

import numpy as np

from ingle.design.room import room
from ingle.errors import Unknown
from ingle.model.design import Design
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.readings import Source
from ingle.model.verdicts import Assessment, ZoneVerdict
from ingle.reports.flaw_cost import with_money
from ingle.reports.flaw_text import cause_lines
from ingle.reports.tariff_clock import with_tariff_clock
from ingle.reports.wants import records
from ingle.store.columns import (
    ENERGY_IS_BITS,
    ENERGY_IS_COMPUTED,
    OPENING_BITS,
    OPENING_OPEN,
    chunks,
    span,
)
from ingle.store.readings import SCALES
from ingle.verdict.balance import LONGEST_DAYS
from ingle.verdict.rooms import assess_rooms
from ingle.verdict.series import Columns

#: What each kind of source is asked for; a heater's sun and wind would be somebody else's.
_ASKED: Final[dict[str, tuple[str, ...]]] = {
    "heater": ("power_w", "energy_wh", "voltage_v", "temp_c", "setpoint_c", "humidity_percent"),
    "sensor": ("temp_c", "humidity_percent", "irradiance_w_per_m2", "wind_m_per_s"),
    "outdoor": ("temp_c", "irradiance_w_per_m2", "wind_m_per_s"),
}
#: Without a start the newest year is looked at [ms].
_YEAR_MS: Final = min(365, LONGEST_DAYS) * 86_400_000
_EVER_MS: Final = 2**62

Table = Callable[[Sequence[str], Sequence[Sequence[str]]], str]


def assess(
    conn: sqlite3.Connection,
    house: House,
    design: Design,
    start: datetime | None = None,
    end: datetime | None = None,
    zones: Sequence[str] | None = None,
    *,
    fit: bool = False,
) -> Assessment:
    """Return the verdicts of a house over a span, by default all readings up to a year back from the newest.

    Raises
    ------
    Unknown
        Where ``zones`` names one that the house does not have.
    """
    for name in zones or ():
        if house.zone(name) is None:
            known = ", ".join(zone.id for zone in house.zones)
            raise Unknown(f"zone {name!r} is not in this house; it has: {known}")
    start_ms, end_ms = _span(conn, start, end)
    assessed = assess_rooms(
        house,
        design,
        links(house),
        lambda source: columns(conn, source, start_ms, end_ms),
        start_ms / 1000,
        end_ms / 1000,
        zones=zones or (),
        fit=fit,
        records=records(conn, house, start_ms, end_ms),
    )
    return with_money(conn, house, with_tariff_clock(conn, house, assessed, end_ms))


def _span(conn: sqlite3.Connection, start: datetime | None, end: datetime | None) -> tuple[int, int]:
    """Return the first and last time to look at: as asked, drawn in to what there is [ms]."""
    first = -_EVER_MS if start is None else to_ms(start)
    last = _EVER_MS if end is None else to_ms(end)
    found = span(conn, start_ms=first, end_ms=last)
    if found is None:
        known = [each for each in (start, end) if each is not None]
        return (to_ms(known[0]), to_ms(known[-1])) if known else (0, 0)
    return (max(found[0], found[1] - _YEAR_MS) if start is None else found[0], found[1])


def columns(conn: sqlite3.Connection, source: Source, start_ms: int, end_ms: int) -> Columns:
    """Return a source's readings as columns, read week by week so that few rows are in memory at once."""
    names = _ASKED.get(source.kind, _ASKED["sensor"])
    parts = [
        np.array(rows, dtype=np.float64) for rows in chunks(conn, source, names, start_ms=start_ms, end_ms=end_ms + 1)
    ]
    table = np.concatenate(parts) if parts else np.empty((0, 2 + len(names)))
    flags = table[:, 1].astype(np.int64)
    values = {name: table[:, 2 + place] / SCALES[name] for place, name in enumerate(names)}
    if source.kind == "sensor" and (opening := flags & OPENING_BITS).any():
        values["opening"] = np.where(opening == OPENING_OPEN, 1.0, np.where(opening > 0, 0.0, np.nan))
    return Columns(
        t_s=table[:, 0] / 1000,
        computed=(flags & ENERGY_IS_BITS) == ENERGY_IS_COMPUTED,
        values=values,
    )


def links(house: House) -> dict[tuple[str, str], float]:
    """Return the surveyed conductances between rooms [W/K], keyed by the two ids in order."""
    found: dict[tuple[str, str], float] = {}
    for zone in house.zones:
        for piece in room(house, zone).pieces:
            other = piece.there.zone_id
            # A party element is mirrored into both rooms; the first by name counts it.
            if piece.link and zone.id < other:
                pair = (zone.id, other)
                found[pair] = found.get(pair, 0.0) + piece.area_m2 * piece.u.value
    return found


def has_finding(assessment: Assessment) -> bool:
    """Whether a person should look at something."""
    return any(
        zone.verdict in {"loses-more", "loses-less"}
        or zone.causes
        or zone.findings
        or (zone.moisture is not None and zone.moisture.verdict == "risk")
        for zone in assessment.zones
    )


def summary(assessment: Assessment, table: Table) -> str:
    """Return an assessment as text for a person."""
    headers = ("zone", "design W/K", "metered W/K", "95 %", "days", "verdict", "sure", "metered kWh", "expected")
    rows = [_row(zone) for zone in assessment.zones]
    span = f"{_day(assessment.start)} to {_day(assessment.end)}"
    title = f"{'no readings yet' if assessment.start == assessment.end else span}, design {assessment.design_version}"
    parts = [title, table(headers, rows), *(_words(zone) for zone in assessment.zones)]
    return "\n\n".join(part for part in parts if part)


def _row(zone: ZoneVerdict) -> tuple[str, ...]:
    between = "-"
    if zone.low_w_per_k is not None and zone.high_w_per_k is not None:
        between = f"{zone.low_w_per_k:.1f} to {zone.high_w_per_k:.1f}"
    return (
        zone.id,
        _number(zone.design_w_per_k, 1),
        _number(zone.measured_w_per_k, 1),
        between,
        str(zone.days_used),
        zone.verdict,
        "-" if zone.probability is None else f"{min(zone.probability, 0.999):.1%}",
        _number(zone.metered_kwh, 0),
        _number(zone.expected_kwh, 0),
    )


def _words(zone: ZoneVerdict) -> str:
    lines = [*_comparisons(zone), *(line for cause in zone.causes for line in cause_lines(cause))]
    for finding in zone.findings:
        lines += [f"  {finding.code}: {finding.sentence}", f"    Next: {finding.check_next}"]
    if zone.moisture is not None:
        lines.append(f"  mould {zone.moisture.verdict}: {zone.moisture.sentence}")
        lines += [f"    Next: {zone.moisture.check_next}"] if zone.moisture.check_next else []
    lines += [f"  missing: {sentence}" for sentence in zone.missing]
    if zone.possible_from is not None:
        lines.append(f"  possible from {zone.possible_from}")
    return "\n".join([zone.id, *lines]) if lines else ""


def _comparisons(zone: ZoneVerdict) -> list[str]:
    """Return in sentences what the house's other rooms and the room's own past say, where they say something."""
    lines = []
    beside, past = zone.against_house, zone.against_past
    if beside is not None and beside.verdict in {"loses-more", "loses-less"}:
        lines.append(
            f"  beside the house's other rooms it takes {beside.ratio:.2f} times what it should "
            f"(95 %: {beside.low:.2f} to {beside.high:.2f})"
        )
    if past is not None:
        lines.append(
            f"  changed on {past.since}: {past.before_w_per_k:.1f} W/K before, {past.after_w_per_k:.1f} W/K since "
            f"(times {past.low:.2f} to {past.high:.2f})"
        )
    return lines


def _number(value: float | None, digits: int) -> str:
    return "-" if value is None else f"{value:,.{digits}f}"


def _day(instant: str) -> str:
    return datetime.fromisoformat(instant).date().isoformat()
