"""U-values, layers and thermal bridges out of the ordinary.

A U that someone measured or saw is questioned only where no such element exists. One that is assumed, or of which
nobody says anything, is also held against what its time built, and against the others of its kind in the house.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from dataclasses import replace as replace_with

from msgspec.structs import replace

from ingle.design import usual
from ingle.design.oddity import Change, Look, Oddity, outlier
from ingle.design.room import Piece
from ingle.design.slips import DECIMAL, LENGTH, PERCENT, THICKNESS, U_VALUE, likely
from ingle.design.usual import Usual
from ingle.model.envelope import Element, ElementKind, Layer
from ingle.model.house import House

# An element so far from all others of its kind is a slip, or a part of another time (own judgement).
_UNLIKE, _ALIKE = 4.5, 1.6
_FEWEST_OTHERS = 2
# What conducts less than this insulates; metal may conduct more than stone, in sheets [mm].
_INSULATION_LAMBDA, _SHEET_MM = 0.065, 20.0
_VOUCHED = frozenset({"measured", "observed"})

Peers = dict[tuple[ElementKind, int | None], list[float]]


@dataclass(slots=True)
class Others:
    """The U-values of a house, by kind of element and year."""

    found: Peers = field(default_factory=lambda: defaultdict(list))

    def without(self, kind: ElementKind, built: int | None, own: float) -> Usual | None:
        """Return the range of the others of a kind, None where there are too few."""
        values = sorted(self.found.get((kind, built), ()))
        if own in values:
            values.remove(own)
        if len(values) < _FEWEST_OTHERS:
            return None
        return Usual(values[0], values[-1], "the house's others")


def others(house: House) -> Others:
    """Collect the U-values that a house's elements are given."""
    result = Others()
    for zone in house.zones:
        for element in zone.elements:
            if element.u_w_per_m2k is not None:
                result.found[element.kind, house.built(zone)].append(element.u_w_per_m2k)
    return result


def fabric(look: Look, all_others: Others) -> Iterator[Oddity]:
    """Yield what is odd in a room's elements and bridges."""
    for piece in look.own:
        layers = list(_layers(look, piece.element))
        yield from layers
        oddity = None if layers else _u_value(look, piece) or _unlike(look, piece, all_others)
        if oddity is not None:
            yield oddity
        yield from _linear(look, piece.element)
    yield from _bridges(look)


def _vouched(element: Element) -> bool:
    origin = element.provenance.get("u_w_per_m2k")
    return element.u_w_per_m2k is None or (origin is not None and origin.kind in _VOUCHED)


def _u_value(look: Look, piece: Piece) -> Oddity | None:
    element = piece.element
    if not piece.u.value:
        return None
    fits = usual.u_value(element.kind, None if _vouched(element) else look.built)
    return outlier(
        "u-value",
        "u_w_per_m2k",
        "U",
        piece.u.value,
        fits,
        U_VALUE,
        _u_of(look, element),
        unit="W/(m²·K)",
        of=f"a {element.kind}{'' if look.built is None or _vouched(element) else f' of {look.built}'}",
        element=element.name,
    )


def _u_of(look: Look, element: Element) -> Change:
    return lambda value: look.u_as(element, value)


def _unlike(look: Look, piece: Piece, all_others: Others) -> Oddity | None:
    element, value = piece.element, piece.element.u_w_per_m2k
    if value is None or _vouched(element):
        return None
    rest = all_others.without(element.kind, look.built, value)
    if rest is None or rest.low / _UNLIKE < value < rest.high * _UNLIKE:
        return None
    slip = likely(value, Usual(rest.low / _ALIKE, rest.high * _ALIKE, rest.source), U_VALUE)
    if slip is None:
        return None
    says = (
        f"U {value:.4g} W/(m²·K) of {element.name} is far from the {rest.words()} of the house's other {element.kind}s"
    )
    unit = "W/(m²·K)"
    return Oddity(
        "u-unlike-others", "u_w_per_m2k", says, value, slip, slip.meant, _u_of(look, element), unit, element.name
    )


