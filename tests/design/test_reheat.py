"""Reheat: a separate line, by W/m² or by the time a warm-up may take."""

from __future__ import annotations

import pytest

from ingle.design import design_house
from ingle.model.design import ZoneDesign
from ingle.model.envelope import Element
from ingle.model.house import House
from surveys import one_room

# A room of 12 m² that loses 39.57 W/K: C 550 Wh/K (ISO 13790:2008, Table 12, medium), time constant 13.9 h.
WALL = Element(name="wall", kind="wall", area_m2=39.57, u_w_per_m2k=1.0)


def room(**zone: object) -> House:
    """Return that room, 21 °C inside and 0 °C outside."""
    return one_room(WALL, floor_area_m2=12.0, design_c=21.0, **zone)


def only(**zone: object) -> ZoneDesign:
    """Return its design."""
    return design_house(room(**zone)).zones[0]


def test_a_warm_up_time_makes_the_reheat() -> None:
    """From 16 to 21 °C in 2.173 h takes 2 kW in all, so 1169 W on top of 831 W: the closed form turned round."""
    zone = only(warm_up_h=2.173, warm_up_from_c=16.0)
    assert zone.reheat_w == pytest.approx(1169, abs=0.5)
    assert zone.heat_loss_w == pytest.approx(2000, abs=0.5)
    line = next(each for each in zone.working if each.item == "reheat")
    assert line.inputs["capacity_wh_per_k"] == pytest.approx(550)
    assert "ISO 13790" in line.source


def test_a_heavier_room_and_a_shorter_time_take_more() -> None:
    """The room's own capacity counts, and half the time takes more than twice the reheat of a room that leaks."""
    plain = only(warm_up_h=2.0, warm_up_from_c=16.0).reheat_w
    assert only(warm_up_h=2.0, warm_up_from_c=16.0, thermal_mass="heavy").reheat_w > plain
    assert only(warm_up_h=2.0, warm_up_from_c=16.0, capacity_wh_per_k=300.0).reheat_w < plain
    assert only(warm_up_h=1.0, warm_up_from_c=16.0).reheat_w > 2 * plain


def test_reheat_by_area_is_a_line_of_its_own() -> None:
    """12 W/m² on 12 m²: 144 W beside the steady loss, not in the coefficient."""
    zone = only(reheat_w_per_m2=12.0)
    assert zone.reheat_w == pytest.approx(144)
    assert zone.heat_loss_w_per_k == pytest.approx(39.57)
    assert zone.heat_loss_w == pytest.approx(39.57 * 21 + 144)
