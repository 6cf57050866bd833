"""Floors on the ground against published tables."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.physics.ground import (
    basement_floor_u,
    basement_wall_u,
    characteristic_dimension,
    edge_psi,
    equivalent_thickness,
    equivalent_u_en12831,
    slab_u,
    slab_u_with_edge,
    suspended_u,
)

# Approved Document L (England), Appendix C, table C1: solid floors on clay, wall 300 mm.
# Perimeter over area, then U at all-over insulation of R 0, 0.5, 1, 1.5, 2 m²K/W.
SOLID_FLOORS = (
    (0.05, 0.13, 0.11, 0.10, 0.09, 0.08),
    (0.10, 0.22, 0.18, 0.16, 0.14, 0.13),
    (0.20, 0.37, 0.29, 0.25, 0.22, 0.19),
    (0.25, 0.44, 0.34, 0.28, 0.24, 0.22),
    (0.30, 0.49, 0.38, 0.31, 0.27, 0.23),
    (0.40, 0.60, 0.44, 0.36, 0.30, 0.26),
    (0.45, 0.65, 0.47, 0.38, 0.32, 0.27),
    (0.50, 0.70, 0.50, 0.40, 0.33, 0.28),
    (0.60, 0.78, 0.55, 0.43, 0.35, 0.29),
    (0.65, 0.82, 0.57, 0.44, 0.35, 0.30),
    (0.70, 0.86, 0.59, 0.45, 0.36, 0.30),
    (0.80, 0.93, 0.62, 0.47, 0.37, 0.32),
    (0.90, 0.99, 0.65, 0.48, 0.39, 0.32),
    (1.00, 1.05, 0.68, 0.50, 0.40, 0.33),
)
# The same, table C4: uninsulated suspended floors; U at openings of 0.0015 and 0.003 m² per metre.
SUSPENDED_FLOORS = (
    (0.05, 0.15, 0.15),
    (0.10, 0.25, 0.26),
    (0.20, 0.40, 0.42),
    (0.25, 0.46, 0.48),
    (0.30, 0.51, 0.53),
    (0.40, 0.59, 0.62),
    (0.45, 0.63, 0.66),
    (0.50, 0.66, 0.70),
    (0.60, 0.72, 0.76),
    (0.65, 0.75, 0.79),
    (0.70, 0.77, 0.81),
    (0.80, 0.82, 0.86),
    (0.90, 0.86, 0.90),
    (1.00, 0.89, 0.93),
)
CLAY = 1.5


def solid_u(perimeter_over_area: float, insulation_r: float) -> float:
    """U of a slab on clay with a 300 mm wall, as the tables have it."""
    return slab_u(2 / perimeter_over_area, equivalent_thickness(0.3, CLAY, insulation_r), CLAY)


@pytest.mark.parametrize("row", SOLID_FLOORS)
def test_solid_floors_of_approved_document_l(row: tuple[float, ...]) -> None:
    """Every published cell is met within its last figure; the insulated ones use the second branch."""
    for insulation_r, published in zip((0, 0.5, 1, 1.5, 2), row[1:], strict=True):
        assert solid_u(row[0], insulation_r) == pytest.approx(published, abs=0.0051)


@pytest.mark.parametrize("row", SUSPENDED_FLOORS)
def test_suspended_floors_of_approved_document_l(row: tuple[float, ...]) -> None:
    """Every published cell is met within its last figure, with the defaults of this module."""
    for vent, published in zip((0.0015, 0.003), row[1:], strict=True):
        got = suspended_u(2 / row[0], equivalent_thickness(0.3, CLAY), CLAY, vent_m2_per_m=vent)
        assert got == pytest.approx(published, abs=0.0051)


def test_small_slab() -> None:
    """4 x 3 m with 10 m exposed, bare: 0.9509 W/m²K, by the formula of ISO 13370."""
    assert slab_u(characteristic_dimension(12, 10), equivalent_thickness(0.3, CLAY), CLAY) == pytest.approx(
        0.9509, abs=0.0005
    )


def test_published_example_of_an_irregular_floor() -> None:
    """58.89 m² with 33.8 m on clay (example floor of briangwilliams.us): 0.761; the nearest table row reads 0.74."""
    u = slab_u(characteristic_dimension(58.89, 33.8), equivalent_thickness(0.3, CLAY), CLAY)
    assert u == pytest.approx(0.761, abs=0.0005)
    assert solid_u(0.55, 0) == pytest.approx(0.74, abs=0.005)


def test_floor_that_needs_no_insulation() -> None:
    """Scottish Technical Handbook, annex 6.C: at 0.12 m/m² a bare solid floor has U 0.25."""
    assert solid_u(0.12, 0) == pytest.approx(0.25, abs=0.005)


@pytest.mark.parametrize(("dimension", "u", "expected"), [(2.4, 4.762, 1.0666), (4, 0.5, 0.3320)])
def test_fitted_formula_of_en12831(dimension: float, u: float, expected: float) -> None:
    """EN 12831-1:2017 equivalent U at ground level, as the package heaty 2020.10b2 computes it."""
    assert equivalent_u_en12831(dimension, u) == pytest.approx(expected, abs=0.0005)


def test_suspended_floor_with_the_parameters_of_rdsap() -> None:
    """RdSAP 2012 S5.5 parameters (wind 5 m/s, wall U 1.5, openings 0.003) at 0.5 m/m²: 0.726 W/m²K, from memory."""
    u = suspended_u(4, equivalent_thickness(0.3, CLAY), CLAY, wall_u=1.5, vent_m2_per_m=0.003, wind_m_per_s=5)
    assert u == pytest.approx(0.726, abs=0.001)


@pytest.mark.parametrize(
    ("width", "extra_r", "published"),
    [(0.5, 0.5, -0.13), (0.5, 1.0, -0.18), (0.5, 1.5, -0.21), (1.0, 0.5, -0.20)],
)
def test_edge_insulation_of_approved_document_l(width: float, extra_r: float, published: float) -> None:
    """Approved Document L, Appendix C, table C2, horizontal edge insulation (cells quoted from memory)."""
    assert edge_psi(width, equivalent_thickness(0.3, CLAY), extra_r, CLAY) == pytest.approx(published, abs=0.0055)


@pytest.mark.parametrize(("depth", "extra_r", "published"), [(0.25, 0.5, -0.13), (0.25, 1.0, -0.18), (0.5, 0.5, -0.20)])
def test_upright_edge_insulation_is_worth_twice_its_depth(depth: float, extra_r: float, published: float) -> None:
    """Approved Document L, Appendix C, table C3 (cells quoted from memory): 2 D is the width in ψ."""
    assert edge_psi(2 * depth, equivalent_thickness(0.3, CLAY), extra_r, CLAY) == pytest.approx(published, abs=0.0055)


def test_heated_basement_by_hand() -> None:
    """6 x 5 m, 2.5 m deep on clay, walls of R 1.0 below ground, by the formulas of ISO 13370:2007, 9.3.

    Floor: B' = 30 / 11 = 2.727, d = 0.3 + 1.5 x 0.21 = 0.615, d + z/2 = 1.865, below B':
    U = 3 / (8.568 + 1.865) ln(8.568 / 1.865 + 1) = 0.495.
    Wall: d_w = 1.5 x 1.17 = 1.755, above d: U = 3 / (2.5π) (1 + 0.5 x 0.615 / 3.115) ln(2.5 / 1.755 + 1) = 0.372.
    """
    assert basement_floor_u(30 / 11, 0.615, CLAY, 2.5) == pytest.approx(0.495, abs=0.0005)
    assert basement_wall_u(0.615, 1.0, CLAY, 2.5) == pytest.approx(0.372, abs=0.0005)


def test_no_exposed_perimeter_means_no_loss() -> None:
    """A floor in the middle of a building loses nothing in the steady state, whatever its kind."""
    assert characteristic_dimension(20, 0) == inf
    assert slab_u(inf, 0.6, CLAY) == 0
    assert slab_u_with_edge(inf, 0.6, CLAY, width_m=1, extra_r=1) == 0
    assert suspended_u(inf, 0.6, CLAY) == 0
    assert basement_floor_u(inf, 0.6, CLAY, 2) == 0


dimensions = st.floats(0.5, 50)
resistances = st.floats(0, 10)


@given(dimension=dimensions, r=resistances, more=st.floats(0.01, 5))
def test_more_insulation_never_loses_more(dimension: float, r: float, more: float) -> None:
    """Within and across the two branches of the slab formula, whose join is smooth to 2 %."""
    bare = slab_u(dimension, equivalent_thickness(0.3, CLAY, r), CLAY)
    better = slab_u(dimension, equivalent_thickness(0.3, CLAY, r + more), CLAY)
    assert better <= bare * 1.02


@given(dimension=dimensions, r=resistances, width=st.floats(0.1, 3), extra=st.floats(0.1, 5))
def test_edge_insulation_helps_but_less_than_a_whole_layer(
    dimension: float, r: float, width: float, extra: float
) -> None:
    """The edge lies between none and all over."""
    thickness = equivalent_thickness(0.3, CLAY, r)
    edged = slab_u_with_edge(dimension, thickness, CLAY, width_m=width, extra_r=extra)
    assert slab_u(dimension, thickness + CLAY * extra, CLAY) <= edged + 1e-12
    assert edged <= max(slab_u(dimension, thickness, CLAY), slab_u(dimension, thickness + CLAY * extra, CLAY)) + 1e-12


@given(dimension=dimensions, thickness=st.floats(0.3, 10), depth=st.floats(0.1, 6))
def test_a_deeper_floor_loses_less(dimension: float, thickness: float, depth: float) -> None:
    """The basement formula starts at the slab and falls with depth, to 2 % at the join of its branches."""
    assert basement_floor_u(dimension, thickness, CLAY, 0) == slab_u(dimension, thickness, CLAY)
    assert basement_floor_u(dimension, thickness, CLAY, depth) <= slab_u(dimension, thickness, CLAY) * 1.02


@given(wall_r=resistances, depth=st.floats(0.1, 6))
def test_a_basement_wall_loses_less_than_the_wall_in_air(wall_r: float, depth: float) -> None:
    """Soil only adds resistance, to within the ISO formula's own 5 % at shallow depth."""
    in_air = 1 / (0.13 + wall_r + 0.04)
    assert 0 < basement_wall_u(0.6, wall_r, CLAY, depth) < in_air * 1.55
