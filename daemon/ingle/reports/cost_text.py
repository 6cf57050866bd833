"""Costs, bills and their steps as text for a person, and as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence

from ingle.model.bills import BillsShown, BillWhy
from ingle.model.costs import Costs
from ingle.model.tariff_trial import TariffTrial

Table = Callable[[Sequence[str], Sequence[Sequence[str]]], str]


def costs_text(costs: Costs, table: Table, *, days: bool) -> str:
    """Return what a span cost, by zone and heater or day by day."""
    currency = costs.currency or "no tariff"
    title = f"{costs.start:%Y-%m-%d %H:%M} to {costs.end:%Y-%m-%d %H:%M}, {currency}"
    parts = [title, _days(costs, table) if days else _zones(costs, table), _whole(costs, table)]
    return "\n\n".join(part for part in (*parts, missing_text(costs.missing)) if part)


def missing_text(missing: Sequence[str]) -> str:
    """Return what is missing, a line each."""
    return "\n".join(f"missing: {sentence}" for sentence in missing)


def _zones(costs: Costs, table: Table) -> str:
    rows = []
    for zone in costs.zones:
        rows.append((zone.zone, "", *_amounts(zone.energy_wh, zone.units, zone.tax, zone.total), zone.quality or "-"))
        if len(zone.heaters) > 1:
            rows += [
                ("", each.heater, *_amounts(each.energy_wh, each.units, each.tax, each.total), each.quality or "-")
                for each in zone.heaters
            ]
    return table(("zone", "heater", "kWh", "units", "tax", "total", "quality"), rows) if rows else ""


def _days(costs: Costs, table: Table) -> str:
    rows = [(day.date, kwh(day.energy_wh), day.total or "-", day.quality or "-") for day in costs.by_day]
    return table(("day", "kWh", "total", "quality"), rows)


def _whole(costs: Costs, table: Table) -> str:
    rows = [(f"at {rate.per_kwh}", kwh(rate.energy_wh), rate.money) for rate in costs.rates]
    rows += [
        ("units", kwh(costs.energy_wh), costs.units or "-"),
        (f"standing, {costs.days:g} days", "", costs.standing or "-"),
        ("tax", "", costs.tax or "-"),
        ("total", costs.quality or "-", costs.total or "-"),
    ]
    return table(("", "kWh", costs.currency or ""), rows)


def _amounts(energy_wh: float | None, *amounts: str | None) -> tuple[str, ...]:
    return (kwh(energy_wh), *(amount or "-" for amount in amounts))


def bills_text(bills: BillsShown, table: Table) -> str:
    """Return all bills as a table."""
    if not bills.bills:
        return "no bill is entered yet"
    headers = ("bill", "from", "to", "days", "kWh", "a day", "money", "a day", "heaters", "other", "")
    rows = [
        (
            str(bill.number),
            bill.start,
            bill.end,
            str(bill.days),
            f"{bill.kwh:,.1f}",
            f"{bill.kwh_per_day:.1f}",
            f"{bill.money} {bill.currency}" if bill.money else "-",
            bill.money_per_day or "-",
            "-" if bill.heaters_kwh is None else f"{bill.heaters_kwh:,.1f}",
            "-" if bill.other_kwh is None else f"{bill.other_kwh:,.1f}",
            "estimated" if bill.estimated_read else bill.kind,
        )
        for bill in bills.bills
    ]
    said = [f"bill {bill.number}: {sentence}" for bill in bills.bills for sentence in bill.missing]
    return "\n\n".join(part for part in (table(headers, rows), missing_text(said)) if part)


def why_text(why: BillWhy, table: Table) -> str:
    """Return the steps between two bills."""
    title = f"bill {why.to_bill} beside bill {why.from_bill}: {why.sentence}"
    rows: list[tuple[str, str, str, str]] = [
        (step.code, step.money or "-", f"{step.kwh:+.2f}", step.sentence) for step in why.steps
    ]
    rows.append(("difference", why.difference or "-", f"{why.difference_kwh:+.2f}", f"each step is {why.order}"))
    parts = (title, _steps(rows, why.currency or "money", table), missing_text(why.missing))
    return "\n\n".join(part for part in parts if part)


def _steps(rows: Sequence[tuple[str, str, str, str]], currency: str, table: Table) -> str:
    lines = table(("step", currency, "kWh"), [row[:3] for row in rows]).splitlines()
    return "\n".join([lines[0], *(f"{line}   {row[3]}" for line, row in zip(lines[1:], rows, strict=True))])


def trial_text(trial: TariffTrial, table: Table) -> str:
    """Return the same use at several tariffs, the cheapest first."""
    span = f"{trial.start:%Y-%m-%d %H:%M} to {trial.end:%Y-%m-%d %H:%M}"
    title = f"{kwh(trial.energy_wh)} kWh of the {trial.use_from}, {span}, {trial.currency}"
    rows = [
        (
            "own" if each.number == 0 else str(each.number),
            " / ".join(rate.per_kwh for rate in each.rates),
            each.units,
            each.standing,
            each.tax,
            each.total,
            each.more or "-",
            "-" if each.lowest_percent is None else f"{each.lowest_percent:.0f} %",
            "-" if each.lowest_needed_percent is None else f"{each.lowest_needed_percent:.0f} %",
        )
        for each in trial.tariffs
    ]
    headers = ("tariff", "rates", "units", "standing", "tax", "total", "more", "at lowest", "needed")
    parts = (title, table(headers, rows), trial.sentence, missing_text(trial.missing))
    return "\n\n".join(part for part in parts if part)


def costs_csv(costs: Costs, *, days: bool) -> str:
    """Return costs as CSV: a row a heater, or a row a day; empty where nothing is known."""
    if days:
        rows = [(day.date, _wh(day.energy_wh), day.total, day.quality) for day in costs.by_day]
        return csv_text(("date", "energy_wh", "total", "quality"), rows)
    heaters = [
        (zone.zone, each.heater, _wh(each.energy_wh), each.units, each.tax, each.total, each.quality)
        for zone in costs.zones
        for each in zone.heaters
    ]
    return csv_text(("zone", "heater", "energy_wh", "units", "tax", "total", "quality"), heaters)


def csv_text(headers: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    """Return rows as CSV, None as an empty cell.

    >>> csv_text(("zone", "energy_wh"), [("loft", 12.5), ("hall", None)]).splitlines()
    ['zone,energy_wh', 'loft,12.5', 'hall,']
    """
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow(headers)
    writer.writerows(rows)
    return buffer.getvalue()


def _wh(energy_wh: float | None) -> float | None:
    return None if energy_wh is None else round(energy_wh, 3)


def kwh(energy_wh: float | None) -> str:
    """Return energy in kWh for a table.

    >>> kwh(1_234_500.0), kwh(None)
    ('1,234.50', '-')
    """
    return "-" if energy_wh is None else f"{energy_wh / 1000:,.2f}"
