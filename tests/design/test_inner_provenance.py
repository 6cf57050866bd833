"""What is known of a number inside layers, a floor on the ground, or a stream of air narrows or widens the band too."""

from __future__ import annotations

import pytest

from ingle.config.house import parse_house
from ingle.design import design_house, design_version
from ingle.errors import BadInput
from ingle.model.design import UncertainInput, ZoneDesign
from ingle.model.house import House

HOUSE = """
[house]
name = "Tern House"
method = "domestic"
outdoor_design_c = 0

[[zone]]
id = "room"
name = "Room"
floor_area_m2 = 12
height_m = 2.4
design_c = 20
air_changes_per_h = 0
"""
WALL = """
[[zone.element]]
name = "wall"
kind = "wall"
area_m2 = 10
layers = [{mm = 100, lambda = 0.77}, {mm = 50, lambda = 0.04}]
"""
SLAB = """
[[zone.element]]
name = "slab"
kind = "ground-floor"
area_m2 = 12
ground = {perimeter_m = 10}
"""


def room(text: str) -> ZoneDesign:
    """Return the design of the only room of a house file."""
    return design_house(house(text)).zones[0]


def house(text: str) -> House:
    """Return the house with these elements."""
    return parse_house(HOUSE + text, "tern.toml")


def only_uncertain(zone: ZoneDesign) -> UncertainInput:
    """Return the one input that moves the load."""
    (found,) = [each for each in zone.inputs if each.down_w or each.up_w]
    return found


def test_a_layer_s_conductivity_moves_the_load_to_what_it_is_at_its_limits() -> None:
    """The band ends where a survey with 0.03, or with 0.06, has its load."""
    zone = room(WALL + 'provenance."layers.2.lambda" = {kind = "assumed", low = 0.03, high = 0.06}')
    assert zone.low_w == pytest.approx(room(WALL.replace("0.04", "0.03")).heat_loss_w)
    assert zone.high_w == pytest.approx(room(WALL.replace("0.04", "0.06")).heat_loss_w)
    found = only_uncertain(zone)
    assert (found.key, found.value, found.low, found.high) == ("layers.2.lambda", 0.04, 0.03, 0.06)
    assert "Measure the conductivity of layer 2 of wall first" in zone.measure_first


def test_the_soil_moves_the_load_to_what_it_is_at_its_limits() -> None:
    """Clay taken for anything from dry to wet soil (ISO 13370:2007, table 1: 1.5 to 2.0; dry 1.0 by practice)."""
    zone = room(SLAB + 'provenance."ground.soil_lambda" = {kind = "assumed", low = 1.0, high = 2.0}')
    assert zone.low_w == pytest.approx(room(SLAB.replace("= 10}", "= 10, soil_lambda = 1.0}")).heat_loss_w)
    assert zone.high_w == pytest.approx(room(SLAB.replace("= 10}", "= 10, soil_lambda = 2.0}")).heat_loss_w)
    assert only_uncertain(zone).name == "conductivity of the soil of slab"


def test_a_stream_of_air_moves_the_load_with_its_flow_and_its_temperature() -> None:
    """0.33 x 60 m³/h x (20 - 10) K is 198 W: 33 W less at 50 m³/h, 39.6 W for two degrees, 52 W together."""
    stream = 'air = [{name = "supply", m3_per_h = 60, from = {temperature_c = 10}}]\n'
    flow = 'provenance."air.1.m3_per_h" = {kind = "observed", low = 50, high = 60}\n'
    warmth = 'provenance."air.1.from.temperature_c" = {kind = "assumed", low = 8, high = 12}\n'
    zone = room(stream + flow + warmth)
    assert zone.heat_loss_w == pytest.approx(0.33 * 60 * 10, rel=0.01)
    first, second = (each for each in zone.inputs if each.down_w or each.up_w)
    assert (first.name, second.name) == ("temperature of the air of stream 1", "air flow of stream 1")
    assert first.up_w == pytest.approx(39.6, rel=0.01)
    assert second.down_w == pytest.approx(33, rel=0.01)
    assert zone.low_w == pytest.approx(zone.heat_loss_w - (39.6**2 + 33**2) ** 0.5, rel=0.01)


