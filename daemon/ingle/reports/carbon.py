"""What a span's energy comes to in carbon: each local year's energy at that year's factor, and nothing without one."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from ingle.config.carbon import read_factors
from ingle.control.programme import instant
from ingle.errors import BadInput, Fault, Unreachable
from ingle.model.carbon import Carbon, Factors, YearCarbon, ZoneCarbon
from ingle.model.house import House
from ingle.model.instants import from_ms, to_ms
from ingle.reports.energy import plain
from ingle.reports.use import Part, Use, summed, uses

Table = Callable[[Sequence[str], Sequence[Sequence[str]]], str]

_NO_FILE = 'No factor file is named in the settings (carbon = "FILE"), so no carbon is shown.'


def factors_of(path: Path | None) -> tuple[Factors | None, tuple[str, ...]]:
    """Return the factors of a file as it is now; None and why, where there are none to go by.

    The file is somebody's of the house, not of whoever asks, so its faults are told and not raised.
    """
    if path is None:
        return None, (_NO_FILE,)
    try:
        return read_factors(path), ()
    except Unreachable as error:
        return None, (f"{error}; so no carbon is shown.",)
    except BadInput as error:
        return None, (*map(str, error.faults), "The factor file has faults, so no carbon is shown.")


def carbon(
    conn: sqlite3.Connection,
    house: House,
    start: datetime,
    end: datetime,
    factors: Factors | None,
    why_none: tuple[str, ...] = (),
) -> Carbon:
    """Return what the heaters' energy over a span comes to.

    Raises
    ------
    BadInput
        Where the span does not end after its start.
    """
    if not start < end:
        raise BadInput([Fault(("to",), end.isoformat(), f"an instant after from ({start.isoformat()})")])
    edges = _edges(start, end, ZoneInfo(house.site.timezone))
    used = uses(conn, house, edges)
    known = {} if factors is None else {factor.year: factor.kg_per_kwh for factor in factors.factors}
    of_year = [from_ms(edge).astimezone(ZoneInfo(house.site.timezone)).year for edge in edges[:-1]]
    years = tuple(
        _year(year, summed(use.parts[place] for use in used), known.get(year)) for place, year in enumerate(of_year)
    )
    whole = summed(part for use in used for part in use.parts)
    return Carbon(
        start=start,
        end=end,
        name=None if factors is None else factors.name,
        region=None if factors is None else factors.region,
        source=None if factors is None else factors.source or None,
        energy_wh=plain(whole.energy_wh),
        kg=plain(_added([year.kg for year in years])),
        quality=whole.quality,
        years=years,
        zones=tuple(_zones(house, used, of_year, known)),
        missing=(*why_none, *_missing(years, factors)),
    )


def _edges(start: datetime, end: datetime, timezone: ZoneInfo) -> list[int]:
    """Return a span's ends with the local new years between them [ms]."""
    first, last = start.astimezone(timezone).year, end.astimezone(timezone).year
    between = [to_ms(instant(date(year, 1, 1), 0, timezone)) for year in range(first + 1, last + 1)]
    return [to_ms(start), *(edge for edge in between if to_ms(start) < edge < to_ms(end)), to_ms(end)]


def _year(year: int, part: Part, kg_per_kwh: float | None) -> YearCarbon:
    kg = _kg(part.energy_wh, kg_per_kwh)
    return YearCarbon(year=year, energy_wh=plain(part.energy_wh), kg_per_kwh=kg_per_kwh, kg=plain(kg))


def _zones(
    house: House, used: Sequence[Use], of_year: Sequence[int], known: Mapping[int, float]
) -> Iterator[ZoneCarbon]:
    names = {zone.id: zone.name for zone in house.zones}
    for zone in dict.fromkeys([*names, *(use.zone for use in used)]):
        own = [use for use in used if use.zone == zone]
        by_year = [summed(use.parts[place] for use in own).energy_wh for place in range(len(of_year))]
        yield ZoneCarbon(
            zone=zone,
            name=names.get(zone, zone),
            energy_wh=plain(_added(by_year)),
            kg=plain(_added([_kg(wh, known.get(year)) for wh, year in zip(by_year, of_year, strict=True)])),
        )


def _kg(energy_wh: float | None, kg_per_kwh: float | None) -> float | None:
    return None if energy_wh is None or kg_per_kwh is None else energy_wh / 1000 * kg_per_kwh


def _added(parts: Sequence[float | None]) -> float | None:
    known = [part for part in parts if part is not None]
    return sum(known) if known else None


def _missing(years: Sequence[YearCarbon], factors: Factors | None) -> Iterator[str]:
    if factors is None:
        return
    for each in years:
        if each.kg_per_kwh is None and each.energy_wh:
            yield f"{factors.name} has no factor for {each.year}: {each.energy_wh / 1000:,.1f} kWh are left out."


def text(found: Carbon, table: Table) -> str:
    """Return it as text for a person."""
    if found.name is None:
        return "\n".join(found.missing)
    rows = [
        [
            str(each.year),
            "-" if each.energy_wh is None else f"{each.energy_wh / 1000:,.1f}",
            "-" if each.kg_per_kwh is None else f"{each.kg_per_kwh:g}",
            "-" if each.kg is None else f"{each.kg:,.1f}",
        ]
        for each in found.years
    ]
    head = f"Carbon by {found.name}, {found.region}{f' ({found.source})' if found.source else ''}"
    return "\n".join([head, table(["year", "kWh", "kg/kWh", "kg CO2e"], rows), *found.missing])
