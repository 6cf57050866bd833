"""Whatever house is valid, its options and circuits are numbers, sentences and sums that agree."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

import msgspec
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from house_strategies import houses
from ingle.design import design_house
from ingle.design.circuits import circuits_of
from ingle.design.options import zone_options
from ingle.model.devices import Heater
from ingle.model.house import House
from ingle.model.options import Wishes
from surveys import one_room


def numbers(value: object) -> Iterator[float]:
    """Yield every number in a document."""
    if isinstance(value, dict):
        for each in value.values():
            yield from numbers(each)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from numbers(each)
    elif isinstance(value, int | float):
        yield value


wishes = st.builds(
    Wishes,
    rating_w=st.none() | st.floats(100, 30_000),
    element=st.sampled_from(["resistive", "ptc"]),
    voltage_v=st.none() | st.floats(90, 480),
    outdoor_c=st.floats(-60, 60),
)


@given(houses(), wishes)
@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
def test_options_of_any_house(house: House, wished: Wishes) -> None:
    """Every number is finite, every option meets its load or says its shortfall, every answer defers to a person."""
    design = design_house(house)
    for zone in house.zones:
        found = zone_options(house, design, zone, wished)
        assert all(isfinite(number) for number in numbers(msgspec.to_builtins(found)))
        assert any("competent electrician" in caution for caution in found.cautions)
        assert found.options or found.warnings
        for option in found.options:
            given_w = option.rated_w if option.output_w is None else option.output_w
            assert given_w + option.shortfall_w >= found.load_w * (1 - 1e-6)
            assert "nan" not in option.design_day.says


@given(houses())
@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
def test_circuits_of_any_house(house: House) -> None:
    """Sums are finite, custom never exceeds what is connected, and every heater's place is judged."""
    found = circuits_of(house)
    assert all(isfinite(number) for number in numbers(msgspec.to_builtins(found)))
    assert [each.heater for each in found.heaters] == [heater.id for zone in house.zones for heater in zone.heaters]
    for check in (*found.circuits, *found.supply):
        assert max(check.household_a, check.guest_house_a, check.capped_a) <= check.connected_a + 1e-5
        assert (check.verdict == "over") == any("this fails" in note for note in check.notes)


TINY = 5e-324


@given(
    st.sampled_from([1e-6, 20.0, 5000.0]),
    st.sampled_from([None, TINY, 1e6]),
    st.sampled_from([TINY, 1e-3, 30_000.0]),
    st.sampled_from([TINY, 1e-5, 40.0, 1e4]),
    st.sampled_from([None, 100.0, 30_000.0]),
)
def test_slips_of_the_pen_become_no_infinity(
    floor_area_m2: float, capacity: float | None, rated_w: float, w_per_k: float, rating_w: float | None
) -> None:
    """Fields at the edges of what is allowed give finite numbers and whole sentences."""
    heater = Heater(id="h", rated_w=rated_w)
    house = one_room(given_w_per_k=w_per_k, floor_area_m2=floor_area_m2, capacity_wh_per_k=capacity, heaters=(heater,))
    found = zone_options(house, design_house(house), house.zones[0], Wishes(rating_w=rating_w))
    assert all(isfinite(number) for number in numbers(msgspec.to_builtins(found)))
    assert not any("nan" in note or "inf " in note for option in found.options for note in option.notes)
