"""A house with its typical values filled in, each as an assumed figure with a range.

What a survey leaves to a table (``typical`` of an element or of what lies beyond it, ``material`` of a layer,
``bridges_typical`` of a zone) becomes an ordinary U-value, factor, conductivity or allowance here, with provenance
``assumed`` and limits, before anything is worked out; so it moves the band and stands on the sheet like any other
guess. Where the year itself is a guess with limits, the range covers all of those years. What the survey itself says
of such a value - how it was come by, its own limits - stands before the table's.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, get_args

from msgspec.structs import replace

from ingle.model.envelope import Element, ElementKind, Space, UnheatedSpace
from ingle.model.envelope import Typical as Piece
from ingle.model.house import House, Zone
from ingle.model.provenance import Provenance
from ingle.physics import typical_u
from ingle.physics.glazing import Glazing, window_u
from ingle.physics.materials import material
from ingle.physics.typical import AGE_BANDS, Typical, age_band, band_years
from ingle.physics.unheated_kinds import unheated_factor

_GLAZINGS: Final = get_args(Glazing)
#: Which constructions a kind of element may have; kinds that are not here have no typical U-value.
CONSTRUCTIONS: Final[dict[ElementKind, tuple[str, ...]]] = {
    "wall": get_args(typical_u.Wall),
    "roof": get_args(typical_u.Roof),
    "floor": ("exposed-floor",),
    "door": ("plain-door", *_GLAZINGS),
    "window": _GLAZINGS,
    "rooflight": _GLAZINGS,
}
U_KEY, BRIDGES_KEY = "u_w_per_m2k", "bridges_w_per_m2k"


def needs_year(piece: Piece) -> bool:
    """Whether a piece's typical value goes by a year."""
    if piece.construction in _GLAZINGS:
        return piece.construction == "double-glazing"
    return not (piece.construction in get_args(typical_u.Roof) and piece.insulation_mm is not None)


def year_of(piece: Piece, around: int | None) -> int | None:
    """Return the year that a piece goes by, ``around`` being its zone's.

    Glazing is never as old as its house, and a loft or thatch with its insulation seen goes by that alone.
    """
    if piece.construction in {"loft", "thatch"} and piece.insulation_mm is not None:
        return None
    return piece.built if piece.built is not None or piece.construction in _GLAZINGS else around


def filled(house: House) -> House:
    """Return the house with a U-value for every element that has a typical one, and typical bridges.

    A house that is filled already, or has nothing to fill, comes back as it is.
    """
    zones = tuple(_filled_zone(house, zone) for zone in house.zones)
    spaces = tuple(_filled_space(house, space) for space in house.spaces)
    pairs = [*zip(zones, house.zones, strict=True), *zip(spaces, house.spaces, strict=True)]
    same = all(new is old for new, old in pairs)
    return house if same else replace(house, zones=zones, spaces=spaces)


def _filled_space(house: House, space: UnheatedSpace) -> UnheatedSpace:
    built, others = house.built(space), _other_years(house, space)
    elements = tuple(_filled_element(element, built, others) for element in space.elements)
    same = all(new is old for new, old in zip(elements, space.elements, strict=True))
    return space if same else replace(space, elements=elements)


def _filled_zone(house: House, zone: Zone) -> Zone:
    built, others = house.built(zone), _other_years(house, zone)
    elements = tuple(_filled_element(element, built, others) for element in zone.elements)
    if any(new is not old for new, old in zip(elements, zone.elements, strict=True)):
        zone = replace(zone, elements=elements)
    for place, stream in enumerate(zone.air):
        source = _with_factor(stream.source)
        if source is not stream.source:
            air = (*zone.air[:place], replace(stream, source=source), *zone.air[place + 1 :])
            provenance = _factor_known(zone.provenance, f"air.{place + 1}.from.factor", source)
            zone = replace(zone, air=air, provenance=provenance)
    if zone.bridges_typical and zone.bridges_w_per_m2k is None and built is not None:
        value = _over(typical_u.bridges_y, built, others)
        provenance = _limited(zone.provenance, BRIDGES_KEY, value, f"thermal bridges, {_years(built)}")
        zone = replace(zone, bridges_w_per_m2k=value.value, provenance=provenance)
    return zone


def _other_years(house: House, zone: Zone | UnheatedSpace) -> tuple[int, ...]:
    """Return the first year of each other band in which a zone's fabric may have been built, by its provenance."""
    holder = house.site if zone.built is None else zone
    year, guess = holder.built, holder.provenance.get("built")
    if year is None or guess is None:
        return ()
    low = int(year if guess.low is None else guess.low)
    high = int(year if guess.high is None else guess.high)
    return (low, *(first for _, first in AGE_BANDS if low < first <= high))


