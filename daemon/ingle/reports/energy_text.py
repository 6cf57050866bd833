"""Energy as text for a person, and as CSV: by heater, day by day, two periods side by side."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from ingle.model.days import Comparison, EnergyDays, Period
from ingle.reports.cost_text import csv_text, kwh, missing_text
from ingle.reports.energy import Energy

Table = Callable[[Sequence[str], Sequence[Sequence[str]]], str]


def energy_text(energy: Energy, table: Table) -> str:
    """Return what each zone and heater used."""
    rows = []
    for zone in energy.zones:
        heaters = [each for each in energy.heaters if each.zone == zone.zone]
        rows.append((zone.zone, "", kwh(zone.energy_wh), zone.quality or "-"))
        if len(heaters) > 1:
            rows += [("", each.heater, kwh(each.energy_wh), each.quality or "-") for each in heaters]
    rows.append(("total", "", kwh(energy.total_wh), energy.quality or "-"))
    title = f"{energy.start:%Y-%m-%d %H:%M} to {energy.end:%Y-%m-%d %H:%M}"
    said = f"missing: nothing is known of {', '.join(energy.missing)}" if energy.missing else ""
    return "\n\n".join(part for part in (title, table(("zone", "heater", "kWh", "quality"), rows), said) if part)


def days_text(days: EnergyDays, table: Table) -> str:
    """Return energy day by day beside how cold each was."""
    rows = [
        (
            day.date,
            kwh(day.energy_wh),
            "-" if day.outdoor_c is None else f"{day.outdoor_c:.1f}",
            "-" if day.degree_days_kd is None else f"{day.degree_days_kd:.1f}",
            day.quality or "-",
            "" if day.hours == 24 else f"{day.hours:g} h",
        )
        for day in days.days
    ]
    headers = ("day", "kWh", "°C outdoors", f"K·d below {days.base_c:g}", "quality", "")
    return "\n\n".join(part for part in (table(headers, rows), missing_text(days.missing)) if part)


def comparison_text(found: Comparison, table: Table) -> str:
    """Return two periods side by side."""
    rows = [_row("this", found.period), _row("with", found.other)]
    headers = ("period", "from", "to", "days", "kWh", "kWh/d", "K·d", "kWh/(K·d)", "quality")
    said = [found.sentence, found.per_day.sentence, found.per_degree_day.sentence]
    return "\n\n".join(part for part in (table(headers, rows), "\n".join(said), missing_text(found.missing)) if part)


def _row(name: str, period: Period) -> tuple[str, ...]:
    return (
        name,
        f"{period.start:%Y-%m-%d}",
        f"{period.end:%Y-%m-%d}",
        str(period.days),
        _number(period.kwh, 1),
        _number(period.kwh_per_day, 2),
        _number(period.degree_days_kd, 1),
        _number(period.kwh_per_degree_day, 3),
        period.quality or "-",
    )


def _number(value: float | None, digits: int) -> str:
    return "-" if value is None else f"{value:,.{digits}f}"


def days_csv(days: EnergyDays) -> str:
    """Return energy as CSV, a row for each day and zone; empty where nothing is known."""
    rows = [
        (day.date, zone.zone, None if zone.energy_wh is None else round(zone.energy_wh, 3), zone.quality)
        for day in days.days
        for zone in day.zones
    ]
    return csv_text(("date", "zone", "energy_wh", "quality"), rows)
