"""The U-value of an element, however the survey gives it, with what is needed to check it by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ingle.design.beyond import Behind
from ingle.design.floors import floor_u
from ingle.design.sheet import Figure, origin
from ingle.model.house import Element, Layer
from ingle.physics.air_layers import HeatFlow, air_layer_resistance
from ingle.physics.element import (
    LIMITS_RATIO_MAX,
    R_INSIDE,
    R_OUTSIDE,
    Strip,
    conduction_resistance,
    layered_resistance,
)
from ingle.physics.materials import MATERIALS

# Beyond these a layer conducts as if it were not there, or not at all; they keep the arithmetic finite.
_LEAST_R, _MOST_R = 1e-6, 1e6


def transmittance(element: Element, flow: HeatFlow, there: Behind) -> Figure:
    """Return an element's U [W/(m²·K)] as given, from ISO 13370 or from its layers, with notes on what is unusual."""
    if element.u_w_per_m2k is not None:
        return Figure(element.u_w_per_m2k, "W/(m²·K)", {}, "given", origin(element.provenance.get("u_w_per_m2k")))
    if element.ground is not None:
        return floor_u(element, element.ground)
    if element.layers:
        return _from_layers(element, flow, there)
    return Figure(0.0, "W/(m²·K)", {}, "not given", "survey", (f"{element.name} has no U and adds nothing.",))


@dataclass(frozen=True, slots=True)
class _Laid:
    """A layer ready for ISO 6946: its name on the sheet, its strips, and what is odd about it."""

    name: str
    strips: tuple[Strip, ...]
    note: str = ""


def _from_layers(element: Element, flow: HeatFlow, there: Behind) -> Figure:
    laid = [_laid(number, layer, flow) for number, layer in enumerate(element.layers, 1)]
    r_inside = R_INSIDE[flow]
    r_outside = r_inside if there.inner else 0.0 if there.kind == "ground" else R_OUTSIDE
    total = layered_resistance([each.strips for each in laid], r_inside, r_outside)
    inputs: dict[str, float | str] = {"heat_flow": flow, "r_si": r_inside, "r_se": r_outside}
    inputs |= {f"r {each.name}": _mean_r(each.strips) for each in laid}
    inputs |= {"r_upper": total.upper, "r_lower": total.lower}
    notes = [f"{element.name}: {each.note}" for each in laid if each.note]
    if total.upper > LIMITS_RATIO_MAX * total.lower:
        notes.append(
            f"{element.name}: its bridges are too strong for ISO 6946 (limits {total.upper:.2f} and {total.lower:.2f} "
            "m²K/W); have it computed in two dimensions."
        )
    if there.kind == "ground":
        notes.append(
            f"{element.name}: the soil is not in its U, so it loses less than this; "
            "give ground = {floor, perimeter_m} to count it."
        )
    return Figure(total.u, "W/(m²·K)", inputs, "2 / (R_upper + R_lower)", "ISO 6946:2007, 6.7.2", tuple(notes))


def _mean_r(strips: Sequence[Strip]) -> float:
    """Return the resistance of a layer whose strips are joined at their faces."""
    return 1 / sum(strip.share / strip.resistance for strip in strips)


def _laid(number: int, layer: Layer, flow: HeatFlow) -> _Laid:
    if layer.air_mm is not None:
        return _Laid(f"{number} air {layer.air_mm:g} mm", _whole(air_layer_resistance(layer.air_mm, flow)))
    if layer.r is not None:
        return _Laid(f"{number} r", _whole(layer.r))
    millimetres = layer.mm or 0.0
    if layer.material is None:
        return _bridged(f"{number} {millimetres:g} mm", millimetres, layer.conductivity or 1.0, layer)
    name = f"{number} {layer.material} {millimetres:g} mm"
    material = MATERIALS.get(layer.material.strip().lower().replace(" ", "-"))
    if material is None:
        known = ", ".join(MATERIALS)
        note = f"no material is called {layer.material!r}, so that layer counts for nothing; known are {known}."
        return _Laid(name, _whole(_LEAST_R), note)
    return _bridged(name, millimetres, material.conductivity, layer)


def _whole(resistance: float) -> tuple[Strip, ...]:
    return (Strip(1.0, _bounded(resistance)),)


def _bounded(resistance: float) -> float:
    return min(max(resistance, _LEAST_R), _MOST_R)


def _bridged(name: str, millimetres: float, conductivity: float, layer: Layer) -> _Laid:
    resistance = _bounded(conduction_resistance(millimetres, conductivity))
    if layer.bridge is None:
        return _Laid(name, (Strip(1.0, resistance),))
    across = _bounded(conduction_resistance(millimetres, layer.bridge.conductivity))
    share = layer.bridge.share
    return _Laid(f"{name} with {100 * share:g} % bridge", (Strip(1 - share, resistance), Strip(share, across)))
