"""The Net Loft at Haverlock, a studio under the roof, worked out by hand beforehand."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from ingle.design import design_house
from ingle.model.design import ZoneDesign
from ingle.model.envelope import Element, Space
from ingle.model.house import House
from ingle.model.provenance import Provenance
from surveys import GABLE, NET_LOFT, net_loft


def loft(house: House) -> ZoneDesign:
    """Return the design of its only room."""
    zone = design_house(house).zone("net-loft")
    assert zone is not None
    return zone


def with_element(house: House, name: str, element: Element) -> House:
    """Return the house with one element replaced."""
    zone = house.zones[0]
    elements = tuple(element if each.name == name else each for each in zone.elements)
    return replace(house, zones=(replace(zone, elements=elements),))


def test_domestic_method() -> None:
    """70.7 W/K; 1626 W at 21/-2 °C and 305 W reheat make 1931 W."""
    zone = loft(net_loft())
    assert zone.heat_loss_w_per_k == pytest.approx(70.7, abs=0.05)
    assert zone.fabric_w_per_k == pytest.approx(46.7312)
    assert zone.bridges_w_per_k == pytest.approx(4.67312)
    assert zone.ventilation_w_per_k == pytest.approx(19.305)
    assert zone.heat_loss_w - zone.reheat_w == pytest.approx(1626, abs=0.5)
    assert zone.reheat_w == pytest.approx(305, abs=0.5)
    assert zone.heat_loss_w == pytest.approx(1931, abs=0.5)
    assert design_house(net_loft()).total_w == pytest.approx(zone.heat_loss_w)


def test_en12831_method() -> None:
    """0.34 instead of 0.33 for the air: 71.3 W/K and 1640 W."""
    zone = loft(net_loft(method="en12831"))
    assert zone.heat_loss_w_per_k == pytest.approx(71.3, abs=0.05)
    assert zone.heat_loss_w - zone.reheat_w == pytest.approx(1640, abs=0.5)


def test_band_of_the_assumed_gable() -> None:
    """U 0.8 to 2.0 instead of 1.40 gives 1.75 to 2.11 kW, bridges in proportion."""
    zone = loft(net_loft())
    assert zone.low_w == pytest.approx(1750, abs=5)
    assert zone.high_w == pytest.approx(2110, abs=5)


def test_a_measured_gable_narrows_the_band_and_moves_nothing() -> None:
    """What is known better changes the band, not the value."""
    measured = replace(GABLE, provenance={"u_w_per_m2k": Provenance(kind="measured", low=1.3, high=1.5)})
    before, after = loft(net_loft()), loft(with_element(net_loft(), "gable", measured))
    assert after.heat_loss_w == before.heat_loss_w
    assert after.high_w - after.low_w < 0.2 * (before.high_w - before.low_w)


def test_floor_over_outdoor_air() -> None:
    """The floor's factor from 0.6 to 1.0 raises the fabric by 6.1 W/K."""
    floor = next(each for each in NET_LOFT.elements if each.name == "floor")
    outside = loft(with_element(net_loft(), "floor", replace(floor, beyond=Space(factor=1.0))))
    assert outside.fabric_w_per_k - loft(net_loft()).fabric_w_per_k == pytest.approx(6.1, abs=0.05)


def test_in_use_takes_half_the_air_with_a_wide_range() -> None:
    """In use 0.5 air changes, assumed 0.25 to 1.0, join the gable's range by root-sum-square."""
    zone = loft(net_loft())
    assert zone.in_use_w_per_k == pytest.approx(46.7312 * 1.1 + 19.305 / 2)
    gable_down, gable_up = 12 * 0.6 * 1.1, 12 * 0.6 * 1.1
    air_down, air_up = 19.305 / 4, 19.305 / 2
    assert zone.in_use_w_per_k - zone.in_use_low_w_per_k == pytest.approx((gable_down**2 + air_down**2) ** 0.5)
    assert zone.in_use_high_w_per_k - zone.in_use_w_per_k == pytest.approx((gable_up**2 + air_up**2) ** 0.5)


def test_heaters_are_added_up_and_large_enough() -> None:
    """1500 and 750 W are 2250 W installed, above the load, and no warning is made of it."""
    zone = loft(net_loft())
    assert zone.installed_w == 2250
    assert not any("heaters give" in warning for warning in zone.warnings)


def test_the_sheet_has_a_line_per_piece_and_names_the_method() -> None:
    """One line per element, bridges, air, reheat and total, each with inputs, formula, unit and source."""
    lines = loft(net_loft()).working
    items = [line.item for line in lines]
    assert items[:8] == [*(each.name for each in NET_LOFT.elements), "thermal bridges", "ventilation"]
    assert {"heat loss coefficient", "heat loss at design", "reheat", "total", "coefficient in use"} <= set(items)
    assert all(line.formula and line.unit and line.source for line in lines)
    total = next(line for line in lines if line.item == "total")
    assert total.value == pytest.approx(1931.35, abs=0.01)
    assert total.unit == "W"
    air = next(line for line in lines if line.item == "ventilation")
    assert air.formula == "0.33 n·V"
    assert "domestic" in air.source
    gable = lines[0]
    assert gable.inputs == {"area_m2": 12.0, "u_w_per_m2k": 1.4}
    assert "solid brick, age guessed" in gable.source


def test_inputs_without_provenance_are_listed_as_assumed() -> None:
    """The house says once how many numbers nobody vouched for, and each room which; the gable's is vouched for."""
    design = design_house(net_loft())
    words = "air changes of 1 room, thermal bridges of 1 room and U of 5 elements."
    assert design.notes == (f"Without provenance, so taken as assumed and without a range in the band: {words}",)
    silent = {each.name for each in design.zones[0].inputs if not each.vouched}
    assert {"U of slopes", "air changes", "thermal bridges"} <= silent
    assert "U of gable" not in silent
