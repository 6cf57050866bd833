"""From the survey's ground table to a U, and what is said when a combination is not covered."""

from __future__ import annotations

from typing import Any

import pytest

from ingle.design import design_house
from ingle.design.room import room
from ingle.model.design import ZoneDesign
from ingle.model.envelope import Element, Ground, Layer, Space
from surveys import one_room


def floor(ground: Ground, **element: Any) -> Element:
    """Return a ground floor of 20 m²; beyond is left at its default."""
    fields: dict[str, Any] = {"name": "floor", "kind": "ground-floor", "area_m2": 20.0}
    return Element(**(fields | element), ground=ground)


def design(element: Element) -> ZoneDesign:
    """Return the design of a room with only that element."""
    return design_house(one_room(element)).zones[0]


def u(element: Element) -> float:
    """Return the U that the design gives an element."""
    house = one_room(element)
    return room(house, house.zones[0]).pieces[0].u.value


def test_a_ground_table_needs_no_word_about_what_lies_beyond() -> None:
    """A ground floor left at the default lies on the ground, not in outdoor air."""
    zone = design(floor(Ground(perimeter_m=10.0)))
    assert zone.ground_w_per_k == pytest.approx(zone.fabric_w_per_k)
    assert zone.ground_w_per_k == pytest.approx(20 * 0.70, abs=0.1)


def test_slab_with_insulation_matches_the_published_table() -> None:
    """P/A 0.5 on clay with R 1.0: 0.40 (Approved Document L, Appendix C, table C1)."""
    assert u(floor(Ground(perimeter_m=10.0, insulation_r=1.0))) == pytest.approx(0.40, abs=0.0051)


def test_edge_insulation_lies_between_none_and_all_over() -> None:
    """A strip at the edge helps, less than the same resistance everywhere."""
    bare, edged, whole = (
        u(floor(Ground(perimeter_m=10.0, **more)))
        for more in ({}, {"edge_insulation_r": 1.0, "edge_insulation_width_m": 0.5}, {"insulation_r": 1.0})
    )
    assert whole < edged < bare


def test_upright_edge_insulation_counts_twice_its_depth() -> None:
    """0.25 m down along the edge is worth 0.5 m laid flat (ISO 13370:2007, Annex B), and the sheet shows it."""
    upright, flat = (
        floor(Ground(perimeter_m=10.0, edge_insulation_r=1.0, **how))
        for how in ({"edge_insulation_depth_m": 0.25}, {"edge_insulation_width_m": 0.5})
    )
    assert u(upright) == pytest.approx(u(flat))
    assert design(upright).working[0].inputs["edge_2_depth_m"] == pytest.approx(0.5)


def test_suspended_floor_says_what_it_assumed() -> None:
    """P/A 0.5: 0.66 (Approved Document L, table C4), with height, wall and openings named as assumed."""
    element = floor(Ground(floor="suspended", perimeter_m=10.0))
    assert u(element) == pytest.approx(0.66, abs=0.0051)
    warning = next(each for each in design(element).warnings if "under the floor" in each)
    assert all(word in warning for word in ("height_m", "wall_u", "vent_m2_per_m"))


def test_suspended_floor_takes_what_is_given() -> None:
    """More openings, 0.003 m²/m: 0.70 (Approved Document L, table C4), and less is assumed."""
    ground = Ground(floor="suspended", perimeter_m=10.0, vent_m2_per_m=0.003, height_m=0.3, wall_u=1.7)
    assert u(floor(ground)) == pytest.approx(0.70, abs=0.0051)
    assert not any("under the floor" in each for each in design(floor(ground)).warnings)


def test_basement_floor_without_walls_warns() -> None:
    """The floor alone counts and the sheet says that the walls are missing."""
    element = floor(Ground(floor="basement", perimeter_m=10.0, depth_m=2.0))
    assert u(element) < u(floor(Ground(perimeter_m=10.0)))
    assert any("walls below ground are not in it" in each for each in design(element).warnings)


def test_basement_floor_with_walls_counts_them() -> None:
    """With wall_u the wall's z·P·U comes in: the same as floor and walls listed apart."""
    table = Ground(floor="basement", perimeter_m=10.0, depth_m=2.0, wall_u=0.5)
    together = design(floor(table))
    apart = design_house(
        one_room(
            floor(Ground(floor="basement", perimeter_m=10.0, depth_m=2.0)),
            Element(name="wall", kind="wall", area_m2=20.0, ground=table, beyond="ground"),
        )
    ).zones[0]
    assert together.ground_w_per_k == pytest.approx(apart.ground_w_per_k)


def test_basement_walls_counted_twice_are_noticed() -> None:
    """A floor that counts its walls beside walls of their own is one too many."""
    table = Ground(floor="basement", perimeter_m=10.0, depth_m=2.0, wall_u=0.5)
    wall = Element(name="wall", kind="wall", area_m2=20.0, ground=table, beyond="ground")
    zone = design_house(one_room(floor(table), wall)).zones[0]
    assert any("one of them is too many" in each for each in zone.warnings)


@pytest.mark.parametrize(
    ("element", "word"),
    [
        (floor(Ground(perimeter_m=10.0, depth_m=1.0)), "depth_m mean nothing for a slab"),
        (floor(Ground(floor="suspended", perimeter_m=9.0, depth_m=1.0)), "mean nothing for a suspended"),
        (floor(Ground(floor="basement", perimeter_m=9.0, depth_m=1.0, height_m=1.0)), "mean nothing for a basement"),
        (floor(Ground(floor="basement", perimeter_m=9.0)), "counted as a slab"),
        (floor(Ground(perimeter_m=0.0)), "without exposed perimeter"),
        (floor(Ground(perimeter_m=9.0), kind="wall", beyond="ground"), 'needs floor = "basement"'),
        (
            floor(Ground(floor="basement", perimeter_m=9.0, depth_m=1.0), kind="wall", beyond="ground"),
            "wall_u is missing",
        ),
    ],
)
def test_what_is_not_covered_is_said(element: Element, word: str) -> None:
    """No combination is silently taken for another."""
    assert any(word in each for each in design(element).warnings)


def test_no_exposed_perimeter_is_no_loss() -> None:
    """A floor in the middle of the house has U 0, and the sheet still prints."""
    zone = design(floor(Ground(perimeter_m=0.0)))
    assert zone.ground_w_per_k == 0
    assert any(line.inputs.get("b_m") == "without end" for line in zone.working)


def test_layers_against_the_ground_leave_the_soil_out_and_say_so() -> None:
    """1 / (0.17 + 1) without soil, on the high side."""
    element = Element(name="floor", kind="ground-floor", area_m2=20.0, layers=(Layer(r=1.0),), beyond="ground")
    assert u(element) == pytest.approx(1 / 1.17)
    assert any("soil is not in its U" in each for each in design(element).warnings)


def test_a_ground_floor_over_a_known_space_is_not_on_the_ground() -> None:
    """What is said about beyond is kept: a factor makes it an ordinary floor."""
    element = Element(name="floor", kind="ground-floor", area_m2=20.0, u_w_per_m2k=0.5, beyond=Space(factor=0.6))
    zone = design(element)
    assert zone.ground_w_per_k == 0
    assert zone.fabric_w_per_k == pytest.approx(6.0)
