"""U-values from layers against published figures, and the laws they keep."""

from __future__ import annotations

from collections.abc import Callable
from math import comb

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ingle.physics.element import (
    R_INSIDE,
    R_OUTSIDE,
    Strip,
    conduction_resistance,
    layered_resistance,
)
from ingle.physics.materials import MATERIALS, METALS


def solid(*resistances: float) -> list[list[Strip]]:
    """Homogeneous layers of these resistances."""
    return [[Strip(1, resistance)] for resistance in resistances]


def test_stud_wall_matches_the_scottish_handbook() -> None:
    """Brick, cavity, sheathing, 140 mm wool with 15 % studs, plasterboard.

    Scottish Technical Handbook (2020), annex 6.B.2: upper 3.435, lower 3.304, U 0.297 m²K/W.
    """
    studs = [Strip(0.85, conduction_resistance(140, 0.04)), Strip(0.15, conduction_resistance(140, 0.12))]
    layers = [
        *solid(conduction_resistance(102, 0.77), 0.18, conduction_resistance(9, 0.13)),
        studs,
        *solid(conduction_resistance(12.5, 0.21)),
    ]
    wall = layered_resistance(layers, 0.13, 0.04)
    assert wall.upper == pytest.approx(3.435, abs=0.002)
    assert wall.lower == pytest.approx(3.304, abs=0.002)
    assert wall.u == pytest.approx(0.297, abs=0.001)


def test_stud_wall_of_2004_matches_its_two_paths() -> None:
    """Scottish Technical Handbook (2004), annex 6.B.2: paths of 3.971 and 1.715 m²K/W; upper 3.530, U 0.288."""
    layers = [*solid(0.132, 0.090, 0.146), [Strip(0.905, 3.333), Strip(0.095, 1.077)], *solid(0.100)]
    wall = layered_resistance(layers, 0.13, 0.04)
    for middle, path in ((3.333, 3.971), (1.077, 1.715)):
        assert layered_resistance(solid(0.132, 0.090, 0.146, middle, 0.100), 0.13, 0.04).total == pytest.approx(path)
    assert wall.upper == pytest.approx(3.530, abs=0.002)
    assert wall.u == pytest.approx(0.288, abs=0.002)


def test_solid_brick_wall() -> None:
    """215 mm brick with plaster: 2.1185 W/m²K (independent package hvacpy 0.4.1); RdSAP 2012 table S6 age A: 2.1."""
    layers = solid(conduction_resistance(215, 0.77), conduction_resistance(13, 0.57))
    assert layered_resistance(layers, 0.13, 0.04).u == pytest.approx(2.1185, abs=0.0005)


def test_cavity_wall() -> None:
    """Brick, cavity, block, plaster: 1.4245 W/m²K, by the formula of ISO 6946."""
    layers = solid(
        conduction_resistance(102.5, 0.77), 0.18, conduction_resistance(100, 0.51), conduction_resistance(13, 0.57)
    )
    assert layered_resistance(layers, 0.13, 0.04).u == pytest.approx(1.4245, abs=0.0005)


def test_loft_with_joists() -> None:
    """Plasterboard, 100 mm wool between 9 % joists, 150 mm over: 0.1778 W/m²K, by the formula of ISO 6946."""
    joists = [Strip(0.91, conduction_resistance(100, 0.044)), Strip(0.09, conduction_resistance(100, 0.13))]
    layers = [*solid(conduction_resistance(150, 0.044)), joists, *solid(conduction_resistance(12.5, 0.21))]
    assert layered_resistance(layers, R_INSIDE["up"], R_OUTSIDE).u == pytest.approx(0.1778, abs=0.0005)


bridged = st.builds(
    lambda share, good, bad: [Strip(1 - share, good), Strip(share, bad)],
    st.floats(0, 1),
    st.floats(0.01, 10),
    st.floats(0.001, 10),
)


@given(layers=st.lists(bridged, max_size=6))
def test_upper_limit_is_above_lower(layers: list[list[Strip]]) -> None:
    """For any layers the true resistance lies between the limits, the upper being the higher."""
    wall = layered_resistance(layers, 0.13, 0.04)
    assert wall.upper >= wall.lower - 1e-9
    assert wall.lower - 1e-9 <= wall.total <= wall.upper + 1e-9


@settings(max_examples=30)
@given(layers=st.lists(bridged, min_size=14, max_size=24))
def test_many_bridged_layers_stay_quick_and_between_the_limits(layers: list[list[Strip]]) -> None:
    """Any number of bridged layers is taken; merged paths keep the upper limit between its bounds."""
    wall = layered_resistance(layers, 0.13, 0.04)
    straight_through = 0.17 + sum(sum(strip.share * strip.resistance for strip in layer) for layer in layers)
    assert wall.lower - 1e-9 <= wall.upper <= straight_through + 1e-9


def test_an_odd_number_of_paths_is_merged_too() -> None:
    """Three strips in each of seven layers make 2187 paths; none is lost."""
    layer = [Strip(0.5, 1.0), Strip(0.3, 0.3), Strip(0.2, 0.1)]
    wall = layered_resistance([layer] * 7, 0.13, 0.04)
    assert wall.lower < wall.upper < 0.17 + 7 * (0.5 * 1.0 + 0.3 * 0.3 + 0.2 * 0.1)


def test_merging_of_paths_keeps_the_upper_limit() -> None:
    """Twelve equal bridged layers have paths that follow the binomial law; the merged sum agrees within 0.02 %."""
    layer = [Strip(0.8, 1.0), Strip(0.2, 0.3)]
    exact = 1 / sum(
        comb(12, bad) * 0.2**bad * 0.8 ** (12 - bad) / (0.17 + bad * 0.3 + (12 - bad) * 1.0) for bad in range(13)
    )
    assert layered_resistance([layer] * 12, 0.13, 0.04).upper == pytest.approx(exact, rel=2e-4)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (lambda: conduction_resistance(-10, 0.04), "a layer of -10 mm is not possible"),
        (lambda: conduction_resistance(10, 0.0), r"a conductivity of 0 W/\(m·K\) is not possible"),
        (lambda: layered_resistance([[Strip(1.2, 1.0)]], 0.13, 0.04), "a share of 1.2 of a layer is not possible"),
        (lambda: layered_resistance([[Strip(0.5, 1.0)]], 0.13, 0.04), "shares of a layer add up to 0.5"),
        (lambda: layered_resistance([[Strip(1.0, 0.0)]], 0.13, 0.04), "a strip of 0 m²·K/W is not possible"),
    ],
)
def test_what_cannot_be_is_said(wrong: Callable[[], object], said: str) -> None:
    """Each impossible input is a sentence that names it, not a number."""
    with pytest.raises(ValueError, match=said):
        wrong()


def test_every_material_is_in_bounds_and_has_a_source() -> None:
    """Non-metals lie between 0.015 and 4 W/(m·K): a slip of a factor of ten or a thousand is found here."""
    for name, material in MATERIALS.items():
        low, high = (10, 400) if name in METALS else (0.015, 4)
        assert low < material.conductivity < high, name
        assert material.source, name
        assert name == name.lower().replace(" ", "-"), name