def _over(look_up: Callable[[int], Typical], year: int, others: tuple[int, ...]) -> Typical:
    """Return the typical value of a year, its range widened to those of the other years that it may be of."""
    values = [look_up(each) for each in (year, *others)]
    low, high = min(each.low for each in values), max(each.high for each in values)
    return values[0]._replace(low=low, high=high)


def _filled_element(element: Element, around: int | None, others: tuple[int, ...]) -> Element:
    beyond = _with_factor(element.beyond)
    if beyond is not element.beyond:
        provenance = _factor_known(element.provenance, "beyond.factor", beyond)
        element = replace(element, beyond=beyond, provenance=provenance)
    if element.layers:
        return _with_conductivities(element)
    piece = element.typical
    if piece is None or element.u_w_per_m2k is not None:
        return element
    year = year_of(piece, around)
    if year is None and needs_year(piece):
        return element
    if year is None or year == piece.built:
        value = _value(element.kind, piece, year)
    else:
        value = _over(lambda each: _value(element.kind, piece, each), year, others)
    provenance = _limited(element.provenance, U_KEY, value, _words(piece, year))
    return replace(element, u_w_per_m2k=value.value, typical=replace(piece, built=year), provenance=provenance)


def _with_factor(beyond: str | Space) -> str | Space:
    """Return what lies beyond with the factor of a kind of unheated space; itself where there is none to look up."""
    if isinstance(beyond, str) or beyond.typical is None or beyond.factor is not None:
        return beyond
    return replace(beyond, factor=unheated_factor(beyond.typical).value)


def _factor_known(given: dict[str, Provenance], key: str, beyond: str | Space) -> dict[str, Provenance]:
    kind = "" if isinstance(beyond, str) else beyond.typical or ""
    return _limited(given, key, unheated_factor(kind), kind.replace("-", " "))


def _with_conductivities(element: Element) -> Element:
    """Return an element with the conductivity of every layer that names a material, assumed within its range."""
    layers, provenance = list(element.layers), element.provenance
    for place, layer in enumerate(element.layers):
        row = None if layer.material is None or layer.conductivity is not None else material(layer.material)
        if row is not None:
            layers[place] = replace(layer, conductivity=row.conductivity)
            value = Typical(row.conductivity, row.low, row.high, row.source)
            provenance = _limited(provenance, f"layers.{place + 1}.lambda", value, layer.material or "")
    return element if layers == list(element.layers) else replace(element, layers=tuple(layers), provenance=provenance)


def _value(kind: ElementKind, piece: Piece, year: int | None) -> Typical:
    """Return the typical value of a piece; ``year`` is there wherever ``needs_year`` says so."""
    if piece.construction in _GLAZINGS:
        in_roof = kind == "rooflight"
        return window_u(piece.construction, installed=year, gap_mm=piece.gap_mm, frame=piece.frame, in_roof=in_roof)
    if piece.construction in get_args(typical_u.Roof):
        return typical_u.roof_u(piece.construction, built=year, insulation_mm=piece.insulation_mm)
    built = year or 0
    if piece.construction == "exposed-floor":
        return typical_u.exposed_floor_u(built, insulation_mm=piece.insulation_mm)
    if piece.construction == "plain-door":
        return typical_u.door_u(built)
    added = piece.insulation_mm or 0.0
    return typical_u.wall_u(piece.construction, built, insulation_mm=added, thickness_mm=piece.thickness_mm)


def _limited(given: dict[str, Provenance], key: str, value: Typical, words: str) -> dict[str, Provenance]:
    """Return provenance with the table's limits for one key, unless the survey has limits of its own."""
    own = given.get(key)
    if own is None:
        note = f"typical of {words}; {value.source}"
        return given | {key: Provenance(kind="assumed", low=value.low, high=value.high, note=note)}
    if own.low is None and own.high is None:
        return given | {key: replace(own, low=value.low, high=value.high)}
    return given


def _words(piece: Piece, year: int | None) -> str:
    parts = [piece.construction.replace("-", " ")]
    if piece.thickness_mm is not None:
        parts.append(f"{piece.thickness_mm:g} mm thick")
    if piece.insulation_mm is not None:
        parts.append(f"{piece.insulation_mm:g} mm insulation")
    if year is not None:
        parts.append(f"put in {year}" if piece.construction in _GLAZINGS else _years(year))
    return ", ".join(parts)


def _years(year: int) -> str:
    return f"built {band_years(age_band(year))}"
