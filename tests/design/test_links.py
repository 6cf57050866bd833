"""Party elements: listed once, mirrored, in the rooms and never in the house."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from ingle.design import design_house
from ingle.design.room import room
from ingle.model.envelope import Element, Layer
from surveys import two_rooms

PARTY = Element(name="partition", kind="party", area_m2=12.0, u_w_per_m2k=1.7, beyond="zone:cool")
temperatures = st.floats(12, 26)


@given(warm=temperatures, cool=temperatures, area=st.floats(0.1, 100), u=st.floats(0.05, 6))
def test_a_mirrored_wall_moves_equal_and_opposite_watts(warm: float, cool: float, area: float, u: float) -> None:
    """What one room loses through it the other gains, whatever the temperatures."""
    house = two_rooms(replace(PARTY, area_m2=area, u_w_per_m2k=u), warm_c=warm, cool_c=cool)
    flows = [room(house, zone).links_w for zone in house.zones]
    assert flows[0] == pytest.approx(area * u * (warm - cool), abs=1e-6)
    assert flows[0] + flows[1] == pytest.approx(0, abs=1e-6)


@given(area=st.floats(0.1, 100), u=st.floats(0.05, 6))
def test_the_house_total_is_unchanged_by_party_walls(area: float, u: float) -> None:
    """The total is that of the same house without the wall; each room's own changes."""
    without = two_rooms(replace(PARTY, area_m2=0.1, u_w_per_m2k=0.01))
    bare = replace(without, zones=(replace(without.zones[0], elements=without.zones[0].elements[:1]), without.zones[1]))
    linked = design_house(two_rooms(replace(PARTY, area_m2=area, u_w_per_m2k=u)))
    plain = design_house(bare)
    assert linked.total_w == pytest.approx(plain.total_w, abs=1e-4)
    assert linked.zones[0].heat_loss_w > plain.zones[0].heat_loss_w
    assert linked.zones[1].heat_loss_w < plain.zones[1].heat_loss_w


def test_links_are_not_in_use_figures() -> None:
    """What metering is compared with leaves links out."""
    house = two_rooms(PARTY)
    bare = replace(house, zones=(replace(house.zones[0], elements=house.zones[0].elements[:1]), house.zones[1]))
    for linked, plain in zip(design_house(house).zones, design_house(bare).zones, strict=True):
        assert linked.in_use_w_per_k == pytest.approx(plain.in_use_w_per_k)


def test_percent_bridges_leave_links_out() -> None:
    """Ten percent of the outside wall's 5 W/K, the partition not counted; psi of a partition goes with its link."""
    house = two_rooms(replace(PARTY, psi_w_per_mk=0.1, psi_length_m=5.0))
    house = replace(house, zones=(replace(house.zones[0], bridges_percent=10.0), house.zones[1]))
    warm = design_house(house).zones[0]
    assert warm.bridges_w_per_k == pytest.approx(0.5)
    assert room(house, house.zones[0]).links_w == pytest.approx((12 * 1.7 + 0.5) * 5)


def test_both_rooms_have_the_line() -> None:
    """The sheet of either room shows the wall, the mirrored one saying where it is listed."""
    warm, cool = design_house(two_rooms(PARTY)).zones
    assert any(line.item == "partition (to cool)" and line.value > 0 for line in warm.working)
    assert any(line.item == "partition (to warm, listed there)" and line.value < 0 for line in cool.working)


def test_a_partition_of_layers_has_inner_surfaces_on_both_sides() -> None:
    """Rsi counts twice: 1 / (0.13 + 0.12 + 0.13), in both rooms alike (ISO 6946:2007, 6.8)."""
    layered = replace(PARTY, u_w_per_m2k=None, layers=(Layer(r=0.12),))
    house = two_rooms(layered)
    us = [piece.u.value for zone in house.zones for piece in room(house, zone).pieces if piece.link]
    assert us == pytest.approx([1 / 0.38, 1 / 0.38])


@pytest.mark.parametrize(("kind", "warm", "cool", "surface"), [("floor", 21, 16, 0.17), ("floor", 16, 21, 0.10)])
def test_heat_flow_through_a_floor_follows_the_temperatures(
    kind: str, warm: float, cool: float, surface: float
) -> None:
    """Over a colder room heat goes down (0.17), over a warmer one it comes up (0.10)."""
    assert kind == "floor"
    layered = Element(name="floor", kind="floor", area_m2=12.0, layers=(Layer(r=0.5),), beyond="zone:cool")
    house = two_rooms(layered, warm_c=warm, cool_c=cool)
    piece = next(each for each in room(house, house.zones[0]).pieces if each.link)
    assert piece.u.value == pytest.approx(1 / (0.5 + 2 * surface))


def test_unsurveyed_neighbours_at_another_temperature_are_named() -> None:
    """A neighbour that no element leads to is said not to be in the figure, once for the house."""
    house = two_rooms(PARTY)
    warm = replace(house.zones[0], elements=house.zones[0].elements[:1], neighbours=("cool",))
    notes = design_house(replace(house, zones=(warm, house.zones[1]))).notes
    words = "Not surveyed, so not in the heat loss: what flows between warm (21 °C) and cool (16 °C)."
    assert [each for each in notes if each.startswith("Not surveyed")] == [words]
    assert not any("Not surveyed" in each for each in design_house(house).notes)


def test_a_room_that_only_gains_says_so() -> None:
    """A cool room that its neighbour keeps warm has a negative load and a sentence about it."""
    house = two_rooms(replace(PARTY, area_m2=200.0), warm_c=22.0, cool_c=8.0)
    cool = design_house(house).zones[1]
    assert cool.heat_loss_w < 0
    assert any("no heat of its own" in warning for warning in cool.warnings)
