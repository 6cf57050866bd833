"""What two readings of a counter say."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.model.counter import OVER_PLATE, REGISTER_STEP_WH, ROLL_POINTS_WH, step

counts = st.floats(0, 1e10)
spans = st.floats(0, 1e7)
plates = st.floats(1, 30_000)


@pytest.mark.parametrize(
    ("before", "after", "seconds", "kind", "energy"),
    [
        (1000.0, 1025.0, 60, "ok", 25.0),
        (1000.0, 1000.0, 60, "ok", 0.0),
        (1000.0, 1100.0, 60, "ok", 100.0),  # a register that counts in steps of 0.1 kWh
        (1000.0, 2500.0, 3600, "gap", 1500.0),
        (83_000.0, 0.0, 60, "reset", 0.0),
        (83_000.0, 20.0, 60, "reset", 20.0),
        (99_999.0, 9.0, 60, "roll-over", 10.0),
        (65_530.0, 4.0, 60, "roll-over", 10.0),
        (2.0**32 - 5, 5.0, 60, "roll-over", 10.0),
        (1000.0, 10_000.0, 60, "suspect", 0.0),  # 540 kW
        (1000.0, 1e300, 60, "suspect", 0.0),
        (9_000_000.0, 1025.0, 60, "suspect", 0.0),  # back from a wrong reading: not 1025 Wh in a minute
        (1000.0, -5.0, 60, "suspect", 0.0),
        (1000.0, 1200.0, 0, "suspect", 0.0),
        (1000.0, 1000.5, -5, "ok", 0.5),  # two readings of one instant
    ],
)
def test_a_step_is_told_apart(before: float, after: float, seconds: float, kind: str, energy: float) -> None:
    """Growth, silence, reset, roll-over and nonsense each have their own word and energy (1500 W plate)."""
    assert step(before, after, seconds, rated_w=1500) == (kind, pytest.approx(energy))


def test_a_known_roll_point_is_the_only_one() -> None:
    """With the register's size stated the usual ones are not tried."""
    assert step(49_990.0, 10.0, 60, rated_w=1500, rolls_at_wh=50_000).kind == "roll-over"
    assert step(99_990.0, 10.0, 60, rated_w=1500, rolls_at_wh=50_000).kind == "reset"


@given(before=counts, after=counts, seconds=spans, rated=plates)
def test_a_step_never_books_more_than_the_plate_can_draw(
    before: float, after: float, seconds: float, rated: float
) -> None:
    """Whatever two counts say, the energy between them is possible for the plate, and never negative."""
    energy = step(before, after, seconds, rated_w=rated).energy_wh
    assert 0 <= energy <= (rated * OVER_PLATE * seconds / 3600 + REGISTER_STEP_WH) * (1 + 1e-9)


@given(
    point=st.sampled_from(ROLL_POINTS_WH), drawn=st.integers(1, 100), share=st.floats(0, 1), seconds=st.floats(0, 900)
)
def test_a_roll_over_loses_nothing(point: float, drawn: int, share: float, seconds: float) -> None:
    """A register that begins again between two readings counts what was drawn before and after."""
    before = point - round(drawn * share)
    after = drawn - (point - before)
    found = step(before, after, seconds, rated_w=3000)
    if after < before:
        assert found == ("roll-over", drawn)
