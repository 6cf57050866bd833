"""Which input to measure first, and what the band would be then."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from ingle.design import design_house
from ingle.model.design import ZoneDesign
from ingle.model.envelope import Element
from ingle.model.house import House, Zone
from ingle.model.provenance import Provenance
from surveys import net_loft, one_room, two_rooms

WALL = Element(name="wall", kind="wall", area_m2=10.0, u_w_per_m2k=0.5)


def ranged(low: float | None, high: float | None, kind: str = "assumed") -> Provenance:
    """Return provenance with limits."""
    return Provenance(kind=kind, low=low, high=high)


def first_room(house: House) -> ZoneDesign:
    """Return the design of the first room."""
    return design_house(house).zones[0]


def assumed(low: float, high: float, name: str = "wall") -> Element:
    """Return the wall with an assumed U between limits."""
    return replace(WALL, name=name, provenance={"u_w_per_m2k": ranged(low, high)})


def test_the_widest_shift_comes_first_and_says_what_is_left_without_it() -> None:
    """Shifts of 40 and 30 W are 50 W together; without the first 30 W are left (200 W in the middle)."""
    zone = first_room(one_room(assumed(0.35, 0.65, "side"), assumed(0.3, 0.7, "front"), site={}))
    first, second, air = zone.inputs
    assert (first.name, second.name, air.name) == ("U of front", "U of side", "air changes")
    assert (first.down_w, first.up_w) == pytest.approx((40, 40))
    assert (first.low_w, first.high_w) == pytest.approx((170, 230))
    assert (second.low_w, second.high_w) == pytest.approx((160, 240))
    assert zone.measure_first == "Measure the U of front first: the band would narrow from 150-250 W to 170-230 W."


def test_measuring_the_first_gives_the_band_that_was_promised() -> None:
    """The survey with the first input's limits closed has exactly that band."""
    before = first_room(one_room(assumed(0.35, 0.65, "side"), assumed(0.3, 0.7, "front")))
    after = first_room(one_room(assumed(0.35, 0.65, "side"), assumed(0.5, 0.5, "front")))
    assert (after.low_w, after.high_w) == pytest.approx((before.inputs[0].low_w, before.inputs[0].high_w))
    assert after.heat_loss_w == before.heat_loss_w


def test_the_loft_is_told_to_look_at_its_gable() -> None:
    """Only the gable has limits, so nothing would be left of the band, as far as the survey says."""
    zone = first_room(net_loft())
    words = (
        "Measure the U of gable first: the band would narrow from 1749-2114 W to 1931 W, as far as limits are given."
    )
    assert zone.measure_first == words
    gable = zone.inputs[0]
    assert (gable.zone, gable.element, gable.key) == ("net-loft", "gable", "u_w_per_m2k")
    assert (gable.kind, gable.value, gable.low, gable.high) == ("assumed", 1.4, 0.8, 2.0)


def test_every_input_is_there_and_says_how_it_is_known() -> None:
    """U of each of six elements, air changes and bridges; what nobody spoke of is assumed, without limits."""
    inputs = first_room(net_loft()).inputs
    assert len(inputs) == 8
    assert {each.kind for each in inputs} == {"assumed"}
    assert sum(each.low is None for each in inputs) == 7


def test_a_tenth_of_an_input_moves_the_load_by_what_is_said() -> None:
    """The figure by which inputs without limits are ranked is what the design itself answers."""
    house = net_loft()
    said = {each.name: each.tenth_w for each in first_room(house).inputs}
    zone = house.zones[0]
    more_air = replace(zone, air_changes_per_h=1.1)
    slopes = replace(
        zone, elements=tuple(_tenth_more(each) if each.name == "slopes" else each for each in zone.elements)
    )
    base = first_room(house).heat_loss_w
    for changed, name in ((more_air, "air changes"), (slopes, "U of slopes")):
        assert first_room(replace(house, zones=(changed,))).heat_loss_w - base == pytest.approx(said[name])


def _tenth_more(element: Element) -> Element:
    assert element.u_w_per_m2k is not None
    return replace(element, u_w_per_m2k=1.1 * element.u_w_per_m2k)


def test_without_any_limits_the_strongest_input_is_named() -> None:
    """Nothing can be narrowed yet, but it is known where to look."""
    zone = first_room(one_room(WALL, replace(WALL, name="front", area_m2=20.0)))
    assert zone.measure_first == (
        "Look into the U of front first: it has no limits, and a tenth of it moves the load by 20 W."
    )


def test_what_is_measured_need_not_be_measured() -> None:
    """The next input is named instead, though it moves less; with nothing left to measure nothing is said."""
    measured = replace(WALL, name="front", provenance={"u_w_per_m2k": ranged(0.3, 0.7, "measured")})
    assert "U of side first" in first_room(one_room(assumed(0.4, 0.6, "side"), measured)).measure_first
    air = {"air_changes_per_h": ranged(0.0, 0.1, "measured")}
    assert first_room(one_room(measured, provenance=air)).measure_first == ""


def test_inputs_of_the_house_and_of_the_neighbour_are_named_with_their_place() -> None:
    """A partition listed next door and the outdoor temperature both move this room."""
    party = Element(name="partition", kind="party", area_m2=12.0, u_w_per_m2k=1.7, beyond="zone:cool")
    party = replace(party, provenance={"u_w_per_m2k": ranged(1.2, 2.2)})
    house = two_rooms(party, provenance={"outdoor_design_c": ranged(-4.0, 0.0)})
    cool = design_house(house).zones[1]
    places = {(each.zone, each.element, each.key) for each in cool.inputs if each.down_w or each.up_w}
    assert places == {("warm", "partition", "u_w_per_m2k"), (None, None, "outdoor_design_c")}


def test_two_windows_of_one_name_stay_two_inputs() -> None:
    """Names of elements need not be unique; each has its own shift."""
    zone = first_room(one_room(assumed(0.3, 0.7), assumed(0.4, 0.6)))
    assert [each.up_w for each in zone.inputs if each.element] == pytest.approx([40, 20])


@given(
    widths=st.lists(st.floats(0.0, 0.4), min_size=1, max_size=5),
    air=st.floats(0.2, 2.0),
)
def test_the_ranking_is_by_what_would_be_left(widths: list[float], air: float) -> None:
    """No input further down would leave a narrower band than the first, and none widens it."""
    walls = [assumed(0.5 - width, 0.5 + width, f"wall {place}") for place, width in enumerate(widths)]
    zone = first_room(one_room(*walls, air_changes_per_h=air))
    moving = [each for each in zone.inputs if each.down_w or each.up_w]
    left = [each.high_w - each.low_w for each in moving]
    assert left == sorted(left)
    assert all(width <= zone.high_w - zone.low_w + 1e-6 for width in left)
    assert [each for each in zone.inputs if each in moving] == list(zone.inputs[: len(moving)])


def test_a_room_that_is_far_away_moves_nothing() -> None:
    """Limits in a room that is not joined to this one are not its inputs."""
    house = one_room(assumed(0.4, 0.6))
    far = Zone(id="far", name="Far", floor_area_m2=10.0, volume_m3=25.0, elements=(assumed(0.1, 0.9, "far wall"),))
    both = design_house(replace(house, zones=(*house.zones, far))).zones[0]
    assert both == replace(first_room(house))
