"""How the limits of inputs become the band of a result."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from ingle.design import design_house
from ingle.model.envelope import Element
from ingle.model.provenance import Provenance
from surveys import net_loft, one_room, two_rooms

WALL = Element(name="wall", kind="wall", area_m2=10.0, u_w_per_m2k=0.5)


def ranged(low: float | None, high: float | None, kind: str = "assumed") -> Provenance:
    """Return provenance with limits."""
    return Provenance(kind=kind, low=low, high=high)


def test_independent_inputs_combine_by_root_sum_square() -> None:
    """Shifts of 30 and 40 W make 50 W, in each half for itself."""
    first = replace(WALL, provenance={"u_w_per_m2k": ranged(0.35, 0.65)})
    second = replace(WALL, name="other", provenance={"u_w_per_m2k": ranged(0.3, 0.6)})
    zone = design_house(one_room(first, second)).zones[0]
    assert zone.heat_loss_w - zone.low_w == pytest.approx(50)
    assert zone.high_w - zone.heat_loss_w == pytest.approx((30**2 + 20**2) ** 0.5)


def test_one_limit_moves_one_half() -> None:
    """Only high given: the lower half stays shut."""
    zone = design_house(one_room(replace(WALL, provenance={"u_w_per_m2k": ranged(None, 0.7)}))).zones[0]
    assert zone.low_w == zone.heat_loss_w
    assert zone.high_w == pytest.approx(140)


def test_no_limits_no_band() -> None:
    """Provenance without numbers, or none, leaves low and high at the value."""
    zone = design_house(one_room(replace(WALL, provenance={"u_w_per_m2k": ranged(None, None)}))).zones[0]
    assert zone.low_w == zone.heat_loss_w == zone.high_w


def test_inputs_of_zone_and_site_count() -> None:
    """Air changes of a zone and the outdoor temperature of the site move the load like any U."""
    house = net_loft(provenance={"outdoor_design_c": ranged(-4.0, 0.0)})
    zone = replace(house.zones[0], provenance={"air_changes_per_h": ranged(0.7, 1.5)})
    wide = design_house(replace(house, zones=(zone,))).zones[0]
    assert wide.heat_loss_w - wide.low_w == pytest.approx(
        (182.16**2 + (19.305 * 0.3 * 23) ** 2 + (70.70932 * 2) ** 2) ** 0.5, abs=0.01
    )


def test_air_changes_of_the_design_move_the_in_use_default_with_them() -> None:
    """Half of an uncertain number is as uncertain."""
    air = {"air_changes_per_h": ranged(0.5, 2.0), "air_changes_in_use_per_h": ranged(None, None)}
    own = design_house(one_room(WALL, air_changes_per_h=1.0, air_changes_in_use_per_h=0.5, provenance=air)).zones[0]
    default = design_house(one_room(WALL, air_changes_per_h=1.0, provenance=air)).zones[0]
    assert own.in_use_w_per_k == default.in_use_w_per_k
    assert own.in_use_low_w_per_k == own.in_use_w_per_k
    assert default.in_use_low_w_per_k < own.in_use_low_w_per_k


def test_a_neighbours_uncertainty_reaches_through_the_wall() -> None:
    """The limits of a party wall's U and of the neighbour's temperature widen both rooms."""
    party = Element(
        name="partition",
        kind="party",
        area_m2=12.0,
        u_w_per_m2k=1.7,
        beyond="zone:cool",
        provenance={"u_w_per_m2k": ranged(1.2, 2.2)},
    )
    house = two_rooms(party)
    for zone in design_house(house).zones:
        assert zone.high_w - zone.heat_loss_w == pytest.approx(12 * 0.5 * 5)
    cool = replace(house.zones[1], provenance={"design_c": ranged(14.0, 18.0)})
    warm = design_house(replace(house, zones=(house.zones[0], cool))).zones[0]
    assert warm.high_w - warm.heat_loss_w == pytest.approx(((12 * 0.5 * 5) ** 2 + (12 * 1.7 * 2) ** 2) ** 0.5)


def test_the_sheet_tells_what_moves_the_load() -> None:
    """The band's line names each input with its limits and its shift."""
    line = design_house(net_loft()).zones[0].working[-1]
    assert line.item == "95 % half-width of total"
    assert line.inputs == {"net-loft, gable: u_w_per_m2k 0.8...2": "-182/+182 W"}


@given(low=st.floats(0.1, 0.5), high=st.floats(0.5, 3), more=st.floats(0.01, 0.5))
def test_wider_limits_never_narrow_the_band(low: float, high: float, more: float) -> None:
    """And the value stays inside."""
    narrow = design_house(one_room(replace(WALL, provenance={"u_w_per_m2k": ranged(low, high)}))).zones[0]
    wide = design_house(one_room(replace(WALL, provenance={"u_w_per_m2k": ranged(low / 2, high + more)}))).zones[0]
    assert wide.low_w <= narrow.low_w <= narrow.heat_loss_w <= narrow.high_w <= wide.high_w


def of_two(first: Provenance, second: Provenance, **site: object) -> tuple[float, float]:
    """Return how far a total of 200 W may be lower and higher: two rooms, each with 100 W through its wall."""
    house = one_room(replace(WALL, provenance={"u_w_per_m2k": first}), site=site)
    other = replace(
        house.zones[0], id="other", elements=(replace(WALL, provenance={"u_w_per_m2k": second}),), neighbours=()
    )
    design = design_house(replace(house, zones=(house.zones[0], other)))
    assert design.total_w == pytest.approx(200)
    assert design.total_low_w is not None
    assert design.total_high_w is not None
    return design.total_w - design.total_low_w, design.total_high_w - design.total_w


def test_what_is_known_of_each_room_by_itself_evens_out_in_the_total() -> None:
    """40 W and 30 W of doubt make 50 W, whether measured alike or assumed differently."""
    apart = of_two(ranged(0.3, 0.7), ranged(0.35, 0.65))
    assert apart == pytest.approx((50, 50))
    measured = of_two(ranged(0.3, 0.7, "measured"), ranged(0.3, 0.7, "measured"))
    assert measured == pytest.approx((40 * 2**0.5, 40 * 2**0.5))


def test_what_is_assumed_alike_is_wrong_alike() -> None:
    """One guess for two walls of a kind moves both, as the outdoor temperature of the site does: limits add up."""
    assert of_two(ranged(0.3, 0.7), ranged(0.3, 0.7)) == pytest.approx((80, 80))
    colder = of_two(ranged(None, None), ranged(None, None), provenance={"outdoor_design_c": ranged(-5.0, 4.0)})
    assert colder == pytest.approx((40, 50))


def test_a_partition_between_two_rooms_moves_no_total() -> None:
    """Its heat stays in the house, however little is known of it."""
    party = Element(
        name="partition",
        kind="party",
        area_m2=12.0,
        u_w_per_m2k=1.7,
        beyond="zone:cool",
        provenance={"u_w_per_m2k": ranged(0.5, 2.5)},
    )
    design = design_house(two_rooms(party))
    assert design.zones[0].low_w < design.zones[0].heat_loss_w < design.zones[0].high_w
    assert design.total_low_w == pytest.approx(design.total_w)
    assert design.total_high_w == pytest.approx(design.total_w)
