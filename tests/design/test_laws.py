"""Laws that hold for every room."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from ingle.design import design_house
from ingle.design.room import room
from ingle.model.envelope import Element
from ingle.model.house import House
from surveys import net_loft, one_room

WALL = Element(name="wall", kind="wall", area_m2=10.0, u_w_per_m2k=0.5)
areas, us, factors = st.floats(0.1, 500), st.floats(0.05, 5), st.floats(1.001, 3)


def load_w(house: House) -> float:
    """Return the heat loss of the only room."""
    return design_house(house).zones[0].heat_loss_w


@given(area=areas, u=us, factor=factors)
def test_loss_rises_with_u_and_area(area: float, u: float, factor: float) -> None:
    """A wall that is larger or conducts better loses more, in proportion."""
    base = load_w(one_room(replace(WALL, area_m2=area, u_w_per_m2k=u)))
    assert load_w(one_room(replace(WALL, area_m2=area * factor, u_w_per_m2k=u))) == pytest.approx(
        base * factor, abs=1e-5
    )
    assert load_w(one_room(replace(WALL, area_m2=area, u_w_per_m2k=u * factor))) == pytest.approx(
        base * factor, abs=1e-5
    )


@given(inside=st.floats(5, 30), outdoor=st.floats(-30, 3), step=st.floats(0.5, 10))
def test_loss_rises_with_the_temperature_difference(inside: float, outdoor: float, step: float) -> None:
    """A warmer room, or a colder day, loses more."""

    def at(inside_c: float, outdoor_c: float) -> float:
        house = net_loft(outdoor_design_c=outdoor_c)
        return load_w(replace(house, zones=(replace(house.zones[0], design_c=inside_c),)))

    assert at(inside + step, outdoor) > at(inside, outdoor)
    assert at(inside, outdoor - step) > at(inside, outdoor)


@given(area=areas, u=us, share=st.floats(0.05, 0.95), bridges=st.floats(0, 30))
def test_parts_of_an_element_add_up_to_it(area: float, u: float, share: float, bridges: float) -> None:
    """Cutting a wall in two changes nothing, bridges included."""
    whole = one_room(replace(WALL, area_m2=area, u_w_per_m2k=u), bridges_percent=bridges)
    parts = one_room(
        replace(WALL, area_m2=area * share, u_w_per_m2k=u),
        replace(WALL, name="rest", area_m2=area * (1 - share), u_w_per_m2k=u),
        bridges_percent=bridges,
    )
    assert load_w(parts) == pytest.approx(load_w(whole), abs=1e-3)


@given(width=st.floats(1, 50), height=st.floats(1, 20), window=st.floats(0.01, 0.9))
def test_openings_are_taken_off_their_wall(width: float, height: float, window: float) -> None:
    """A wall by width and height is net of the window that it names; together they cover the gross area."""
    house = one_room(
        Element(name="front", kind="wall", width_m=width, height_m=height, u_w_per_m2k=1.0, openings=("window",)),
        Element(name="window", kind="window", area_m2=window, u_w_per_m2k=1.0),
    )
    assert sum(piece.area_m2 for piece in room(house, house.zones[0]).pieces) == pytest.approx(width * height)


@given(us=st.lists(us, min_size=1, max_size=5))
def test_heat_loss_is_the_sum_of_its_lines(us: list[float]) -> None:
    """Fabric, bridges and air make the coefficient; times the difference, and with reheat, it is the load."""
    elements = [replace(WALL, name=f"wall {number}", u_w_per_m2k=u) for number, u in enumerate(us)]
    zone = design_house(one_room(*elements, bridges_percent=7.0, air_changes_per_h=0.8, reheat_w_per_m2=10.0)).zones[0]
    parts = zone.fabric_w_per_k + zone.bridges_w_per_k + zone.ventilation_w_per_k
    assert zone.heat_loss_w_per_k == pytest.approx(parts, abs=1e-5)
    assert zone.heat_loss_w == pytest.approx(zone.heat_loss_w_per_k * 20 + zone.reheat_w, abs=1e-4)
    lines = {line.item: line.value for line in zone.working}
    assert sum(lines[each.name] for each in elements) == pytest.approx(zone.fabric_w_per_k, abs=1e-4)
