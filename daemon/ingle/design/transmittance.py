"""The U-value of an element, however the survey gives it, with what is needed to check it by hand."""

from __future__ import annotations

from msgspec.structs import asdict

from ingle.design.beyond import Behind
from ingle.design.floors import floor_u
from ingle.design.layers import layers_u
from ingle.design.sheet import Figure, origin
from ingle.model.envelope import Element, Typical
from ingle.physics.air_layers import HeatFlow
from ingle.physics.element import R_INSIDE, R_OUTSIDE

UNIT = "W/(m²·K)"


def transmittance(element: Element, flow: HeatFlow, there: Behind) -> Figure:
    """Return an element's U [W/(m²·K)], given, typical, from ISO 13370 or from layers, with notes on what is odd."""
    if element.u_w_per_m2k is not None:
        source = origin(element.provenance.get("u_w_per_m2k"))
        if element.typical is not None:
            return Figure(element.u_w_per_m2k, UNIT, _looked_up(element.typical), "typical value", source)
        return Figure(element.u_w_per_m2k, UNIT, {}, "given", source)
    if element.ground is not None:
        return floor_u(element, element.ground)
    if element.layers:
        return _from_layers(element, flow, there)
    return Figure(0.0, UNIT, {}, "not given", "survey", (f"{element.name} has no U and adds nothing.",))


def _looked_up(piece: Typical) -> dict[str, float | str]:
    """Return by what a typical value was looked up."""
    return {key: each for key, each in asdict(piece).items() if each is not None}


def _from_layers(element: Element, flow: HeatFlow, there: Behind) -> Figure:
    r_outside = R_INSIDE[flow] if there.inner else 0.0 if there.kind == "ground" else R_OUTSIDE
    figure = layers_u(element.name, element.layers, flow, r_outside)
    if there.kind != "ground":
        return figure
    note = (
        f"{element.name}: the soil is not in its U, so it loses less than this; "
        "give ground = {floor, perimeter_m} to count it."
    )
    return Figure(figure.value, UNIT, figure.inputs, figure.formula, figure.source, (*figure.notes, note))