def _layers(look: Look, element: Element) -> Iterator[Oddity]:
    for number, layer in enumerate(element.layers, 1):
        subject = f"Layer {number} of {element.name} at"
        if layer.mm is not None:
            insulates = layer.conductivity is not None and layer.conductivity < _INSULATION_LAMBDA
            fits = usual.INSULATION_MM if insulates else usual.LAYER_MM
            change = _layer_of(look, element, layer, "mm")
            key = f"layers.{number}.mm"
            yield from _one(outlier("layer", key, subject, layer.mm, fits, THICKNESS, change, unit="mm"), element)
        if layer.material is None and layer.conductivity is not None and (layer.mm or 0.0) > _SHEET_MM:
            change = _layer_of(look, element, layer, "conductivity")
            key, unit = f"layers.{number}.lambda", "W/(m·K)"
            fits = usual.LAYER_LAMBDA
            odd = outlier("layer", key, subject, layer.conductivity, fits, DECIMAL, change, unit=unit)
            yield from _one(odd, element)

    yield from _air_and_r(look, element)


def _air_and_r(look: Look, element: Element) -> Iterator[Oddity]:
    """Yield air layers and resistances that no wall has."""
    rows = (("air_mm", "mm", usual.AIR_LAYER_MM, THICKNESS), ("r", "m²·K/W", usual.LAYER_R, DECIMAL))
    for number, layer in enumerate(element.layers, 1):
        for key, unit, fits, slips in rows:
            value = getattr(layer, key)
            if value is not None:
                subject, change = f"Layer {number} of {element.name} at", _layer_of(look, element, layer, key)
                odd = outlier("layer", f"layers.{number}.{key}", subject, value, fits, slips, change, unit=unit)
                yield from _one(odd, element)


def _one(oddity: Oddity | None, element: Element) -> Iterator[Oddity]:
    if oddity is not None:
        yield replace_with(oddity, element=element.name)


def _layer_of(look: Look, element: Element, layer: Layer, key: str) -> Change:
    def change(value: float) -> House:
        changed = tuple(replace(each, **{key: value}) if each is layer else each for each in element.layers)
        return look.element_as(element, layers=changed)

    return change


def _linear(look: Look, element: Element) -> Iterator[Oddity]:
    if element.psi_w_per_mk is not None:
        change = look.field_of(element, "psi_w_per_mk")
        subject, fits = f"ψ of {element.name} of", usual.PSI_W_PER_MK
        odd = outlier("bridges", "psi_w_per_mk", subject, element.psi_w_per_mk, fits, DECIMAL, change, unit="W/(m·K)")
        yield from _one(odd, element)


def _bridges(look: Look) -> Iterator[Oddity]:
    zone = look.zone
    percent, supplement = zone.bridges_percent, zone.bridges_w_per_m2k
    found = [
        None
        if percent is None
        else outlier(
            "bridges",
            "bridges_percent",
            "Thermal bridges of",
            percent,
            usual.BRIDGES_PERCENT,
            PERCENT,
            lambda value: look.zone_as(bridges_percent=value),
            unit="% of the fabric",
        ),
        None
        if supplement is None
        else outlier(
            "bridges",
            "bridges_w_per_m2k",
            "Thermal bridges of",
            supplement,
            usual.BRIDGES_W_PER_M2K,
            DECIMAL,
            lambda value: look.zone_as(bridges_w_per_m2k=value),
            unit="W/(m²·K)",
        ),
    ]
    said = [each for each in found if each is not None]
    yield from said or _bridges_share(look)


def _bridges_share(look: Look) -> Iterator[Oddity]:
    """Yield lengths of bridges that add up to more than bridges are of any fabric."""
    room = look.room
    fabric_w_per_k = sum(piece.w_per_k for piece in room.pieces if not piece.link)
    share = 100 * room.bridges_w_per_k / fabric_w_per_k if fabric_w_per_k > 0 else 0.0
    fits = usual.BRIDGES_SHARE_PERCENT
    linear = [piece.element for piece in look.own if piece.linear_w_per_k and not piece.link]
    if share <= fits.high or not linear:
        return
    worst = max(linear, key=lambda each: (each.psi_w_per_mk or 0.0) * (each.psi_length_m or 0.0))
    length = worst.psi_length_m or 0.0
    limit = length * fits.high / share
    says = f"Thermal bridges are {share:.0f} % of the fabric, above the usual {fits.words()}"
    slip = likely(length, Usual(limit / 20, limit, fits.source), LENGTH)
    change = look.field_of(worst, "psi_length_m")
    yield Oddity("bridges", "psi_length_m", says, length, slip, limit, change, f"m of {worst.name}", worst.name)
