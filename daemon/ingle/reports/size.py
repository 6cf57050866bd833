"""Heaters for a room and the circuits of a house: asked for by name, and as text for people."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

import msgspec

from ingle.config.request import fault
from ingle.design import design_house
from ingle.design.circuits import circuits_of
from ingle.design.options import zone_options
from ingle.errors import BadInput, Unknown
from ingle.model.circuits import CircuitCheck, Circuits, PlaceCheck
from ingle.model.house import House
from ingle.model.options import HeaterOption, Running, Wishes, ZoneOptions
from ingle.model.ways import Band

Table = Callable[[Sequence[str], Sequence[Sequence[str]]], str]


def wishes(given: Mapping[str, str]) -> Wishes:
    """Return what a person wishes, from words.

    Raises
    ------
    BadInput
        Naming the wish and what is allowed.
    """
    try:
        return msgspec.convert(dict(given), Wishes, strict=False)
    except msgspec.ValidationError as error:
        raise BadInput([fault(str(error), dict(given), Wishes)]) from None


def options(house: House, zone_id: str, wished: Wishes) -> ZoneOptions:
    """Return the options of a zone.

    Raises
    ------
    Unknown
        Where the house has no such zone.
    BadInput
        Where the wishes contradict each other.
    """
    zone = house.zone(zone_id)
    if zone is None:
        known = ", ".join(each.id for each in house.zones) or "none"
        raise Unknown(f"no zone is called {zone_id}; this house has: {known}")
    return zone_options(house, design_house(house, zone_id), zone, wished)


def circuits(house: House) -> Circuits:
    """Return the circuits of a house."""
    return circuits_of(house)


def findings(found: ZoneOptions | Circuits) -> bool:
    """Return whether a circuit fails or a heater may not stand where it stands."""
    checks = found.circuits if isinstance(found, ZoneOptions) else (*found.circuits, *found.supply)
    return any(each.verdict == "over" for each in checks) or any(each.verdict == "blocked" for each in found.heaters)


def text(found: ZoneOptions | Circuits, table: Table) -> str:
    """Return either as text; ``table`` lays out headers and rows."""
    lines = _options(found, table) if isinstance(found, ZoneOptions) else _circuits(found, table)
    return "\n".join(lines)


def _options(found: ZoneOptions, table: Table) -> Iterator[str]:
    yield f"{found.name} ({found.zone}), design {found.design_version}"
    band = "" if found.low_w == found.high_w else f" (95 % {found.low_w:.0f} to {found.high_w:.0f} W)"
    yield (
        f"load {found.load_w:.0f} W{band}, {found.load_w_per_m2:.0f} W/m², at {found.voltage_v:g} V; "
        f"{found.heaters_for_spread} or more heaters spread it well"
    )
    for warning in found.warnings:
        yield f"! {warning}"
    rows = [("", option) for option in found.options]
    if found.installed is not None:
        rows.append(("installed: ", found.installed))
    if rows:
        yield ""
        yield table(_headers(found), [_row(label, option) for label, option in rows])
        yield _days(rows[0][1])
        yield ""
        for label, option in rows:
            yield from _about(label, option)
    yield from _ways(found, table)
    yield from _local(found)
    yield from _below(found.circuits, found.heaters, found.cautions, table)


def _ways(found: ZoneOptions, table: Table) -> Iterator[str]:
    yield ""
    yield f"A year of heat: {_band(found.year.kwh, 0)} kWh (95 %, low - mid - high)"
    yield from (f"  {line}" for line in found.year.assumptions)
    yield ""
    currency = next((way.currency for way in found.ways if way.currency), "money")
    rows = [
        [
            way.kind,
            "-" if way.kwh is None else _band(way.kwh, 0),
            "-" if way.money is None else _band(way.money, 2),
        ]
        for way in found.ways
    ]
    yield table(["way of heating", "kWh bought in a year", f"{currency} in a year, with tax"], rows)
    for way in found.ways:
        yield f"{way.kind}:"
        yield from (f"  needs: {line}" for line in way.needs)
        yield from (f"  assumed: {line}" for line in way.assumptions)
        yield from (f"  missing: {line}" for line in way.missing)


def _local(found: ZoneOptions) -> Iterator[str]:
    if found.local_rules:
        yield ""
        for rule in found.local_rules:
            yield f"local rule, as of {rule.as_of} ({rule.source}): {rule.says}"


def _band(band: Band, decimals: int) -> str:
    return " - ".join(f"{each:.{decimals}f}" for each in (band.low, band.mid, band.high))


def _headers(found: ZoneOptions) -> list[str]:
    return [
        "heaters",
        "W",
        "margin",
        f"W at {found.weak_voltage_v:.0f} V",
        "A",
        "design day on",
        "warm-up",
        "ordinary day on",
        "per h",
        "warm-up",
        "off, kWh/yr",
    ]


def _row(label: str, option: HeaterOption) -> list[str]:
    return [
        f"{label}{option.label}",
        "not claimed" if option.output_w is None else f"{option.output_w:.0f}",
        f"{-option.shortfall_w:.0f} W" if option.shortfall_w else f"{option.margin_percent:+.1f} %",
        "not claimed" if option.weak_output_w is None else f"{option.weak_output_w:.0f}",
        f"{option.current_a:.1f}",
        *_running(option.design_day),
        _running(option.ordinary_day)[0],
        f"{option.ordinary_day.switchings_per_h:.0f}",
        _running(option.ordinary_day)[1],
        f"{option.standing_kwh_per_year:.0f}",
    ]


def _running(run: Running) -> tuple[str, str]:
    return f"{run.duty_percent:.1f} %", "never" if run.warm_up_h is None else f"{run.warm_up_h:.1f} h"


def _days(option: HeaterOption) -> str:
    days = (("design day", option.design_day), ("ordinary day", option.ordinary_day))
    said = (
        f"{name} {run.outdoor_c:g} °C outside, {run.room_c:g} °C held, warm-up {run.warm_up_from_c:g} to "
        f"{run.warm_up_to_c:g} °C"
        for name, run in days
    )
    return f"{'; '.join(said)}; per h: times switched on"


def _about(label: str, option: HeaterOption) -> Iterator[str]:
    yield f"{label}{option.label}{': ' if option.spread else ''}{', '.join(option.spread)}"
    capped = option.design_day.warm_up_capped_h or option.ordinary_day.warm_up_capped_h
    if capped is not None:
        yield f"  held to the supply's cap: {_hours(option.ordinary_day.warm_up_capped_h)} on an ordinary day"
    yield from (f"  - {note}" for note in option.notes)


def _hours(hours: float | None) -> str:
    return "no end of the warm-up" if hours is None else f"warm-up in {hours:.1f} h"


def _circuits(found: Circuits, table: Table) -> Iterator[str]:
    yield f"Circuits at {found.voltage_v:g} V"
    yield from _below((*found.circuits, *found.supply), found.heaters, (), table)
    if found.without_circuit:
        yield ""
        yield f"On no circuit of the file: {', '.join(found.without_circuit)}"
    yield ""
    yield (
        f"With their heat off all heaters draw {found.standing_w:g} W, {found.standing_kwh_per_year:.0f} kWh in a year "
        f"({found.standing.source})"
    )
    yield ""
    yield from found.cautions


def _below(
    checks: Sequence[CircuitCheck], heaters: Sequence[PlaceCheck], cautions: Sequence[str], table: Table
) -> Iterator[str]:
    if checks:
        yield ""
        headers = ["circuit", "connected A", "household A", "guest house A", "held A", "limit A", "verdict"]
        yield table(headers, [_circuit(each) for each in checks])
        yield "held A: what ingle would hold; household and guest house: handbook custom for diversity"
        for each in checks:
            yield f"{each.id}: {each.sum}"
            yield from (f"  - {note}" for note in each.notes)
    told = [each for each in heaters if each.reasons]
    if told:
        yield ""
        for place in told:
            yield from (f"{place.heater}, place {place.verdict}: {reason}" for reason in place.reasons)
    if cautions:
        yield ""
        yield from cautions


def _circuit(check: CircuitCheck) -> list[str]:
    return [
        check.id,
        f"{check.connected_a:.1f}",
        f"{check.household_a:.1f}",
        f"{check.guest_house_a:.1f}",
        f"{check.capped_a:.1f}",
        "not given" if check.limit_a is None else f"{check.limit_a:g}",
        check.verdict,
    ]
