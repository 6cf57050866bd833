"""The verdict rules, from an estimate whose numbers are given."""

from __future__ import annotations

from datetime import date
from math import log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.verdict.among import Standing, alone
from ingle.verdict.judge import LOOKS_ERRORS, SURE, WIDEST, Judgement, judge
from ingle.verdict.prior import RoomPrior
from ingle.verdict.system import Estimate

END = date(2026, 2, 1)


def estimate(loss: float, error: float, *, days: int = 28, difference_k: float = 14.0) -> Estimate:
    """Return an estimate."""
    return Estimate(
        zone_id="loft",
        loss_w_per_k=loss,
        error_w_per_k=error,
        freedom=1e6,
        days=np.ones(days, np.bool_),
        expected_w=np.full(days, 500.0),
        metered_w=500.0 * days,
        noise_w=30.0,
        difference_k=difference_k,
        lasting_error_w_per_k=0.3 * error,
    )


def judged_alone(found: Estimate, design: float, spread: float) -> Judgement:
    """Return the verdict on a room that has no others beside it."""
    prior = RoomPrior(
        loss_w_per_k=design,
        design_spread=spread,
        ground_share=0.0,
        capacity_wh_per_k=500.0,
        gains_w=0.0,
        gains_spread_w=0.0,
        sun=0.0,
        sun_spread=0.0,
    )
    standing = alone(found, prior) if found.loss_w_per_k > 0 else Standing(((1.0, 0.0, 9.9),))
    return judge(found, standing, spread, end=END)


@pytest.mark.parametrize(
    ("loss", "error", "verdict"),
    [
        (40, 2, "as-designed"),
        (60, 2, "loses-more"),
        (26, 2, "loses-less"),
        (46, 2, "cannot-say-yet"),
        (40, 8, "cannot-say-yet"),
    ],
)
def test_rules(loss: float, error: float, verdict: str) -> None:
    """Against a design of 40 W/K known to 5 %."""
    judged = judged_alone(estimate(loss, error), 40.0, 0.05)
    assert judged.verdict == verdict
    assert (judged.probability is None) == (verdict == "cannot-say-yet")
    assert bool(judged.missing) == (verdict == "cannot-say-yet")


def test_a_wide_estimate_names_a_later_day() -> None:
    """More days shrink the passing part of the error: a date after the record's end."""
    judged = judged_alone(estimate(40, 6), 40.0, 0.05)
    assert judged.possible_from is not None
    assert judged.possible_from > END
    assert "needed" in judged.missing[0]


def test_a_wide_design_is_the_surveys_to_mend() -> None:
    """No number of days makes up for a design known to ±40 %: no date, and what to do."""
    judged = judged_alone(estimate(40, 1), 40.0, 0.2)
    assert judged.possible_from is None
    assert "survey" in judged.missing[0]


def test_mild_days_are_told() -> None:
    """5 K of difference: colder days will say more."""
    judged = judged_alone(estimate(40, 8, difference_k=5), 40.0, 0.05)
    assert any("mild" in sentence for sentence in judged.missing)


@given(st.floats(5, 500), st.floats(0.01, 0.6), st.floats(5, 500), st.floats(0.05, 0.3))
def test_a_verdict_is_as_sure_as_it_says(loss: float, relative: float, design: float, spread: float) -> None:
    """Whatever comes in: one verdict, sure enough for what it is, or a sentence."""
    judged = judged_alone(estimate(loss, relative * loss), design, spread)
    if judged.verdict in {"loses-more", "loses-less"}:
        assert judged.probability is not None
        assert judged.probability > SURE
        assert judged.ratio is not None
        assert judged.ratio_spread is not None
        assert abs(log(judged.ratio)) > LOOKS_ERRORS * judged.ratio_spread
        assert (loss > design) == (judged.verdict == "loses-more")
    elif judged.verdict == "as-designed":
        assert judged.probability is not None
        assert judged.probability >= 0.5
        assert judged.ratio_spread is not None
        assert 1.96 * judged.ratio_spread <= WIDEST
    else:
        assert judged.missing


@given(st.floats(0.06, 0.5), st.floats(0.06, 0.5), st.floats(0.03, 0.1), st.integers(3, 60))
def test_the_date_moves_with_what_is_known(one: float, other: float, spread: float, days: int) -> None:
    """The wider the estimate, the later the day; never before the end of the record nor further than eight weeks."""
    judged = [judged_alone(estimate(40, 40 * error, days=days), 40.0, spread) for error in sorted((one, other))]
    dates = [each.possible_from for each in judged if each.verdict == "cannot-say-yet"]
    assert all(each is not None and 0 < (each - END).days <= 56 for each in dates)
    assert dates == sorted(each for each in dates if each is not None)


def test_a_leaning_that_the_design_alone_forbids_has_no_date() -> None:
    """15 % over a design known to 8 %: days do not help, the survey may."""
    judged = judged_alone(estimate(46.5, 0.5), 40.0, 0.08)
    assert judged.verdict == "cannot-say-yet"
    assert judged.possible_from is None
    assert any("survey" in sentence for sentence in judged.missing)
