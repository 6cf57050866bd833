"""Mistakes that published examples and surveyors make with elements, each held against the right figure."""

from __future__ import annotations

import pytest

from ingle.design import design_house
from ingle.design.room import room
from ingle.model.envelope import Element, Layer
from ingle.model.house import House
from surveys import one_room, two_rooms

# A published example (ukhomeowners.com, heat loss calculations): a wall of 6 x 2.3 m at U 1.5 with 6 m² of window at
# 2.9 in it, in a room of 22.77 m³ with 2 air changes. It counts the wall gross: 15.03 + 17.4 + 20.7 + 9.9 = 63.03 W/K.
WINDOW = Element(name="window", kind="window", area_m2=6.0, u_w_per_m2k=2.9)
FLOOR = Element(name="floor", kind="floor", area_m2=9.9, u_w_per_m2k=1.0)


def published(wall: Element) -> House:
    """Return the example's room with one reading of its wall, at 22 K."""
    return one_room(
        wall, WINDOW, FLOOR, floor_area_m2=9.9, volume_m3=22.77, air_changes_per_h=2.0, design_c=22.0, site={}
    )


def test_a_published_example_forgets_to_take_the_window_off_the_wall() -> None:
    """Gross it is 63.03 W/K and 1386.7 W, as printed; net of its window the wall is 11.7 instead of 20.7 W/K."""
    gross = design_house(published(Element(name="wall", kind="wall", area_m2=13.8, u_w_per_m2k=1.5))).zones[0]
    assert gross.heat_loss_w_per_k == pytest.approx(63.03, abs=0.01)
    assert gross.heat_loss_w == pytest.approx(1386.7, abs=0.1)
    sized = Element(name="wall", kind="wall", width_m=6.0, height_m=2.3, openings=("window",), u_w_per_m2k=1.5)
    net = design_house(published(sized)).zones[0]
    assert net.heat_loss_w_per_k == pytest.approx(63.03 - 9.0, abs=0.01)


def test_surfaces_follow_the_heat_and_not_the_name() -> None:
    """A partition has the inner resistance on both faces: 0.13 + 1 + 0.13 (ISO 6946:2007, 6.8)."""
    party = Element(name="party", kind="party", area_m2=5.0, layers=(Layer(r=1.0),), beyond="zone:cool")
    house = two_rooms(party)
    for zone in house.zones:
        piece = next(each for each in room(house, zone).pieces if each.element.name == "party")
        assert piece.u.value == pytest.approx(1 / 1.26)


def test_a_window_is_not_helped_by_curtains() -> None:
    """The yearly method of SAP takes 1/(1/U + 0.04) for curtains; a design load does not: 2 m² x 4.8 x 20 K."""
    window = Element(name="window", kind="window", area_m2=2.0, u_w_per_m2k=4.8)
    assert design_house(one_room(window)).zones[0].heat_loss_w == pytest.approx(192)
