"""The U-value of an element, however the survey gives it, with what is needed to check it by hand."""

from __future__ import annotations

from ingle.design.beyond import Behind
from ingle.design.floors import floor_u
from ingle.design.layers import layers_u
from ingle.design.sheet import Figure, origin
from ingle.model.house import Element
from ingle.physics.air_layers import HeatFlow
from ingle.physics.element import R_INSIDE, R_OUTSIDE

UNIT = "W/(m²·K)"


def transmittance(element: Element, flow: HeatFlow, there: Behind) -> Figure:
    """Return an element's U [W/(m²·K)] as given, from ISO 13370 or from its layers, with notes on what is unusual."""
    if element.u_w_per_m2k is not None:
        return Figure(element.u_w_per_m2k, UNIT, {}, "given", origin(element.provenance.get("u_w_per_m2k")))
    if element.ground is not None:
        return floor_u(element, element.ground)
    if element.layers:
        return _from_layers(element, flow, there)
    return Figure(0.0, UNIT, {}, "not given", "survey", (f"{element.name} has no U and adds nothing.",))


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
