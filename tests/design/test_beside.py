"""The result beside what is usual, and beside a rule of thumb that recommends nothing."""

from __future__ import annotations

import msgspec
import pytest
from msgspec.structs import replace

from ingle.design import design_house
from ingle.model.design import Beside
from ingle.model.envelope import Element, UnheatedSpace
from ingle.model.house import House
from surveys import net_loft, one_room

WALL = Element(name="wall", kind="wall", area_m2=10.0, u_w_per_m2k=0.5)


def beside(house: House) -> tuple[Beside, ...]:
    """Return the comparisons of the first room."""
    return design_house(house).zones[0].beside


def test_the_loft_stands_beside_its_rule_of_thumb() -> None:
    """5 to 12.5 W per square foot of 25.42 m² are 1.37 to 3.43 kW (trade rule of thumb); the design is 1.93 kW."""
    thumb = beside(net_loft())[-1]
    assert (thumb.item, thumb.unit, thumb.standing) == ("rule of thumb", "W", "within")
    assert (thumb.low, thumb.high) == pytest.approx((1373, 3432), abs=1)
    assert thumb.value == pytest.approx(1931, abs=1)
    assert "1.37 to 3.43 kW; 1.93 kW is within it" in thumb.sentence


def test_the_rule_of_thumb_says_what_it_cannot_see_and_recommends_nothing() -> None:
    """Temperatures, envelope, air and reheat are the reason for any gap."""
    sentence = beside(net_loft())[-1].sentence
    for seen in (
        "23 K",
        "3.6 m² of envelope per m² floor",
        "mean U of 0.58",
        "1 air change an hour",
        "305 W of reheat",
    ):
        assert seen in sentence
    assert "recommend" not in msgspec.json.encode(beside(net_loft())).decode()


def test_the_result_is_set_beside_its_age() -> None:
    """The loft's 2.78 W/K per m² is ordinary for 1905 (TABULA: 4.8 to 5.4) and too much for 2015 (1.4)."""
    old, new = ({each.unit: each.standing for each in beside(net_loft(built=year))} for year in (1905, 2015))
    assert old == {"W/m²": "within", "W/(m²·K)": "within", "W": "within"}
    assert new["W/(m²·K)"] == new["W/m²"] == "above"


def test_without_a_temperature_difference_nothing_is_compared() -> None:
    """No watts per square metre of nothing."""
    assert beside(one_room(WALL, design_c=1.0, site={"outdoor_design_c": 1.0})) == ()


def test_a_slip_in_an_unheated_space_is_asked_about() -> None:
    """A U of 0.03 for 0.3 around a store behind the wall: the house's total with it and without."""
    outer = Element(name="outer", kind="wall", area_m2=20.0, u_w_per_m2k=0.03)
    space = UnheatedSpace(id="store", name="Store", volume_m3=30.0, air_changes_per_h=0.5, elements=(outer,))
    house = replace(one_room(replace(WALL, beyond="space:store")), spaces=(space,))
    (found,) = design_house(house).findings
    assert (found.code, found.element, found.meant) == ("u-value", "outer", pytest.approx(0.17, abs=0.14))
    mended = replace(space, elements=(replace(outer, u_w_per_m2k=found.meant),))
    assert found.then == pytest.approx(design_house(replace(house, spaces=(mended,))).total_w)
    airy = replace(space, air_changes_per_h=20.0, elements=(replace(outer, u_w_per_m2k=0.3),))
    assert [each.code for each in design_house(replace(house, spaces=(airy,))).findings] == ["air-changes"]
