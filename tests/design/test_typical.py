"""Typical values in a survey: assumed, with a range that moves the band, and told on the sheet."""

from __future__ import annotations

from typing import Any, get_args

import pytest
from hypothesis import given
from msgspec.structs import replace

from house_strategies import houses
from ingle.design import design_house, design_version
from ingle.design.typical import CONSTRUCTIONS, filled
from ingle.model.envelope import Construction, Element, Typical
from ingle.model.house import House
from ingle.model.provenance import Provenance
from surveys import net_loft, one_room

SOLID = Typical(construction="solid-brick", built=1905)


def wall(typical: Typical = SOLID, **fields: Any) -> Element:
    """Return 10 m² of wall with a typical U."""
    given_fields: dict[str, Any] = {"name": "wall", "kind": "wall", "area_m2": 10.0} | fields
    return Element(**given_fields, typical=typical)


def test_a_typical_wall_is_an_assumed_value_with_a_range() -> None:
    """Solid brick of 1905: 2.1 W/(m²·K) (RdSAP 2012 table S6) x 10 m² x 20 K, and its range as the band."""
    zone = design_house(one_room(wall())).zones[0]
    assert zone.heat_loss_w == pytest.approx(420)
    assert (zone.low_w, zone.high_w) == (pytest.approx(0.6 * 420), pytest.approx(1.2 * 420))


def test_the_sheet_tells_by_what_it_was_looked_up() -> None:
    """Construction, year and table stand on a line of their own."""
    line = design_house(one_room(wall())).zones[0].working[0]
    assert line.item == "U of wall"
    assert line.inputs == {"construction": "solid-brick", "built": 1905}
    assert line.source.startswith("assumed (typical of solid brick, built 1900 to 1929; RdSAP 2012 v9.94 table S6")


def test_the_year_is_the_piece_s_then_the_zone_s_then_the_house_s() -> None:
    """An extension is younger than its house."""
    plain = Typical(construction="cavity")
    house = one_room(wall(plain), site={"built": 1940})
    assert filled(house).zones[0].elements[0].u_w_per_m2k == 1.6
    assert filled(one_room(wall(plain), site={"built": 1940}, built=1993)).zones[0].elements[0].u_w_per_m2k == 0.6
    assert filled(one_room(wall(SOLID), site={"built": 2020})).zones[0].elements[0].u_w_per_m2k == 2.1


@pytest.mark.parametrize(
    ("kind", "typical", "u"),
    [
        ("wall", {"construction": "granite", "built": 1850, "thickness_mm": 600}, 2.1),
        ("wall", {"construction": "solid-brick", "built": 1850, "insulation_mm": 50}, 1 / (1 / 2.1 + 1.25)),
        ("roof", {"construction": "loft", "insulation_mm": 100}, 0.4),
        ("roof", {"construction": "flat", "built": 2005}, 0.25),
        ("floor", {"construction": "exposed-floor", "built": 1940}, 1.2),
        ("door", {"construction": "plain-door", "built": 2009}, 2.0),
        ("door", {"construction": "single-glazing"}, 4.8),
        ("window", {"construction": "double-glazing", "built": 1990, "gap_mm": 12, "frame": "pvc"}, 2.8),
        ("rooflight", {"construction": "triple-glazing"}, 2.0),
    ],
)
def test_each_kind_has_its_table(kind: str, typical: dict[str, Any], u: float) -> None:
    """RdSAP 2012 tables S6, S9, S10, S12, S14 and S15a, one cell of each."""
    house = filled(one_room(wall(Typical(**typical), kind=kind)))
    assert house.zones[0].elements[0].u_w_per_m2k == pytest.approx(u)


def test_glazing_is_never_taken_to_be_as_old_as_its_house() -> None:
    """Double glazing without a year of its own is left alone rather than dated 1905."""
    element = wall(Typical(construction="double-glazing"), kind="window")
    assert filled(one_room(element, site={"built": 1905})).zones[0].elements[0].u_w_per_m2k is None


def test_a_loft_that_was_looked_into_goes_by_that_alone() -> None:
    """No year on its line, whatever the house's."""
    seen = Typical(construction="loft", insulation_mm=100)
    line = design_house(one_room(wall(seen, kind="roof"), site={"built": 1890})).zones[0].working[0]
    assert line.inputs == {"construction": "loft", "insulation_mm": 100}
    assert "built" not in line.source


