"""A design as text: a row a room, the total, what is odd; and the sheet of one room, line by line."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from ingle.errors import Unknown
from ingle.model.design import Design, UncertainInput, Working, ZoneDesign

# A figure from here on is shown without decimals.
_WHOLE_FROM = 20
Table = Callable[[Sequence[str], Sequence[Sequence[str]]], str]

_HEADERS = (
    "zone",
    "°C",
    "fabric W/K",
    "bridges W/K",
    "air W/K",
    "sum W/K",
    "in use W/K",
    "reheat W",
    "load W",
    "95 % W",
)
_BESIDE = ("zone", "W/m²", "usual", "W/K per m²", "usual", "by thumb W", "measure first", "95 % W then")
_METHODS = {
    "en12831": "EN 12831-1 (0.34 nV, ground 1.45 x U on the annual mean)",
    "domestic": "the domestic method (0.33 nV, ground at the full difference)",
}


def chosen(design: Design, zone_ids: Sequence[str]) -> tuple[ZoneDesign, ...]:
    """Return the zones of these ids in their order, or all.

    Raises
    ------
    Unknown
        Where the house has no zone of an id.
    """
    if not zone_ids:
        return design.zones
    return tuple(_zone(design, zone_id) for zone_id in dict.fromkeys(zone_ids))


def _zone(design: Design, zone_id: str) -> ZoneDesign:
    zone = design.zone(zone_id)
    if zone is None:
        known = ", ".join(each.id for each in design.zones) or "none"
        raise Unknown(f"no zone is called {zone_id}; this house has: {known}")
    return zone


def summary(design: Design, table: Table) -> str:
    """Return the house as a table with its total and its warnings.

    ``table`` lays out headers and rows.
    """
    return "\n".join(_summary(design, table))


def _summary(design: Design, table: Table) -> Iterator[str]:
    yield _heading(design)
    yield ""
    yield table(_HEADERS, [_row(zone) for zone in design.zones])
    yield ""
    said = "every room's air counted in full, flows between rooms left out"
    yield f"total {design.total_w:.0f} W{_total_band(design)}, {said}"
    if design.one_source_w is not None and len(design.zones) > 1:
        yield (
            f"one source for all of them {design.one_source_w:.0f} W, half of their air at once "
            "(EN 12831-1:2017, table B.5)"
        )
    if design.year is not None:
        kwh = design.year
        yield f"heat in a year {kwh.mid_kwh:.0f} kWh, 95 % {kwh.low_kwh:.0f} to {kwh.high_kwh:.0f} kWh"
    for space in design.spaces:
        yield f"{space.name} ({space.id}), unheated: {space.temperature_c:.1f} °C by its heat balance"
    yield ""
    yield "Beside what is usual, and beside the rule of thumb, which sees the floor area alone and recommends nothing:"
    yield ""
    yield table(_BESIDE, [_beside(zone) for zone in design.zones])
    warnings = [(zone.id, warning) for zone in design.zones for warning in zone.warnings]
    if warnings or design.notes:
        yield ""
        yield from (f"{zone_id}: {warning}" for zone_id, warning in warnings)
        yield from design.notes


def _beside(zone: ZoneDesign) -> list[str]:
    """Return a room's row of comparisons; one without a temperature difference has none."""
    cells = [zone.id]
    for each, decimals in zip(zone.beside[:2], (0, 2), strict=False):
        cells += [f"{each.value:.{decimals}f}", f"{each.low:g} to {each.high:g}"]
    cells += [f"{each.low:.0f} to {each.high:.0f}" for each in zone.beside[2:]]
    cells += ["-"] * (len(_BESIDE) - 2 - len(cells))
    return [*cells, *_first(zone)]


def _first(zone: ZoneDesign) -> list[str]:
    """Return the input to measure first and the band that would be left, dashes where there is none to narrow."""
    first = next((each for each in zone.inputs if each.kind != "measured" and (each.down_w or each.up_w)), None)
    if first is None:
        return ["-", "-"]
    left = f"{first.low_w:.0f} to {first.high_w:.0f}"
    return [first.name, f"{first.low_w:.0f}" if round(first.low_w) == round(first.high_w) else left]


def _heading(design: Design) -> str:
    return f"Design {design.design_version} by {_METHODS[design.method]}, {design.outdoor_design_c:g} °C outside"