def test_the_temperature_behind_an_element_moves_its_flow() -> None:
    """10 m² of U 1 to a garage of 10 °C, or of 5 to 12."""
    garage = (
        '[[zone.element]]\nname = "garage wall"\nkind = "wall"\narea_m2 = 10\nu_w_per_m2k = 1\n'
        "beyond = {temperature_c = 10}\n"
    )
    zone = room(garage + 'provenance."beyond.temperature_c" = {kind = "assumed", low = 5, high = 12}')
    assert (zone.low_w, zone.heat_loss_w, zone.high_w) == pytest.approx((80, 100, 150))


def test_numbers_of_every_layer_stand_for_the_whole() -> None:
    """Once a survey speaks of each layer, the U by layers is no longer asked about; until then it is."""
    one = 'provenance."layers.2.mm" = {kind = "measured"}\n'
    asked = [
        [(each.key, each.kind, each.vouched) for each in room(text).inputs if each.element]
        for text in (WALL, WALL + one, WALL + one + 'provenance."layers.1.mm" = {kind = "observed"}')
    ]
    assert asked == [
        [("layers", "assumed", False)],
        [("layers", "assumed", False), ("layers.2.mm", "measured", True)],
        [("layers.2.mm", "measured", True), ("layers.1.mm", "observed", True)],
    ]


def test_a_material_that_is_only_named_is_assumed_within_its_range() -> None:
    """Mineral wool is taken as 0.040 and may be 15 % off (own judgement); a label or a survey knows better."""
    named = WALL.replace("lambda = 0.04", 'material = "mineral-wool"')
    zone = room(named)
    found = only_uncertain(zone)
    assert (found.key, found.value, found.low, found.high) == ("layers.2.lambda", 0.04, 0.034, pytest.approx(0.046))
    assert zone.heat_loss_w == room(WALL).heat_loss_w
    assert zone.low_w == pytest.approx(room(WALL.replace("0.04", "0.034")).heat_loss_w)
    label = 'provenance."layers.2.lambda" = {kind = "observed", low = 0.038, high = 0.042}'
    known = only_uncertain(room(named + label))
    assert (known.kind, known.low, known.high) == ("observed", 0.038, 0.042)
    assert design_version(house(named)) != design_version(house(named + label))


def test_limits_inside_are_part_of_the_design_version() -> None:
    """Another range is another design; another note is not."""
    said = 'provenance."layers.2.lambda" = {kind = "assumed", low = 0.03, high = HIGH, note = "NOTE"}'
    versions = [
        design_version(house(WALL + said.replace("HIGH", high).replace("NOTE", note)))
        for high, note in (("0.06", "a"), ("0.06", "b"), ("0.05", "a"))
    ]
    assert versions[0] == versions[1] != versions[2]


@pytest.mark.parametrize(
    ("key", "limits", "said"),
    [
        ("layers.3.lambda", "low = 0.1", "layers.3.lambda"),
        ("layers.0.mm", "low = 0.1", "a field that is a number"),
        ("layers.2.colour", "low = 0.1", "layers.1.lambda and the like"),
        ("typical.built", "low = 1900", "a field that is a number"),
        ("layers.2.lambda", "low = 0.05", "at most the value itself, which is 0.04"),
        ("layers.2.lambda", "high = 900", "above 0 and at most 500"),
        ("layers.2.lambda", "low = -1", "above 0 and at most 500"),
        ("layers.2.gap_level", "high = 1.5", "a whole number from 0 to 2"),
    ],
)
def test_a_name_that_leads_nowhere_and_a_limit_that_cannot_be_are_refused(key: str, limits: str, said: str) -> None:
    """The fault names the key as written and what is allowed instead."""
    with pytest.raises(BadInput) as caught:
        house(WALL + f'provenance."{key}" = {{kind = "assumed", {limits}}}')
    (fault,) = caught.value.faults
    assert key in str(fault)
    assert said in str(fault)
