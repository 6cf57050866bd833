"""Rooms that independent programs have computed, put through the whole design."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from ingle.design import design_house
from ingle.model.design import ZoneDesign
from ingle.model.envelope import Element, Ground, Space
from ingle.model.house import House
from surveys import one_room

WALLS = (
    Element(name="wall", kind="wall", area_m2=20.2, u_w_per_m2k=0.45),
    Element(name="window", kind="window", area_m2=1.8, u_w_per_m2k=1.6),
    Element(name="door", kind="door", area_m2=2.0, u_w_per_m2k=1.8),
    Element(name="roof", kind="roof", area_m2=12.0, u_w_per_m2k=0.25),
)
PARTY = Element(name="house wall", kind="party", area_m2=9.6, u_w_per_m2k=1.7, beyond=Space(temperature_c=18.0))
SLAB = Element(name="slab", kind="ground-floor", area_m2=12.0, ground=Ground(perimeter_m=10.0), beyond="ground")


def room(*elements: Element, **zone: Any) -> House:
    """Return a room of 4 x 3 x 2.4 m at 21 °C, -3 °C outside, one air change."""
    house = one_room(
        *elements, **({"floor_area_m2": 12.0, "volume_m3": 28.8, "design_c": 21.0, "air_changes_per_h": 1.0} | zone)
    )
    return replace(house, site=replace(house.site, outdoor_design_c=-3.0))


def only(house: House) -> ZoneDesign:
    """Return the design of a house's only room."""
    return design_house(house).zones[0]


def test_domestic_room_with_slab_at_the_full_difference() -> None:
    """445.68 + 48.96 + 273.85 + 228.10 = 996.59 W, arithmetic of the domestic method with ISO 13370."""
    zone = only(room(*WALLS, PARTY, SLAB))
    assert zone.heat_loss_w == pytest.approx(996.59, abs=0.05)
    assert zone.ventilation_w_per_k * 24 == pytest.approx(228.10, abs=0.01)
    assert zone.ground_w_per_k * 24 == pytest.approx(273.85, abs=0.01)


def test_en12831_room() -> None:
    """698.79 W fabric and 235.01 W air (package heaty 2020.10b2), given EN's fitted U of 1.0666 for the slab."""
    slab = Element(name="slab", kind="ground-floor", area_m2=12.0, u_w_per_m2k=1.06662, beyond="ground")
    house = room(*WALLS, PARTY, slab)
    zone = only(replace(house, site=replace(house.site, method="en12831", outdoor_mean_c=10.0)))
    assert zone.fabric_w_per_k * 24 == pytest.approx(698.79, abs=0.02)
    assert zone.heat_loss_w == pytest.approx(933.79, abs=0.02)


def test_a_dynamic_model_at_rest_needs_as_much() -> None:
    """Outside elements and air alone: 686.7 W at a constant -3 °C (package iso52016 0.0.3), within 2 %."""
    for method in ("domestic", "en12831"):
        house = room(*WALLS)
        load_w = only(replace(house, site=replace(house.site, method=method))).heat_loss_w
        assert load_w == pytest.approx(686.7, rel=0.02)


def test_one_source_does_not_need_what_all_heaters_need() -> None:
    """Half of the air of several rooms comes in at once: 117.50 W of 235.01 W in each (heaty 2020.10b2, f_iz 0.5).

    A room that is a house by itself has all of it (EN 12831-1:2017, table B.5).
    """
    alone = room(*WALLS, reheat_w_per_m2=11.0)
    alone = replace(alone, site=replace(alone.site, method="en12831"))
    both = replace(alone, zones=(alone.zones[0], replace(alone.zones[0], id="other")))
    one, two = design_house(alone), design_house(both)
    assert one.one_source_w == one.total_w
    assert two.total_w == pytest.approx(2 * one.total_w)
    assert two.one_source_w == pytest.approx(two.total_w - 2 * 117.50, abs=0.02)


def test_en12831_bridges_and_reheat() -> None:
    """ΔU_TB 0.10 on the 36 m² to outside adds 3.6 W/K (heaty: H_ie 22.17); 11 W/m² reheat adds 132 W."""
    house = room(*WALLS, PARTY, bridges_w_per_m2k=0.10, reheat_w_per_m2=11.0)
    zone = only(replace(house, site=replace(house.site, method="en12831")))
    outside = zone.fabric_w_per_k + zone.bridges_w_per_k - 2.04
    assert outside == pytest.approx(22.17)
    assert zone.reheat_w == pytest.approx(132)


