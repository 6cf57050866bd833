"""Corrections of a U-value for gaps and fixings against the standard's formulas, worked by hand."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.physics.corrections import fixing_correction, gap_correction, total_correction

R_LAYER, R_TOTAL = 0.05 / 0.035, 2.6


def fixings(**change: float) -> float:
    """Return the correction for stainless ties through 50 mm of insulation, 2.5 to the m²."""
    given_mm = {"area_mm2": 12.5, "per_m2": 2.5, "thickness_mm": 50.0} | change
    return fixing_correction(given_mm.pop("conductivity", 17.0), r_layer=R_LAYER, r_total=R_TOTAL, **given_mm)


def test_a_wall_with_gaps_and_ties() -> None:
    """ISO 6946:2007, Annex D, by hand: ΔUg 0.00302, ΔUf 0.00257; together 0.0056, less than 3 % of U, so dropped."""
    gaps, ties = gap_correction(1, R_LAYER, R_TOTAL), fixings()
    assert gaps == pytest.approx(0.00302, abs=5e-5)
    assert ties == pytest.approx(0.00257, abs=5e-5)
    least = 0.03 / R_TOTAL
    assert least == pytest.approx(0.0115, abs=5e-5)
    assert total_correction(1 / R_TOTAL, [gaps, ties]) == 0.0


def test_corrections_of_3_percent_and_more_are_made() -> None:
    """ISO 6946:2007, 7: only below 3 % of U may they be left out, and then all of them together."""
    assert total_correction(0.4, [0.006, 0.0061]) == pytest.approx(0.0121)
    assert total_correction(0.4, [0.006, 0.0059]) == 0.0
    assert total_correction(0.4, []) == 0.0


def test_a_sunk_fixing_does_less() -> None:
    """α is 0.8 d1/d0 where the fixing goes through d1 of d0 (ISO 6946:2007, D.3.2)."""
    assert fixings(length_mm=25) == pytest.approx(fixings() / 2)


def test_a_plastic_fixing_does_nothing() -> None:
    """Below 1 W/(m·K) no correction is made (ISO 6946:2007, D.3.2)."""
    assert fixings(conductivity=0.3) == 0.0


@given(level=st.sampled_from((0, 1, 2)), layer=st.floats(0, 10), rest=st.floats(0.1, 10))
def test_gaps_cost_no_more_than_their_level(level: int, layer: float, rest: float) -> None:
    """The layer's share of the resistance can only lessen it."""
    assert 0 <= gap_correction(level, layer, layer + rest) <= {0: 0.0, 1: 0.01, 2: 0.04}[level]


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (lambda: gap_correction(3, 1.0, 2.0), "a gap level of 3 is not known; the levels are 0, 1 and 2"),
        (lambda: gap_correction(1, 3.0, 2.0), "a layer of 3 m²·K/W is not a part of 2"),
        (lambda: fixings(length_mm=60), "fixings of 60 mm in a layer of 50 mm are not possible"),
        (lambda: fixings(thickness_mm=-50), "in a layer of -50 mm are not possible"),
        (lambda: fixings(per_m2=-1), "number per m² are at least 0"),
    ],
)
def test_what_cannot_be_is_said(wrong: Callable[[], float], said: str) -> None:
    """Each impossible input is a sentence that names it, not a number."""
    with pytest.raises(ValueError, match=said):
        wrong()
