"""U from layers as a survey writes them."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from ingle.design import design_house
from ingle.design.room import Piece, room
from ingle.model.envelope import Bridge, Element, Fixings, Layer, Space
from surveys import one_room


def piece(*layers: Layer, **element: Any) -> Piece:
    """Return a 10 m² wall of these layers as the design sees it."""
    fields: dict[str, Any] = {"name": "wall", "kind": "wall", "area_m2": 10.0}
    house = one_room(Element(**(fields | element), layers=layers))
    return room(house, house.zones[0]).pieces[0]


def mm(thickness: float, conductivity: float, bridge: Bridge | None = None) -> Layer:
    """Return a solid layer."""
    return Layer(mm=thickness, conductivity=conductivity, bridge=bridge)


def test_stud_wall_of_the_scottish_handbook() -> None:
    """U 0.297 (Scottish Technical Handbook 2020, annex 6.B.2), outside to inside, cavity as its r."""
    wall = piece(
        mm(102, 0.77),
        Layer(r=0.18),
        mm(9, 0.13),
        mm(140, 0.04, Bridge(share=0.15, conductivity=0.12)),
        Layer(mm=12.5, material="plasterboard"),
    )
    assert wall.u.value == pytest.approx(0.297, abs=0.001)
    assert wall.u.inputs["r_upper"] == pytest.approx(3.435, abs=0.002)
    assert wall.u.inputs["r_lower"] == pytest.approx(3.304, abs=0.002)
    assert not wall.u.notes


def test_the_sheet_names_the_source_of_each_conductivity_that_was_looked_up() -> None:
    """The method, then each material of the table; a conductivity that was given has none."""
    wall = piece(mm(100, 0.5), Layer(mm=12.5, material="plasterboard"), Layer(mm=9, material="osb"))
    assert wall.u.source == (
        "ISO 6946:2007, 6.7.2; λ of plasterboard: Scottish Technical Handbook annex 6.B; "
        "λ of osb: ISO 10456:2007 Table 3, from memory"
    )


def test_air_layer_by_its_thickness() -> None:
    """50 mm in a wall is 0.18 m²K/W (ISO 6946:2007 Table 2)."""
    assert piece(Layer(air_mm=50)).u.value == pytest.approx(1 / (0.13 + 0.18 + 0.04))


@pytest.mark.parametrize(
    ("kind", "beyond", "surfaces"),
    [
        ("wall", "outside", 0.13 + 0.04),
        ("roof", "outside", 0.10 + 0.04),
        ("floor", "outside", 0.17 + 0.04),
        ("roof", Space(factor=0.9), 0.10 + 0.10),
        ("floor", Space(temperature_c=5.0), 0.17 + 0.17),
        ("floor", Space(temperature_c=25.0), 0.10 + 0.10),
    ],
)
def test_surfaces_follow_heat_flow_and_what_lies_beyond(kind: str, beyond: object, surfaces: float) -> None:
    """Up 0.10, across 0.13, down 0.17; still air has the inner value on both faces (ISO 6946:2007, 6.8)."""
    assert piece(Layer(r=1.0), kind=kind, beyond=beyond).u.value == pytest.approx(1 / (1 + surfaces))


def test_an_unknown_material_counts_for_nothing_and_is_named() -> None:
    """The loss errs to the high side; the sentence tells which names are known."""
    wall = piece(Layer(mm=100, material="unobtainium"), Layer(r=1.0))
    assert wall.u.value == pytest.approx(1 / 1.17, abs=1e-4)
    assert "unobtainium" in wall.u.notes[0]
    assert "plasterboard" in wall.u.notes[0]


def test_steel_through_insulation_is_beyond_the_method() -> None:
    """Where the limits lie more than half apart, the sheet sends the reader to a better method."""
    wall = piece(mm(100, 0.04, Bridge(share=0.01, conductivity=50.0)))
    assert any("too strong for ISO 6946" in note for note in wall.u.notes)


WOOL = Layer(mm=100, conductivity=0.04)


def test_an_open_cavity_takes_away_what_is_outside_of_it() -> None:
    """1500 mm² and more per metre: only what is inside counts, sheltered, 0.13 on both faces (ISO 6946:2007, 5.3.4)."""
    wall = piece(mm(100, 0.77), Layer(air_mm=50, vent_mm2=2000), WOOL)
    assert wall.u.value == pytest.approx(1 / (2.5 + 0.13 + 0.13))


def test_a_slightly_ventilated_cavity_lies_between_still_and_open() -> None:
    """Openings of 1000 mm²: half of the total with it still, half of that with it open (ISO 6946:2007, 5.3.3)."""
    still = 0.04 + 0.1 / 0.77 + 0.18 + 2.5 + 0.13
    wall = piece(mm(100, 0.77), Layer(air_mm=50, vent_mm2=1000), WOOL)
    assert wall.u.value == pytest.approx(1 / ((still + 2.76) / 2))
    assert wall.u.inputs["share_still"] == 0.5
    assert "r 2 air 50 mm open by 1000 mm²" in wall.u.inputs


def test_up_to_500_mm2_a_cavity_is_still() -> None:
    """Weep holes alone change nothing (ISO 6946:2007, 5.3.2)."""
    bare, wept = (piece(mm(100, 0.77), Layer(air_mm=50, vent_mm2=vent), WOOL) for vent in (None, 500.0))
    assert wept.u == bare.u


def test_foil_in_a_cavity() -> None:
    """25 mm beside foil of 0.05: 0.665 m²·K/W instead of 0.18 (ISO 6946:2007, Annex B)."""
    assert piece(Layer(air_mm=25, emissivity=0.05)).u.value == pytest.approx(1 / (0.17 + 0.665), abs=0.001)


def test_battens_across_a_cavity() -> None:
    """An air layer is bridged like any other: 20 mm air of 0.175 beside 10 % timber of 0.02/0.13."""
    wall = piece(Layer(air_mm=20, bridge=Bridge(share=0.1, conductivity=0.13)))
    upper = 1 / (0.9 / (0.17 + 0.175) + 0.1 / (0.17 + 0.02 / 0.13))
    lower = 0.17 + 1 / (0.9 / 0.175 + 0.1 / (0.02 / 0.13))
    assert wall.u.value == pytest.approx(2 / (upper + lower))


# 50 mm of 0.035 in a wall of 2.6 m²·K/W in all, surfaces in it.
TIES = Fixings(conductivity=17.0, area_mm2=12.5, per_m2=2.5)


def corrected(rest_r: float = 2.6 - 0.17 - 0.05 / 0.035, **layer: Any) -> Piece:
    """Return a wall of insulation with gaps or fixings, and of a rest."""
    return piece(Layer(r=rest_r), Layer(mm=50, conductivity=0.035, **layer))


def test_corrections_below_3_percent_are_left_out_and_shown() -> None:
    """ΔUg 0.00302 and ΔUf 0.00257 are less than 3 % of 0.385, so U stays 1/2.6 (ISO 6946:2007, 7 and Annex D)."""
    wall = corrected(gap_level=1, fixings=TIES)
    assert wall.u.value == pytest.approx(1 / 2.6)
    assert wall.u.inputs["du_gaps"] == pytest.approx(0.00302, abs=5e-5)
    assert wall.u.inputs["du_fixings"] == pytest.approx(0.00257, abs=5e-5)
    assert "left out" in wall.u.formula


def test_corrections_above_3_percent_are_made() -> None:
    """Level 2 gaps: 0.04 x (1.4286/2.6)² = 0.01208, and ties 0.00257, on top of 1/2.6."""
    wall = corrected(gap_level=2, fixings=TIES)
    assert wall.u.value == pytest.approx(1 / 2.6 + 0.01208 + 0.00257, abs=5e-5)
    assert wall.u.formula.endswith("+ ΔU")


def test_a_sunk_fixing_counts_by_its_length() -> None:
    """Half way through the layer: half of ΔUf."""
    whole, half = (corrected(fixings=each) for each in (TIES, replace(TIES, length_mm=25.0)))
    assert half.u.inputs["du_fixings"] == pytest.approx(whole.u.inputs["du_fixings"] / 2)


def test_gaps_outside_of_an_open_cavity_are_no_loss() -> None:
    """Insulation that outdoor air passes behind does nothing, with gaps or without."""
    wall = piece(Layer(mm=50, conductivity=0.035, gap_level=2), Layer(air_mm=50, vent_mm2=3000), WOOL)
    assert wall.u.value == pytest.approx(1 / (2.5 + 0.26))


def test_the_sheet_shows_each_layer() -> None:
    """The U has a line of its own with every resistance in it."""
    house = one_room(Element(name="wall", kind="wall", area_m2=10.0, layers=(mm(215, 0.77), mm(13, 0.57))))
    line = design_house(house).zones[0].working[0]
    assert line.item == "U of wall"
    assert line.value == pytest.approx(2.1185, abs=0.0005)
    assert {"r 1 215 mm", "r 2 13 mm", "r_si", "r_se"} <= set(line.inputs)
    assert "ISO 6946" in line.source


def test_limits_of_a_computed_u_move_the_band() -> None:
    """Provenance of u_w_per_m2k is also that of a U from layers."""
    from ingle.model.provenance import Provenance

    limits = {"u_w_per_m2k": Provenance(kind="assumed", low=0.4, high=1.5)}
    element = Element(name="wall", kind="wall", area_m2=10.0, layers=(Layer(r=1.0),), provenance=limits)
    zone = design_house(one_room(element)).zones[0]
    assert zone.low_w == pytest.approx(0.4 * 10 * 20)
    assert zone.high_w == pytest.approx(1.5 * 10 * 20)
