"""One sentence for each thing that is out of the ordinary."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from ingle.design import design_house
from ingle.model.house import Element, Heater, House, Levels
from surveys import net_loft, one_room

WALL = Element(name="wall", kind="wall", area_m2=10.0, u_w_per_m2k=0.5)
GLASS = Element(name="glass", kind="window", area_m2=12.0, u_w_per_m2k=2.0)


def said(house: House, words: str) -> bool:
    """Return whether the only room is warned in these words."""
    return any(words in warning for warning in design_house(house).zones[0].warnings)


def wall(**change: Any) -> Element:
    """Return the wall, changed."""
    return replace(WALL, **change)


@pytest.mark.parametrize(
    ("house", "words"),
    [
        (one_room(wall(area_m2=600.0, u_w_per_m2k=1.0)), "600 W/m² without reheat is far above"),
        (one_room(wall(area_m2=1.0, u_w_per_m2k=0.2)), "W/m² without reheat is far below"),
        (one_room(wall(area_m2=600.0)), "W/K per m² floor is far above"),
        (one_room(WALL, GLASS), "more glass"),
        (one_room(WALL, air_changes_per_h=6.0), "6 air changes an hour are above"),
        (one_room(WALL, air_changes_per_h=0.1), "0.1 air changes an hour are below"),
        (one_room(WALL, air_changes_per_h=0.5, air_changes_in_use_per_h=0.8), "More air changes in use"),
        (one_room(wall(u_w_per_m2k=5.0)), "U 5.00 W/(m²·K) of wall is far above"),
        (one_room(WALL, volume_m3=500.0), "makes the room 25.0 m high"),
        (one_room(), "No element leads out"),
        (one_room(WALL, design_c=5.0, site={"outdoor_mean_c": 8.0}), "W/m² without reheat is far below"),
        (one_room(WALL, heaters=(Heater(id="a", rated_w=50),)), "50 W less than the design load of 100 W"),
        (one_room(WALL, vulnerable=True, design_c=17.0), "17 °C is below the 18 °C"),
        (one_room(wall(kind="floor", area_m2=30.0)), "The floor elements add up to 30 m²"),
    ],
)
def test_oddities_are_said(house: House, words: str) -> None:
    """Each slip has its sentence, with the number in it."""
    assert said(house, words), design_house(house).zones[0].warnings


def test_an_ordinary_room_is_left_alone() -> None:
    """The Net Loft has no warning but the list of what nobody vouched for."""
    warnings = design_house(net_loft()).zones[0].warnings
    assert len(warnings) == 1


def test_heaters_count_at_the_voltage_of_the_house() -> None:
    """A plate of 105 W at 240 V gives 96 W at 230 V: too little for 100 W; a PTC element claims no such thing."""
    heater = Heater(id="a", rated_w=105, rated_v=240)
    assert said(one_room(WALL, heaters=(heater,)), "The heaters give 96 W at 230 V")
    assert not said(one_room(WALL, heaters=(replace(heater, element="ptc"),)), "The heaters give")


def test_no_design_without_a_temperature_difference() -> None:
    """A room designed no warmer than outdoors has no load, and says why instead of dividing by nothing."""
    house = one_room(WALL, design_c=1.0)
    same = replace(house, site=replace(house.site, outdoor_design_c=1.0, method="en12831", outdoor_mean_c=9.0))
    assert said(same, "no design heat loss")
    assert design_house(same).zones[0].heat_loss_w == 0


def test_unusual_outdoor_design() -> None:
    """An outdoor design temperature of summer is noticed."""
    assert said(net_loft(outdoor_design_c=15.0), "outdoor design temperature of 15 °C is unusual")


def test_levels_count_for_the_vulnerable() -> None:
    """Someone vulnerable needs the occupied level too at 18 °C, not only the design."""
    house = one_room(WALL, vulnerable=True, site={"levels": Levels(occupied_c=17.0)})
    assert said(house, "17 °C is below the 18 °C")


def test_openings_that_leave_no_wall_are_said() -> None:
    """A window larger than its wall leaves an area of 0, never less."""
    front = Element(name="front", kind="wall", width_m=2.0, height_m=2.0, u_w_per_m2k=1.0, openings=("glass",))
    house = one_room(WALL, front, GLASS)
    assert said(house, "The openings of front leave nothing of it")
    assert design_house(house).zones[0].fabric_w_per_k == pytest.approx(10 * 0.5 + 12 * 2.0)


def test_a_zone_that_is_not_there_counts_as_outdoors() -> None:
    """A value built without the file's checks still errs to the high side and says so."""
    house = one_room(wall(beyond="zone:nowhere"))
    assert said(house, "leads to a zone that is not there")
    assert design_house(house).zones[0].heat_loss_w == pytest.approx(100)


def test_an_element_without_any_u_is_said() -> None:
    """It adds nothing, and the sheet tells."""
    assert said(one_room(WALL, wall(name="bare", u_w_per_m2k=None)), "bare has no U")


def test_neighbours_at_the_same_temperature_need_no_word() -> None:
    """Only a difference of 2 K or more makes an unsurveyed joint worth a sentence."""
    house = one_room(WALL, neighbours=("room", "nowhere"))
    assert not said(house, "Not surveyed")
    twin = replace(house.zones[0], id="twin", neighbours=("room",))
    both = replace(house, zones=(house.zones[0], twin))
    assert not any("Not surveyed" in each for zone in design_house(both).zones for each in zone.warnings)
