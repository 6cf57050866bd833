"""Amounts: as written, rounded once, and shared out so that the parts add up to what is shown."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.money import rounded, shared_out

PARTS = st.lists(st.fractions(-10_000, 10_000, max_denominator=997), min_size=1, max_size=10)


@given(PARTS)
def test_parts_add_up_to_what_is_shown(parts: list[Fraction]) -> None:
    """The parts in hundredths sum to the rounded total, each within a hundredth of itself, and zero stays zero."""
    whole = sum(parts, Fraction(0))
    total = rounded(Decimal(whole.numerator) / Decimal(whole.denominator))
    shared = shared_out(total, parts)
    assert sum(shared) == total
    for part, share in zip(parts, shared, strict=True):
        assert abs(Fraction(share) - part) < Fraction(1, 100)
        assert part != 0 or share == 0


def test_a_total_that_is_not_the_parts_own_is_refused() -> None:
    """A hundredth too many has no part that it could belong to."""
    with pytest.raises(ValueError, match="add up"):
        shared_out(Decimal("1.01"), [Decimal("0.50"), Decimal("0.50")])