def test_the_survey_s_own_limits_stand() -> None:
    """Who knows better than the table says so; who only says how it was seen keeps the table's range."""
    own = Provenance(kind="observed", low=1.5, high=2.0)
    assert filled(one_room(wall(provenance={"u_w_per_m2k": own}))).zones[0].elements[0].provenance == {
        "u_w_per_m2k": own
    }
    seen = filled(one_room(wall(provenance={"u_w_per_m2k": Provenance(kind="observed", note="drilled")})))
    provenance = seen.zones[0].elements[0].provenance["u_w_per_m2k"]
    assert (provenance.kind, provenance.note) == ("observed", "drilled")
    assert (provenance.low, provenance.high) == pytest.approx((1.26, 2.52))


def test_a_guessed_year_widens_the_range_to_all_its_years() -> None:
    """A timber frame of 1940, perhaps of 1915 to 1970: 1.9 (table S6), with the ranges of 1.9, 1.0 and 0.8 together."""
    frame = Typical(construction="timber-frame")
    guess = {"built": Provenance(kind="assumed", low=1915, high=1970)}
    for house in (
        one_room(wall(frame), built=1940, provenance=guess),
        one_room(wall(frame), site={"built": 1940, "provenance": guess}),
    ):
        element = filled(house).zones[0].elements[0]
        limits = element.provenance["u_w_per_m2k"]
        assert element.u_w_per_m2k == 1.9
        assert (limits.low, limits.high) == pytest.approx((0.8 * 0.8, 1.9 * 1.2))
    own = filled(one_room(wall(replace(frame, built=1940)), built=1940, provenance=guess)).zones[0].elements[0]
    assert own.provenance["u_w_per_m2k"].low == pytest.approx(1.9 * 0.6)


def test_typical_bridges_are_assumed_on_the_exposed_area() -> None:
    """A y of 0.15 W/(m²·K) up to 2002 (RdSAP 2012 table S13): 10 m² at 20 K are 30 W, half as much either way."""
    zone = design_house(one_room(wall(Typical(construction="cavity")), built=1940, bridges_typical=True)).zones[0]
    assert zone.bridges_w_per_k == pytest.approx(1.5)
    line = next(line for line in zone.working if line.item == "thermal bridges")
    assert "assumed (typical of thermal bridges, built 1930 to 1949; RdSAP 2012 v9.94 table S13" in line.source
    bare = design_house(one_room(wall(Typical(construction="cavity")), built=1940)).zones[0]
    down, up = 0.35 * bare.heat_loss_w, 0.25 * bare.heat_loss_w
    assert zone.low_w == pytest.approx(zone.heat_loss_w - (down**2 + 15**2) ** 0.5)
    assert zone.high_w == pytest.approx(zone.heat_loss_w + (up**2 + 15**2) ** 0.5)


def test_the_version_follows_the_value_and_not_the_way_to_it() -> None:
    """Another year of the same band is the same design; a year of another band is not."""
    versions = [design_version(one_room(wall(replace(SOLID, built=year)))) for year in (1905, 1925, 1970)]
    assert versions[0] == versions[1] != versions[2]
    assert design_house(one_room(wall())).design_version == versions[0]


def test_a_house_without_typical_values_is_left_alone() -> None:
    """The very same house comes back, and filling twice is filling once."""
    assert filled(house := net_loft()) is house
    once = filled(one_room(wall()))
    assert filled(once) is once


def test_every_construction_belongs_to_a_kind() -> None:
    """The names that a survey may use are those that the tables know."""
    assert {name for names in CONSTRUCTIONS.values() for name in names} == set(get_args(Construction))


@given(house=houses())
def test_after_filling_nothing_is_left_to_a_table(house: House) -> None:
    """Every typical element of a house that was accepted has a U-value with limits."""
    for element in (element for zone in filled(house).zones for element in zone.elements if element.typical):
        assert element.u_w_per_m2k is not None
        limits = element.provenance["u_w_per_m2k"]
        assert (limits.low, limits.high) != (None, None)