def _row(zone: ZoneDesign) -> list[str]:
    return [
        zone.id,
        f"{zone.design_c:g}",
        f"{zone.fabric_w_per_k:.1f}",
        f"{zone.bridges_w_per_k:.1f}",
        f"{zone.ventilation_w_per_k:.1f}",
        f"{zone.heat_loss_w_per_k:.1f}",
        f"{zone.in_use_w_per_k:.1f}",
        f"{zone.reheat_w:.0f}",
        f"{zone.heat_loss_w:.0f}",
        _band(zone),
    ]


def _band(zone: ZoneDesign) -> str:
    """Return the band of the load, or a dash where no input has limits."""
    return "-" if zone.low_w == zone.high_w else f"{zone.low_w:.0f} to {zone.high_w:.0f}"


def _total_band(design: Design) -> str:
    """Return the band of a total of several rooms; that of one room stands in its row."""
    low, high = design.total_low_w, design.total_high_w
    if low is None or high is None or low == high or len(design.zones) == 1:
        return ""
    return f", 95 % {low:.0f} to {high:.0f} W"


def sheet(design: Design, zone: ZoneDesign) -> str:
    """Return the working of one room, a line of result and a line of inputs for each step."""
    return "\n".join(_sheet(design, zone))


def _sheet(design: Design, zone: ZoneDesign) -> Iterator[str]:
    yield f"{zone.name} ({zone.id}), {zone.design_c:g} °C inside"
    yield _heading(design)
    yield ""
    width = max((len(line.item) for line in zone.working), default=0)
    for line in zone.working:
        yield from _line(line, width)
    yield ""
    installed = f", {zone.installed_w:.0f} W of heaters installed" if zone.installed_w else ""
    band = "" if zone.low_w == zone.high_w else f", 95 % {_band(zone)} W"
    yield f"load {zone.heat_loss_w:.0f} W{band}{installed}"
    yield from _comparisons(zone)
    yield from _known(zone)
    if zone.warnings:
        yield ""
        yield from zone.warnings


def _comparisons(zone: ZoneDesign) -> Iterator[str]:
    """Yield the room's figures beside what is usual, each with the source of the range."""
    if zone.beside:
        yield ""
    for each in zone.beside:
        if each.sentence:
            yield f"{each.sentence} [{each.source}]"
        else:
            usual = f"{each.standing} the usual {each.low:g} to {each.high:g}"
            yield f"{each.value:.{0 if each.value >= _WHOLE_FROM else 2}f} {each.unit}, {usual} [{each.source}]"


def _known(zone: ZoneDesign) -> Iterator[str]:
    """Yield how each input is known and what it moves, what would narrow the band most first."""
    if not zone.inputs:
        return
    yield ""
    yield "How the inputs are known, what would narrow the band most first:"
    names = [_place(zone, each) for each in zone.inputs]
    width = max(len(name) for name in names)
    for name, each in zip(names, zone.inputs, strict=True):
        yield f"  {name:<{width}}  {each.kind:<8}  {_moves(each)}"
    if zone.measure_first:
        yield zone.measure_first


def _place(zone: ZoneDesign, each: UncertainInput) -> str:
    return each.name if each.zone in {zone.id, None} else f"{each.name} ({each.zone})"


def _moves(each: UncertainInput) -> str:
    if each.low is None and each.high is None:
        tenth = "" if each.tenth_w is None else f"; a tenth of it is {abs(each.tenth_w):.0f} W"
        return f"no range{tenth}"
    value = "" if each.value is None else f"{each.value:g}, "
    ends = " to ".join("?" if end is None else f"{end:g}" for end in (each.low, each.high))
    return f"{value}{ends}: -{each.down_w:.0f}/+{each.up_w:.0f} W, left {each.low_w:.0f} to {each.high_w:.0f} W"


def _line(line: Working, width: int) -> Iterator[str]:
    yield f"{line.item:<{width}}  {line.value:>10.{_decimals(line)}f} {line.unit:<9}  {line.formula}  [{line.source}]"
    if line.inputs:
        inputs = ", ".join(f"{key} {_shown(value)}" for key, value in line.inputs.items())
        yield f"{'':<{width}}  {inputs}"


def _decimals(line: Working) -> int:
    """Return how many decimals a unit deserves: a U-value three, a conductance two, watts none."""
    return {"W": 0, "W/K": 2}.get(line.unit, 3)


def _shown(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value:.4g}" if abs(value) < 1000 else f"{value:.0f}"