def test_fabric_and_air_with_bridges_as_a_number() -> None:
    """Fabric 29.9808, air 9.504, bridges 5: 44.4848 W/K (package sap2012 0.0.1, SAP 2012 section 3)."""
    linear = replace(WALLS[0], psi_w_per_mk=0.5, psi_length_m=10.0)
    slab = Element(name="slab", kind="ground-floor", area_m2=12.0, u_w_per_m2k=0.9509, beyond="ground")
    zone = only(room(linear, *WALLS[1:], slab))
    assert zone.fabric_w_per_k == pytest.approx(29.9808, abs=1e-4)
    assert zone.ventilation_w_per_k == pytest.approx(9.504)
    assert zone.bridges_w_per_k == pytest.approx(5.0)
    assert zone.heat_loss_w_per_k == pytest.approx(44.4848, abs=1e-4)


def test_bedroom_that_gains_from_a_warmer_space() -> None:
    """18 °C beside 21 °C: -55.4 W there and 544.30 W in all (package heaty 2020.10b2)."""
    house = one_room(
        Element(name="a", kind="wall", area_m2=7.6, u_w_per_m2k=1.5),
        Element(name="b", kind="window", area_m2=1.7, u_w_per_m2k=2.8),
        Element(name="c", kind="wall", area_m2=9.8, u_w_per_m2k=0.4),
        Element(name="warm", kind="party", area_m2=8.4, u_w_per_m2k=2.2, beyond=Space(temperature_c=21.0)),
        Element(name="level", kind="party", area_m2=6.0, u_w_per_m2k=2.2, beyond=Space(temperature_c=18.0)),
        site={"method": "en12831"},
        volume_m3=23.52,
        design_c=18.0,
        air_changes_per_h=1.0,
        bridges_w_per_m2k=0.1,
    )
    zone = only(replace(house, site=replace(house.site, outdoor_design_c=-2.0)))
    assert zone.heat_loss_w == pytest.approx(544.30, abs=0.02)
    warm = next(line for line in zone.working if line.item == "warm")
    assert warm.value * 20 == pytest.approx(-55.4, abs=0.05)


def test_en12831_ground_on_the_annual_mean() -> None:
    """1.45 x ISO 13370's U x (21-10)/(21+3) at design; in use the plain A·U that the soil drives."""
    house = room(SLAB)
    zone = only(replace(house, site=replace(house.site, method="en12831", outdoor_mean_c=10.0)))
    assert zone.fabric_w_per_k == pytest.approx(1.45 * 12 * 0.9509 * 11 / 24, abs=0.005)
    assert zone.ground_w_per_k == pytest.approx(12 * 0.9509, abs=0.002)
    assert zone.in_use_w_per_k == pytest.approx(12 * 0.9509 + 0.34 * 0.5 * 28.8, abs=0.002)
    line = next(each for each in zone.working if each.item == "slab")
    assert line.formula == "1.45 A·U_equiv (θi-θm)/(θi-θe)"


@pytest.mark.parametrize(
    ("site", "rule"),
    [
        ({"method": "domestic"}, "full difference"),
        ({"method": "en12831"}, "full difference"),
        ({"method": "en12831", "outdoor_mean_c": 10.0}, "annual mean, EN 12831-1"),
    ],
)
def test_the_working_names_the_ground_rule(site: dict[str, Any], rule: str) -> None:
    """204 W or 274 W for the same slab: the line of the floor says which rule made it."""
    house = room(SLAB)
    zone = only(replace(house, site=replace(house.site, **site)))
    line = next(each for each in zone.working if each.item == "slab")
    assert line.inputs["ground_rule"] == rule
    assert zone.fabric_w_per_k * 24 == pytest.approx(273.85 if rule == "full difference" else 181.99, abs=0.05)


def test_en12831_ground_without_a_mean_says_so() -> None:
    """Without outdoor_mean_c the ground counts at the full difference, and a warning tells."""
    house = room(SLAB)
    zone = only(replace(house, site=replace(house.site, method="en12831")))
    assert zone.fabric_w_per_k == pytest.approx(12 * 0.9509, abs=0.002)
    assert any("outdoor_mean_c" in warning for warning in zone.warnings)


def test_domestic_needs_no_mean() -> None:
    """The domestic method never speaks of it."""
    assert not any("outdoor_mean_c" in warning for warning in only(room(SLAB)).warnings)


def test_ground_water_means_nothing_at_the_full_difference() -> None:
    """The domestic method has no factor for it: said, and the load is the same."""
    wet = replace(SLAB, ground=Ground(perimeter_m=10.0, water_table_m=0.0))
    zone = only(room(wet))
    assert zone.heat_loss_w == only(room(SLAB)).heat_loss_w
    assert sum("slab: water_table_m means nothing" in each for each in zone.warnings) == 1
