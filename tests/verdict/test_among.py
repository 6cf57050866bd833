"""What a house's other rooms tell of one."""

from __future__ import annotations

from dataclasses import replace
from math import log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.verdict.among import Standing, among
from ingle.verdict.judge import leaning
from ingle.verdict.prior import RoomPrior
from ingle.verdict.system import Estimate

ROOMS = ("hall", "loft", "study", "bath", "kitchen", "den")
PRIOR = RoomPrior(
    loss_w_per_k=40.0,
    design_spread=0.03,
    ground_share=0.0,
    capacity_wh_per_k=500.0,
    gains_w=40.0,
    gains_spread_w=20.0,
    sun=0.0,
    sun_spread=0.3,
)


def house(ratios: dict[str, float], *, error: float = 0.04, alike: float = 0.0) -> dict[str, Standing]:
    """Return the standings of rooms whose metered over design is given, and those against the house, by name."""
    names = list(ratios)
    found = {
        name: Estimate(
            zone_id=name,
            loss_w_per_k=40 * ratio,
            error_w_per_k=40 * ratio * error,
            freedom=1e6,
            days=np.ones(28, np.bool_),
            expected_w=np.full(28, 500.0),
            metered_w=14_000.0,
            noise_w=30.0,
            difference_k=14.0,
            lasting_error_w_per_k=0.5,
            shared={other: alike * error**2 * 1600 * ratio * ratios[other] for other in names if other != name},
        )
        for name, ratio in ratios.items()
    }
    against_design, against_house = among(found, dict.fromkeys(names, PRIOR))
    return {**against_design, **{f"{name}|house": each for name, each in against_house.items()}}


def test_a_survey_wrong_everywhere_hides_no_room() -> None:
    """All rooms 10 % below their design, one of them losing 30 % more than the rest: against the house it shows."""
    rooms = dict.fromkeys(ROOMS, 0.9) | {"loft": 1.17}
    found = house(rooms)
    assert leaning(found["loft|house"])[0] == "loses-more"
    assert found["loft|house"].middle == pytest.approx(log(1.3), abs=0.03)
    assert found["loft"].middle > log(1.17)
    assert leaning(found["hall|house"])[0] == "as-designed"


def test_a_house_that_takes_more_everywhere_is_not_excused() -> None:
    """40 % more in every room is no habit of a surveyor's: each is called out against its design, none apart."""
    found = house(dict.fromkeys(ROOMS, 1.4))
    for name in ROOMS:
        assert leaning(found[name])[0] == "loses-more"
        assert leaning(found[f"{name}|house"])[0] == "as-designed"


def test_a_small_error_of_all_rooms_is_taken_off() -> None:
    """7 % more everywhere, with errors that are alike: hardly anything is left of it."""
    assert house(dict.fromkeys(ROOMS, 1.07), error=0.06, alike=0.6)["hall"].middle < log(1.04)


def test_errors_that_are_alike_make_the_ratio_better() -> None:
    """The same errors, the more alike the better known is a room beside the others."""
    rooms = dict.fromkeys(ROOMS, 1.0)
    spreads = [house(rooms, alike=alike)["hall|house"].spread for alike in (0.0, 0.4, 0.8)]
    assert spreads == sorted(spreads, reverse=True)


def test_two_rooms_have_no_house_to_stand_against() -> None:
    """One other room tells nothing of what all share."""
    found = house({"hall": 1.3, "loft": 1.0})
    assert set(found) == {"hall", "loft"}
    assert found["hall"].middle == pytest.approx(log(1.3))


def test_one_bad_room_does_not_speak_for_the_house() -> None:
    """A neighbour that stands out by itself changes little for the others."""
    plain = house(dict.fromkeys(ROOMS, 1.0))["hall|house"].middle
    beside = house(dict.fromkeys(ROOMS, 1.0) | {"den": 1.6})["hall|house"].middle
    assert beside == pytest.approx(plain, abs=0.01)


@given(st.lists(st.floats(0.6, 1.8), min_size=3, max_size=8), st.floats(0.02, 0.12), st.floats(0.5, 2.0))
def test_the_plain_comparison_does_not_see_a_common_factor(ratios: list[float], error: float, factor: float) -> None:
    """Every design wrong by the same factor changes a room's ratio to the house by little of it."""
    names = [f"room-{number}" for number in range(len(ratios))]
    one = house(dict(zip(names, ratios, strict=True)), error=error)
    other = house({name: factor * ratio for name, ratio in zip(names, ratios, strict=True)}, error=error)
    for name in names:
        first, second = one.get(f"{name}|house"), other.get(f"{name}|house")
        assert (first is None) == (second is None)
        if first is not None and second is not None:
            assert second.middle - first.middle == pytest.approx(0, abs=0.15 * abs(log(factor)) + 1e-9)
            assert second.spread == pytest.approx(first.spread, rel=1e-6)


def test_weights_of_a_standing_add_up() -> None:
    """A mixture is a chance: one beyond minus infinity, none beyond infinity, falling between."""
    standing = replace(house(dict.fromkeys(ROOMS, 1.2))["hall"])
    assert sum(weight for weight, _, _ in standing.parts) == pytest.approx(1)
    chances = [standing.beyond(x) for x in (-9.0, -0.1, 0.0, 0.1, 9.0)]
    assert chances[0] == pytest.approx(1)
    assert chances[-1] == pytest.approx(0)
    assert chances == sorted(chances, reverse=True)
