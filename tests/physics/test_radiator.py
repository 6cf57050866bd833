"""Radiators at the water temperatures they get, EN 442-2."""

from __future__ import annotations

from math import log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.physics.radiator import excess_k, nominal_w, radiator_w


@pytest.mark.parametrize(
    ("flow_c", "return_c", "expected_k"), [(75, 65, 50), (55, 45, 30), (60, 40, 20 / log(2)), (90, 30, 60 / log(7))]
)
def test_excess_temperature(flow_c: float, return_c: float, expected_k: float) -> None:
    """Plain mean at 75/65/20 (50 K) and 55/45/20 (30 K); logarithmic where the water cools by far (EN 442-2)."""
    assert excess_k(flow_c, return_c, 20) == pytest.approx(expected_k)


@pytest.mark.parametrize(("flow_c", "return_c"), [(20, 20), (30, 20), (18, 15)])
def test_water_no_warmer_than_the_room_gives_nothing(flow_c: float, return_c: float) -> None:
    """None, not a negative output."""
    assert excess_k(flow_c, return_c, 20) is None


def test_output_at_half_the_excess() -> None:
    """(25/50)^1.3 = 0.406."""
    assert radiator_w(1000, 25) == pytest.approx(406.1, abs=0.1)


@given(st.floats(1, 10_000), st.floats(1, 80))
def test_stated_and_real_output_are_inverse(watts: float, excess: float) -> None:
    """A radiator chosen for an output gives it."""
    assert radiator_w(nominal_w(watts, excess), excess) == pytest.approx(watts)
