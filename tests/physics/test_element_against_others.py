"""U-values against other people's calculations: ``hvacpy`` for layers, ``becalib`` for air layers and surfaces."""

from __future__ import annotations

import becalib
import hvacpy
import pytest
from becalib.air_resistances import get_resistance_unventilated_air_layer, get_surface_resistances
from hypothesis import given
from hypothesis import strategies as st

from ingle.physics.air_layers import HeatFlow, air_layer_resistance
from ingle.physics.element import R_INSIDE, R_OUTSIDE, Strip, conduction_resistance, layered_resistance
from ingle.physics.materials import MATERIALS

FLOWS: dict[HeatFlow, str] = {"up": "Up", "horizontal": "Ho", "down": "Do"}
ORIENTATIONS: dict[HeatFlow, str] = {"up": "roof", "horizontal": "wall", "down": "floor"}
solid_layers = st.lists(st.tuples(st.floats(1, 900), st.floats(0.02, 60)), min_size=1, max_size=6)
flows = st.sampled_from(sorted(FLOWS))


def material(conductivity: float) -> hvacpy.Material:
    """Return a material of which only the conductivity is asked."""
    return hvacpy.Material(
        name="any",
        conductivity=hvacpy.Q_(conductivity, "W/(m*K)"),
        density=hvacpy.Q_(1000, "kg/m^3"),
        specific_heat=hvacpy.Q_(1000, "J/(kg*K)"),
        category="masonry",
        source="any",
    )


def ours(layers: list[tuple[float, float]], flow: HeatFlow) -> float:
    """Return the U of solid layers, each its thickness [mm] and conductivity."""
    strips = [[Strip(1, conduction_resistance(*layer))] for layer in layers]
    return layered_resistance(strips, R_INSIDE[flow], R_OUTSIDE).u


@given(layers=solid_layers, flow=flows)
def test_layers_agree_with_hvacpy(layers: list[tuple[float, float]], flow: HeatFlow) -> None:
    """Any solid layers, as wall, roof or floor, have the U-value that hvacpy 0.4.1 gives them."""
    assembly = hvacpy.Assembly("any", ORIENTATIONS[flow])
    for thickness, conductivity in layers:
        assembly.add_layer(material(conductivity), hvacpy.Q_(thickness, "mm"))
    assert ours(layers, flow) == pytest.approx(assembly.u_value.to("W/(m^2*K)").magnitude, rel=1e-9)


def test_a_brick_wall_agrees_with_hvacpy() -> None:
    """215 mm brick of 0.77 with 13 mm plaster of 0.57 W/(m·K): 2.1185 W/(m²·K) there and here."""
    assembly = hvacpy.Assembly("solid wall").add_layer(material(0.77), hvacpy.Q_(215, "mm"))
    assembly.add_layer(material(0.57), hvacpy.Q_(13, "mm"))
    theirs = assembly.u_value.to("W/(m^2*K)").magnitude
    assert [ours([(215, 0.77), (13, 0.57)], "horizontal"), theirs] == pytest.approx([2.1185, 2.1185], abs=0.0005)


@pytest.mark.parametrize("flow", FLOWS)
def test_surfaces_agree_with_becalib(flow: HeatFlow) -> None:
    """The surface resistances of ISO 6946:2007 Table 1, as becalib 0.0.1 has them."""
    assert (R_INSIDE[flow], R_OUTSIDE) == get_surface_resistances(FLOWS[flow])


@given(thickness_mm=st.floats(0, 400), flow=flows)
def test_air_layers_agree_with_becalib(thickness_mm: float, flow: HeatFlow) -> None:
    """Any unventilated air layer has the resistance that becalib 0.0.1 reads from ISO 6946:2007 Table 2."""
    theirs = get_resistance_unventilated_air_layer(FLOWS[flow], thickness_mm / 1000)
    assert air_layer_resistance(thickness_mm, flow) == pytest.approx(float(theirs), abs=1e-9)


@given(layers=solid_layers, air_mm=st.floats(1, 300), flow=flows)
def test_a_cavity_in_layers_agrees_with_becalib(
    layers: list[tuple[float, float]], air_mm: float, flow: HeatFlow
) -> None:
    """Solid layers with air among them have the U-value that becalib 0.0.1 gives them."""
    theirs = becalib.Component(
        name="any",
        layers=[
            becalib.AirLayer("air", air_mm / 1000),
            *(becalib.MaterialLayer("any", mm / 1000, conductivity, 1000, 1000) for mm, conductivity in layers),
        ],
        heat_flow_direction=FLOWS[flow],
    )
    strips = [[Strip(1, conduction_resistance(*layer))] for layer in layers]
    strips.append([Strip(1, air_layer_resistance(air_mm, flow))])
    u = layered_resistance(strips, R_INSIDE[flow], R_OUTSIDE).u
    assert u == pytest.approx(float(theirs.thermal_transmittance_component), rel=1e-9)


SAME = {
    "brick-outer": "brick_common",
    "concrete-dense": "concrete_dense",
    "concrete-block-light": "concrete_block_200",
    "limestone": "stone_limestone",
    "granite": "stone_granite",
    "mineral-wool": "mineral_wool_batt",
    "expanded-polystyrene": "eps_insulation",
    "extruded-polystyrene": "xps_insulation",
    "polyurethane-foam": "pur_spray",
    "cellulose": "cellulose_loose",
    "plywood": "plywood_12mm",
    "softwood": "timber_softwood",
    "hardwood": "timber_hardwood",
    "osb": "osb_board",
    "plasterboard": "plasterboard_std",
    "cement-render": "render_cement",
    "ceramic-tile": "tiles_ceramic",
    "steel": "steel",
    "aluminium": "aluminium",
    "copper": "copper",
    "bitumen-felt": "bitumen_felt",
}


@pytest.mark.parametrize("name", SAME)
def test_materials_are_near_those_of_another_handbook(name: str) -> None:
    """The ASHRAE Handbook of Fundamentals (2021), chapter 26, as hvacpy 0.4.1 has it, is within each row's range."""
    theirs = hvacpy.db.get(SAME[name]).conductivity.to("W/(m*K)").magnitude
    assert MATERIALS[name].low <= theirs <= MATERIALS[name].high
